//! The tooth profile as a rolling rack generates it: root land, fillet, involute, tip land.
//!
//! Plain `f64` millimetres and radians.
//!
//! The rack's tooth (the tool's) is drawn with ξ along its pitch line and η square to it, away from the gear's axis; the middle
//! of the tooth is ξ = 0 and its pitch line, η = 0, rolls on the pitch circle. Where the pitch point stands at (p, 0) the tool
//! touches the gear in those of its points whose normal passes through the pitch point (the law of gearing). Straight flank
//! and rounded corner are both run through by that condition, so that nothing here uses a formula of the involute except
//! to find where an undercut ends.

use std::f64::consts::{FRAC_PI_2, PI};

use kurbo::Point;
use quantity::Length;

use crate::involute::inv;
use crate::outline::{Outline, Segment};
use crate::solve::bisect;
use crate::toothing::{Section, Toothing, ToothingError};

/// A drawing tolerance finer than this is taken as this: doubles hold no more of a wheel a few metres across.
const FINEST: f64 = 1e-10;

/// Fillet points tried when looking whether undercut severs the tooth; its waist is smooth, so few are enough.
const WAIST_SAMPLES: u32 = 64;

/// The rack as a tool laid against one gear.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Cutter {
    alpha: f64,
    pitch_radius: f64,
    half_pitch_angle: f64,
    /// Half the tool's tooth thickness on its pitch line.
    half_width: f64,
    /// Corner rounding and its middle.
    rounding: f64,
    corner: Point,
}

impl Cutter {
    /// `thickness`: of the gear tooth on the pitch circle, thinning and shift counted; the tool's tooth fills the rest of the pitch.
    pub(crate) fn new(section: &Section, teeth: u32, thickness: f64) -> Result<Cutter, ToothingError> {
        let Section { module, alpha, depth, rounding } = *section;
        let half_width = 0.5 * (PI * module - thickness);
        let half_tip = half_width - depth * alpha.tan();
        if half_tip < 0.0 {
            return Err(ToothingError::RackPointed);
        }
        let full_round = half_tip * alpha.cos() / (1.0 - alpha.sin());
        let rounding = rounding.min(full_round);
        let corner_xi = (half_tip - rounding * (1.0 - alpha.sin()) / alpha.cos()).max(0.0);
        Ok(Cutter {
            alpha,
            pitch_radius: 0.5 * module * f64::from(teeth),
            half_pitch_angle: PI / f64::from(teeth),
            half_width,
            rounding,
            corner: Point::new(corner_xi, rounding - depth),
        })
    }

    pub(crate) fn tip_rounding(&self) -> f64 {
        self.rounding
    }

    /// η of the lower end of the straight flank.
    fn flank_end(&self) -> f64 {
        self.corner.y - self.rounding * self.alpha.sin()
    }

    /// The straight flank reaches beyond the point where the line of action touches the base circle.
    pub(crate) fn undercuts(&self) -> bool {
        self.flank_end() < -self.pitch_radius * self.alpha.sin().powi(2)
    }

    /// The fillet's parameter where it meets the involute: its own end, or, with undercut, the crossing.
    ///
    /// The parameter is the direction of the corner's normal, from 0 (root land) to 90° − α (straight flank).
    pub(crate) fn fillet_end(&self, base_half_angle: f64) -> Result<f64, ToothingError> {
        let end = FRAC_PI_2 - self.alpha;
        if !self.undercuts() {
            return Ok(end);
        }
        let base_radius = self.pitch_radius * self.alpha.cos();
        // Along the fillet the radius only grows, so the base circle is passed once.
        let from = bisect(0.0, end, |theta| self.fillet_radius_at(theta) - base_radius).unwrap_or(0.0);
        // Angle of material left by the fillet beyond what the involute leaves: negative inside the undercut.
        let excess = |theta: f64| {
            let point = self.fillet(theta);
            let involute = inv((base_radius / point.to_vec2().hypot()).min(1.0).acos());
            point.x.atan2(point.y) - (base_half_angle - involute)
        };
        let joint = bisect(from, end, excess).unwrap_or(end);
        let waist = (0..=WAIST_SAMPLES).map(|i| self.fillet(joint * f64::from(i) / f64::from(WAIST_SAMPLES)).x);
        if waist.fold(f64::INFINITY, f64::min) <= 0.0 {
            return Err(ToothingError::Severed);
        }
        Ok(joint)
    }

    pub(crate) fn fillet_radius_at(&self, theta: f64) -> f64 {
        self.fillet(theta).to_vec2().hypot()
    }

