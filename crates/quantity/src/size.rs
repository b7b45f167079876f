//! A size as a machinist writes it: `2.301`, `58.45 mm`, `1 3/8`, `45 thou`, `#40`, `letter F`.

use std::fmt;

use crate::cursor::Cursor;
use crate::number::{Number, is_negative};
use crate::problem::{Problem, nearest, quoted};
use crate::{Bench, Length};

/// The unit of a bare number, and the unit a sheet is printed in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Unit {
    Inch,
    Millimetre,
}

impl Unit {
    pub const fn one(self) -> Length {
        match self {
            Unit::Inch => Length::from_inches(1.0),
            Unit::Millimetre => Length::from_mm(1.0),
        }
    }

    pub const fn sign(self) -> &'static str {
        match self {
            Unit::Inch => "in",
            Unit::Millimetre => "mm",
        }
    }
}

/// How a size was written; its last place says how finely it was read.
#[derive(Clone, Debug, PartialEq)]
pub enum SizeForm {
    Decimal {
        unit: Unit,
        places: u8,
    },
    /// Inches and a fraction of an inch.
    Fraction {
        whole: u32,
        numerator: u32,
        denominator: u32,
    },
    /// Thousandths of an inch.
    Thou {
        places: u8,
    },
    /// A drill by its name; the label is the one the drill table prints.
    Drill {
        label: String,
    },
}

/// A length and the way it was written.
#[derive(Clone, Debug, PartialEq)]
pub struct Size {
    pub length: Length,
    pub form: SizeForm,
}

/// Nothing on a repair bench is longer; a larger number is a slip of the pen or of the unit.
pub const LONGEST: Length = Length::from_mm(20_000.0);
/// More decimals than this say nothing about a part, and would not survive being printed again.
const MOST_PLACES: u8 = 9;
/// The finest fraction that is taken; finer ones are on no rule, drill or drawing.
const FINEST_FRACTION: u32 = 256;
/// The parts of an inch a rule is read to where its fraction does not say finer (common practice, without source:
/// the coarse edge of a shop rule is divided in 32nds).
const FRACTION_READ_TO: u32 = 32;

impl Size {
    /// The place value of the last figure written; zero for a drill called by name. A fraction is written in its
    /// lowest terms, so that 1 3/8 says no less than 1 12/32: it counts as read to [`FRACTION_READ_TO`] at least.
    pub fn last_place(&self) -> Length {
        match &self.form {
            SizeForm::Decimal { unit, places } => unit.one() * 0.1_f64.powi(i32::from(*places)),
            SizeForm::Fraction { denominator, .. } => {
                Length::from_inches(1.0 / f64::from(FRACTION_READ_TO.max(*denominator)))
            }
            SizeForm::Thou { places } => Length::from_inches(0.001 * 0.1_f64.powi(i32::from(*places))),
            SizeForm::Drill { .. } => Length::ZERO,
        }
    }

    /// The unit the writer thought in.
    pub fn unit(&self) -> Unit {
        match &self.form {
            SizeForm::Decimal { unit, .. } => *unit,
            SizeForm::Fraction { .. } | SizeForm::Thou { .. } => Unit::Inch,
            SizeForm::Drill { label } if label.ends_with("mm") => Unit::Millimetre,
            SizeForm::Drill { .. } => Unit::Inch,
        }
    }

    /// Reads one size at the cursor; a bare number is in the bench's unit.
    pub(crate) fn read(cursor: &mut Cursor<'_>, bench: &Bench<'_>) -> Result<Size, Problem> {
        Size::read_with(cursor, bench, None).map(|(size, _)| size)
    }

    /// Reads the size behind `±`, or the second of a bracket: a bare number is in the unit of the one before it.
    pub(crate) fn read_after(first: &Size, cursor: &mut Cursor<'_>, bench: &Bench<'_>) -> Result<Size, Problem> {
        Size::read_with(cursor, bench, Some(WrittenUnit::of(first))).map(|(size, _)| size)
    }

