//! How far the work at the machine has come, and what was written down there.

use jiff::Timestamp;
use rusqlite::Connection;

use crate::by::{By, time};
use crate::error::{Error, Result};
use crate::job::{JobId, check_is_there};
use crate::store::Store;

/// What stands at a place of a job: an operation done, a tooth indexed, a size measured.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mark {
    /// In the words of whoever keeps it: a piece, an operation, a space.
    pub key: String,
    pub value: String,
    pub at: Timestamp,
    pub who: String,
}

/// What became of a mark.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Marked {
    Done,
    /// Somebody else has written this there meanwhile; nothing was changed.
    Elsewhere(String),
}

const LONGEST_KEY: usize = 200;
const LONGEST_VALUE: usize = 10_000;

impl Store {
    /// Writes a value where `seen` stood, or whatever stands there for `None`. Empty stands for nothing. Sent twice it
    /// is done once; what stood there before stays in the store.
    pub fn mark(&self, id: JobId, key: &str, seen: Option<&str>, value: &str, by: By<'_>) -> Result<Marked> {
        if !is_short(key, value) {
            return Err(Error::refused(format!(
                "A note at a machine is short; more than {LONGEST_VALUE} bytes are not kept."
            )));
        }
        self.write(|connection| {
            check_is_there(connection, id)?;
            let here = standing(connection, id, key)?;
            if here == value {
                return Ok(Marked::Done);
            }
            if seen.is_some_and(|seen| seen != here) {
                return Ok(Marked::Elsewhere(here));
            }
            connection
                .prepare_cached("INSERT INTO mark (sheet, key, value, at, who) VALUES (?1, ?2, ?3, ?4, ?5)")?
                .execute((id.number(), key, value, by.millisecond(), by.who))?;
            Ok(Marked::Done)
        })
    }

    /// What stands there; empty where nothing does.
    pub fn marked(&self, id: JobId, key: &str) -> Result<String> {
        self.read(|connection| standing(connection, id, key))
    }

    /// All that stands at a job, the latest first.
    pub fn marks(&self, id: JobId) -> Result<Vec<Mark>> {
        self.read(|connection| {
            let mut rows = connection.prepare_cached(
                "SELECT key, value, at, who FROM mark
                 WHERE id IN (SELECT max(id) FROM mark WHERE sheet = ?1 GROUP BY key) AND value <> '' ORDER BY id DESC",
            )?;
            let marks = rows.query_map([id.number()], read_mark)?;
            Ok(marks.collect::<std::result::Result<_, _>>()?)
        })
    }

    /// All that was ever written at a job's places, the latest first.
    pub fn mark_history(&self, id: JobId) -> Result<Vec<Mark>> {
        self.read(|connection| {
            let mut rows =
                connection.prepare_cached("SELECT key, value, at, who FROM mark WHERE sheet = ?1 ORDER BY id DESC")?;
            let marks = rows.query_map([id.number()], read_mark)?;
            Ok(marks.collect::<std::result::Result<_, _>>()?)
        })
    }
}

pub(crate) fn is_short(key: &str, value: &str) -> bool {
    key.len() <= LONGEST_KEY && value.len() <= LONGEST_VALUE
}

fn standing(connection: &Connection, id: JobId, key: &str) -> Result<String> {
    let mut row =
        connection.prepare_cached("SELECT value FROM mark WHERE sheet = ?1 AND key = ?2 ORDER BY id DESC LIMIT 1")?;
    let mut rows = row.query((id.number(), key))?;
    Ok(rows.next()?.map(|row| row.get(0)).transpose()?.unwrap_or_default())
}

fn read_mark(row: &rusqlite::Row<'_>) -> rusqlite::Result<Mark> {
    Ok(Mark { key: row.get(0)?, value: row.get(1)?, at: time(row.get(2)?), who: row.get(3)? })
}
