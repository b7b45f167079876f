//! ISO 286 against worked classes, against its own formula, and the fits by purpose.

#![allow(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use proptest::prelude::*;
use quantity::Length;
use standards::fits::{Class, Grade, fit, fit_names, fits, it, limits};

const WORKED: &str = include_str!("iso286/worked.csv");

fn grade(text: &str) -> Grade {
    text.parse().unwrap()
}

#[test]
fn worked_classes_and_fits_come_out_as_printed() {
    // whole micrometres are printed
    const HALF_DIGIT: f64 = 0.5;
    let mut seen = 0;
    for row in WORKED.lines().filter(|line| !line.starts_with('#')).skip(1) {
        let fields: Vec<&str> = row.split(',').collect();
        let nominal = Length::from_mm(fields[1].parse().unwrap());
        let (upper, lower) = match fields[0] {
            "fit" => {
                let (hole, shaft) = fields[2].split_once('/').unwrap();
                let (hole, shaft) = (limits(hole, nominal).unwrap(), limits(shaft, nominal).unwrap());
                (hole.upper - shaft.lower, hole.lower - shaft.upper)
            }
            _ => {
                let limits = limits(fields[2], nominal).unwrap();
                (limits.upper, limits.lower)
            }
        };
        let printed = |at: usize| fields[at].parse::<f64>().unwrap();
        assert!((upper.micrometres() - printed(3)).abs() <= HALF_DIGIT, "{row}: {upper}");
        assert!((lower.micrometres() - printed(4)).abs() <= HALF_DIGIT, "{row}: {lower}");
        seen += 1;
    }
    assert_eq!(seen, 50);
}

/// The upper ends of the main ranges of nominal size, ISO 286-1, Table 1.
const RANGES_MM: [f64; 14] = [0.0, 3.0, 6.0, 10.0, 18.0, 30.0, 50.0, 80.0, 120.0, 180.0, 250.0, 315.0, 400.0, 500.0];

#[test]
fn tolerances_grow_with_grade_and_with_size() {
    let mut values = 0;
    for range in RANGES_MM.windows(2) {
        let nominal = Length::from_mm(range[1]);
        let of_range: Vec<Length> = Grade::all().map(|grade| it(grade, nominal).unwrap()).collect();
        assert!(of_range.windows(2).all(|pair| pair[0] < pair[1]));
        values += of_range.len();
    }
    assert_eq!(values, 13 * 20);
    for grade in Grade::all() {
        for size in RANGES_MM[1..].windows(2) {
            assert!(it(grade, Length::from_mm(size[0])) <= it(grade, Length::from_mm(size[1])), "{grade}");
        }
    }
}

#[test]
fn each_range_ends_with_its_own_last_size() {
    let it7 = |mm| it(grade("7"), Length::from_mm(mm)).map(Length::micrometres).map(f64::round);
    // ISO 286-1, Table 1
    assert_eq!(it7(30.0), Some(21.0));
    assert_eq!(it7(30.001), Some(25.0));
    assert_eq!(it7(500.0), Some(63.0));
    assert_eq!(it7(500.1), None);
    assert_eq!(it7(0.0), None);
    assert_eq!(it7(-5.0), None);
    assert_eq!(it7(f64::NAN), None);
    // grades 14 and up, and shafts a and b, are not used to 1 mm
    assert_eq!(it(grade("14"), Length::from_mm(1.0)), None);
    assert!(it(grade("14"), Length::from_mm(1.1)).is_some());
    assert_eq!(limits("a11", Length::from_mm(1.0)), None);
    assert!(limits("a11", Length::from_mm(2.0)).is_some());
}

#[test]
fn holes_a_to_h_mirror_the_shafts() {
    for letter in ["a", "b", "c", "d", "e", "f", "g", "h"] {
        for mm in [2.0, 25.0, 90.0, 400.0] {
            let shaft = limits(&format!("{letter}9"), Length::from_mm(mm)).unwrap();
            let hole = limits(&format!("{}9", letter.to_uppercase()), Length::from_mm(mm)).unwrap();
            assert_eq!((hole.lower, hole.upper), (-shaft.upper, -shaft.lower), "{letter} {mm}");
        }
    }
}

