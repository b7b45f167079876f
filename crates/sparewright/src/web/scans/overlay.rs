//! What was found, drawn over the scan.

use axum::extract::{Path, State};
use quantity::{Length, print};

use crate::web::answer::{Answer, Refused, aside};
use crate::web::jobs::files::file;
use crate::web::state::App;

pub async fn show(State(app): State<App>, Path((id, name)): Path<(i64, String)>) -> Answer {
    let kept = app.job(id).await?;
    let (scan, _) = app.scan(&kept, &name).await?.map_err(Refused::wrong)?;
    let unit = app.worked(&kept).await?.unit;
    let asked = name.clone();
    let svg = aside(move || {
        let picture = app.with_pictures(kept.id, |pictures| pictures.picture(&asked))?;
        Ok::<_, String>(scan::overlay::svg(&picture, &scan, &|mm| print::length(Length::from_mm(mm), unit, 3)))
    })
    .await?
    .map_err(Refused::wrong)?;
    Ok(file("image/svg+xml", &format!("{name}-overlay.svg"), svg.into_bytes()))
}
