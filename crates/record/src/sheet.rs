//! A text whose every state is kept: a job, or the shop.

use jiff::Timestamp;
use rusqlite::{Connection, OptionalExtension, Row};

use crate::by::{By, time};
use crate::error::{Error, Result};
use crate::merge::{Merge, merge};

/// A state of a text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Kept {
    /// Counted from 1.
    pub version: u32,
    /// Byte for byte as it was given.
    pub text: String,
    pub at: Timestamp,
    /// Off the list, though still in the records.
    pub removed: bool,
}

/// A line of a history.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Change {
    pub version: u32,
    pub at: Timestamp,
    pub who: String,
    pub what: String,
    pub removed: bool,
}

/// A text as somebody wants it.
#[derive(Clone, Copy, Debug)]
pub struct Edit<'a> {
    /// The version they had before them.
    pub base: u32,
    pub text: &'a str,
    /// What they did, for the history.
    pub what: &'a str,
}

/// What became of an edit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Saved {
    /// The text is now as given.
    Done { version: u32 },
    /// Somebody else's edit has come between, and the text now holds both.
    Merged { version: u32, text: String },
    /// Somebody else's edit is in the way. Nothing was written.
    Conflict { version: u32, theirs: String },
}

/// A job or a shop is a page or two.
pub const LARGEST_TEXT: usize = 1_000_000;

/// A new sheet without a state yet.
pub(crate) fn add(connection: &Connection) -> Result<i64> {
    connection.prepare_cached("INSERT INTO sheet (version) VALUES (0)")?.execute([])?;
    Ok(connection.last_insert_rowid())
}

/// As [`add`], under a number that is free.
pub(crate) fn add_as(connection: &Connection, id: i64) -> Result<i64> {
    connection.prepare_cached("INSERT INTO sheet (id, version) VALUES (?1, 0)")?.execute([id])?;
    Ok(id)
}

/// Writes the next state.
pub(crate) fn put(
    connection: &Connection,
    id: i64,
    version: u32,
    text: &str,
    what: &str,
    removed: bool,
    by: By<'_>,
) -> Result<()> {
    if text.len() > LARGEST_TEXT {
        return Err(Error::refused(format!(
            "The text is {:.1} MB long; a job or shop file is a page or two, and more than {} MB is not kept.",
            text.len() as f64 / 1e6,
            LARGEST_TEXT / 1_000_000
        )));
    }
    connection
        .prepare_cached(
            "INSERT INTO change (sheet, version, at, who, what, text, removed) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
        )?
        .execute((id, version, by.millisecond(), by.who, what, text, removed))?;
    connection.prepare_cached("UPDATE sheet SET version = ?2 WHERE id = ?1")?.execute((id, version))?;
    Ok(())
}

pub(crate) fn save(connection: &Connection, id: i64, edit: Edit<'_>, by: By<'_>) -> Result<Saved> {
    let now = now(connection, id)?;
    let (version, theirs) = now.as_ref().map_or((0, ""), |now| (now.version, now.text.as_str()));
    let next = version + 1;
    if edit.base == version {
        if now.as_ref().is_some_and(|now| now.text == edit.text && !now.removed) {
            return Ok(Saved::Done { version });
        }
        put(connection, id, next, edit.text, edit.what, false, by)?;
        return Ok(Saved::Done { version: next });
    }
    let base = match edit.base {
        0 => String::new(),
        base => at(connection, id, base)?.text,
    };
    match merge(&base, edit.text, theirs) {
        // what was wanted is there already, as when an edit is sent again because its answer was lost
        Merge::Both(text) if text == theirs => match text == edit.text {
            true => Ok(Saved::Done { version }),
            false => Ok(Saved::Merged { version, text }),
        },
        Merge::Both(text) => {
            let as_given = text == edit.text;
            let what =
                if as_given { edit.what.to_string() } else { format!("{}, joined with version {version}", edit.what) };
            put(connection, id, next, &text, &what, false, by)?;
            Ok(if as_given { Saved::Done { version: next } } else { Saved::Merged { version: next, text } })
        }
        Merge::Clash => Ok(Saved::Conflict { version, theirs: theirs.to_string() }),
    }
}

/// The present state; none before the first.
pub(crate) fn now(connection: &Connection, id: i64) -> Result<Option<Kept>> {
    let mut row = connection.prepare_cached(
        "SELECT change.version, text, at, removed FROM sheet JOIN change ON change.sheet = sheet.id AND change.version = sheet.version
         WHERE sheet.id = ?1",
    )?;
    Ok(row.query_row([id], kept).optional()?)
}

pub(crate) fn at(connection: &Connection, id: i64, version: u32) -> Result<Kept> {
    let mut row =
        connection.prepare_cached("SELECT version, text, at, removed FROM change WHERE sheet = ?1 AND version = ?2")?;
    row.query_row((id, version), kept).optional()?.ok_or(Error::NoVersion(version))
}

/// The number of the next state.
pub(crate) fn next(connection: &Connection, id: i64) -> Result<u32> {
    let version: u32 = connection.query_row("SELECT version FROM sheet WHERE id = ?1", [id], |row| row.get(0))?;
    Ok(version + 1)
}

pub(crate) fn history(connection: &Connection, id: i64) -> Result<Vec<Change>> {
    let mut rows = connection
        .prepare_cached("SELECT version, at, who, what, removed FROM change WHERE sheet = ?1 ORDER BY version DESC")?;
    let changes = rows.query_map([id], |row| {
        Ok(Change {
            version: row.get(0)?,
            at: time(row.get(1)?),
            who: row.get(2)?,
            what: row.get(3)?,
            removed: row.get(4)?,
        })
    })?;
    Ok(changes.collect::<std::result::Result<_, _>>()?)
}

fn kept(row: &Row<'_>) -> rusqlite::Result<Kept> {
    Ok(Kept { version: row.get(0)?, text: row.get(1)?, at: time(row.get(2)?), removed: row.get(3)? })
}
