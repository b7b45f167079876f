//! The value of a reading: a size with its instrument, a bracket between two gauges, an angle.

use std::fmt;

use crate::cursor::Cursor;
use crate::instrument::Bench;
use crate::number::Number;
use crate::problem::{Problem, quoted};
use crate::size::{Size, SizeForm, Unit};
use crate::{Angle, Length};

/// What was read, as it was written.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// `2.301`, `2.301 ± 0.002`
    Plain { size: Size, half_width: Option<Size> },
    /// `goes A, not B`: the size lies between two plain gauges.
    Between { goes: Size, not: Size },
    /// `14.5°`, `20 ± 1 degrees`
    Turned { angle: WrittenAngle, half_width: Option<WrittenAngle> },
}

/// An angle in decimal degrees, and how many decimals were written.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WrittenAngle {
    pub angle: Angle,
    pub places: u8,
}

/// A measured length with its standard uncertainty.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measured<Q> {
    pub value: Q,
    /// Standard uncertainty, k = 1.
    pub sigma: Q,
}

impl Value {
    pub(crate) fn read_length(cursor: &mut Cursor<'_>, bench: &Bench<'_>) -> Result<Value, Problem> {
        if cursor.take("goes") || cursor.take("go") {
            return read_bracket(cursor, bench);
        }
        let size = Size::read(cursor, bench)?;
        if !read_plus_minus(cursor) {
            return Ok(Value::Plain { size, half_width: None });
        }
        let start = cursor.here().start;
        let half = Size::read_after(&size, cursor, bench)?;
        if half.length >= size.length {
            let message = format!("± {half} is as much as the size itself, {size}.");
            return Err(Problem::new(start..cursor.last_end(), message, "expected a half width smaller than the size")
                .help("check its decimal point and unit; a bare number is in the unit of the size"));
        }
        Ok(Value::Plain { size, half_width: Some(half) })
    }

    pub(crate) fn read_angle(cursor: &mut Cursor<'_>) -> Result<Value, Problem> {
        let angle = WrittenAngle::read(cursor)?;
        if !read_plus_minus(cursor) {
            return Ok(Value::Turned { angle, half_width: None });
        }
        let start = cursor.here().start;
        let half = WrittenAngle::read(cursor)?;
        if half.angle <= Angle::ZERO {
            return Err(Problem::new(
                start..cursor.last_end(),
                "A half width must be greater than zero.",
                "expected an angle greater than zero",
            ));
        }
        Ok(Value::Turned { angle, half_width: Some(half) })
    }

    /// The length and its standard uncertainty; none if this is an angle.
    ///
    /// - `V ± U`: u = U / 2, since U is what the machinist is nearly sure of (k = 2, JCGM 100:2008 6.3.3).
    /// - a bracket: uniform between the gauges, u² = (B − A)² / 12 (JCGM 100:2008 4.3.7), and each end
    ///   uncertain by its gauge's tolerance t, uniform ± t: + (t² / 3) / 2 for the mean of two ends.
    /// - a plain size: the instrument's u, and the rounding to the last place d, u² + d² / 12 (JCGM 100:2008 F.2.2.1).
    pub fn length(&self, bench: &Bench<'_>, instrument: Option<&str>) -> Option<Measured<Length>> {
        match self {
            Value::Plain { size, half_width: Some(half) } => {
                let floor = size.last_place().mm() / 12f64.sqrt();
                Some(Measured {
                    value: size.length,
                    sigma: Length::from_mm((half.length.mm() / 2.0).max(floor.min(1e-3))),
                })
            }
            Value::Plain { size, half_width: None } => {
                let name = instrument.unwrap_or_else(|| presumed_instrument(size));
                let own = bench.instrument(name).and_then(|i| i.uncertainty).unwrap_or(Length::from_mm(0.05)).mm();
                // a fraction on a pin or drill is its name, not where a reading was rounded
                let named = name == "pin gauge" && matches!(size.form, SizeForm::Fraction { .. });
                let rounding = match named {
                    true => 0.0,
                    false => size.last_place().mm() / 12f64.sqrt(),
                };
                Some(Measured { value: size.length, sigma: Length::from_mm(own.hypot(rounding)) })
            }
            Value::Between { goes, not } => {
                let (a, b) = (goes.length.mm(), not.length.mm());
                let gauge = bench.gauge_tolerance.mm() / 6f64.sqrt();
                Some(Measured {
                    value: Length::from_mm((a + b) / 2.0),
                    sigma: Length::from_mm(((b - a) / 12f64.sqrt()).hypot(gauge)),
                })
            }
            Value::Turned { .. } => None,
        }
    }

