//! Backups: what there is, one more, and back to one of them.

use axum::Json;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use serde::Serialize;
use utoipa::ToSchema;

use super::{Why, told};
use crate::web::backups;
use crate::web::state::App;

/// A whole copy of the records.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct Backup {
    /// What it is asked for by.
    pub name: String,
    /// When it was made.
    pub at: String,
    pub bytes: u64,
    /// Kept because an older state took the records' place; such a one is never thrown away.
    pub before_restoring: bool,
}

impl From<record::Backup> for Backup {
    fn from(backup: record::Backup) -> Backup {
        Backup {
            name: backups::name(&backup),
            at: backup.at.to_string(),
            bytes: backup.bytes,
            before_restoring: backup.before_restoring,
        }
    }
}

/// The backups there are, the newest first.
#[utoipa::path(get, path = "/api/backups", tag = "backups",
    responses((status = 200, description = "The backups", body = Vec<Backup>)))]
pub async fn list(State(app): State<App>) -> Response {
    told(async {
        let list = backups::list::all(&app).await?;
        Ok(Json(list.into_iter().map(Backup::from).collect::<Vec<_>>()).into_response())
    })
    .await
}

/// Makes one now. Those that are no longer to be kept, by count and age, are thrown away.
#[utoipa::path(post, path = "/api/backups", tag = "backups",
    responses((status = 201, description = "It is on disk and was looked through", body = Backup)))]
pub async fn make(State(app): State<App>) -> Response {
    told(async { Ok((StatusCode::CREATED, Json(Backup::from(backups::make::made(&app).await?))).into_response()) })
        .await
}

/// Makes all jobs and the shop what they were in a backup. What they are now is kept as a backup first, which is answered.
#[utoipa::path(post, path = "/api/backups/{name}/restore", tag = "backups",
    params(("name" = String, Path, description = "Name of the backup, as in the list")),
    responses((status = 200, description = "Done; this is what was until now", body = Backup),
        (status = 404, description = "There is no such backup", body = Why)))]
pub async fn restore(State(app): State<App>, Path(name): Path<String>) -> Response {
    told(async { Ok(Json(Backup::from(backups::restore::restored(&app, &name).await?)).into_response()) }).await
}
