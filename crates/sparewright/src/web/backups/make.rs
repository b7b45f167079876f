//! One more backup.

use axum::extract::State;
use jiff::Timestamp;
use record::{Backup, Keep};

use crate::web::answer::{Answer, see};
use crate::web::state::App;

pub async fn make(State(app): State<App>) -> Answer {
    made(&app).await?;
    Ok(see("/backups"))
}

pub async fn made(app: &App) -> Answer<Backup> {
    let backups = super::of(app)?;
    app.kept(move |store| backups.make(store, Timestamp::now(), Keep::default())).await
}
