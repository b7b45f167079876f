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
pub(crate) const FILES: [DataFile; 3] = [IT, SHAFTS, HOLES];

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

    /// So many grades finer; none below the finest.
    fn finer(self, by: i8) -> Option<Grade> {
        Some(Grade(self.0 - by)).filter(|grade| grade.0 >= Grade::FINEST)
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
///
/// IT01 to IT11 as tabulated; from there each grade is ten times the one five finer, and so is every cell of the table.
/// Source: ISO 286-1, Table 1 and its rule for coarser grades.
pub fn it(grade: Grade, nominal: Length) -> Option<Length> {
    if grade > COARSEST_TABULATED {
        let used = grade < FINEST_ABOVE_1_MM || nominal.mm() > 1.0 + SLACK_MM;
        return Some(it(grade.finer(5)?, nominal)? * 10.0).filter(|_| used);
    }
    let row = TABLES.it.iter().find(|row| row.grade == grade && within(row.over_mm, row.upto_mm, nominal))?;
    Some(Length::from_micrometres(row.tolerance_um))
}

const COARSEST_TABULATED: Grade = Grade(11);
/// This grade and coarser ones are not used to 1 mm (ISO 286-1, Table 1, note).
const FINEST_ABOVE_1_MM: Grade = Grade(14);

/// The limit deviations of a class such as `H7` or `js6` at a nominal size.
///
/// Shafts: es or ei from the table, the other limit by the tolerance; JS and js are ±IT/2. Holes follow from the shaft of the
/// same letter: A to H, EI = −es; K, M, N to grade 8 and P to ZC to grade 7, ES = −ei + Δ with Δ = ITn − ITn−1; coarser,
/// ES = −ei, but N 0. Only J and M6 from 250 to 315 mm are tabulated on their own.
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
    let own = TABLES.holes.iter().find(|row| {
        row.letter == *letters
            && (row.grade_lo..=row.grade_hi).contains(grade)
            && within(row.over_mm, row.upto_mm, nominal)
    });
    if let Some(row) = own {
        return Some(Deviation::Upper(Length::from_micrometres(row.es_um)));
    }
    let small = nominal.mm() <= SMALL_MM + SLACK_MM;
    let with_delta = |coarsest: Grade, ei: Length| match *grade <= coarsest {
        true => Some(Deviation::Upper(delta(*grade, nominal)? - ei)),
        false => Some(Deviation::Upper(-ei)),
    };
    match letters.as_str() {
        "J" => None,
        "K" if *grade > COARSEST_OF_KMN => small.then_some(Deviation::Upper(Length::ZERO)),
        // the shaft k lies at zero beside its grades 4 to 7, the hole K does not
        "K" => match shaft_deviation("k", GRADE_OF_K, nominal)? {
            Deviation::Lower(ei) => with_delta(COARSEST_OF_KMN, ei),
            Deviation::Upper(_) => None,
        },
        "N" if *grade > COARSEST_OF_KMN && !small => Some(Deviation::Upper(Length::ZERO)),
        _ => match shaft_deviation(&letters.to_lowercase(), *grade, nominal)? {
            Deviation::Upper(es) => Some(Deviation::Lower(-es)),
            Deviation::Lower(ei) if matches!(letters.as_str(), "M" | "N") => with_delta(COARSEST_OF_KMN, ei),
            Deviation::Lower(ei) => with_delta(COARSEST_OF_PZ, ei),
        },
    }
}

// Grades up to which holes take Δ (ISO 286-1, note to Table 3).
const COARSEST_OF_KMN: Grade = Grade(8);
const COARSEST_OF_PZ: Grade = Grade(7);
const GRADE_OF_K: Grade = Grade(6);
/// Up to here Δ is nothing, and N and K of coarse grades keep their deviation.
const SMALL_MM: f64 = 3.0;

/// What a hole of a fine grade is shifted by so that it fits as the shaft of the next finer one: Δ = ITn − ITn−1.
fn delta(grade: Grade, nominal: Length) -> Option<Length> {
    const FINEST: Grade = Grade(3);
    if grade < FINEST {
        return None;
    }
    if nominal.mm() <= SMALL_MM + SLACK_MM {
        return Some(Length::ZERO);
    }
    Some(it(grade, nominal)? - it(grade.finer(1)?, nominal)?)
}

struct Tables {
    it: Vec<ItRow>,
    shafts: Vec<ShaftRow>,
    holes: Vec<HoleRow>,
}

static TABLES: LazyLock<Tables> = LazyLock::new(|| Tables { it: rows(IT), shafts: rows(SHAFTS), holes: rows(HOLES) });

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
}

impl<'de> Deserialize<'de> for Grade {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Grade, D::Error> {
        let text = String::deserialize(deserializer)?;
        text.parse().map_err(|()| serde::de::Error::custom(format!("`{text}` is no tolerance grade")))
    }
}

/// An inch size that is a whole number of millimetres must not fall past the end of its range by rounding.
const SLACK_MM: f64 = 1e-9;

/// Ranges of nominal size leave out their lower end and include their upper one.
fn within(over_mm: f64, upto_mm: f64, nominal: Length) -> bool {
    nominal.mm() > over_mm + SLACK_MM && nominal.mm() <= upto_mm + SLACK_MM
}
