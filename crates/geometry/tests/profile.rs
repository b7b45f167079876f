//! The generated profile: held against the rack itself, and against what an involute must do.

#![allow(clippy::unwrap_used, clippy::panic)] // a helper that fails is a test that fails

use geometry::generate::{SectorEnd, ToothProfile, rim, sector};
use geometry::involute::{inv, inverse_inv};
use geometry::toothing::{Rack, Toothing, ToothingError, ToothingSpec};
use geometry::{Point, Vec2};
use proptest::prelude::*;
use quantity::{Angle, Length};

fn spec(alpha_deg: f64, teeth: u32, shift: f64, tip_radius: f64) -> ToothingSpec {
    ToothingSpec {
        teeth,
        module: Length::from_mm(1.0),
        rack: Rack { pressure_angle: Angle::from_degrees(alpha_deg), addendum: 1.0, dedendum: 1.25, tip_radius },
        profile_shift: shift,
        thinning: Length::from_mm(0.05),
        tip_diameter: None,
        helix: None,
    }
}

/// The tool's tooth as an area, written down afresh: how far a point (ξ along the pitch line, η outwards) is outside it.
struct Tool {
    alpha: f64,
    half_width: f64,
    depth: f64,
    rounding: f64,
}

impl Tool {
    fn of(wheel: &Toothing) -> Tool {
        let spec = wheel.spec();
        let alpha = spec.rack.pressure_angle.radians();
        // On the reference line, η = x m, the tool's tooth is half a pitch wide, and the thinning wider.
        let half_on_reference = 0.25 * std::f64::consts::PI + 0.5 * spec.thinning.mm();
        Tool {
            alpha,
            half_width: half_on_reference - spec.profile_shift * alpha.tan(),
            depth: spec.rack.dedendum - spec.profile_shift,
            rounding: wheel.rack_tip_radius().mm(),
        }
    }

    /// Signed distance: the tooth is a trapezium drawn in by the rounding, then let out again.
    fn distance(&self, point: Point) -> f64 {
        let (sin, cos) = self.alpha.sin_cos();
        let (xi, eta) = (point.x.abs(), point.y);
        let floor = self.rounding - self.depth;
        let corner = Point::new(self.half_width + floor * self.alpha.tan() - self.rounding / cos, floor);
        let beyond_flank = (xi - corner.x) * cos - (eta - corner.y) * sin;
        let below_floor = floor - eta;
        let along_flank = (xi - corner.x) * sin + (eta - corner.y) * cos;
        let inner = if beyond_flank <= 0.0 && below_floor <= 0.0 {
            beyond_flank.max(below_floor)
        } else if along_flank >= 0.0 {
            beyond_flank
        } else if xi <= corner.x {
            below_floor
        } else {
            (Point::new(xi, eta) - corner).hypot()
        };
        inner - self.rounding
    }
}

/// Rolls the tool past one point of the gear and returns how near its surface comes, negative if it cuts in.
fn nearest_pass(tool: &Tool, wheel: &Toothing, point: Point) -> f64 {
    let pitch_radius = 0.5 * wheel.pitch_diameter().mm();
    let half_pitch = 0.5 * wheel.angular_pitch().radians();
    // The point lies on the right-hand flank: the tool works in the space on its right, turned here onto the y axis.
    let in_space = Vec2::from_angle(half_pitch).rotate_scale(point.to_vec2());
    let at = |roll: f64| {
        let turned = Vec2::from_angle(-roll / pitch_radius).rotate_scale(in_space);
        tool.distance(Point::new(turned.x - roll, turned.y - pitch_radius))
    };
    // No contact is further off than the steepest line of action, ± 8 modules.
    let (reach, steps) = (8.0, 1600);
    let place = |i: f64| reach * (2.0 * i / f64::from(steps) - 1.0);
    let best = (0..=steps).map(f64::from).min_by(|a, b| at(place(*a)).total_cmp(&at(place(*b)))).unwrap();
    let (mut low, mut high) = (place(best - 1.0), place(best + 1.0));
    for _ in 0..100 {
        let (a, b) = (low + (high - low) / 3.0, high - (high - low) / 3.0);
        if at(a) < at(b) { high = b } else { low = a }
    }
    at(0.5 * (low + high))
}

