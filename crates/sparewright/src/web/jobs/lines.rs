//! Reading lines: written down, changed, taken out.

use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::IntoResponse;
use axum::{Extension, Form};
use serde::Deserialize;

use super::typed::typed;
use super::{Entered, Target, changed, job_page};
use crate::job::edit::Edit;
use crate::web::answer::{Answer, see, shown};
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
            let entered = Entered { at: Some(line.at), line: line.text };
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
    let Change { at: Target(at), line, was, text, wanted } = change;
    let edit = if wanted == "remove" || text.trim().is_empty() {
        Edit::RemoveLine { at, line, was }
    } else {
        Edit::SetLine { at, line, was, text }
    };
    changed(&app, id, &who, edit).await?;
    Ok(see(&format!("/jobs/{id}?at={}#{}-{line}", Target(at), Target(at))))
}
