//! The closed probabilities against drawn readings, and what must hold for all readings.

use checking::{
    Decision, Finest, Kit, Limits, Remedy, Rule, Shown, Taken, Task, Way, With, Worth, judge, of_all, pick, settle,
};
use part::Gauging;
use proptest::prelude::*;
use quantity::{Instrument, Length, Measures};
use standards::built_in_instruments;

fn mm(mm: f64) -> Length {
    Length::from_mm(mm)
}

fn caliper(worth: Worth) -> Finest<'static> {
    Finest { instrument: "caliper", worth, readings: 1 }
}

/// A plain generator of equally likely numbers between 0 and 1 (Marsaglia's xorshift, 64 bits).
struct Draw(u64);

impl Draw {
    fn next(&mut self) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }

    /// Normal, by the sum of twelve.
    fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.next()).sum::<f64>() - 6.0
    }
}

/// True sizes drawn as the reading leaves them open fall inside the limits as often as the closed probability says.
#[test]
fn drawn_sizes_fall_as_the_probability_says() {
    const DRAWN: u32 = 200_000;
    let mut draw = Draw(0x9e37_79b9_7f4a_7c15);
    let limits = Limits { lower: Some(mm(9.99)), upper: Some(mm(10.01)) };
    let (low, high, gauge) = (9.985, 10.008, 0.005);
    for (value, sigma) in [(10.0, 0.004), (10.008, 0.003), (10.012, 0.006), (9.995, 0.02)] {
        let shown = Shown::Reading { value: mm(value), sigma: mm(sigma) };
        let inside = (0..DRAWN).filter(|_| (9.99..=10.01).contains(&(value + sigma * draw.normal()))).count();
        let within = judge(&shown, &limits, &Rule::USUAL).chances.within;
        // the sum of twelve is normal to about half a per cent
        assert!((inside as f64 / f64::from(DRAWN) - within).abs() < 0.006, "{value} ± {sigma}: {inside} {within}");
    }
    let shown = Shown::Between { low: mm(low), high: mm(high), gauge: mm(gauge) };
    let inside = (0..DRAWN)
        .filter(|_| {
            let (a, b) = (low + gauge * (2.0 * draw.next() - 1.0), high + gauge * (2.0 * draw.next() - 1.0));
            (9.99..=10.01).contains(&(a + (b - a) * draw.next()))
        })
        .count();
    let within = judge(&shown, &limits, &Rule::USUAL).chances.within;
    assert!((inside as f64 / f64::from(DRAWN) - within).abs() < 0.004, "{inside} {within}");
}

/// What is accepted is good at least as often as the rule promises, over parts made all across the limits and beyond: true
/// sizes are drawn, read, and judged.
#[test]
fn what_is_accepted_is_good() {
    let mut draw = Draw(42);
    let limits = Limits { lower: Some(mm(-0.01)), upper: Some(mm(0.01)) };
    let (mut accepted, mut bad) = (0u32, 0u32);
    for _ in 0..200_000 {
        let size = 0.03 * (2.0 * draw.next() - 1.0);
        let shown = Shown::Reading { value: mm(size + 0.003 * draw.normal()), sigma: mm(0.003) };
        if judge(&shown, &limits, &Rule::USUAL).decision == Decision::Accept {
            accepted += 1;
            bad += u32::from(size.abs() > 0.01);
        }
    }
    assert!(accepted > 20_000);
    // at the edge one in twenty, over all of the zone far fewer
    assert!(f64::from(bad) / f64::from(accepted) < 0.02, "{bad} of {accepted}");
}

