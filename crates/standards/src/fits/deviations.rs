//! Standard tolerances and fundamental deviations to 500 mm.

use std::fmt;
use std::str::FromStr;
use std::sync::LazyLock;

use quantity::Length;
use serde::de::DeserializeOwned;
use serde::{Deserialize, Deserializer};

use crate::table::{self, DataFile, data_file};

const IT: DataFile = data_file!("fits/iso-286-1-it.csv");
const SHAFTS: DataFile = data_file!("fits/iso-286-1-shafts.csv");
const HOLES: DataFile = data_file!("fits/iso-286-1-holes.csv");
const DELTA: DataFile = data_file!("fits/iso-286-1-delta.csv");
pub(crate) const FILES: [DataFile; 4] = [IT, SHAFTS, HOLES, DELTA];

/// A standard tolerance grade, IT01 to IT18.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Grade(i8);

impl Grade {
    /// Grade 01, finer than grade 0, is kept as this number.
    const FINEST: i8 = -1;
    const COARSEST: i8 = 18;

    pub fn new(number: u8) -> Option<Grade> {
        i8::try_from(number).ok().filter(|number| *number <= Grade::COARSEST).map(Grade)
    }

    pub fn all() -> impl Iterator<Item = Grade> {
        (Grade::FINEST..=Grade::COARSEST).map(Grade)
    }
}

impl FromStr for Grade {
    type Err = ();

    /// `7`, `IT7`, `01`.
    fn from_str(text: &str) -> Result<Grade, ()> {
        let digits = text.strip_prefix("IT").unwrap_or(text);
        let plain = !digits.is_empty() && digits.bytes().all(|b| b.is_ascii_digit());
        match digits {
            "01" => Ok(Grade(Grade::FINEST)),
            _ if plain && (digits == "0" || !digits.starts_with('0')) => {
                digits.parse().ok().and_then(Grade::new).ok_or(())
            }
            _ => Err(()),
        }
    }
}

impl fmt::Display for Grade {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.0 {
            Grade::FINEST => f.write_str("IT01"),
            number => write!(f, "IT{number}"),
        }
    }
}

/// A tolerance class: `H7` of a hole, `js6` of a shaft.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Class {
    /// In capitals for a hole, small for a shaft.
    pub letters: String,
    pub grade: Grade,
}

impl Class {
    pub fn is_hole(&self) -> bool {
        self.letters.starts_with(|c: char| c.is_ascii_uppercase())
    }

    /// Whether the standard has this class at any size: `j12` and `q6` it has not.
    pub fn is_known(&self) -> bool {
        // the middles of some ranges: not every letter starts at the smallest
        [2.0, 25.0, 110.0].into_iter().any(|mm| limits(&self.to_string(), Length::from_mm(mm)).is_some())
    }
}

impl FromStr for Class {
    type Err = ();

    fn from_str(text: &str) -> Result<Class, ()> {
        let text = text.trim();
        let (letters, grade) = text.split_at(text.find(|c: char| c.is_ascii_digit()).ok_or(())?);
        let hole = letters.bytes().all(|b| b.is_ascii_uppercase());
        let shaft = letters.bytes().all(|b| b.is_ascii_lowercase());
        if letters.is_empty() || !(hole || shaft) {
            return Err(());
        }
        Ok(Class { letters: letters.into(), grade: grade.parse()? })
    }
}

impl fmt::Display for Class {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", self.letters, self.grade.to_string().trim_start_matches("IT"))
    }
}

/// Limit deviations: what the actual size may differ from the nominal one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    pub lower: Length,
    pub upper: Length,
}

impl Limits {
    /// The smallest and the largest size.
    pub fn sizes(&self, nominal: Length) -> (Length, Length) {
        (nominal + self.lower, nominal + self.upper)
    }

    pub fn tolerance(&self) -> Length {
        self.upper - self.lower
    }
}

/// The standard tolerance of a grade; `None` beyond the table (0 to 500 mm; grades 14 and up only above 1 mm).
/// Source: ISO 286-1, Table 1.
pub fn it(grade: Grade, nominal: Length) -> Option<Length> {
    let row = TABLES.it.iter().find(|row| row.grade == grade && within(row.over_mm, row.upto_mm, nominal))?;
    Some(Length::from_micrometres(row.tolerance_um))
}

/// The limit deviations of a class such as `H7` or `js6` at a nominal size.
///
/// Shafts: es or ei from the table, the other limit by the tolerance. Holes: A to H mirror the shaft of the same letter
/// (EI = −es); JS and js are ±IT/2; J, K, M, N are tabulated; P to Z: ES = −ei, plus Δ up to grade 7.
/// Nominal sizes above 0 and up to 500 mm; to the micrometre of the table. `None` where the standard has no value.
/// Source: ISO 286-1, Tables 1 to 3 and the rules of their notes; see the heads of the data files for what was read where.
pub fn limits(class: &str, nominal: Length) -> Option<Limits> {
    let class: Class = class.parse().ok()?;
    let tolerance = it(class.grade, nominal)?;
    if class.letters.eq_ignore_ascii_case("js") {
        return Some(Limits { lower: -0.5 * tolerance, upper: 0.5 * tolerance });
    }
    let deviation = match class.is_hole() {
        true => hole_deviation(&class, nominal)?,
        false => shaft_deviation(&class.letters, class.grade, nominal)?,
    };
    Some(match deviation {
        Deviation::Upper(upper) => Limits { lower: upper - tolerance, upper },
        Deviation::Lower(lower) => Limits { lower, upper: lower + tolerance },
    })
}

