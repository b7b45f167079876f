//! The same for programs: JSON over HTTP, described by an OpenAPI 3.1 document that is made from this very code.

pub mod archives;
pub mod backups;
pub mod history;

use std::collections::BTreeMap;

use axum::body::Bytes;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use axum::{Extension, Json};
use quantity::{Line, Problem, Unit};
use record::{By, Edit, JobId, Saved};
use serde::{Deserialize, Serialize};
use serde_json::Value;
use utoipa::{OpenApi, ToSchema};

use super::answer::{Answer, Refused, aside};
use super::guard::Who;
use super::jobs::typed::understood;
use super::state::{App, Kept};
use super::{jobs, machine, scans};
use crate::job::{NoPictures, forms};
use crate::shop::bench;
use crate::solve::Memory;
use crate::worked::{kind, worked};

/// The document.
#[derive(Debug, OpenApi)]
#[openapi(
    info(
        title = "Sparewright",
        description = "Jobs of a repair shop: readings, findings, design, making, checking, price. Lengths in results are in mm, angles in degrees, money in cents. On the machine the notebook runs on nothing else is needed; from the shop's network, with `serve --shop-network`, the cookie of a paired device. Beside what stands at a route, any may answer with the same `why`: 401 (the device is not paired), 403 (it came from another site's page), 408 (it was sent too slowly), 413 (too much was sent), 421 (called by another address than the printed one), 507 (the disk is full, and nothing was changed)."
    ),
    paths(
        list,
        add,
        get,
        save,
        result,
        pack,
        solve,
        understand,
        kinds,
        machine::place::list,
        machine::place::step,
        scans::put::put,
        archives::job,
        archives::everything,
        archives::import,
        backups::list,
        backups::make,
        backups::restore,
        history::of_job,
        history::job_at,
        history::bring_back_job,
        history::of_shop,
        history::shop_at,
        history::bring_back_shop
    ),
    components(schemas(Why))
)]
pub struct Document;

/// Why something was not done.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct Why {
    /// A sentence for people that says what to do.
    pub why: String,
}

pub async fn document() -> Json<utoipa::openapi::OpenApi> {
    Json(Document::openapi())
}

/// A job in the list.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct Listed {
    pub id: i64,
    pub title: String,
    /// What the part is, in a line.
    pub summary: String,
    /// When it was changed last.
    pub changed: String,
}

/// What is looked for.
#[derive(Debug, Default, Deserialize, utoipa::IntoParams)]
#[into_params(parameter_in = Query)]
pub struct Looked {
    /// Words, or what it is, as on the page: `44 teeth 10 dp`. All jobs without it, the latest changed first.
    #[serde(default)]
    pub q: String,
    /// So many are passed over.
    #[serde(default)]
    pub from: usize,
}

/// Jobs that are not taken off the list, up to a thousand at a time.
#[utoipa::path(get, path = "/api/jobs", tag = "jobs", params(Looked),
    responses((status = 200, description = "The jobs", body = Vec<Listed>)))]
pub async fn list(State(app): State<App>, Query(looked): Query<Looked>) -> Response {
    told(async {
        app.fresh().await?;
        let found = app
            .kept(move |store| {
                let query = crate::records::query(&looked.q, &store.measures()?, record::Query::MOST);
                store.search(&record::Query { from: looked.from, ..query })
            })
            .await?;
        let listed = found.hits.into_iter().map(|hit| Listed {
            id: hit.id.number(),
            title: hit.title,
            summary: hit.summary,
            changed: hit.changed.to_string(),
        });
        Ok(Json(listed.collect::<Vec<_>>()).into_response())
    })
    .await
}

/// A job as it is kept.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct Job {
    pub id: i64,
    /// Counted from 1; give it back when you save.
    pub version: u32,
    /// The job file, TOML.
    pub text: String,
}

/// Keeps a new job.
#[utoipa::path(post, path = "/api/jobs", tag = "jobs",
    request_body(content = String, content_type = "application/toml", description = "The job file"),
    responses((status = 201, description = "It is kept", body = Job),
        (status = 422, description = "It is no text, or too long", body = Why)))]