    /// The angle and its standard uncertainty; none if this is a length. Rules as in [`Value::length`].
    pub fn angle(&self, bench: &Bench<'_>, instrument: Option<&str>) -> Option<Measured<Angle>> {
        let Value::Turned { angle, half_width } = self else {
            return None;
        };
        let sigma = match half_width {
            Some(half) => (half.angle.radians() / 2.0).max(1e-6),
            None => {
                let own = instrument
                    .or(Some("protractor"))
                    .and_then(|name| bench.instrument(name))
                    .and_then(|i| i.angle_uncertainty);
                let rounding = Angle::from_degrees(0.1f64.powi(i32::from(angle.places))).radians() / 12f64.sqrt();
                own.unwrap_or(Angle::from_degrees(0.5)).radians().hypot(rounding)
            }
        };
        Some(Measured { value: angle.angle, sigma: Angle::from_radians(sigma) })
    }

    /// The place value of the last figure written, for showing residuals no finer than the reading.
    pub fn last_place(&self) -> Option<Length> {
        match self {
            Value::Plain { size, .. } => Some(size.last_place()),
            Value::Between { goes, not } => Some(goes.last_place().max(not.last_place())),
            Value::Turned { .. } => None,
        }
    }

    /// What was meant if two neighbouring figures were written down in each other's place: `30.16` for 30.61 or 31.06.
    pub fn figures_swapped(&self) -> Vec<Length> {
        let Value::Plain { size, .. } = self else { return Vec::new() };
        let SizeForm::Decimal { .. } = size.form else { return Vec::new() };
        let place = size.last_place();
        let figures = format!("{:.0}", size.length / place);
        let swapped = |at: usize| {
            let mut figures = figures.clone().into_bytes();
            figures.swap(at, at + 1);
            // nobody writes a nought first
            if figures[at] == figures[at + 1] || figures[0] == b'0' {
                return None;
            }
            let number: f64 = std::str::from_utf8(&figures).ok()?.parse().ok()?;
            Some(place * number)
        };
        (0..figures.len().saturating_sub(1)).filter_map(swapped).collect()
    }

    /// The unit the reading was written in; none for an angle.
    pub fn unit(&self) -> Option<Unit> {
        match self {
            Value::Plain { size, .. } | Value::Between { goes: size, .. } => Some(size.unit()),
            Value::Turned { .. } => None,
        }
    }
}

/// Where no instrument is named, the way the size is written tells which one must have been used
/// (common practice, without source): fractions and whole millimetres come from a rule, ten-thousandths of an inch and
/// hundredths of a millimetre or finer from a micrometer or gauge, the rest from a caliper.
pub fn presumed_instrument(size: &Size) -> &'static str {
    match &size.form {
        SizeForm::Fraction { .. } => "rule",
        SizeForm::Decimal { unit: Unit::Inch, places: 0..=1 }
        | SizeForm::Decimal { unit: Unit::Millimetre, places: 0 } => "rule",
        SizeForm::Decimal { unit: Unit::Inch, places: 2..=3 }
        | SizeForm::Decimal { unit: Unit::Millimetre, places: 1..=2 } => "caliper",
        SizeForm::Thou { places: 0 } => "caliper",
        SizeForm::Decimal { .. } | SizeForm::Thou { .. } => "micrometer",
        SizeForm::Drill { .. } => "pin gauge",
    }
}

fn read_plus_minus(cursor: &mut Cursor<'_>) -> bool {
    cursor.take("±") || cursor.take("+/-") || cursor.take("+-") || cursor.take("+−")
}

