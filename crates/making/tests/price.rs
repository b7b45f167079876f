//! Prices: worked again by hand, whole when known, and not there when anything that belongs to them is not.

#![allow(clippy::unwrap_used, reason = "a look-up that fails fails the test")]

mod shared;

use making::price::{Elsewhere, Order, Outside, Price};
use making::shop::{Charges, MachineKind, Shop};
use making::{Brief, Step, Sweep, plan};
use part::Work;
use proptest::prelude::*;
use quantity::{Angle, Length, Money};
use shared::random::{any_cuts, any_shop};
use shared::*;

fn crowns(cents: i64) -> Money {
    Money::from_cents(cents)
}

fn charging(charges: impl FnOnce(&mut Charges)) -> Shop {
    let mut shop = shop();
    charges(&mut shop.charges);
    shop
}

fn price(brief: &Brief, shop: &Shop) -> Price {
    plan(brief, shop).price
}

/// Hour by hour and gram by gram, from the plan's own minutes and masses.
#[test]
fn a_price_worked_again_by_hand() {
    let shop = charging(|charges| {
        charges.hour = Some(crowns(5000));
        charges.minimum = None;
        charges.margin_percent = Some(20.0);
        charges.round_to = Some(crowns(100));
    });
    let order = Order {
        outside: vec![
            Outside { what: "hardened".into(), price: crowns(1250), each: true, instead_of: None },
            Outside { what: "carriage".into(), price: crowns(900), each: false, instead_of: None },
        ],
        ..Order::default()
    };
    let made = plan(&Brief { order, ..pin() }, &shop);
    let cost = made.price.cost.unwrap();
    let nearest = |value: f64| (value * 100.0).round() as i64;
    assert_eq!(cost.time.cents(), nearest(made.price.minutes.total().get() / 60.0 * 50.0));
    // four pins off the 5/8 in bar, each 2 in and 2 mm and the saw cut of 2.5 mm, at 7870 kg/m³ and 3.20 a kilogram
    let kilograms = 4.0 * std::f64::consts::FRAC_PI_4 * 15.875_f64.powi(2) * (50.8 + 2.0 + 2.5) * 7870e-9;
    assert_eq!(cost.metal.len(), 1);
    assert!((cost.metal[0].kilograms - kilograms).abs() < 1e-9, "{:?}", cost.metal);
    assert_eq!(cost.metal[0].money.cents(), nearest(kilograms * 3.2));
    assert_eq!(cost.outside.iter().map(|outside| outside.money).sum::<Money>(), crowns(4 * 1250 + 900));
    let sum = cost.time + cost.metal[0].money + crowns(5900);
    assert_eq!(cost.margin.cents(), nearest(sum.cents() as f64 / 100.0 * 0.2));
    assert_eq!((cost.raised, cost.total), (Money::ZERO, sum + cost.margin));
    let asked = made.price.asked.unwrap();
    assert!(asked.fitted.each.cents() % 100 == 0 && asked.spares.each.cents() % 100 == 0);
    assert_eq!(asked.total, asked.fitted.each + asked.spares.each * 3);
}

#[test]
fn the_smallest_charge_covers_small_spares() {
    let shop = charging(|charges| charges.minimum = Some(crowns(50000)));
    let price = price(&pin(), &shop);
    let cost = price.cost.unwrap();
    assert_eq!((cost.total, price.asked.unwrap().total), (crowns(50000), crowns(50000)));
    assert_eq!(price.asked.unwrap().spares.sum, Money::ZERO);
}

#[test]
fn what_is_not_known_is_said_and_there_is_no_price() {
    let none = |brief: &Brief, shop: &Shop, said: &str| {
        let price = price(brief, shop);
        assert!(price.unknown.iter().any(|why| why.contains(said)), "{said}: {:?}", price.unknown);
        assert!(
            price.asked.is_none() && price.cost.is_none() && price.together.is_empty() && price.elsewhere.is_none()
        );
    };
    none(&sector(), &charging(|charges| *charges = Charges::default()), "no price for an hour");
    none(
        &sector(),
        &charging(|charges| charges.materials.retain(|one| one.material != "bronze")),
        "no price for bronze",
    );
    let mut without = shop();
    without.machines.retain(|machine| machine.kind != MachineKind::Mill);
    none(&sector(), &without, "The shop has no mill for \"Cut 11 teeth of 44 (teeth)\"");
    none(&Brief { thickness: None, ..sector() }, &shop(), "The thickness is not given");
}

