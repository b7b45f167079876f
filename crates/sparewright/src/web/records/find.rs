//! All jobs, found as the words are typed.

use axum::extract::{Query, State};
use maud::{Markup, html};
use record::{Found, Hit};
use serde::Deserialize;

use crate::records::{query, understood};
use crate::web::answer::{Answer, shown};
use crate::web::frame::{Frame, Tab, page};
use crate::web::history::day;
use crate::web::jobs::{create, urlencoded};
use crate::web::state::App;

#[derive(Clone, Debug, Default, Deserialize)]
pub struct Asked {
    #[serde(default)]
    q: String,
    #[serde(default)]
    from: usize,
    /// Among the jobs that were taken off the list.
    #[serde(default)]
    removed: bool,
}

/// On a page.
const MOST: usize = 50;
/// A longer question is cut off; nobody types one.
const LONGEST: usize = 200;

pub async fn find(State(app): State<App>, Query(asked): Query<Asked>) -> Answer {
    app.fresh().await?;
    let asked = Asked { q: asked.q.chars().take(LONGEST).collect(), ..asked };
    let looked = asked.clone();
    let (found, as_understood) = app
        .kept(move |store| {
            let measures = store.measures()?;
            let query = query(&looked.q, &measures, MOST);
            let found = store.search(&record::Query { from: looked.from, removed: looked.removed, ..query })?;
            Ok((found, understood(&looked.q, &measures)))
        })
        .await?;
    let empty = found.total == 0 && asked.q.trim().is_empty() && !asked.removed;
    let body = html! {
        header.head {
            @if asked.removed { h1 { "Off the list" } p.sub { "Nothing is thrown away: the history of a job brings it back. " a href="/" { "To the records" } } }
            @else { h1 { "Records" } p.sub { "every job, and what it was" } }
        }
        @if empty { (create::first()) } @else { (form(&asked)) (list(&asked, &found, &as_understood)) }
        @if !asked.removed { (create::form()) (ways()) }
    };
    Ok(shown(page(&Frame { title: "Records", at: Tab::Records, ..Frame::default() }, &body)))
}

fn form(asked: &Asked) -> Markup {
    html! {
        form.find role="search" method="get" action="/" {
            label for="q" { "Words, or what it is" }
            div.row {
                input.grow #q type="search" name="q" value=(asked.q) maxlength=(LONGEST) autocomplete="off" spellcheck="false" data-key="/"
                    placeholder="44 teeth 10 dp, or bore 7/8 apple mill"
                    hx-get="/" hx-trigger="input changed delay:60ms, search" hx-target="#found" hx-select="#found"
                    hx-swap="outerHTML" hx-sync="this:replace" hx-replace-url="true";
                @if asked.removed { input type="hidden" name="removed" value="true"; }
                button.act.quiet type="submit" { "Find" }
            }
        }
    }
}

fn list(asked: &Asked, found: &Found, understood: &[String]) -> Markup {
    let last = asked.from + found.hits.len();
    html! {
        div #found aria-live="polite" {
            p.soft {
                @match found.total { 0 => { "No job" }, 1 => { "One job" }, many => { (grouped(many)) " jobs" } }
                @if !understood.is_empty() { " with " @for (index, one) in understood.iter().enumerate() { @if index > 0 { " · " } b { (one) } } }
                @if found.total > found.hits.len() { ", " (grouped(asked.from + 1)) " to " (grouped(last)) " of them here" }
                "."
            }
            ul.records { @for hit in &found.hits { (row(hit, asked.removed)) } }
            @if asked.from > 0 || last < found.total {
                p.row {
                    @if asked.from > 0 { a.act.quiet href=(place(asked, asked.from.saturating_sub(MOST))) { "Those before" } }
                    @if last < found.total { a.act.quiet href=(place(asked, last)) { "Those behind" } }
                }
            }
        }
    }
}

fn row(hit: &Hit, removed: bool) -> Markup {
    html! {
        li {
            div.grow {
                a href={ "/jobs/" (hit.id) @if removed { "/history" } } { (hit.title) }
                @if !hit.summary.is_empty() { p.soft { (hit.summary) } }
            }
            span.soft title={ "job " (hit.id) ", changed" } { (day(hit.changed)) }
        }
    }
}

/// Where the same question is answered from another place on.
fn place(asked: &Asked, from: usize) -> String {
    format!("/?q={}&from={from}{}", urlencoded(&asked.q), if asked.removed { "&removed=true" } else { "" })
}

fn ways() -> Markup {
    html! {
        section.ways-out aria-labelledby="whole" {
            h2 #whole { "All of it" }
            p.row {
                a.act.quiet href="/backups" { "Backups" }
                a.act.quiet href="/import" { "Bring jobs in" }
                a.act.quiet href="/records.zip" download { "Take everything out" }
                a.act.quiet href="/?removed=true" { "Off the list" }
            }
        }
    }
}

/// 100 000, in groups of three with a space that does not break (ISO 80000-1:2022, 7.3.1).
fn grouped(number: usize) -> String {
    let figures = number.to_string();
    let mut out = String::new();
    for (index, figure) in figures.chars().enumerate() {
        if index > 0 && (figures.len() - index).is_multiple_of(3) {
            out.push('\u{202f}');
        }
        out.push(figure);
    }
    out
}

#[cfg(test)]
mod tests {
    #[test]
    fn figures_stand_in_threes() {
        let told = [7, 999, 1_000, 100_000, 1_234_567].map(|number| super::grouped(number).replace('\u{202f}', "_"));
        assert_eq!(told, ["7", "999", "1_000", "100_000", "1_234_567"]);
    }
}
