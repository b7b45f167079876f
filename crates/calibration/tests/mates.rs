//! Two invented rims of no standard that run together: what one's readings tell of the base pitch, the other's share.

#![allow(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use calibration::{Case, Sort, shop, trial};
use findings::{Weighed, weigh_with_mates};
use geometry::toothing::{Toothing, ToothingSpec};

const NONE: Sort = Sort { of_no_standard: 1.0, readings: (5, 5), slips: 0.0 };
const PAIRS: u64 = 60;

/// The base pitch with its stated uncertainty.
fn base_pitch(weighed: &Weighed) -> (f64, f64) {
    let known = weighed.known.iter().find(|known| known.name == "base_pitch_mm").unwrap();
    (known.value, known.sigma)
}

#[test]
fn a_pair_of_no_standard_knows_its_base_pitch_better() {
    let (mut alone, mut paired, mut squares, mut said) = (0.0, 0.0, 0.0, 0.0);
    let mut count = 0.0;
    for number in 0..PAIRS {
        let mut case = Case::invent(NONE, 77, number);
        let mut other = case.rim.clone();
        let teeth = 13 + (number % 40) as u32;
        let spec = ToothingSpec { teeth, tip_diameter: None, ..*case.rim.worn.spec() };
        let Ok(worn) = Toothing::new(spec) else { continue };
        other.worn = worn;
        (other.whole, other.counted, other.present) = (true, true, teeth);
        let page = case.machinist.measure(&other, 5, false, &mut case.random);
        let (part, mate) = (trial::feature(&case.rim, &case.page).unwrap(), trial::feature(&other, &page).unwrap());
        let circumstances = shop::circumstances(&case.rim, page.unit);
        let (Ok(part), Ok(mate)) = (part.recover(&circumstances), mate.recover(&circumstances)) else { continue };
        let single = findings::weigh(part.as_ref()).unwrap();
        let (Some(pair), of_mate) = weigh_with_mates(part.as_ref(), &[mate.as_ref()]) else { continue };
        let of_mate = of_mate[0].as_ref().unwrap();
        if single.no_standard.min(pair.no_standard).min(of_mate.no_standard) < 0.99 {
            continue;
        }
        let truth = case.rim.worn.base_pitch().mm();
        let ((one, _), (both, sigma)) = (base_pitch(&single), base_pitch(&pair));
        alone += (one / truth - 1.0).abs();
        paired += (both / truth - 1.0).abs();
        squares += ((both - truth) / sigma).powi(2);
        said += sigma / truth;
        count += 1.0;
        // both were told one thing
        let (mates, mates_sigma) = base_pitch(of_mate);
        assert!((mates - both).abs() < sigma.max(mates_sigma), "{number}: {both} ± {sigma}, {mates} ± {mates_sigma}");
    }
    let (alone, paired, said) = (alone / count, paired / count, said / count);
    let spread = f64::sqrt(squares / count);
    assert!(count > 30.0, "{count} pairs");
    assert!(paired < 0.8 * alone, "{paired:.5} of a pair, {alone:.5} alone");
    assert!((0.5..1.5).contains(&spread), "errors are {spread:.2} of what is said, {said:.5}");
}
