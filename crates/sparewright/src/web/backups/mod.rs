//! Backups: what there is, one more, and back to one of them.

pub mod list;
pub mod make;
pub mod restore;

use record::{Backup, Backups};

use super::answer::{Answer, Refused};
use super::state::App;

fn of(app: &App) -> Answer<Backups> {
    app.backups()
        .ok_or(Refused::wrong("These records are in memory only, and there is nothing to keep backups beside."))
}

/// What a backup is asked for by: never a path.
pub(super) fn name(backup: &Backup) -> String {
    backup.path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default()
}