/// The limit nearest to the nominal size.
#[derive(Clone, Copy)]
enum Deviation {
    Upper(Length),
    Lower(Length),
}

fn shaft_deviation(letters: &str, grade: Grade, nominal: Length) -> Option<Deviation> {
    let row = TABLES.shafts.iter().find(|row| {
        row.letter == letters
            && (row.grade_lo..=row.grade_hi).contains(&grade)
            && within(row.over_mm, row.upto_mm, nominal)
    })?;
    let value = Length::from_micrometres(row.value_um);
    Some(match row.deviation {
        ShaftDeviation::Es => Deviation::Upper(value),
        ShaftDeviation::Ei => Deviation::Lower(value),
    })
}

fn hole_deviation(class: &Class, nominal: Length) -> Option<Deviation> {
    let Class { letters, grade } = class;
    if matches!(letters.as_str(), "J" | "K" | "M" | "N") {
        let row = TABLES.holes.iter().find(|row| {
            row.letter == *letters
                && (row.grade_lo..=row.grade_hi).contains(grade)
                && within(row.over_mm, row.upto_mm, nominal)
        })?;
        let es = Length::from_micrometres(row.es_um);
        return Some(Deviation::Upper(if row.plus_delta { es + delta(*grade, nominal)? } else { es }));
    }
    match shaft_deviation(&letters.to_lowercase(), *grade, nominal)? {
        Deviation::Upper(es) => Some(Deviation::Lower(-es)),
        Deviation::Lower(ei) if *grade <= COARSEST_WITH_DELTA => Some(Deviation::Upper(delta(*grade, nominal)? - ei)),
        Deviation::Lower(ei) => Some(Deviation::Upper(-ei)),
    }
}

/// Holes P to Z take Δ up to this grade (ISO 286-1, note to Table 3).
const COARSEST_WITH_DELTA: Grade = Grade(7);

fn delta(grade: Grade, nominal: Length) -> Option<Length> {
    let row = TABLES.delta.iter().find(|row| row.grade == grade && within(row.over_mm, row.upto_mm, nominal))?;
    Some(Length::from_micrometres(row.delta_um))
}

struct Tables {
    it: Vec<ItRow>,
    shafts: Vec<ShaftRow>,
    holes: Vec<HoleRow>,
    delta: Vec<DeltaRow>,
}

static TABLES: LazyLock<Tables> =
    LazyLock::new(|| Tables { it: rows(IT), shafts: rows(SHAFTS), holes: rows(HOLES), delta: rows(DELTA) });

fn rows<R: DeserializeOwned>(file: DataFile) -> Vec<R> {
    table::csv_rows(&[file], |row, _| Ok(row)).expect(table::WELL_FORMED)
}

#[derive(Deserialize)]
struct ItRow {
    over_mm: f64,
    upto_mm: f64,
    grade: Grade,
    tolerance_um: f64,
}

#[derive(Deserialize)]
struct ShaftRow {
    over_mm: f64,
    upto_mm: f64,
    letter: String,
    grade_lo: Grade,
    grade_hi: Grade,
    deviation: ShaftDeviation,
    value_um: f64,
}

#[derive(Clone, Copy, Deserialize)]
#[serde(rename_all = "lowercase")]
enum ShaftDeviation {
    Es,
    Ei,
}

#[derive(Deserialize)]
struct HoleRow {
    over_mm: f64,
    upto_mm: f64,
    letter: String,
    grade_lo: Grade,
    grade_hi: Grade,
    es_um: f64,
    plus_delta: bool,
}

#[derive(Deserialize)]
struct DeltaRow {
    over_mm: f64,
    upto_mm: f64,
    grade: Grade,
    delta_um: f64,
}

impl<'de> Deserialize<'de> for Grade {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Grade, D::Error> {
        let text = String::deserialize(deserializer)?;
        text.parse().map_err(|()| serde::de::Error::custom(format!("`{text}` is no tolerance grade")))
    }
}

/// Ranges of nominal size leave out their lower end and include their upper one.
fn within(over_mm: f64, upto_mm: f64, nominal: Length) -> bool {
    // an inch size that is a whole number of millimetres must not fall past the end of its range by rounding
    const SLACK_MM: f64 = 1e-9;
    nominal.mm() > over_mm + SLACK_MM && nominal.mm() <= upto_mm + SLACK_MM
}
