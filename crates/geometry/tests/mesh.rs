//! Pairs: backlash from closed formulas, and two drawn wheels turned against each other.

#![allow(clippy::unwrap_used, clippy::panic)] // a helper that fails is a test that fails

use geometry::generate::rim;
use geometry::mesh::{Pair, PairError};
use geometry::toothing::{Rack, Toothing, ToothingSpec};
use geometry::{Point, Vec2};
use proptest::prelude::*;
use quantity::{Angle, Length};

fn wheel(module: f64, teeth: u32, shift: f64, thinning: f64) -> Option<Toothing> {
    let rack = Rack { pressure_angle: Angle::from_degrees(20.0), addendum: 1.0, dedendum: 1.25, tip_radius: 0.3 };
    let (module, thinning) = (Length::from_mm(module), Length::from_mm(thinning));
    Toothing::new(ToothingSpec { teeth, module, rack, profile_shift: shift, thinning, tip_diameter: None, helix: None })
        .ok()
}

proptest! {
    /// Unthinned teeth have no backlash at the nominal centre distance; thinning turns up as backlash, carried from the pitch
    /// circles to the working ones; the sum of shifts is found again from the distance.
    #[test]
    fn backlash_and_shifts_close(
        (z1, z2) in (14_u32..80, 14_u32..80), (x1, x2) in (-0.1..0.5, -0.1..0.5), thinning in 0.0..0.1,
    ) {
        let pair = Pair::new(wheel(2.0, z1, x1, 0.0).unwrap(), wheel(2.0, z2, x2, 0.0).unwrap()).unwrap();
        let distance = pair.centre_distance().unwrap();
        prop_assert!(pair.at(distance).unwrap().circumferential_backlash().mm().abs() < 1e-11);
        prop_assert!((pair.sum_of_shifts(distance).unwrap() - x1 - x2).abs() < 1e-8);
        let thin = Pair::new(wheel(2.0, z1, x1, thinning).unwrap(), wheel(2.0, z2, x2, 0.0).unwrap()).unwrap();
        let backlash = thin.at(distance).unwrap().normal_backlash().mm();
        prop_assert!((backlash - thinning * 20_f64.to_radians().cos()).abs() < 1e-10);
    }
}

/// Whether the second wheel's drawing enters the first's in any of many positions through a pitch.
fn collides(first: &Toothing, second: &Toothing, distance: f64, turned: f64) -> bool {
    let drawn = Length::from_mm(0.002);
    let (a, b) = (rim(first, drawn), rim(second, drawn));
    let ratio = f64::from(first.teeth()) / f64::from(second.teeth());
    let facing = std::f64::consts::PI + 0.5 * second.angular_pitch().radians();
    (0..24).any(|step| {
        let phase = f64::from(step) / 24.0 * first.angular_pitch().radians();
        let a = a.rotated(phase);
        let b = b.rotated(facing - phase * ratio + turned).translated(Vec2::new(0.0, distance));
        let near = |p: &&Point| p.to_vec2().hypot() < 0.5 * first.tip_diameter().mm();
        b.flatten(0.002).iter().filter(near).any(|point| a.contains(*point))
    })
}

/// Two drawn wheels run through a pitch without touching as long as they are turned by less than half the backlash either way,
/// and do touch when turned by more: the backlash formula, seen from outside.
#[test]
fn drawn_wheels_run_with_the_backlash_foretold() {
    for (z1, x1, z2, x2, apart) in [(17, 0.0, 26, 0.0, 0.0), (14, 0.3, 20, 0.2, 0.05), (23, 0.4, 18, -0.1, 0.0)] {
        let (first, second) = (wheel(2.0, z1, x1, 0.04).unwrap(), wheel(2.0, z2, x2, 0.06).unwrap());
        let pair = Pair::new(first, second).unwrap();
        let distance = pair.centre_distance().unwrap() + Length::from_mm(apart);
        let mesh = pair.at(distance).unwrap();
        assert!(mesh.contact_ratio() > 1.0 && mesh.tips_run_on_fillet() == [false; 2]);
        let half_play = 0.5 * mesh.circumferential_backlash().mm();
        let radius = 0.5 * mesh.working_pitch_diameters()[1].mm();
        for side in [-1.0, 1.0] {
            assert!(!collides(&first, &second, distance.mm(), side * (half_play - 0.006) / radius));
            assert!(collides(&first, &second, distance.mm(), side * (half_play + 0.006) / radius));
        }
    }
}

#[test]
fn pairs_that_do_not_run_are_refused() {
    let (coarse, fine) = (wheel(2.0, 20, 0.0, 0.0).unwrap(), wheel(1.0, 20, 0.0, 0.0).unwrap());
    assert!(matches!(Pair::new(coarse, fine), Err(PairError::BasePitch { .. })));
    let pair = Pair::new(coarse, coarse).unwrap();
    for (distance, words) in
        [(37.0, "base circles overlap"), (44.0, "do not reach"), (f64::NAN, "base circles overlap")]
    {
        let error = pair.at(Length::from_mm(distance)).unwrap_err().to_string();
        assert!(error.contains(words), "{error}");
    }
    let (few, mate) = (wheel(2.0, 12, 0.0, 0.0).unwrap(), wheel(2.0, 60, 0.0, 0.0).unwrap());
    let undercut = Pair::new(few, mate).unwrap();
    let mesh = undercut.at(undercut.reference_centre_distance()).unwrap();
    assert_eq!(mesh.tips_run_on_fillet(), [true, false]);
}
