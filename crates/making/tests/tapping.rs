//! Tapping drills against published charts.

use making::shop::OwnedDrill;
use making::tapping::tap_drill;
use quantity::{Length, Unit};
use standards::USUAL_PERCENT;
use standards::{Drill, drill_named, drills, thread};

/// Every drill there is.
fn drawer() -> Vec<OwnedDrill> {
    let owned = |drill: &Drill| OwnedDrill { label: drill.label(), diameter: drill.diameter, series: drill.series };
    drills().iter().map(owned).collect()
}

fn size(drill: &str) -> Option<Length> {
    let named = drill_named(drill).or_else(|| drill_named(&format!("letter {drill}")));
    let millimetres = || drill_named(&format!("{drill} mm"));
    named.or_else(millimetres).map(|drill| drill.diameter)
}

#[test]
fn the_charts() {
    let mut checked = 0;
    for row in include_str!("data/tap-drills.csv").lines().filter(|row| !row.starts_with("# ")).skip(1) {
        let fields: Vec<&str> = row.split(',').collect();
        let (name, kind, drill, percent) = (fields[0], fields[1], fields[2], fields[3].parse::<f64>());
        let thread = thread(name).unwrap_or_else(|| panic!("{name}"));
        let left = thread.percent(size(drill).unwrap_or_else(|| panic!("{row}")));
        match (kind, percent) {
            // printed without decimals
            ("percent", Ok(printed)) => assert!((left - printed).abs() <= 1.0, "{row}: {left}"),
            // by the chart's drills of four decimals
            ("chart75" | "chart50", Ok(printed)) => assert!((left - printed).abs() <= 0.15, "{row}: {left}"),
            // ISO 2306 keeps to about three quarters of the thread
            ("iso", _) => assert!((70.0..=82.0).contains(&left), "{row}: {left}"),
            other => panic!("{other:?}"),
        }
        checked += 1;
    }
    assert!(checked >= 30, "{checked}");
}

#[test]
fn the_drill_comes_out_of_the_drawer() {
    let full = drawer();
    let best = |name: &str, drills: &[OwnedDrill]| tap_drill(&thread(name).unwrap(), USUAL_PERCENT, drills, Unit::Inch);
    assert_eq!(best("1/4-20", &full).drill.unwrap().label, "#7");
    assert_eq!(best("M6", &full).drill.unwrap().percent.round(), 77.0);
    // no number 7 in the drawer: the next that leaves a thread
    let gap: Vec<OwnedDrill> =
        full.iter().filter(|drill| !["#7", "5.10 mm"].contains(&drill.label.as_str())).cloned().collect();
    let next = best("1/4-20", &gap);
    assert!((next.drill.as_ref().unwrap().percent - 75.0).abs() < 8.0, "{}", next.sentence);
    let none = best("1/4-20", &[]);
    assert!(none.drill.is_none() && none.sentence.contains("no owned drill"), "{}", none.sentence);
}

#[test]
fn what_is_no_thread_is_none() {
    for text in
        ["", "M", "M6x", "M6x9", "1/4", "1/4-0", "1/4-20 BSP", "#99-20", "1/0-20", "M1e3x1", "-", "# -", "3 BSW"]
    {
        assert_eq!(thread(text), None, "{text}");
    }
    assert_eq!(thread("m 6 × 1").map(|t| t.pitch), thread("M6").map(|t| t.pitch));
    assert_eq!(thread("1 1/2 bsw").map(|t| t.major), Some(Length::from_mm(38.1)));
    assert_eq!(thread("1 1/8-12 UNF").map(|t| t.major.inches()), Some(1.125));
}

proptest::proptest! {
    /// Whatever is typed, a thread that is found can be cut: its depth goes into its diameter.
    #[test]
    fn any_text_is_a_thread_or_none(text in "(M|#|no\\.)?[0-9 ./x×-]{0,10}(BSW|BA|UNC)?|\\PC{0,12}") {
        if let Some(thread) = thread(&text) {
            proptest::prop_assert!(thread.hole(100.0) > Length::ZERO && thread.pitch > Length::ZERO);
            let drill = tap_drill(&thread, USUAL_PERCENT, &drawer(), Unit::Millimetre);
            proptest::prop_assert!(drill.hole_mm > 0.0 && drill.hole_mm < drill.major_mm);
        }
    }
}
