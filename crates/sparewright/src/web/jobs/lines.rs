//! Reading lines: written down, changed, taken out.

use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::IntoResponse;
use axum::{Extension, Form};
use maud::html;
use serde::Deserialize;

use super::typed::typed;
use super::{Entered, Target, changed, job_page};
use crate::job::edit::Edit;
use crate::web::answer::{Answer, Refused, see, shown};
use crate::web::frame::{Frame, Tab, page};
use crate::web::guard::Who;
use crate::web::state::App;

#[derive(Debug, Deserialize)]
pub struct Line {
    at: Target,
    text: String,
}

/// Writes a reading down if it is understood; else it stays in the line it was typed in, its mistakes marked.
pub async fn add(
    State(app): State<App>,
    Path(id): Path<i64>,
    Extension(who): Extension<Who>,
    Form(line): Form<Line>,
) -> Answer {
    let kept = app.job(id).await?;
    let worked = app.worked(&kept).await?;
    let chosen = worked.entries.iter().position(|entry| entry.at == line.at.0).unwrap_or(0);
    let shop = app.shop()?;
    let found = typed(&worked, chosen, &line.text, &shop.instruments);
    match found {
        Some(found) if found.read.is_ok() => {
            let at = found.entry.at;
            changed(&app, id, &who, Edit::AddLine { at, text: found.text }).await?;
            Ok(see(&format!("/jobs/{id}?at={}#line", Target(at))))
        }
        _ => {
            let entered = Entered { at: Some(line.at), line: line.text, about: None };
            let page = job_page(&app, &kept, &worked, &entered).await?;
            Ok((StatusCode::UNPROCESSABLE_ENTITY, shown(page)).into_response())
        }
    }
}

#[derive(Debug, Deserialize)]
pub struct Change {
    at: Target,
    line: usize,
    was: String,
    #[serde(default)]
    text: String,
    #[serde(rename = "do", default)]
    wanted: String,
}

/// A line that is left empty, or told to go, is taken out.
pub async fn change(
    State(app): State<App>,
    Path(id): Path<i64>,
    Extension(who): Extension<Who>,
    Form(change): Form<Change>,
) -> Answer {
    let at = change.at.0;
    let edit = if change.takes_out() {
        Edit::RemoveLine { at, line: change.line, was: change.was.clone() }
    } else {
        Edit::SetLine { at, line: change.line, was: change.was.clone(), text: change.text.clone() }
    };
    match changed(&app, id, &who, edit).await {
        Ok(()) => Ok(see(&format!("/jobs/{id}?at={}#{}-{}", Target(at), Target(at), change.line))),
        Err(refused) => meanwhile(&app, id, &change, refused).await,
    }
}

impl Change {
    fn takes_out(&self) -> bool {
        self.wanted == "remove" || self.text.trim().is_empty()
    }
}

/// Another device has changed the line: how it stands now, and what was typed, which one press still writes.
async fn meanwhile(app: &App, id: i64, change: &Change, refused: Refused) -> Answer {
    let kept = app.job(id).await?;
    let worked = app.worked(&kept).await?;
    let entry = worked.entry(change.at.0).ok_or(refused.clone())?;
    let now = entry.lines.iter().find(|line| line.written == Some(change.line));
    let job = format!("/jobs/{id}");
    let place = format!("{job}?at={}#{}-{}", change.at, change.at, change.line);
    let body = html! {
        header.head { div.grow { h1 { "Changed meanwhile" } p.sub { a href=(job) { (worked.title) } ", " (entry.name) } } }
        p.refused role="alert" { (refused.why) }
        dl.data {
            div { dt { "It was" } dd.num { (change.was) } }
            div { dt { "It stands now as" } dd.num { @match now { Some(now) => { (now.text) } None => { "not there any more" } } } }
            div { dt { "You wanted" } dd.num { @if change.takes_out() { "to take it out" } @else { (change.text) } } }
        }
        div.row {
            @match now {
                Some(now) => {
                    form method="post" action={ (job) "/lines/change" } {
                        input type="hidden" name="at" value=(change.at);
                        input type="hidden" name="line" value=(change.line);
                        input type="hidden" name="was" value=(now.text);
                        input type="hidden" name="text" value=(change.text);
                        @if change.takes_out() { input type="hidden" name="do" value="remove"; button.act type="submit" { "Take out what stands there now" } }
                        @else { button.act type="submit" { "Write mine in its place" } }
                    }
                }
                None if !change.takes_out() => {
                    form method="post" action={ (job) "/lines" } {
                        input type="hidden" name="at" value=(change.at);
                        input type="hidden" name="text" value=(change.text);
                        button.act type="submit" { "Write mine as a new reading" }
                    }
                }
                None => {}
            }
            a.act.quiet href=(place) { "Leave it as it stands" }
        }
    };
    let page = page(&Frame { title: "Changed meanwhile", at: Tab::Records, ..Frame::default() }, &body);
    Ok((refused.status, shown(page)).into_response())
}