fn read_bracket(cursor: &mut Cursor<'_>, bench: &Bench<'_>) -> Result<Value, Problem> {
    let start = cursor.here().start;
    let (goes, not) = Size::read_pair(cursor, bench, read_not)?;
    if (goes.length - not.length).abs() < SAME_GAUGE {
        return Err(Problem::new(
            start..cursor.last_end(),
            "The same gauge cannot both go and not go.",
            "expected two different sizes",
        ));
    }
    Ok(Value::Between { goes, not })
}

/// Gauges closer than this cannot be told apart by anything a repair shop owns.
const SAME_GAUGE: Length = Length::from_micrometres(0.1);

/// `, not`, `but not`, `, no go`.
fn read_not(cursor: &mut Cursor<'_>) -> Result<(), Problem> {
    cursor.take(",");
    let _ = cursor.take("and") || cursor.take("but");
    let no_go =
        cursor.take("no-go") || cursor.take_both("no", "go") || cursor.take_both("no", "goes") || cursor.take("not");
    if !no_go {
        let message = "The gauge that goes was read, but not the one that does not go.";
        return Err(cursor.expected("`not` and a size", message).help("write a bracket as: goes 0.8750, not 0.8760"));
    }
    cursor.take("goes");
    Ok(())
}

impl WrittenAngle {
    /// The degrees as they were written, without what the way to radians and back adds.
    pub fn degrees(&self) -> f64 {
        let scale = 10f64.powi(i32::from(self.places));
        (self.angle.degrees() * scale).round() / scale
    }

    pub(crate) fn read(cursor: &mut Cursor<'_>) -> Result<WrittenAngle, Problem> {
        let start = cursor.here().start;
        let Some(number) = Number::read(cursor)? else {
            let message = match cursor.peek() {
                None => "The line ends where an angle was expected.".to_string(),
                Some(token) => format!("{} is not an angle.", quoted(token.text)),
            };
            return Err(cursor.expected("an angle in degrees", &message).help(ANGLES));
        };
        let at = start..cursor.last_end();
        let degrees = number.value();
        let refuse = |message: String| Problem::new(at.clone(), message, "expected an angle in degrees").help(ANGLES);
        let places = match number {
            Number::Decimal { places, .. } if places > MOST_ANGLE_PLACES => {
                return Err(refuse(format!("{places} decimals are more than any protractor shows.")));
            }
            Number::Decimal { places, .. } => places,
            Number::Fraction { denominator: 2, .. } => 1,
            Number::Fraction { denominator: 4, .. } => 2,
            Number::Fraction { denominator: 8, .. } => 3,
            Number::Fraction { denominator, .. } => {
                return Err(refuse(format!(
                    "A degree is divided into halves, quarters or eighths here, not into {denominator}."
                )));
            }
        };
        if degrees.abs() > 360.0 {
            return Err(Problem::new(
                at,
                format!("{degrees} degrees is more than a full turn."),
                "expected an angle up to 360 degrees",
            ));
        }
        let _ = ["degrees", "degree", "deg", "deg.", "°"].iter().any(|word| cursor.take(word));
        if cursor.peek_at(1).is_some_and(|token| ["'", "′"].contains(&token.text)) && Number::peek(cursor).is_some() {
            return Err(cursor
                .expected("degrees alone", "Minutes of arc are not read here.")
                .help("write the angle in decimal degrees: 14° 30′ is 14.5"));
        }
        Ok(WrittenAngle { angle: Angle::from_degrees(degrees), places })
    }
}

const ANGLES: &str = "angles look like 14.5, 20°, 22 1/2 degrees";
/// A millionth of a degree; more would not survive being printed again.
const MOST_ANGLE_PLACES: u8 = 6;

impl fmt::Display for WrittenAngle {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:.*} degrees", usize::from(self.places), self.angle.degrees())
    }
}

impl fmt::Display for Value {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Value::Plain { size, half_width: None } => write!(f, "{size}"),
            Value::Plain { size, half_width: Some(half) } => write!(f, "{size} ± {half}"),
            Value::Between { goes, not } => write!(f, "goes {goes}, not {not}"),
            Value::Turned { angle, half_width: None } => write!(f, "{angle}"),
            Value::Turned { angle, half_width: Some(half) } => write!(f, "{angle} ± {half}"),
        }
    }
}
