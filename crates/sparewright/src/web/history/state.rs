//! A state as it was, and what it changed.

use axum::extract::{Path, State};
use maud::{Markup, html};
use record::{Attached, Compared, JobId, Kept, compare};

use super::{Of, time};
use crate::web::answer::{Answer, Refused, shown};
use crate::web::frame::{Frame, Tab, page};
use crate::web::state::App;

pub async fn of_job(State(app): State<App>, Path((id, version)): Path<(i64, u32)>) -> Answer {
    let id = JobId::new(id).ok_or(Refused::missing("job"))?;
    show(app, Of::Job(id), version, Tab::Records).await
}

pub async fn of_shop(State(app): State<App>, Path(version): Path<u32>) -> Answer {
    show(app, Of::Shop, version, Tab::Shop).await
}

/// What a page needs of a history.
pub(in crate::web) struct Seen {
    pub state: Kept,
    pub pictures: Vec<Attached>,
    before: Option<Kept>,
    pub who: String,
    pub what: String,
    newest: u32,
}

pub(in crate::web) async fn seen(app: &App, of: Of, version: u32) -> Answer<Seen> {
    app.kept(move |store| {
        let state = of.at(store, version)?;
        let pictures = match of {
            Of::Job(id) => store.attachments_at(id, version)?,
            Of::Shop => Vec::new(),
        };
        let before = match version {
            1 => None,
            later => Some(of.at(store, later - 1)?),
        };
        let changes = of.changes(store)?;
        let change = changes.iter().find(|change| change.version == version);
        let (who, what) = change.map(|change| (change.who.clone(), change.what.clone())).unwrap_or_default();
        let newest = changes.first().map_or(version, |change| change.version);
        Ok(Seen { state, pictures, before, who, what, newest })
    })
    .await
}

async fn show(app: App, of: Of, version: u32, at: Tab) -> Answer {
    let seen = seen(&app, of, version).await?;
    let place = of.place();
    let body = html! {
        header.head {
            h1 { a href={ (place) "/history" } { "History" } ", state " (version) }
            p.sub { (time(seen.state.at)) ", " (seen.who) ": " (seen.what) }
        }
        p.row {
            @if version > 1 { a.act.quiet href={ (place) "/history/" (version - 1) } rel="prev" { "The state before" } }
            @if version < seen.newest { a.act.quiet href={ (place) "/history/" (version + 1) } rel="next" { "The state behind" } }
            @if version < seen.newest {
                form method="post" action={ (place) "/history/" (version) } { button.act type="submit" { "Bring this state back" } }
            } @else { span.soft { "This is the present state." } }
        }
        @if !seen.pictures.is_empty() { p.soft { "Pictures: " @for (index, picture) in seen.pictures.iter().enumerate() { @if index > 0 { ", " } (picture.name) } } }
        (text(&seen))
    };
    Ok(shown(page(&Frame { title: "An earlier state", at, ..Frame::default() }, &body)))
}

/// The text, with what this change took out and put in; what is far from any change can be opened.
fn text(seen: &Seen) -> Markup {
    let before = seen.before.as_ref().map_or("", |before| before.text.as_str());
    let all = compare(before, &seen.state.text);
    let changed = |at: usize| !matches!(all[at], Compared::Same(_));
    let near = |at: usize| (at.saturating_sub(NEAR)..(at + NEAR + 1).min(all.len())).any(changed);
    let some_changed = seen.before.is_some() && (0..all.len()).any(changed);
    html! {
        div.was.num role="region" aria-label="What this change did" tabindex="0" {
            @for (at, one) in all.iter().enumerate() {
                @if !some_changed || near(at) { (line(one, seen.before.is_some())) }
                @else if at == 0 || near(at - 1) { p.skipped { "…" } }
            }
        }
        @if some_changed {
            details { summary { "All of the text in this state" }
                div.was.num role="region" aria-label="All of the text" tabindex="0" {
                    @for one in seen.state.text.lines() { p { (shown_line(one)) } }
                }
            }
        }
    }
}

/// Lines around a change that are shown with it.
const NEAR: usize = 4;

/// The first state is all new, and nothing in it stands out.
fn line(line: &Compared, marked: bool) -> Markup {
    html! {
        @match line {
            Compared::Gone(line) => { p.gone { del { (shown_line(line)) } } }
            Compared::New(line) if marked => { p.came { ins { (shown_line(line)) } } }
            Compared::Same(line) | Compared::New(line) => { p { (shown_line(line)) } }
        }
    }
}

/// An empty line is a line too.
fn shown_line(line: &str) -> &str {
    if line.is_empty() { "\u{a0}" } else { line }
}
