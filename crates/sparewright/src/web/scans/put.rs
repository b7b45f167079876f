//! A picture is put in, or fetched again.

use axum::body::Bytes;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use axum::{Extension, Json};
use record::By;
use scan::picture::Picture;
use serde::Serialize;

use crate::web::answer::{Answer, Refused, aside};
use crate::web::guard::Who;
use crate::web::jobs::files::file;
use crate::web::state::App;

/// A picture that was put in.
#[derive(Clone, Debug, Serialize, utoipa::ToSchema)]
pub struct Put {
    /// Pixels across and down.
    pub width: usize,
    pub height: usize,
    /// The job's version with it.
    pub version: u32,
}

/// Puts a picture in: PNG, JPEG, TIFF or BMP. It is read once before it is kept; what is no picture is refused.
#[utoipa::path(put, path = "/api/jobs/{id}/pictures/{name}", tag = "scans",
    params(("id" = i64, Path, description = "Number of the job"), ("name" = String, Path, description = "What it is called")),
    request_body(content = Vec<u8>, content_type = "application/octet-stream"),
    responses((status = 200, description = "It is kept", body = Put),
        (status = 404, description = "There is no such job", body = crate::web::api::Why),
        (status = 422, description = "It is no picture that can be measured", body = crate::web::api::Why)))]
pub async fn put(
    State(app): State<App>,
    Path((id, name)): Path<(i64, String)>,
    Extension(who): Extension<Who>,
    bytes: Bytes,
) -> Response {
    let kept = async {
        let kept = app.job(id).await?;
        let read = bytes.clone();
        let picture = aside(move || Picture::read(std::io::Cursor::new(&read[..]))).await?;
        let picture = picture.map_err(|error| Refused::wrong(error.to_string()))?;
        let who = who.name().to_string();
        let version = app.kept(move |store| store.attach(kept.id, &name, &bytes, By::now(&who))).await?;
        app.forget(kept.id);
        Answer::Ok(Put { width: picture.width(), height: picture.height(), version })
    };
    match kept.await {
        Ok(put) => (StatusCode::OK, Json(put)).into_response(),
        Err(refused) => refused.json(),
    }
}

/// The picture's file.
pub async fn get(State(app): State<App>, Path((id, name)): Path<(i64, String)>) -> Answer {
    let kept = app.job(id).await?;
    let stored = name.clone();
    let bytes = app.kept(move |store| store.attachment(kept.id, &stored)).await?;
    let kind = match bytes.get(..4) {
        Some([0x89, b'P', b'N', b'G']) => "image/png",
        Some([0xff, 0xd8, ..]) => "image/jpeg",
        Some([b'B', b'M', ..]) => "image/bmp",
        _ => "image/tiff",
    };
    Ok(file(kind, &name, bytes))
}
