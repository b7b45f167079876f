//! What was found, drawn over the scan.

use axum::extract::{Path, State};
use quantity::Unit;
use scan::overlay::Told;

use crate::web::answer::{Answer, Refused, aside};
use crate::web::jobs::files::file;
use crate::web::state::App;

pub async fn show(State(app): State<App>, Path((id, name)): Path<(i64, String)>) -> Answer {
    let kept = app.job(id).await?;
    let (scan, _) = app.scan(&kept, &name).await?.map_err(Refused::wrong)?;
    let told = match app.worked(&kept).await?.unit {
        Unit::Inch => Told::IN_INCHES,
        Unit::Millimetre => Told::IN_MM,
    };
    let asked = name.clone();
    let svg = aside(move || {
        let picture = app.with_pictures(kept.id, |pictures| pictures.picture(&asked))?;
        Ok::<_, String>(scan::overlay::svg_told(&picture, &scan, told))
    })
    .await?
    .map_err(Refused::wrong)?;
    Ok(file("image/svg+xml", &format!("{name}-overlay.svg"), svg.into_bytes()))
}
