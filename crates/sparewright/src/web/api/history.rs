//! Every change of a job and of the shop: looked at, and brought back.

use axum::extract::{Path, State};
use axum::response::{IntoResponse, Response};
use axum::{Extension, Json};
use record::JobId;
use serde::Serialize;
use utoipa::ToSchema;

use super::{Why, told};
use crate::web::answer::{Answer, Refused};
use crate::web::guard::Who;
use crate::web::history::{Of, bring_back, state};
use crate::web::state::App;

/// A change.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct Change {
    /// Of the state that it made; counted from 1.
    pub version: u32,
    pub at: String,
    pub who: String,
    pub what: String,
    /// It took the job off the list.
    pub removed: bool,
}

/// A state as it was.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct Earlier {
    pub version: u32,
    pub at: String,
    pub who: String,
    /// What was done to come to it.
    pub what: String,
    /// The job was off the list.
    pub removed: bool,
    /// The whole text, TOML.
    pub text: String,
    /// Names of the pictures it had.
    pub pictures: Vec<String>,
}

/// A state that is the present one again.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct BroughtBack {
    /// The new version, which is as the earlier one was.
    pub version: u32,
}

/// Every change of a job, the latest first.
#[utoipa::path(get, path = "/api/jobs/{id}/history", tag = "history",
    params(("id" = i64, Path, description = "Number of the job")),
    responses((status = 200, description = "The changes", body = Vec<Change>),
        (status = 404, description = "There is no such job", body = Why)))]
pub async fn of_job(State(app): State<App>, Path(id): Path<i64>) -> Response {
    told(async { changes(&app, Of::Job(numbered(id)?)).await }).await
}

/// A job as it was in a version.
#[utoipa::path(get, path = "/api/jobs/{id}/history/{version}", tag = "history",
    params(("id" = i64, Path, description = "Number of the job"), ("version" = u32, Path, description = "Counted from 1")),
    responses((status = 200, description = "The state", body = Earlier),
        (status = 404, description = "There is no such job or version", body = Why)))]
pub async fn job_at(State(app): State<App>, Path((id, version)): Path<(i64, u32)>) -> Response {
    told(async { earlier(&app, Of::Job(numbered(id)?), version).await }).await
}

/// Makes an earlier state of a job the present one, its pictures too. What came between stays in the history.
#[utoipa::path(post, path = "/api/jobs/{id}/history/{version}", tag = "history",
    params(("id" = i64, Path, description = "Number of the job"), ("version" = u32, Path, description = "Counted from 1")),
    responses((status = 200, description = "It is the present one", body = BroughtBack),
        (status = 404, description = "There is no such job or version", body = Why)))]
pub async fn bring_back_job(
    State(app): State<App>,
    Path((id, version)): Path<(i64, u32)>,
    Extension(who): Extension<Who>,
) -> Response {
    told(async {
        let version = bring_back::job(&app, numbered(id)?, version, who).await?;
        Ok(Json(BroughtBack { version }).into_response())
    })
    .await
}

/// Every change of the shop, the latest first; none for the small shop that comes with the program.
#[utoipa::path(get, path = "/api/shop/history", tag = "history",
    responses((status = 200, description = "The changes", body = Vec<Change>)))]
pub async fn of_shop(State(app): State<App>) -> Response {
    told(changes(&app, Of::Shop)).await
}

/// The shop as it was in a version.
#[utoipa::path(get, path = "/api/shop/history/{version}", tag = "history",
    params(("version" = u32, Path, description = "Counted from 1")),
    responses((status = 200, description = "The state; its text is a shop file", body = Earlier),
        (status = 404, description = "There is no such version", body = Why)))]
pub async fn shop_at(State(app): State<App>, Path(version): Path<u32>) -> Response {
    told(earlier(&app, Of::Shop, version)).await
}

/// Makes an earlier state of the shop the present one. What came between stays in the history.
#[utoipa::path(post, path = "/api/shop/history/{version}", tag = "history",
    params(("version" = u32, Path, description = "Counted from 1")),
    responses((status = 200, description = "It is the present one", body = BroughtBack),
        (status = 404, description = "There is no such version", body = Why)))]
pub async fn bring_back_shop(
    State(app): State<App>,
    Path(version): Path<u32>,
    Extension(who): Extension<Who>,
) -> Response {
    told(async { Ok(Json(BroughtBack { version: bring_back::shop(&app, version, who).await? }).into_response()) }).await
}

fn numbered(id: i64) -> Answer<JobId> {
    JobId::new(id).ok_or(Refused::missing("job"))
}

async fn changes(app: &App, of: Of) -> Answer {
    let changes = app.kept(move |store| of.changes(store)).await?;
    let told = changes.into_iter().map(|change| Change {
        version: change.version,
        at: change.at.to_string(),
        who: change.who,
        what: change.what,
        removed: change.removed,
    });
    Ok(Json(told.collect::<Vec<_>>()).into_response())
}

async fn earlier(app: &App, of: Of, version: u32) -> Answer {
    let seen = state::seen(app, of, version).await?;
    let told = Earlier {
        version,
        at: seen.state.at.to_string(),
        who: seen.who,
        what: seen.what,
        removed: seen.state.removed,
        text: seen.state.text,
        pictures: seen.pictures.into_iter().map(|picture| picture.name).collect(),
    };
    Ok(Json(told).into_response())
}
