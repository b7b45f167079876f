//! The sizes gear teeth are made in: diametral pitches, modules, circular pitches.

use std::sync::LazyLock;

use quantity::{Length, PitchSystem};
use serde::Deserialize;

use crate::table::{self, DataFile, Source, data_file};

pub(crate) const FILES: &[DataFile] = &[
    data_file!("gears/ansi-b6.1-b6.7.csv"),
    data_file!("gears/iso-54-1996.csv"),
    data_file!("gears/trade-circular-pitches.csv"),
];

/// How usual a size is within its system.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Series {
    First,
    Second,
    Uncommon,
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GearSize {
    pub system: PitchSystem,
    /// Per inch, in millimetres or in inches, as the system has it.
    pub value: f64,
    pub series: Series,
    pub source: Source,
}

impl GearSize {
    pub fn module(&self) -> Length {
        self.system.module(self.value)
    }

    pub fn label(&self) -> String {
        self.system.label(self.value)
    }
}

/// All listed sizes, system by system, each from small numbers to large.
pub fn gear_sizes() -> &'static [GearSize] {
    static SIZES: LazyLock<Vec<GearSize>> = LazyLock::new(|| {
        let mut sizes = table::csv_rows(FILES, listed).expect(table::WELL_FORMED);
        sizes.sort_by(|a, b| a.system.cmp(&b.system).then(a.value.total_cmp(&b.value)));
        sizes
    });
    &SIZES
}

/// The listed size with this number, if there is one.
pub fn gear_size(system: PitchSystem, value: f64) -> Option<&'static GearSize> {
    // listed numbers differ by more than 1 in 1000; this only bridges the writing of thirds and sevenths as decimals
    gear_sizes().iter().find(|size| size.system == system && (size.value / value - 1.0).abs() < 1e-4)
}

#[derive(Deserialize)]
struct Row {
    system: PitchSystem,
    value: String,
    series: Series,
}

fn listed(row: Row, source: Source) -> Result<GearSize, table::Malformed> {
    Ok(GearSize { system: row.system, value: table::number(&row.value)?, series: row.series, source })
}
