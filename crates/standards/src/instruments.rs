//! Measuring instruments of the bench and what a reading taken with them is worth.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use quantity::{Angle, Length};
use serde::Deserialize;

use crate::table::{self, Cited, DataFile, Malformed, Source, Sources, data_file};

pub(crate) const FILE: DataFile = data_file!("instruments/bench.toml");

#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Measures {
    Length,
    Angle,
}

#[derive(Clone, Debug, PartialEq)]
pub struct Instrument {
    pub name: String,
    pub aliases: Vec<String>,
    pub measures: Measures,
    /// The finest step that can be read, as people say it.
    pub resolution_says: String,
    pub parts: Vec<Part>,
    resolution: f64,
}

/// One independent part of an instrument's uncertainty.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    pub what: String,
    pub source: Source,
    /// Comes out differently each time, so that a mean has less of it.
    pub averages: bool,
    /// Micrometres or minutes of arc.
    half_width: f64,
    /// Micrometres per metre of what is measured.
    per_metre: f64,
}

/// The length that an uncertainty is stated for where no length is given: the middle of a small part.
pub const USUAL_LENGTH: Length = Length::from_mm(50.0);

impl Instrument {
    /// Standard uncertainty of one reading of a length.
    ///
    /// u = √(Σ (aᵢ + bᵢ L)²/3), each part equally likely anywhere within its half width and independent of the others.
    /// Any L ≥ 0. An estimate from error limits and habit, good to perhaps a third; not a calibration.
    /// Source: JCGM 100:2008 (GUM), 4.3.7 and 5.1.2; the half widths are in the data file. `None` for a protractor.
    pub fn length_uncertainty(&self, length: Length) -> Option<Length> {
        match self.measures {
            Measures::Length => Some(Length::from_micrometres(self.combined(length.abs().mm() / 1000.0))),
            Measures::Angle => None,
        }
    }

    /// The part of that uncertainty which stays however often the length is read: √(Σ steady (aᵢ + bᵢ L)² / Σ all (aᵢ + bᵢ L)²).
    pub fn steady_share(&self, length: Length) -> Option<f64> {
        let metres = length.abs().mm() / 1000.0;
        let all = self.combined(metres);
        let steady = self.combined_of(metres, |part| !part.averages);
        (self.measures == Measures::Length && all > 0.0).then(|| steady / all)
    }

    /// Standard uncertainty of one reading of an angle; `None` for an instrument of length.
    pub fn angle_uncertainty(&self) -> Option<Angle> {
        match self.measures {
            Measures::Length => None,
            Measures::Angle => Some(Angle::from_degrees(self.combined(0.0) / 60.0)),
        }
    }

    /// The finest step of length that can be read.
    pub fn length_resolution(&self) -> Option<Length> {
        match self.measures {
            Measures::Length => Some(Length::from_micrometres(self.resolution)),
            Measures::Angle => None,
        }
    }

    /// The finest step of angle that can be read.
    pub fn angle_resolution(&self) -> Option<Angle> {
        match self.measures {
            Measures::Length => None,
            Measures::Angle => Some(Angle::from_degrees(self.resolution / 60.0)),
        }
    }

    fn combined(&self, metres: f64) -> f64 {
        self.combined_of(metres, |_| true)
    }

    fn combined_of(&self, metres: f64, counts: impl Fn(&Part) -> bool) -> f64 {
        let variance = |part: &Part| (part.half_width + part.per_metre * metres).powi(2) / 3.0;
        self.parts.iter().filter(|part| counts(part)).map(variance).sum::<f64>().sqrt()
    }
}

pub fn instruments() -> &'static [Instrument] {
    static INSTRUMENTS: LazyLock<Vec<Instrument>> = LazyLock::new(|| read().expect(table::WELL_FORMED));
    &INSTRUMENTS
}

/// The instrument of this name or alias, in any case.
pub fn instrument(name: &str) -> Option<&'static Instrument> {
    let name = name.trim();
    instruments().iter().find(|instrument| {
        std::iter::once(&instrument.name).chain(&instrument.aliases).any(|known| known.eq_ignore_ascii_case(name))
    })
}

#[derive(Deserialize)]
struct File {
    sources: BTreeMap<String, String>,
    instrument: Vec<Entry>,
}

#[derive(Deserialize)]
struct Entry {
    name: String,
    aliases: Vec<String>,
    measures: Measures,
    resolution: f64,
    resolution_says: String,
    parts: Vec<PartEntry>,
}

#[derive(Deserialize)]
struct PartEntry {
    what: String,
    half_width: f64,
    #[serde(default)]
    per_metre: f64,
    #[serde(default)]
    averages: bool,
    #[serde(flatten)]
    cited: Cited,
}

fn read() -> Result<Vec<Instrument>, Malformed> {
    let file: File = table::toml_file(&FILE)?;
    let sources = Sources::from_toml(file.sources);
    let part = |entry: PartEntry| {
        let source = sources.cite(&entry.cited)?;
        let PartEntry { what, half_width, per_metre, averages, .. } = entry;
        Ok(Part { what, source, averages, half_width, per_metre })
    };
    let instrument = |entry: Entry| {
        Ok(Instrument {
            name: entry.name,
            aliases: entry.aliases,
            measures: entry.measures,
            resolution: entry.resolution,
            resolution_says: entry.resolution_says,
            parts: entry.parts.into_iter().map(part).collect::<Result<_, Malformed>>()?,
        })
    };
    file.instrument.into_iter().map(instrument).collect()
}