    /// Point of the fillet, the tooth's middle on the y axis, right-hand flank (x > 0).
    fn fillet(&self, theta: f64) -> Point {
        let (sin, cos) = theta.sin_cos();
        let contact = Point::new(self.corner.x + self.rounding * sin, self.corner.y - self.rounding * cos);
        self.to_gear(contact, self.corner.x + self.corner.y * theta.tan())
    }

    /// Point of the flank that the tool's flank point at height η generates; placed as in [`Cutter::fillet`].
    fn flank(&self, eta: f64) -> Point {
        let xi = self.half_width + eta * self.alpha.tan();
        self.to_gear(Point::new(xi, eta), xi + eta / self.alpha.tan())
    }

    /// η of the tool's flank point that generates the gear's flank at a radius.
    fn flank_height(&self, radius: f64) -> f64 {
        let sin = self.alpha.sin();
        let base_radius = self.pitch_radius * self.alpha.cos();
        let tangent = (radius * radius - base_radius * base_radius).max(0.0).sqrt();
        sin * (tangent - self.pitch_radius * sin)
    }

    /// Half the angle of the root land: where the tool's flat tip has rolled off.
    fn root_half_angle(&self) -> f64 {
        self.corner.x / self.pitch_radius
    }

    /// A tool point, in the instant when the pitch point stands at `pitch_point` on the tool's pitch line, as a point of the
    /// gear. The tool's right-hand corner cuts the left-hand flank of the tooth to its right; mirrored it is a right-hand flank.
    fn to_gear(self, tool: Point, pitch_point: f64) -> Point {
        let (x, y) = (tool.x - pitch_point, tool.y + self.pitch_radius);
        let (sin, cos) = (self.half_pitch_angle - pitch_point / self.pitch_radius).sin_cos();
        Point::new(-(x * cos - y * sin), x * sin + y * cos)
    }
}

/// One generated tooth, as curves to be run through by a parameter from 0 to 1. Its middle is on the y axis.
#[derive(Clone, Copy, Debug)]
pub struct ToothProfile {
    cutter: Cutter,
    fillet_end: f64,
    flank: (f64, f64),
    tip_half_angle: f64,
    root_radius: f64,
    tip_radius: f64,
}

impl ToothProfile {
    pub fn new(toothing: &Toothing) -> ToothProfile {
        let cutter = *toothing.cutter();
        let (form, tip) = toothing.flank_radii();
        // `Toothing::new` has found this end once already and refused the toothings without one.
        let fillet_end = cutter.fillet_end(toothing.base_half_angle()).unwrap_or(FRAC_PI_2 - cutter.alpha);
        let flank = (cutter.flank_height(form), cutter.flank_height(tip));
        let corner = cutter.flank(flank.1);
        ToothProfile {
            cutter,
            fillet_end,
            flank,
            tip_half_angle: corner.x.atan2(corner.y),
            root_radius: toothing.root_radius_mm(),
            tip_radius: tip,
        }
    }

    /// The right-hand root fillet, from the root circle (0) to the flank (1).
    pub fn fillet(&self, t: f64) -> Point {
        self.cutter.fillet(t * self.fillet_end)
    }

    /// The right-hand involute flank, from the fillet (0) to the tip circle (1).
    pub fn flank(&self, t: f64) -> Point {
        self.cutter.flank(self.flank.0 + t * (self.flank.1 - self.flank.0))
    }

    /// The tooth from the middle of the space on its right, over the tip, to the middle of the space on its left;
    /// counter-clockwise round the axis. Curves are chords no further than `tolerance` from the true curve.
    fn segments(&self, tolerance: f64, right: SectorEnd, left: SectorEnd) -> Vec<Segment> {
        let fillet = sample(|t| self.fillet(t), tolerance);
        let mut flank = sample(|t| self.flank(t), tolerance);
        if let (Some(first), Some(joint)) = (flank.first_mut(), fillet.last()) {
            *first = *joint;
        }
        let mirrored = |points: &[Point]| Segment::Curve(points.iter().rev().map(|p| Point::new(-p.x, p.y)).collect());
        let root =
            |start: f64, sweep: f64| Segment::Arc { centre: Point::ORIGIN, radius: self.root_radius, start, sweep };
        let land = self.cutter.root_half_angle();
        let space = self.cutter.half_pitch_angle;
        let mut segments = Vec::with_capacity(7);
        if right == SectorEnd::MiddleOfSpace && land > 0.0 {
            segments.push(root(FRAC_PI_2 - space, land));
        }
        segments.push(Segment::Curve(fillet.clone()));
        segments.push(Segment::Curve(flank.clone()));
        segments.push(Segment::Arc {
            centre: Point::ORIGIN,
            radius: self.tip_radius,
            start: FRAC_PI_2 - self.tip_half_angle,
            sweep: 2.0 * self.tip_half_angle,
        });
        segments.push(mirrored(&flank));
        segments.push(mirrored(&fillet));
        if left == SectorEnd::MiddleOfSpace && land > 0.0 {
            segments.push(root(FRAC_PI_2 + space - land, land));
        }
        segments
    }
}

