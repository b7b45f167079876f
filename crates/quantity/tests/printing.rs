//! What is printed reads back as the same.

mod shared;

use proptest::prelude::*;
use quantity::{Line, Pitch, PitchSystem, Size, Slot, Unit, Value, WrittenAngle, read_angle, read_size};
use shared::{FORMS, bench};

fn decimal(largest: u32, most_places: usize) -> impl Strategy<Value = String> {
    (1..largest, 0..=most_places, any::<u64>()).prop_map(|(whole, places, digits)| {
        let digits = format!("{digits:020}");
        match places {
            0 => format!("{whole}"),
            _ => format!("{whole}.{}", &digits[20 - places..]),
        }
    })
}

fn size_text() -> impl Strategy<Value = String> {
    let fraction = (0u32..=40, 0u32..=8, any::<u32>()).prop_filter_map("zero", |(whole, power, n)| {
        let denominator = 1u32 << power;
        let numerator = n % denominator;
        (whole + numerator > 0).then(|| format!("{whole}-{numerator}/{denominator}"))
    });
    prop_oneof![
        decimal(700, 9),
        decimal(700, 9).prop_map(|text| format!("{text} in")),
        decimal(19_000, 9).prop_map(|text| format!("{text} mm")),
        decimal(9_000, 5).prop_map(|text| format!("{text} thou")),
        fraction,
        proptest::sample::select(vec!["#40", "no. 41", "letter F"]).prop_map(String::from),
    ]
}

fn value_text() -> impl Strategy<Value = String> {
    let bracket = (size_text(), size_text()).prop_map(|(goes, not)| format!("goes {goes}, not {not}"));
    let plus_minus =
        (size_text(), decimal(5, 4)).prop_map(|(size, half)| format!("{size} ± 0.{}", half.replace('.', "")));
    prop_oneof![size_text(), plus_minus, bracket]
}

fn angle_text() -> impl Strategy<Value = String> {
    prop_oneof![
        decimal(360, 6),
        decimal(360, 6).prop_map(|text| format!("-{text}")),
        (0u32..359, 1u32..8).prop_map(|(whole, eighths)| format!("{whole} {eighths}/8")),
    ]
}

fn pitch_text() -> impl Strategy<Value = String> {
    let number = prop_oneof![decimal(400, 4), "[1-9]/(2|3|4|7|16)".prop_map(String::from)];
    let angle = prop_oneof![Just(String::new()), (5u32..45, 0u32..100).prop_map(|(a, b)| format!(" {a}.{b:02}"))];
    (number, proptest::sample::select(vec!["dp", "module", "cp"]), angle)
        .prop_map(|(number, system, angle)| format!("{number} {system}{angle}"))
}

