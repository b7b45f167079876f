//! What a job says about itself: title, units, material, what is to be made.

use std::collections::BTreeMap;

use axum::extract::{Path, State};
use axum::{Extension, Form};

use super::changed;
use super::features::value;
use crate::job::edit::Edit;
use crate::web::answer::{Answer, see};
use crate::web::guard::Who;
use crate::web::state::App;

pub async fn fill(
    State(app): State<App>,
    Path(id): Path<i64>,
    Extension(who): Extension<Who>,
    Form(typed): Form<BTreeMap<String, String>>,
) -> Answer {
    let kept = app.job(id).await?;
    let worked = app.worked(&kept).await?;
    for field in &worked.head {
        let Some(text) = typed.get(field.name).filter(|text| text.trim() != field.value.trim()) else { continue };
        changed(&app, id, &who, Edit::SetHead { field: field.name.into(), value: value(field.shape, text) }).await?;
    }
    // back to where it was filled in, which is a page of this job
    let then = typed.get("then").filter(|then| then.starts_with(&format!("/jobs/{id}/")) && !then.contains(".."));
    Ok(see(then.unwrap_or(&format!("/jobs/{id}"))))
}
