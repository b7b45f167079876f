//! A size as a machinist writes it: `2.301`, `58.45 mm`, `1 3/8`, `45 thou`, `#40`, `letter F`.

use std::fmt;

use crate::cursor::Cursor;
use crate::problem::{Problem, nearest};
use crate::token::vulgar;
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

impl Size {
    /// The place value of the last figure written; zero for a drill called by name.
    pub fn last_place(&self) -> Length {
        match &self.form {
            SizeForm::Decimal { unit, places } => unit.one() * 0.1_f64.powi(i32::from(*places)),
            SizeForm::Fraction { denominator, .. } => {
                Length::from_inches(1.0 / f64::from(*denominator))
            }
            SizeForm::Thou { places } => {
                Length::from_inches(0.001 * 0.1_f64.powi(i32::from(*places)))
            }
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

    /// Reads one size at the cursor. It must be greater than zero.
    pub(crate) fn read(cursor: &mut Cursor<'_>, bench: &Bench<'_>) -> Result<Size, Problem> {
        let start = cursor.here();
        let size = Size::read_any(cursor, bench)?;
        if size.length <= Length::ZERO {
            return Err(Problem::new(
                start.start..cursor.last_end(),
                "A size must be greater than zero.",
                "a size greater than zero",
            ));
        }
        if size.length > LONGEST {
            let message = format!(
                "{} is longer than anything on a repair bench ({LONGEST:.0}).",
                size
            );
            return Err(Problem::new(
                start.start..cursor.last_end(),
                message,
                "a size in inches or millimetres",
            )
            .help("check the decimal point and the unit"));
        }
        Ok(size)
    }

    /// Reads a size that may be zero, as the half width behind `±`.
    pub(crate) fn read_any(cursor: &mut Cursor<'_>, bench: &Bench<'_>) -> Result<Size, Problem> {
        if let Some(drill) = read_drill_name(cursor, bench)? {
            return Ok(drill);
        }
        let start = cursor.here();
        let Some(token) = cursor.peek() else {
            return Err(cursor.expected("a size", "The line ends where a size was expected."));
        };
        let text = token.text;
        let Some(number) = Number::parse(text) else {
            let problem = cursor.expected("a size", &format!("`{text}` is not a size."));
            return Err(problem.help(EXAMPLES));
        };
        cursor.advance();
        let number = match (
            number,
            cursor.peek().and_then(|next| Number::parse(next.text)),
        ) {
            // `1 3/8`: a whole number followed by a proper fraction
            (
                Number::Decimal {
                    places: 0, value, ..
                },
                Some(Number::Fraction {
                    whole: 0,
                    numerator,
                    denominator,
                }),
            ) if value < 1e6 => {
                cursor.advance();
                Number::Fraction {
                    whole: value as u32,
                    numerator,
                    denominator,
                }
            }
            (number, _) => number,
        };
        let at = start.start..cursor.last_end();
        let unit = read_unit(cursor, bench)?;
        number
            .in_unit(unit, bench.unit)
            .map_err(|message| Problem::new(at, message, "a size").help(EXAMPLES))
    }
}

const EXAMPLES: &str = "sizes look like 2.301, 2.301 in, 58.45 mm, 1 3/8, 45 thou, #40, letter F";

impl fmt::Display for Size {
    /// The strict form, always with its unit; reading it back gives the same size.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.form {
            SizeForm::Decimal { unit, places } => {
                write!(
                    f,
                    "{:.*} {}",
                    usize::from(*places),
                    self.length / unit.one(),
                    unit.sign()
                )
            }
            SizeForm::Fraction {
                whole: 0,
                numerator,
                denominator,
            } => write!(f, "{numerator}/{denominator} in"),
            SizeForm::Fraction {
                whole,
                numerator,
                denominator,
            } => write!(f, "{whole} {numerator}/{denominator} in"),
            SizeForm::Thou { places } => write!(
                f,
                "{:.*} thou",
                usize::from(*places),
                self.length.inches() * 1000.0
            ),
            SizeForm::Drill { label } => f.write_str(label),
        }
    }
}

/// A number before its unit is known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Number {
    Decimal {
        value: f64,
        places: u8,
    },
    Fraction {
        whole: u32,
        numerator: u32,
        denominator: u32,
    },
}

impl Number {
    pub(crate) fn parse(text: &str) -> Option<Number> {
        if let Some((whole, last)) = text.char_indices().last().map(|(at, c)| (&text[..at], c))
            && let Some((numerator, denominator)) = vulgar(last)
        {
            let whole = if whole.is_empty() {
                0
            } else {
                whole.parse().ok()?
            };
            return Some(Number::Fraction {
                whole,
                numerator,
                denominator,
            });
        }
        if let Some((left, denominator)) = text.split_once('/') {
            let (whole, numerator) = left.split_once('-').unwrap_or(("0", left));
            return Some(Number::Fraction {
                whole: whole.parse().ok()?,
                numerator: numerator.parse().ok()?,
                denominator: denominator.parse().ok()?,
            });
        }
        let digits = text.strip_prefix(['-', '−']).unwrap_or(text);
        let places = digits.split_once('.').map_or(0, |(_, after)| after.len());
        if digits.is_empty()
            || digits.len() > 18
            || !digits.chars().all(|c| c.is_ascii_digit() || c == '.')
        {
            return None;
        }
        let value: f64 = digits.parse().ok()?;
        let value = if digits.len() < text.len() {
            -value
        } else {
            value
        };
        Some(Number::Decimal {
            value,
            places: u8::try_from(places).ok()?,
        })
    }

