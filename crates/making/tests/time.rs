//! Times and masses against published figures, and what any time must keep to.

#![allow(clippy::unwrap_used, reason = "a look-up that fails fails the test")]

mod shared;

use making::mass::Mass;
use making::plan;
use making::speeds::{revolutions, table_feed};
use making::time::{Lot, Travel, approach};
use making::{Brief, FeedPer, Operation, Step};
use proptest::prelude::*;
use quantity::{Length, Minutes};
use shared::random::{any_cuts, any_shop};
use shared::*;
use standards::times::Allowance;

/// Books differ by so much on density.
const BOOKS_DIFFER: f64 = 0.025;

#[test]
fn densities_of_textbooks() {
    for row in include_str!("data/densities.csv").lines().filter(|line| !line.starts_with('#')).skip(1) {
        let mut fields = row.split(',');
        let (name, printed) = (fields.next().unwrap(), fields.next().unwrap().parse::<f64>().unwrap());
        // a litre
        let mass = Mass::of(standards::material(name).unwrap(), 1e6).kilograms();
        assert!((mass * 1000.0 / printed - 1.0).abs() < BOOKS_DIFFER, "{row}: {mass}");
    }
}

/// mm, kg a metre: merchants' public tables of round and square steel bar, which reckon with 7850 kg/m³; the table here has
/// 7870 for mild steel, 1 in 400 more.
#[test]
fn steel_bar_by_the_metre() {
    let steel = standards::material("mild steel").unwrap();
    let round = [(6.0, 0.222), (8.0, 0.395), (10.0, 0.616), (12.0, 0.888), (16.0, 1.579), (20.0, 2.466), (25.0, 3.85)];
    let square = [(10.0, 0.78), (16.0, 2.01), (25.0, 4.91)];
    let rounds = round.map(|(d, printed)| (std::f64::consts::FRAC_PI_4 * d * d, printed));
    for (section, printed) in rounds.into_iter().chain(square.map(|(side, printed)| (side * side, printed))) {
        let mass = Mass::of(steel, section * 1000.0).kilograms();
        assert!((mass - printed).abs() < 0.005 + 0.003 * printed, "{section} mm²: {mass} for {printed}");
    }
}

#[test]
fn cutting_times_of_worked_examples() {
    // a tool maker's public course: 100 mm at 20 mm a minute, 5 minutes
    let plain = Travel { length: mm(100.0), approach: Length::ZERO, times: 1 };
    assert!((plain.minutes(20.0).get() - 5.0).abs() < 1e-9);
    // the same course: 100 mm in a minute at 1000 turns a minute is 0.1 mm a turn
    assert!((plain.minutes(0.1 * 1000.0).get() - 1.0).abs() < 1e-9);
    // Groover, Fundamentals of Modern Manufacturing, problem on peripheral milling, from memory: 400 mm long, cutter of 80 mm
    // with 5 teeth, 70 m/min, 0.25 mm a tooth, 5 mm deep: 19.4 mm approach, 348 mm/min, 1.20 min
    let reach = approach(mm(80.0), mm(5.0));
    assert!((reach.mm() - 19.4).abs() < 0.05);
    let feed = table_feed(revolutions(70.0, mm(80.0)), 5, mm(0.25)).mm();
    assert!((feed - 348.0).abs() < 0.5, "{feed}");
    let milled = Travel { length: mm(400.0), approach: reach, times: 1 };
    assert!((milled.minutes(feed).get() - 1.20).abs() < 0.005);
}

/// The way of the cutter's centre, stepped along until its edge touches the corner of the work.
#[test]
fn the_approach_of_a_cutter_by_trying() {
    for (cutter, depth) in [(60.0, 2.0), (60.0, 5.5), (80.0, 5.0), (57.15, 1.9)] {
        let (radius, step) = (cutter / 2.0, 1e-4);
        let touches = |back: f64| back.hypot(radius - depth) <= radius;
        let tried = (0..).map(|count| f64::from(count) * step).find(|back| !touches(*back)).unwrap();
        assert!((approach(mm(cutter), mm(depth)).mm() - tried).abs() < 2.0 * step, "{cutter}, {depth}: {tried}");
    }
}

/// Worked out once more from what the sheet says: speed, feed, passes and length.
fn cutting_again(operation: &Operation, length: Length) -> f64 {
    let run = standards::times::run();
    let through = (length + run.before + run.after).mm();
    let passes = operation.passes.as_ref().unwrap().each.len() as f64;
    let minutes = |index: usize, cuts: f64| {
        let running = &operation.running[index];
        let feed = running.feed.as_ref().unwrap();
        assert_eq!(feed.per, FeedPer::Turn);
        cuts * through / (running.speed.real.unwrap() * (feed.lo + feed.hi).mm() / 2.0)
    };
    if operation.running.len() == 2 { minutes(0, passes - 1.0) + minutes(1, 1.0) } else { minutes(0, passes) }
}

