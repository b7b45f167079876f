//! Drills against a second listing, in tenths of a thou and in thou, typed apart from the data file.

use proptest::prelude::*;
use quantity::Length;
use standards::{Drill, DrillSeries, drill_in, drill_named, drills, nearest, next_above, next_below};

/// #1 to #80. ASME B94.11M, as three public listings agree.
const NUMBER_TENTHS: [u32; 80] = [
    2280, 2210, 2130, 2090, 2055, 2040, 2010, 1990, 1960, 1935, 1910, 1890, 1850, 1820, 1800, 1770, 1730, 1695, 1660,
    1610, 1590, 1570, 1540, 1520, 1495, 1470, 1440, 1405, 1360, 1285, 1200, 1160, 1130, 1110, 1100, 1065, 1040, 1015,
    995, 980, 960, 935, 890, 860, 820, 810, 785, 760, 730, 700, 670, 635, 595, 550, 520, 465, 430, 420, 410, 400, 390,
    380, 370, 360, 350, 330, 320, 310, 292, 280, 260, 250, 240, 225, 210, 200, 180, 160, 145, 135,
];

/// A to Z. ASME B94.11M; Z from memory.
const LETTER_THOU: [u32; 26] = [
    234, 238, 242, 246, 250, 257, 261, 266, 272, 277, 281, 290, 295, 302, 316, 323, 332, 339, 348, 358, 368, 377, 386,
    397, 404, 413,
];

#[test]
fn number_drills_are_those_of_the_listing() {
    for (number, tenths) in (1..).zip(NUMBER_TENTHS) {
        let drill = drill_named(&format!("#{number}")).unwrap();
        assert!((drill.diameter.inches() - f64::from(tenths) / 10_000.0).abs() < 1e-9, "{}", drill.label());
    }
}

#[test]
fn letter_drills_are_those_of_the_listing() {
    for (letter, thou) in ('A'..='Z').zip(LETTER_THOU) {
        let drill = drill_named(&format!("letter {letter}")).unwrap();
        assert!((drill.diameter.inches() - f64::from(thou) / 1000.0).abs() < 1e-9, "{}", drill.label());
    }
}

#[test]
fn each_series_is_complete() {
    let count = |series| drills().iter().filter(|drill| drill.series == series).count();
    assert_eq!(count(DrillSeries::Number), 80);
    assert_eq!(count(DrillSeries::Letter), 26);
    // 64ths to 1 1/2 in
    assert_eq!(count(DrillSeries::Fraction), 96);
    // the rule of steps of BS 328: to 1 mm ten of four, then .05 to 3, .1 to 14, .25 to 25
    assert_eq!(count(DrillSeries::Metric), 33 + 40 + 110 + 44);
    for drill in drills().iter().filter(|drill| drill.series == DrillSeries::Fraction) {
        let sixty_fourths = drill.diameter.inches() * 64.0;
        assert!((sixty_fourths - sixty_fourths.round()).abs() < 1e-9, "{}", drill.label());
    }
}

#[test]
fn drills_are_called_as_the_trade_calls_them() {
    let label = |text| drill_named(text).map(Drill::label);
    for (text, expected) in [
        ("#40", "#40"),
        ("no. 40", "#40"),
        ("No 40", "#40"),
        ("number 7", "#7"),
        ("letter f", "letter F"),
        ("13/64", "13/64 in"),
        ("1-3/8 in", "1 3/8 in"),
        ("1 1/2\"", "1 1/2 in"),
        ("2.5mm", "2.50 mm"),
        ("10 mm", "10.00 mm"),
    ] {
        assert_eq!(label(text).as_deref(), Some(expected), "{text}");
    }
    for text in ["40", "F", "#81", "#0", "letter AA", "3/7", "2.51 mm", "", "#", "letter", "mm", "1/0", "nan mm", "/"] {
        assert_eq!(label(text), None, "{text}");
    }
}

#[test]
fn every_label_names_its_drill() {
    for drill in drills() {
        assert_eq!(drill_named(&drill.label()), Some(drill));
        assert_eq!(drill_in(drill.series, &drill.name), Some(drill));
    }
}

#[test]
fn a_choice_of_drills_can_be_empty() {
    assert_eq!(nearest([], Length::from_mm(3.0)), None);
    assert_eq!(next_below(drills(), Length::from_mm(0.1)), None);
    assert_eq!(next_above(drills(), Length::from_mm(1000.0)), None);
}

proptest! {
    #[test]
    fn neighbours_leave_no_drill_between(mm in 0.25_f64..38.0, series in prop::sample::select(vec![None, Some(DrillSeries::Fraction), Some(DrillSeries::Metric)])) {
        let size = Length::from_mm(mm);
        let owned: Vec<&Drill> = drills().iter().filter(|drill| series.is_none_or(|series| drill.series == series)).collect();
        let below = next_below(owned.iter().copied(), size);
        let above = next_above(owned.iter().copied(), size);
        let strictly_between = |drill: &&&Drill| {
            below.is_none_or(|below| drill.diameter > below.diameter) && above.is_none_or(|above| drill.diameter < above.diameter)
        };
        prop_assert!(owned.iter().filter(strictly_between).all(|drill| drill.diameter == size));
        let best = nearest(owned.iter().copied(), size).unwrap();
        prop_assert!(owned.iter().all(|drill| (drill.diameter - size).abs() >= (best.diameter - size).abs()));
    }

    #[test]
    fn no_text_stops_the_program(text in "\\PC{0,12}") {
        let _ = drill_named(&text);
    }
}
