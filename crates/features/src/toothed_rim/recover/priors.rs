//! What is known beforehand about old rims.
//!
//! None of these has a published figure; they are common practice, set wide enough that no sound reading is called
//! impossible. Multiples of the module unless said otherwise.

use part::Heritage;
use quantity::{PitchSystem, Unit};
use standards::{GearSize, Rack, Series, gear_sizes, racks};

/// Thickness lost to backlash allowance and wear: usually a few hundredths, seldom more than a tenth.
pub const THINNING: f64 = 0.045;
/// Radius lost at worn or filed tips.
pub const TIP_LOSS: f64 = 0.022;
/// Either has this much more, in mm, on the smallest teeth.
pub const LEAST_LOSS: f64 = 0.01;
/// A surface that the machinist calls worn has lost so many times as much.
pub const WORN_TIMES: f64 = 2.5;
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
/// In place of the second on flanks that are called worn: no two teeth wear alike.
pub const UNEVEN_WHERE_WORN: f64 = 0.015;

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

/// Every size with the racks used at it and how usual the two are together; all weights sum to one.
///
/// Where nobody knows in what system a maker worked, he may have worked in either, but in one: a size of module tells of a
/// maker who had the racks of those who work in millimetres.
pub fn standards(heritage: Heritage) -> Vec<(&'static GearSize, Vec<(&'static Rack, f64)>)> {
    let makers: Vec<(Unit, f64, Vec<f64>)> =
        makers(heritage).iter().map(|&(unit, chance)| (unit, chance, size_weights(unit))).collect();
    let racks_at = |(index, size): (usize, &'static GearSize)| {
        let fitting: Vec<&'static Rack> = racks().iter().filter(|rack| rack.used_at(size.module())).collect();
        let mut weights = vec![0.0; fitting.len()];
        for (unit, chance, sizes) in &makers {
            let total: f64 = fitting.iter().map(|rack| rack_weight(rack, *unit)).sum();
            for (weight, rack) in weights.iter_mut().zip(&fitting) {
                *weight += chance * sizes[index] * rack_weight(rack, *unit) / total;
            }
        }
        (size, fitting.into_iter().zip(weights).filter(|(_, weight)| *weight > 0.0).collect())
    };
    gear_sizes().iter().enumerate().map(racks_at).collect()
}

/// The systems that the maker may have worked in, each with its chance.
fn makers(heritage: Heritage) -> &'static [(Unit, f64)] {
    match heritage {
        Heritage::Inch => &[(Unit::Inch, 1.0)],
        Heritage::Metric => &[(Unit::Millimetre, 1.0)],
        Heritage::Unknown => &[(Unit::Inch, 0.5), (Unit::Millimetre, 0.5)],
    }
}

/// How usual each size is with makers of one system: the series first, then the middle of all sizes before the ends.
fn size_weights(maker: Unit) -> Vec<f64> {
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
    let share = |system: PitchSystem| match (maker, system) {
        // shops and countries kept to their own system, with few exceptions
        (Unit::Inch, PitchSystem::DiametralPitch) => 0.86,
        (Unit::Inch, PitchSystem::CircularPitch) => 0.10,
        (Unit::Inch, PitchSystem::Module) => 0.04,
        (Unit::Millimetre, PitchSystem::Module) => 0.95,
        (Unit::Millimetre, PitchSystem::DiametralPitch) => 0.04,
        (Unit::Millimetre, PitchSystem::CircularPitch) => 0.01,
    };
    let scale = PitchSystem::ALL.map(|system| (system, share(system) / total(system)));
    let scale_of = |system| scale.iter().find(|(other, _)| *other == system).map_or(0.0, |(_, scale)| *scale);
    gear_sizes().iter().map(|size| weight(size) * scale_of(size.system)).collect()
}

fn rack_weight(rack: &Rack, maker: Unit) -> f64 {
    // a maker of either sort may have had the other's cutters
    let foreign = 0.02;
    match maker {
        Unit::Inch => rack.usual_inch + foreign * rack.usual_metric,
        Unit::Millimetre => rack.usual_metric + foreign * rack.usual_inch,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_standards_together_are_certain() {
        for heritage in [Heritage::Inch, Heritage::Metric, Heritage::Unknown] {
            let total: f64 = standards(heritage).iter().flat_map(|(_, racks)| racks).map(|(_, weight)| weight).sum();
            assert!((total - 1.0).abs() < 1e-12, "{heritage:?}: {total}");
        }
    }

    /// Of an unknown maker, the system of the size tells what racks he had.
    #[test]
    fn the_size_tells_the_maker() {
        let share_of_14_5 = |heritage: Heritage, system: PitchSystem| {
            let (mut these, mut all) = (0.0, 0.0);
            for (_, racks) in standards(heritage).iter().filter(|(size, _)| size.system == system) {
                for (rack, weight) in racks {
                    all += weight;
                    these += if (rack.pressure_angle.degrees() - 14.5).abs() < 0.1 { *weight } else { 0.0 };
                }
            }
            these / all
        };
        for (system, maker) in [(PitchSystem::DiametralPitch, Heritage::Inch), (PitchSystem::Module, Heritage::Metric)]
        {
            let (of_maker, of_anyone) = (share_of_14_5(maker, system), share_of_14_5(Heritage::Unknown, system));
            assert!((of_maker - of_anyone).abs() < 0.05, "{system:?}: {of_maker} and {of_anyone}");
        }
    }
}
