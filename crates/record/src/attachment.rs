//! Pictures that belong to a job, in each of its states.

use rusqlite::Connection;
use sha2::{Digest, Sha256};

use crate::by::By;
use crate::error::{Error, Result};
use crate::facts;
use crate::job::{JobId, check_is_there};
use crate::name::plain_name;
use crate::sheet;
use crate::store::Store;

/// A picture that belongs to a state of a job.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Attached {
    pub name: String,
    pub bytes: u64,
    /// Of the content, in hex: the same name with other content has another.
    pub sum: String,
}

/// A scan of a whole bed at 1200 dots to the inch, compressed.
pub const LARGEST_ATTACHMENT: usize = 64_000_000;

impl Store {
    /// Puts a picture to a job; one of the same name gives way to it and stays in the history. Returns the version that has it.
    pub fn attach(&self, id: JobId, name: &str, bytes: &[u8], by: By<'_>) -> Result<u32> {
        plain_name(name)?;
        if bytes.len() > LARGEST_ATTACHMENT {
            return Err(Error::refused(format!(
                "The picture is {:.0} MB long; more than {} MB is not kept.",
                bytes.len() as f64 / 1e6,
                LARGEST_ATTACHMENT / 1_000_000
            )));
        }
        self.write(|connection| {
            let now = sheet::now(connection, id.number())?.ok_or(Error::NoJob(id))?;
            let sum = keep(connection, bytes)?;
            let present = sum_of(connection, id.number(), now.version, name)?;
            if present.as_ref() == Some(&sum) {
                return Ok(now.version);
            }
            let next = now.version + 1;
            let what = if present.is_some() { "put in again" } else { "put in" };
            sheet::put(connection, id.number(), next, &now.text, &format!("picture {name} {what}"), now.removed, by)?;
            end(connection, id.number(), name, next)?;
            begin(connection, id.number(), name, next, &sum)?;
            facts::changed(connection, id.number(), by.at, now.removed)?;
            Ok(next)
        })
    }

    /// Takes a picture from a job; it stays in the history.
    pub fn detach(&self, id: JobId, name: &str, by: By<'_>) -> Result<u32> {
        self.write(|connection| {
            let now = sheet::now(connection, id.number())?.ok_or(Error::NoJob(id))?;
            sum_of(connection, id.number(), now.version, name)?.ok_or_else(|| Error::NoAttachment(name.to_string()))?;
            let next = now.version + 1;
            sheet::put(
                connection,
                id.number(),
                next,
                &now.text,
                &format!("picture {name} taken out"),
                now.removed,
                by,
            )?;
            end(connection, id.number(), name, next)?;
            facts::changed(connection, id.number(), by.at, now.removed)?;
            Ok(next)
        })
    }

    /// The content of a picture, in the job's present state.
    pub fn attachment(&self, id: JobId, name: &str) -> Result<Vec<u8>> {
        self.read(|connection| {
            check_is_there(connection, id)?;
            let version = sheet::next(connection, id.number())? - 1;
            content_of(connection, id.number(), version, name)
        })
    }

    /// The content of a picture as it was in an earlier state.
    pub fn attachment_at(&self, id: JobId, version: u32, name: &str) -> Result<Vec<u8>> {
        self.read(|connection| content_of(connection, id.number(), version, name))
    }

    /// The pictures of a job now, by name.
    pub fn attachments(&self, id: JobId) -> Result<Vec<Attached>> {
        self.read(|connection| {
            check_is_there(connection, id)?;
            let version = sheet::next(connection, id.number())? - 1;
            list(connection, id.number(), version)
        })
    }

    /// The pictures of a job as they were.
    pub fn attachments_at(&self, id: JobId, version: u32) -> Result<Vec<Attached>> {
        self.read(|connection| list(connection, id.number(), version))
    }
}

/// Keeps some content, and returns what it is found by.
pub(crate) fn keep(connection: &Connection, bytes: &[u8]) -> Result<Vec<u8>> {
    let sum = Sha256::digest(bytes).to_vec();
    connection
        .prepare_cached("INSERT INTO content (sum, bytes) VALUES (?1, ?2) ON CONFLICT DO NOTHING")?
        .execute((&sum, bytes))?;
    Ok(sum)
}

/// From this version on the name stands for this content.
pub(crate) fn begin(connection: &Connection, id: i64, name: &str, since: u32, sum: &[u8]) -> Result<()> {
    connection
        .prepare_cached("INSERT INTO attached (sheet, name, since, sum) VALUES (?1, ?2, ?3, ?4)")?
        .execute((id, name, since, sum))?;
    Ok(())
}

/// From this version on the name stands for nothing.
pub(crate) fn end(connection: &Connection, id: i64, name: &str, until: u32) -> Result<()> {
    connection
        .prepare_cached("UPDATE attached SET until = ?3 WHERE sheet = ?1 AND name = ?2 AND until IS NULL")?
        .execute((id, name, until))?;
    Ok(())
}

/// From `next` on the pictures are those of `version`.
pub(crate) fn bring_back(connection: &Connection, id: i64, version: u32, next: u32) -> Result<()> {
    let was = sums(connection, id, version)?;
    for (name, sum) in sums(connection, id, next)? {
        if !was.contains(&(name.clone(), sum)) {
            end(connection, id, &name, next)?;
        }
    }
    let now = sums(connection, id, next)?;
    for (name, sum) in was.iter().filter(|one| !now.contains(one)) {
        begin(connection, id, name, next, sum)?;
    }
    Ok(())
}

pub(crate) fn copy(connection: &Connection, id: i64, version: u32, copy: i64) -> Result<()> {
    for (name, sum) in sums(connection, id, version)? {
        begin(connection, copy, &name, 1, &sum)?;
    }
    Ok(())
}

/// Which content each name stands for in a version.
pub(crate) fn sums(connection: &Connection, id: i64, version: u32) -> Result<Vec<(String, Vec<u8>)>> {
    let mut rows = connection.prepare_cached(
        "SELECT name, sum FROM attached WHERE sheet = ?1 AND since <= ?2 AND (until IS NULL OR until > ?2) ORDER BY name",
    )?;
    let sums = rows.query_map((id, version), |row| Ok((row.get(0)?, row.get(1)?)))?;
    Ok(sums.collect::<std::result::Result<_, _>>()?)
}

fn sum_of(connection: &Connection, id: i64, version: u32, name: &str) -> Result<Option<Vec<u8>>> {
    Ok(sums(connection, id, version)?.into_iter().find(|(known, _)| known == name).map(|(_, sum)| sum))
}

fn content_of(connection: &Connection, id: i64, version: u32, name: &str) -> Result<Vec<u8>> {
    let sum = sum_of(connection, id, version, name)?.ok_or_else(|| Error::NoAttachment(name.to_string()))?;
    content(connection, &sum)
}

pub(crate) fn content(connection: &Connection, sum: &[u8]) -> Result<Vec<u8>> {
    Ok(connection.prepare_cached("SELECT bytes FROM content WHERE sum = ?1")?.query_row([sum], |row| row.get(0))?)
}

fn list(connection: &Connection, id: i64, version: u32) -> Result<Vec<Attached>> {
    let mut row = connection.prepare_cached("SELECT length(bytes) FROM content WHERE sum = ?1")?;
    let sums = sums(connection, id, version)?;
    let mut out = Vec::with_capacity(sums.len());
    for (name, sum) in sums {
        let bytes = row.query_row([&sum], |row| row.get(0))?;
        out.push(Attached { name, bytes, sum: sum.iter().map(|byte| format!("{byte:02x}")).collect() });
    }
    Ok(out)
}
