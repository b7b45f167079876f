//! ANSI B4.1 classes: every row against the clearance the standard states for it, against its own scheme, and against ISO 286.

#![allow(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use std::collections::BTreeMap;

use proptest::prelude::*;
use quantity::Length;
use standards::fits::{Clearance, fit, inch_classes, inch_limits, it};

const CLEARANCES: &str = include_str!("ansi_b41_clearances.csv");
const LIMITS: &str = include_str!("../../../data/fits/ansi-b4.1-1967.csv");

/// Limits are printed to the hundredth of a thousandth of an inch.
const EXACT: Length = Length::from_inches(1e-9);

fn thou(thou: f64) -> Length {
    Length::from_inches(thou / 1000.0)
}

fn rows(text: &str) -> impl Iterator<Item = Vec<&str>> {
    text.lines().filter(|line| !line.starts_with('#')).skip(1).map(|line| line.split(',').collect())
}

/// Just above the lower end of a range, in its middle, and its upper end.
fn sizes(over: &str, upto: &str) -> [Length; 3] {
    let (over, upto): (f64, f64) = (over.parse().unwrap(), upto.parse().unwrap());
    [over + 1e-6, (over + upto) / 2.0, upto].map(Length::from_inches)
}

/// Hole and shaft limits stand in one column of the tables and the clearance between them in another: 216 rows of both.
#[test]
fn every_row_leaves_the_clearance_that_is_stated() {
    let mut seen = 0;
    for row in rows(CLEARANCES) {
        for basic in sizes(row[1], row[2]) {
            let limits = inch_limits(row[0], basic).unwrap();
            let got = Clearance::between(limits.hole.sizes(basic), limits.shaft.sizes(basic));
            let (least, most) = (thou(row[3].parse().unwrap()), thou(row[4].parse().unwrap()));
            assert!((got.least - least).abs() < EXACT && (got.most - most).abs() < EXACT, "{row:?}: {got:?}");
        }
        seen += 1;
    }
    assert_eq!(seen, 216);
}

/// One grade of hole is the same hole in every class, and it begins at the basic size.
#[test]
fn a_hole_of_one_grade_is_one_hole() {
    let mut holes: BTreeMap<(String, String), f64> = BTreeMap::new();
    for row in rows(LIMITS) {
        let (class, over, upto, grade) = (row[0], row[1], row[2], row[3]);
        assert_eq!(row[4], "0", "{row:?}");
        let upper: f64 = row[5].parse().unwrap();
        // FN has finer steps of size: they lie within the common ones
        let step =
            STEPS.windows(2).find(|step| step[0] <= over.parse().unwrap() && upto.parse::<f64>().unwrap() <= step[1]);
        let step = format!("{:?}", step.unwrap());
        let known = *holes.entry((grade.into(), step)).or_insert(upper);
        assert_eq!(known, upper, "{class} {over} to {upto}");
    }
    // nine grades, 5 to 13, in eight steps
    assert_eq!(holes.len(), 9 * 8);
}

const STEPS: [f64; 9] = [0.0, 0.12, 0.24, 0.4, 0.71, 1.19, 1.97, 3.15, 4.73];

/// The British-American system and ISO 286 share their grades: the same tolerance but for the rounding to tenths of a
/// thousandth, which is as much as a third in the smallest sizes (ISO 286-1 and ANSI B4.1-1967, table of standard tolerances).
#[test]
fn holes_are_those_of_iso_but_for_rounding() {
    for row in rows(LIMITS) {
        let (over, upto): (f64, f64) = (row[1].parse().unwrap(), row[2].parse().unwrap());
        let middle = Length::from_inches((over.max(0.04) * upto).sqrt());
        let iso = it(row[3].trim_start_matches('H').parse().unwrap(), middle).unwrap();
        let inch = thou(row[5].parse().unwrap());
        assert!((inch / iso - 1.0).abs() < 0.36, "{row:?}: ISO {iso}");
    }
}

