//! Virtual instruments, laid on what a design adds to the drawing.
//!
//! They see outlines and nothing else: no module, no pressure angle, no formula of the kind that was drawn. So a wrong
//! prediction cannot vouch for itself. Inside, plain `f64` millimetres and radians.

use std::f64::consts::{FRAC_PI_2, TAU};

use geometry::instrument::Specimen;
use geometry::outline::Outline;
use kurbo::Point;
use quantity::{Angle, Length};

use crate::shape::Shape;

/// What one reading takes, in the instrument's own terms.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Probe {
    /// Flat anvils across this many teeth.
    Span {
        teeth: u32,
    },
    /// Two pins in the spaces nearest to opposite.
    OverPins {
        pin: Length,
    },
    /// From the axis to the outside of a pin pressed into a space.
    CentreToPin {
        pin: Length,
    },
    /// Flat jaws across everything, rocked to the largest reading.
    AcrossJaws,
    /// Twice the largest distance of metal from the axis, or that distance.
    TipDiameter,
    TipRadius,
    /// Twice the distance from the axis to the bottom of a space, or that distance.
    RootDiameter,
    RootRadius,
    /// From the tips to the bottom of a space.
    WholeDepth,
    /// Straight from tip to tip, middle to middle.
    TipChord {
        pitches: u32,
    },
    /// A tooth caliper with its tongue on the tip, its jaws this far below.
    ThicknessAtDepth {
        depth: Length,
    },
    /// The angle of the tooth sides in a print, taken by rolling the teeth along a strip of clay or paper on the circle of
    /// this radius.
    RolledPrint {
        rolling_radius: Length,
    },
    /// A plug in the hole about the axis.
    Bore,
    /// A plug in a hole beside the axis.
    Hole,
    /// From the axis to the middle of a hole.
    HoleFromAxis,
    /// Between the middles of neighbouring holes.
    HolePitch,
    /// The bearing of the hole nearest to this one, anticlockwise from the top.
    HoleBearing {
        near: Angle,
    },
    /// A gauge block between the sides of a keyway at the top of a bore.
    KeywayWidth,
    /// From the far side of the bore to the bottom of its keyway.
    AcrossBoreAndKeyway,
}

/// Arcs are seen as chords within this. Far below what is asked of any reading.
const SEEN: f64 = 1e-6;

impl Probe {
    /// What the instrument shows, in millimetres or radians; none where these shapes have nothing for it to touch.
    pub fn measure(self, shapes: &[Shape]) -> Option<f64> {
        match self {
            Probe::Span { teeth } => span(&teeth_of(shapes)?, teeth as usize),
            Probe::OverPins { pin } => {
                let piece = teeth_of(shapes)?;
                piece.over_pins(0, piece.teeth_present() / 2, pin.mm())
            }
            Probe::CentreToPin { pin } => {
                let pin = teeth_of(shapes)?.seat_pin(0, pin.mm())?;
                Some(pin.centre.to_vec2().hypot() + pin.diameter / 2.0)
            }
            Probe::AcrossJaws => Some(teeth_of(shapes)?.across_jaws()),
            Probe::TipDiameter => Some(2.0 * teeth_of(shapes)?.greatest_radius()),
            Probe::TipRadius => Some(teeth_of(shapes)?.greatest_radius()),
            Probe::RootDiameter => Some(2.0 * teeth_of(shapes)?.least_radius()),
            Probe::RootRadius => Some(teeth_of(shapes)?.least_radius()),
            Probe::WholeDepth => {
                let piece = teeth_of(shapes)?;
                Some(piece.greatest_radius() - piece.least_radius())
            }
            Probe::TipChord { pitches } => teeth_of(shapes)?.tip_chord(0, pitches as usize),
            Probe::ThicknessAtDepth { depth } => teeth_of(shapes)?.thickness_at_depth(0, depth.mm()),
            Probe::RolledPrint { rolling_radius } => rolled_print(outer(shapes)?, rolling_radius.mm()),
            Probe::Bore => {
                let bore = holes(shapes).find(|hole| hole.contains(Point::ZERO))?;
                Some(2.0 * nearest_wall(bore, Point::ZERO))
            }
            Probe::Hole => {
                let hole = holes(shapes).next()?;
                Some(2.0 * nearest_wall(hole, middle(hole)?))
            }
            Probe::HoleFromAxis => middle(holes(shapes).next()?).map(|middle| middle.to_vec2().hypot()),
            Probe::HolePitch => {
                let middles: Vec<Point> = holes(shapes).filter_map(middle).collect();
                let apart = middles.windows(2).map(|pair| pair[0].distance(pair[1]));
                apart.min_by(f64::total_cmp)
            }
            Probe::HoleBearing { near } => {
                let bearings = holes(shapes).filter_map(middle).map(bearing);
                let off = bearings.map(|bearing| turn_between(near.radians(), bearing));
                off.min_by(|a, b| a.abs().total_cmp(&b.abs())).map(|off| near.radians() + off)
            }
            Probe::KeywayWidth => {
                let bore = holes(shapes).find(|hole| hole.contains(Point::ZERO))?;
                let (top, radius) = (bore.bounding_box()?.y1, nearest_wall(bore, Point::ZERO));
                let points = bore.flatten(SEEN);
                let (right, left) = width_at(&points, 0.5 * (top + radius))?;
                Some(right - left)
            }
            Probe::AcrossBoreAndKeyway => {
                let bore = holes(shapes).find(|hole| hole.contains(Point::ZERO))?;
                bore.bounding_box().map(|extent| extent.height())
            }
        }
    }

