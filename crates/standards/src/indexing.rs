//! What dividing heads and rotary tables come with: hole circles, worm ratios, change gears.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use serde::Deserialize;

use crate::table::{self, Cited, DataFile, Malformed, Source, Sources, data_file};

pub(crate) const FILE: DataFile = data_file!("indexing/heads.toml");

/// A named set of index plates; the circles of one plate stand together.
#[derive(Clone, Debug, PartialEq)]
pub struct PlateSet {
    pub id: String,
    pub name: String,
    /// Holes per circle, plate by plate (side by side, where one plate is drilled on both).
    pub plates: Vec<Vec<u32>>,
    pub source: Source,
}

impl PlateSet {
    /// Every hole circle of the set, fewest holes first.
    pub fn circles(&self) -> Vec<u32> {
        let mut circles = self.plates.concat();
        circles.sort_unstable();
        circles.dedup();
        circles
    }
}

/// Turns of the crank for one turn of the work.
#[derive(Clone, Debug, PartialEq)]
pub struct HeadRatio {
    pub ratio: u32,
    pub name: String,
    pub source: Source,
}

#[derive(Clone, Debug, PartialEq)]
pub struct ChangeGears {
    pub id: String,
    pub name: String,
    /// Teeth of each wheel; one that is there twice stands twice.
    pub teeth: Vec<u32>,
    pub source: Source,
}

pub fn plate_sets() -> &'static [PlateSet] {
    &TABLES.plates
}

pub fn plate_set(id: &str) -> Option<&'static PlateSet> {
    plate_sets().iter().find(|set| set.id == id)
}

pub fn head_ratios() -> &'static [HeadRatio] {
    &TABLES.heads
}

pub fn change_gears() -> &'static [ChangeGears] {
    &TABLES.change_gears
}

pub fn change_gear_set(id: &str) -> Option<&'static ChangeGears> {
    change_gears().iter().find(|set| set.id == id)
}

struct Tables {
    plates: Vec<PlateSet>,
    heads: Vec<HeadRatio>,
    change_gears: Vec<ChangeGears>,
}

static TABLES: LazyLock<Tables> = LazyLock::new(|| read().expect(table::WELL_FORMED));

#[derive(Deserialize)]
struct File {
    sources: BTreeMap<String, String>,
    plates: Vec<PlatesEntry>,
    heads: Vec<HeadEntry>,
    change_gears: Vec<GearsEntry>,
}

#[derive(Deserialize)]
struct PlatesEntry {
    id: String,
    name: String,
    plates: Vec<Vec<u32>>,
    #[serde(flatten)]
    cited: Cited,
}

#[derive(Deserialize)]
struct HeadEntry {
    ratio: u32,
    name: String,
    #[serde(flatten)]
    cited: Cited,
}

#[derive(Deserialize)]
struct GearsEntry {
    id: String,
    name: String,
    teeth: Vec<u32>,
    #[serde(flatten)]
    cited: Cited,
}

fn read() -> Result<Tables, Malformed> {
    let file: File = table::toml_file(&FILE)?;
    let sources = Sources::from_toml(file.sources);
    let plates = file.plates.into_iter().map(|entry| {
        let source = sources.cite(&entry.cited)?;
        Ok(PlateSet { id: entry.id, name: entry.name, plates: entry.plates, source })
    });
    let heads = file.heads.into_iter().map(|entry| {
        let source = sources.cite(&entry.cited)?;
        Ok(HeadRatio { ratio: entry.ratio, name: entry.name, source })
    });
    let change_gears = file.change_gears.into_iter().map(|entry| {
        let source = sources.cite(&entry.cited)?;
        Ok(ChangeGears { id: entry.id, name: entry.name, teeth: entry.teeth, source })
    });
    Ok(Tables {
        plates: plates.collect::<Result<_, Malformed>>()?,
        heads: heads.collect::<Result<_, Malformed>>()?,
        change_gears: change_gears.collect::<Result<_, Malformed>>()?,
    })
}