/// Work that is sent out costs what is said, and takes no time here.
#[test]
fn outside_work_stands_in_for_a_machine() {
    let mut without = shop();
    without.machines.retain(|machine| machine.kind != MachineKind::Mill);
    let milled =
        Outside { what: "teeth milled".into(), price: crowns(12000), each: false, instead_of: Some(MachineKind::Mill) };
    let order = Order { outside: vec![milled], ..Order::default() };
    let sent = plan(&Brief { order: order.clone(), ..sector() }, &without);
    assert_eq!(sent.price.unknown, Vec::<String>::new());
    let milling = sent.operations.iter().find(|operation| operation.step == Step::CutTeeth).unwrap();
    let here: f64 = sent
        .times
        .operations
        .iter()
        .filter(|time| time.number != milling.number)
        .map(|time| time.of(sent.price.ordered).total().get())
        .sum();
    assert!((sent.price.minutes.total().get() - sent.times.before.get() - here).abs() < 1e-9);
    // a shop with a mill does it itself, and pays for what it has ordered all the same
    let both = plan(&Brief { order, ..sector() }, &shop());
    assert!(both.price.minutes.total() > sent.price.minutes.total());
}

#[test]
fn a_price_from_elsewhere_is_compared_piece_by_piece() {
    let order =
        |price, pieces| Order { elsewhere: Some(Elsewhere { price: crowns(price), pieces }), ..Order::default() };
    let with = |price, pieces| plan(&Brief { order: order(price, pieces), ..sector() }, &shop()).price;
    let one = with(70000, 1);
    let there = one.elsewhere.unwrap();
    assert_eq!(there.here_for_as_many, one.together[0].total);
    assert_eq!(there.there_each, crowns(70000));
    let four = with(100000, 4);
    assert_eq!(four.elsewhere.unwrap().there_each, crowns(25000));
    assert_eq!(four.elsewhere.unwrap().here_for_as_many, four.asked.unwrap().total);
}

/// Spares made in the same set-up bring the price of one down.
#[test]
fn one_costs_less_with_spares() {
    let price = price(&sector(), &shop());
    let each: Vec<Money> = price.together.iter().map(|point| point.each).collect();
    assert!(each.windows(2).take(3).all(|pair| pair[1] < pair[0]), "{each:?}");
    assert!(price.together.iter().any(|point| point.ordered && point.pieces == 4));
}

