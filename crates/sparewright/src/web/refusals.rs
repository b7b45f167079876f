//! What is refused, told so that nothing is lost: about which job it was, the way back, and what had been typed.

use axum::body::{Body, to_bytes};
use axum::extract::{Query, Request, State};
use axum::http::header::{CONTENT_TYPE, HOST, HeaderMap, REFERER};
use axum::http::{StatusCode, Uri};
use axum::middleware::Next;
use axum::response::{Html, IntoResponse, Response};
use maud::{Markup, html};
use toml_edit::{DocumentMut, Item};

use super::answer::Refused;
use super::frame::{Frame, Tab, page};
use super::state::App;

/// Sets the page of a refusal anew, with what is known of the request. Other answers go through as they are.
pub async fn told(State(app): State<App>, request: Request, next: Next) -> Response {
    let path = request.uri().path().to_string();
    let from = came_from(request.headers());
    let (request, typed) = typed(request).await;
    let response = next.run(request).await;
    let refused = response.extensions().get::<Refused>().cloned().or_else(|| rejected(&response, &path));
    let Some(refused) = refused else { return response };
    if path.starts_with("/api/") {
        return refused.json();
    }
    let about = about(&app, &path).await;
    let body = html! {
        header.head {
            div.grow { h1 { (refused.title()) } @if let Some((place, title)) = &about { p.sub { a href=(place) { (title) } } } }
        }
        p.refused role="alert" { (refused.why) }
        (taken_over(&typed))
        p.row {
            @if let Some(from) = from.filter(|from| about.as_ref().is_none_or(|(place, _)| from != place)) { a.act href=(from) { "Back to where it was typed" } }
            @if let Some((place, _)) = &about { a.act.quiet href=(place) { @if place.starts_with("/jobs/") { "To the job" } @else { "To the shop" } } }
            a.act.quiet href="/" { "To the records" }
        }
    };
    let frame = Frame {
        title: refused.title(),
        at: if about.is_some() { Tab::Records } else { Tab::None },
        ..Frame::default()
    };
    (refused.status, Html(page(&frame, &body).into_string())).into_response()
}

/// What was refused before a handler saw it: an address with words where a number belongs, a form that is not whole.
fn rejected(response: &Response, path: &str) -> Option<Refused> {
    let kind = response.headers().get(CONTENT_TYPE).and_then(|kind| kind.to_str().ok()).unwrap_or_default();
    let plain = response.status().is_client_error() && kind.starts_with("text/plain");
    plain.then(|| match response.status() {
        StatusCode::BAD_REQUEST => Refused::missing(if job_of(path).is_none() { "job" } else { "page" }),
        status => Refused::new(
            status,
            "This did not come as the page sends it, and nothing was done. Look at the page again.",
        ),
    })
}

/// The job a path is about.
fn job_of(path: &str) -> Option<i64> {
    path.trim_start_matches("/api").strip_prefix("/jobs/")?.split('/').next()?.parse().ok()
}

/// The page of the job that it was about, and its title; or the shop.
async fn about(app: &App, path: &str) -> Option<(String, String)> {
    if path.starts_with("/shop") {
        return Some(("/shop".into(), "The shop".into()));
    }
    let id = job_of(path)?;
    let kept = app.job(id).await.ok()?;
    let document = kept.text.parse::<DocumentMut>().ok();
    let title = document.as_ref().and_then(|document| document.get("title")).and_then(Item::as_str);
    let title = title.map(str::trim).filter(|title| !title.is_empty()).unwrap_or(crate::job::UNTITLED).to_string();
    Some((format!("/jobs/{id}"), title))
}

/// The page of ours that sent it.
fn came_from(headers: &HeaderMap) -> Option<String> {
    let host = headers.get(HOST)?.to_str().ok()?;
    let from = headers.get(REFERER)?.to_str().ok()?.strip_prefix("http://")?.strip_prefix(host)?;
    from.starts_with('/').then(|| from.to_string())
}

/// What a form says beside what was typed.
const UNSEEN: &[&str] = &[
    "alone", "at", "do", "feature", "kind", "lead", "line", "out", "piece", "row", "section", "seen", "sure", "tail",
    "take", "then", "undo", "version", "was",
];

/// A form that is longer is a whole text, which stands in the page it was typed in.
const LONGEST: usize = 60_000;

/// The request again, and what was typed in its form.
async fn typed(request: Request) -> (Request, Vec<(String, String)>) {
    let kind = request.headers().get(CONTENT_TYPE).and_then(|kind| kind.to_str().ok()).unwrap_or_default();
    if !kind.starts_with("application/x-www-form-urlencoded") {
        return (request, Vec::new());
    }
    let (parts, body) = request.into_parts();
    // the guard has read it into memory already, up to its own bounds
    let bytes = to_bytes(body, usize::MAX).await.unwrap_or_default();
    let fields = std::str::from_utf8(&bytes).ok().filter(|form| form.len() < LONGEST);
    let fields = fields.and_then(|form| format!("/?{form}").parse::<Uri>().ok());
    let fields = fields.and_then(|form| Query::<Vec<(String, String)>>::try_from_uri(&form).ok());
    let spaces = parts.uri.path().ends_with("/spaces");
    let seen = fields.map(|Query(fields)| fields).unwrap_or_default().into_iter();
    let seen = seen.filter(|(name, value)| !spaces && !UNSEEN.contains(&name.as_str()) && !value.trim().is_empty());
    (Request::from_parts(parts, Body::from(bytes)), seen.collect())
}

/// What was typed, to be taken over by hand.
fn taken_over(typed: &[(String, String)]) -> Markup {
    html! {
        @if !typed.is_empty() {
            section.typed-so {
                h2 { "What was typed" }
                @for (index, (name, value)) in typed.iter().enumerate() {
                    label for={ "typed-" (index) } { (name.replace(['_', '.'], " ")) }
                    textarea.num id={ "typed-" (index) } readonly rows=(value.lines().count().clamp(1, 12)) { "\n" (value) }
                }
            }
        }
    }
}
