//! Twist drills by number, letter, fraction and millimetre.

use std::sync::LazyLock;

use quantity::Length;
use serde::Deserialize;

use crate::table::{self, DataFile, Source, data_file};

pub(crate) const FILES: &[DataFile] = &[data_file!("drills/asme-b94.11m.csv"), data_file!("drills/bs-328.csv")];

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum DrillSeries {
    Number,
    Letter,
    Fraction,
    Metric,
}

#[derive(Clone, Debug, PartialEq)]
pub struct Drill {
    pub series: DrillSeries,
    /// `40`, `F`, `13/64`, `2.5`: the name within its series.
    pub name: String,
    pub diameter: Length,
    pub source: Source,
}

impl Drill {
    /// The drill as the trade asks for it: `#40`, `letter F`, `13/64 in`, `2.50 mm`.
    pub fn label(&self) -> String {
        match self.series {
            DrillSeries::Number => format!("#{}", self.name),
            DrillSeries::Letter => format!("letter {}", self.name),
            DrillSeries::Fraction => format!("{} in", self.name),
            DrillSeries::Metric => format!("{:.2} mm", self.diameter.mm()),
        }
    }
}

/// All drills, smallest first; equal sizes in the order of [`DrillSeries`].
pub fn drills() -> &'static [Drill] {
    static DRILLS: LazyLock<Vec<Drill>> = LazyLock::new(|| {
        let mut drills = table::csv_rows(FILES, drill).expect(table::WELL_FORMED);
        drills.sort_by(|a, b| a.diameter.mm().total_cmp(&b.diameter.mm()).then(a.series.cmp(&b.series)));
        drills
    });
    &DRILLS
}

/// The drill called `#40`, `no. 40`, `number 40`, `letter F`, `13/64`, `1-3/8 in` or `2.5 mm`.
/// A bare `40` or `F` could be several things and is no name; see [`drill_in`].
pub fn drill_named(text: &str) -> Option<&'static Drill> {
    let text = text.trim().to_lowercase();
    if let Some(name) = text.strip_prefix('#') {
        return drill_in(DrillSeries::Number, name);
    }
    for (word, series) in [
        ("number ", DrillSeries::Number),
        ("no.", DrillSeries::Number),
        ("no ", DrillSeries::Number),
        ("letter ", DrillSeries::Letter),
    ] {
        if let Some(name) = text.strip_prefix(word) {
            return drill_in(series, name);
        }
    }
    if let Some(name) = text.strip_suffix("mm") {
        return drill_in(DrillSeries::Metric, name);
    }
    let inches = text.strip_suffix("in").or_else(|| text.strip_suffix('"'));
    match inches {
        Some(name) => drill_in(DrillSeries::Fraction, name),
        None if text.contains('/') => drill_in(DrillSeries::Fraction, &text),
        None => None,
    }
}

/// The drill of this name within a series: `40`, `f`, `1-3/8`, `2.50`.
pub fn drill_in(series: DrillSeries, name: &str) -> Option<&'static Drill> {
    let name = name.trim();
    let of_series = || drills().iter().filter(move |drill| drill.series == series);
    match series {
        DrillSeries::Number | DrillSeries::Letter => of_series().find(|drill| drill.name.eq_ignore_ascii_case(name)),
        DrillSeries::Fraction | DrillSeries::Metric => {
            let value = table::number(name).ok()?;
            // names differ by 0.01 at least, so this only bridges the rounding of binary fractions
            of_series().find(|drill| table::number(&drill.name).is_ok_and(|named| (named - value).abs() < 1e-9))
        }
    }
}

/// The drill nearest in size, out of those given.
pub fn nearest<'a>(drills: impl IntoIterator<Item = &'a Drill>, size: Length) -> Option<&'a Drill> {
    drills.into_iter().min_by(|a, b| (a.diameter - size).abs().mm().total_cmp(&(b.diameter - size).abs().mm()))
}

/// The largest drill that is smaller than the size, out of those given.
pub fn next_below<'a>(drills: impl IntoIterator<Item = &'a Drill>, size: Length) -> Option<&'a Drill> {
    drills.into_iter().filter(|drill| drill.diameter < size).max_by(|a, b| a.diameter.mm().total_cmp(&b.diameter.mm()))
}

/// The smallest drill that is larger than the size, out of those given.
pub fn next_above<'a>(drills: impl IntoIterator<Item = &'a Drill>, size: Length) -> Option<&'a Drill> {
    drills.into_iter().filter(|drill| drill.diameter > size).min_by(|a, b| a.diameter.mm().total_cmp(&b.diameter.mm()))
}

#[derive(Deserialize)]
struct Row {
    series: DrillSeries,
    name: String,
    diameter_in: Option<f64>,
    diameter_mm: Option<f64>,
}

fn drill(row: Row, source: Source) -> Result<Drill, table::Malformed> {
    let diameter = match (row.diameter_in, row.diameter_mm) {
        (Some(inches), None) => Length::from_inches(inches),
        (None, Some(mm)) => Length::from_mm(mm),
        (Some(_), Some(_)) | (None, None) => return Err("a drill has one diameter".into()),
    };
    Ok(Drill { series: row.series, name: row.name, diameter, source })
}
