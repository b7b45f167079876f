//! The history of a job or of the shop: who changed what and when, any state looked at, any state brought back.

pub mod bring_back;
pub mod list;
pub mod state;

use jiff::Timestamp;
use jiff::tz::TimeZone;
use record::{Change, JobId, Kept, Store};

/// Whose history it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Of {
    Job(JobId),
    Shop,
}

impl Of {
    /// Where it is shown itself.
    fn place(self) -> String {
        match self {
            Of::Job(id) => format!("/jobs/{id}"),
            Of::Shop => "/shop".into(),
        }
    }

    pub(super) fn changes(self, store: &Store) -> record::Result<Vec<Change>> {
        match self {
            Of::Job(id) => store.history(id),
            Of::Shop => store.shop_history(),
        }
    }

    fn at(self, store: &Store, version: u32) -> record::Result<Kept> {
        match self {
            Of::Job(id) => store.at(id, version),
            Of::Shop => store.shop_at(version),
        }
    }
}

/// As the clock on the wall of this machine shows it.
pub fn time(at: Timestamp) -> String {
    at.to_zoned_datetime(TimeZone::system()).strftime("%-d %B %Y, %H:%M").to_string()
}

pub fn day(at: Timestamp) -> String {
    at.to_zoned_datetime(TimeZone::system()).strftime("%-d %b %Y").to_string()
}