/// Readings of one size are averaged; of an oval bore the mean lies well inside the limits, and yet it does not pass.
#[test]
fn an_oval_bore_is_not_averaged_away() {
    let (once, steady) = (mm(0.006), mm(0.003));
    let read = |value: f64| Taken::Read {
        value: mm(value),
        instrument: "telescopic gauge".into(),
        worth: Worth { once, steady },
    };
    let limits = Limits { lower: Some(mm(20.0)), upper: Some(mm(20.05)) };
    let judged = |values: &[f64]| {
        let taken: Vec<Taken> = values.iter().copied().map(read).collect();
        let shown = of_all(&taken).unwrap();
        (shown, judge(&shown, &limits, &Rule::USUAL).decision)
    };
    let (even, passes) = judged(&[20.020, 20.026, 20.023]);
    assert!(matches!(even, Shown::Reading { .. }) && passes == Decision::Accept);
    assert!(
        (even.sigma().mm() - (0.003f64.powi(2) + 0.006f64.powi(2) / 3.0 - 0.003f64.powi(2) / 3.0).sqrt()).abs() < 1e-12
    );
    let (oval, fails) = judged(&[19.985, 20.065, 20.025]);
    assert!(matches!(oval, Shown::Uneven { .. }) && fails == Decision::Reject, "{oval:?}");
    // uneven, but all of it inside
    assert_eq!(judged(&[20.012, 20.038]).1, Decision::Accept);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 500, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_zone_is_where_readings_are_accepted(
        width in 0.001f64..1.0, ratio in 0.02f64..3.0, at in -1.5f64..1.5, guard in prop::sample::select(vec![1.65, 2.0]),
    ) {
        let rule = Rule { guard, source: "" };
        let (limits, sigma) = (Limits { lower: Some(mm(-width / 2.0)), upper: Some(mm(width / 2.0)) }, mm(width * ratio));
        let value = mm(at * width);
        let judged = judge(&Shown::Reading { value, sigma }, &limits, &rule);
        let zone = rule.zone(&limits, sigma);
        let inside = zone.is_some_and(|zone| zone.lower.unwrap() <= value && value <= zone.upper.unwrap());
        let edge = zone.is_some_and(|zone| zone.nearest(value).unwrap() < mm(1e-9 * width));
        prop_assert!(edge || (judged.decision == Decision::Accept) == inside, "{judged:?} {zone:?}");
        let sum = judged.chances.below + judged.chances.within + judged.chances.above;
        prop_assert!((sum - 1.0).abs() < 1e-9);
        // no zone means that even the middle is not proved, and a zone is never wider than the plain guard band leaves
        let middle = judge(&Shown::Reading { value: Length::ZERO, sigma }, &limits, &rule).decision;
        prop_assert_eq!(zone.is_some(), middle == Decision::Accept);
        if let Some(zone) = zone {
            prop_assert!(zone.width().unwrap() <= limits.width().unwrap() - sigma * (2.0 * guard) + mm(1e-9));
        }
        // one who wants to be surer never accepts or rejects more
        let surer = judge(&Shown::Reading { value, sigma }, &limits, &Rule { guard: guard + 0.5, source: "" }).decision;
        prop_assert!(surer == judged.decision || surer == Decision::Doubtful);
    }

    /// The least number of readings against its closed form: g √(u_s² + u_r²/n) ≤ d, so n = ⌈u_r²/((d/g)² − u_s²)⌉.
    #[test]
    fn repeats_settle_when_the_formula_says(off in 0.0f64..0.02, steady in 0.0f64..0.004, random in 0.001f64..0.008) {
        let (limits, worth) = (
            Limits { lower: None, upper: Some(Length::ZERO) },
            Worth { once: mm(steady.hypot(random)), steady: mm(steady) },
        );
        let remedies = settle(mm(-off), Some(caliper(worth)), &limits, &[], &Rule::USUAL);
        let left = (off / 1.65).powi(2) - steady * steady;
        let formula = (random * random / left).ceil();
        let found = remedies.first().map(Remedy::readings);
        if left > 0.0 && (formula - random * random / left).abs() > 1e-6 && formula <= 10.0 {
            prop_assert_eq!(found, Some((formula as u32).max(1)), "{}", left);
        } else if left <= 0.0 || formula > 10.0 {
            prop_assert_eq!(found, None);
        }
    }

    /// A finer instrument is only proposed where it decides, and then decides as it says.
    #[test]
    fn a_remedy_does_what_it_says(at in -0.03f64..0.03, fine in 0.0005f64..0.01, coarse in 0.01f64..0.03) {
        let limits = Limits { lower: Some(mm(-0.02)), upper: Some(mm(0.02)) };
        let worth = |u: f64| Worth { once: mm(u), steady: mm(u / 2.0) };
        let ways = [Way { instrument: "micrometer".into(), worth: worth(fine) }];
        for remedy in settle(mm(at), Some(caliper(worth(coarse))), &limits, &ways, &Rule::USUAL) {
            let (worth, readings, then) = match remedy {
                Remedy::Readings { in_all, then } => (worth(coarse), in_all, then),
                Remedy::Instrument { readings, then, .. } => (worth(fine), readings, then),
            };
            let shown = Shown::Reading { value: mm(at), sigma: worth.of_mean(readings) };
            prop_assert_eq!(judge(&shown, &limits, &Rule::USUAL).decision, then);
            prop_assert!(then != Decision::Doubtful);
        }
    }

    /// The pick never leaves less of the tolerance than another owned way that is meant for such a size and leaves half.
    #[test]
    fn the_pick_is_the_one_meant_or_the_finest(width in 0.004f64..1.0, nominal in 1.0f64..400.0) {
        let instruments = built_in_instruments();
        let kit = Kit { instruments: &instruments, pins: &[] };
        let limits = Limits { lower: Some(mm(nominal)), upper: Some(mm(nominal + width)) };
        let task = Task { gauging: &Gauging::Micrometer, nominal: mm(nominal), limits, pin_influence: 1.0, last_place: Length::ZERO };
        let picked = pick(&task, &kit, &Rule::USUAL);
        let With::Read(way) = &picked.with else { return Err(TestCaseError::fail("nothing picked")) };
        prop_assert_eq!(way.instrument.as_str(), "micrometer");
        let u = way.worth.of_mean(picked.readings);
        prop_assert_eq!(picked.zone.is_some(), Rule::USUAL.zone(&limits, u).is_some());
        // long sizes are worth less
        prop_assert!(way.worth.once >= kit.worth("micrometer", mm(1.0)).unwrap().once);
    }
}

