//! The part as a plate: a region of the plane and its thickness, checked to be a body that can be made.

use std::f64::consts::TAU;
use std::fmt;

use geometry::outline::{Outline, Region};
use kurbo::{Point, Rect, Vec2};
use quantity::Length;

use crate::ring::Ring;
use crate::spline::Nearness;

/// A part seen along its axis and carried through its thickness. The outer ring runs counter-clockwise, holes clockwise.
#[derive(Clone, Debug, PartialEq)]
pub struct Plate {
    pub outer: Ring,
    pub holes: Vec<Ring>,
    pub thickness: Length,
    /// How far a fitted spline may lie from the true curve.
    pub tolerance: Length,
    /// By how much the outer ring turns for each millimetre up, radians counter-clockwise: of helical teeth. It is drawn as it stands half
    /// way up.
    pub twist: f64,
}

/// How far a solid's splines may lie from the true curves unless another tolerance is asked for.
pub const TOLERANCE: Length = Length::from_micrometres(0.5);

/// Curves handed to [`Plate::new`] must be drawn this part of the tolerance fine; the rest is left to the splines.
pub const DRAWN_PART: f64 = 0.1;

/// Why there is no such body.
#[derive(Clone, Copy, Debug, Eq, PartialEq)]
pub enum Refused {
    NoThickness,
    NotClosed,
    CrossesItself,
    NoArea,
    HoleThroughEdge,
    HolesMeet,
    ChamferTooLarge,
    SetBackTooFar,
    KerfTooWide,
    HoleUnderTeeth,
    Leans,
    TooMuchTwist,
}

impl fmt::Display for Refused {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Refused::NoThickness => "The part has no thickness: give `thickness V` or `face width V`, larger than nothing.",
            Refused::NotClosed => {
                "The outline does not close: give the back of a sector as a feature of kind \"outline\", or mend its path."
            }
            Refused::CrossesItself => "The outline crosses the teeth or itself: check the ends of its path.",
            Refused::NoArea => "The outline encloses nothing: check its path.",
            Refused::HoleThroughEdge => {
                "A bore or hole breaks through the edge of the part: check its size, its place and the outline."
            }
            Refused::HolesMeet => {
                "Two holes run into each other, or one lies within another: check their sizes and places. Bores on one axis \
                 are not carried into files of the solid, for it is not known at which end the wider one lies."
            }
            Refused::SetBackTooFar => "The allowance leaves no part: ask for a smaller one.",
            Refused::KerfTooWide => "The cut is too wide for this part: nothing of it would be left.",
            Refused::HoleUnderTeeth => {
                "A hole reaches between the teeth, which lean over it: check its size and its place."
            }
            Refused::Leans => "The teeth are helical: a straight cut or chamfer would not follow them.",
            Refused::TooMuchTwist => "The teeth wind round more than once: that is a worm and is not written as a solid.",
            Refused::ChamferTooLarge => "The chamfer is larger than the edge it stands on: ask for a smaller one.",
        })
    }
}

impl std::error::Error for Refused {}

/// How finely holes are held against the edge and each other, mm.
const LOOKED: f64 = 0.002;
/// Less area than this is none, mm².
const NOTHING: f64 = 1e-6;

impl Plate {
    /// `region`: its curves drawn as finely as [`drawn`] says for the tolerance.
    pub fn new(region: &Region, thickness: Length, tolerance: Length) -> Result<Plate, Refused> {
        if !(thickness.mm().is_finite() && thickness.mm() > 0.0) {
            return Err(Refused::NoThickness);
        }
        let nearness = Nearness { tolerance: tolerance.mm(), drawn: drawn(tolerance).mm() };
        let ring = |outline: &Outline| Ring::fitted(outline, nearness).ok_or(Refused::NotClosed);
        let (outer, holes) = (ring(&region.outer)?, region.holes.iter().map(ring).collect::<Result<Vec<Ring>, _>>()?);
        let plate = Plate {
            outer: outer.turning(true),
            holes: holes.into_iter().map(|hole| hole.turning(false)).collect(),
            thickness,
            tolerance,
            twist: 0.0,
        };
        plate.check()?;
        Ok(plate)
    }