/// Nowhere does the rolling rack enter the material, and everywhere it touches it: with undercut, without, sharp-cornered,
/// fully rounded, root circle inside the base circle and outside.
#[test]
fn the_profile_is_the_envelope_of_the_rack() {
    for (alpha, teeth, shift, tip_radius) in [
        (20.0, 8, 0.0, 0.38),
        (20.0, 10, -0.2, 0.1),
        (14.5, 12, 0.0, 0.2),
        (14.5, 12, 0.0, 0.0),
        (20.0, 17, 0.0, 0.38),
        (20.0, 17, 0.8, 0.38),
        (25.0, 30, 0.3, 0.9),
        (20.0, 45, 1.1, 0.3),
        (14.5, 200, -0.4, 0.25),
        (20.0, 120, 1.4, 0.3),
    ] {
        let wheel = Toothing::new(spec(alpha, teeth, shift, tip_radius)).unwrap();
        let tool = Tool::of(&wheel);
        let profile = ToothProfile::new(&wheel);
        for i in 0..=60 {
            let t = f64::from(i) / 60.0;
            for (name, point) in [("fillet", profile.fillet(t)), ("flank", profile.flank(t))] {
                let pass = nearest_pass(&tool, &wheel, point);
                assert!(pass.abs() < 1e-6, "{name} {t}: {pass} at {point:?}, {:?}", wheel.spec());
            }
        }
        let foot = profile.fillet(0.0).to_vec2().hypot();
        assert!((2.0 * foot - wheel.root_diameter().mm()).abs() < 1e-9);
        assert!((profile.fillet(1.0) - profile.flank(0.0)).hypot() < 1e-9, "fillet and flank meet");
    }
}

#[test]
fn undercut_begins_where_the_least_shift_says() {
    for (alpha, teeth) in [(14.5, 20), (20.0, 10), (20.0, 14), (25.0, 9)] {
        let least = Toothing::new(spec(alpha, teeth, 0.0, 0.2)).unwrap().least_shift_without_undercut();
        let above = Toothing::new(spec(alpha, teeth, least + 1e-6, 0.2)).unwrap();
        let below = Toothing::new(spec(alpha, teeth, least - 1e-3, 0.2)).unwrap();
        assert!(!above.is_undercut() && below.is_undercut());
        // At the limit the involute begins at the base circle; with undercut it begins above it.
        let gap = above.form_radius().mm() - 0.5 * above.base_diameter().mm();
        assert!((0.0..1e-9).contains(&gap), "{gap}");
        assert!(below.form_radius() > 0.5 * below.base_diameter());
    }
}

#[test]
fn what_cannot_be_made_is_refused_in_words() {
    let good = spec(20.0, 20, 0.0, 0.3);
    let cases = [
        (ToothingSpec { teeth: 0, ..good }, "0 teeth"),
        (ToothingSpec { teeth: 3, ..good }, "3 teeth"),
        (ToothingSpec { teeth: u32::MAX, ..good }, "teeth"),
        (ToothingSpec { module: Length::from_mm(f64::NAN), ..good }, "module"),
        (ToothingSpec { module: Length::from_mm(-2.0), ..good }, "module"),
        (ToothingSpec { profile_shift: f64::INFINITY, ..good }, "profile shift"),
        (ToothingSpec { thinning: Length::from_mm(f64::NAN), ..good }, "thinning"),
        (ToothingSpec { thinning: Length::from_mm(2.0), ..good }, "thinning"),
        (ToothingSpec { tip_diameter: Some(Length::from_mm(f64::NAN)), ..good }, "tips end"),
        (ToothingSpec { tip_diameter: Some(Length::from_mm(17.0)), ..good }, "not larger than the root"),
        (ToothingSpec { tip_diameter: Some(Length::from_mm(18.0)), ..good }, "tips end"),
        (ToothingSpec { tip_diameter: Some(Length::from_mm(25.0)), ..good }, "point"),
        (spec(20.0, 6, 1.2, 0.3), "point"),
        (spec(0.0, 20, 0.0, 0.3), "pressure angle"),
        (spec(f64::NAN, 20, 0.0, 0.3), "pressure angle"),
        (spec(35.0, 20, 0.0, 0.3), "rack's tooth comes to a point"),
        (spec(20.0, 20, 0.0, f64::NAN), "rack's addendum"),
        (spec(20.0, 4, -2.0, 0.3), "axis"),
    ];
    for (spec, words) in cases {
        let error = Toothing::new(spec).unwrap_err();
        let said = error.to_string();
        assert!(said.contains(words) && said.ends_with('.'), "{error:?}: {said}");
    }
    assert_eq!(Toothing::new(spec(20.0, 2, 0.0, 0.3)), Err(ToothingError::Teeth(2)));
}

