//! Fits by what they are for: "press bush", "running", "keyed".

use std::collections::BTreeMap;
use std::sync::LazyLock;

use quantity::Length;
use serde::Deserialize;

use super::deviations::limits;
use crate::table::{self, Cited, DataFile, Malformed, Source, Sources, data_file};

pub(crate) const FILE: DataFile = data_file!("fits/purposes.toml");

#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    pub name: String,
    pub aliases: Vec<String>,
    /// Class of the hole, as `H7`.
    pub hole: String,
    /// Class of the shaft; a plain hole has none.
    pub shaft: Option<String>,
    /// What it is for and how it goes together.
    pub says: String,
    pub source: Source,
}

/// Clearance between hole and shaft; negative is interference.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Clearance {
    pub least: Length,
    pub most: Length,
}

impl Fit {
    /// `H7/p6`, or `H13` for a plain hole.
    pub fn classes(&self) -> String {
        match &self.shaft {
            Some(shaft) => format!("{}/{shaft}", self.hole),
            None => self.hole.clone(),
        }
    }

    /// The clearance at a nominal size; `None` for a plain hole or beyond the tables.
    pub fn clearance(&self, nominal: Length) -> Option<Clearance> {
        let hole = limits(&self.hole, nominal)?;
        let shaft = limits(self.shaft.as_ref()?, nominal)?;
        Some(Clearance { least: hole.lower - shaft.upper, most: hole.upper - shaft.lower })
    }
}

pub fn fits() -> &'static [Fit] {
    static FITS: LazyLock<Vec<Fit>> = LazyLock::new(|| read().expect(table::WELL_FORMED));
    &FITS
}

/// The fit of this name or alias, in any case.
pub fn fit(name: &str) -> Option<&'static Fit> {
    let name = name.trim();
    fits()
        .iter()
        .find(|fit| std::iter::once(&fit.name).chain(&fit.aliases).any(|known| known.eq_ignore_ascii_case(name)))
}

/// Every name and alias, for suggesting the one that was meant.
pub fn fit_names() -> impl Iterator<Item = &'static str> {
    fits().iter().flat_map(|fit| std::iter::once(&fit.name).chain(&fit.aliases)).map(String::as_str)
}

#[derive(Deserialize)]
struct File {
    sources: BTreeMap<String, String>,
    fit: Vec<Entry>,
}

#[derive(Deserialize)]
struct Entry {
    name: String,
    aliases: Vec<String>,
    hole: String,
    shaft: Option<String>,
    says: String,
    #[serde(flatten)]
    cited: Cited,
}

fn read() -> Result<Vec<Fit>, Malformed> {
    let file: File = table::toml_file(&FILE)?;
    let sources = Sources::from_toml(file.sources);
    let fit = |entry: Entry| {
        let source = sources.cite(&entry.cited)?;
        let Entry { name, aliases, hole, shaft, says, cited: _ } = entry;
        Ok(Fit { name, aliases, hole, shaft, says, source })
    };
    file.fit.into_iter().map(fit).collect()
}
