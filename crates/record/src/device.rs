//! Devices that may open the notebook over the shop's network: let in by a code, known by a token, sent away for good.

use std::time::Duration;

use jiff::{SignedDuration, Timestamp};
use rusqlite::{Connection, OptionalExtension};
use sha2::{Digest, Sha256};

use crate::by::time;
use crate::error::{Error, Result};
use crate::random;
use crate::store::Store;

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct DeviceId(i64);

impl DeviceId {
    pub fn new(number: i64) -> DeviceId {
        DeviceId(number)
    }

    pub fn number(self) -> i64 {
        self.0
    }
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Device {
    pub id: DeviceId,
    pub name: String,
    pub paired: Timestamp,
    /// To within some minutes.
    pub seen: Timestamp,
    pub revoked: Option<Timestamp>,
}

/// What a code was good for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Paired {
    /// The token is told once; only its sum is kept.
    Done { device: DeviceId, token: String },
    /// Wrong, used, too old, or tried too often.
    Refused,
}

/// Eight figures and this many tries: one chance in twenty million to guess it.
pub const PAIRING_TRIES: u32 = 5;
const CODE_FIGURES: usize = 8;
/// A device that has not been seen for so long has to be paired again.
const FORGOTTEN: SignedDuration = SignedDuration::from_hours(90 * 24);
/// Seeing a device again this soon is not written down.
const SEEN_LATELY: SignedDuration = SignedDuration::from_mins(5);
const LONGEST_NAME: usize = 60;

impl Store {
    /// A code that lets one device in, once, within this time. A new one makes those before it void.
    pub fn offer_pairing(&self, good_for: Duration, now: Timestamp) -> Result<String> {
        let code = random::figures(CODE_FIGURES)?;
        let until = now.as_millisecond().saturating_add(i64::try_from(good_for.as_millis()).unwrap_or(i64::MAX));
        self.write(|connection| {
            connection.execute("DELETE FROM pairing", [])?;
            connection.execute("INSERT INTO pairing (code, until, tries) VALUES (?1, ?2, 0)", (sum(&code), until))?;
            Ok(code)
        })
    }

    /// Lets a device in by its code; spaces and dashes in the code do not count.
    pub fn pair(&self, code: &str, name: &str, now: Timestamp) -> Result<Paired> {
        let code: String = code.chars().filter(char::is_ascii_digit).collect();
        let name: String = name.trim().chars().filter(|c| !c.is_control()).take(LONGEST_NAME).collect();
        let token: String = random::bytes::<32>()?.iter().map(|byte| format!("{byte:02x}")).collect();
        self.write(|connection| {
            // a try is counted whether it is right or not, and stays counted
            connection.execute("UPDATE pairing SET tries = tries + 1", [])?;
            let used = connection.execute(
                "DELETE FROM pairing WHERE code = ?1 AND until > ?2 AND tries <= ?3",
                (sum(&code), now.as_millisecond(), PAIRING_TRIES),
            )?;
            if used == 0 {
                return Ok(Paired::Refused);
            }
            connection.execute(
                "INSERT INTO device (name, token, paired, seen) VALUES (?1, ?2, ?3, ?3)",
                (if name.is_empty() { "a device" } else { &name }, sum(&token), now.as_millisecond()),
            )?;
            Ok(Paired::Done { device: DeviceId(connection.last_insert_rowid()), token })
        })
    }

    /// Whose token this is, if it still lets in.
    pub fn device_of(&self, token: &str, now: Timestamp) -> Result<Option<Device>> {
        let found = self.read(|connection| {
            let mut row = connection.prepare_cached(
                "SELECT id, name, paired, seen, revoked FROM device WHERE token = ?1 AND revoked IS NULL",
            )?;
            Ok(row.query_row([sum(token)], device).optional()?)
        })?;
        let Some(device) = found.filter(|device| now.duration_since(device.seen) < FORGOTTEN) else {
            return Ok(None);
        };
        if now.duration_since(device.seen) > SEEN_LATELY {
            self.write(|connection| {
                connection.execute("UPDATE device SET seen = ?2 WHERE id = ?1", (device.id.0, now.as_millisecond()))?;
                Ok(())
            })?;
        }
        Ok(Some(device))
    }

    /// All that were ever let in, the newest first.
    pub fn devices(&self) -> Result<Vec<Device>> {
        self.read(|connection| all(connection))
    }

    /// Sends a device away for good.
    pub fn revoke(&self, id: DeviceId, now: Timestamp) -> Result<()> {
        self.write(|connection| {
            let there = connection.execute(
                "UPDATE device SET revoked = coalesce(revoked, ?2) WHERE id = ?1",
                (id.0, now.as_millisecond()),
            )?;
            if there == 0 { Err(Error::refused("There is no such device.")) } else { Ok(()) }
        })
    }
}

fn all(connection: &Connection) -> Result<Vec<Device>> {
    let mut rows = connection.prepare_cached("SELECT id, name, paired, seen, revoked FROM device ORDER BY id DESC")?;
    let devices = rows.query_map([], device)?;
    Ok(devices.collect::<std::result::Result<_, _>>()?)
}

/// Makes the devices of one store those of another.
pub(crate) fn carry_over(from: &Connection, to: &Connection) -> Result<()> {
    to.execute_batch("DELETE FROM pairing; DELETE FROM device;")?;
    let mut rows = from.prepare("SELECT id, name, token, paired, seen, revoked FROM device")?;
    let mut rows = rows.query([])?;
    while let Some(row) = rows.next()? {
        let (id, name, token): (i64, String, Vec<u8>) = (row.get(0)?, row.get(1)?, row.get(2)?);
        let (paired, seen, revoked): (i64, i64, Option<i64>) = (row.get(3)?, row.get(4)?, row.get(5)?);
        to.execute(
            "INSERT INTO device (id, name, token, paired, seen, revoked) VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
            (id, name, token, paired, seen, revoked),
        )?;
    }
    Ok(())
}

fn device(row: &rusqlite::Row<'_>) -> rusqlite::Result<Device> {
    Ok(Device {
        id: DeviceId(row.get(0)?),
        name: row.get(1)?,
        paired: time(row.get(2)?),
        seen: time(row.get(3)?),
        revoked: row.get::<_, Option<i64>>(4)?.map(time),
    })
}

fn sum(secret: &str) -> Vec<u8> {
    Sha256::digest(secret.as_bytes()).to_vec()
}
