//! Spindle speeds against published charts and worked examples.

use making::shop::Speeds;
use making::speeds::{Doing, revolutions, speed, step, surface_speed, table_feed};
use quantity::Length;

const METRES_PER_FOOT: f64 = 0.3048;

/// ft/min, inches, printed rev/min, and half the last digit that the printed value has.
/// Observatory workshop's page of speeds (300 and 120 ft/min), to a whole turn; technical-college chart for 30 ft/min, which
/// cuts its values down to tens, the quickest two a step further. Its entry for 5 in, printed 45, is a misprint for 23 and left out.
const CHART: &[(f64, f64, f64, f64)] = &[
    (300.0, 0.0625, 18335.0, 0.5),
    (300.0, 0.125, 9167.0, 0.5),
    (300.0, 0.25, 4584.0, 0.5),
    (300.0, 0.375, 3056.0, 0.5),
    (300.0, 0.5, 2292.0, 0.5),
    (120.0, 0.0625, 7334.0, 0.5),
    (120.0, 0.125, 3667.0, 0.5),
    (120.0, 0.25, 1833.0, 0.5),
    (120.0, 0.375, 1222.0, 0.5),
    (120.0, 0.5, 917.0, 0.5),
    (30.0, 0.125, 900.0, 20.0),
    (30.0, 0.25, 450.0, 10.0),
    (30.0, 0.5, 220.0, 10.0),
    (30.0, 0.75, 150.0, 5.0),
    (30.0, 1.0, 110.0, 5.0),
    (30.0, 2.0, 60.0, 5.0),
    (30.0, 3.0, 40.0, 5.0),
    (30.0, 4.0, 30.0, 5.0),
    (30.0, 6.0, 20.0, 5.0),
];

#[test]
fn charts_of_revolutions() {
    for &(feet, inches, printed, tolerance) in CHART {
        let n = revolutions(feet * METRES_PER_FOOT, Length::from_inches(inches));
        assert!((n - printed).abs() <= tolerance, "{feet} ft/min, {inches} in: {n} for {printed}");
    }
}

/// Milling feed: 500 rev/min, 10 teeth, 0.1 mm a tooth give 500 mm/min (web text on milling, read as its inverse).
#[test]
fn table_feed_worked() {
    let feed = table_feed(500.0, 10, Length::from_mm(0.1));
    assert!((feed.mm() - 500.0).abs() < 0.5);
}

#[test]
fn the_step_is_never_above_what_is_wanted() {
    let drill_press = Speeds::Stepped(vec![3100.0, 250.0, 620.0, 1240.0, 2340.0]);
    assert_eq!(step(&drill_press, 1300.0), Some(1240.0));
    assert_eq!(step(&drill_press, 1240.0), Some(1240.0));
    assert_eq!(step(&drill_press, 7600.0), Some(3100.0));
    assert_eq!(step(&drill_press, 90.0), Some(250.0));
    assert_eq!(step(&Speeds::Variable { lowest: 100.0, highest: 2000.0 }, 733.0), Some(733.0));
    assert_eq!(step(&Speeds::Variable { lowest: 100.0, highest: 2000.0 }, 50.0), Some(100.0));
    assert_eq!(step(&Speeds::Stepped(Vec::new()), 90.0), None);
    assert_eq!(step(&Speeds::None, 90.0), None);
}

#[test]
fn a_small_drill_is_told_what_it_would_want() {
    let iron = standards::material("grey cast iron").unwrap();
    let press = Speeds::Stepped(vec![620.0, 1240.0, 2340.0]);
    let small = speed(iron, Doing::Drilling, Length::from_mm(1.2), &press);
    // the middle of the range, 30 m/min: 1000·30/(π·1.2) = 7958
    assert!((small.wanted - 7957.7).abs() < 0.1, "{small:?}");
    assert_eq!(small.real, Some(2340.0));
    assert!(
        small
            .note
            .as_ref()
            .is_some_and(|note| { note.contains("8000 rev/min") && note.contains("2340") && note.contains("peck") })
    );
    let usual = speed(iron, Doing::Drilling, Length::from_mm(7.0), &press);
    assert_eq!(usual.note, None);
    let large = speed(iron, Doing::Drilling, Length::from_mm(25.0), &press);
    assert!(large.note.is_some_and(|note| note.contains("its lowest")));
    let surface = surface_speed(2340.0, Length::from_mm(1.2));
    assert!((small.surface.unwrap() - surface).abs() < 1e-12);
}

/// University handout (carbide up to twice) and technical-college table (carbide twice).
#[test]
fn carbide_runs_twice_as_fast() {
    use making::speeds::speed_with;
    use standards::cutting::ToolMaterial;
    let iron = standards::material("grey cast iron").expect("in the table");
    let lathe = Speeds::Variable { lowest: 30.0, highest: 3000.0 };
    let at = |tool| speed_with(iron, Doing::Turning, Length::from_mm(100.0), &lathe, tool).wanted;
    let steel = at(ToolMaterial::HighSpeedSteel);
    assert!((at(ToolMaterial::Carbide) - 2.0 * steel).abs() < 1e-9);
    assert!((at(ToolMaterial::CarbonSteel) - 0.5 * steel).abs() < 1e-9);
}
