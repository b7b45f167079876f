//! The cookie by which a paired device is known.

use axum::http::header::{COOKIE, HeaderMap};

const NAME: &str = "sparewright-device";

/// Kept for a year; it is sent to nobody else and no script sees it. There is no TLS in a shop's network, so it is not marked
/// `Secure`, which would keep it from being sent at all.
pub fn set(token: &str) -> String {
    format!("{NAME}={token}; Path=/; Max-Age=31536000; HttpOnly; SameSite=Strict")
}

/// The token that came with a request.
pub fn token(headers: &HeaderMap) -> Option<String> {
    let cookies = headers.get_all(COOKIE).into_iter().filter_map(|value| value.to_str().ok());
    let pairs = cookies.flat_map(|line| line.split(';')).filter_map(|pair| pair.trim().split_once('='));
    pairs.into_iter().find(|(name, _)| *name == NAME).map(|(_, token)| token.to_string())
}
