//! From an archive into the store: all of it, or nothing.

use std::collections::BTreeMap;
use std::io::{Read, Seek};

use rusqlite::{Connection, OptionalExtension};

use super::open::{Archive, refused};
use super::place::Place;
use super::{History, State, Written};
use crate::by::By;
use crate::error::Result;
use crate::job::JobId;
use crate::shop::SHOP;
use crate::store::Store;
use crate::{attachment, facts, sheet};

/// What came of an archive.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct BroughtIn {
    /// Jobs that are new here: their number in the archive, and here.
    pub added: Vec<(i64, JobId)>,
    /// Jobs that were here and have gone on in the archive.
    pub grown: Vec<JobId>,
    /// Jobs that were here already.
    pub known: Vec<JobId>,
    /// The shop was taken over.
    pub shop: bool,
}

impl Store {
    /// Takes over all that an archive holds.
    ///
    /// A job that is here already, by its whole history, is left alone or goes on as it did in the archive; any other
    /// is new. Into empty records jobs come with their numbers, else they are given new ones. The shop is taken over
    /// where there is none here yet.
    pub fn bring_in<R: Read + Seek>(&self, archive: &mut Archive<R>, by: By<'_>) -> Result<BroughtIn> {
        self.write(|connection| {
            let empty =
                connection.query_row("SELECT count(*) FROM sheet WHERE id > 0", [], |row| row.get::<_, u64>(0))? == 0;
            let mut out = BroughtIn::default();
            for job in archive.jobs() {
                bring_in_job(connection, archive, job, empty, by, &mut out)?;
            }
            if sheet::now(connection, SHOP)?.is_none()
                && let Some(history) = told(archive, &Place::Shop, &Place::ShopHistory, by)?
            {
                for state in &history.changes {
                    put(connection, SHOP, state)?;
                }
                out.shop = true;
            }
            Ok(out)
        })
    }
}

fn bring_in_job<R: Read + Seek>(
    connection: &Connection,
    archive: &mut Archive<R>,
    job: i64,
    keep_number: bool,
    by: By<'_>,
    out: &mut BroughtIn,
) -> Result<()> {
    let Some(mut history) = told(archive, &Place::Text(job), &Place::History(job), by)? else {
        return Err(refused(&format!("job {job} has pictures and no text")));
    };
    let alone = !archive.has(&Place::History(job));
    if let (true, Some(only)) = (alone, history.changes.first_mut()) {
        only.pictures = archive
            .of_job(job)
            .filter_map(|place| match place {
                Place::Picture(_, name) => Some((name.clone(), place.in_job())),
                _ => None,
            })
            .collect();
    }
    check_pictures(archive, job, &history)?;
    let (id, since) = match known(connection, &history)? {
        Some((id, here)) if here >= history.changes.len() => {
            add_marks(connection, id, &history.at_the_machine)?;
            out.known.push(JobId::kept(id));
            return Ok(());
        }
        Some((id, here)) => {
            out.grown.push(JobId::kept(id));
            (id, here)
        }
        None => {
            let id = if keep_number { sheet::add_as(connection, job)? } else { sheet::add(connection)? };
            out.added.push((job, JobId::kept(id)));
            (id, 0)
        }
    };
    for state in &history.changes[since..] {
        put(connection, id, state)?;
        put_pictures(connection, archive, job, id, state)?;
    }
    add_marks(connection, id, &history.at_the_machine)?;
    match history.changes.last() {
        Some(last) => facts::changed(connection, id, last.at, last.removed),
        None => Ok(()),
    }
}

/// The history of a text, its present state at the end.
fn told<R: Read + Seek>(
    archive: &mut Archive<R>,
    text: &Place,
    history: &Place,
    by: By<'_>,
) -> Result<Option<History>> {
    let now = archive.text(text)?;
    let mut history = archive.history(history)?.unwrap_or_default();
    let last = history.changes.last();
    if let Some(text) = now.filter(|now| last.is_none_or(|last| last.text != *now)) {
        let what = if last.is_some() { "changed outside the records" } else { "brought in" };
        history.changes.push(State {
            version: history.changes.len() as u32 + 1,
            at: by.at,
            who: by.who.into(),
            what: what.into(),
            removed: false,
            text,
            pictures: last.map(|last| last.pictures.clone()).unwrap_or_default(),
        });
    }
    Ok((!history.changes.is_empty()).then_some(history))
}

