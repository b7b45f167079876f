//! The value of a reading: a size with its instrument, a bracket between two gauges, an angle, a pitch.

use std::f64::consts::PI;
use std::fmt;

use crate::cursor::Cursor;
use crate::instrument::Bench;
use crate::problem::Problem;
use crate::size::{Number, Size, SizeForm, Unit};
use crate::{Angle, Length};

/// What was read, as it was written.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// `2.301`, `2.301 ± 0.002`
    Plain {
        size: Size,
        half_width: Option<Size>,
    },
    /// `goes A, not B`: the size lies between two plain gauges.
    Between { goes: Size, not: Size },
    /// `14.5°`, `20 ± 1 degrees`
    Turned {
        angle: WrittenAngle,
        half_width: Option<WrittenAngle>,
    },
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
    pub(crate) fn read_length(
        cursor: &mut Cursor<'_>,
        bench: &Bench<'_>,
    ) -> Result<Value, Problem> {
        if cursor.take("goes") {
            return read_bracket(cursor, bench);
        }
        let size = Size::read(cursor, bench)?;
        let half_width = match read_plus_minus(cursor) {
            true => Some(Size::read_any(cursor, bench)?),
            false => None,
        };
        Ok(Value::Plain { size, half_width })
    }

    pub(crate) fn read_angle(cursor: &mut Cursor<'_>) -> Result<Value, Problem> {
        let angle = WrittenAngle::read(cursor)?;
        let half_width = match read_plus_minus(cursor) {
            true => Some(WrittenAngle::read(cursor)?),
            false => None,
        };
        Ok(Value::Turned { angle, half_width })
    }

    /// The length and its standard uncertainty; none if this is an angle.
    ///
    /// - `V ± U`: u = U / 2, since U is what the machinist is nearly sure of (k = 2, JCGM 100:2008 6.3.3).
    /// - a bracket: uniform between the gauges, u² = (B − A)² / 12 (JCGM 100:2008 4.3.7), and each end
    ///   uncertain by its gauge's tolerance t, uniform ± t: + (t² / 3) / 2 for the mean of two ends.
    /// - a plain size: the instrument's u, and the rounding to the last place d, u² + d² / 12 (JCGM 100:2008 F.2.2.1).
    pub fn length(&self, bench: &Bench<'_>, instrument: Option<&str>) -> Option<Measured<Length>> {
        match self {
            Value::Plain {
                size,
                half_width: Some(half),
            } => {
                let floor = size.last_place().mm() / 12f64.sqrt();
                Some(Measured {
                    value: size.length,
                    sigma: Length::from_mm((half.length.mm() / 2.0).max(floor.min(1e-3))),
                })
            }
            Value::Plain {
                size,
                half_width: None,
            } => {
                let name = instrument.unwrap_or_else(|| presumed_instrument(size));
                let own = bench
                    .instrument(name)
                    .and_then(|i| i.uncertainty)
                    .unwrap_or(Length::from_mm(0.05))
                    .mm();
                let rounding = size.last_place().mm() / 12f64.sqrt();
                Some(Measured {
                    value: size.length,
                    sigma: Length::from_mm(own.hypot(rounding)),
                })
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
                let rounding = Angle::from_degrees(0.1f64.powi(i32::from(angle.places))).radians()
                    / 12f64.sqrt();
                own.unwrap_or(Angle::from_degrees(0.5))
                    .radians()
                    .hypot(rounding)
            }
        };
        Some(Measured {
            value: angle.angle,
            sigma: Angle::from_radians(sigma),
        })
    }

    /// The place value of the last figure written, for showing residuals no finer than the reading.
    pub fn last_place(&self) -> Option<Length> {
        match self {
            Value::Plain { size, .. } => Some(size.last_place()),
            Value::Between { goes, not } => Some(goes.last_place().max(not.last_place())),
            Value::Turned { .. } => None,
        }
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
        SizeForm::Decimal {
            unit: Unit::Inch,
            places: 0..=1,
        }
        | SizeForm::Decimal {
            unit: Unit::Millimetre,
            places: 0,
        } => "rule",
        SizeForm::Decimal {
            unit: Unit::Inch,
            places: 2..=3,
        }
        | SizeForm::Decimal {
            unit: Unit::Millimetre,
            places: 1..=2,
        } => "caliper",
        SizeForm::Thou { places: 0 } => "caliper",
        SizeForm::Decimal { .. } | SizeForm::Thou { .. } => "micrometer",
        SizeForm::Drill { .. } => "pin gauge",
    }
}

fn read_plus_minus(cursor: &mut Cursor<'_>) -> bool {
    cursor.take("±") || cursor.take("+/-") || cursor.take("+-")
}

fn read_bracket(cursor: &mut Cursor<'_>, bench: &Bench<'_>) -> Result<Value, Problem> {
    let start = cursor.here().start;
    let goes = Size::read(cursor, bench)?;
    cursor.take(",");
    cursor.take("and");
    cursor.take("but");
    if !cursor.take("not") {
        let message = "The gauge that goes was read, but not the one that does not go.";
        return Err(cursor
            .expected("`not` and a size", message)
            .help("write a bracket as: goes 0.8750, not 0.8760"));
    }
    cursor.take("goes");
    let not = Size::read(cursor, bench)?;
    if (goes.length - not.length).abs() < Length::from_micrometres(0.1) {
        return Err(Problem::new(
            start..cursor.last_end(),
            "The same gauge cannot both go and not go.",
            "two different sizes",
        ));
    }
    Ok(Value::Between { goes, not })
}

