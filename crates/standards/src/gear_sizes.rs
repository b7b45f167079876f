//! The sizes gear teeth are made in: diametral pitches, modules, circular pitches.

use std::f64::consts::PI;
use std::sync::LazyLock;

use quantity::{Length, MM_PER_INCH};
use serde::Deserialize;

use crate::table::{self, DataFile, Source, data_file};

pub(crate) const FILES: &[DataFile] = &[
    data_file!("gears/ansi-b6.1-b6.7.csv"),
    data_file!("gears/iso-54-1996.csv"),
    data_file!("gears/trade-circular-pitches.csv"),
];

/// What the number of a tooth size counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum SizeSystem {
    /// Teeth per inch of pitch diameter.
    #[serde(rename = "diametral pitch")]
    DiametralPitch,
    /// Millimetres of pitch diameter per tooth.
    Module,
    /// Inches along the pitch circle from tooth to tooth.
    #[serde(rename = "circular pitch")]
    CircularPitch,
}

impl SizeSystem {
    pub const ALL: [SizeSystem; 3] = [SizeSystem::DiametralPitch, SizeSystem::Module, SizeSystem::CircularPitch];

    pub const fn name(self) -> &'static str {
        match self {
            SizeSystem::DiametralPitch => "diametral pitch",
            SizeSystem::Module => "module",
            SizeSystem::CircularPitch => "circular pitch",
        }
    }

    /// The module of a size: m = 25.4/P, m, or 25.4 p/π; millimetres, exact by definition (ISO 1122-1).
    pub fn module(self, value: f64) -> Length {
        match self {
            SizeSystem::DiametralPitch => Length::from_inches(1.0 / value),
            SizeSystem::Module => Length::from_mm(value),
            SizeSystem::CircularPitch => Length::from_inches(value / PI),
        }
    }

    /// The number a module has in this system; the inverse of [`SizeSystem::module`].
    pub fn value_of(self, module: Length) -> f64 {
        match self {
            SizeSystem::DiametralPitch => MM_PER_INCH / module.mm(),
            SizeSystem::Module => module.mm(),
            SizeSystem::CircularPitch => module.inches() * PI,
        }
    }

    /// A size as the trade says it: `10 DP`, `module 2.5`, `1 1/8 in circular pitch`.
    pub fn label(self, value: f64) -> String {
        match self {
            SizeSystem::DiametralPitch => format!("{} DP", decimal(value)),
            SizeSystem::Module => format!("module {}", decimal(value)),
            SizeSystem::CircularPitch => {
                format!("{} in circular pitch", fraction(value).unwrap_or_else(|| decimal(value)))
            }
        }
    }
}

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
    pub system: SizeSystem,
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
pub fn gear_size(system: SizeSystem, value: f64) -> Option<&'static GearSize> {
    // listed numbers differ by more than 1 in 1000; this only bridges the writing of thirds and sevenths as decimals
    gear_sizes().iter().find(|size| size.system == system && (size.value / value - 1.0).abs() < 1e-4)
}

#[derive(Deserialize)]
struct Row {
    system: SizeSystem,
    value: String,
    series: Series,
}

fn listed(row: Row, source: Source) -> Result<GearSize, table::Malformed> {
    Ok(GearSize { system: row.system, value: table::number(&row.value)?, series: row.series, source })
}

/// Up to four decimals, without trailing zeros.
fn decimal(value: f64) -> String {
    let text = format!("{value:.4}");
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}

/// `1/8`, `1 3/7`: the value over the smallest denominator up to 64 that gives it exactly.
fn fraction(value: f64) -> Option<String> {
    let denominator = (1..=64).map(f64::from).find(|d| ((value * d).round() - value * d).abs() < 1e-9)?;
    let whole = value.floor();
    let numerator = ((value - whole) * denominator).round();
    Some(match (whole > 0.0, numerator > 0.0) {
        (true, true) => format!("{whole} {numerator}/{denominator}"),
        (true, false) => format!("{whole}"),
        (false, _) => format!("{numerator}/{denominator}"),
    })
}
