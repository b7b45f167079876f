//! Parallel keys and their keyways.

use std::sync::LazyLock;

use quantity::Length;
use serde::Deserialize;

use crate::table::{self, DataFile, Malformed, Source, data_file};

const METRIC: DataFile = data_file!("keys/din-6885-1.csv");
const INCH: DataFile = data_file!("keys/ansi-b17.1-1967.csv");
pub(crate) const FILES: [DataFile; 2] = [METRIC, INCH];

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum KeySystem {
    /// DIN 6885-1; keyway depths on the centre line.
    Metric,
    /// ANSI B17.1 square keys; keyway depths at the side of the keyway.
    Inch,
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Key {
    pub system: KeySystem,
    /// Shaft diameters over the first and up to and including the second.
    pub over: Length,
    pub upto: Length,
    pub width: Length,
    pub height: Length,
    pub shaft_depth: Length,
    pub hub_depth: Length,
    pub source: Source,
}

/// The key for a bore; `None` where the table has none.
pub fn key_for_bore(diameter: Length, system: KeySystem) -> Option<&'static Key> {
    // bores are round numbers, and one that ends a range belongs to it
    const SLACK: Length = Length::from_mm(1e-9);
    keys().iter().find(|key| key.system == system && diameter > key.over + SLACK && diameter <= key.upto + SLACK)
}

pub fn keys() -> &'static [Key] {
    static KEYS: LazyLock<Vec<Key>> = LazyLock::new(|| {
        let read =
            |file, system, unit| table::csv_rows(&[file], move |row: Row, source| key(&row, system, unit, source));
        let metric = read(METRIC, KeySystem::Metric, Length::from_mm(1.0));
        let inch = read(INCH, KeySystem::Inch, Length::from_inches(1.0));
        metric.and_then(|metric| Ok([metric, inch?].concat())).expect(table::WELL_FORMED)
    });
    &KEYS
}

#[derive(Deserialize)]
struct Row {
    over: String,
    upto: String,
    width: String,
    height: String,
    shaft_depth: String,
    hub_depth: String,
}

fn key(row: &Row, system: KeySystem, unit: Length, source: Source) -> Result<Key, Malformed> {
    let length = |text: &str| Ok::<_, Malformed>(table::number(text)? * unit);
    Ok(Key {
        system,
        over: length(&row.over)?,
        upto: length(&row.upto)?,
        width: length(&row.width)?,
        height: length(&row.height)?,
        shaft_depth: length(&row.shaft_depth)?,
        hub_depth: length(&row.hub_depth)?,
        source,
    })
}