    /// The same with its outer ring leaning.
    pub fn twisted(self, twist: f64) -> Result<Plate, Refused> {
        let from_axis = |ring: &Ring| ring.flatten(LOOKED).into_iter().map(|point| point.to_vec2().hypot());
        let inside = from_axis(&self.outer).fold(f64::INFINITY, f64::min);
        if self.holes.iter().flat_map(from_axis).any(|out| out >= inside) {
            return Err(Refused::HoleUnderTeeth);
        }
        if (twist * self.thickness.mm()).abs() > TAU {
            return Err(Refused::TooMuchTwist);
        }
        Ok(Plate { twist, ..self })
    }

    /// Angles that the outer ring stands turned by on the lower face and on the upper one.
    pub(crate) fn turns(&self) -> [f64; 2] {
        let half = 0.5 * self.twist * self.thickness.mm();
        [-half, half]
    }

    /// As it is seen from above: the outer ring as it stands on the upper face.
    pub(crate) fn seen_from_above(&self) -> Plate {
        Plate { outer: self.outer.turned(self.turns()[1], Vec2::ZERO), ..self.clone() }
    }

    /// That the rings bound one body with its holes.
    pub(crate) fn check(&self) -> Result<(), Refused> {
        let outlines: Vec<Outline> = self.rings().map(|ring| Outline::polygon(&ring.flatten(LOOKED))).collect();
        if outlines.iter().any(Outline::crosses_itself) {
            return Err(Refused::CrossesItself);
        }
        if self.rings().any(|ring| ring.area().abs() < NOTHING) {
            return Err(Refused::NoArea);
        }
        let corners: Vec<Vec<Point>> = self.rings().map(|ring| ring.flatten(LOOKED)).collect();
        let boxes: Vec<Rect> = outlines.iter().map(|outline| outline.bounding_box().unwrap_or(Rect::ZERO)).collect();
        let any_in = |inner: usize, outer: usize| {
            corners[inner].iter().any(|point| boxes[outer].contains(*point) && outlines[outer].contains(*point))
        };
        for (hole, edge) in corners.iter().enumerate().skip(1) {
            if !edge.iter().all(|point| outlines[0].contains(*point)) || any_in(0, hole) {
                return Err(Refused::HoleThroughEdge);
            }
            if (1..hole).any(|other| any_in(hole, other) || any_in(other, hole)) {
                return Err(Refused::HolesMeet);
            }
        }
        Ok(())
    }

    /// The outer ring, then the holes.
    pub fn rings(&self) -> impl Iterator<Item = &Ring> {
        std::iter::once(&self.outer).chain(&self.holes)
    }

    /// Of one face, mm².
    pub fn area(&self) -> f64 {
        self.rings().map(Ring::area).sum()
    }

    /// Length of all edges of one face, mm.
    pub fn perimeter(&self) -> f64 {
        self.rings().map(Ring::length).sum()
    }

    /// mm³, of the plate with square edges.
    pub fn volume(&self) -> f64 {
        self.area() * self.thickness.mm()
    }
}

/// How finely the curves must be drawn that a plate of this tolerance is made from.
pub fn drawn(tolerance: Length) -> Length {
    tolerance * DRAWN_PART
}

/// Splines become arcs this near before they are set back, mm: far below what any printer or jet shows.
const ARCS: f64 = 0.001;

impl Plate {
    /// The plate with every edge set back into the metal: bores opened, flanks thinned, each by so much on its side, as seen along the
    /// axis.
    pub fn set_back(&self, by: Length) -> Result<Plate, Refused> {
        let set = |ring: &Ring| ring.of_arcs(ARCS).offset(by.mm());
        let largest = |rings: Vec<Ring>| rings.into_iter().max_by(|a, b| a.area().total_cmp(&b.area()));
        let outer = largest(set(&self.outer)).filter(|ring| ring.area() > NOTHING).ok_or(Refused::SetBackTooFar)?;
        let holes: Vec<Ring> = self.holes.iter().flat_map(set).filter(|ring| ring.area() < -NOTHING).collect();
        let plate = Plate { outer, holes, tolerance: self.tolerance + Length::from_mm(ARCS), ..*self };
        match plate.check() {
            Ok(()) => Ok(plate),
            Err(_) => Err(Refused::SetBackTooFar),
        }
    }
}