pub async fn add(State(app): State<App>, Extension(who): Extension<Who>, body: Bytes) -> Response {
    told(async {
        let text = crate::text_of(&body).map_err(Refused::wrong)?.to_string();
        let given = text.clone();
        let id = app.kept(move |store| store.add(&given, "brought in", By::now(who.name()))).await?;
        Ok((StatusCode::CREATED, Json(Job { id: id.number(), version: 1, text })).into_response())
    })
    .await
}

/// A job's text.
#[utoipa::path(get, path = "/api/jobs/{id}", tag = "jobs",
    params(("id" = i64, Path, description = "Number of the job")),
    responses((status = 200, description = "The job", body = Job), (status = 404, description = "There is no such job", body = Why)))]
pub async fn get(State(app): State<App>, Path(id): Path<i64>) -> Response {
    told(async {
        let Kept { id, version, text } = app.job(id).await?;
        Ok(Json(Job { id: id.number(), version, text }).into_response())
    })
    .await
}

/// A text as you want it, and the version you made it from.
#[derive(Clone, Debug, Deserialize, ToSchema)]
pub struct Wanted {
    pub version: u32,
    pub text: String,
    /// For the history; may be left out.
    #[serde(default)]
    pub what: String,
}

/// Saves a job. Where it has moved on since your version, both changes are put together if they keep out of each other's way.
#[utoipa::path(put, path = "/api/jobs/{id}", tag = "jobs",
    params(("id" = i64, Path, description = "Number of the job")), request_body = Wanted,
    responses((status = 200, description = "Saved; the text may hold another's change too", body = Job),
        (status = 409, description = "Another's change is in the way: nothing was written, and this is what stands there", body = Job),
        (status = 404, description = "There is no such job or version", body = Why),
        (status = 422, description = "It is not JSON of this form, or too long", body = Why)))]
pub async fn save(
    State(app): State<App>,
    Path(id): Path<i64>,
    Extension(who): Extension<Who>,
    body: Result<Json<Wanted>, axum::extract::rejection::JsonRejection>,
) -> Response {
    told(async {
        let Json(wanted) = body.map_err(|error| Refused::wrong(error.body_text()))?;
        let job = JobId::new(id).ok_or(Refused::missing("job"))?;
        let what = if wanted.what.is_empty() { "saved by a program" } else { wanted.what.as_str() }.to_string();
        let (text, base, who) = (wanted.text.clone(), wanted.version, who.name().to_string());
        let saved =
            app.kept(move |store| store.save(job, Edit { base, text: &text, what: &what }, By::now(&who))).await?;
        let (status, version, text) = match saved {
            Saved::Done { version } => (StatusCode::OK, version, wanted.text),
            Saved::Merged { version, text } => (StatusCode::OK, version, text),
            Saved::Conflict { version, theirs } => (StatusCode::CONFLICT, version, theirs),
        };
        Ok((status, Json(Job { id, version, text })).into_response())
    })
    .await
}

/// The result of a job, as `solve --json` prints it.
#[utoipa::path(get, path = "/api/jobs/{id}/result", tag = "jobs",
    params(("id" = i64, Path, description = "Number of the job")),
    responses((status = 200, description = "Findings, minutes, price", body = Object),
        (status = 404, description = "There is no such job", body = Why)))]
pub async fn result(State(app): State<App>, Path(id): Path<i64>) -> Response {
    told(async { jobs::files::result(State(app), Path(id)).await }).await
}

/// The job pack.
#[utoipa::path(get, path = "/api/jobs/{id}/pack", tag = "jobs",
    params(("id" = i64, Path, description = "Number of the job")),
    responses((status = 200, description = "The sheets", body = Vec<u8>, content_type = "application/pdf"),
        (status = 404, description = "There is no such job", body = Why),
        (status = 422, description = "Something in the job is wrong", body = Why)))]
pub async fn pack(State(app): State<App>, Path(id): Path<i64>) -> Response {
    told(async { jobs::files::pack(State(app), Path(id)).await }).await
}

/// A mistake with its place.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct Mistake {
    /// Bytes of the text, from and up to.
    pub at: [usize; 2],
    pub message: String,
    pub expected: String,
    pub help: Option<String>,
}

impl From<Problem> for Mistake {
    fn from(problem: Problem) -> Mistake {
        let at = [problem.at.start, problem.at.end];
        Mistake { at, message: problem.message, expected: problem.expected, help: problem.help }
    }
}

