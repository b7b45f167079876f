//! The shop file itself: written in, put in from elsewhere, taken out.

use axum::extract::{FromRequest, Multipart, Request, State};
use axum::http::StatusCode;
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Response};
use axum::{Extension, Form};
use maud::{Markup, html};
use quantity::Problem;
use record::Saved;
use serde::Deserialize;

use crate::shop;
use crate::web::answer::{Answer, Refused, see, shown};
use crate::web::frame::{Frame, Tab, page};
use crate::web::guard::Who;
use crate::web::jobs::files;
use crate::web::records::bring_in::only_file;
use crate::web::state::App;

pub async fn show(State(app): State<App>) -> Answer {
    let (version, text) = super::kept(&app).await?;
    let problems = shop::read(&text).1;
    Ok(shown(text_page(version, &text, &problems)))
}

pub async fn file(State(app): State<App>) -> Answer {
    let (_, text) = super::kept(&app).await?;
    Ok(files::file("application/toml; charset=utf-8", "shop.toml", text.into_bytes()))
}

#[derive(Debug, Deserialize)]
struct Written {
    version: u32,
    text: String,
}

/// The text as it was written here, or a file that takes its place.
pub async fn keep(State(app): State<App>, Extension(who): Extension<Who>, request: Request) -> Answer {
    let is_file = request
        .headers()
        .get(CONTENT_TYPE)
        .and_then(|kind| kind.to_str().ok())
        .is_some_and(|kind| kind.starts_with("multipart/"));
    let unread = |_| Refused::wrong("This did not come as a form of the notebook; nothing was changed.");
    let (version, text, did) = if is_file {
        let sent = Multipart::from_request(request, &()).await.map_err(|_| unread(()))?;
        let bytes = only_file(sent).await?.ok_or(Refused::wrong("No file was chosen."))?;
        let text = crate::text_of(&bytes).map_err(Refused::wrong)?.to_string();
        // a whole file is meant to stand in the place of whatever stands there now
        (super::kept(&app).await?.0, text, "put in another shop file")
    } else {
        let Form(written) = Form::<Written>::from_request(request, &()).await.map_err(|_| unread(()))?;
        (written.version, written.text.replace("\r\n", "\n"), "wrote in the text")
    };
    let problems = shop::read(&text).1;
    if !problems.is_empty() {
        return Ok(again(version, &text, &problems));
    }
    match super::keep(&app, version, text, did.into(), who.name().to_string()).await? {
        Saved::Done { .. } | Saved::Merged { .. } => Ok(see("/shop")),
        Saved::Conflict { .. } => Err(Refused::new(
            StatusCode::CONFLICT,
            "Another device has changed the same lines meanwhile. Nothing of yours was written, nothing of theirs is lost: look at the text again and make your change anew.",
        )),
    }
}

fn again(version: u32, text: &str, problems: &[Problem]) -> Response {
    (StatusCode::UNPROCESSABLE_ENTITY, shown(text_page(version, text, problems))).into_response()
}

/// More are not read at once.
const MOST_TOLD: usize = 20;

fn text_page(version: u32, text: &str, problems: &[Problem]) -> Markup {
    let line = |problem: &Problem| text.get(..problem.at.start).map_or(1, |before| before.matches('\n').count() + 1);
    let body = html! {
        header.head { h1 { a href="/shop" { "Shop" } } p.sub { "the shop file: what is written here is what is kept" } }
        @if !problems.is_empty() {
            div.refused role="alert" {
                p { b { "Nothing of this is kept before it is mended." } }
                @for problem in problems.iter().take(MOST_TOLD) {
                    p { "Line " (line(problem)) ": " (problem.message) @if let Some(help) = &problem.help { " (" (help) ")" } }
                }
                @if problems.len() > MOST_TOLD { p { "And " (problems.len() - MOST_TOLD) " more." } }
            }
        }
        form method="post" action="/shop/text" {
            input type="hidden" name="version" value=(version);
            label for="text" { "Text of the shop file" }
            textarea.num #text name="text" rows=(text.lines().count().clamp(12, 40)) spellcheck="false" { "\n" (text) }
            div.row { button.act type="submit" { "Keep it" } a.act.quiet href="/shop" { "Leave it" } }
        }
        form.new method="post" action="/shop/text" enctype="multipart/form-data" {
            h2 { "Put another shop file in its place" }
            label for="file" { "Shop file (.toml)" }
            input #file type="file" name="file" accept=".toml" required;
            div.row { button.act.quiet type="submit" { "Put it in" } }
        }
    };
    page(&Frame { title: "Shop file", at: Tab::Shop, ..Frame::default() }, &body)
}