fn line_text() -> impl Strategy<Value = String> {
    let head = prop_oneof![
        (1u32..=10_000, value_text()).prop_map(|(n, v)| format!("span over {n} teeth {v}")),
        (1u32..=10_000).prop_map(|n| format!("{n} teeth present")),
        (size_text(), value_text()).prop_map(|(d, v)| format!("over {d} pins {v}")),
        (value_text(), size_text()).prop_map(|(v, d)| format!("tooth thickness {v} at depth {d}")),
        value_text().prop_map(|v| format!("from bore centre {v}")),
        (angle_text(), angle_text()).prop_map(|(a, u)| format!("helix angle {a} ± {}", u.trim_start_matches('-'))),
        pitch_text().prop_map(|p| format!("does not mesh with {p}")),
    ];
    let instrument =
        proptest::option::of(proptest::sample::select(vec!["rule", "pin gauge", "depth micrometer", "protractor"]));
    let remark = proptest::option::of(any::<String>());
    let counted = (head, instrument, any::<bool>(), remark).prop_map(|(head, instrument, worn, remark)| {
        let mut text = head;
        if let Some(instrument) = instrument {
            text += ", ";
            text += instrument;
        }
        if worn {
            text += ", worn";
        }
        if let Some(remark) = remark {
            text += &format!(" ({remark})");
        }
        text
    });
    prop_oneof![6 => counted, 1 => "note [^ ].{0,40}"]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2_000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_size(text in size_text(), metric in any::<bool>()) {
        let unit = if metric { Unit::Millimetre } else { Unit::Inch };
        let size: Size = read_size(&text, &bench(unit)).map_err(|p| TestCaseError::fail(format!("{text}: {p:?}")))?;
        // the strict form carries its unit, so that the bench's own does not matter
        for unit in [Unit::Inch, Unit::Millimetre] {
            prop_assert_eq!(read_size(&size.to_string(), &bench(unit)), Ok(size.clone()));
        }
    }

    #[test]
    fn an_angle(text in angle_text()) {
        let angle: WrittenAngle = read_angle(&text).map_err(|p| TestCaseError::fail(format!("{text}: {p:?}")))?;
        prop_assert_eq!(read_angle(&angle.to_string()), Ok(angle));
    }

    #[test]
    fn a_line_with_all_that_stands_in_it(text in line_text()) {
        // two sizes drawn by chance may contradict each other
        let Ok(line) = Line::read(&text, FORMS, &bench(Unit::Inch)) else { return Ok(()) };
        let printed = line.to_string();
        for unit in [Unit::Inch, Unit::Millimetre] {
            let again = Line::read(&printed, FORMS, &bench(unit));
            prop_assert_eq!(again.as_ref(), Ok(&line), "{}", printed);
            prop_assert_eq!(&again.map(|line| line.to_string()), &Ok(printed.clone()));
        }
    }

    /// A gear size from a table rather than from a text: any number in range.
    #[test]
    fn a_gear_size(system in 0..3, value in 0.01..=500.0f64) {
        let system = [PitchSystem::DiametralPitch, PitchSystem::Module, PitchSystem::CircularPitch][system as usize];
        let pitch = Pitch { system, value, pressure_angle: None };
        let line = Line::read(&format!("meshes with {pitch}"), FORMS, &bench(Unit::Inch));
        prop_assert_eq!(line.map(|line| line.slots), Ok(vec![Slot::Pitch(pitch)]));
    }
}

/// 1 lbf = 4.4482216152605 N, 1 psi = 0.00689475729 MPa, 1 lbf·ft = 1.35581795 N·m (NIST SP 811, Appendix B).
#[test]
fn loads_in_the_units_of_the_shop_to_two_figures() {
    use quantity::print::{force, stress, torque};
    let (inch, mm) = (Unit::Inch, Unit::Millimetre);
    for (newtons, pounds, metric) in [
        (4.448_221_6, "1.0 lbf", "4.4 N"),
        (7_117.15, "1,600 lbf", "7.1 kN"),
        (999.0, "220 lbf", "1,000 N"),
        (1.23e6, "280,000 lbf", "1,200 kN"),
        (0.0, "0 lbf", "0 N"),
        (f64::NAN, "0 lbf", "0 kN"),
    ] {
        assert_eq!((force(newtons, inch).as_str(), force(newtons, mm).as_str()), (pounds, metric));
    }
    assert_eq!((stress(68.947_572_9, inch), stress(68.947_572_9, mm)), ("10,000".to_string(), "69".to_string()));
    assert_eq!((torque(36.607, inch), torque(36.607, mm)), ("27 lbf·ft".to_string(), "37 N·m".to_string()));
}

/// The generators above must mostly make lines that are right, or they test nothing.
#[test]
fn most_of_the_lines_drawn_are_right() {
    use proptest::strategy::ValueTree;
    let mut runner = proptest::test_runner::TestRunner::deterministic();
    let drawn = 500;
    let right = (0..drawn)
        .filter(|_| {
            let text = line_text().new_tree(&mut runner).expect("a line").current();
            Line::read(&text, FORMS, &bench(Unit::Inch)).is_ok_and(|line| {
                line.value().is_none_or(|value| {
                    matches!(value, Value::Plain { .. } | Value::Between { .. } | Value::Turned { .. })
                })
            })
        })
        .count();
    assert!(right * 2 > drawn, "{right} of {drawn}");
}
