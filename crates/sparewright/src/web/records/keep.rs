//! A job copied for a repeat order, or taken off the list.

use axum::Extension;
use axum::extract::{Path, State};
use record::By;

use crate::web::answer::{Answer, see};
use crate::web::guard::Who;
use crate::web::state::App;

pub async fn copy(State(app): State<App>, Path(id): Path<i64>, Extension(who): Extension<Who>) -> Answer {
    let kept = app.job(id).await?;
    let copy = app.kept(move |store| store.copy(kept.id, By::now(who.name()))).await?;
    Ok(see(&format!("/jobs/{copy}")))
}

pub async fn remove(State(app): State<App>, Path(id): Path<i64>, Extension(who): Extension<Who>) -> Answer {
    let kept = app.job(id).await?;
    app.kept(move |store| store.remove(kept.id, By::now(who.name()))).await?;
    Ok(see("/"))
}
