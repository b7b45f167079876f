//! The sizes of gear teeth: as a series counts them and as they are written.

use std::f64::consts::PI;
use std::fmt;

use serde::Deserialize;

use crate::cursor::Cursor;
use crate::number::Number;
use crate::problem::{Problem, quoted};
use crate::value::WrittenAngle;
use crate::{Length, MM_PER_INCH, print};

/// What the number of a tooth size counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum PitchSystem {
    /// Teeth per inch of pitch diameter.
    #[serde(rename = "diametral pitch")]
    DiametralPitch,
    /// Millimetres of pitch diameter per tooth.
    Module,
    /// Inches along the pitch circle from tooth to tooth.
    #[serde(rename = "circular pitch")]
    CircularPitch,
}

impl PitchSystem {
    pub const ALL: [PitchSystem; 3] = [PitchSystem::DiametralPitch, PitchSystem::Module, PitchSystem::CircularPitch];

    pub const fn name(self) -> &'static str {
        match self {
            PitchSystem::DiametralPitch => "diametral pitch",
            PitchSystem::Module => "module",
            PitchSystem::CircularPitch => "circular pitch",
        }
    }

    /// The module of a size: m = 25.4/P, m, or 25.4 p/π; millimetres, exact by definition (ISO 1122-1).
    pub fn module(self, value: f64) -> Length {
        match self {
            PitchSystem::DiametralPitch => Length::from_inches(1.0 / value),
            PitchSystem::Module => Length::from_mm(value),
            PitchSystem::CircularPitch => Length::from_inches(value / PI),
        }
    }

    /// The number a module has in this system; the inverse of [`PitchSystem::module`].
    pub fn value_of(self, module: Length) -> f64 {
        match self {
            PitchSystem::DiametralPitch => MM_PER_INCH / module.mm(),
            PitchSystem::Module => module.mm(),
            PitchSystem::CircularPitch => module.inches() * PI,
        }
    }

    /// A size as the trade says it: `10 DP`, `module 2.5`, `1 1/8 in circular pitch`.
    pub fn label(self, value: f64) -> String {
        match self {
            PitchSystem::DiametralPitch => format!("{} DP", print::number(value)),
            PitchSystem::Module => format!("module {}", print::number(value)),
            PitchSystem::CircularPitch => {
                format!("{} in circular pitch", fraction(value).unwrap_or_else(|| print::number(value)))
            }
        }
    }
}

/// A gear size as written: `10 dp 14.5`, `module 2.5`, `1/4 cp`.
#[derive(Clone, Debug, PartialEq)]
pub struct Pitch {
    pub system: PitchSystem,
    pub value: f64,
    pub pressure_angle: Option<WrittenAngle>,
}

impl Pitch {
    pub fn module(&self) -> Length {
        self.system.module(self.value)
    }

    /// As the trade says it, without the pressure angle: `10 DP`.
    pub fn label(&self) -> String {
        self.system.label(self.value)
    }

    /// `10 dp 14.5`, `2 1/2 dp`, `module 2.5`, `m2.5`, `2.5 mod`, `1/4 cp`; in this place `m` is never a metre.
    pub(crate) fn read(cursor: &mut Cursor<'_>) -> Result<Pitch, Problem> {
        let start = cursor.here().start;
        let (system, number) = match read_close_module(cursor) {
            Some(module) => (Some(PitchSystem::Module), Some(module)),
            None => {
                let leading = read_system(cursor, true);
                (leading, Number::read(cursor)?)
            }
        };
        let Some(number) = number else {
            let message = match cursor.peek() {
                None => "The line ends where a gear size was expected.".to_string(),
                Some(token) => format!("{} is not a gear size.", quoted(token.text)),
            };
            return Err(cursor.expected("a gear size", &message).help(PITCHES));
        };
        let at = start..cursor.last_end();
        let inches = cursor.take("in") || cursor.take("\"");
        let Some(system) = system.or_else(|| read_system(cursor, false)) else {
            return Err(Problem::new(
                at,
                "Is this a diametral pitch, a module or a circular pitch?",
                "expected dp, module or cp with the number",
            )
            .help(PITCHES));
        };
        if inches && system != PitchSystem::CircularPitch {
            return Err(Problem::new(
                at,
                "Only a circular pitch is written in inches.",
                "expected dp, module or cp with the number",
            )
            .help(PITCHES));
        }
        if system == PitchSystem::Module {
            cursor.take("mm");
        }
        let value = number.value();
        if !PITCH_RANGE.contains(&value) {
            return Err(
                Problem::new(at, format!("{value} is not the size of any gear."), "expected a gear size").help(PITCHES)
            );
        }
        let pressure_angle = match Number::peek(cursor) {
            Some(_) => Some(read_pressure_angle(cursor)?),
            None => None,
        };
        Ok(Pitch { system, value, pressure_angle })
    }
}

const PITCHES: &str = "gear sizes look like 10 dp, 10 dp 14.5, module 2.5, module 2.5 20, 1/4 cp";
/// Wide enough for watch wheels and mill gears in any system; beyond it a decimal point was lost.
const PITCH_RANGE: std::ops::RangeInclusive<f64> = 0.01..=500.0;

/// `m2.5`, written together.
fn read_close_module(cursor: &mut Cursor<'_>) -> Option<Number> {
    let number = cursor.peek().and_then(|token| token.text.strip_prefix(['m', 'M'])).and_then(Number::parse)?;
    cursor.advance();
    Some(number)
}

fn read_system(cursor: &mut Cursor<'_>, before: bool) -> Option<PitchSystem> {
    if cursor.take("dp") || cursor.take("d.p.") || cursor.take_both("diametral", "pitch") {
        Some(PitchSystem::DiametralPitch)
    } else if cursor.take("cp") || cursor.take("c.p.") || cursor.take_both("circular", "pitch") {
        Some(PitchSystem::CircularPitch)
    } else if cursor.take("module") || cursor.take("mod") || (before && cursor.take("m")) {
        Some(PitchSystem::Module)
    } else {
        None
    }
}

fn read_pressure_angle(cursor: &mut Cursor<'_>) -> Result<WrittenAngle, Problem> {
    let start = cursor.here().start;
    let angle = WrittenAngle::read(cursor)?;
    let degrees = angle.angle.degrees();
    if !(PRESSURE_ANGLES.contains(&degrees)) {
        return Err(Problem::new(
            start..cursor.last_end(),
            format!("{} degrees is no pressure angle.", print::number(degrees)),
            "expected a pressure angle in degrees, or the end of the line",
        )
        .help("pressure angles are mostly 14.5 or 20 degrees"));
    }
    Ok(angle)
}

/// Any gear ever cut lies well within (common practice, without source).
const PRESSURE_ANGLES: std::ops::RangeInclusive<f64> = 5.0..=45.0;

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
