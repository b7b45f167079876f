//! Press and shrink joints against worked examples, against brute force, and against what must hold of any.

#![allow(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use design::joint::{
    Criterion, Elastic, Grip, Joint, Margin, Own, Pair, Ring, Side, Span, Strained, along_axis, turning, warmth,
};
use part::{Extent, MadeTo, Member, Seat, Stuff, Surface, Wall, Way};
use proptest::prelude::*;
use quantity::{Length, Measured};
use standards::Material;

const WORKED: &str = include_str!("data/interference.csv");
/// Steel, per kelvin and million; the source's.
const EXPANSION: f64 = 11.5;

fn mm(mm: f64) -> Length {
    Length::from_mm(mm)
}

fn material(name: &str) -> &'static Material {
    standards::material(name).unwrap()
}

#[test]
fn worked_examples_come_out_as_printed() {
    let mut seen = 0;
    for row in WORKED.lines().filter(|line| !line.starts_with('#')).skip(1) {
        let fields: Vec<&str> = row.split(',').collect();
        let number = |at: usize| fields[at].parse::<f64>().unwrap();
        let inch = fields[1] == "in";
        let length = |at: usize| if inch { Length::from_inches(number(at)) } else { mm(number(at)) };
        // the pound per square inch is 4.4482216152605 N on 645.16 mm² (ISO 80000-4)
        let psi = 4.448_221_615_260_5 / 645.16;
        let elastic = |at: usize| Elastic {
            youngs_mpa: number(at) * if inch { 1e6 * psi } else { 1e3 },
            poisson: number(at + 1),
        };
        let pair = Pair {
            seat: length(2),
            hub: Ring { inside: length(2), outside: length(4), elastic: elastic(5) },
            shaft: Ring { inside: length(3), outside: length(2), elastic: elastic(7) },
        };
        let pressure = pair.pressure(length(9));
        let force = || along_axis(number(11), pressure, pair.seat, length(10));
        let stress = |mpa: f64| if inch { mpa / psi } else { mpa };
        let got = match fields[12] {
            "pressure" => stress(pressure),
            "hub hoop" => stress(pair.hub_under(pressure).hoop(pair.seat)),
            "shaft hoop" => stress(pair.shaft_under(pressure).hoop(pair.seat)),
            "force" => force(),
            "force kN" => force() / 1e3,
            "torque" => turning(force(), pair.seat),
            "torque kNm" => turning(force(), pair.seat) / 1e3,
            "kelvin" => warmth(length(9), mm(0.05), pair.seat, EXPANSION),
            "closes" => -pair.shaft_under(pressure).grows(pair.shaft.inside).mm(),
            other => unreachable!("{other}"),
        };
        let places = fields[13].split_once('.').map_or(0, |(_, places)| places.len());
        let half_digit = 0.5 * 0.1f64.powi(places as i32) * 1.01;
        assert!((got - number(13)).abs() <= half_digit, "{row}: {got}");
        seen += 1;
    }
    assert_eq!(seen, 28);
}

/// A rod grows by α l ΔT, by definition: 0.115 mm of 100 mm in 100 K.
#[test]
fn warmth_is_expansion_turned_round() {
    assert!((warmth(mm(0.1), mm(0.015), mm(100.0), EXPANSION) - 100.0).abs() < 1e-9);
}

