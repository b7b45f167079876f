//! What must hold of any weighing, tried on invented pages.

use calibration::{Case, MIXED, SLIPPED, Sort, trial};
use proptest::prelude::*;
use proptest::test_runner::{Config, RngSeed};

/// What is compared: the leading probability, that of no standard, the sum of all, and the certainty of the base pitch.
#[derive(Clone, Copy, Debug)]
struct Weighing {
    leader: f64,
    no_standard: f64,
    sum: f64,
    base_pitch: f64,
    sigma: f64,
    slips: usize,
}

fn weighing(case: &Case, lines: &[String]) -> Option<Weighing> {
    let mut page = case.page.clone();
    page.lines = lines.to_vec();
    trial::weighed(&case.rim, &page, |weighed, _, _| {
        let standards = weighed.findings.iter().filter(|finding| finding.standard);
        let base_pitch = weighed.known.iter().find(|known| known.name == "base_pitch_mm");
        Weighing {
            leader: weighed.findings.first().map_or(0.0, |finding| finding.probability),
            no_standard: weighed.no_standard,
            sum: standards.map(|finding| finding.probability).sum::<f64>() + weighed.no_standard,
            base_pitch: base_pitch.map_or(f64::NAN, |known| known.value),
            sigma: base_pitch.map_or(f64::NAN, |known| known.sigma),
            slips: weighed.slips.len(),
        }
    })
}

fn sorts() -> impl Strategy<Value = Sort> {
    prop_oneof![Just(MIXED), Just(SLIPPED)]
}

proptest! {
    // invented pages are the same by their number: nothing is learnt from keeping failures in a file
    #![proptest_config(Config { cases: 100, failure_persistence: None, rng_seed: RngSeed::Fixed(1), ..Config::default() })]

    #[test]
    fn probabilities_sum_to_one(sort in sorts(), number in 0u64..100_000) {
        let case = Case::invent(sort, 21, number);
        if let Some(weighing) = weighing(&case, &case.page.lines) {
            prop_assert!((weighing.sum - 1.0).abs() < 1e-9, "{weighing:?}");
        }
    }

    /// Suppositions that can hardly matter are passed over by what has been worked out before them, hence the tolerance.
    #[test]
    fn the_order_of_readings_does_not_matter(sort in sorts(), number in 0u64..100_000) {
        let case = Case::invent(sort, 22, number);
        let backwards: Vec<String> = case.page.lines.iter().rev().cloned().collect();
        if let (Some(a), Some(b)) = (weighing(&case, &case.page.lines), weighing(&case, &backwards)) {
            prop_assert!((a.leader - b.leader).abs() < 2e-3, "{a:?} {b:?}");
            prop_assert!((a.no_standard - b.no_standard).abs() < 2e-3, "{a:?} {b:?}");
            prop_assert_eq!(a.slips, b.slips);
        }
    }

    /// Where one design is as good as certain, every reading taken twice leaves its base pitch no less certain.
    #[test]
    fn twice_the_readings_sharpen(number in 0u64..100_000) {
        let case = Case::invent(Sort { of_no_standard: 1.0, readings: (4, 6), slips: 0.0 }, 23, number);
        let twice: Vec<String> = case.page.lines.iter().chain(&case.page.lines).cloned().collect();
        if let (Some(once), Some(twice)) = (weighing(&case, &case.page.lines), weighing(&case, &twice))
            && once.no_standard > 0.99
            && twice.no_standard > 0.99
        {
            prop_assert!(twice.sigma < once.sigma * 1.001, "{once:?} {twice:?}");
            prop_assert!((twice.base_pitch - once.base_pitch).abs() < 3.0 * once.sigma, "{once:?} {twice:?}");
        }
    }
}
