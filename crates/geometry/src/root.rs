//! The foot of a tooth as it is drawn: where it is weakest.
//!
//! Found on the generated fillet itself, point by point; the closed formulas of the strength standards play no part in it.

use kurbo::Point;
use quantity::{Angle, Length};

use crate::generate::ToothProfile;
use crate::solve::bisect;

/// A section across the tooth from fillet to fillet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RootSection {
    /// From fillet to fillet, square to the tooth's middle.
    pub thickness: Length,
    /// From the axis of the wheel, along the tooth's middle.
    pub height: Length,
    /// Of curvature of the fillet there.
    pub fillet_radius: Length,
}

/// Steps of the fillet's parameter by which its direction and its curvature are taken: the one exact to 1e-9, the other to 1e-6 of
/// themselves on a fillet whose radius does not change within a thousandth of its length. Much smaller ones drown in rounding.
const DIRECTION_STEP: f64 = 1e-5;
const CURVATURE_STEP: f64 = 1e-3;

/// Places on the fillet that are looked at before the weakest one is closed in on.
const PLACES: u32 = 48;

impl ToothProfile {
    /// The section where a line that leans by `angle` to the tooth's middle touches the fillet; at the fillet's upper end where it
    /// leans more than that all along.
    pub fn section_at_tangent(&self, angle: Angle) -> RootSection {
        let lean = |t: f64| self.lean(t) - angle.radians();
        self.section(bisect(0.0, 1.0, lean).unwrap_or(1.0))
    }

    /// The section at which a bar of uniform strength, a parabola with its apex on the tooth's middle at `apex` from the axis,
    /// touches the fillet from within: of all sections the one with the least t²/h.
    pub fn section_of_parabola(&self, apex: Length) -> RootSection {
        let strength = |t: f64| {
            let point = self.fillet(t);
            let arm = apex.mm() - point.y;
            if arm > 0.0 { point.x * point.x / arm } else { f64::INFINITY }
        };
        let at = |place: u32| f64::from(place) / f64::from(PLACES);
        let weakest = (0..=PLACES).min_by(|a, b| strength(at(*a)).total_cmp(&strength(at(*b)))).unwrap_or(0);
        let (mut low, mut high) = (at(weakest.saturating_sub(1)), at((weakest + 1).min(PLACES)));
        // The strength has one least place between the neighbours; each round keeps two thirds.
        while high - low > 1e-9 {
            let third = (high - low) / 3.0;
            if strength(low + third) < strength(high - third) {
                high -= third;
            } else {
                low += third;
            }
        }
        self.section(0.5 * (low + high))
    }

    fn section(&self, t: f64) -> RootSection {
        let point = self.fillet(t);
        RootSection {
            thickness: Length::from_mm(2.0 * point.x),
            height: Length::from_mm(point.y),
            fillet_radius: Length::from_mm(self.curvature_radius(t)),
        }
    }

    /// How far the fillet leans to the tooth's middle, from a right angle at the root to a little on the flank; negative inside
    /// an undercut.
    fn lean(&self, t: f64) -> f64 {
        let (from, to) = ((t - DIRECTION_STEP).max(0.0), (t + DIRECTION_STEP).min(1.0));
        let along = self.fillet(to) - self.fillet(from);
        (-along.x).atan2(along.y)
    }

    /// Radius of the circle through three neighbouring points of the fillet.
    fn curvature_radius(&self, t: f64) -> f64 {
        let middle = t.clamp(CURVATURE_STEP, 1.0 - CURVATURE_STEP);
        let [a, b, c] = [-1.0, 0.0, 1.0].map(|side| self.fillet(middle + side * CURVATURE_STEP));
        circumradius(a, b, c)
    }
}

/// R = abc/(4 area).
fn circumradius(a: Point, b: Point, c: Point) -> f64 {
    let twice_area = (b - a).cross(c - a).abs();
    a.distance(b) * b.distance(c) * c.distance(a) / (2.0 * twice_area)
}