/// Displacements of a ring by finite differences: u″ + u′/r − u/r² = 0 with the pressures on both sides, plane stress; the
/// equilibrium of a wedge and Hooke's law, and nothing of the closed solution. Returns radii and displacements.
fn brute_force(ring: &Ring, inside_mpa: f64, outside_mpa: f64) -> (Vec<f64>, Vec<f64>) {
    const STEPS: usize = 4000;
    let (a, b) = (ring.inside.mm() / 2.0, ring.outside.mm() / 2.0);
    let h = (b - a) / STEPS as f64;
    let Elastic { youngs_mpa: e, poisson: nu } = ring.elastic;
    let count = STEPS + 1;
    let r = |i: usize| a + h * i as f64;
    let (mut lower, mut diagonal, mut upper, mut right) =
        (vec![0.0; count], vec![0.0; count], vec![0.0; count], vec![0.0; count]);
    for i in 0..count {
        lower[i] = 1.0 / (h * h) - 1.0 / (2.0 * h * r(i));
        upper[i] = 1.0 / (h * h) + 1.0 / (2.0 * h * r(i));
        diagonal[i] = -2.0 / (h * h) - 1.0 / (r(i) * r(i));
    }
    // σr = E/(1 − ν²)(u′ + νu/r) = −p at both ends, u′ by the point beyond the end, which the equation then removes
    let stiff = e / (1.0 - nu * nu);
    let (first, last) = (0, count - 1);
    let beyond = lower[first];
    upper[first] += beyond;
    diagonal[first] += beyond * 2.0 * h * nu / r(first);
    right[first] -= beyond * 2.0 * h * inside_mpa / stiff;
    let beyond = upper[last];
    lower[last] += beyond;
    diagonal[last] -= beyond * 2.0 * h * nu / r(last);
    right[last] += beyond * 2.0 * h * outside_mpa / stiff;
    for i in 1..count {
        let factor = lower[i] / diagonal[i - 1];
        diagonal[i] -= factor * upper[i - 1];
        right[i] -= factor * right[i - 1];
    }
    let mut u = vec![0.0; count];
    u[last] = right[last] / diagonal[last];
    for i in (0..last).rev() {
        u[i] = (right[i] - upper[i] * u[i + 1]) / diagonal[i];
    }
    ((0..count).map(r).collect(), u)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// Closed formula and finite differences, ring by ring: displacement and both stresses in the middle of the wall.
    #[test]
    fn rings_move_as_brute_force_has_it(
        bore in 5.0..100.0_f64, wall in 0.1..3.0_f64, e in 3.0..210.0_f64, nu in 0.2..0.4_f64,
        inside in 0.0..200.0_f64, outside in 0.0..200.0_f64,
    ) {
        let ring = Ring {
            inside: mm(bore),
            outside: mm(bore * (1.0 + wall)),
            elastic: Elastic { youngs_mpa: e * 1000.0, poisson: nu },
        };
        let (r, u) = brute_force(&ring, inside, outside);
        let pressed = ring.pressed(inside, outside);
        let near = |got: f64, brute: f64, scale: f64| (got - brute).abs() <= 2e-4 * scale.max(brute.abs());
        let moved = 0.5 * bore * (inside + outside) / (e * 1000.0) * 1e-2 + 1e-9;
        for i in [0, r.len() / 2, r.len() - 1] {
            let grows = pressed.grows(mm(2.0 * r[i])).mm() / 2.0;
            prop_assert!(near(grows, u[i], moved), "at {}: {grows} and {}", r[i], u[i]);
        }
        let i = r.len() / 2;
        let (strain, hoop_strain) = ((u[i + 1] - u[i - 1]) / (r[i + 1] - r[i - 1]), u[i] / r[i]);
        let stiff = e * 1000.0 / (1.0 - nu * nu);
        let (radial, hoop) = (stiff * (strain + nu * hoop_strain), stiff * (hoop_strain + nu * strain));
        let at = mm(2.0 * r[i]);
        let load = inside + outside + 1e-3;
        prop_assert!(near(pressed.radial(at), radial, load) && near(pressed.hoop(at), hoop, load));
    }

    /// The pressure at which the hub's bore, moved by brute force, meets the shaft moved likewise, found by halving.
    #[test]
    fn pressure_is_where_the_two_meet(
        seat in 10.0..100.0_f64, hub in 1.2..4.0_f64, hollow in 0.2..0.9_f64, interference in 1e-4..2e-3_f64,
        e in prop::sample::select(vec![(100.0, 0.26), (200.0, 0.29), (69.0, 0.33)]),
    ) {
        let elastic = |(e, nu): (f64, f64)| Elastic { youngs_mpa: e * 1000.0, poisson: nu };
        let pair = Pair {
            seat: mm(seat),
            hub: Ring { inside: mm(seat), outside: mm(seat * hub), elastic: elastic(e) },
            shaft: Ring { inside: mm(seat * hollow), outside: mm(seat), elastic: elastic((110.0, 0.34)) },
        };
        // both are linear: one megapascal of brute force on either says it all
        let opens = brute_force(&pair.hub, 1.0, 0.0).1[0];
        let closes = -brute_force(&pair.shaft, 0.0, 1.0).1.last().unwrap();
        let apart = |pressure: f64| pressure * (opens + closes) - interference * seat / 2.0;
        let (mut low, mut high) = (0.0, 1e5);
        for _ in 0..100 {
            let middle = 0.5 * (low + high);
            if apart(middle) < 0.0 { low = middle } else { high = middle }
        }
        let pressure = pair.pressure(mm(interference * seat));
        prop_assert!((pressure / low - 1.0).abs() < 5e-4, "{pressure} and {low}");
    }
}

