//! How far the work at the machine has come.

use jiff::Timestamp;
use rusqlite::Connection;

use crate::by::{By, time};
use crate::error::Result;
use crate::job::{JobId, check_is_there};
use crate::store::Store;

/// Where an operation stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Step {
    /// In the words of whoever keeps the place: a piece, an operation.
    pub operation: String,
    /// How many of its steps are done.
    pub place: u32,
    pub at: Timestamp,
    pub who: String,
}

/// What became of a step.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Stepped {
    Done,
    /// Somebody else has moved it meanwhile; nothing was written.
    Elsewhere(u32),
}

impl Store {
    /// Moves an operation from the place that was seen to another, forward or back. Sent twice it is done once.
    pub fn step(&self, id: JobId, operation: &str, from: u32, to: u32, by: By<'_>) -> Result<Stepped> {
        self.write(|connection| {
            check_is_there(connection, id)?;
            let here = place(connection, id, operation)?;
            if here == to {
                return Ok(Stepped::Done);
            }
            if here != from {
                return Ok(Stepped::Elsewhere(here));
            }
            connection
                .prepare_cached("INSERT INTO step (sheet, operation, place, at, who) VALUES (?1, ?2, ?3, ?4, ?5)")?
                .execute((id.number(), operation, to, by.millisecond(), by.who))?;
            Ok(Stepped::Done)
        })
    }

    /// The place of one operation; 0 before its first step.
    pub fn place(&self, id: JobId, operation: &str) -> Result<u32> {
        self.read(|connection| place(connection, id, operation))
    }

    /// Where every operation that has been begun stands, the latest first.
    pub fn progress(&self, id: JobId) -> Result<Vec<Step>> {
        self.read(|connection| {
            let mut rows = connection.prepare_cached(
                "SELECT operation, place, at, who FROM step WHERE id IN (SELECT max(id) FROM step WHERE sheet = ?1 GROUP BY operation) ORDER BY id DESC",
            )?;
            let steps = rows.query_map([id.number()], |row| {
                Ok(Step { operation: row.get(0)?, place: row.get(1)?, at: time(row.get(2)?), who: row.get(3)? })
            })?;
            Ok(steps.collect::<std::result::Result<_, _>>()?)
        })
    }
}

fn place(connection: &Connection, id: JobId, operation: &str) -> Result<u32> {
    let mut row = connection
        .prepare_cached("SELECT place FROM step WHERE sheet = ?1 AND operation = ?2 ORDER BY id DESC LIMIT 1")?;
    let mut rows = row.query((id.number(), operation))?;
    Ok(rows.next()?.map(|row| row.get(0)).transpose()?.unwrap_or(0))
}
