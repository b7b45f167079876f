//! Instruments laid on a drawn outline of external teeth.
//!
//! Plain `f64` millimetres and radians. They see points joined by straight lines, know neither module nor pressure angle, and
//! share no formula with [`crate::toothing`]. Accuracy: what the drawing's chords leave, that is its tolerance.

use std::f64::consts::TAU;

use kurbo::{Point, Vec2};

use crate::outline::Outline;

/// Points within this part of the largest radius count as standing on the tip circle.
const ON_TIP: f64 = 1e-9;

/// Golden-section steps: 0.618^80 of a pitch is below the last double.
const PRESSES: usize = 80;

/// A piece laid on the bench: its axis is the origin, its teeth are counted counter-clockwise from 0.
#[derive(Clone, Debug)]
pub struct Specimen {
    points: Vec<Point>,
    tips: Vec<Tip>,
    closed: bool,
}

/// The first and last point of a tip land.
#[derive(Clone, Copy, Debug)]
struct Tip {
    first: usize,
    last: usize,
}

/// A pin pressed into a space until it can go no further.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SeatedPin {
    pub centre: Point,
    pub diameter: f64,
    /// Clearance left to the flank on the right and on the left, looking outwards.
    pub clearance: [f64; 2],
    /// Where it comes nearest to them.
    pub contact: [Point; 2],
}

/// Flat anvils across a run of teeth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SpanReading {
    pub length: f64,
    /// The radii at which the right-hand and the left-hand anvil touch.
    pub contact_radius: [f64; 2],
}

impl Specimen {
    /// `None` if no tooth tip is found. `tolerance`: of the chords that stand for arcs.
    pub fn new(outline: &Outline, tolerance: f64) -> Option<Specimen> {
        let mut points = outline.flatten(tolerance);
        let closed = outline.is_closed();
        if closed {
            // Begin at the deepest point, so that no tip land is cut in two.
            points.pop();
            let deepest = (0..points.len()).min_by(|a, b| radius(points[*a]).total_cmp(&radius(points[*b])))?;
            points.rotate_left(deepest);
            points.push(points[0]);
        }
        if outline.area() < 0.0 {
            points.reverse();
        }
        let tip_radius = points.iter().copied().map(radius).fold(0.0, f64::max);
        let on_tip = |i: &usize| radius(points[*i]) > tip_radius * (1.0 - ON_TIP);
        let mut tips: Vec<Tip> = Vec::new();
        for i in (0..points.len()).filter(on_tip) {
            match tips.last_mut() {
                Some(tip) if tip.last + 1 == i => tip.last = i,
                _ => tips.push(Tip { first: i, last: i }),
            }
        }
        (!tips.is_empty()).then_some(Specimen { points, tips, closed })
    }

    pub fn teeth_present(&self) -> usize {
        self.tips.len()
    }

    /// The largest distance of a point from the axis.
    pub fn greatest_radius(&self) -> f64 {
        self.points.iter().copied().map(radius).fold(0.0, f64::max)
    }

    /// The smallest distance of a drawn point from the axis.
    pub fn least_radius(&self) -> f64 {
        self.points.iter().copied().map(radius).fold(f64::INFINITY, f64::min)
    }

    /// Flat caliper jaws laid across everything and rocked to the largest reading: the greatest distance of two points.
    pub fn across_jaws(&self) -> f64 {
        let hull = convex_hull(&self.points);
        let farthest = |a: &Point| hull.iter().map(|b| (*b - *a).hypot()).fold(0.0, f64::max);
        hull.iter().map(farthest).fold(0.0, f64::max)
    }

    /// From the middle of one tip to the middle of the tip `pitches` further on.
    pub fn tip_chord(&self, tooth: usize, pitches: usize) -> Option<f64> {
        let middle = |tooth: usize| Some(self.greatest_radius() * Vec2::from_angle(self.tip_angle(tooth)?));
        Some((middle(tooth)? - middle(tooth + pitches)?).hypot())
    }

