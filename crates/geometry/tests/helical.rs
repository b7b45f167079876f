//! Helical teeth: against worked examples from outside, and the closed formulas against the screw surfaces themselves.

#![allow(clippy::unwrap_used, clippy::panic)] // a helper that fails is a test that fails

use std::f64::consts::TAU;

use geometry::involute::inv;
use geometry::mesh::Pair;
use geometry::toothing::{Helix, Rack, Toothing, ToothingError, ToothingSpec};
use proptest::prelude::*;
use quantity::{Angle, Length};

fn rack(alpha_deg: f64, addendum: f64, dedendum: f64) -> Rack {
    Rack { pressure_angle: Angle::from_degrees(alpha_deg), addendum, dedendum, tip_radius: 0.2 }
}

fn helical(teeth: u32, module: f64, rack: Rack, beta_deg: f64, profile_shift: f64) -> ToothingSpec {
    ToothingSpec {
        teeth,
        module: Length::from_mm(module),
        rack,
        profile_shift,
        thinning: Length::ZERO,
        tip_diameter: None,
        helix: Some(Helix { angle: Angle::from_degrees(beta_deg), face: None }),
    }
}

/// Value of `key=` in an example's inputs.
fn input(inputs: &str, key: &str) -> Option<f64> {
    let word = inputs.split_whitespace().find_map(|word| word.strip_prefix(key)?.strip_prefix('='))?;
    word.trim_start_matches('+').parse().ok()
}

/// Worked examples of a metric gear handbook (some recalled), a published calculation sheet after ISO 21771:2007, and formula
/// values; each row names its own.
#[test]
fn worked_examples() {
    let path = format!("{}/tests/data/helical.csv", env!("CARGO_MANIFEST_DIR"));
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_path(path).unwrap();
    let mut compared = 0;
    for row in reader.records().map(Result::unwrap) {
        let (inputs, quantity) = (&row[1], &row[2]);
        let found = value(inputs, quantity).unwrap_or_else(|| panic!("{row:?}"));
        let (wanted, tolerance): (f64, f64) = (row[3].parse().unwrap(), row[5].parse().unwrap());
        assert!((found - wanted).abs() <= tolerance + 1e-12, "{found}: {row:?}");
        compared += 1;
    }
    assert_eq!(compared, 60);
}

/// What an example asks for. One given in the transverse system is first turned into the normal one.
fn value(inputs: &str, quantity: &str) -> Option<f64> {
    let get = |key: &str| input(inputs, key);
    let beta = get("beta")?;
    let cos = beta.to_radians().cos();
    let (module, alpha, scale) = match (get("mn"), get("mt")) {
        (Some(module), _) => (module, get("alpha_n")?, 1.0),
        (None, Some(module)) => (module * cos, (get("alpha_t")?.to_radians().tan() * cos).atan().to_degrees(), cos),
        (None, None) => return None,
    };
    let shift =
        |wheel: &str| get(&format!("xn{wheel}")).or_else(|| Some(get(&format!("xt{wheel}"))? / scale)).unwrap_or(0.0);
    let addendum = get("ha").map_or(1.0 / scale, |height| height / module - shift(""));
    let rack = rack(alpha, addendum, 1.25 / scale);
    let wheel = |teeth: f64, shift: f64| Toothing::new(helical(teeth as u32, module, rack, beta, shift)).unwrap();
    let Some(z) = get("z") else {
        let pair = [("z1", "1"), ("z2", "2")].map(|(z, x)| wheel(get(z).unwrap(), shift(x)));
        return of_pair(pair, quantity, get("a"), module / scale);
    };
    let one = wheel(z, shift(""));
    let pitch = one.pitch_diameter() / 2.0;
    let pin = || Length::from_mm(get("dp").unwrap());
    let phi = || (0.5 * one.base_diameter() / one.pin_centre_radius(pin()).unwrap()).acos();
    Some(match quantity {
        "alpha_t" => one.transverse_pressure_angle().degrees(),
        "d" => one.pitch_diameter().mm(),
        "db" => one.base_diameter().mm(),
        "da" => one.tip_diameter().mm(),
        "df" => one.root_diameter().mm(),
        // H, the rack's pitch line, plus the pitch radius
        "mounting_distance_a" => get("H")? + pitch.mm(),
        "sn" => one.pitch_thickness().mm() * cos,
        "zv" => one.virtual_teeth(),
        "theta_v" => one.half_angle_at(pitch).unwrap().degrees() * cos.powi(3),
        "chordal_thickness" => one.chordal_thickness(pitch).unwrap().mm(),
        "chordal_addendum" => one.chordal_height(pitch).unwrap().mm(),
        "W" => one.span(get("k")? as u32).mm(),
        "inv_phi" => inv(phi()),
        "phi" => phi().to_degrees(),
        "M" => one.over_pins(pin()).unwrap().mm(),
        _ => return None,
    })
}

