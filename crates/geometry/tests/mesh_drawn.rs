//! Two drawn wheels turned against each other, point by point, with no formula of the mesh: where they touch, with how much play, how many
//! teeth at a time. What `Mesh` foretells must come out.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a helper that fails is a test that fails")]

use std::f64::consts::{FRAC_PI_2, PI};

use geometry::generate::{SectorEnd, sector};
use geometry::mesh::{Mesh, Pair};
use geometry::toothing::{Rack, Toothing, ToothingSpec};
use geometry::{Point, Vec2};
use quantity::{Angle, Length};

fn wheel(alpha: f64, teeth: u32, profile_shift: f64, thinning: f64) -> Toothing {
    let rack = Rack { pressure_angle: Angle::from_degrees(alpha), addendum: 1.0, dedendum: 1.25, tip_radius: 0.3 };
    let (module, thinning) = (Length::from_mm(2.0), Length::from_mm(thinning));
    Toothing::new(ToothingSpec { teeth, module, rack, profile_shift, thinning, tip_diameter: None, helix: None })
        .unwrap()
}

/// Points of one drawn tooth's right-hand side, its middle on the y axis, at most 0.01 mm apart.
fn side(of: &Toothing) -> Vec<Point> {
    let drawn = sector(of, 1, Length::from_mm(0.0002), SectorEnd::FootOfTooth).flatten(0.0002);
    let right = drawn.windows(2).filter(|pair| pair[0].x > 0.0 && pair[1].x > 0.0);
    right
        .flat_map(|pair| {
            let steps = (pair[0].distance(pair[1]) / 0.01).ceil().max(1.0);
            (0..steps as u32).map(move |step| pair[0].lerp(pair[1], f64::from(step) / steps))
        })
        .collect()
}

/// A wheel to be run against: how wide a drawn tooth is at a radius, and where its teeth stand.
struct Turned {
    centre: Point,
    pitch: f64,
    /// Radius and half the angle taken there, by rising radius.
    halves: Vec<(f64, f64)>,
}

impl Turned {
    fn new(of: &Toothing, centre: Point) -> Turned {
        let polar = |point: &Point| (point.to_vec2().hypot(), FRAC_PI_2 - point.to_vec2().atan2());
        let mut halves: Vec<(f64, f64)> = side(of).iter().map(polar).collect();
        halves.sort_by(|a, b| a.0.total_cmp(&b.0));
        Turned { centre, pitch: of.angular_pitch().radians(), halves }
    }

    /// How far this wheel, a tooth of it pointing along `facing`, can be turned counter-clockwise before the side of one of its teeth meets
    /// the point; none where the point is out of reach.
    fn play(&self, point: Point, facing: f64) -> Option<f64> {
        let away = point - self.centre;
        let after = self.halves.partition_point(|(radius, _)| *radius < away.hypot());
        let (low, high) = (self.halves.get(after.checked_sub(1)?)?, self.halves.get(after)?);
        let share = if high.0 > low.0 { (away.hypot() - low.0) / (high.0 - low.0) } else { 0.0 };
        let half = low.1 + share * (high.1 - low.1);
        // from the nearest tooth that has the point ahead of it
        let ahead = (away.atan2() - facing).rem_euclid(self.pitch);
        Some(ahead - half)
    }
}

/// What is seen while the first wheel is turned through a pitch.
#[derive(Debug)]
struct Seen {
    /// Places of contact, the second wheel turned counter-clockwise against the first.
    contacts: Vec<Point>,
    /// Both plays together, as arcs of the second's working pitch circle.
    plays: Vec<f64>,
    /// Mean number of teeth that touch.
    at_a_time: f64,
    /// From tips to the other's drawn roots, least.
    clearances: [f64; 2],
}

const PHASES: u32 = 90;

