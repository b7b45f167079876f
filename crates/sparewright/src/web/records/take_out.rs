//! A job, or everything, as one file.

use std::io::Cursor;

use axum::extract::{Path, State};

use crate::web::answer::{Answer, Refused};
use crate::web::jobs::files::{file, stem};
use crate::web::state::App;

const ZIP: &str = "application/zip";

pub async fn job(State(app): State<App>, Path(id): Path<i64>) -> Answer {
    let kept = app.job(id).await?;
    let worked = app.worked(&kept).await?;
    let bytes = app.kept(move |store| store.take_out(&[kept.id], Cursor::new(Vec::new()))).await?;
    Ok(file(ZIP, &format!("{}.zip", stem(&worked.title)), bytes.into_inner()))
}

/// What is put together in memory for a browser; beyond it the command line writes it straight to the disk.
const MOST_BYTES: u64 = 1_000_000_000;

pub async fn everything(State(app): State<App>) -> Answer {
    let size =
        app.kept(|store| Ok(store.path().and_then(|path| path.metadata().ok()).map_or(0, |data| data.len()))).await?;
    if size > MOST_BYTES {
        return Err(Refused::wrong(
            "The records are too large to be taken out through a browser: `sparewright records take-out --all FILE.zip` writes them straight to the disk.",
        ));
    }
    let bytes = app.kept(|store| store.take_out_all(Cursor::new(Vec::new()))).await?;
    Ok(file(ZIP, "records.zip", bytes.into_inner()))
}
