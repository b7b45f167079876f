//! Pages pressed together for the wire.

use std::io::Write;

use axum::body::{Body, to_bytes};
use axum::extract::Request;
use axum::http::HeaderValue;
use axum::http::header::{ACCEPT_ENCODING, CONTENT_ENCODING, CONTENT_LENGTH, CONTENT_TYPE, VARY};
use axum::middleware::Next;
use axum::response::Response;
use flate2::Compression;
use flate2::write::GzEncoder;

/// What is shorter goes in one packet anyway.
const WORTH_IT: usize = 1_000;

/// Text goes out pressed where it is taken so.
pub async fn pressed(request: Request, next: Next) -> Response {
    let taken = request.headers().get(ACCEPT_ENCODING).and_then(|value| value.to_str().ok());
    let taken = taken.is_some_and(|taken| taken.split(',').any(|way| way.trim().split(';').next() == Some("gzip")));
    let response = next.run(request).await;
    let kind = response.headers().get(CONTENT_TYPE).and_then(|kind| kind.to_str().ok()).unwrap_or_default();
    let text = ["text/", "image/svg", "application/json", "application/toml", "font/otf"]
        .iter()
        .any(|lead| kind.starts_with(lead));
    if !taken || !text || response.headers().contains_key(CONTENT_ENCODING) {
        return response;
    }
    let (mut parts, body) = response.into_parts();
    // our own answers are in memory already
    let Ok(bytes) = to_bytes(body, usize::MAX).await else { return Response::from_parts(parts, Body::empty()) };
    if bytes.len() < WORTH_IT {
        return Response::from_parts(parts, Body::from(bytes));
    }
    let mut encoder = GzEncoder::new(Vec::new(), Compression::fast());
    match encoder.write_all(&bytes).and_then(|()| encoder.finish()) {
        Ok(small) => {
            parts.headers.insert(CONTENT_ENCODING, HeaderValue::from_static("gzip"));
            parts.headers.insert(VARY, HeaderValue::from_static("Accept-Encoding"));
            parts.headers.remove(CONTENT_LENGTH);
            Response::from_parts(parts, Body::from(small))
        }
        Err(_) => Response::from_parts(parts, Body::from(bytes)),
    }
}