    /// Reads the two sizes of a bracket with whatever `between` takes between them. One unit said behind the second
    /// is meant for both.
    pub(crate) fn read_pair(
        cursor: &mut Cursor<'_>,
        bench: &Bench<'_>,
        between: impl Fn(&mut Cursor<'_>) -> Result<(), Problem>,
    ) -> Result<(Size, Size), Problem> {
        let start = cursor.clone();
        let (first, first_bare) = Size::read_with(cursor, bench, None)?;
        between(cursor)?;
        let (second, second_bare) = Size::read_with(cursor, bench, Some(WrittenUnit::of(&first)))?;
        let plain = !matches!(second.form, SizeForm::Drill { .. } | SizeForm::Fraction { .. });
        if first_bare && !second_bare && plain {
            let (first, _) = Size::read_with(&mut start.clone(), bench, Some(WrittenUnit::of(&second)))?;
            return Ok((first, second));
        }
        Ok((first, second))
    }

    /// The size, and whether it stood without a unit. It is greater than zero and not absurdly long.
    fn read_with(
        cursor: &mut Cursor<'_>,
        bench: &Bench<'_>,
        bare: Option<WrittenUnit>,
    ) -> Result<(Size, bool), Problem> {
        if let Some(drill) = read_drill_name(cursor, bench)? {
            return Ok((drill, false));
        }
        if cursor.peek().is_some_and(|token| is_negative(token.text)) {
            return Err(cursor.expected("a size greater than zero", "A size cannot be negative."));
        }
        let start = cursor.here().start;
        let number = Number::read(cursor)?.ok_or_else(|| no_number(cursor))?;
        let number_at = start..cursor.last_end();
        let written = read_unit(cursor, bench)?;
        let unit = written.or(bare).unwrap_or(WrittenUnit::bare(bench.unit));
        let size = number.in_unit(unit, written.is_some()).map_err(|refusal| refusal.at(number_at))?;
        let at = start..cursor.last_end();
        if size.length <= Length::ZERO {
            return Err(Problem::new(at, "A size must be greater than zero.", "expected a size greater than zero"));
        }
        if size.length > LONGEST {
            return Err(Problem::new(
                at,
                format!("{size} is longer than anything on a repair bench ({LONGEST:.0})."),
                "expected a size in inches or millimetres",
            )
            .help("check the decimal point and the unit"));
        }
        Ok((size, written.is_none()))
    }
}

fn no_number(cursor: &Cursor<'_>) -> Problem {
    match cursor.peek() {
        None => cursor.expected("a size", "The line ends where a size was expected.").help(EXAMPLES),
        Some(token) => cursor.expected("a size", &format!("{} is not a size.", quoted(token.text))).help(EXAMPLES),
    }
}

const UNITS: &str = "in, mm or thou";
const EXAMPLES: &str = "sizes look like 2.301, 2.301 in, 58.45 mm, 1 3/8, 45 thou, #40, letter F";

impl fmt::Display for Size {
    /// The strict form, always with its unit; reading it back gives the same size.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.form {
            SizeForm::Decimal { unit, places } => {
                write!(f, "{:.*} {}", usize::from(*places), self.length / unit.one(), unit.sign())
            }
            SizeForm::Fraction { whole: 0, numerator, denominator } => write!(f, "{numerator}/{denominator} in"),
            SizeForm::Fraction { whole, numerator, denominator } => write!(f, "{whole} {numerator}/{denominator} in"),
            SizeForm::Thou { places } => write!(f, "{:.*} thou", usize::from(*places), self.length.inches() * 1000.0),
            SizeForm::Drill { label } => f.write_str(label),
        }
    }
}

/// Why a number is no size, and what to write instead.
struct Refusal {
    message: String,
    help: String,
}

impl Refusal {
    fn new(message: impl Into<String>, help: impl Into<String>) -> Refusal {
        Refusal { message: message.into(), help: help.into() }
    }

    fn at(self, at: std::ops::Range<usize>) -> Problem {
        Problem::new(at, self.message, "expected a size").help(self.help)
    }
}

impl Number {
    /// The size in this unit; a fraction without a unit is of an inch wherever it stands, since a fraction of a
    /// millimetre is not written in any shop.
    fn in_unit(self, unit: WrittenUnit, said: bool) -> Result<Size, Refusal> {
        match self {
            Number::Fraction { whole, numerator, denominator } => match unit {
                WrittenUnit::Millimetre | WrittenUnit::Thou if said => {
                    Err(Refusal::new("Fractions are written of inches only.", EXAMPLES))
                }
                WrittenUnit::Inch | WrittenUnit::Millimetre | WrittenUnit::Thou => {
                    inch_fraction(whole, numerator, denominator)
                }
            },
            Number::Decimal { places, .. } if places > MOST_PLACES => Err(Refusal::new(
                format!("{places} decimals are more than any instrument shows."),
                "write the figures that were read",
            )),
            Number::Decimal { value, places } => {
                let decimal = |unit| SizeForm::Decimal { unit, places };
                let (length, form) = match unit {
                    WrittenUnit::Inch => (Length::from_inches(value), decimal(Unit::Inch)),
                    WrittenUnit::Millimetre => (Length::from_mm(value), decimal(Unit::Millimetre)),
                    WrittenUnit::Thou => (Length::from_inches(value / 1000.0), SizeForm::Thou { places }),
                };
                Ok(Size { length, form })
            }
        }
    }
}

