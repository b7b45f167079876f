//! What stands before every handler: who is called, from where, by whom, how much is sent and how long it may take.
//!
//! - `Host` must name this very machine by number, or `localhost`: a name that somebody else's server gives out for our
//!   address (DNS rebinding) is refused.
//! - What changes something must come from our own pages (`Origin`, else `Sec-Fetch-Site`); a program that is no browser
//!   sends neither.
//! - Whoever is not on this machine must be paired.
//! - A body is read whole before anything is done, up to a size and within a time.

use std::net::SocketAddr;
use std::time::Duration;

use axum::body::{Body, to_bytes};
use axum::extract::{Request, State};
use axum::http::header::{self, HeaderMap, HeaderName, HeaderValue};
use axum::http::{Method, StatusCode};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use record::DeviceId;

use super::answer::{Refused, see};
use super::devices::cookie;
use super::listen::Ends;
use super::state::App;

/// Who asks: the machine the notebook runs on, or a paired device.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Who {
    ThisMachine,
    Device { id: DeviceId, name: String },
}

impl Who {
    /// As it is written beside a change.
    pub fn name(&self) -> &str {
        match self {
            Who::ThisMachine => "this machine",
            Who::Device { name, .. } => name,
        }
    }
}

/// Nothing from elsewhere is loaded, nothing of ours is shown in another's frame, no script or style stands in a page.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; font-src 'self'; connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'";