/// What the letters of a class promise (ANSI B4.1-1967, 5): RC and LC always clear, LN and FN never do, LT may do either.
#[test]
fn classes_do_what_their_letters_say() {
    for row in rows(LIMITS) {
        let basic = sizes(row[1], row[2])[1];
        let clearance = fit(row[0]).unwrap().clearance(basic).unwrap();
        let (least, most) = (clearance.least, clearance.most);
        let right = match &row[0][..2] {
            "RC" | "LC" => least >= Length::ZERO,
            "LN" | "FN" => most <= Length::ZERO,
            _ => least < Length::ZERO && most > Length::ZERO,
        };
        assert!(right, "{row:?}");
    }
}

/// A class grows looser, or tighter, with its number, and every range of it meets the next.
#[test]
fn classes_are_whole_and_in_order() {
    assert_eq!(inch_classes().len(), 9 + 11 + 6 + 3 + 5);
    for class in inch_classes() {
        let mut ranges: Vec<(f64, f64)> = rows(LIMITS)
            .filter(|row| row[0] == class.name)
            .map(|row| (row[1].parse().unwrap(), row[2].parse().unwrap()))
            .collect();
        ranges.sort_by(|a, b| a.0.total_cmp(&b.0));
        assert!(ranges.windows(2).all(|pair| pair[0].1 == pair[1].0), "{}: {ranges:?}", class.name);
        assert!(!class.says.is_empty());
    }
    let middle = |class: &str| {
        let clearance = fit(class).unwrap().clearance(Length::from_inches(1.1)).unwrap();
        clearance.least + clearance.most
    };
    for loosening in ["RC1 RC2 RC3 RC4 RC5 RC6 RC7 RC8 RC9", "LC1 LC2 LC3 LC4", "LC5 LC6 LC7 LC8 LC9 LC10 LC11"] {
        let names: Vec<&str> = loosening.split(' ').collect();
        assert!(names.windows(2).all(|pair| middle(pair[0]) < middle(pair[1])), "{loosening}");
    }
    for tightening in ["LT1 LT3 LT5", "LN2 LN3", "FN1 FN2 FN3 FN4 FN5"] {
        let names: Vec<&str> = tightening.split(' ').collect();
        assert!(names.windows(2).all(|pair| middle(pair[0]) > middle(pair[1])), "{tightening}");
    }
}

#[test]
fn classes_are_found_as_people_write_them() {
    for name in ["RC4", "rc4", " RC 4 ", "Rc4"] {
        assert_eq!(fit(name).unwrap().designation(), "RC4");
    }
    for name in ["RC", "RC0", "RC10", "FN6", "4RC", "LC12", ""] {
        assert!(fit(name).is_none(), "{name}");
    }
    // beyond the tables there are no limits, and FN3 begins at 0.95 in
    assert_eq!(inch_limits("RC4", Length::from_inches(4.74)), None);
    assert_eq!(inch_limits("FN3", Length::from_inches(0.9)), None);
    assert!(inch_limits("FN3", Length::from_inches(1.0)).is_some());
}

/// ISO classes in pairs, the hole first.
#[test]
fn iso_classes_are_taken_as_fits() {
    let size = Length::from_mm(25.0);
    // ISO 286-2, from memory: 25 H7 is +21, 0; 25 p6 is +35, +22
    let clearance = fit("H7/p6").unwrap().clearance(size).unwrap();
    assert!((clearance.least.micrometres() + 35.0).abs() < 1e-9 && (clearance.most.micrometres() + 1.0).abs() < 1e-9);
    assert!(fit("H7/p6").unwrap().grips(size) && !fit("H7/k6").unwrap().grips(size));
    assert_eq!(fit("H7").unwrap().shaft(size), None);
    assert_eq!(fit("h6").unwrap().hole(size), None);
    for name in ["p6/H7", "H7/H7", "H7/", "/p6", "H7/q6", "H7/p6/h6", "H7p6"] {
        assert!(fit(name).is_none(), "{name}");
    }
}

proptest! {
    #[test]
    fn no_text_stops_the_program(text in "\\PC{0,8}", inches in prop::num::f64::ANY) {
        let size = Length::from_inches(inches);
        if let Some(fit) = fit(&text) {
            let _ = (fit.hole(size), fit.shaft(size), fit.clearance(size), fit.grips(size), fit.designation());
        }
    }
}