fn inch_fraction(whole: u32, numerator: u32, denominator: u32) -> Result<Size, Refusal> {
    if !denominator.is_power_of_two() || denominator > FINEST_FRACTION {
        return Err(Refusal::new(
            format!("An inch is divided into halves, quarters … {FINEST_FRACTION}ths, not into {denominator}."),
            EXAMPLES,
        ));
    }
    if numerator >= denominator {
        let whole = u64::from(whole) + u64::from(numerator / denominator);
        let over = match numerator % denominator {
            0 => String::new(),
            over => format!(" {over}/{denominator}"),
        };
        return Err(Refusal::new(
            format!("{numerator}/{denominator} is a whole inch or more."),
            format!("write {whole}{over}"),
        ));
    }
    let form = SizeForm::Fraction { whole, numerator, denominator };
    let inches = f64::from(whole) + f64::from(numerator) / f64::from(denominator);
    Ok(Size { length: Length::from_inches(inches), form })
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum WrittenUnit {
    Inch,
    Millimetre,
    Thou,
}

impl WrittenUnit {
    const fn bare(unit: Unit) -> WrittenUnit {
        match unit {
            Unit::Inch => WrittenUnit::Inch,
            Unit::Millimetre => WrittenUnit::Millimetre,
        }
    }

    fn of(size: &Size) -> WrittenUnit {
        match size.form {
            SizeForm::Thou { .. } => WrittenUnit::Thou,
            SizeForm::Decimal { .. } | SizeForm::Fraction { .. } | SizeForm::Drill { .. } => {
                WrittenUnit::bare(size.unit())
            }
        }
    }
}

/// A unit behind a number, if one stands there. A word that looks like a unit and is none is a problem.
fn read_unit(cursor: &mut Cursor<'_>, bench: &Bench<'_>) -> Result<Option<WrittenUnit>, Problem> {
    let Some(token) = cursor.peek() else {
        return Ok(None);
    };
    let unit = match token.text.to_lowercase().trim_end_matches('.') {
        "in" | "inch" | "inches" | "\"" | "″" => WrittenUnit::Inch,
        // two strokes typed for the inch sign
        "'" if cursor.peek_at(1).is_some_and(|next| next.text == "'" && next.at.start == token.at.end) => {
            cursor.advance();
            WrittenUnit::Inch
        }
        "mm" | "millimetre" | "millimetres" | "millimeter" | "millimeters" => WrittenUnit::Millimetre,
        "thou" | "thousandth" | "thousandths" => WrittenUnit::Thou,
        "mil" | "mils" => {
            return Err(cursor
                .expected(UNITS, "A mil is a thousandth of an inch to some and a millimetre to others.")
                .help("write thou or mm"));
        }
        "ft" | "foot" | "feet" | "'" | "′" => {
            return Err(cursor
                .expected(UNITS, "Feet are not used on this bench.")
                .help("write the size in inches or millimetres"));
        }
        "cm" | "centimetre" | "centimetres" | "m" | "metre" | "metres" | "µm" | "um" | "micron" | "microns" | "yd"
        | "yard" | "yards" => {
            let message = format!("{} is not a unit this bench measures in.", quoted(token.text));
            return Err(cursor.expected(UNITS, &message).help("write the size in inches or millimetres"));
        }
        other => {
            let follows = bench.instrument(other).is_some() || other == "worn";
            // a number with letters written against it is meant to have a unit: `2.3im`
            let attached = cursor.peek().is_some_and(|t| t.at.start == cursor.last_end())
                && other.chars().all(char::is_alphabetic);
            if attached && !follows {
                let problem = cursor.expected(UNITS, &format!("{} is not a unit.", quoted(other)));
                return Err(match nearest(other, ["in", "mm", "thou", "inch"]) {
                    Some(meant) => problem.help(format!("did you mean `{meant}`?")),
                    None => problem.help("write the size in inches or millimetres"),
                });
            }
            return Ok(None);
        }
    };
    cursor.advance();
    Ok(Some(unit))
}

/// `#40`, `no. 40`, `no 40`, `number 40`, `letter F`.
fn read_drill_name(cursor: &mut Cursor<'_>, bench: &Bench<'_>) -> Result<Option<Size>, Problem> {
    let Some(first) = cursor.peek() else {
        return Ok(None);
    };
    let word = first.text.to_lowercase();
    let start = first.at.start;
    let close = ["#", "no."].iter().find_map(|sign| word.strip_prefix(sign).filter(|name| !name.is_empty()));
    let name = if let Some(number) = close {
        cursor.advance();
        number.to_uppercase()
    } else if matches!(word.as_str(), "no." | "no" | "number" | "letter" | "#") && cursor.peek_at(1).is_some() {
        cursor.advance();
        let name = cursor.peek().map(|t| t.text.to_uppercase()).unwrap_or_default();
        cursor.advance();
        name
    } else {
        return Ok(None);
    };
    let at = start..cursor.last_end();
    let (series, kind) = match word.as_str() {
        "letter" => (DrillSeries::Letter, "letter"),
        _ => (DrillSeries::Number, "number"),
    };
    match bench.drill(series, &name) {
        Some((label, length)) => Ok(Some(Size { length, form: SizeForm::Drill { label } })),
        None => Err(Problem::new(at, format!("There is no {kind} drill {}.", quoted(&name)), "expected a drill name")
            .help("number drills run from #1 to #80, letter drills from A to Z")),
    }
}

/// The series of drills that are called by name and not by size.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DrillSeries {
    Number,
    Letter,
}
