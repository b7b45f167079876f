//! Tooth sizes, basic racks, form cutters and gear pins.

#![allow(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use quantity::{Angle, Length, PitchSystem};
use standards::{
    Confidence, CutterSet, Series, TeethSide, cutter_for, cutter_numbered, cutter_of, cutters, gear_pins, gear_size,
    gear_sizes, largest_tip_radius, rack, racks,
};

#[test]
fn sizes_convert_as_pitch_tables_print_them() {
    // m = 25.4/P and p = π m; equivalents as handbook tables print them, from memory, to half their last digit
    for (diametral_pitch, module, circular_pitch) in [
        (10.0, 2.5400, 0.3142),
        (5.0, 5.0800, 0.6283),
        (12.0, 2.1167, 0.2618),
        (20.0, 1.2700, 0.1571),
        (48.0, 0.5292, 0.0654),
    ] {
        let m = PitchSystem::DiametralPitch.module(diametral_pitch);
        assert!((m.mm() - module).abs() <= 0.00005);
        assert!((PitchSystem::CircularPitch.value_of(m) - circular_pitch).abs() <= 0.00005);
    }
    // a public pitch table: p = m/8.0850711 in
    assert!((PitchSystem::CircularPitch.value_of(Length::from_mm(8.085_071_1)) - 1.0).abs() < 1e-8);
}

#[test]
fn a_module_gives_its_number_back_in_every_system() {
    for size in gear_sizes() {
        for system in PitchSystem::ALL {
            let there_and_back = system.module(system.value_of(size.module()));
            assert!((there_and_back / size.module() - 1.0).abs() < 1e-12);
        }
        assert_eq!(gear_size(size.system, size.value), Some(size));
    }
}

#[test]
fn sizes_are_labelled_as_the_trade_says_them() {
    let label = |system: PitchSystem, value| system.label(value);
    assert_eq!(label(PitchSystem::DiametralPitch, 10.0), "10 DP");
    assert_eq!(label(PitchSystem::DiametralPitch, 2.25), "2.25 DP");
    assert_eq!(label(PitchSystem::Module, 2.5), "module 2.5");
    assert_eq!(label(PitchSystem::Module, 2.0), "module 2");
    assert_eq!(label(PitchSystem::CircularPitch, 0.125), "1/8 in circular pitch");
    assert_eq!(label(PitchSystem::CircularPitch, 1.125), "1 1/8 in circular pitch");
    assert_eq!(label(PitchSystem::CircularPitch, 2.0), "2 in circular pitch");
    assert_eq!(label(PitchSystem::CircularPitch, 0.3142), "0.3142 in circular pitch");
}

#[test]
fn preferred_series_are_complete() {
    // ISO 54:1996 series I in 1 to 50 mm follows R10 rounded: 18 sizes; DIN 780-1 series 1 from 0.2 mm: 9. From memory.
    let first = |system| gear_sizes().iter().filter(|s| s.system == system && s.series == Series::First).count();
    assert_eq!(first(PitchSystem::Module), 18 + 9);
    // ANSI B6.1 coarse 10, B6.7 fine 12. From memory.
    assert_eq!(first(PitchSystem::DiametralPitch), 22);
    for value in [5.0, 7.0, 14.0, 32.0, 48.0, 64.0] {
        assert!(gear_size(PitchSystem::DiametralPitch, value).is_some(), "{value} DP");
    }
    assert_eq!(gear_size(PitchSystem::Module, 2.54), None);
    assert_eq!(gear_size(PitchSystem::Module, f64::NAN), None);
    assert_eq!(gear_size(PitchSystem::CircularPitch, 0.0), None);
}