/// Of a pair; the handbook shortens the tips so that the bottom clearance stays as it was.
fn of_pair(plain: [Toothing; 2], quantity: &str, centres: Option<f64>, unit: f64) -> Option<f64> {
    let pair = Pair::new(plain[0], plain[1]).unwrap();
    let reference = pair.reference_centre_distance();
    let distance = centres.map_or_else(|| pair.centre_distance().unwrap(), Length::from_mm);
    let mesh = pair.at(distance).unwrap();
    let at = usize::from(quantity.ends_with('2'));
    let (wheel, mate) = (&plain[at], &plain[1 - at]);
    let of_mate = mate.profile_shift_mm();
    let tip = wheel.pitch_diameter().mm() + 2.0 * (wheel.addendum_mm() + (distance - reference).mm() - of_mate);
    Some(match quantity.trim_end_matches(['1', '2']) {
        "alpha_t" => wheel.transverse_pressure_angle().degrees(),
        "inv_alpha_t" => inv(wheel.transverse_pressure_angle().radians()),
        "inv_alpha_wt" => inv(mesh.working_pressure_angle().radians()),
        "alpha_wt" => mesh.working_pressure_angle().degrees(),
        "y" => (distance - reference).mm() / unit,
        "centre_distance" => distance.mm(),
        "a_reference" => reference.mm(),
        "d" => wheel.pitch_diameter().mm(),
        "db" => wheel.base_diameter().mm(),
        "dw" => mesh.working_pitch_diameters()[at].mm(),
        "da" => tip,
        "ha" => 0.5 * (tip - wheel.pitch_diameter().mm()),
        "df" => wheel.root_diameter().mm(),
        "whole_depth" => 0.5 * (tip - wheel.root_diameter().mm()),
        "sum_x" => pair.sum_of_shifts(distance).unwrap(),
        _ => return None,
    })
}

/// In millimetres, as the examples have them.
trait InMillimetres {
    fn profile_shift_mm(&self) -> f64;
    fn addendum_mm(&self) -> f64;
}

impl InMillimetres for Toothing {
    fn profile_shift_mm(&self) -> f64 {
        self.spec().profile_shift * self.module().mm()
    }

    fn addendum_mm(&self) -> f64 {
        self.spec().rack.addendum * self.module().mm()
    }
}

type Vector = [f64; 3];

fn minus(a: Vector, b: Vector) -> Vector {
    [0, 1, 2].map(|i| a[i] - b[i])
}

fn dot(a: Vector, b: Vector) -> f64 {
    (0..3).map(|i| a[i] * b[i]).sum()
}

/// A flank as the screw surface that it is: the transverse profile turned in proportion to its place along the axis.
struct Flank<'a> {
    wheel: &'a Toothing,
    /// Where the middle of its tooth stands at z = 0.
    middle: f64,
    /// +1 for the flank on the side of growing angles.
    side: f64,
}

impl Flank<'_> {
    fn at(&self, radius: f64, z: f64) -> Vector {
        let half = 0.5 * self.wheel.base_thickness().mm() / base(self.wheel) - inv((base(self.wheel) / radius).acos());
        let angle = self.middle + self.side * half + TAU * z / self.wheel.lead().unwrap().mm();
        [radius * angle.cos(), radius * angle.sin(), z]
    }

    /// Unit normal, by difference.
    fn normal(&self, radius: f64, z: f64) -> Vector {
        const STEP: f64 = 1e-5;
        let along = minus(self.at(radius + STEP, z), self.at(radius - STEP, z));
        let across = minus(self.at(radius, z + STEP), self.at(radius, z - STEP));
        let cross = [
            along[1] * across[2] - along[2] * across[1],
            along[2] * across[0] - along[0] * across[2],
            along[0] * across[1] - along[1] * across[0],
        ];
        cross.map(|part| part / dot(cross, cross).sqrt())
    }

    /// The nearest place to a point: radius and z, by a search that narrows.
    fn nearest(&self, to: Vector, start: (f64, f64)) -> (f64, f64) {
        let (mut best, mut step) = (start, 0.2);
        let away = |place: (f64, f64)| dot(minus(self.at(place.0, place.1), to), minus(self.at(place.0, place.1), to));
        while step > 1e-9 {
            let around = (-1..=1).flat_map(|i| (-1..=1).map(move |j| (f64::from(i), f64::from(j))));
            let places = around.map(|(i, j)| ((best.0 + i * step).max(base(self.wheel) + 1e-9), best.1 + j * step));
            let next = places.min_by(|a, b| away(*a).total_cmp(&away(*b))).unwrap();
            if next == best { step *= 0.5 } else { best = next }
        }
        best
    }
}

