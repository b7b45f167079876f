//! Fits by what they are for, "press bush", "running", "keyed", or by their classes, `H7/p6`, `RC4`.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use quantity::Length;
use serde::Deserialize;

use super::deviations::{Class, Limits, limits};
use super::inch::{inch_class, inch_limits};
use crate::table::{self, Cited, Confidence, DataFile, Malformed, Source, Sources, data_file};

pub(crate) const FILE: DataFile = data_file!("fits/purposes.toml");

#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// What it was asked for by: "press bush", "H7/p6", "RC4".
    pub name: String,
    pub aliases: Vec<String>,
    pub classes: Classes,
    /// What it is for and how it goes together; empty where only ISO classes were named.
    pub says: String,
    pub source: Source,
}

/// The tolerance classes of both halves.
#[derive(Clone, Debug, PartialEq)]
pub enum Classes {
    /// ISO 286: `H7` and `p6`. A plain hole has no shaft, a plain shaft no hole.
    Iso { hole: Option<String>, shaft: Option<String> },
    /// ANSI B4.1: `RC4`.
    Inch { class: String },
}

/// Clearance between hole and shaft; negative is interference.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Clearance {
    pub least: Length,
    pub most: Length,
}

impl Clearance {
    /// What is left between these holes and these shafts, both as smallest and largest size.
    pub fn between(hole: (Length, Length), shaft: (Length, Length)) -> Clearance {
        Clearance { least: hole.0 - shaft.1, most: hole.1 - shaft.0 }
    }
}

impl Fit {
    /// `H7/p6`, `RC4`, or `H13` for a plain hole.
    pub fn designation(&self) -> String {
        match &self.classes {
            Classes::Iso { hole, shaft } => {
                let both: Vec<&str> = [hole, shaft].into_iter().flatten().map(String::as_str).collect();
                both.join("/")
            }
            Classes::Inch { class } => class.clone(),
        }
    }

    /// "ISO 286-2"
    pub fn standard(&self) -> &'static str {
        match self.classes {
            Classes::Iso { .. } => "ISO 286-2",
            Classes::Inch { .. } => "ANSI B4.1",
        }
    }

    /// Limits of the hole; none for a plain shaft or beyond the tables.
    pub fn hole(&self, nominal: Length) -> Option<Limits> {
        match &self.classes {
            Classes::Iso { hole, .. } => limits(hole.as_deref()?, nominal),
            Classes::Inch { class } => inch_limits(class, nominal).map(|limits| limits.hole),
        }
    }

    /// Limits of the shaft; none for a plain hole or beyond the tables.
    pub fn shaft(&self, nominal: Length) -> Option<Limits> {
        match &self.classes {
            Classes::Iso { shaft, .. } => limits(shaft.as_deref()?, nominal),
            Classes::Inch { class } => inch_limits(class, nominal).map(|limits| limits.shaft),
        }
    }

    /// The clearance at a nominal size; `None` for a plain hole or beyond the tables.
    pub fn clearance(&self, nominal: Length) -> Option<Clearance> {
        Some(Clearance::between(self.hole(nominal)?.sizes(Length::ZERO), self.shaft(nominal)?.sizes(Length::ZERO)))
    }

    /// Whether it grips on every pair of pieces made to it.
    pub fn grips(&self, nominal: Length) -> bool {
        self.clearance(nominal).is_some_and(|clearance| clearance.most <= Length::ZERO)
    }
}

pub fn fits() -> &'static [Fit] {
    static FITS: LazyLock<Vec<Fit>> = LazyLock::new(|| read().expect(table::WELL_FORMED));
    &FITS
}

/// The fit of this name or alias, in any case; or by its classes, `H7/p6`, `H7`, `RC4`.
pub fn fit(name: &str) -> Option<Fit> {
    let name = name.trim();
    let called =
        |fit: &&Fit| std::iter::once(&fit.name).chain(&fit.aliases).any(|known| known.eq_ignore_ascii_case(name));
    fits().iter().find(called).cloned().or_else(|| inch_fit(name)).or_else(|| iso_fit(name))
}

fn inch_fit(name: &str) -> Option<Fit> {
    let class = inch_class(name)?;
    Some(Fit {
        name: class.name.clone(),
        aliases: Vec::new(),
        classes: Classes::Inch { class: class.name.clone() },
        says: class.says.clone(),
        source: class.source,
    })
}

/// `H7/p6`, the hole first; `H7` or `p6` alone.
fn iso_fit(name: &str) -> Option<Fit> {
    const NAMED: Source = Source { citation: "ISO 286-2, the classes as named", confidence: Confidence::Published };
    let known = |text: &str| text.parse::<Class>().ok().filter(Class::is_known);
    let (hole, shaft) = match name.split_once('/') {
        Some((hole, shaft)) => (Some(known(hole)?), Some(known(shaft)?)),
        None => {
            let class = known(name)?;
            if class.is_hole() { (Some(class), None) } else { (None, Some(class)) }
        }
    };
    if hole.as_ref().is_some_and(|hole| !hole.is_hole()) || shaft.as_ref().is_some_and(Class::is_hole) {
        return None;
    }
    let text = |class: Option<Class>| class.map(|class| class.to_string());
    let classes = Classes::Iso { hole: text(hole), shaft: text(shaft) };
    let fit = Fit { name: String::new(), aliases: Vec::new(), classes, says: String::new(), source: NAMED };
    Some(Fit { name: fit.designation(), ..fit })
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
        Ok(Fit { name, aliases, classes: Classes::Iso { hole: Some(hole), shaft }, says, source })
    };
    file.fit.into_iter().map(fit).collect()
}