impl WrittenAngle {
    pub(crate) fn read(cursor: &mut Cursor<'_>) -> Result<WrittenAngle, Problem> {
        let Some(number) = cursor.peek().and_then(|token| Number::parse(token.text)) else {
            return Err(cursor
                .expected("an angle", "An angle in degrees was expected.")
                .help("angles look like 14.5, 20°, 22 1/2 degrees"));
        };
        let at = cursor.here();
        cursor.advance();
        let (mut degrees, mut places) = match number {
            Number::Decimal { value, places } => (value, places),
            Number::Fraction { .. } => (number.value(), 1),
        };
        if let Number::Decimal { places: 0, .. } = number
            && let Some(fraction @ Number::Fraction { whole: 0, .. }) =
                cursor.peek().and_then(|token| Number::parse(token.text))
        {
            degrees += fraction.value();
            places = 1;
            cursor.advance();
        }
        for word in ["degrees", "degree", "deg", "deg.", "°"] {
            if cursor.take(word) {
                break;
            }
        }
        if !degrees.is_finite() || degrees.abs() > 360.0 {
            return Err(Problem::new(
                at,
                format!("{degrees} degrees is more than a full turn."),
                "an angle up to 360 degrees",
            ));
        }
        Ok(WrittenAngle {
            angle: Angle::from_degrees(degrees),
            places: places.min(6),
        })
    }
}

impl fmt::Display for WrittenAngle {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{:.*} degrees",
            usize::from(self.places),
            self.angle.degrees()
        )
    }
}

impl fmt::Display for Value {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Value::Plain {
                size,
                half_width: None,
            } => write!(f, "{size}"),
            Value::Plain {
                size,
                half_width: Some(half),
            } => write!(f, "{size} ± {half}"),
            Value::Between { goes, not } => write!(f, "goes {goes}, not {not}"),
            Value::Turned {
                angle,
                half_width: None,
            } => write!(f, "{angle}"),
            Value::Turned {
                angle,
                half_width: Some(half),
            } => write!(f, "{angle} ± {half}"),
        }
    }
}

/// How a gear size is named.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum PitchSystem {
    /// Teeth per inch of pitch diameter.
    DiametralPitch,
    /// Millimetres of pitch diameter per tooth.
    Module,
    /// Inches along the pitch circle from tooth to tooth.
    CircularPitch,
}

/// A gear size as written: `10 dp 14.5`, `module 2.5`, `1/4 cp`.
#[derive(Clone, Debug, PartialEq)]
pub struct Pitch {
    pub system: PitchSystem,
    pub value: f64,
    pub pressure_angle: Option<WrittenAngle>,
}

impl Pitch {
    /// m = 25.4 / P = p / π (ISO 21771:2007, 4.1; P per inch, p in inches).
    pub fn module(&self) -> Length {
        match self.system {
            PitchSystem::DiametralPitch => Length::from_inches(1.0 / self.value),
            PitchSystem::Module => Length::from_mm(self.value),
            PitchSystem::CircularPitch => Length::from_inches(self.value / PI),
        }
    }

    pub(crate) fn read(cursor: &mut Cursor<'_>) -> Result<Pitch, Problem> {
        let at = cursor.here();
        let leading = cursor.take("module") || cursor.take("mod") || cursor.take("m");
        let Some(number) = cursor
            .peek()
            .and_then(|token| Number::parse(token.text))
            .map(Number::value)
            .filter(|v| *v > 0.0 && *v < 1e4)
        else {
            return Err(cursor
                .expected("a pitch or module", "A gear size was expected.")
                .help(
                    "gear sizes look like 10 dp, 10 dp 14.5, module 2.5, module 2.5 20, 1/4 cp",
                ));
        };
        cursor.advance();
        let system = if leading {
            PitchSystem::Module
        } else if cursor.take("dp")
            || cursor.take("d.p.")
            || (cursor.take("diametral") && cursor.take("pitch"))
        {
            PitchSystem::DiametralPitch
        } else if cursor.take("cp")
            || cursor.take("c.p.")
            || (cursor.take("circular") && cursor.take("pitch"))
        {
            PitchSystem::CircularPitch
        } else if cursor.take("module") || cursor.take("mod") {
            PitchSystem::Module
        } else {
            return Err(Problem::new(
                at,
                "Is this a diametral pitch, a module or a circular pitch?",
                "expected dp, module or cp",
            )
            .help("gear sizes look like 10 dp, module 2.5, 1/4 cp"));
        };
        let pressure_angle = match cursor.peek().and_then(|token| Number::parse(token.text)) {
            Some(_) => Some(WrittenAngle::read(cursor)?),
            None => None,
        };
        Ok(Pitch {
            system,
            value: number,
            pressure_angle,
        })
    }
}

impl fmt::Display for Pitch {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.system {
            PitchSystem::DiametralPitch => write!(f, "{} dp", self.value)?,
            PitchSystem::Module => write!(f, "module {}", self.value)?,
            PitchSystem::CircularPitch => write!(f, "{} cp", self.value)?,
        }
        match self.pressure_angle {
            Some(angle) => write!(f, " {angle}"),
            None => Ok(()),
        }
    }
}
