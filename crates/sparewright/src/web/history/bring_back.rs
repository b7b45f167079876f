//! An earlier state is made the present one.

use axum::Extension;
use axum::extract::{Path, State};
use record::{By, JobId};

use crate::web::answer::{Answer, Refused, see};
use crate::web::guard::Who;
use crate::web::state::App;

pub async fn of_job(
    State(app): State<App>,
    Path((id, version)): Path<(i64, u32)>,
    Extension(who): Extension<Who>,
) -> Answer {
    let id = JobId::new(id).ok_or(Refused::missing("job"))?;
    job(&app, id, version, who).await?;
    Ok(see(&format!("/jobs/{id}")))
}

/// The version that it is now.
pub async fn job(app: &App, id: JobId, version: u32, who: Who) -> Answer<u32> {
    let now = app.kept(move |store| store.bring_back(id, version, By::now(who.name()))).await?;
    // its pictures may be others now
    app.forget(id);
    Ok(now)
}

pub async fn of_shop(State(app): State<App>, Path(version): Path<u32>, Extension(who): Extension<Who>) -> Answer {
    shop(&app, version, who).await?;
    Ok(see("/shop"))
}

/// The version that it is now.
pub async fn shop(app: &App, version: u32, who: Who) -> Answer<u32> {
    app.kept({
        let app = app.clone();
        move |store| {
            let now = store.bring_back_shop(version, By::now(who.name()))?;
            app.reload_shop()?;
            Ok(now)
        }
    })
    .await
}