/// Every picture that is spoken of lies there, and the other way round.
fn check_pictures<R: Read + Seek>(archive: &Archive<R>, job: i64, history: &History) -> Result<()> {
    let mut spoken_of = std::collections::BTreeSet::new();
    for (name, place) in history.changes.iter().flat_map(|state| &state.pictures) {
        let place = Place::read(&format!("jobs/{job}/{place}"))?;
        match &place {
            Place::Picture(_, there) | Place::Earlier(_, _, there) if there == name && archive.has(&place) => {
                spoken_of.insert(place)
            }
            _ => return Err(refused(&format!("picture `{}` of job {job} is not in it", name.escape_debug()))),
        };
    }
    let stray = archive
        .of_job(job)
        .find(|place| matches!(place, Place::Picture(..) | Place::Earlier(..)) && !spoken_of.contains(place));
    match stray {
        Some(stray) => Err(refused(&format!("the history of job {job} does not speak of `{stray}`"))),
        None => Ok(()),
    }
}

/// The job here that has come the same way as far as both go, and how far it has come.
fn known(connection: &Connection, history: &History) -> Result<Option<(i64, usize)>> {
    let Some(first) = history.changes.first() else { return Ok(None) };
    let mut rows = connection
        .prepare_cached("SELECT sheet FROM change WHERE version = 1 AND at = ?1 AND sheet > 0 ORDER BY sheet")?;
    let alike: Vec<i64> =
        rows.query_map([first.at.as_millisecond()], |row| row.get(0))?.collect::<std::result::Result<_, _>>()?;
    for id in alike {
        let here = sheet::history(connection, id)?;
        let mut same = true;
        for (change, state) in here.iter().rev().zip(&history.changes) {
            same = same
                && change.at.as_millisecond() == state.at.as_millisecond()
                && (&change.who, &change.what, change.removed) == (&state.who, &state.what, state.removed)
                && sheet::at(connection, id, change.version)?.text == state.text;
        }
        if same {
            return Ok(Some((id, here.len())));
        }
    }
    Ok(None)
}

fn put(connection: &Connection, id: i64, state: &State) -> Result<()> {
    let by = By { who: &state.who, at: state.at };
    sheet::put(connection, id, state.version, &state.text, &state.what, state.removed, by)
}

/// Makes the pictures of a version those that the archive has for it.
fn put_pictures<R: Read + Seek>(
    connection: &Connection,
    archive: &mut Archive<R>,
    job: i64,
    id: i64,
    state: &State,
) -> Result<()> {
    let before: BTreeMap<String, Vec<u8>> = attachment::sums(connection, id, state.version)?.into_iter().collect();
    for name in before.keys().filter(|name| !state.pictures.contains_key(*name)) {
        attachment::end(connection, id, name, state.version)?;
    }
    for (name, place) in &state.pictures {
        let place = Place::read(&format!("jobs/{job}/{place}"))?;
        let bytes = archive.bytes(&place)?.ok_or_else(|| refused(&format!("`{place}` is not in it")))?;
        let sum = attachment::keep(connection, &bytes)?;
        if before.get(name) != Some(&sum) {
            attachment::end(connection, id, name, state.version)?;
            attachment::begin(connection, id, name, state.version, &sum)?;
        }
    }
    Ok(())
}

/// What was written at the machine, unless it is here already.
fn add_marks(connection: &Connection, id: i64, marks: &[Written]) -> Result<()> {
    for mark in marks {
        let row = (id, &mark.key, &mark.value, mark.at.as_millisecond(), &mark.who);
        let here = connection
            .prepare_cached("SELECT 1 FROM mark WHERE sheet = ?1 AND key = ?2 AND value = ?3 AND at = ?4 AND who = ?5")?
            .query_row(row, |_| Ok(()))
            .optional()?;
        if here.is_none() {
            connection
                .prepare_cached("INSERT INTO mark (sheet, key, value, at, who) VALUES (?1, ?2, ?3, ?4, ?5)")?
                .execute(row)?;
        }
    }
    Ok(())
}