proptest! {
    /// A price is whole or not there; sums are exact; what is asked is never under the cost; each cent has its line.
    #[test]
    fn any_price_adds_up(
        cuts in any_cuts(),
        // a shop that owns what it needs, and any other
        shop in prop_oneof![Just(shop()), any_shop()],
        thickness in prop::option::weighted(0.9, 0.1_f64..3.0),
        (pieces, spares) in (0_u32..4, 0_u32..6),
        (hour, least, margin, step) in (prop::option::of(1_i64..20_000), 0_i64..50_000, 0.0_f64..60.0, 1_i64..500),
    ) {
        let charges = Charges {
            hour: hour.map(crowns),
            minimum: Some(crowns(least)),
            margin_percent: Some(margin),
            round_to: Some(crowns(step)),
            ..shared::shop().charges
        };
        let shop = Shop { charges, ..shop };
        let brief = Brief { thickness: thickness.map(inches), pieces, spares, ..brief("Part", "mild steel", cuts) };
        let price = price(&brief, &shop);
        prop_assert_eq!(price.asked.is_some(), price.unknown.is_empty());
        prop_assert_eq!(price.cost.is_some(), price.unknown.is_empty());
        prop_assert!(hour.is_some() || price.asked.is_none());
        if let (Some(cost), Some(asked)) = (price.cost, price.asked) {
            let metal: Money = cost.metal.iter().map(|metal| metal.money).sum();
            let outside: Money = cost.outside.iter().map(|outside| outside.money).sum();
            prop_assert_eq!(cost.total, cost.time + metal + outside + cost.margin + cost.raised);
            prop_assert!(cost.total >= crowns(least));
            prop_assert!(asked.total >= cost.total || pieces + spares == 0);
            prop_assert_eq!(asked.total, asked.fitted.each * pieces + asked.spares.each * spares);
            // a step of rounding a piece is all that is put on top
            prop_assert!(asked.total.cents() - cost.total.cents() <= i64::from(pieces + spares) * (step + 1));
        }
    }

    /// Sectors round a ring, their outlines laid out one by one: none runs into the next, and one more would.
    #[test]
    fn sectors_in_a_ring_do_not_meet(count in 20_u32..120, part in 0.03_f64..0.9, inner in 15.0_f64..80.0, extra in 0.0_f64..0.2) {
        let teeth_cut = ((f64::from(count) * part) as u32).max(1);
        let covers = (f64::from(teeth_cut) + 0.9) / f64::from(count) * std::f64::consts::TAU * (1.0 + extra);
        prop_assume!(covers < std::f64::consts::TAU);
        let cuts = vec![cut("teeth", Work::Teeth(teeth(count, teeth_cut, mm(2.5), 20.0)))];
        let sweep = Some(Sweep { inner: mm(inner), angle: Angle::from_radians(covers) });
        let brief = Brief { sweep, pieces: 40, spares: 0, ..brief("Segment", "grey cast iron", cuts) };
        let gives = plan(&brief, &shop()).blank.gives;
        let apart = |pieces: u32| f64::from(count / pieces) * std::f64::consts::TAU / f64::from(count);
        // what lies between two neighbours on the inner circle, as a chord
        let between = |pieces: u32| 2.0 * inner * ((apart(pieces) - covers) / 2.0).sin();
        if gives > 1 {
            // a saw cut of 2.5 mm and 1.5 mm left on both sides of it
            prop_assert!(between(gives) > 5.5 - 1e-6, "{gives}: {}", between(gives));
            prop_assert!(count / gives > teeth_cut);
        }
        let more = gives + 1;
        prop_assert!(apart(more) < covers || between(more) < 5.5 + 1e-6 || count / more <= teeth_cut);
    }
}

/// A segment of 14 teeth of 80 that covers 65° of its ring: five to a disc; where it reaches over the middle, one.
#[test]
fn several_sectors_out_of_one_ring() {
    let cuts =
        vec![cut("teeth", Work::Teeth(teeth(80, 14, mm(2.5), 20.0))), cut("back", Work::Profile { length: mm(130.0) })];
    let sweep = Some(Sweep { inner: mm(70.0), angle: Angle::from_degrees(65.0) });
    let segment = Brief { sweep, thickness: Some(mm(20.0)), ..brief("Rim segment", "grey cast iron", cuts) };
    let made = plan(&segment, &shop());
    assert_eq!(made.blank.gives, 5);
    assert!(made.notes.iter().any(|note| note.contains("one disc for the 4 wanted")), "{:?}", made.notes);
    let cutting = made.operations.iter().find(|operation| operation.step == Step::CutTeeth).unwrap();
    // 16 spaces apart, whole teeth: 80/5
    assert!(
        cutting.instructions.iter().any(|said| said.contains("cut spaces 1 to 15, 17 to 31, 33 to 47 and 49 to 63")),
        "{:?}",
        cutting.instructions
    );
    let each: Vec<Money> = made.price.together.iter().map(|point| point.each).collect();
    assert!(each[5] > each[4], "a sixth piece opens a second disc: {each:?}");
    let over_the_middle = plan(&Brief { sweep: None, ..segment }, &shop());
    assert_eq!(over_the_middle.blank.gives, 1);
    assert!(over_the_middle.notes.iter().any(|note| note.contains("One piece to a disc")));
}

#[test]
fn a_blank_without_a_bore_is_longer_by_its_spigot() {
    let cuts = vec![cut("teeth", Work::Teeth(teeth(20, 20, inches(0.1), 14.5)))];
    let blank = plan(&brief("Pinion", "grey cast iron", cuts), &shop()).blank;
    let allowed = blank.allowances;
    assert_eq!((allowed.turning, allowed.facing, allowed.holding), (mm(3.0), mm(2.0), mm(25.0)));
    let making::Body::Round { length: Some(length), .. } = blank.sawn else { panic!("{:?}", blank.sawn) };
    assert!((length - inches(0.375) - mm(27.0)).abs() < Length::from_mm(1e-9));
    assert_eq!(plan(&gear(), &shop()).blank.allowances.holding, Length::ZERO);
}
