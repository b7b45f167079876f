//! What a job is found by. The store does not read jobs: whoever can hands it the facts of a version, then or later.

use jiff::Timestamp;
use rusqlite::{Connection, OptionalExtension};

use crate::error::Result;
use crate::job::{JobId, check_is_there};
use crate::store::Store;

#[derive(Clone, Debug, Default, PartialEq)]
pub struct Facts {
    pub title: String,
    /// Shown below the title in a list.
    pub summary: String,
    /// Everything it may be found by in words; the title is taken anyway.
    pub words: String,
    pub numbers: Vec<Fact>,
}

/// Something known by its number.
#[derive(Clone, Debug, PartialEq)]
pub struct Fact {
    /// What it is: "teeth", "bore"; the same word in a [`Condition`](crate::Condition) finds it.
    pub what: String,
    /// A length in mm, or a plain number.
    pub value: f64,
    /// How far off it may be, either way.
    pub tolerance: f64,
}

impl Store {
    /// Takes down the facts of a version. Those of an older version than is known are left aside.
    pub fn index(&self, id: JobId, version: u32, facts: &Facts) -> Result<()> {
        self.write(|connection| {
            check_is_there(connection, id)?;
            index(connection, id.number(), version, facts)
        })
    }

    /// Jobs whose facts are not those of their present version, the longest waiting first.
    pub fn unindexed(&self, most: usize) -> Result<Vec<JobId>> {
        self.read(|connection| {
            let mut rows = connection.prepare_cached("SELECT job FROM found WHERE stale ORDER BY job LIMIT ?1")?;
            let ids = rows.query_map([most], |row| row.get(0).map(JobId::kept))?;
            Ok(ids.collect::<std::result::Result<_, _>>()?)
        })
    }

    /// Has the facts of all jobs made anew where they were made by another `scheme`.
    pub fn facts_scheme(&self, scheme: &str) -> Result<()> {
        if self.setting(SCHEME)?.as_deref() == Some(scheme) {
            return Ok(());
        }
        self.write(|connection| {
            connection.execute("UPDATE found SET stale = 1, version = 0", [])?;
            Ok(())
        })?;
        self.set_setting(SCHEME, scheme)
    }
}

const SCHEME: &str = "facts scheme";

/// Notes that a job has changed, so that its facts are made anew.
pub(crate) fn changed(connection: &Connection, id: i64, at: Timestamp, removed: bool) -> Result<()> {
    connection
        .prepare_cached(
            "INSERT INTO found (job, version, title, summary, changed, removed, stale) VALUES (?1, 0, 'job ' || ?1, '', ?2, ?3, 1)
             ON CONFLICT (job) DO UPDATE SET changed = excluded.changed, removed = excluded.removed, stale = 1",
        )?
        .execute((id, at.as_millisecond(), removed))?;
    Ok(())
}

pub(crate) fn index(connection: &Connection, id: i64, version: u32, facts: &Facts) -> Result<()> {
    let known = "SELECT found.version, sheet.version FROM found JOIN sheet ON sheet.id = job WHERE job = ?1";
    let known: Option<(u32, u32)> =
        connection.prepare_cached(known)?.query_row([id], |row| Ok((row.get(0)?, row.get(1)?))).optional()?;
    let Some((_, present)) = known.filter(|(indexed, _)| *indexed <= version) else {
        return Ok(());
    };
    connection
        .prepare_cached("UPDATE found SET version = ?2, title = ?3, summary = ?4, stale = ?5 WHERE job = ?1")?
        .execute((id, version, &facts.title, &facts.summary, version != present))?;
    connection.prepare_cached("DELETE FROM word WHERE rowid = ?1")?.execute([id])?;
    connection.prepare_cached("INSERT INTO word (rowid, title, words) VALUES (?1, ?2, ?3)")?.execute((
        id,
        &facts.title,
        // by its number too
        format!("{} job {id}", facts.words),
    ))?;
    connection.prepare_cached("DELETE FROM number WHERE job = ?1")?.execute([id])?;
    for fact in facts.numbers.iter().filter(|fact| fact.value.is_finite() && fact.tolerance.is_finite()) {
        let (low, high) = (fact.value - fact.tolerance.abs(), fact.value + fact.tolerance.abs());
        let measure = measure(connection, &fact.what, high - low)?;
        connection
            .prepare_cached(
                "INSERT OR IGNORE INTO number (measure, low, high, value, job) VALUES (?1, ?2, ?3, ?4, ?5)",
            )?
            .execute((measure, low, high, fact.value, id))?;
    }
    Ok(())
}

/// The measure of this name, which now has numbers this wide.
fn measure(connection: &Connection, name: &str, width: f64) -> Result<i64> {
    let mut row = connection.prepare_cached(
        "INSERT INTO measure (name, widest) VALUES (?1, ?2)
         ON CONFLICT (name) DO UPDATE SET widest = max(widest, excluded.widest) RETURNING id",
    )?;
    Ok(row.query_row((name, width), |row| row.get(0))?)
}
