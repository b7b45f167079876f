//! Inch fits by class, RC1 to FN5: the tables of ANSI B4.1.

use std::sync::LazyLock;

use quantity::Length;
use serde::Deserialize;

use super::deviations::Limits;
use crate::table::{self, DataFile, Source, data_file};

const LIMITS: DataFile = data_file!("fits/ansi-b4.1-1967.csv");
const CLASSES: DataFile = data_file!("fits/ansi-b4.1-classes.csv");
pub(crate) const FILES: [DataFile; 2] = [LIMITS, CLASSES];

/// The limits of a fit class at a basic size, both halves.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct InchLimits {
    pub hole: Limits,
    pub shaft: Limits,
    pub source: Source,
}

/// A class of fit, as `RC4`.
#[derive(Clone, Debug, PartialEq)]
pub struct InchClass {
    pub name: String,
    /// What it is for.
    pub says: String,
    pub source: Source,
}

/// The limits of a class such as `RC4` at a basic size above 0 and up to 4.73 in (3.94 in for FN); `None` beyond the table.
/// Source: ANSI B4.1-1967, tables of the preferred fits; each row says where it was read or that it is from memory.
pub fn inch_limits(class: &str, basic: Length) -> Option<InchLimits> {
    // a size of whole sixty-fourths must not fall past the end of its range by rounding
    const SLACK_IN: f64 = 1e-9;
    let within = |row: &&LimitRow| {
        row.class == class && basic.inches() > row.over_in + SLACK_IN && basic.inches() <= row.upto_in + SLACK_IN
    };
    LIMIT_ROWS.iter().find(within).map(|row| row.limits)
}

/// The class of this name, in any case and with or without a space: `RC4`, `rc 4`.
pub fn inch_class(name: &str) -> Option<&'static InchClass> {
    let name: String = name.chars().filter(|c| !c.is_whitespace()).collect();
    inch_classes().iter().find(|class| class.name.eq_ignore_ascii_case(&name))
}

/// In the order of the standard: RC, LC, LT, LN, FN.
pub fn inch_classes() -> &'static [InchClass] {
    static ALL: LazyLock<Vec<InchClass>> = LazyLock::new(|| {
        let class = |row: ClassRow, source| Ok(InchClass { name: row.class, says: row.says, source });
        table::csv_rows(&[CLASSES], class).expect(table::WELL_FORMED)
    });
    &ALL
}

struct LimitRow {
    class: String,
    over_in: f64,
    upto_in: f64,
    limits: InchLimits,
}

static LIMIT_ROWS: LazyLock<Vec<LimitRow>> = LazyLock::new(|| {
    let row = |raw: RawLimits, source| {
        let thou = |lower: f64, upper: f64| {
            let inches = |thou: f64| Length::from_inches(thou / 1000.0);
            Limits { lower: inches(lower), upper: inches(upper) }
        };
        let limits = InchLimits {
            hole: thou(raw.hole_lower, raw.hole_upper),
            shaft: thou(raw.shaft_lower, raw.shaft_upper),
            source,
        };
        Ok(LimitRow { class: raw.class, over_in: raw.over_in, upto_in: raw.upto_in, limits })
    };
    table::csv_rows(&[LIMITS], row).expect(table::WELL_FORMED)
});

#[derive(Deserialize)]
struct RawLimits {
    class: String,
    over_in: f64,
    upto_in: f64,
    hole_lower: f64,
    hole_upper: f64,
    shaft_lower: f64,
    shaft_upper: f64,
}

#[derive(Deserialize)]
struct ClassRow {
    class: String,
    says: String,
}