#[test]
fn racks_have_the_depths_their_standards_print() {
    // whole depth in modules. 2.157 and 2.25: read in public texts; 1.8 and 2.65: from memory of ASA B6.1 and ISO 53
    for (id, degrees, whole_depth) in [
        ("14.5-full", 14.5, 2.157),
        ("20-full", 20.0, 2.25),
        ("20-full-1932", 20.0, 2.157),
        ("20-stub", 20.0, 1.8),
        ("25-full", 25.0, 2.25),
        ("iso53-a", 20.0, 2.25),
        ("iso53-b", 20.0, 2.25),
        ("iso53-c", 20.0, 2.25),
        ("iso53-d", 20.0, 2.40),
        ("15-full", 15.0, 2.167),
        ("17.5-full", 17.5, 2.157),
        ("22.5-full", 22.5, 2.25),
    ] {
        let rack = rack(id).unwrap();
        assert!((rack.pressure_angle.degrees() - degrees).abs() < 1e-9, "{id}");
        assert!((rack.addendum + rack.dedendum - whole_depth).abs() < 0.0005, "{id}");
    }
    // fine pitch: 1.200/P + 0.002 in (Mott, Table 8-4); at 32 DP 0.0395 in
    let fine = rack("20-fine").unwrap();
    let m = PitchSystem::DiametralPitch.module(32.0);
    assert!((fine.dedendum_at(m).inches() - 0.0395).abs() < 1e-9);
    assert!((fine.addendum_at(m).inches() - 0.03125).abs() < 1e-9);
}

#[test]
fn every_tip_radius_fits_its_rack() {
    // half the last printed digit of the radius
    const PRINTED: f64 = 0.0005;
    for rack in racks() {
        assert!(rack.tip_radius > 0.0 && rack.tip_radius <= rack.largest_tip_radius() + PRINTED, "{}", rack.id);
        assert!(rack.usual_inch + rack.usual_metric > 0.0, "{} is never used", rack.id);
        assert!(rack.addendum > 0.0 && rack.dedendum > rack.addendum, "{}", rack.id);
    }
}

#[test]
fn the_largest_tip_radius_is_what_the_standards_round() {
    // printed: ISO 53:1998 (0.38 A; 0.39 D) and ASA B6.1-1932 (0.209, 0.239), all from memory
    for (degrees, dedendum, clearance, printed, half_digit) in [
        (20.0, 1.25, 0.25, 0.38, 0.005),
        (20.0, 1.40, 0.40, 0.39, 0.005),
        (14.5, 1.157, 0.157, 0.209, 0.0005),
        (20.0, 1.157, 0.157, 0.239, 0.0005),
    ] {
        let radius = largest_tip_radius(Angle::from_degrees(degrees), dedendum, clearance);
        assert!((radius - printed).abs() <= half_digit, "{degrees} {radius}");
    }
}

#[test]
fn the_full_round_touches_both_flanks_and_the_tip() {
    // the rack drawn: flank through (π/4, 0) leaning to the axis, round of radius ρ centred on the axis, lowest at the tip line
    for degrees in [14.5_f64, 20.0, 25.0] {
        let (a, dedendum) = (degrees.to_radians(), 1.2);
        let radius = largest_tip_radius(Angle::from_degrees(degrees), dedendum, f64::INFINITY);
        let centre_depth = dedendum - radius;
        // distance from the centre (0, depth) to the flank x cos a + y sin a = π/4 cos a
        let distance = std::f64::consts::FRAC_PI_4 * a.cos() - centre_depth * a.sin();
        assert!((distance - radius).abs() < 1e-12, "{degrees}");
    }
}

#[test]
fn pitch_limits_of_racks_hold_at_their_ends() {
    let dp = |pitch| PitchSystem::DiametralPitch.module(pitch);
    let coarse = rack("20-full").unwrap();
    let fine = rack("20-fine").unwrap();
    assert!(coarse.used_at(dp(20.0)) && coarse.used_at(dp(2.0)) && !coarse.used_at(dp(24.0)));
    assert!(fine.used_at(dp(20.0)) && fine.used_at(dp(200.0)) && !fine.used_at(dp(16.0)));
    let combination = rack("20-stub-5-7").unwrap();
    assert!(combination.used_at(dp(5.0)) && !combination.used_at(dp(7.0)));
    // 5/7: addendum 1/7 in, dedendum 1.25/7 in
    assert!((combination.addendum_at(dp(5.0)).inches() - 1.0 / 7.0).abs() < 1e-6);
    assert!((combination.dedendum_at(dp(5.0)).inches() - 1.25 / 7.0).abs() < 1e-6);
}