    /// By how many times the chords' distance from a curve the reading can be off, where the curve was drawn by chords.
    ///
    /// Chords lie within the metal of convex flanks. Anvils and jaws touch corners of the chain, at most one distance
    /// short on each side. A pin sinks by the distance over the sine of the flank's slope to the space's middle, at least
    /// sin 14.5° = 1/4; two pins twice. A print is slanted by the distance on each side over the part of the tooth's height
    /// that is looked at, here per millimetre of it. The rest is given by arcs and lines, which are drawn exactly.
    pub fn lever(self) -> f64 {
        match self {
            Probe::Span { .. } | Probe::ThicknessAtDepth { .. } => 2.0,
            Probe::CentreToPin { .. } => 4.0,
            Probe::OverPins { .. } => 8.0,
            Probe::RolledPrint { .. } => 2.0,
            Probe::AcrossJaws
            | Probe::TipDiameter
            | Probe::TipRadius
            | Probe::RootDiameter
            | Probe::RootRadius
            | Probe::WholeDepth
            | Probe::TipChord { .. }
            | Probe::Bore
            | Probe::Hole
            | Probe::HoleFromAxis
            | Probe::HolePitch
            | Probe::HoleBearing { .. }
            | Probe::KeywayWidth
            | Probe::AcrossBoreAndKeyway => 0.0,
        }
    }
}

/// Anvils are fed in until the reading stands still: too far out they ride on the tips, too deep on the roots.
fn span(piece: &Specimen, teeth: usize) -> Option<f64> {
    const STEPS: u32 = 60;
    let height = piece.greatest_radius() - piece.least_radius();
    let mut longest = (1, None);
    let mut run = (0, f64::NAN);
    for step in 1..=STEPS {
        let depth = height * f64::from(step) / f64::from(STEPS);
        let reading = piece.span(0, teeth, depth, 0.0)?.length;
        run = if (reading - run.1).abs() < SEEN { (run.0 + 1, run.1) } else { (1, reading) };
        if run.0 > longest.0 {
            longest = (run.0, Some(run.1));
        }
    }
    longest.1
}

fn outer(shapes: &[Shape]) -> Option<&Outline> {
    shapes.iter().find_map(|shape| match shape {
        Shape::Boundary(outline) | Shape::Piece(outline) => Some(outline),
        Shape::Hole(_) => None,
    })
}

fn holes(shapes: &[Shape]) -> impl Iterator<Item = &Outline> {
    shapes.iter().filter_map(|shape| match shape {
        Shape::Hole(outline) => Some(outline),
        Shape::Boundary(_) | Shape::Piece(_) => None,
    })
}

fn teeth_of(shapes: &[Shape]) -> Option<Specimen> {
    Specimen::new(outer(shapes)?, SEEN)
}

/// The middle of the box about a hole.
fn middle(hole: &Outline) -> Option<Point> {
    hole.bounding_box().map(|extent| extent.center())
}

/// Anticlockwise from the top.
fn bearing(point: Point) -> f64 {
    point.to_vec2().atan2() - FRAC_PI_2
}

/// From one bearing to another by the shorter way.
fn turn_between(from: f64, to: f64) -> f64 {
    (to - from + TAU / 2.0).rem_euclid(TAU) - TAU / 2.0
}

