//! Outlines: chains of lines, arcs and drawn curves.
//!
//! Plain `f64` millimetres and radians.

use std::f64::consts::TAU;

use kurbo::{Affine, Point, Rect, Vec2};

/// Two ends closer than this are one point. Far above rounding on a part of a metre, far below anything made.
pub const JOINED: f64 = 1e-7;

/// How finely [`Outline::contains`] and [`Outline::crosses_itself`] draw arcs, unless the outline's own points are finer.
const DRAWN: f64 = 1e-4;

/// One piece of an outline.
#[derive(Clone, Debug, PartialEq)]
pub enum Segment {
    Line {
        from: Point,
        to: Point,
    },
    /// `sweep` is counter-clockwise if positive, at most a full turn.
    Arc {
        centre: Point,
        radius: f64,
        start: f64,
        sweep: f64,
    },
    /// A curve given by points on it, at least two; straight between them.
    Curve(Vec<Point>),
}

/// A chain of segments, each starting where the one before ends. Closed if the last ends where the first starts.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Outline {
    segments: Vec<Segment>,
}

/// A plate: the outer boundary and the holes in it.
#[derive(Clone, Debug, PartialEq)]
pub struct Region {
    pub outer: Outline,
    pub holes: Vec<Outline>,
}

impl Segment {
    pub fn start(&self) -> Point {
        match self {
            Segment::Line { from, .. } => *from,
            Segment::Arc { centre, radius, start, .. } => on_circle(*centre, *radius, *start),
            Segment::Curve(points) => points.first().copied().unwrap_or_default(),
        }
    }

    pub fn end(&self) -> Point {
        match self {
            Segment::Line { to, .. } => *to,
            Segment::Arc { centre, radius, start, sweep } => on_circle(*centre, *radius, start + sweep),
            Segment::Curve(points) => points.last().copied().unwrap_or_default(),
        }
    }

    pub fn length(&self) -> f64 {
        match self {
            Segment::Line { from, to } => (*to - *from).hypot(),
            Segment::Arc { radius, sweep, .. } => radius * sweep.abs(),
            Segment::Curve(points) => points.windows(2).map(|pair| (pair[1] - pair[0]).hypot()).sum(),
        }
    }

    pub fn reversed(&self) -> Segment {
        match self {
            Segment::Line { from, to } => Segment::Line { from: *to, to: *from },
            Segment::Arc { centre, radius, start, sweep } => {
                Segment::Arc { centre: *centre, radius: *radius, start: start + sweep, sweep: -sweep }
            }
            Segment::Curve(points) => Segment::Curve(points.iter().rev().copied().collect()),
        }
    }

    /// Turned round the origin, counter-clockwise.
    pub fn rotated(&self, angle: f64) -> Segment {
        self.moved(Affine::rotate(angle), angle, 1.0)
    }

    /// `map` as a movement that turns by `angle` after mirroring in the x axis if `hand` is −1.
    fn moved(&self, map: Affine, angle: f64, hand: f64) -> Segment {
        match self {
            Segment::Line { from, to } => Segment::Line { from: map * *from, to: map * *to },
            Segment::Arc { centre, radius, start, sweep } => Segment::Arc {
                centre: map * *centre,
                radius: *radius,
                start: angle + hand * start,
                sweep: hand * sweep,
            },
            Segment::Curve(points) => Segment::Curve(points.iter().map(|p| map * *p).collect()),
        }
    }

    /// Twice the area swept by the ray from the origin, counter-clockwise positive (Green's theorem; arcs exactly).
    fn swept(&self) -> f64 {
        match self {
            Segment::Line { from, to } => from.to_vec2().cross(to.to_vec2()),
            Segment::Arc { centre, radius, sweep, .. } => {
                radius * radius * sweep + centre.to_vec2().cross(self.end() - self.start())
            }
            Segment::Curve(points) => points.windows(2).map(|pair| pair[0].to_vec2().cross(pair[1].to_vec2())).sum(),
        }
    }