    /// A pin pressed towards the axis into the space behind `tooth` (between it and the next), free to settle sideways.
    pub fn seat_pin(&self, tooth: usize, diameter: f64) -> Option<SeatedPin> {
        let walls = self.space(tooth)?;
        let right = self.tip_angle(tooth)?;
        let left = right + (self.tip_angle(tooth + 1)? - right).rem_euclid(TAU);
        let reach = |angle: f64| lowest_centre(&walls, Vec2::from_angle(angle), 0.5 * diameter);
        let angle = least_at(right, left, &reach);
        let centre = (reach(angle) * Vec2::from_angle(angle)).to_point();
        let deepest = (0..walls.len()).min_by(|a, b| radius(walls[*a]).total_cmp(&radius(walls[*b])))?;
        let touch = |wall: &[Point]| nearest_on(wall, centre);
        let contact = [touch(&walls[..=deepest])?, touch(&walls[deepest..])?];
        let clearance = contact.map(|point| (point - centre).hypot() - 0.5 * diameter);
        Some(SeatedPin { centre, diameter, clearance, contact })
    }

    /// Over a pin behind `tooth` and one behind the tooth `apart` further on, with flat anvils rocked to the largest reading.
    pub fn over_pins(&self, tooth: usize, apart: usize, diameter: f64) -> Option<f64> {
        let (a, b) = (self.seat_pin(tooth, diameter)?, self.seat_pin(tooth + apart, diameter)?);
        Some((b.centre - a.centre).hypot() + diameter)
    }

    /// Flat parallel anvils across `k` teeth from `tooth` on, reaching `depth` below the tips, held square to the middle of
    /// the run and then turned by `rock`.
    pub fn span(&self, tooth: usize, k: usize, depth: f64, rock: f64) -> Option<SpanReading> {
        let last = tooth + k.checked_sub(1)?;
        let from = self.tip_angle(tooth)?;
        let across = (self.tip_angle(last)? - from).rem_euclid(TAU);
        let outward = Vec2::from_angle(from + 0.5 * across + TAU / 4.0 + rock);
        let floor = self.greatest_radius() - depth;
        let support = |wall: Vec<Point>, direction: Vec2| {
            let reached = wall.into_iter().take_while(|point| radius(*point) >= floor);
            reached.map(|point| (direction.dot(point.to_vec2()), radius(point))).max_by(|a, b| a.0.total_cmp(&b.0))
        };
        let right = support(self.flank(tooth, Side::Right)?, -outward)?;
        let left = support(self.flank(last, Side::Left)?, outward)?;
        Some(SpanReading { length: right.0 + left.0, contact_radius: [right.1, left.1] })
    }

    /// A gear-tooth caliper: tongue on the tip, jaws `depth` below it, square to the tooth.
    pub fn thickness_at_depth(&self, tooth: usize, depth: f64) -> Option<f64> {
        let up = Vec2::from_angle(self.tip_angle(tooth)?);
        let level = self.greatest_radius() - depth;
        let [right, left] = self.flanks_where(tooth, |point| up.dot(point.to_vec2()) - level)?;
        Some((left - right).hypot())
    }

    /// Tooth thickness as an arc at a radius.
    pub fn thickness_at_radius(&self, tooth: usize, at: f64) -> Option<f64> {
        let [right, left] = self.flanks_where(tooth, |point| radius(point) - at)?;
        Some(at * (left.to_vec2().angle() - right.to_vec2().angle()).rem_euclid(TAU))
    }

    fn tip_angle(&self, tooth: usize) -> Option<f64> {
        let tip = self.tip(tooth)?;
        let (first, last) = (self.points[tip.first].to_vec2(), self.points[tip.last].to_vec2());
        Some((first + last).angle())
    }

    fn tip(&self, tooth: usize) -> Option<Tip> {
        let index = if self.closed { tooth % self.tips.len() } else { tooth };
        self.tips.get(index).copied()
    }

    /// The boundary from one tip, through the space behind it, over to the end of the next tip.
    fn space(&self, tooth: usize) -> Option<Vec<Point>> {
        let (tip, next) = (self.tip(tooth)?, self.tip(tooth + 1)?);
        if tip.first < next.last {
            return Some(self.points[tip.first..=next.last].to_vec());
        }
        Some([&self.points[tip.first..], &self.points[1..=next.last]].concat())
    }

    /// Points of one flank from the tip land outwards of the tooth, down into the space as far as the deepest point.
    fn flank(&self, tooth: usize, side: Side) -> Option<Vec<Point>> {
        let tip = self.tip(tooth)?;
        let wall: Vec<Point> = match side {
            Side::Left => self.points[tip.last..].to_vec(),
            Side::Right => self.points[..=tip.first].iter().rev().copied().collect(),
        };
        let downhill = wall.windows(2).take_while(|pair| radius(pair[1]) <= radius(pair[0])).count();
        Some(wall[..=downhill].to_vec())
    }

