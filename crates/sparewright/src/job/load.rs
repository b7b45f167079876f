//! What a job says of the load on its part, and of how the original broke.

use design::tooth::{Load, torque_of_power};
use quantity::{Problem, nearest, quoted};
use standards::{Sign, signs_of_breakage};

use crate::written::{Section, Text, Value, or_note};

/// Units of torque as they are written without spaces and dots, in N m.
const TORQUES: [(&str, f64); 15] = [
    ("nm", 1.0),
    ("ncm", 0.01),
    ("nmm", 0.001),
    ("knm", 1000.0),
    ("lbfft", FOOT_POUND),
    ("lbft", FOOT_POUND),
    ("ftlbf", FOOT_POUND),
    ("ftlb", FOOT_POUND),
    ("lbfin", FOOT_POUND / 12.0),
    ("lbin", FOOT_POUND / 12.0),
    ("inlbf", FOOT_POUND / 12.0),
    ("inlb", FOOT_POUND / 12.0),
    ("kgfm", STANDARD_GRAVITY),
    ("kgm", STANDARD_GRAVITY),
    ("kgfcm", STANDARD_GRAVITY / 100.0),
];
/// In kW.
const POWERS: [(&str, f64); 4] = [("kw", 1.0), ("w", 0.001), ("hp", 0.745_699_9), ("ps", 0.735_498_75)];
const SPEEDS: [(&str, f64); 5] = [("", 1.0), ("rpm", 1.0), ("/min", 1.0), ("1/min", 1.0), ("r/min", 1.0)];

/// A pound-force (4.448 221 615 260 5 N) at a foot (0.3048 m), N m: ISO 80000-4 and the yard of 1959. Exact.
const FOOT_POUND: f64 = 1.355_817_948_331_400_4;
/// g_n, m/s²: third CGPM, 1901. Exact.
const STANDARD_GRAVITY: f64 = 9.806_65;

/// No machine that a repair shop remakes a part of has more.
const MOST_TORQUE: f64 = 1e7;
const MOST_POWER: f64 = 1e5;
const MOST_SPEED: f64 = 1e5;

/// `torque = "12 lbf ft"`, or `power = "0.5 hp"` with a speed; `speed = 60` in turns a minute.
pub(super) fn load(mut section: Section<'_>, problems: &mut Vec<Problem>) -> Option<Load> {
    let before = problems.len();
    let mut read = |value: Option<Value<'_>>, quantity: &Quantity| or_note(quantity.read(&value?), problems);
    let torque = read(section.get("torque"), &TORQUE);
    let power = read(section.get("power"), &POWER);
    let speed_rpm = read(section.get("speed"), &SPEED);
    let at = section.at.clone();
    section.finish(problems);
    let torque_nm = match (torque, power, speed_rpm) {
        (Some(torque), None, _) => Some(torque),
        (None, Some(power), Some(speed)) => Some(torque_of_power(power, speed)),
        (Some(_), Some(_), _) => {
            problems.push(Problem::new(
                at,
                "Both torque and power are given: one of them tells the load.",
                "expected torque, or power and speed",
            ));
            None
        }
        (None, _, _) if problems.len() == before => {
            problems.push(
                Problem::new(
                    at,
                    "The load is not told.",
                    "expected torque = \"12 N m\", or power = \"0.5 hp\" and speed = 60",
                )
                .help(
                    "torque and speed are those of the part that is made; leave the table out where no load is known",
                ),
            );
            None
        }
        (None, _, _) => None,
    };
    Some(Load { torque_nm: torque_nm?, speed_rpm })
}

/// The way of breaking that this word names.
pub(super) fn sign(text: &Text<'_>) -> Result<&'static Sign, Problem> {
    let typed = text.value.trim();
    let signs = signs_of_breakage();
    signs.iter().find(|sign| sign.id.eq_ignore_ascii_case(typed)).ok_or_else(|| {
        let ids: Vec<&str> = signs.iter().map(|sign| sign.id.as_str()).collect();
        let expected = format!("expected {}", ids.join(", "));
        let problem = Problem::new(text.at(), format!("{} is no way of breaking known here.", quoted(typed)), expected);
        match nearest(typed, ids) {
            Some(meant) => problem.help(format!("did you mean `{meant}`?")),
            None => problem.help("leave it out where it was not seen: the sheet Design then tells what to look for"),
        }
    })
}

/// A number with a unit, which a bare number cannot be read without, unless one of the units is none.
struct Quantity {
    units: &'static [(&'static str, f64)],
    most: f64,
    expected: &'static str,
}

const TORQUE: Quantity = Quantity {
    units: &TORQUES,
    most: MOST_TORQUE,
    expected: "expected a torque as \"12 N m\", \"9 lbf ft\" or \"100 lbf in\"",
};
const POWER: Quantity =
    Quantity { units: &POWERS, most: MOST_POWER, expected: "expected a power as \"0.5 hp\" or \"400 W\"" };
const SPEED: Quantity =
    Quantity { units: &SPEEDS, most: MOST_SPEED, expected: "expected turns a minute as 60 or \"60 rpm\"" };

impl Quantity {
    fn read(&self, value: &Value<'_>) -> Result<f64, Problem> {
        let typed = value.as_typed()?;
        let wrong = |why: &str| Problem::new(value.at(), format!("{} {why}", quoted(typed)), self.expected);
        let split = typed.find(|c: char| !c.is_ascii_digit() && c != '.' && c != '_').unwrap_or(typed.len());
        let (number, unit) = typed.split_at(split);
        let number: f64 = number.replace('_', "").parse().map_err(|_| wrong("does not begin with a number."))?;
        let unit: String = unit
            .chars()
            .filter(|c| !c.is_whitespace() && !['.', '·', '-', '*'].contains(c))
            .collect::<String>()
            .to_lowercase();
        let Some((_, factor)) = self.units.iter().find(|(name, _)| *name == unit) else {
            return Err(wrong(if unit.is_empty() { "has no unit." } else { "has a unit that is not known here." }));
        };
        Some(number * factor)
            .filter(|found| (f64::MIN_POSITIVE..=self.most).contains(found))
            .ok_or_else(|| wrong("is out of range here."))
    }
}