#[test]
fn turning_is_timed_by_feed_and_length() {
    let made = plan(&pin(), &shop());
    let turning = made.operations.iter().find(|operation| operation.step == Step::TurnOutside).unwrap();
    let time = &made.times.operations[turning.number as usize - 1];
    let one = time.of(Lot { fitted: 1, spares: 0 });
    let again = cutting_again(turning, inches(2.0));
    assert!((one.cutting.get() - again).abs() < 1e-9, "{} for {again}", one.cutting);
    let four = time.of(Lot { fitted: 1, spares: 3 });
    assert!((four.cutting.get() - 4.0 * again).abs() < 1e-9);
    assert_eq!(four.set_up, one.set_up);
}

/// Whatever turns in the demo's part is timed by how far it is fed, and nothing takes no time at all.
#[test]
fn nothing_in_the_sector_is_left_untimed() {
    for brief in [sector(), gear(), pin()] {
        let made = plan(&brief, &shop());
        assert_eq!(made.times.unknown, Vec::<String>::new());
        for operation in &made.operations {
            assert!(operation.running.iter().all(|running| running.travel.is_some()), "{}", operation.title);
            let time = made.times.operations[operation.number as usize - 1].of(Lot { fitted: 1, spares: 3 });
            assert!(time.total() > Minutes::ZERO, "{}", operation.title);
        }
    }
}

#[test]
fn what_cannot_be_timed_is_said() {
    let unknown = |brief: &Brief| plan(brief, &shop()).times.unknown.join(" ");
    assert!(unknown(&Brief { material: "unobtainium".into(), ..pin() }).contains("No speeds and feeds are known"));
    let without = Brief { thickness: None, face_width: None, ..sector() };
    assert!(unknown(&without).contains("The thickness is not given"));
}

#[test]
fn a_shop_that_has_timed_itself_is_believed() {
    let mut shop = shop();
    let usual = plan(&sector(), &shop);
    shop.minutes.insert(Allowance::IndexSpace, Minutes::new(2.4));
    let slow = plan(&sector(), &shop);
    let at = usual.operations.iter().position(|operation| operation.step == Step::CutTeeth).unwrap();
    let handling = |plan: &making::Plan| plan.times.operations[at].of(Lot { fitted: 1, spares: 0 }).handling.get();
    // 12 spaces at every depth, two minutes more for each
    let depths = usual.operations[at].passes.as_ref().unwrap().each.len() as f64;
    assert!((handling(&slow) - handling(&usual) - 12.0 * depths * 2.0).abs() < 1e-9);
}

/// Four blanks side by side are indexed once: their teeth take less than four times one's.
#[test]
fn blanks_on_one_arbor_are_indexed_once() {
    let made = plan(&sector(), &shop());
    let at = made.operations.iter().position(|operation| operation.step == Step::CutTeeth).unwrap();
    let time = &made.times.operations[at];
    assert!(time.at_once >= 4, "{}", time.at_once);
    let of = |spares| time.of(Lot { fitted: 1, spares });
    assert!(of(3).handling.get() < 1.3 * of(0).handling.get(), "{} {}", of(3).handling, of(0).handling);
    assert!(of(3).cutting.get() < 4.0 * of(0).cutting.get());
    assert!(made.operations[at].notes.iter().any(|note| note.contains("4 blanks side by side")));
    // a hub that stands out keeps the rims apart
    let hubbed = Brief { thickness: Some(inches(0.75)), face_width: Some(inches(0.375)), ..sector() };
    assert_eq!(plan(&hubbed, &shop()).times.operations[at].at_once, 1);
}

proptest! {
    /// More pieces never take less time; no time is less than nothing, or without end.
    #[test]
    fn time_grows_with_the_pieces(cuts in any_cuts(), shop in any_shop(), thickness in 0.1_f64..3.0, fitted in 0_u32..4) {
        let brief = Brief { thickness: Some(inches(thickness)), ..brief("Part", "mild steel", cuts) };
        let times = plan(&brief, &shop).times;
        for operation in &times.operations {
            let mut before = 0.0;
            for spares in 0..12 {
                let split = operation.of(Lot { fitted, spares });
                for part in [split.set_up, split.cutting, split.handling, split.checking] {
                    prop_assert!(part.get() >= 0.0 && part.get().is_finite(), "{operation:?}");
                }
                prop_assert!(split.total().get() >= before - 1e-9, "{operation:?}");
                before = split.total().get();
            }
        }
    }
}