    /// Appends the points after the start, chords within `tolerance` of an arc.
    fn flatten_into(&self, tolerance: f64, points: &mut Vec<Point>) {
        match self {
            Segment::Line { to, .. } => points.push(*to),
            Segment::Arc { centre, radius, start, sweep } => {
                // Sagitta r (1 − cos(step/2)) = tolerance; at most a third of a turn, so that no arc collapses.
                let step = (2.0 * (1.0 - (tolerance / radius).min(1.0)).acos()).min(TAU / 3.0);
                // The bound keeps a tolerance of zero from asking for endless points.
                let count = if step > 0.0 { (sweep.abs() / step).ceil().clamp(1.0, 1e6) } else { 1e6 };
                points.extend(
                    (1..=count as u32).map(|i| on_circle(*centre, *radius, start + sweep * f64::from(i) / count)),
                );
            }
            Segment::Curve(curve) => points.extend(curve.iter().skip(1)),
        }
    }
}

impl Outline {
    pub fn new(segments: Vec<Segment>) -> Outline {
        Outline { segments }
    }

    /// A full circle, counter-clockwise.
    pub fn circle(centre: Point, radius: f64) -> Outline {
        Outline::new(vec![Segment::Arc { centre, radius, start: 0.0, sweep: TAU }])
    }

    /// Straight lines through the points and back to the first.
    pub fn polygon(points: &[Point]) -> Outline {
        let ends = points.iter().zip(points.iter().cycle().skip(1));
        Outline::new(ends.map(|(from, to)| Segment::Line { from: *from, to: *to }).collect())
    }

    pub fn segments(&self) -> &[Segment] {
        &self.segments
    }

    pub fn is_empty(&self) -> bool {
        self.segments.is_empty()
    }

    pub fn start(&self) -> Option<Point> {
        self.segments.first().map(Segment::start)
    }

    pub fn end(&self) -> Option<Point> {
        self.segments.last().map(Segment::end)
    }

    /// Each segment starts where the one before ends.
    pub fn is_chain(&self) -> bool {
        self.segments.windows(2).all(|pair| joined(pair[0].end(), pair[1].start()))
    }

    /// A chain that ends where it starts.
    pub fn is_closed(&self) -> bool {
        matches!((self.start(), self.end()), (Some(start), Some(end)) if self.is_chain() && joined(start, end))
    }

    /// This chain with another behind it; a straight line bridges a gap.
    pub fn then(mut self, next: Outline) -> Outline {
        if let (Some(end), Some(start)) = (self.end(), next.start())
            && !joined(end, start)
        {
            self.segments.push(Segment::Line { from: end, to: start });
        }
        self.segments.extend(next.segments);
        self
    }

    /// This chain closed by a straight line, unless it is closed already.
    pub fn close(mut self) -> Outline {
        if let (Some(end), Some(start)) = (self.end(), self.start())
            && !joined(end, start)
        {
            self.segments.push(Segment::Line { from: end, to: start });
        }
        self
    }

    /// Enclosed area, positive if run through counter-clockwise. Of an open chain, as if closed by a straight line. Arcs are
    /// exact, curves as drawn.
    pub fn area(&self) -> f64 {
        let closing = match (self.end(), self.start()) {
            (Some(end), Some(start)) => end.to_vec2().cross(start.to_vec2()),
            _ => 0.0,
        };
        0.5 * (self.segments.iter().map(Segment::swept).sum::<f64>() + closing)
    }

    pub fn length(&self) -> f64 {
        self.segments.iter().map(Segment::length).sum()
    }

    /// `None` for an empty outline. Arcs exactly.
    pub fn bounding_box(&self) -> Option<Rect> {
        let mut points = Vec::new();
        for segment in &self.segments {
            points.push(segment.start());
            match segment {
                Segment::Line { to, .. } => points.push(*to),
                Segment::Curve(curve) => points.extend(curve),
                Segment::Arc { centre, radius, start, sweep } => {
                    points.push(segment.end());
                    let quarters = (0..4).map(|quarter| f64::from(quarter) * TAU / 4.0);
                    points.extend(
                        quarters.filter(|q| in_sweep(*q, *start, *sweep)).map(|q| on_circle(*centre, *radius, q)),
                    );
                }
            }
        }
        let first = points.first().copied()?;
        Some(points.iter().fold(Rect::from_points(first, first), |rect, point| rect.union_pt(*point)))
    }

    /// The outline as points, chords within `tolerance` of the arcs. A closed outline's last point repeats its first.
    pub fn flatten(&self, tolerance: f64) -> Vec<Point> {
        let mut points: Vec<Point> = self.start().into_iter().collect();
        for segment in &self.segments {
            segment.flatten_into(tolerance, &mut points);
        }
        points
    }