    pub(crate) fn value(self) -> f64 {
        match self {
            Number::Decimal { value, .. } => value,
            Number::Fraction {
                whole,
                numerator,
                denominator,
            } => f64::from(whole) + f64::from(numerator) / f64::from(denominator),
        }
    }

    fn in_unit(self, written: Option<WrittenUnit>, bare: Unit) -> Result<Size, String> {
        let written = written.unwrap_or(match (self, bare) {
            // a fraction of a millimetre is not written in any shop
            (Number::Fraction { .. }, _) => WrittenUnit::Inch,
            (_, Unit::Inch) => WrittenUnit::Inch,
            (_, Unit::Millimetre) => WrittenUnit::Millimetre,
        });
        match (self, written) {
            (Number::Fraction { denominator, .. }, _)
                if !denominator.is_power_of_two() || denominator > 256 =>
            {
                Err(format!(
                    "An inch is divided into halves, quarters … 256ths, not into {denominator}."
                ))
            }
            (
                Number::Fraction {
                    whole,
                    numerator,
                    denominator,
                },
                WrittenUnit::Inch,
            ) => {
                if numerator >= denominator || whole > 1_000 {
                    return Err(format!(
                        "{numerator}/{denominator} is not a fraction of an inch."
                    ));
                }
                let length = Length::from_inches(self.value());
                Ok(Size {
                    length,
                    form: SizeForm::Fraction {
                        whole,
                        numerator,
                        denominator,
                    },
                })
            }
            (Number::Fraction { .. }, WrittenUnit::Millimetre | WrittenUnit::Thou) => {
                Err("Fractions are written of inches only.".into())
            }
            (Number::Decimal { value, .. }, _) if value < 0.0 => {
                Err("A size cannot be negative.".into())
            }
            (Number::Decimal { places, .. }, _) if places > MOST_PLACES => Err(format!(
                "{places} decimals are more than any instrument shows."
            )),
            (Number::Decimal { value, places }, WrittenUnit::Inch) => Ok(Size {
                length: Length::from_inches(value),
                form: SizeForm::Decimal {
                    unit: Unit::Inch,
                    places,
                },
            }),
            (Number::Decimal { value, places }, WrittenUnit::Millimetre) => Ok(Size {
                length: Length::from_mm(value),
                form: SizeForm::Decimal {
                    unit: Unit::Millimetre,
                    places,
                },
            }),
            (Number::Decimal { value, places }, WrittenUnit::Thou) => Ok(Size {
                length: Length::from_inches(value / 1000.0),
                form: SizeForm::Thou { places },
            }),
        }
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum WrittenUnit {
    Inch,
    Millimetre,
    Thou,
}

/// A unit behind a number, if one stands there. A word that looks like a unit and is none is a problem.
fn read_unit(cursor: &mut Cursor<'_>, bench: &Bench<'_>) -> Result<Option<WrittenUnit>, Problem> {
    let Some(token) = cursor.peek() else {
        return Ok(None);
    };
    let unit = match token.text.to_lowercase().trim_end_matches('.') {
        "in" | "inch" | "inches" | "\"" | "″" => WrittenUnit::Inch,
        "mm" | "millimetre" | "millimetres" | "millimeter" | "millimeters" => {
            WrittenUnit::Millimetre
        }
        "thou" | "thousandths" | "mil" | "mils" => WrittenUnit::Thou,
        "ft" | "foot" | "feet" | "'" | "′" => {
            return Err(cursor
                .expected("in, mm or thou", "Feet are not used on this bench.")
                .help("write the size in inches or millimetres"));
        }
        "cm" | "centimetre" | "centimetres" | "m" | "metre" | "metres" | "µm" | "um" | "micron"
        | "microns" | "yd" | "yard" | "yards" => {
            let message = format!("`{}` is not a unit this bench measures in.", token.text);
            return Err(cursor
                .expected("in, mm or thou", &message)
                .help("write the size in inches or millimetres"));
        }
        other => {
            let follows = bench.instrument(other).is_some() || other == "worn";
            // a number with letters written against it is meant to have a unit: `2.3im`
            let attached = cursor
                .peek()
                .is_some_and(|t| t.at.start == cursor.last_end())
                && other.chars().all(char::is_alphabetic);
            if attached && !follows {
                let problem =
                    cursor.expected("in, mm or thou", &format!("`{other}` is not a unit."));
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
    let name = if let Some(number) = word.strip_prefix('#').filter(|n| !n.is_empty()) {
        cursor.advance();
        number.to_string()
    } else if matches!(word.as_str(), "no." | "no" | "number" | "letter" | "#")
        && cursor.peek_at(1).is_some()
    {
        cursor.advance();
        let name = cursor
            .peek()
            .map(|t| t.text.to_uppercase())
            .unwrap_or_default();
        cursor.advance();
        name
    } else {
        return Ok(None);
    };
    let at = start..cursor.last_end();
    match bench.drill(
        if word == "letter" {
            DrillSeries::Letter
        } else {
            DrillSeries::Number
        },
        &name,
    ) {
        Some((label, length)) => Ok(Some(Size {
            length,
            form: SizeForm::Drill { label },
        })),
        None => Err(Problem::new(
            at,
            format!("There is no drill called {name} in that series."),
            "a drill name",
        )
        .help("number drills run from #1 to #80, letter drills from A to Z")),
    }
}

/// The series of drills that are called by name and not by size.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DrillSeries {
    Number,
    Letter,
}