    /// The points of the right-hand and left-hand flank where `f`, positive at the tip, first vanishes.
    fn flanks_where(&self, tooth: usize, f: impl Fn(Point) -> f64) -> Option<[Point; 2]> {
        let crossing = |side: Side| {
            let wall = self.flank(tooth, side)?;
            let edge = wall.windows(2).find(|pair| f(pair[0]) >= 0.0 && f(pair[1]) < 0.0)?;
            let (above, below) = (f(edge[0]), f(edge[1]));
            Some(edge[0].lerp(edge[1], above / (above - below)))
        };
        Some([crossing(Side::Right)?, crossing(Side::Left)?])
    }
}

#[derive(Clone, Copy)]
enum Side {
    Right,
    Left,
}

fn radius(point: Point) -> f64 {
    point.to_vec2().hypot()
}

/// How far out along a ray from the axis the middle of a pin must stay to clear all walls: the farthest place where it is just
/// `pin` away from one of them.
fn lowest_centre(walls: &[Point], ray: Vec2, pin: f64) -> f64 {
    let mut lowest: f64 = 0.0;
    for pair in walls.windows(2) {
        let (a, along) = (pair[0].to_vec2(), pair[1] - pair[0]);
        // Outer crossing of the ray with the circle round the point.
        let aside = ray.cross(a);
        if aside.abs() <= pin {
            lowest = lowest.max(ray.dot(a) + (pin * pin - aside * aside).sqrt());
        }
        // Crossings with the two lines beside the edge, where they fall within it.
        let length = along.hypot();
        let slant = ray.cross(along);
        if slant != 0.0 {
            for side in [pin, -pin] {
                let t = (a.cross(along) + side * length) / slant;
                let foot = (t * ray - a).dot(along);
                if (0.0..=length * length).contains(&foot) {
                    lowest = lowest.max(t);
                }
            }
        }
    }
    if let Some(end) = walls.last() {
        let aside = ray.cross(end.to_vec2());
        if aside.abs() <= pin {
            lowest = lowest.max(ray.dot(end.to_vec2()) + (pin * pin - aside * aside).sqrt());
        }
    }
    lowest
}

/// Where a function that falls and then rises is least (golden section).
fn least_at(mut low: f64, mut high: f64, f: &impl Fn(f64) -> f64) -> f64 {
    let golden = 0.5 * (5_f64.sqrt() - 1.0);
    let (mut a, mut b) = (high - golden * (high - low), low + golden * (high - low));
    let (mut at_a, mut at_b) = (f(a), f(b));
    for _ in 0..PRESSES {
        if at_a <= at_b {
            (high, b, at_b) = (b, a, at_a);
            a = high - golden * (high - low);
            at_a = f(a);
        } else {
            (low, a, at_a) = (a, b, at_b);
            b = low + golden * (high - low);
            at_b = f(b);
        }
    }
    0.5 * (low + high)
}

fn nearest_on(wall: &[Point], to: Point) -> Option<Point> {
    let feet = wall.windows(2).map(|pair| {
        let along = pair[1] - pair[0];
        let square = along.hypot2();
        let part = if square > 0.0 { ((to - pair[0]).dot(along) / square).clamp(0.0, 1.0) } else { 0.0 };
        pair[0] + part * along
    });
    feet.min_by(|a, b| (*a - to).hypot2().total_cmp(&(*b - to).hypot2()))
}

/// Counter-clockwise convex hull (monotone chain).
fn convex_hull(points: &[Point]) -> Vec<Point> {
    let mut sorted = points.to_vec();
    sorted.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    let mut hull: Vec<Point> = Vec::new();
    for pass in 0..2 {
        let floor = hull.len();
        for point in &sorted {
            while hull.len() >= floor + 2 {
                let (a, b) = (hull[hull.len() - 2], hull[hull.len() - 1]);
                if (b - a).cross(*point - b) > 0.0 {
                    break;
                }
                hull.pop();
            }
            hull.push(*point);
        }
        hull.pop();
        if pass == 0 {
            sorted.reverse();
        }
    }
    hull
}