/// A wide hub is the end of thicker and thicker ones, a solid shaft that of smaller and smaller bores.
#[test]
fn wide_and_solid_are_limits() {
    let elastic = Elastic { youngs_mpa: 100_000.0, poisson: 0.26 };
    let pair = |outside: f64, bore: f64| Pair {
        seat: mm(20.0),
        hub: Ring { inside: mm(20.0), outside: mm(outside), elastic },
        shaft: Ring { inside: mm(bore), outside: mm(20.0), elastic },
    };
    let pressure = |outside, bore| pair(outside, bore).pressure(mm(0.02));
    assert!((pressure(1e6, 10.0) - pressure(f64::INFINITY, 10.0)).abs() < 1e-6);
    assert!((pressure(50.0, 1e-5) - pressure(50.0, 0.0)).abs() < 1e-6);
    // at the bore of the wide hub tension is as great as the pressure
    let wide = pair(f64::INFINITY, 0.0).hub_under(10.0);
    assert!((wide.hoop(mm(20.0)) - 10.0).abs() < 1e-12 && (wide.radial(mm(20.0)) + 10.0).abs() < 1e-12);
}

/// Grey iron is judged by the tension that breaks it, steel by von Mises: √(40² + 40·10 + 10²) = √2100 (by hand).
#[test]
fn brittle_and_ductile_are_judged_apart() {
    let iron = Strained::of(material("grey cast iron"), 40.0, -10.0);
    assert_eq!((iron.criterion, iron.stress_mpa), (Criterion::BreaksInTension, 40.0));
    let steel = Strained::of(material("mild steel"), 40.0, -10.0);
    assert_eq!(steel.criterion, Criterion::Yields);
    assert!((steel.stress_mpa - 2100f64.sqrt()).abs() < 1e-12);
    let bush = Strained::of(material("grey cast iron"), -90.0, -10.0);
    assert_eq!((bush.criterion, bush.stress_mpa), (Criterion::CrushesInCompression, 90.0));
    // a third of the strength is as far as a careful shop goes with castings (common practice)
    let margin = |hoop: f64| Strained::of(material("grey cast iron"), hoop, -1.0).margin();
    let breaks = material("grey cast iron").uts_mpa;
    assert_eq!([0.3, 0.5, 1.0].map(|part| margin(part * breaks)), [Margin::Ample, Margin::Thin, Margin::None]);
}

fn side(name: &str, ends: f64) -> Side<'static> {
    Side { material: material(name), ends: mm(ends), rz: Length::from_micrometres(5.0) }
}

fn grip(least_um: f64, most_um: f64) -> Grip {
    let um = Length::from_micrometres;
    let interference = Span { least: um(least_um), most: um(most_um) };
    Grip::of(mm(22.0), interference, Some(mm(11.0)), side("grey cast iron", 40.0), side("bronze", 16.0))
}

/// DIN 7190-1 (from memory): 0.8 of the sum of both Rz is lost on the diameter, here 8 µm.
#[test]
fn ridges_take_their_part_of_the_grip() {
    assert!((grip(10.0, 30.0).loss.micrometres() - 8.0).abs() < 1e-9);
    assert!((grip(10.0, 30.0).interference.least.micrometres() - 2.0).abs() < 1e-9);
    let nothing_left = grip(5.0, 30.0);
    assert_eq!(nothing_left.interference.least, Length::ZERO);
    assert_eq!((nothing_left.holds_n.unwrap().least, nothing_left.torque_nm.unwrap().least), (0.0, 0.0));
    // the tightest pair is not let off anything
    assert!((nothing_left.interference.most.micrometres() - 30.0).abs() < 1e-9);
}