fn base(wheel: &Toothing) -> f64 {
    wheel.base_diameter().mm() / 2.0
}

/// Wheels with flank enough to be measured.
fn wheels() -> impl Strategy<Value = Toothing> {
    (14_u32..60, 0.5_f64..6.0, 14.5_f64..25.0, 3.0_f64..45.0, -0.2_f64..0.5).prop_filter_map(
        "no such teeth",
        |(teeth, module, alpha, beta, shift)| {
            Toothing::new(helical(teeth, module, rack(alpha, 1.0, 1.25), beta, shift)).ok()
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Parallel anvils touch the outer flanks of k teeth: from a point of the one, the span along the normal ends on the other,
    /// square to it.
    #[test]
    fn a_span_lies_between_the_screw_surfaces(wheel in wheels()) {
        let Some(k) = wheel.best_span() else { return Ok(()) };
        let pitch = wheel.angular_pitch().radians();
        let first = Flank { wheel: &wheel, middle: 0.0, side: -1.0 };
        let last = Flank { wheel: &wheel, middle: f64::from(k - 1) * pitch, side: 1.0 };
        let radius = wheel.span_contact_radius(k).mm();
        let (from, normal) = (first.at(radius, 0.0), first.normal(radius, 0.0));
        // towards the other flank
        let towards = minus(last.at(radius, 0.0), from);
        let sign = dot(normal, towards).signum();
        let to = [0, 1, 2].map(|i| from[i] + sign * wheel.span(k).mm() * normal[i]);
        let (other_radius, z) = last.nearest(to, (radius, 0.0));
        let gap = minus(last.at(other_radius, z), to);
        prop_assert!(dot(gap, gap).sqrt() < 1e-6 * wheel.span(k).mm(), "{gap:?}");
        prop_assert!((dot(normal, last.normal(other_radius, z)).abs() - 1.0).abs() < 1e-7);
        prop_assert!((other_radius - radius).abs() < 1e-5 * radius, "{other_radius} {radius}");
        // and the contacts lie W sin β_b apart along the axis
        let apart = wheel.span(k).mm() * wheel.base_helix_angle().sin();
        prop_assert!((z.abs() - apart).abs() < 1e-5 * wheel.span(k).mm(), "{z} {apart}");
    }

    /// A ball whose middle is where the formula has it touches both sides of a space.
    #[test]
    fn a_ball_touches_both_sides(wheel in wheels()) {
        let pin = wheel.usual_pin();
        let Ok(centre) = wheel.pin_centre_radius(pin) else { return Ok(()) };
        let contact = wheel.pin_contact_radius(pin).unwrap().mm();
        // the circle that the usual pin is meant to touch on
        let aim = wheel.pitch_diameter().mm() / 2.0 + wheel.spec().profile_shift * wheel.module().mm();
        let on_flank = aim > wheel.form_radius().mm() && aim < wheel.tip_diameter().mm() / 2.0;
        prop_assert!(!on_flank || (contact - aim).abs() < 1e-8 * aim, "{contact} {aim}");
        let pitch = wheel.angular_pitch().radians();
        let ball = [centre.mm() * (0.5 * pitch).cos(), centre.mm() * (0.5 * pitch).sin(), 0.0];
        for (middle, side) in [(0.0, 1.0), (pitch, -1.0)] {
            let flank = Flank { wheel: &wheel, middle, side };
            let (radius, z) = flank.nearest(ball, (contact, 0.0));
            let gap = minus(flank.at(radius, z), ball);
            prop_assert!((dot(gap, gap).sqrt() - pin.mm() / 2.0).abs() < 1e-7 * pin.mm(), "{gap:?} {pin:?}");
            prop_assert!((radius - contact).abs() < 1e-4 * contact, "{radius} {contact}");
        }
    }

    /// Teeth that hardly lean are spur teeth.
    #[test]
    fn no_helix_is_spur(teeth in 12_u32..100, alpha in 14.5_f64..25.0, shift in -0.1_f64..0.5) {
        let spec = helical(teeth, 2.0, rack(alpha, 1.0, 1.25), 0.0, shift);
        let (Ok(leaning), Ok(spur)) = (Toothing::new(spec), Toothing::new(ToothingSpec { helix: None, ..spec })) else {
            return Ok(());
        };
        let sizes = |wheel: &Toothing| {
            let pin = Length::from_mm(3.5);
            [
                wheel.tip_diameter(), wheel.form_radius(), wheel.span(3), wheel.usual_pin(), wheel.across_tips(),
                wheel.over_pins(pin).unwrap_or(Length::ZERO), wheel.rack_tip_radius(),
            ]
        };
        for (a, b) in sizes(&leaning).into_iter().zip(sizes(&spur)) {
            prop_assert!((a - b).mm().abs() < 1e-9, "{a} {b}");
        }
        prop_assert!(leaning.lead().is_none());
    }
}

/// An odd count of spur teeth has no opposite spaces; of teeth that lean by half a pitch over their width it has, and by less it has
/// them so much the nearer.
#[test]
fn along_a_wide_face_an_odd_count_has_opposite_places() {
    let wide = |face: Option<f64>| {
        let helix = Helix { angle: Angle::from_degrees(20.0), face: face.map(Length::from_mm) };
        let spec = ToothingSpec { helix: Some(helix), ..helical(25, 2.0, rack(20.0, 1.0, 1.25), 20.0, 0.0) };
        let wheel = Toothing::new(spec).unwrap();
        (wheel.over_pins(Length::from_mm(3.5)).unwrap().mm(), wheel.across_tips().mm(), wheel)
    };
    let (over, tips, wheel) = wide(None);
    let centre = wheel.pin_centre_radius(Length::from_mm(3.5)).unwrap().mm();
    assert!((over - 2.0 * centre - 3.5).abs() < 1e-9 && (tips - wheel.tip_diameter().mm()).abs() < 1e-9);
    let narrow = wide(Some(1.0));
    let thin = wide(Some(1e-6));
    assert!(thin.0 < narrow.0 && narrow.0 < over, "{} {} {over}", thin.0, narrow.0);
    let cos = (0.25 * TAU / 25.0).cos();
    assert!((thin.0 - 2.0 * centre * cos - 3.5).abs() < 1e-6, "{}", thin.0);
    // half a pitch of lean is p/(2 tan β)
    let enough = 0.5 * wheel.pitch_diameter().mm() * TAU / 50.0 / 20_f64.to_radians().tan();
    assert!((wide(Some(enough)).0 - over).abs() < 1e-9);
}

/// A narrow face has no room for wide spans.
#[test]
fn a_span_needs_its_face() {
    let spec = helical(40, 2.0, rack(20.0, 1.0, 1.25), 30.0, 0.0);
    let most = |face: f64| {
        let helix = Helix { angle: Angle::from_degrees(30.0), face: Some(Length::from_mm(face)) };
        let wheel = Toothing::new(ToothingSpec { helix: Some(helix), ..spec }).unwrap();
        wheel.span_range().map(|range| (*range.end(), wheel.span(*range.end()).mm() * wheel.base_helix_angle().sin()))
    };
    let wide = Toothing::new(spec).unwrap();
    let (all, needed) = most(60.0).unwrap();
    assert_eq!(Some(all), wide.span_range().map(|range| *range.end()));
    assert!(most(needed + 1e-6).unwrap().0 == all && most(needed - 1e-6).is_none_or(|(fewer, _)| fewer < all));
}

#[test]
fn what_is_no_helix_is_refused() {
    let spec = helical(40, 2.0, rack(20.0, 1.0, 1.25), 30.0, 0.0);
    let with = |degrees: f64, face: Option<f64>| {
        let helix = Helix { angle: Angle::from_degrees(degrees), face: face.map(Length::from_mm) };
        Toothing::new(ToothingSpec { helix: Some(helix), ..spec })
    };
    assert!(matches!(with(75.0, None), Err(ToothingError::Helix(_))));
    assert!(matches!(with(-10.0, None), Err(ToothingError::Helix(_))));
    assert!(matches!(with(f64::NAN, None), Err(ToothingError::Helix(_))));
    for face in [0.0, -3.0, f64::NAN] {
        assert!(matches!(with(30.0, Some(face)), Err(ToothingError::Face(_))), "{face}");
    }
    let lean = |degrees: f64| with(degrees, None).unwrap();
    assert!(Pair::new(lean(20.0), lean(30.0)).unwrap_err().to_string().contains("parallel axes"));
    // p_bn = π m cos α, whatever the helix
    let normal = |degrees: f64| lean(degrees).normal_base_pitch().mm();
    assert!(
        (normal(40.0) - TAU * 20_f64.to_radians().cos()).abs() < 1e-12 && (normal(10.0) - normal(40.0)).abs() < 1e-12
    );
}