/// An instrument of the shop's own is taken for what it measures, and for nothing else; one too coarse is left for a finer.
#[test]
fn what_the_shop_bought_for_it_is_taken() {
    let mut instruments = built_in_instruments();
    let own = |name: &str, within: f64, measures| Instrument {
        name: name.into(),
        aliases: Vec::new(),
        uncertainty: Some(mm(within / 2.0)),
        angle_uncertainty: None,
        measures: vec![measures],
    };
    instruments.push(own("bore micrometer", 0.004, Measures::Holes));
    instruments.push(own("rough inside caliper", 0.4, Measures::Holes));
    let kit = Kit { instruments: &instruments, pins: &[] };
    let with = |gauging: &Gauging, width: f64| {
        let limits = Limits { lower: Some(mm(20.0)), upper: Some(mm(20.0 + width)) };
        let task = Task { gauging, nominal: mm(20.0), limits, pin_influence: 1.0, last_place: mm(0.001) };
        match pick(&task, &kit, &Rule::USUAL).with {
            With::Read(way) => way.instrument,
            other => format!("{other:?}"),
        }
    };
    assert_eq!(with(&Gauging::PlainGauges, 0.021), "bore micrometer");
    assert_eq!(with(&Gauging::Micrometer, 0.021), "micrometer");
    instruments.swap_remove(instruments.len() - 2);
    let kit = Kit { instruments: &instruments, pins: &[] };
    let limits = Limits { lower: Some(mm(20.0)), upper: Some(mm(20.021)) };
    let task =
        Task { gauging: &Gauging::PlainGauges, nominal: mm(20.0), limits, pin_influence: 1.0, last_place: mm(0.001) };
    let With::Read(way) = pick(&task, &kit, &Rule::USUAL).with else { unreachable!("it is read") };
    assert_eq!(way.instrument, "telescopic gauge");
}
