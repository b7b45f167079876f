//! Decisions and guard bands against the standards' rules.

use checking::{Decision, GoNotGo, Limits, Rule, Shown, Worth, go_not_go, judge, plugs};
use quantity::Length;
use standards::GaugeClass;

const DECISIONS: &str = include_str!("data/decisions.csv");

fn mm(mm: f64) -> Length {
    Length::from_mm(mm)
}

#[test]
fn decisions_are_those_of_the_rule() {
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(DECISIONS.as_bytes());
    let mut rows = 0;
    for row in reader.records() {
        let row = row.unwrap();
        let number = |column: usize| row.get(column).and_then(|cell| cell.parse::<f64>().ok());
        let limits = Limits { lower: number(1).map(mm), upper: number(2).map(mm) };
        let shown = Shown::Reading { value: mm(number(0).unwrap()), sigma: mm(number(3).unwrap()) };
        let rule = Rule { guard: number(4).unwrap(), source: "" };
        let decided = match judge(&shown, &limits, &rule).decision {
            Decision::Accept => "accept",
            Decision::Doubtful => "doubtful",
            Decision::Reject => "reject",
        };
        assert_eq!(row.get(5), Some(decided), "{row:?}");
        rows += 1;
    }
    assert_eq!(rows, 13);
}

/// JCGM 106:2012, 8.3.2: acceptance limits lie a guard band inside the limits; with U = 2 u and r = 1, by U.
#[test]
fn guard_bands() {
    let limits = Limits { lower: Some(mm(19.98)), upper: Some(mm(20.0)) };
    for (rule, guard) in [(Rule::EXPANDED, 0.003), (Rule::USUAL, 0.002475)] {
        let zone = rule.zone(&limits, mm(0.0015)).unwrap();
        assert!((zone.lower.unwrap() - mm(19.98 + guard)).abs() < mm(1e-9));
        assert!((zone.upper.unwrap() - mm(20.0 - guard)).abs() < mm(1e-9));
    }
    // Φ(1.65) = 0.9505, Φ(2) = 0.97725 (Abramowitz & Stegun, table 26.1)
    assert!((Rule::USUAL.confidence() - 0.950_53).abs() < 5e-6);
    assert!((Rule::EXPANDED.confidence() - 0.977_25).abs() < 5e-6);
}

/// GUM (JCGM 100:2008) H.1, recalled: 25, 9.7, 2.9 and 16.6 nm make 32 nm.
#[test]
fn causes_add_by_their_squares() {
    let nm = |nm: f64| mm(nm * 1e-6);
    let all = Worth { once: nm(25.0), steady: nm(25.0) }.and(nm(9.7)).and(nm(2.9)).and(nm(16.6));
    assert!((all.once.mm() * 1e6 - 32.0).abs() < 0.5);
    // 4.3.7: half width 4 µm, u = 2.309 µm; a mean of four of what averages has half of it
    let feel = Worth { once: mm(0.004 / 3f64.sqrt()), steady: Length::ZERO };
    assert!((feel.of_mean(1).mm() - 0.002_309).abs() < 5e-7);
    assert!((feel.of_mean(4).mm() - 0.001_155).abs() < 5e-7);
}

/// A hole of #40 H12, 2.489 to 2.589 mm, tried with pins by thousandths of class ZZ, 0.0002 in (ASME B89.1.5): the go pin
/// must be 0.0002 in over the lower limit or it may let too small a hole pass.
#[test]
fn pins_prove_a_hole_with_their_own_tolerance_counted() {
    let inch = Length::from_inches;
    let pins: Vec<Length> = (90..110).map(|thou| inch(f64::from(thou) / 1000.0)).collect();
    let limits = Limits { lower: Some(mm(2.489)), upper: Some(mm(2.589)) };
    let GoNotGo { go, not_go, tolerance } = go_not_go(&limits, &pins).unwrap();
    assert!((go.inches() - 0.099).abs() < 1e-9 && (not_go.inches() - 0.101).abs() < 1e-9, "{go} {not_go}");
    assert!((tolerance.inches() - 0.0002).abs() < 1e-9);
    // H7 at 6 mm, 12 µm, leaves no room between thousandths
    assert_eq!(go_not_go(&Limits { lower: Some(mm(6.0)), upper: Some(mm(6.012)) }, &pins), None);
}

/// The ten per cent rule: 7/8 H7, 21 µm, allows 1.05 µm to each of two plugs; class X has 1.52 µm there, XX 0.76 µm.
#[test]
fn plugs_take_a_tenth() {
    let limits = Limits { lower: Some(mm(22.225)), upper: Some(mm(22.246)) };
    assert_eq!(plugs(&limits).unwrap().class, GaugeClass::XX);
}