proptest! {
    #[test]
    fn more_interference_is_more_of_everything(most in 1.0..60.0_f64, more in 1.0..30.0_f64) {
        let (light, heavy) = (grip(0.0, most), grip(0.0, most + more));
        prop_assert!(heavy.pressure.most > light.pressure.most);
        prop_assert!(heavy.hub.stress_mpa > light.hub.stress_mpa);
        prop_assert!(heavy.closes.unwrap().most > light.closes.unwrap().most);
        prop_assert!(heavy.push_n.unwrap().most > light.push_n.unwrap().most);
        prop_assert!(heavy.slide.hub_c > light.slide.hub_c && heavy.slide.shaft_c < light.slide.shaft_c);
        // a bush cannot close by more than the whole interference and its own bulging
        prop_assert!(heavy.closes.unwrap().most.micrometres() < 1.1 * (most + more));
    }

    /// Whatever pieces within their limits meet a mate within its uncertainty: the clearance lies within what was said.
    #[test]
    fn no_pair_falls_outside_what_was_said(
        value in 20.0..30.0_f64, sigma in 0.0..0.01_f64, at in 0.0..1.0_f64, off in -2.0..2.0_f64,
    ) {
        let shaft = Extent::Within { smallest: mm(24.98), largest: mm(24.993) };
        let hole = Extent::Read(Measured { value: mm(value), sigma: mm(sigma) });
        let said = Way { to: MadeTo::Mate, basic: mm(25.0), hole, shaft }.clearance();
        let clearance = value + off * sigma - (24.98 + at * 0.013);
        prop_assert!(said.least.mm() <= clearance + 1e-12 && clearance <= said.most.mm() + 1e-12);
    }
}

fn seat(hole: Member, shaft: Member) -> Seat {
    let within = |smallest: f64, largest: f64| Extent::Within { smallest: mm(smallest), largest: mm(largest) };
    let way = Way { to: MadeTo::Nominal, basic: mm(22.0), hole: within(22.0, 22.021), shaft: within(22.022, 22.035) };
    Seat {
        feature: "bore".into(),
        fit: Some("press bush".into()),
        classes: "H7/p6, ISO 286-2".into(),
        hole,
        shaft,
        length: None,
        ways: vec![way],
    }
}

fn member(material: Stuff, wall: Wall) -> Member {
    Member { called: "this part", material, wall, surface: Surface::Bored }
}

#[test]
fn what_nobody_said_is_supposed_and_marked() {
    let own = Own { material: material("mild steel"), outside: Some(mm(60.0)), bore: Some(mm(8.0)) };
    let of = |hole: Member, shaft: Member| Joint::of(&seat(hole, shaft), own).unwrap();
    let as_part = || member(Stuff::OfPart, Wall::OfPart);
    let hub_of_part = of(as_part(), member(Stuff::Unknown, Wall::Solid));
    assert_eq!((hub_of_part.hub.material.name.as_str(), hub_of_part.hub.ends), ("mild steel", mm(60.0)));
    assert!(hub_of_part.hub.is_part && !hub_of_part.hub.material_supposed);
    assert!(hub_of_part.shaft.material_supposed && hub_of_part.shaft.ends == Length::ZERO);
    assert_eq!(hub_of_part.taken().grip.as_ref().unwrap().push_n, None);
    let shaft_of_part = of(member(Stuff::Named("bronze".into()), Wall::Unknown), as_part());
    assert_eq!((shaft_of_part.shaft.ends, shaft_of_part.hub.ends.is_finite()), (mm(8.0), false));
    // a hub that ends within its own bore is no hub: nothing is reckoned from it
    let nonsense = of(member(Stuff::Unknown, Wall::Ends(mm(20.0))), as_part());
    assert_eq!(nonsense.taken().grip, None);
}
