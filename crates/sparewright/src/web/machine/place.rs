//! Where the work stands, by the key it is kept under. A plan that has changed has other keys, so that an old place is never
//! taken for a new one.

use std::collections::BTreeMap;

use axum::Json;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use axum::{Extension, response};
use making::Plan;
use record::{By, JobId, Marked};
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

use super::rounds::{Rounds, Run};
use crate::web::answer::{Answer, Refused};
use crate::web::guard::Who;
use crate::web::state::App;

/// The key of an operation: "operation 40 drill the pin holes 5f2a".
pub fn of_operation(plan: &Plan, index: usize) -> String {
    let Some(operation) = plan.operations.get(index) else { return String::new() };
    let title: String = operation.title.chars().take(60).collect();
    let all = [operation.set_up.as_str(), &operation.instructions.join("\n")].join("\n");
    format!("operation {} {title} {}", operation.number, short(&all))
}

/// The key of pieces being divided: "spaces of piece 2, 12 of 44 in 3 rounds 5f2a".
pub fn of_spaces(rounds: &Rounds<'_>, run: Run) -> String {
    let index = rounds.index;
    let (pieces, times) = (run.name().to_lowercase(), rounds.says.len());
    let all = [index.sentence(), rounds.says.join(", ")].join("\n");
    format!("spaces of {pieces}, {} of {} in {times} rounds {}", index.cut, index.divisions, short(&all))
}

fn short(text: &str) -> String {
    Sha256::digest(text.as_bytes()).iter().take(3).map(|byte| format!("{byte:02x}")).collect()
}

/// All that stands at a job.
pub async fn marks(app: &App, id: JobId) -> Answer<BTreeMap<String, String>> {
    let marks = app.kept(move |store| store.marks(id)).await?;
    Ok(marks.into_iter().map(|mark| (mark.key, mark.value)).collect())
}

/// A place as it is written: what was seen there before, and what stands there now.
#[derive(Clone, Debug, Deserialize, utoipa::ToSchema)]
pub struct Step {
    /// What it is the place of.
    pub key: String,
    /// What stood there when it was moved; left out to write it whatever stands there.
    pub seen: Option<String>,
    /// What stands there now; empty for nothing.
    pub value: String,
}

/// What stands there now.
#[derive(Clone, Debug, Serialize, utoipa::ToSchema)]
pub struct Stands {
    pub value: String,
}

/// Writes down where the work stands. It is on disk before it is answered; sent twice it is done once.
#[utoipa::path(put, path = "/api/jobs/{id}/marks", tag = "at the machine",
    params(("id" = i64, Path, description = "Number of the job")), request_body = Step,
    responses((status = 200, description = "Written down", body = Stands),
        (status = 409, description = "Somebody else has moved it meanwhile; nothing was written", body = Stands),
        (status = 404, description = "There is no such job", body = crate::web::api::Why)))]
pub async fn step(
    State(app): State<App>,
    Path(id): Path<i64>,
    Extension(who): Extension<Who>,
    body: Result<Json<Step>, axum::extract::rejection::JsonRejection>,
) -> Response {
    let written = async {
        let Json(step) = body.map_err(|error| Refused::wrong(error.body_text()))?;
        write(&app, id, &who, step).await
    };
    match written.await {
        Ok(Ok(value)) => Json(Stands { value }).into_response(),
        Ok(Err(value)) => (StatusCode::CONFLICT, Json(Stands { value })).into_response(),
        Err(refused) => refused.json(),
    }
}

/// What stands there: as wanted, or what somebody else has written meanwhile.
pub async fn write(app: &App, id: i64, who: &Who, step: Step) -> Answer<Result<String, String>> {
    let id = JobId::new(id).ok_or(Refused::missing("job"))?;
    let (value, who) = (step.value.clone(), who.name().to_string());
    let marked =
        app.kept(move |store| store.mark(id, &step.key, step.seen.as_deref(), &step.value, By::now(&who))).await?;
    Ok(match marked {
        Marked::Done => Ok(value),
        Marked::Elsewhere(theirs) => Err(theirs),
    })
}

/// Everything that stands at a job.
#[utoipa::path(get, path = "/api/jobs/{id}/marks", tag = "at the machine",
    params(("id" = i64, Path, description = "Number of the job")),
    responses((status = 200, description = "Each place by its key", body = BTreeMap<String, String>),
        (status = 404, description = "There is no such job", body = crate::web::api::Why)))]
pub async fn list(State(app): State<App>, Path(id): Path<i64>) -> response::Response {
    let all = async {
        let kept = app.job(id).await?;
        marks(&app, kept.id).await
    };
    match all.await {
        Ok(marks) => Json(marks).into_response(),
        Err(refused) => refused.json(),
    }
}
