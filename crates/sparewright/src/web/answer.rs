//! What a handler gives back: a page, or why not, as a sentence on a page.

use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Redirect, Response};
use maud::{Markup, html};

use super::frame::{Frame, page};

/// A page, or a refusal.
pub type Answer<T = Response> = Result<T, Refused>;

/// Why something is not done, in words for a person, or as JSON for a program.
#[derive(Clone, Debug)]
pub struct Refused {
    pub status: StatusCode,
    pub why: String,
}

impl Refused {
    pub fn new(status: StatusCode, why: impl Into<String>) -> Refused {
        Refused { status, why: why.into() }
    }

    pub fn missing(what: &str) -> Refused {
        Refused::new(StatusCode::NOT_FOUND, format!("There is no such {what} in this notebook."))
    }

    pub fn wrong(why: impl Into<String>) -> Refused {
        Refused::new(StatusCode::UNPROCESSABLE_ENTITY, why)
    }

    /// What was meant for us and went wrong here.
    pub fn ours(why: impl Into<String>) -> Refused {
        Refused::new(StatusCode::INTERNAL_SERVER_ERROR, why)
    }
}

impl From<record::Error> for Refused {
    fn from(error: record::Error) -> Refused {
        use record::Error;
        let status = match &error {
            Error::NoJob(_) | Error::NoVersion(_) | Error::NoAttachment(_) => StatusCode::NOT_FOUND,
            Error::Refused(_) => StatusCode::UNPROCESSABLE_ENTITY,
            Error::Full => StatusCode::INSUFFICIENT_STORAGE,
            Error::Busy => StatusCode::SERVICE_UNAVAILABLE,
            Error::NotAStore(_) | Error::Newer { .. } | Error::Damaged(_) | Error::File { .. } | Error::Database(_) => {
                StatusCode::INTERNAL_SERVER_ERROR
            }
        };
        Refused::new(status, error.to_string())
    }
}

impl Refused {
    /// The same for a program.
    pub fn json(&self) -> Response {
        (self.status, axum::Json(serde_json::json!({ "why": self.why }))).into_response()
    }
}

impl Refused {
    /// What the page is headed with.
    pub fn title(&self) -> &'static str {
        match self.status {
            StatusCode::NOT_FOUND => "Not here",
            StatusCode::CONFLICT => "Changed meanwhile",
            StatusCode::INTERNAL_SERVER_ERROR => "It went wrong here",
            _ => "Not done",
        }
    }
}

impl IntoResponse for Refused {
    /// A page of its own; where it is known what was asked, it is set anew with the way back.
    fn into_response(self) -> Response {
        let body = html! {
            header.head { h1 { (self.title()) } }
            p.refused role="alert" { (self.why) }
            p { a href="/" { "To the records" } }
        };
        let page = Html(page(&Frame::titled(self.title()), &body).into_string());
        let mut response = (self.status, page).into_response();
        response.extensions_mut().insert(self);
        response
    }
}

/// A page as an answer.
pub fn shown(markup: Markup) -> Response {
    Html(markup.into_string()).into_response()
}

/// Done: look at this page next.
pub fn see(place: &str) -> Response {
    Redirect::to(place).into_response()
}

/// Runs work that takes time or waits for the disk off the threads that answer.
pub async fn aside<T: Send + 'static>(work: impl FnOnce() -> T + Send + 'static) -> Answer<T> {
    tokio::task::spawn_blocking(work)
        .await
        .map_err(|_| Refused::ours("The work on this page broke off. What was kept before is safe; try again."))
}
