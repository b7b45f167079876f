//! Finding jobs again, as the words are typed.

use std::collections::HashSet;

use jiff::Timestamp;
use rusqlite::{Connection, OptionalExtension};

use crate::by::time;
use crate::error::Result;
use crate::facts::Fact;
use crate::job::JobId;
use crate::store::Store;

/// What is looked for: all of it has to agree.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Query {
    /// Each is the beginning of a word.
    pub words: Vec<String>,
    pub conditions: Vec<Condition>,
    /// This job comes first, if there is such a one.
    pub number: Option<JobId>,
    /// At most so many; more than [`Query::MOST`] are not given at once.
    pub most: usize,
    /// So many are passed over.
    pub from: usize,
    /// Look among the removed jobs instead.
    pub removed: bool,
}

impl Query {
    pub const MOST: usize = 1000;
}

/// A number that has to agree with any one of these, both tolerances counted.
#[derive(Clone, Debug, PartialEq)]
pub struct Condition {
    pub any_of: Vec<Fact>,
}

#[derive(Clone, Debug, Default, PartialEq)]
pub struct Found {
    /// The best first.
    pub hits: Vec<Hit>,
    /// How many there are in all.
    pub total: usize,
}

#[derive(Clone, Debug, PartialEq)]
pub struct Hit {
    pub id: JobId,
    pub title: String,
    pub summary: String,
    pub changed: Timestamp,
}

impl Store {
    /// The best agreeing jobs; without words and conditions, those that were changed last.
    pub fn search(&self, query: &Query) -> Result<Found> {
        self.read(|connection| search(connection, query))
    }

    /// What the jobs here have numbers of.
    pub fn measures(&self) -> Result<Vec<String>> {
        self.read(|connection| {
            let mut rows = connection.prepare_cached("SELECT name FROM measure ORDER BY name")?;
            let names = rows.query_map([], |row| row.get(0))?;
            Ok(names.collect::<std::result::Result<_, _>>()?)
        })
    }
}

/// Those that bear the words in their title come first, then those whose numbers come nearest, then the latest jobs.
fn search(connection: &Connection, query: &Query) -> Result<Found> {
    let most = query.most.min(Query::MOST);
    let words = expression(&query.words);
    if words.is_none() && query.conditions.is_empty() {
        return newest(connection, query, most);
    }
    let mut ranked: Vec<Ranked> = match numbers(connection, &query.conditions)? {
        Some(near) => near.into_iter().map(|(id, off)| Ranked { by_title: false, off, id }).collect(),
        None => Vec::new(),
    };
    if let Some(words) = &words {
        let all = matches(connection, words)?;
        match query.conditions.is_empty() {
            true => ranked = all.into_iter().map(|id| Ranked { by_title: false, off: 0.0, id }).collect(),
            false => keep_common(&mut ranked, &all, |_| (), true),
        }
        let by_title = matches(connection, &format!("title : ({words})"))?;
        keep_common(&mut ranked, &by_title, |one| one.by_title = true, false);
    }
    let removed = removed(connection)?;
    ranked.retain(|one| removed.contains(&one.id) == query.removed);
    if let Some(asked) = query.number.and_then(|number| ranked.iter_mut().find(|one| one.id == number.number())) {
        *asked = Ranked { by_title: true, off: -1.0, id: asked.id };
    }
    let total = ranked.len();
    let wanted = (query.from + most).min(total);
    if wanted > 0 && wanted < total {
        ranked.select_nth_unstable_by(wanted - 1, Ranked::order);
        ranked.truncate(wanted);
    }
    ranked.sort_unstable_by(Ranked::order);
    let hits = ranked.iter().skip(query.from).map(|one| hit(connection, one.id));
    Ok(Found { hits: hits.collect::<Result<_>>()?, total })
}

/// Marks those whose number is among `ids`, both in rising order; the others are dropped where they are not wanted.
fn keep_common(ranked: &mut Vec<Ranked>, ids: &[i64], mark: impl Fn(&mut Ranked), drop_others: bool) {
    let mut next = 0;
    ranked.retain_mut(|one| {
        next += ids[next..].iter().take_while(|id| **id < one.id).count();
        let common = ids.get(next) == Some(&one.id);
        if common {
            mark(one);
        }
        common || !drop_others
    });
}

struct Ranked {
    by_title: bool,
    /// The sum of what its numbers are off, each in its own tolerance.
    off: f64,
    id: i64,
}

impl Ranked {
    fn order(&self, other: &Ranked) -> std::cmp::Ordering {
        let by_title = other.by_title.cmp(&self.by_title);
        by_title.then(self.off.total_cmp(&other.off)).then(other.id.cmp(&self.id))
    }
}

