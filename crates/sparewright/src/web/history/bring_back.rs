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
    app.kept(move |store| store.bring_back(id, version, By::now(who.name()))).await?;
    // its pictures may be others now
    app.forget(id);
    Ok(see(&format!("/jobs/{id}")))
}

pub async fn of_shop(State(app): State<App>, Path(version): Path<u32>, Extension(who): Extension<Who>) -> Answer {
    app.kept({
        let app = app.clone();
        move |store| {
            store.bring_back_shop(version, By::now(who.name()))?;
            app.reload_shop()
        }
    })
    .await?;
    Ok(see("/shop"))
}
