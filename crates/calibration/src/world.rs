//! Invented worn rims.
//!
//! What is usual here was chosen by judgement, apart from what the findings engine presumes and not equal to it: sizes
//! crowd about module 2.5, wear comes from a mixture and not from an exponential, flanks are uneven. No survey of old
//! gears stands behind either.

use geometry::toothing::{Rack as Cut, Toothing, ToothingSpec};
use part::Heritage;
use quantity::{Angle, Length, PitchSystem};
use standards::{GearSize, Rack, Series, gear_sizes, racks};

use crate::random::Random;

/// A rim as it lies on the bench.
#[derive(Clone, Debug)]
pub struct Rim {
    /// As its owner states it.
    pub heritage: Heritage,
    /// None where it was made to no standard.
    pub standard: Option<(&'static GearSize, &'static Rack)>,
    /// Its teeth as they are now: thinned, the tips worn, the root as it was really cut.
    pub worn: Toothing,
    /// Towards the side that radii are taken on, mm.
    pub eccentric: f64,
    /// Standard deviation of what two places on the rim differ by, mm.
    pub uneven: f64,
    pub whole: bool,
    /// Tooth places there.
    pub present: u32,
    /// Whether the teeth of the whole circle are known.
    pub counted: bool,
}

/// What sorts of rim to invent.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Made {
    ToStandard,
    ToNone,
}

/// Keeps trying until the numbers make teeth.
pub fn invent(made: Made, random: &mut Random) -> Rim {
    loop {
        if let Some(rim) = attempt(made, random) {
            return rim;
        }
    }
}

fn attempt(made: Made, random: &mut Random) -> Option<Rim> {
    let heritage = random.pick([(0.46, Heritage::Inch), (0.44, Heritage::Metric), (0.10, Heritage::Unknown)])?;
    let worked_in_inches = match heritage {
        Heritage::Inch => true,
        Heritage::Metric => false,
        Heritage::Unknown => random.chance(0.5),
    };
    let whole = random.chance(0.65);
    let teeth = if whole { random.log_between(11.0, 120.0) } else { random.log_between(24.0, 220.0) }.round() as u32;
    let (standard, module, mut cut) = match made {
        Made::ToStandard => {
            let size = size(worked_in_inches, random)?;
            let rack = rack(worked_in_inches, size, random)?;
            let module = size.module();
            let cut = Cut {
                pressure_angle: rack.pressure_angle,
                addendum: rack.addendum_at(module) / module,
                dedendum: rack.dedendum_at(module) / module,
                tip_radius: rack.tip_radius.min(0.25),
            };
            (Some((size, rack)), module, cut)
        }
        Made::ToNone => {
            let addendum = random.between(0.7, 1.15);
            let cut = Cut {
                pressure_angle: Angle::from_degrees(random.between(12.0, 26.0)),
                addendum,
                dedendum: addendum + random.between(0.1, 0.35),
                tip_radius: 0.1,
            };
            (None, Length::from_mm(random.log_between(0.9, 7.0)), cut)
        }
    };
    let m = module.mm();
    let shift = match (made, random.chance(0.1)) {
        (Made::ToStandard, true) if random.chance(0.7) => random.between(0.1, 0.6),
        (Made::ToStandard, true) => random.between(-0.35, -0.1),
        _ => 0.0,
    };
    // allowance for backlash, the maker's tolerance, and wear
    let mut thinning = random.between(0.0, 0.035) * m + random.between(0.0, 0.02);
    if random.chance(0.75) {
        thinning += random.exponential(0.025 * m).min(0.25 * m);
    }
    if made == Made::ToNone {
        thinning += random.between(-0.12, 0.12) * m;
    }
    let tip_loss = match random.unit() {
        share if share < 0.6 => random.exponential(0.008 * m),
        share if share < 0.9 => random.exponential(0.03 * m),
        // filed, or turned down
        _ => random.between(0.03, 0.1) * m,
    } + 0.008 * random.normal();
    // fed a little deeper for backlash, and seldom to the very line
    cut.dedendum += random.between(0.0, 0.03) + 0.025 * random.normal();
    let tips = m * (f64::from(teeth) + 2.0 * (cut.addendum + shift)) - 2.0 * tip_loss;
    let worn = Toothing::new(ToothingSpec {
        teeth,
        module,
        rack: cut,
        profile_shift: shift,
        thinning: Length::from_mm(thinning),
        tip_diameter: Some(Length::from_mm(tips)),
        helix: None,
    })
    .ok()?;
    let present = if whole { teeth } else { (f64::from(teeth) * random.between(0.12, 0.45)).round() as u32 };
    if made == Made::ToNone && passes_for_standard(worn.base_pitch().mm()) {
        return None;
    }
    let fits_the_bench = tips < 600.0 && tips > 8.0 && present >= 5;
    fits_the_bench.then(|| Rim {
        heritage,
        standard,
        worn,
        eccentric: 0.025 * random.normal(),
        uneven: random.between(0.5, 1.5) * (0.002 + 0.0012 * m),
        whole,
        present,
        counted: whole || random.chance(0.4),
    })
}

