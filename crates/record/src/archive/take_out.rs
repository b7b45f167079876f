//! From the store into an archive.

use std::collections::BTreeMap;
use std::io::{Seek, Write};

use rusqlite::Connection;
use zip::result::ZipError;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipWriter};

use super::place::Place;
use super::{FORMAT, History, State, Written};
use crate::attachment;
use crate::by::time;
use crate::error::{Error, Result};
use crate::job::{JobId, check_is_there};
use crate::sheet;
use crate::shop::SHOP;
use crate::store::Store;

impl Store {
    /// Writes jobs with all that belongs to them into an archive.
    pub fn take_out<W: Write + Seek>(&self, jobs: &[JobId], out: W) -> Result<W> {
        self.read(|connection| {
            let mut zip = ZipWriter::new(out);
            for id in jobs {
                check_is_there(connection, *id)?;
                job(connection, id.number(), &mut zip)?;
            }
            zip.finish().map_err(bad)
        })
    }

    /// Writes everything into an archive, as it stands at one moment: every job, the removed too, and the shop.
    pub fn take_out_all<W: Write + Seek>(&self, out: W) -> Result<W> {
        self.read(|connection| {
            let mut zip = ZipWriter::new(out);
            let mut ids = connection.prepare("SELECT id FROM sheet WHERE id > 0 ORDER BY id")?;
            for id in ids.query_map([], |row| row.get(0))? {
                job(connection, id?, &mut zip)?;
            }
            if let Some(now) = sheet::now(connection, SHOP)? {
                put(&mut zip, &Place::Shop, now.text.as_bytes(), CompressionMethod::Deflated)?;
                put_history(&mut zip, &Place::ShopHistory, &states(connection, SHOP, &mut BTreeMap::new())?)?;
            }
            zip.finish().map_err(bad)
        })
    }
}

/// Where each picture's content lies, by its sum.
type Places = BTreeMap<(String, Vec<u8>), Place>;

fn job<W: Write + Seek>(connection: &Connection, id: i64, zip: &mut ZipWriter<W>) -> Result<()> {
    let Some(now) = sheet::now(connection, id)? else { return Ok(()) };
    put(zip, &Place::Text(id), now.text.as_bytes(), CompressionMethod::Deflated)?;
    let mut places = Places::new();
    for (name, sum) in attachment::sums(connection, id, now.version)? {
        places.insert((name.clone(), sum), Place::Picture(id, name));
    }
    let mut history = states(connection, id, &mut places)?;
    history.at_the_machine = written(connection, id)?;
    put_history(zip, &Place::History(id), &history)?;
    for ((_, sum), place) in &places {
        // pictures are compressed as they are
        put(zip, place, &attachment::content(connection, sum)?, CompressionMethod::Stored)?;
    }
    Ok(())
}

fn states(connection: &Connection, id: i64, places: &mut Places) -> Result<History> {
    let mut changes = Vec::new();
    for change in sheet::history(connection, id)?.into_iter().rev() {
        let mut pictures = BTreeMap::new();
        for (name, sum) in attachment::sums(connection, id, change.version)? {
            let place =
                places.entry((name.clone(), sum)).or_insert_with(|| Place::Earlier(id, change.version, name.clone()));
            pictures.insert(name, place.in_job());
        }
        changes.push(State {
            version: change.version,
            at: change.at,
            text: sheet::at(connection, id, change.version)?.text,
            who: change.who,
            what: change.what,
            removed: change.removed,
            pictures,
        });
    }
    Ok(History { format: FORMAT, changes, at_the_machine: Vec::new() })
}

fn written(connection: &Connection, id: i64) -> Result<Vec<Written>> {
    let mut rows = connection.prepare_cached("SELECT key, value, at, who FROM mark WHERE sheet = ?1 ORDER BY id")?;
    let marks = rows.query_map([id], |row| {
        Ok(Written { key: row.get(0)?, value: row.get(1)?, at: time(row.get(2)?), who: row.get(3)? })
    })?;
    Ok(marks.collect::<std::result::Result<_, _>>()?)
}

fn put_history<W: Write + Seek>(zip: &mut ZipWriter<W>, place: &Place, history: &History) -> Result<()> {
    let json = serde_json::to_vec_pretty(history)
        .map_err(|why| Error::refused(format!("The history could not be written: {why}.")))?;
    put(zip, place, &json, CompressionMethod::Deflated)
}

fn put<W: Write + Seek>(zip: &mut ZipWriter<W>, place: &Place, bytes: &[u8], method: CompressionMethod) -> Result<()> {
    zip.start_file(place, SimpleFileOptions::default().compression_method(method)).map_err(bad)?;
    zip.write_all(bytes).map_err(|why| bad(ZipError::Io(why)))
}

fn bad(error: ZipError) -> Error {
    Error::refused(format!("The archive could not be written: {error}. The records are as they were."))
}