fn newest(connection: &Connection, query: &Query, most: usize) -> Result<Found> {
    let total = connection
        .prepare_cached("SELECT count(*) FROM found WHERE removed = ?1")?
        .query_row([query.removed], |row| row.get(0))?;
    let mut rows = connection.prepare_cached(
        "SELECT job, title, summary, changed FROM found WHERE removed = ?1 ORDER BY changed DESC, job DESC LIMIT ?2 OFFSET ?3",
    )?;
    let hits = rows.query_map((query.removed, most, query.from), read_hit)?;
    Ok(Found { hits: hits.collect::<std::result::Result<_, _>>()?, total })
}

/// The words as full-text search wants them; none where nothing in them can be found.
fn expression(words: &[String]) -> Option<String> {
    let words = words.iter().filter(|word| word.chars().any(char::is_alphanumeric));
    let quoted: Vec<String> =
        words.map(|word| format!("\"{}\"*", word.replace('"', "\"\"").replace('\0', " "))).collect();
    (!quoted.is_empty()).then(|| quoted.join(" AND "))
}

fn matches(connection: &Connection, expression: &str) -> Result<Vec<i64>> {
    let mut rows = connection.prepare_cached("SELECT rowid FROM word WHERE word MATCH ?1 ORDER BY rowid")?;
    let ids = rows.query_map([expression], |row| row.get(0))?;
    Ok(ids.collect::<std::result::Result<_, _>>()?)
}

/// The jobs that agree with every condition by their numbers, and how far off they are; none where there are no conditions.
fn numbers(connection: &Connection, conditions: &[Condition]) -> Result<Option<Vec<(i64, f64)>>> {
    let mut agreeing: Option<Vec<(i64, f64)>> = None;
    for condition in conditions {
        let mut next = Vec::new();
        for wanted in &condition.any_of {
            one_number(connection, wanted, &mut next)?;
        }
        next.sort_unstable_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
        next.dedup_by_key(|(id, _)| *id);
        if let Some(before) = agreeing {
            let mut before = before.iter().peekable();
            next.retain_mut(|(id, off)| {
                while before.next_if(|(earlier, _)| earlier < id).is_some() {}
                let both = before.next_if(|(same, _)| same == id);
                *off += both.map_or(0.0, |(_, off)| *off);
                both.is_some()
            });
        }
        agreeing = Some(next);
    }
    Ok(agreeing)
}

/// The jobs that have such a number, some more than once, and how far off they are.
fn one_number(connection: &Connection, wanted: &Fact, found: &mut Vec<(i64, f64)>) -> Result<()> {
    let measure = connection
        .prepare_cached("SELECT id, widest FROM measure WHERE name = ?1")?
        .query_row([&wanted.what], |row| Ok((row.get::<_, i64>(0)?, row.get::<_, f64>(1)?)))
        .optional()?;
    let Some((measure, widest)) = measure.filter(|_| wanted.value.is_finite()) else {
        return Ok(());
    };
    let tolerance = wanted.tolerance.abs();
    let (low, high) = (wanted.value - tolerance, wanted.value + tolerance);
    let mut rows = connection
        .prepare_cached("SELECT job, value FROM number WHERE measure = ?1 AND low BETWEEN ?2 AND ?3 AND high >= ?4")?;
    // a thousandth keeps what is asked for exactly from dividing by nothing
    let scale = tolerance.max(wanted.value.abs() * 1e-3).max(f64::MIN_POSITIVE);
    let rows = rows.query_map((measure, low - widest, high, low), |row| {
        Ok((row.get(0)?, (row.get::<_, f64>(1)? - wanted.value).abs() / scale))
    })?;
    for row in rows {
        found.push(row?);
    }
    Ok(())
}

fn removed(connection: &Connection) -> Result<HashSet<i64>> {
    let mut rows = connection.prepare_cached("SELECT job FROM found WHERE removed = 1")?;
    let ids = rows.query_map([], |row| row.get(0))?;
    Ok(ids.collect::<std::result::Result<_, _>>()?)
}

fn hit(connection: &Connection, id: i64) -> Result<Hit> {
    let mut row = connection.prepare_cached("SELECT job, title, summary, changed FROM found WHERE job = ?1")?;
    Ok(row.query_row([id], read_hit)?)
}

fn read_hit(row: &rusqlite::Row<'_>) -> rusqlite::Result<Hit> {
    Ok(Hit { id: JobId::kept(row.get(0)?), title: row.get(1)?, summary: row.get(2)?, changed: time(row.get(3)?) })
}
