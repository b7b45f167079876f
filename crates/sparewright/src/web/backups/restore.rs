//! Back to a backup. Only a name out of the list is taken, and never a path.

use axum::extract::{Path, State};
use jiff::Timestamp;
use record::Backup;

use crate::web::answer::{Answer, Refused, see};
use crate::web::state::App;

pub async fn restore(State(app): State<App>, Path(name): Path<String>) -> Answer {
    restored(&app, &name).await?;
    Ok(see("/"))
}

/// What the records were until now, as a backup of its own.
pub async fn restored(app: &App, name: &str) -> Answer<Backup> {
    let backups = super::of(app)?;
    let named = backups.named(name)?.ok_or(Refused::missing("backup"))?;
    let before = app
        .kept({
            let app = app.clone();
            move |store| {
                let before = backups.restore(store, &named.path, Timestamp::now())?;
                app.reload_shop()?;
                Ok(before)
            }
        })
        .await?;
    app.freshen();
    Ok(before)
}
