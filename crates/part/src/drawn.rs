//! What a feature adds to the drawing of the part, in trade convention. Millimetres, the bore's centre the origin.

use geometry::outline::Outline;
use kurbo::Point;

use crate::shape::Shape;

#[derive(Clone, Debug, Default, PartialEq)]
pub struct Drawn {
    /// Outlines as convention draws them, where that is not the true outline: teeth by their tip circle (ISO 2203).
    pub shapes: Vec<Shape>,
    /// Long-dashed dotted: pitch circles, circles that holes stand on.
    pub centre_lines: Vec<Outline>,
    /// Continuous narrow: root circles.
    pub thin: Vec<Outline>,
    /// Centres that get a cross, with the radius it reaches over.
    pub centres: Vec<(Point, f64)>,
    pub dimensions: Vec<Dimensioned>,
    /// Bands between two radii that a section leaves without hatching: teeth (ISO 2203, 5.2).
    pub unhatched: Vec<(f64, f64)>,
    pub details: Vec<Detail>,
    /// Along the axis, for a part that is turned: it is drawn from the side.
    pub length: Option<f64>,
    /// Width and height are dimensioned: the outline is neither round nor toothed.
    pub overall: bool,
}

/// A dimension, said without how it is placed.
#[derive(Clone, Debug, PartialEq)]
pub enum Dimensioned {
    Diameter {
        centre: Point,
        radius: f64,
        says: Says,
    },
    /// A tapped hole, by its thread's name; the radius is the core's.
    Thread {
        centre: Point,
        radius: f64,
        says: Says,
    },
    /// Its leader touches the arc at this angle.
    Radius {
        at: f64,
        centre: Point,
        radius: f64,
        says: Says,
    },
    /// Straight from point to point.
    Between {
        from: Point,
        to: Point,
        says: Says,
    },
}

/// What a dimension says: the size and, below it, limits or a remark.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Says {
    pub size: String,
    pub below: String,
}

impl Says {
    pub fn new(size: impl Into<String>) -> Says {
        Says { size: size.into(), below: String::new() }
    }

    #[must_use]
    pub fn below(mut self, below: impl Into<String>) -> Says {
        self.below = below.into();
        self
    }
}

/// A part of the outline, true and enlarged.
#[derive(Clone, Debug, PartialEq)]
pub struct Detail {
    pub title: String,
    /// The true outline.
    pub outline: Outline,
    /// Whether the metal below an open outline is tinted.
    pub metal_below: bool,
    pub centre_lines: Vec<Outline>,
    pub thin: Vec<Outline>,
    pub dimensions: Vec<Dimensioned>,
}