    /// Whether a closed outline encloses a point. Undecided within 0.0001 mm of an arc.
    pub fn contains(&self, point: Point) -> bool {
        let points = self.flatten(DRAWN);
        let mut inside = false;
        for (a, b) in points.iter().zip(points.iter().cycle().skip(1)) {
            if (a.y > point.y) != (b.y > point.y) {
                let x = a.x + (point.y - a.y) / (b.y - a.y) * (b.x - a.x);
                inside ^= x > point.x;
            }
        }
        inside
    }

    /// Whether two parts of the outline that are not neighbours meet. Arcs are drawn to 0.0001 mm for it.
    pub fn crosses_itself(&self) -> bool {
        let mut points = self.flatten(DRAWN);
        points.dedup_by(|b, a| joined(*a, *b));
        let closed = points.len() > 2 && joined(points[0], points[points.len() - 1]);
        let count = points.len().saturating_sub(1);
        let edge = |i: usize| (points[i], points[i + 1]);
        let left = |i: usize| points[i].x.min(points[i + 1].x);
        let mut order: Vec<usize> = (0..count).collect();
        order.sort_by(|a, b| left(*a).total_cmp(&left(*b)));
        // Sweep from left to right; only edges that overlap in x are compared.
        let mut open: Vec<usize> = Vec::new();
        for i in order {
            open.retain(|j| points[*j].x.max(points[j + 1].x) >= left(i));
            for &j in &open {
                let apart = i.abs_diff(j);
                let neighbours = apart == 1 || (closed && apart == count - 1);
                if !neighbours && edges_meet(edge(i), edge(j)) {
                    return true;
                }
            }
            open.push(i);
        }
        false
    }

    pub fn reversed(&self) -> Outline {
        Outline::new(self.segments.iter().rev().map(Segment::reversed).collect())
    }

    pub fn translated(&self, by: Vec2) -> Outline {
        self.moved(Affine::translate(by), 0.0, 1.0)
    }

    /// Turned round the origin, counter-clockwise.
    pub fn rotated(&self, angle: f64) -> Outline {
        self.moved(Affine::rotate(angle), angle, 1.0)
    }

    /// Mirrored left to right (x becomes −x). What ran counter-clockwise then runs clockwise.
    pub fn mirrored(&self) -> Outline {
        self.moved(Affine::FLIP_X, TAU / 2.0, -1.0)
    }

    fn moved(&self, map: Affine, angle: f64, hand: f64) -> Outline {
        Outline::new(self.segments.iter().map(|segment| segment.moved(map, angle, hand)).collect())
    }
}

impl Region {
    /// Area of the plate less its holes, whichever way they run.
    pub fn area(&self) -> f64 {
        self.outer.area().abs() - self.holes.iter().map(|hole| hole.area().abs()).sum::<f64>()
    }

    pub fn contains(&self, point: Point) -> bool {
        self.outer.contains(point) && !self.holes.iter().any(|hole| hole.contains(point))
    }
}

fn on_circle(centre: Point, radius: f64, angle: f64) -> Point {
    centre + radius * Vec2::from_angle(angle)
}

fn joined(a: Point, b: Point) -> bool {
    (a - b).hypot() <= JOINED
}

fn in_sweep(angle: f64, start: f64, sweep: f64) -> bool {
    let from = if sweep < 0.0 { start + sweep } else { start };
    (angle - from).rem_euclid(TAU) <= sweep.abs()
}

/// Whether two straight edges have a point in common, touching included.
fn edges_meet((a, b): (Point, Point), (c, d): (Point, Point)) -> bool {
    let side = |from: Point, to: Point, p: Point| (to - from).cross(p - from);
    let (c_side, d_side) = (side(a, b, c), side(a, b, d));
    let (a_side, b_side) = (side(c, d, a), side(c, d, b));
    if c_side == 0.0 && d_side == 0.0 {
        let within = |low: f64, high: f64, x: f64, y: f64| low.max(x.min(y)) <= high.min(x.max(y));
        return within(a.x.min(b.x), a.x.max(b.x), c.x, d.x) && within(a.y.min(b.y), a.y.max(b.y), c.y, d.y);
    }
    c_side * d_side <= 0.0 && a_side * b_side <= 0.0
}