fn watch(first: &Toothing, second: &Toothing, mesh: &Mesh) -> Seen {
    let distance = mesh.centre_distance().mm();
    let turned = Turned::new(second, Point::new(distance, 0.0));
    let radius = 0.5 * mesh.working_pitch_diameters()[1].mm();
    let right = side(first);
    let pitch = first.angular_pitch().radians();
    let mut seen = Seen { contacts: Vec::new(), plays: Vec::new(), at_a_time: 0.0, clearances: [f64::INFINITY; 2] };
    for phase in 0..PHASES {
        let phi = f64::from(phase) / f64::from(PHASES) * pitch;
        // a space of the second faces a tooth of the first that stands on the line of centres
        let facing = PI + 0.5 * turned.pitch - phi * pitch.recip() * turned.pitch;
        let touch = |mirrored: f64| {
            let mut least = [(f64::INFINITY, Point::ORIGIN); 5];
            for (tooth, least) in (-2..=2).zip(&mut least) {
                let (sin, cos) = (phi + f64::from(tooth) * pitch).sin_cos();
                for point in &right {
                    // the tooth's middle, drawn along y, put along x
                    let (along, across) = (point.y, mirrored * point.x);
                    let put = Point::new(along * cos - across * sin, along * sin + across * cos);
                    // the other side of the play is the same seen in a mirror
                    let (put, facing) =
                        if mirrored > 0.0 { (put, facing) } else { (Point::new(put.x, -put.y), -facing) };
                    if let Some(play) = turned.play(put, facing).filter(|play| *play < 0.5 * turned.pitch)
                        && play < least.0
                    {
                        *least = (play, put);
                    }
                }
            }
            least
        };
        let (up, down) = (touch(-1.0), touch(1.0));
        let first_to_touch = |of: &[(f64, Point); 5]| *of.iter().min_by(|a, b| a.0.total_cmp(&b.0)).unwrap();
        let (least_up, least_down) = (first_to_touch(&up), first_to_touch(&down));
        seen.contacts.push(least_down.1);
        seen.plays.push((least_up.0 + least_down.0) * radius);
        // a tooth that would touch within a micrometre touches
        seen.at_a_time +=
            f64::from(down.iter().filter(|(play, _)| (play - least_down.0) * radius < 0.001).count() as u32);
    }
    seen.at_a_time /= f64::from(PHASES);
    let outermost = |of: &Toothing| side(of).iter().map(|p| p.to_vec2().hypot()).fold(0.0, f64::max);
    let innermost = |of: &Toothing| side(of).iter().map(|p| p.to_vec2().hypot()).fold(f64::INFINITY, f64::min);
    seen.clearances =
        [distance - outermost(second) - innermost(first), distance - outermost(first) - innermost(second)];
    seen
}

#[test]
fn drawn_wheels_touch_where_the_mesh_foretells() {
    for (alpha, z1, x1, z2, x2, apart) in [
        (20.0, 27, 0.0, 20, 0.0, 0.0),
        (20.0, 24, 0.3, 40, 0.1, 0.1),
        (14.5, 44, 0.0, 36, 0.0, 0.05),
        (25.0, 18, 0.0, 30, -0.1, 0.0),
    ] {
        let (first, second) = (wheel(alpha, z1, x1, 0.06), wheel(alpha, z2, x2, 0.04));
        let pair = Pair::new(first, second).unwrap();
        let mesh = pair.at(pair.centre_distance().unwrap() + Length::from_mm(apart)).unwrap();
        let seen = watch(&first, &second, &mesh);
        let what = format!("{z1}/{z2}, {alpha}°");
        for play in &seen.plays {
            assert!((play - mesh.circumferential_backlash().mm()).abs() < 0.0015, "{what}: {play}");
        }
        let path = mesh.contact_path().unwrap();
        let (sin, cos) = mesh.working_pressure_angle().radians().sin_cos();
        let start = 0.5 * first.base_diameter().mm() * Vec2::new(cos, -sin);
        let along: Vec<f64> = seen
            .contacts
            .iter()
            .map(|contact| {
                let from_start = contact.to_vec2() - start;
                let off = from_start.cross(Vec2::new(sin, cos));
                assert!(off.abs() < 0.06, "{what}: {contact:?} is {off} off the line of action");
                from_start.dot(Vec2::new(sin, cos))
            })
            .collect();
        let (least, most) = along.iter().fold((f64::INFINITY, 0.0_f64), |(a, b), at| (a.min(*at), b.max(*at)));
        assert!(least > path.from.mm() - 0.05 && most < path.to.mm() + 0.05, "{what}: {least} to {most}, {path:?}");
        // the ends are hit when they are just passed; within a step of the turning and what a micrometre hides
        assert!(
            (seen.at_a_time - mesh.contact_ratio()).abs() < 0.06,
            "{what}: {} {}",
            seen.at_a_time,
            mesh.contact_ratio()
        );
        for (seen, foretold) in seen.clearances.iter().zip(mesh.bottom_clearances()) {
            assert!((seen - foretold.mm()).abs() < 1e-3, "{what}: {seen} {foretold}");
        }
        // the outer point of single contact: a pitch on along the line, the next pair begins
        let pitch = first.base_pitch().mm();
        let on = |radius: Length| (radius.mm().powi(2) - (0.5 * first.base_diameter().mm()).powi(2)).sqrt();
        assert!(
            (on(mesh.outer_single_contact()[0]) - pitch - path.from.mm()).abs() < 1e-9 || mesh.contact_ratio() < 1.0
        );
        assert!((on(mesh.active_from()[0]) - path.from.mm()).abs() < 1e-9);
    }
}
