//! A feature takes its readings from a scan, or leaves them out again.

use axum::extract::{Path, State};
use axum::{Extension, Form};
use serde::Deserialize;

use crate::job::edit::Edit;
use crate::web::answer::{Answer, see};
use crate::web::guard::Who;
use crate::web::jobs::{Target, changed, urlencoded};
use crate::web::state::App;

#[derive(Debug, Deserialize)]
pub struct Take {
    at: Target,
    take: bool,
}

pub async fn take(
    State(app): State<App>,
    Path((id, name)): Path<(i64, String)>,
    Extension(who): Extension<Who>,
    Form(take): Form<Take>,
) -> Answer {
    let value = take.take.then(|| name.as_str().into());
    changed(&app, id, &who, Edit::SetField { at: take.at.0, field: "scan".into(), value }).await?;
    Ok(see(&format!("/jobs/{id}/pictures/{}", urlencoded(&name))))
}