/// Where the outline of a sector stops, beyond its outermost teeth.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SectorEnd {
    /// On the root circle, half a pitch from the tooth's middle.
    MiddleOfSpace,
    /// On the root circle, where the tooth's fillet begins.
    FootOfTooth,
}

/// The whole toothed rim, closed, counter-clockwise round the origin; a tooth stands on the y axis.
///
/// `tolerance`: how far a drawn chord may lie from the true curve. Tip and root lands are true arcs.
pub fn rim(toothing: &Toothing, tolerance: Length) -> Outline {
    run_of_teeth(toothing, toothing.teeth(), 0.0, tolerance, [SectorEnd::MiddleOfSpace; 2])
}

/// A run of `teeth` teeth (at most the whole count), open, counter-clockwise round the origin, its middle on the y axis.
pub fn sector(toothing: &Toothing, teeth: u32, tolerance: Length, ends: SectorEnd) -> Outline {
    let teeth = teeth.min(toothing.teeth());
    let first = -0.5 * (f64::from(teeth) - 1.0) * toothing.angular_pitch().radians();
    run_of_teeth(toothing, teeth, first, tolerance, [ends; 2])
}

fn run_of_teeth(toothing: &Toothing, teeth: u32, first: f64, tolerance: Length, ends: [SectorEnd; 2]) -> Outline {
    let profile = ToothProfile::new(toothing);
    let tolerance = tolerance.mm().max(FINEST);
    let pitch = toothing.angular_pitch().radians();
    let mut segments = Vec::new();
    for tooth in 0..teeth {
        let right = if tooth == 0 { ends[0] } else { SectorEnd::MiddleOfSpace };
        let left = if tooth + 1 == teeth { ends[1] } else { SectorEnd::MiddleOfSpace };
        let angle = first + f64::from(tooth) * pitch;
        segments.extend(profile.segments(tolerance, right, left).iter().map(|segment| segment.rotated(angle)));
    }
    Outline::new(segments)
}

/// Points of a curve over 0 ..= 1 whose chords keep within `tolerance` of it.
///
/// Halves each piece until the curve at its quarters lies within the tolerance of the chord. Smooth curves of one bend, as all
/// here are, cannot hide between the quarters.
fn sample(curve: impl Fn(f64) -> Point, tolerance: f64) -> Vec<Point> {
    /// 2^20 pieces: far below the finest tolerance for any flank; only a guard.
    const DEEPEST: u32 = 20;
    fn divide(
        curve: &impl Fn(f64) -> Point,
        ends: [(f64, Point); 2],
        tolerance: f64,
        depth: u32,
        into: &mut Vec<Point>,
    ) {
        let [(t0, p0), (t1, p1)] = ends;
        let at = |part: f64| t0 + part * (t1 - t0);
        let middle = curve(at(0.5));
        // The sagitta between samples can exceed that at the samples by a ninth at most (quarters of a parabola); take an eighth.
        let close = [curve(at(0.25)), middle, curve(at(0.75))]
            .iter()
            .all(|p| distance_to_line(*p, p0, p1) <= tolerance / 1.125);
        if close || depth == DEEPEST {
            into.push(p1);
            return;
        }
        divide(curve, [(t0, p0), (at(0.5), middle)], tolerance, depth + 1, into);
        divide(curve, [(at(0.5), middle), (t1, p1)], tolerance, depth + 1, into);
    }
    let start = curve(0.0);
    let mut points = vec![start];
    divide(&curve, [(0.0, start), (1.0, curve(1.0))], tolerance, 0, &mut points);
    points
}

fn distance_to_line(point: Point, from: Point, to: Point) -> f64 {
    let along = to - from;
    let length = along.hypot();
    if length == 0.0 { (point - from).hypot() } else { (along.cross(point - from) / length).abs() }
}