fn any_wheel() -> impl Strategy<Value = Toothing> {
    (12.0..30.0, 6_u32..250, -0.5..1.0, 0.0..0.5, 0.0..0.2).prop_filter_map(
        "no such teeth",
        |(alpha, teeth, shift, round, thin)| {
            let spec = ToothingSpec { thinning: Length::from_mm(thin), ..spec(alpha, teeth, shift, round) };
            Toothing::new(spec).ok()
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    /// Each normal of the generated flank touches the base circle, and the radius of curvature is the length of that tangent.
    #[test]
    fn flank_normals_touch_the_base_circle(wheel in any_wheel(), t in 0.02..0.98) {
        let profile = ToothProfile::new(&wheel);
        let step = 1e-4;
        let tangent = profile.flank(t + step) - profile.flank(t - step);
        let at = profile.flank(t).to_vec2();
        let from_axis = at.dot(tangent).abs() / tangent.hypot();
        let base = 0.5 * wheel.base_diameter().mm();
        prop_assert!((from_axis - base).abs() < 1e-6 * base.max(1.0), "{} for {}", from_axis, base);
    }

    /// The generated flank is as thick as the closed formula says, everywhere.
    #[test]
    fn flank_lies_on_the_formula(wheel in any_wheel(), t in 0.0..=1.0) {
        let point = ToothProfile::new(&wheel).flank(t);
        let half = wheel.half_angle_at(Length::from_mm(point.to_vec2().hypot())).unwrap().radians();
        prop_assert!((point.x.atan2(point.y) - half).abs() < 1e-8);
    }

    /// Outwards along fillet and flank the radius only grows, and the tooth keeps clear of its own middle.
    #[test]
    fn profile_climbs_and_keeps_its_side(wheel in any_wheel()) {
        let profile = ToothProfile::new(&wheel);
        let points = (0..=50).map(|i| profile.fillet(f64::from(i) / 50.0)).chain((1..=50).map(|i| profile.flank(f64::from(i) / 50.0)));
        let mut last = 0.0;
        for point in points {
            let radius = point.to_vec2().hypot();
            prop_assert!(radius > last - 1e-12 && point.x > 0.0, "{} after {}", radius, last);
            last = radius;
        }
    }

    /// A drawn rim closes, does not cross itself, holds every tooth, and shrinks towards the true area as the chords get shorter.
    #[test]
    fn rims_are_sound(wheel in any_wheel()) {
        let coarse = rim(&wheel, Length::from_mm(0.01));
        let fine = rim(&wheel, Length::from_mm(0.0005));
        prop_assert!(coarse.is_closed() && fine.is_closed());
        prop_assert!(!coarse.crosses_itself());
        let depth_everywhere = fine.length() * 0.01;
        prop_assert!((coarse.area() - fine.area()).abs() < depth_everywhere);
        prop_assert!(coarse.contains(Point::ORIGIN));
        let tips = fine.bounding_box().unwrap();
        prop_assert!((tips.y1 - 0.5 * wheel.tip_diameter().mm()).abs() < 1e-9);
        let one = sector(&wheel, 1, Length::from_mm(0.0005), SectorEnd::MiddleOfSpace);
        let share = one.area() + {
            let (a, b) = (one.start().unwrap().to_vec2(), one.end().unwrap().to_vec2());
            0.5 * a.cross(b)
        };
        prop_assert!((share * f64::from(wheel.teeth()) - fine.area()).abs() < 1e-6 * fine.area());
    }

    #[test]
    fn inverse_of_inv(angle in 0.0..1.5) {
        prop_assert!((inverse_inv(inv(angle)).unwrap() - angle).abs() < 1e-14);
    }
}
