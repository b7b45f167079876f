//! Jobs by their number.

use std::fmt;
use std::str::FromStr;

use rusqlite::{Connection, OptionalExtension};

use crate::by::By;
use crate::error::{Error, Result};
use crate::sheet::{self, Change, Edit, Kept, Saved};
use crate::store::Store;
use crate::{attachment, facts};

/// The number of a job; it is never given again.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct JobId(i64);

impl JobId {
    /// Numbers begin at 1.
    pub fn new(number: i64) -> Option<JobId> {
        (number > 0).then_some(JobId(number))
    }

    pub fn number(self) -> i64 {
        self.0
    }

    pub(crate) fn kept(number: i64) -> JobId {
        JobId(number)
    }
}

impl fmt::Display for JobId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.0)
    }
}

impl FromStr for JobId {
    type Err = Error;

    fn from_str(text: &str) -> Result<JobId> {
        let number = text.trim().parse().ok().and_then(JobId::new);
        number.ok_or_else(|| Error::refused(format!("`{}` is not the number of a job.", text.trim())))
    }
}

impl Store {
    /// Keeps a new job.
    pub fn add(&self, text: &str, what: &str, by: By<'_>) -> Result<JobId> {
        self.write(|connection| {
            let id = sheet::add(connection)?;
            sheet::put(connection, id, 1, text, what, false, by)?;
            facts::changed(connection, id, by.at, false)?;
            Ok(JobId(id))
        })
    }

    /// The job as it is now, removed or not.
    pub fn job(&self, id: JobId) -> Result<Kept> {
        self.read(|connection| sheet::now(connection, id.0)?.ok_or(Error::NoJob(id)))
    }

    /// Keeps an edit that was made from the state `edit.base`.
    ///
    /// Where the job has moved on since, both edits are put together if they keep out of each other's way; if not,
    /// nothing is written and the caller is told.
    pub fn save(&self, id: JobId, edit: Edit<'_>, by: By<'_>) -> Result<Saved> {
        self.write(|connection| {
            check_is_there(connection, id)?;
            let saved = sheet::save(connection, id.0, edit, by)?;
            if !matches!(saved, Saved::Conflict { .. }) {
                facts::changed(connection, id.0, by.at, false)?;
            }
            Ok(saved)
        })
    }

    /// Every change, the newest first.
    pub fn history(&self, id: JobId) -> Result<Vec<Change>> {
        self.read(|connection| {
            check_is_there(connection, id)?;
            sheet::history(connection, id.0)
        })
    }

    /// The job as it was.
    pub fn at(&self, id: JobId, version: u32) -> Result<Kept> {
        self.read(|connection| {
            check_is_there(connection, id)?;
            sheet::at(connection, id.0, version)
        })
    }

    /// Makes an earlier state the present one, its pictures too; what came between stays in the history.
    pub fn bring_back(&self, id: JobId, version: u32, by: By<'_>) -> Result<u32> {
        self.write(|connection| {
            check_is_there(connection, id)?;
            let was = sheet::at(connection, id.0, version)?;
            let what = format!("brought back version {version}");
            let next = sheet::next(connection, id.0)?;
            sheet::put(connection, id.0, next, &was.text, &what, false, by)?;
            attachment::bring_back(connection, id.0, version, next)?;
            facts::changed(connection, id.0, by.at, false)?;
            Ok(next)
        })
    }

    /// A new job with this one's text and pictures, for a repeat order.
    pub fn copy(&self, id: JobId, by: By<'_>) -> Result<JobId> {
        self.write(|connection| {
            let was = sheet::now(connection, id.0)?.ok_or(Error::NoJob(id))?;
            let copy = sheet::add(connection)?;
            sheet::put(connection, copy, 1, &was.text, &format!("copied from job {id}"), false, by)?;
            attachment::copy(connection, id.0, was.version, copy)?;
            facts::changed(connection, copy, by.at, false)?;
            Ok(JobId(copy))
        })
    }

    /// Takes a job off the list. It stays in the records, and [`Store::bring_back`] puts it on again.
    pub fn remove(&self, id: JobId, by: By<'_>) -> Result<()> {
        self.write(|connection| {
            let now = sheet::now(connection, id.0)?.ok_or(Error::NoJob(id))?;
            if now.removed {
                return Ok(());
            }
            sheet::put(connection, id.0, now.version + 1, &now.text, "removed", true, by)?;
            facts::changed(connection, id.0, by.at, true)
        })
    }

    /// The numbers of all jobs, the removed too.
    pub fn jobs(&self) -> Result<Vec<JobId>> {
        self.read(|connection| {
            let mut rows = connection.prepare_cached("SELECT id FROM sheet WHERE id > 0 ORDER BY id")?;
            let ids = rows.query_map([], |row| row.get(0).map(JobId))?;
            Ok(ids.collect::<std::result::Result<_, _>>()?)
        })
    }
}

pub(crate) fn check_is_there(connection: &Connection, id: JobId) -> Result<()> {
    let there = connection.query_row("SELECT 1 FROM sheet WHERE id = ?1 AND id > 0", [id.0], |_| Ok(())).optional()?;
    there.ok_or(Error::NoJob(id))
}