const HEADERS: [(HeaderName, &str); 6] = [
    (header::CONTENT_SECURITY_POLICY, POLICY),
    (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
    (header::REFERRER_POLICY, "same-origin"),
    (HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
    (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
    (HeaderName::from_static("permissions-policy"), "camera=(self), geolocation=(), microphone=()"),
];

/// Any request that is not a picture or a notebook to be taken in.
const MOST_BYTES: usize = 2 * 1024 * 1024;
/// What the records take: a colour scan of a sheet at 600 dots to the inch, as PNG.
const MOST_PICTURE_BYTES: usize = record::LARGEST_ATTACHMENT;
/// In which a body must have come.
const BODY_WITHIN: Duration = Duration::from_secs(15);
const PICTURE_WITHIN: Duration = Duration::from_secs(180);
/// In which it must be answered.
const ANSWER_WITHIN: Duration = Duration::from_secs(120);

pub async fn guard(State(app): State<App>, request: Request, next: Next) -> Response {
    let as_json = wants_json(&request);
    let mut response = match admitted(&app, request).await {
        Ok(request) => match tokio::time::timeout(ANSWER_WITHIN, next.run(request)).await {
            Ok(response) => response,
            Err(_) => Refused::new(
                StatusCode::SERVICE_UNAVAILABLE,
                "This took too long and was given up. What was kept is safe.",
            )
            .into_response(),
        },
        Err(NotAdmitted::Refused(refused)) if as_json => refused.json(),
        Err(NotAdmitted::Refused(refused)) => refused.into_response(),
        Err(NotAdmitted::Unpaired) if as_json => {
            Refused::new(StatusCode::UNAUTHORIZED, "This device is not paired with the notebook.").json()
        }
        Err(NotAdmitted::Unpaired) => see("/pair"),
    };
    for (name, value) in HEADERS {
        response.headers_mut().entry(name).or_insert(HeaderValue::from_static(value));
    }
    response.headers_mut().entry(header::CACHE_CONTROL).or_insert(HeaderValue::from_static("no-store"));
    response
}

enum NotAdmitted {
    Refused(Refused),
    Unpaired,
}

fn refuse(status: StatusCode, why: &str) -> NotAdmitted {
    NotAdmitted::Refused(Refused::new(status, why))
}

fn wants_json(request: &Request) -> bool {
    request.uri().path().starts_with("/api/")
}

/// Every check, in order; the request with its body read and who it comes from.
async fn admitted(app: &App, request: Request) -> Result<Request, NotAdmitted> {
    let Some(ends) = request.extensions().get::<Ends>().copied() else {
        return Err(refuse(StatusCode::BAD_REQUEST, "Where this comes from is not known."));
    };
    let headers = request.headers();
    let host = headers.get(header::HOST).and_then(|host| host.to_str().ok()).unwrap_or_default().to_string();
    if !is_ours(&host, ends.local) {
        return Err(refuse(
            StatusCode::MISDIRECTED_REQUEST,
            "This is not the address the notebook is open at: type the address that the program has printed.",
        ));
    }
    if changes(request.method()) && !from_our_pages(headers, &host) {
        return Err(refuse(
            StatusCode::FORBIDDEN,
            "This came from another page than the notebook's own, and nothing was done.",
        ));
    }
    if drawn_in(headers) {
        return Err(refuse(StatusCode::FORBIDDEN, "Pages of the notebook are not loaded into others."));
    }
    let path = request.uri().path().to_string();
    let token = cookie::token(headers);
    let who = if ends.peer.ip().is_loopback() {
        Some(Who::ThisMachine)
    } else {
        app.device(token).await.map_err(NotAdmitted::Refused)?
    };
    let open = path == "/pair" || path.starts_with("/assets/");
    if who.is_none() && !open {
        return Err(NotAdmitted::Unpaired);
    }
    let (most, within) =
        if takes_pictures(&path) { (MOST_PICTURE_BYTES, PICTURE_WITHIN) } else { (MOST_BYTES, BODY_WITHIN) };
    // of those who send much at once, one waits for the other
    let _turn = if takes_pictures(&path) { Some(app.uploading().await) } else { None };
    let mut request = read_whole(request, most, within).await?;
    if let Some(who) = who {
        request.extensions_mut().insert(who);
    }
    Ok(request)
}

/// Where pictures, and whole notebooks, are sent to.
fn takes_pictures(path: &str) -> bool {
    (path.starts_with("/api/jobs/") && path.contains("/pictures/")) || path == "/import" || path == "/api/import"
}

async fn read_whole(request: Request, most: usize, within: Duration) -> Result<Request, NotAdmitted> {
    let (parts, body) = request.into_parts();
    let told = parts.headers.get(header::CONTENT_LENGTH).and_then(|length| length.to_str().ok()?.parse::<usize>().ok());
    let too_large =
        || refuse(StatusCode::PAYLOAD_TOO_LARGE, "This is more than is taken in here, and nothing of it was kept.");
    if told.is_some_and(|length| length > most) {
        return Err(too_large());
    }
    match tokio::time::timeout(within, to_bytes(body, most)).await {
        Ok(Ok(bytes)) => Ok(Request::from_parts(parts, Body::from(bytes))),
        Ok(Err(_)) => Err(too_large()),
        Err(_) => Err(refuse(StatusCode::REQUEST_TIMEOUT, "This was sent too slowly, and nothing of it was kept.")),
    }
}

/// The address that was called, or this machine by its usual names.
fn is_ours(host: &str, local: SocketAddr) -> bool {
    let port = local.port();
    let loopback = ["localhost", "127.0.0.1", "[::1]"].iter().any(|name| is_at(host, name, port));
    let called = match local {
        SocketAddr::V4(address) => address.ip().to_string(),
        SocketAddr::V6(address) => format!("[{}]", address.ip()),
    };
    (local.ip().is_loopback() && loopback) || is_at(host, &called, port)
}

fn is_at(host: &str, name: &str, port: u16) -> bool {
    host.strip_prefix(name).is_some_and(|rest| rest == format!(":{port}") || (rest.is_empty() && port == 80))
}

fn changes(method: &Method) -> bool {
    !matches!(*method, Method::GET | Method::HEAD | Method::OPTIONS)
}

fn from_our_pages(headers: &HeaderMap, host: &str) -> bool {
    let said = |name: HeaderName| headers.get(name).map(|value| value.to_str().unwrap_or("?").to_string());
    match (said(header::ORIGIN), said(HeaderName::from_static("sec-fetch-site"))) {
        (Some(origin), _) => origin == format!("http://{host}"),
        (None, Some(site)) => site == "same-origin" || site == "none",
        (None, None) => true,
    }
}

/// Loaded by another site's page, not opened by a person.
fn drawn_in(headers: &HeaderMap) -> bool {
    let said = |name: &'static str| headers.get(name).and_then(|value| value.to_str().ok());
    matches!(said("sec-fetch-site"), Some("cross-site" | "same-site")) && said("sec-fetch-mode") != Some("navigate")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn local(text: &str) -> SocketAddr {
        text.parse().expect("an address")
    }

    #[test]
    fn only_this_machine_is_called() {
        let loopback = local("127.0.0.1:7144");
        for ours in ["127.0.0.1:7144", "localhost:7144", "[::1]:7144"] {
            assert!(is_ours(ours, loopback), "{ours}");
        }
        for other in [
            "",
            "127.0.0.1",
            "localhost:80",
            "apple-mill.example:7144",
            "127.0.0.1:7144.example",
            "127.0.0.1.example:7144",
        ] {
            assert!(!is_ours(other, loopback), "{other}");
        }
        let shop = local("192.0.2.7:7144");
        assert!(is_ours("192.0.2.7:7144", shop));
        assert!(!is_ours("localhost:7144", shop) && !is_ours("192.0.2.8:7144", shop));
    }

    #[test]
    fn another_sites_page_changes_nothing() {
        let headers = |pairs: &[(&'static str, &'static str)]| {
            pairs.iter().map(|(name, value)| (HeaderName::from_static(name), HeaderValue::from_static(value))).collect()
        };
        let host = "127.0.0.1:7144";
        let ours = |pairs: &[_]| from_our_pages(&headers(pairs), host);
        assert!(ours(&[("origin", "http://127.0.0.1:7144")]));
        assert!(ours(&[]), "a program that is no browser");
        assert!(!ours(&[("origin", "http://evil.example")]));
        assert!(!ours(&[("origin", "null")]));
        assert!(!ours(&[("origin", "https://127.0.0.1:7144")]));
        assert!(!ours(&[("sec-fetch-site", "cross-site")]));
        assert!(drawn_in(&headers(&[("sec-fetch-site", "cross-site"), ("sec-fetch-mode", "no-cors")])));
        assert!(!drawn_in(&headers(&[("sec-fetch-site", "cross-site"), ("sec-fetch-mode", "navigate")])));
    }
}