/// How large a circle about a point grows before it touches.
fn nearest_wall(outline: &Outline, from: Point) -> f64 {
    let points = outline.flatten(SEEN);
    let distance = |pair: &[Point]| {
        let along = pair[1] - pair[0];
        let square = along.hypot2();
        let part = if square > 0.0 { ((from - pair[0]).dot(along) / square).clamp(0.0, 1.0) } else { 0.0 };
        (pair[0] + part * along).distance(from)
    };
    points.windows(2).map(distance).fold(f64::INFINITY, f64::min)
}

/// Where a chain of points crosses a height, furthest to the right and to the left.
fn width_at(points: &[Point], height: f64) -> Option<(f64, f64)> {
    let crossings = points.windows(2).filter(|pair| (pair[0].y >= height) != (pair[1].y >= height)).map(|pair| {
        let part = (height - pair[0].y) / (pair[1].y - pair[0].y);
        pair[0].x + part * (pair[1].x - pair[0].x)
    });
    let (right, left) = crossings
        .fold((f64::NEG_INFINITY, f64::INFINITY), |(right, left), x: f64| (f64::max(right, x), f64::min(left, x)));
    (right > left).then_some((right, left))
}

/// Poses in which the rolling tooth is looked at, and how far to either side it rolls, in tooth heights: a flank leaves the
/// print within h/(sin α cos α), four heights for the flattest.
const POSES: u32 = 1500;
const ROLLS: f64 = 2.5;

/// One tooth rolled without slip along a straight line clears a slot; half the angle between the slot's sides.
fn rolled_print(teeth: &Outline, rolling_radius: f64) -> Option<f64> {
    let tooth = tooth_at_top(teeth)?;
    let tip = tooth.iter().map(|point| point.to_vec2().hypot()).fold(0.0, f64::max);
    let height = tip - rolling_radius;
    if height <= 0.0 {
        return None;
    }
    let heights = [0.2, 0.8].map(|part| rolling_radius + part * height);
    let reach = ROLLS * 2.0 * height / rolling_radius;
    let mut slot = [(f64::NEG_INFINITY, f64::INFINITY); 2];
    for pose in 0..=POSES {
        let turned = reach * (2.0 * f64::from(pose) / f64::from(POSES) - 1.0);
        let (sin, cos) = turned.sin_cos();
        let rolled: Vec<Point> = tooth
            .iter()
            .map(|p| Point::new(p.x * cos - p.y * sin + rolling_radius * turned, p.x * sin + p.y * cos))
            .collect();
        for (slot, height) in slot.iter_mut().zip(heights) {
            if let Some((right, left)) = width_at(&rolled, height) {
                *slot = (slot.0.max(right), slot.1.min(left));
            }
        }
    }
    let width = slot.map(|(right, left)| right - left);
    let angle = ((width[0] - width[1]) / 2.0 / (heights[1] - heights[0])).atan();
    angle.is_finite().then_some(angle)
}

/// The tooth whose tip stands nearest to the top, from the bottom of one space to that of the next, turned upright.
fn tooth_at_top(teeth: &Outline) -> Option<Vec<Point>> {
    let mut points = teeth.flatten(SEEN);
    let radius = |point: &Point| point.to_vec2().hypot();
    let tip = points.iter().map(radius).fold(0.0, f64::max);
    if teeth.is_closed() {
        // begin at the bottom, so that the tooth at the top is not cut in two
        points.pop();
        let lowest = (0..points.len()).min_by(|a, b| points[*a].y.total_cmp(&points[*b].y))?;
        points.rotate_left(lowest);
    }
    let on_tip = |point: &Point| radius(point) > tip * (1.0 - 1e-9);
    let top = (0..points.len())
        .filter(|index| on_tip(&points[*index]))
        .min_by(|a, b| bearing(points[*a]).abs().total_cmp(&bearing(points[*b]).abs()))?;
    let downhill = |from: &Point, to: &Point| radius(to) <= radius(from) + 1e-9;
    let behind = points[top..].windows(2).take_while(|pair| downhill(&pair[0], &pair[1])).count();
    let before = points[..=top].windows(2).rev().take_while(|pair| downhill(&pair[1], &pair[0])).count();
    let tooth = &points[top - before..=top + behind];
    let land: Vec<f64> = tooth.iter().filter(|point| on_tip(point)).map(|point| bearing(*point)).collect();
    let upright = -(land.first()? + land.last()?) / 2.0;
    let (sin, cos) = upright.sin_cos();
    Some(tooth.iter().map(|p| Point::new(p.x * cos - p.y * sin, p.x * sin + p.y * cos)).collect())
}
