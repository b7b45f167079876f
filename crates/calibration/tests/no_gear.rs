//! Parts that are toothed and no involute gears must not come out as gears to bet a blank on; and gears whose sizes are
//! nearly the same must not hide one another.

use calibration::trial::{Told, told};
use part::Heritage;

fn told_of(lines: &[&str]) -> Told {
    told(lines, true, Heritage::Unknown).expect("lines that can be weighed")
}

/// A timing-belt pulley of 20 teeth, trapezoid teeth of 3.0 mm at the tips, pitch 5.08 mm. Jaws laid over teeth touch the
/// outer corners of the tip lands, a chord of the tip circle.
#[test]
fn a_belt_pulley_is_no_gear_of_any_standard() {
    let told = told_of(&[
        "20 teeth",
        "outside diameter 31.83 mm, caliper",
        "root diameter 29.29 mm, caliper",
        "whole depth 1.27 mm, caliper",
        "span over 2 teeth 7.92 mm, caliper",
        "span over 3 teeth 12.64 mm, caliper",
        "span over 4 teeth 17.05 mm, caliper",
    ]);
    assert!(told.no_standard > 0.9, "{told:#?}");
}

/// A cycloidal clock wheel of 60 teeth, module 0.8, addendum 1.38 and dedendum 1.57 modules. Its flanks are radial below the
/// pitch circle, so that jaws touch it on the pitch circle: the span is a chord, 2 r sin((k − ½) π/z).
#[test]
fn a_cycloidal_clock_wheel_is_no_gear_of_any_standard() {
    let told = told_of(&[
        "60 teeth",
        "outside diameter 50.21 mm, caliper",
        "root diameter 45.49 mm, caliper",
        "whole depth 2.36 mm, caliper",
        "span over 2 teeth 3.766 mm, micrometer",
        "span over 4 teeth 8.747 mm, micrometer",
        "span over 7 teeth 16.02 mm, micrometer",
    ]);
    assert!(told.no_standard > 0.9, "{told:#?}");
}

/// Diameters of new teeth, by d + 2 m: module 0.8 and 32 DP differ by 0.8 %, module 1.5 and 17 DP by 0.4 %, module 1 and
/// ⅛ in circular pitch by 1 %.
#[test]
fn coarse_readings_leave_the_neighbours_standing() {
    for (lines, neighbours) in [
        (["30 teeth", "outside diameter 25 mm, rule", "whole depth 1.7 mm, caliper"], ["module 0.8,", "32 DP"]),
        (["24 teeth", "outside diameter 38.8 mm, caliper", "whole depth 3.3 mm, caliper"], ["module 1.5,", "17 DP"]),
        (["28 teeth", "outside diameter 30 mm, rule", "whole depth 2.2 mm, caliper"], ["module 1,", "1/8 in circular"]),
    ] {
        let told = told_of(&lines);
        for name in neighbours {
            assert!(told.of(name) > 0.02, "{name} hides: {told:#?}");
        }
    }
}

/// Module 1.75 at 20° and 14 DP at 25° have one base pitch to 0.01 % (π m cos α: 5.16620 and 5.16571 mm), but on 40 teeth
/// base thicknesses of 3.563 and 4.554 mm (m cos α (π/2 + z inv α)): two spans tell them apart as nothing else can.
#[test]
fn one_base_pitch_two_thicknesses() {
    for (spans, name) in [
        (["span over 4 teeth 19.01 mm, micrometer", "span over 6 teeth 29.345 mm, micrometer"], "module 1.75,"),
        (["span over 4 teeth 20.00 mm, micrometer", "span over 6 teeth 30.335 mm, micrometer"], "14 DP, 25°"),
    ] {
        let told = told(&["40 teeth", spans[0], spans[1]], true, Heritage::Unknown).expect("lines that can be weighed");
        let other = if name == "14 DP, 25°" { "module 1.75, ISO 53 A, 20°" } else { "14 DP, 25°" };
        assert!(told.of(name) > 0.5 && told.of(other) < 0.1, "{told:#?}");
    }
}
