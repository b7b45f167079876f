//! What is known beforehand about old rims.
//!
//! None of these has a published figure; they are common practice, set wide enough that no sound reading is called
//! impossible. Multiples of the module unless said otherwise.

use part::Heritage;
use quantity::PitchSystem;
use standards::{GearSize, Rack, Series, gear_sizes};

/// Thickness lost to backlash allowance and wear: usually a few hundredths, seldom more than a tenth.
pub const THINNING: f64 = 0.045;
/// Radius lost at worn or filed tips.
pub const TIP_LOSS: f64 = 0.022;
/// Either has this much more, in mm, on the smallest teeth.
pub const LEAST_LOSS: f64 = 0.01;
/// Depth of the root differs from the rack's by the cutter's clearance and by how deep it was fed.
pub const ROOT_SPREAD: f64 = 0.06;
/// Bore to pitch circle, in mm: a worn bore and an honest maker.
pub const ECCENTRIC: f64 = 0.03;
/// Centres are set a little apart, and bearings wear apart.
pub const MATE_SLACK: f64 = 0.06;
/// Profile shift where a wheel is shifted at all, and how many wheels are.
pub const SHIFT_SPREAD: f64 = 0.26;
pub const SHIFTED: f64 = 0.08;
/// Helix of teeth that lean at all, in radians: eight degrees to forty-five, and a protractor says it better.
pub const HELIX: (f64, f64) = (0.4, 0.25);
/// How many pairs of helical wheels run on parallel axes and so lean alike; the others cross.
pub const PARALLEL: f64 = 0.9;
/// How many rims in a repair shop belong to no standard series.
pub const NO_STANDARD: f64 = 0.05;
/// Clearance at the root of a rim that has no standard, and how far from it they are.
pub const USUAL_CLEARANCE: f64 = 0.2;
pub const CLEARANCE_SPREAD: f64 = 0.12;
/// How far the thickness of a tooth that follows no standard strays.
pub const FREE_THICKNESS: f64 = 0.13;
/// Pressure angles of rims that follow no standard, degrees: what cutters ground by eye or old templates gave.
const FREE_ANGLE: (f64, f64) = (18.0, 4.0);
const FREE_ANGLES: (f64, f64) = (9.0, 30.0);
/// Tooth counts that are searched where they were not counted.
pub const TEETH: std::ops::RangeInclusive<u32> = 8..=400;

/// No two places on an old rim are quite alike: what a reading strays by that no instrument is to blame for. In mm, and in
/// modules; and of the length measured, for what is warm, springs or is held askew.
pub const UNEVEN: f64 = 0.003;
pub const UNEVEN_OF_MODULE: f64 = 0.0015;
pub const UNEVEN_OF_LENGTH: f64 = 4e-5;

/// Angles of rims that follow no standard with their weights, in radians: so near to one another that a tooth's thickness,
/// π/2 + z inv α in modules on the base circle by ISO 21771, moves from one to the next by no more than [`FREE_THICKNESS`]
/// bridges.
pub fn free_angles(teeth: u32) -> Vec<(f64, f64)> {
    let (middle, spread) = FREE_ANGLE;
    let mut out = Vec::new();
    let mut degrees = FREE_ANGLES.0;
    while degrees <= FREE_ANGLES.1 {
        let angle = degrees.to_radians();
        // d(z inv α)/dα = z tan² α
        let bridged = FREE_THICKNESS / (f64::from(teeth) * angle.tan().powi(2));
        let step = bridged.to_degrees().min(0.5 * spread);
        let off = (degrees - middle) / spread;
        out.push((angle, step * (-0.5 * off * off).exp()));
        degrees += step;
    }
    out
}

/// How usual each size is: the system by heritage, then the series, then the middle of all sizes before the ends; the
/// weights sum to one.
pub fn sizes(heritage: Heritage) -> Vec<(&'static GearSize, f64)> {
    let weight = |size: &GearSize| {
        let series = match size.series {
            Series::First => 1.0,
            Series::Second => 0.35,
            Series::Uncommon => 0.08,
        };
        // what comes to a bench can be held in the hand
        let off_middle = (size.module().mm() / 2.5).ln() / 1.1;
        series * (-0.5 * off_middle * off_middle).exp()
    };
    let total =
        |system: PitchSystem| -> f64 { gear_sizes().iter().filter(|size| size.system == system).map(weight).sum() };
    let share = |system: PitchSystem| match (heritage, system) {
        // shops and countries kept to their own system, with few exceptions
        (Heritage::Inch, PitchSystem::DiametralPitch) => 0.86,
        (Heritage::Inch, PitchSystem::CircularPitch) => 0.10,
        (Heritage::Inch, PitchSystem::Module) => 0.04,
        (Heritage::Metric, PitchSystem::Module) => 0.95,
        (Heritage::Metric, PitchSystem::DiametralPitch) => 0.04,
        (Heritage::Metric, PitchSystem::CircularPitch) => 0.01,
        (Heritage::Unknown, PitchSystem::DiametralPitch | PitchSystem::Module) => 0.46,
        (Heritage::Unknown, PitchSystem::CircularPitch) => 0.08,
    };
    let scale = PitchSystem::ALL.map(|system| (system, share(system) / total(system)));
    let scale_of = |system| scale.iter().find(|(other, _)| *other == system).map_or(0.0, |(_, scale)| *scale);
    gear_sizes().iter().map(|size| (size, weight(size) * scale_of(size.system))).collect()
}

pub fn rack_weight(rack: &Rack, heritage: Heritage) -> f64 {
    // a maker of either sort may have had the other's cutters
    let foreign = 0.02;
    match heritage {
        Heritage::Inch => rack.usual_inch + foreign * rack.usual_metric,
        Heritage::Metric => rack.usual_metric + foreign * rack.usual_inch,
        Heritage::Unknown => 0.5 * (rack.usual_inch + rack.usual_metric),
    }
}
