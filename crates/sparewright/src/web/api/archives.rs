//! Jobs taken out as one file and brought in again.

use axum::body::Bytes;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Response};
use axum::{Extension, Json};
use record::BroughtIn;
use serde::Serialize;
use utoipa::ToSchema;

use super::{Why, told};
use crate::web::guard::Who;
use crate::web::records::{bring_in, take_out};
use crate::web::state::App;

/// A job with its pictures and its whole history, as one file.
#[utoipa::path(get, path = "/api/jobs/{id}/archive", tag = "archives",
    params(("id" = i64, Path, description = "Number of the job")),
    responses((status = 200, description = "The archive", body = Vec<u8>, content_type = "application/zip"),
        (status = 404, description = "There is no such job", body = Why)))]
pub async fn job(State(app): State<App>, Path(id): Path<i64>) -> Response {
    told(take_out::job(State(app), Path(id))).await
}

/// All jobs and the shop with their histories, as one file.
#[utoipa::path(get, path = "/api/export", tag = "archives",
    responses((status = 200, description = "The archive", body = Vec<u8>, content_type = "application/zip"),
        (status = 422, description = "The records are larger than a gigabyte, which the command line takes out", body = Why)))]
pub async fn everything(State(app): State<App>) -> Response {
    told(take_out::everything(State(app))).await
}

/// What came of a file.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct Brought {
    /// Jobs that are new here.
    pub added: Vec<New>,
    /// Jobs that were here and have gone on in the file, by their number here.
    pub grown: Vec<i64>,
    /// Jobs that were here already, by their number here.
    pub known: Vec<i64>,
    /// The shop was taken over, for there was none here yet.
    pub shop: bool,
}

/// A job that is new here.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct New {
    pub id: i64,
    /// Its number in the archive; a job file has none, and it is the number here.
    pub was: i64,
}

impl From<BroughtIn> for Brought {
    fn from(brought: BroughtIn) -> Brought {
        let numbers = |ids: Vec<record::JobId>| ids.into_iter().map(record::JobId::number).collect();
        Brought {
            added: brought.added.into_iter().map(|(was, id)| New { id: id.number(), was }).collect(),
            grown: numbers(brought.grown),
            known: numbers(brought.known),
            shop: brought.shop,
        }
    }
}

/// Brings in an archive, or a job file. A job that is here already, by its whole history, is left alone or goes on as it
/// did elsewhere; any other is new. Nothing that is here is overwritten; where anything in it is wrong, nothing is taken.
#[utoipa::path(post, path = "/api/import", tag = "archives",
    request_body(content = Vec<u8>, content_type = "application/octet-stream", description = "The file, up to 64 MB"),
    responses((status = 200, description = "All of it is kept", body = Brought),
        (status = 413, description = "It is too large; the command line brings in larger ones", body = Why),
        (status = 422, description = "It is neither an archive nor a job file, or an archive that is not as it should be", body = Why)))]
pub async fn import(State(app): State<App>, Extension(who): Extension<Who>, body: Bytes) -> Response {
    told(async { Ok(Json(Brought::from(bring_in::kept(&app, &who, body).await?)).into_response()) }).await
}