#[test]
fn same_letter_fits_of_hole_and_shaft_basis_have_the_same_clearance() {
    // the purpose of delta: H7/p6 and P7/h6 clear alike (ISO 286-1), so the greatest interference is the same
    for letter in ["k", "m", "n", "p", "r", "s", "u"] {
        for mm in [5.0, 8.0, 15.0, 25.0, 40.0, 70.0, 110.0, 150.0, 220.0, 380.0] {
            let d = Length::from_mm(mm);
            let hole_basis = limits("H7", d).unwrap().lower - limits(&format!("{letter}6"), d).unwrap().upper;
            let hole = limits(&format!("{}7", letter.to_uppercase()), d).unwrap();
            let shaft_basis = hole.lower - limits("h6", d).unwrap().upper;
            assert!((hole_basis - shaft_basis).abs() < Length::from_micrometres(0.01), "{letter} {mm}");
        }
    }
}

#[test]
fn classes_are_read_strictly() {
    for (text, back) in [("H7", "H7"), (" js6 ", "js6"), ("h01", "h01"), ("ZC11", "ZC11")] {
        assert_eq!(text.parse::<Class>().unwrap().to_string(), back);
    }
    for text in ["", "7", "H", "H7/p6", "Hh7", "H19", "H007", "H-1", "H7.5", "ü7", "IT7x"] {
        assert!(text.parse::<Class>().is_err(), "{text}");
    }
    assert_eq!("IT7".parse(), Ok(Grade::new(7).unwrap()));
    assert_eq!(Grade::new(19), None);
    // a letter that the standard has no value for
    assert_eq!(limits("q6", Length::from_mm(25.0)), None);
    assert_eq!(limits("j12", Length::from_mm(25.0)), None);
}

proptest! {
    #[test]
    fn limits_enclose_the_tolerance(mm in 0.01_f64..500.0, letters in "(js|[a-hj-np-z]|JS|[A-HJ-NP-Z])", number in 0_u8..=18) {
        let nominal = Length::from_mm(mm);
        if let Some(limits) = limits(&format!("{letters}{number}"), nominal) {
            let tolerance = it(Grade::new(number).unwrap(), nominal).unwrap();
            prop_assert!((limits.tolerance() - tolerance).abs() < Length::from_micrometres(1e-6));
        }
    }

    #[test]
    fn no_text_stops_the_program(text in "\\PC{0,6}", mm in prop::num::f64::ANY) {
        let _ = limits(&text, Length::from_mm(mm));
    }
}

#[test]
fn every_fit_by_purpose_stands_in_the_tables() {
    // ISO 286-1 says which preferred fits clear and which grip
    let clears = |name| fit(name).unwrap().clearance(Length::from_mm(20.0)).unwrap();
    assert!(clears("press bush").most < Length::ZERO);
    assert!(clears("heavy press").most < Length::ZERO);
    assert!(clears("push").least < Length::ZERO && clears("push").most > Length::ZERO);
    assert!(clears("close running").least > Length::ZERO);
    assert!(clears("running").least > clears("close running").least);
    for fit in fits() {
        for mm in [2.0, 22.225, 100.0] {
            assert!(fit.hole(Length::from_mm(mm)).is_some(), "{}", fit.name);
            let has_shaft = fit.designation().contains('/');
            assert_eq!(has_shaft, fit.clearance(Length::from_mm(mm)).is_some(), "{}", fit.name);
        }
    }
}

#[test]
fn fits_are_found_by_name_and_alias_and_no_name_stands_twice() {
    assert_eq!(fit("Press Bush").unwrap().designation(), "H7/p6");
    assert_eq!(fit("keyed").unwrap().designation(), "H7/k6");
    assert_eq!(fit("running").unwrap().designation(), "H8/f7");
    assert_eq!(fit("drilled").unwrap().designation(), "H13");
    assert_eq!(fit("sloppy"), None);
    let mut names: Vec<String> = fit_names().map(str::to_lowercase).collect();
    let all = names.len();
    names.sort();
    names.dedup();
    assert_eq!(names.len(), all);
}
