//! Spindle speeds: what the material wants, what the machine can give.

use std::f64::consts::PI;

use quantity::Length;
use serde::Serialize;
use standards::Material;
use standards::cutting::{ToolMaterial, speed_factor};

use crate::shop::Speeds;

/// A spindle this much slower than wanted still cuts as usual; below it the feed must be eased.
const SLOW_ENOUGH_TO_MATTER: f64 = 0.6;
/// A drill below this diameter breaks before it dulls: it is fed gently and cleared often.
const SMALL_DRILL: Length = Length::from_mm(3.2);

/// What is being done to the metal; each has its own range of cutting speeds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub enum Doing {
    Turning,
    Milling,
    Drilling,
    Reaming,
    GearCutting,
}

/// A spindle speed, wanted and real.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Speed {
    pub doing: Doing,
    /// Diameter of the work in turning, of the tool in everything else.
    pub diameter: Length,
    /// Cutting speeds for the tool's material, m/min.
    pub range: (f64, f64),
    /// Revolutions per minute at the middle of the range.
    pub wanted: f64,
    /// Revolutions per minute the machine gives; none where its speeds are not known.
    pub real: Option<f64>,
    /// Cutting speed at the real revolutions, m/min.
    pub surface: Option<f64>,
    pub note: Option<String>,
}

/// Revolutions per minute for a cutting speed.
///
/// Equation: n = 1000 v/(π d), the same as 12 v/(π d) with feet per minute and inches.
/// Units: v in m/min, d in mm, n in 1/min. Range: d > 0. Accuracy: exact; published speeds differ by a factor of two.
/// Source: geometry of a turn; worked charts of workshop texts follow it.
pub fn revolutions(metres_per_minute: f64, diameter: Length) -> f64 {
    1000.0 * metres_per_minute / (PI * diameter.mm())
}

/// Cutting speed in m/min at so many revolutions per minute: the inverse of [`revolutions`].
pub fn surface_speed(revolutions: f64, diameter: Length) -> f64 {
    PI * diameter.mm() * revolutions / 1000.0
}

/// Table feed in mm/min: v_f = n z f_z, with n in 1/min, z teeth and f_z in mm per tooth. Exact.
/// Source: geometry of milling; workshop texts.
pub fn table_feed(revolutions: f64, teeth: u32, per_tooth: Length) -> Length {
    revolutions * f64::from(teeth) * per_tooth
}

/// The speed for this work with high-speed steel on a spindle with these speeds.
pub fn speed(material: &Material, doing: Doing, diameter: Length, spindle: &Speeds) -> Speed {
    speed_with(material, doing, diameter, spindle, ToolMaterial::HighSpeedSteel)
}

/// The speed for this work with a tool of this material.
pub fn speed_with(material: &Material, doing: Doing, diameter: Length, spindle: &Speeds, tool: ToolMaterial) -> Speed {
    let factor = speed_factor(tool);
    let (slow, fast) = range(material, doing);
    let range = (slow * factor, fast * factor);
    let wanted = revolutions((range.0 + range.1) / 2.0, diameter);
    let real = step(spindle, wanted);
    Speed {
        doing,
        diameter,
        range,
        wanted,
        real,
        surface: real.map(|real| surface_speed(real, diameter)),
        note: real.and_then(|real| remark(doing, diameter, wanted, real, spindle)),
    }
}

/// The quickest speed that is not above the one wanted; the lowest where all are above it.
pub fn step(spindle: &Speeds, wanted: f64) -> Option<f64> {
    match spindle {
        Speeds::Stepped(steps) => {
            let below = steps.iter().copied().filter(|step| *step <= wanted).max_by(f64::total_cmp);
            below.or_else(|| steps.iter().copied().min_by(f64::total_cmp))
        }
        Speeds::Variable { lowest, highest } => Some(wanted.min(*highest).max(*lowest)),
        Speeds::None => None,
    }
}

fn range(material: &Material, doing: Doing) -> (f64, f64) {
    let speeds = &material.speeds;
    match doing {
        Doing::Turning => speeds.turning,
        Doing::Milling => speeds.milling,
        Doing::Drilling => speeds.drilling,
        Doing::Reaming => speeds.reaming,
        Doing::GearCutting => speeds.gear_cutting,
    }
}

/// The quickest a spindle turns.
fn quickest(spindle: &Speeds) -> Option<f64> {
    match spindle {
        Speeds::Stepped(steps) => steps.iter().copied().max_by(f64::total_cmp),
        Speeds::Variable { highest, .. } => Some(*highest),
        Speeds::None => None,
    }
}

fn remark(doing: Doing, diameter: Length, wanted: f64, real: f64, spindle: &Speeds) -> Option<String> {
    let flat_out = real < wanted && quickest(spindle) == Some(real);
    let top = if flat_out { ", as fast as the spindle goes" } else { "" };
    let gives = format!("It wants {} rev/min; the machine gives {}{top}", rpm(wanted), rpm(real));
    if real > wanted * 1.001 {
        return Some(format!(
            "{gives}, its lowest: too fast, take light cuts and stop when the tool begins to rub or colour."
        ));
    }
    if real >= SLOW_ENOUGH_TO_MATTER * wanted {
        return None;
    }
    Some(match doing {
        Doing::Drilling if diameter < SMALL_DRILL => {
            format!("{gives}: feed gently, and peck to clear the chips.")
        }
        Doing::Drilling => format!("{gives}: feed by hand and do not hurry it."),
        Doing::Turning | Doing::Milling | Doing::Reaming | Doing::GearCutting => {
            format!("{gives}: slower than need be, which does the tool no harm.")
        }
    })
}

impl Speed {
    /// "310 rev/min (15 m/min, wanted 330 rev/min)", in the shop's unit.
    pub fn sentence(&self, unit: quantity::Unit) -> String {
        match (self.real, self.surface) {
            (Some(real), Some(surface)) if (real - self.wanted).abs() > 0.5 => format!(
                "{} rev/min ({} at the edge; {} rev/min wanted)",
                rpm(real),
                along(surface, unit),
                rpm(self.wanted)
            ),
            (Some(real), Some(surface)) => {
                format!("{} rev/min ({} at the edge)", rpm(real), along(surface, unit))
            }
            _ => format!(
                "about {} rev/min ({} at the edge)",
                rpm(self.wanted),
                along((self.range.0 + self.range.1) / 2.0, unit)
            ),
        }
    }
}

/// A cutting speed as the shop says it.
fn along(metres_per_minute: f64, unit: quantity::Unit) -> String {
    match unit {
        quantity::Unit::Inch => {
            format!("{:.0} ft/min", metres_per_minute * 1000.0 / (12.0 * quantity::MM_PER_INCH))
        }
        quantity::Unit::Millimetre => format!("{metres_per_minute:.0} m/min"),
    }
}

/// Revolutions to two or three figures: nobody sets a belt finer.
fn rpm(revolutions: f64) -> String {
    let step = match revolutions {
        r if r < 100.0 => 1.0,
        r if r < 1000.0 => 5.0,
        r if r < 5000.0 => 10.0,
        _ => 100.0,
    };
    format!("{:.0}", (revolutions / step).round() * step)
}
