//! One more backup.

use axum::extract::State;
use jiff::Timestamp;
use record::Keep;

use crate::web::answer::{Answer, see};
use crate::web::state::App;

pub async fn make(State(app): State<App>) -> Answer {
    let backups = super::of(&app)?;
    app.kept(move |store| backups.make(store, Timestamp::now(), Keep::default())).await?;
    Ok(see("/backups"))
}
