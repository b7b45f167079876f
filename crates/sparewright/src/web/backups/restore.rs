//! Back to a backup. Only a name out of the list is taken, and never a path.

use axum::extract::{Path, State};
use jiff::Timestamp;

use crate::web::answer::{Answer, Refused, see};
use crate::web::state::App;

pub async fn restore(State(app): State<App>, Path(name): Path<String>) -> Answer {
    let backups = super::of(&app)?;
    let named = backups.named(&name)?.ok_or(Refused::missing("backup"))?;
    app.kept({
        let app = app.clone();
        move |store| {
            backups.restore(store, &named.path, Timestamp::now())?;
            app.reload_shop()
        }
    })
    .await?;
    app.freshen();
    Ok(see("/"))
}