/// Teeth of a usual standard's base pitch have its flanks, shifted, whatever their maker called them: its cutters cut them.
fn passes_for_standard(base_pitch: f64) -> bool {
    let usual = |rack: &&Rack| rack.usual_inch.max(rack.usual_metric) >= 5.0;
    let sizes = gear_sizes().iter().filter(|size| size.series != Series::Uncommon);
    let mut pitches = sizes.flat_map(|size| {
        let of = |rack: &Rack| std::f64::consts::PI * size.module().mm() * rack.pressure_angle.cos();
        racks().iter().filter(usual).map(of)
    });
    pitches.any(|pitch| (base_pitch / pitch - 1.0).abs() < SAME_PITCH)
}

/// Shop instruments do not tell base pitches apart that are nearer than this, or only with luck.
const SAME_PITCH: f64 = 0.004;

fn size(inch: bool, random: &mut Random) -> Option<&'static GearSize> {
    let system = if inch {
        random.pick([
            (0.91, PitchSystem::DiametralPitch),
            (0.06, PitchSystem::CircularPitch),
            (0.03, PitchSystem::Module),
        ])?
    } else {
        random.pick([
            (0.96, PitchSystem::Module),
            (0.03, PitchSystem::DiametralPitch),
            (0.01, PitchSystem::CircularPitch),
        ])?
    };
    let weight = |size: &GearSize| {
        let series = match size.series {
            Series::First => 1.0,
            Series::Second => 0.3,
            Series::Uncommon => 0.04,
        };
        let off_middle = (size.module().mm() / 2.5).ln() / 0.7;
        series * (-0.5 * off_middle * off_middle).exp()
    };
    random.pick(gear_sizes().iter().filter(|size| size.system == system).map(|size| (weight(size), size)))
}

/// How many of a hundred, roughly, by angle and depth.
fn rack(inch: bool, size: &GearSize, random: &mut Random) -> Option<&'static Rack> {
    let weight = |rack: &Rack| {
        // in tenths of a degree: what went into radians and back is not to the last figure what it was
        let tenths = (10.0 * rack.pressure_angle.degrees()).round() as u32;
        let stub = rack.addendum < 0.95;
        match (inch, tenths, stub) {
            (true, 145, _) => 52.0,
            (true, 200, false) => rack.usual_inch * 1.1,
            (true, 200, true) => 2.0,
            (false, 200, false) => rack.usual_metric,
            (false, 200, true) => rack.usual_metric,
            (false, 150, _) => 5.0,
            (false, 145, _) => 1.0,
            _ => 0.25,
        }
    };
    random.pick(racks().iter().filter(|rack| rack.used_at(size.module())).map(|rack| (weight(rack), rack)))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The commonest rack of each kind of maker is common here too: a share that is written and never met makes another world.
    #[test]
    fn usual_angles_are_usual() {
        let mut random = Random::new(5, 0);
        let rims: Vec<Rim> = (0..2000).map(|_| invent(Made::ToStandard, &mut random)).collect();
        let share = |heritage: Heritage, tenths: u32| {
            let degrees = rims
                .iter()
                .filter(|rim| rim.heritage == heritage)
                .filter_map(|rim| rim.standard.map(|(_, rack)| (10.0 * rack.pressure_angle.degrees()).round() as u32));
            let (all, these) = degrees.fold((0, 0), |(all, these), of| (all + 1, these + u32::from(of == tenths)));
            f64::from(these) / f64::from(all)
        };
        assert!((0.5..0.75).contains(&share(Heritage::Inch, 145)), "{}", share(Heritage::Inch, 145));
        assert!((0.25..0.5).contains(&share(Heritage::Inch, 200)), "{}", share(Heritage::Inch, 200));
        assert!((0.8..0.97).contains(&share(Heritage::Metric, 200)), "{}", share(Heritage::Metric, 200));
        assert!((0.02..0.1).contains(&share(Heritage::Metric, 150)), "{}", share(Heritage::Metric, 150));
    }
}