#[test]
fn rack_ids_are_unique() {
    for (at, first) in racks().iter().enumerate() {
        assert!(racks()[at + 1..].iter().all(|other| other.id != first.id), "{}", first.id);
    }
    assert_eq!(rack("iso53-e"), None);
}

#[test]
fn cutter_ranges_tile_from_twelve_teeth_to_the_rack() {
    for (set, numbers) in [(CutterSet::Eight, 8), (CutterSet::Fifteen, 15), (CutterSet::Module, 8)] {
        let mut of_set: Vec<_> = cutters().iter().filter(|cutter| cutter.set == set).collect();
        assert_eq!(of_set.len(), numbers);
        of_set.sort_by_key(|cutter| cutter.teeth_lo);
        assert_eq!(of_set[0].teeth_lo, 12);
        for pair in of_set.windows(2) {
            assert_eq!(pair[0].teeth_hi, Some(pair[1].teeth_lo - 1));
        }
        assert_eq!(of_set[numbers - 1].teeth_hi, None);
        assert!(of_set.iter().all(|cutter| cutter.cuts(cutter.form_correct_for)));
        assert_eq!(cutter_of(set, 11), None);
    }
}

#[test]
fn cutters_are_those_of_the_handbook() {
    let number = |teeth, half| cutter_for(teeth, half).unwrap().number.as_str();
    // eight: Rose; fifteen: handbook table, from memory
    for (teeth, eight, fifteen) in [
        (12, "8", "8"),
        (13, "8", "7 1/2"),
        (14, "7", "7"),
        (15, "7", "6 1/2"),
        (17, "6", "6"),
        (19, "6", "5 1/2"),
        (21, "5", "5"),
        (23, "5", "4 1/2"),
        (26, "4", "4"),
        (30, "4", "3 1/2"),
        (35, "3", "3"),
        (44, "3", "2 1/2"),
        (55, "2", "2"),
        (80, "2", "1 1/2"),
        (134, "2", "1 1/2"),
        (135, "1", "1"),
        (10_000, "1", "1"),
    ] {
        assert_eq!((number(teeth, false), number(teeth, true)), (eight, fifteen), "{teeth} teeth");
    }
    // module sets count the other way: n and 9 - n share their range
    for teeth in 12..200 {
        let n: u32 = cutter_of(CutterSet::Module, teeth).unwrap().number.parse().unwrap();
        let eight: u32 = cutter_for(teeth, false).unwrap().number.parse().unwrap();
        assert_eq!(n + eight, 9);
    }
    assert_eq!(cutter_numbered(CutterSet::Fifteen, "5 1/2").unwrap().label(), "No. 5 1/2, 19 to 20 teeth");
    assert_eq!(cutter_numbered(CutterSet::Fifteen, "5.5"), cutter_numbered(CutterSet::Fifteen, "5-1/2"));
    assert_eq!(cutter_numbered(CutterSet::Eight, "1").unwrap().label(), "No. 1, 135 teeth to a rack");
    assert_eq!(cutter_numbered(CutterSet::Eight, "9"), None);
}

#[test]
fn gear_pins_are_those_of_the_handbook() {
    // constants from memory of handbook tables over pins; 10 DP takes the 0.1728 in pin
    let constants = |side| gear_pins(side).map(|pin| pin.constant).collect::<Vec<_>>();
    assert_eq!(constants(TeethSide::External), [1.728, 1.92, 1.68]);
    assert_eq!(constants(TeethSide::Internal), [1.44, 1.68]);
    let pin = gear_pins(TeethSide::External).next().unwrap();
    assert!((pin.diameter(PitchSystem::DiametralPitch.module(10.0)).inches() - 0.1728).abs() < 1e-9);
    assert_eq!(pin.source.confidence, Confidence::Memory);
}
