//! What pages load: style, script, type. All of it is in the program; nothing comes from elsewhere.

use std::sync::LazyLock;

use axum::extract::Path;
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use sha2::{Digest, Sha256};

use super::answer::{Answer, Refused};

/// Name, type, contents.
const ASSETS: &[(&str, &str, &[u8])] = &[
    ("notebook.css", "text/css; charset=utf-8", include_bytes!("assets/notebook.css")),
    ("notebook.js", "text/javascript; charset=utf-8", include_bytes!("assets/notebook.js")),
    ("scan.js", "text/javascript; charset=utf-8", include_bytes!("assets/scan.js")),
    ("spaces.js", "text/javascript; charset=utf-8", include_bytes!("assets/spaces.js")),
    ("htmx.min.js", "text/javascript; charset=utf-8", include_bytes!("assets/htmx.min.js")),
    ("mark.svg", "image/svg+xml", include_bytes!("assets/mark.svg")),
    ("sans.otf", "font/otf", include_bytes!("../../../../data/fonts/SourceSans3-Regular.otf")),
    ("sans-strong.otf", "font/otf", include_bytes!("../../../../data/fonts/SourceSans3-Semibold.otf")),
    ("mono.otf", "font/otf", include_bytes!("../../../../data/fonts/SourceCodePro-Regular.otf")),
    ("mono-strong.otf", "font/otf", include_bytes!("../../../../data/fonts/SourceCodePro-Semibold.otf")),
];

/// Changes with what is in the program, so that a browser may keep what it has for good.
static EDITION: LazyLock<String> = LazyLock::new(|| {
    let mut all = Sha256::new();
    for (_, _, contents) in ASSETS {
        all.update(contents);
    }
    all.finalize().iter().take(6).map(|byte| format!("{byte:02x}")).collect()
});

/// Where an asset is found.
pub fn path(name: &str) -> String {
    format!("/assets/{}/{name}", *EDITION)
}

/// An asset; of another edition too, for a page that was open while the program was changed.
pub async fn show(Path((edition, name)): Path<(String, String)>) -> Answer {
    let (_, kind, contents) = ASSETS.iter().find(|(known, _, _)| *known == name).ok_or(Refused::missing("file"))?;
    let keep = if edition == *EDITION { "public, max-age=31536000, immutable" } else { "no-cache" };
    Ok(([(CONTENT_TYPE, *kind), (CACHE_CONTROL, keep)], *contents).into_response())
}

impl From<Refused> for Response {
    fn from(refused: Refused) -> Response {
        refused.into_response()
    }
}
