//! The job file itself, as text.

use axum::extract::{Path, State};
use axum::{Extension, Form};
use maud::html;
use serde::Deserialize;

use crate::web::answer::{Answer, Refused, see, shown};
use crate::web::frame::{Frame, Tab, page};
use crate::web::guard::Who;
use crate::web::state::{App, Kept};

pub async fn show(State(app): State<App>, Path(id): Path<i64>) -> Answer {
    let kept = app.job(id).await?;
    let worked = app.worked(&kept).await?;
    let body = html! {
        header.head { h1 { a href={ "/jobs/" (id) } { (worked.title) } } p.sub { "the job file: what is written here is what is kept" } }
        @for said in &worked.problems { p.wrong { "Line " (said.line) ": " (said.message) @if let Some(help) = &said.help { " (" (help) ")" } } }
        form method="post" action={ "/jobs/" (id) "/text" } {
            input type="hidden" name="version" value=(kept.version);
            label for="text" { "Text of the job" }
            textarea.num #text name="text" rows=(kept.text.lines().count().clamp(12, 60)) spellcheck="false" { "\n" (kept.text) }
            div.row { button.act type="submit" { "Keep it" } a.act.quiet href={ "/jobs/" (id) } { "Leave it" } }
        }
    };
    Ok(shown(page(&Frame { title: &worked.title, at: Tab::Records, measure: "", ..Frame::default() }, &body)))
}

#[derive(Debug, Deserialize)]
pub struct Written {
    version: u32,
    text: String,
}

pub async fn save(
    State(app): State<App>,
    Path(id): Path<i64>,
    Extension(who): Extension<Who>,
    Form(written): Form<Written>,
) -> Answer {
    // browsers send every line end as two characters
    let text = written.text.replace("\r\n", "\n");
    if text.len() > crate::LARGEST_FILE {
        return Err(Refused::wrong("This is longer than a job can be; nothing was changed."));
    }
    let kept = app.job(id).await?;
    app.save(&Kept { version: written.version, ..kept }, text, "wrote in the text".into(), &who).await?;
    Ok(see(&format!("/jobs/{id}")))
}