/// What a job file gives, without keeping it.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct Answered {
    /// As `solve --json` prints it; null where nothing could be read.
    #[schema(value_type = Option<Object>)]
    pub result: Value,
    pub problems: Vec<Mistake>,
}

/// Solves a job file without keeping it. Pictures that it names are not at hand.
#[utoipa::path(post, path = "/api/solve", tag = "jobs",
    request_body(content = String, content_type = "application/toml", description = "The job file"),
    responses((status = 200, description = "What it gives, and what is wrong with it", body = Answered),
        (status = 422, description = "It is no text, or too long", body = Why)))]
pub async fn solve(State(app): State<App>, body: Bytes) -> Response {
    told(async {
        let text = crate::text_of(&body).map_err(Refused::wrong)?.to_string();
        let shop = app.shop()?;
        let turn = app.solving().await?;
        let answered = aside(move || {
            let (_, problems) = crate::job::read(&text, features::kinds(), &shop.instruments);
            let today = jiff::ZonedDateTime::now().date();
            let done = worked(&text, &shop, &NoPictures, today, &Memory::default());
            Answered { result: done.result, problems: problems.into_iter().map(Mistake::from).collect() }
        })
        .await?;
        drop(turn);
        Ok(Json(answered).into_response())
    })
    .await
}

/// A reading to be understood.
#[derive(Clone, Debug, Deserialize, ToSchema)]
pub struct Reading {
    /// Kind of the feature: "toothed rim".
    pub kind: String,
    /// Of a bare number: "in" or "mm".
    pub units: String,
    pub line: String,
}

/// How a reading is understood, or what is wrong with it.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct Understood {
    /// In strict form, in the other unit too, and what it is good to; null where something is wrong.
    pub understood: Option<String>,
    /// What was measured, in mm, and its standard uncertainty; null where it is no length.
    pub value_mm: Option<f64>,
    pub sigma_mm: Option<f64>,
    pub problems: Vec<Mistake>,
}

/// Reads one line in shop language, by the parser of the job file.
#[utoipa::path(post, path = "/api/readings", tag = "readings", request_body = Reading,
    responses((status = 200, description = "How it is understood", body = Understood),
        (status = 422, description = "It is not JSON of this form, or there is no such kind", body = Why)))]
pub async fn understand(
    State(app): State<App>,
    body: Result<Json<Reading>, axum::extract::rejection::JsonRejection>,
) -> Response {
    told(async {
        let Json(reading) = body.map_err(|error| Refused::wrong(error.body_text()))?;
        let kind = kind(&reading.kind).ok_or(Refused::wrong("There is no such kind of feature."))?;
        let unit = if reading.units == "mm" { Unit::Millimetre } else { Unit::Inch };
        let shop = app.shop()?;
        let bench = bench(unit, &shop.instruments);
        let out = match Line::read(&reading.line, &forms(kind), &bench) {
            Ok(line) => {
                let measured = line.value().and_then(|value| value.length(&bench, line.instrument.as_deref()));
                Understood {
                    understood: Some(understood(&line, unit, &shop.instruments)),
                    value_mm: measured.map(|measured| measured.value.mm()),
                    sigma_mm: measured.map(|measured| measured.sigma.mm()),
                    problems: Vec::new(),
                }
            }
            Err(problems) => Understood {
                understood: None,
                value_mm: None,
                sigma_mm: None,
                problems: problems.into_iter().map(Mistake::from).collect(),
            },
        };
        Ok(Json(out).into_response())
    })
    .await
}

/// Every kind of feature with the forms of its readings.
#[utoipa::path(get, path = "/api/kinds", tag = "readings",
    responses((status = 200, description = "Forms by kind", body = BTreeMap<String, Vec<String>>)))]
pub async fn kinds() -> Json<BTreeMap<String, Vec<String>>> {
    let of = |kind: &&'static dyn part::Kind| {
        (kind.name().to_string(), forms(*kind).into_iter().map(quantity::Form::spoken).collect())
    };
    Json(features::kinds().iter().map(of).collect())
}

/// The answer, or why not as JSON.
async fn told(answer: impl Future<Output = Answer>) -> Response {
    answer.await.unwrap_or_else(|refused| refused.json())
}
