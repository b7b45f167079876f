//! Rings: the closed chains of lines, arcs and splines that bound a part.

use std::f64::consts::{PI, TAU};

use geometry::outline::{JOINED, Outline, Segment};
use kurbo::{Point, Rect, Vec2};

use crate::spline::{Nearness, Spline};

/// One piece of a ring.
#[derive(Clone, Debug, PartialEq)]
pub enum Piece {
    Line { from: Point, to: Point },
    Arc { centre: Point, radius: f64, start: f64, sweep: f64 },
    Spline(Spline<2>),
}

/// A closed chain, each piece starting where the one before ends.
#[derive(Clone, Debug, PartialEq)]
pub struct Ring {
    pieces: Vec<Piece>,
}

/// An outline typed with a few decimals may leave gaps this wide, mm; they are drawn together.
const MENDED: f64 = 0.06;

impl Ring {
    /// The outline with its curves fitted; none where it does not close.
    pub fn fitted(outline: &Outline, nearness: Nearness) -> Option<Ring> {
        let segments: Vec<&Segment> = outline.segments().iter().filter(|segment| segment.length() > JOINED).collect();
        let count = segments.len();
        let mut pieces = Vec::with_capacity(count);
        for (i, segment) in segments.iter().enumerate() {
            let to = segments[(i + 1) % count].start();
            if segment.end().distance(to) > MENDED {
                return None;
            }
            pieces.extend(match segment {
                Segment::Line { from, .. } => vec![Piece::Line { from: *from, to }],
                Segment::Arc { .. } => vec![arc(segment, to)],
                Segment::Curve(points) => curve(points, to, nearness),
            });
        }
        (!pieces.is_empty()).then_some(Ring { pieces })
    }

    /// Of pieces that are known to join and to close.
    pub fn of(pieces: Vec<Piece>) -> Ring {
        Ring { pieces }
    }

    pub fn circle(centre: Point, radius: f64) -> Ring {
        Ring::of(vec![Piece::Arc { centre, radius, start: 0.0, sweep: TAU }])
    }

    pub fn pieces(&self) -> &[Piece] {
        &self.pieces
    }

    /// Enclosed area, positive if run through counter-clockwise; exact for each kind of piece (Green's theorem).
    pub fn area(&self) -> f64 {
        self.pieces.iter().map(Piece::swept).sum()
    }

    pub fn length(&self) -> f64 {
        self.pieces.iter().map(Piece::length).sum()
    }

    pub fn reversed(&self) -> Ring {
        Ring { pieces: self.pieces.iter().rev().map(Piece::reversed).collect() }
    }

    /// Turned counter-clockwise about the origin, then moved.
    #[must_use]
    pub fn turned(&self, angle: f64, by: Vec2) -> Ring {
        let along = Vec2::from_angle(angle);
        let put = |p: Point| Point::new(p.x * along.x - p.y * along.y, p.x * along.y + p.y * along.x) + by;
        let moved = |piece: &Piece| match piece {
            Piece::Line { from, to } => Piece::Line { from: put(*from), to: put(*to) },
            Piece::Arc { centre, radius, start, sweep } => {
                Piece::Arc { centre: put(*centre), radius: *radius, start: start + angle, sweep: *sweep }
            }
            Piece::Spline(spline) => Piece::Spline(spline.moved(|at| {
                let Point { x, y } = put(point(at));
                [x, y]
            })),
        };
        Ring { pieces: self.pieces.iter().map(moved).collect() }
    }

    /// Run through counter-clockwise, or clockwise.
    pub fn turning(self, counter_clockwise: bool) -> Ring {
        if (self.area() > 0.0) == counter_clockwise { self } else { self.reversed() }
    }

    /// Centre and radius of a full circle.
    pub fn as_circle(&self) -> Option<(Point, f64)> {
        match self.pieces.as_slice() {
            [Piece::Arc { centre, radius, sweep, .. }] if (sweep.abs() - TAU).abs() < 1e-9 => Some((*centre, *radius)),
            _ => None,
        }
    }

    pub fn bounds(&self) -> Rect {
        self.outline(1e-3).bounding_box().unwrap_or(Rect::ZERO)
    }

    /// The ring as points, chords within `tolerance`; the first is not repeated.
    pub fn flatten(&self, tolerance: f64) -> Vec<Point> {
        let mut points = self.outline(tolerance).flatten(tolerance);
        points.dedup_by(|b, a| a.distance(*b) <= JOINED);
        while points.len() > 1 && points[0].distance(points[points.len() - 1]) <= JOINED {
            points.pop();
        }
        points
    }

    /// The ring as an outline, its splines as chords within `tolerance`.
    pub fn outline(&self, tolerance: f64) -> Outline {
        let segment = |piece: &Piece| match piece {
            Piece::Line { from, to } => Segment::Line { from: *from, to: *to },
            Piece::Arc { centre, radius, start, sweep } => {
                Segment::Arc { centre: *centre, radius: *radius, start: *start, sweep: *sweep }
            }
            Piece::Spline(spline) => Segment::Curve(flattened(spline, tolerance)),
        };
        Outline::new(self.pieces.iter().map(segment).collect())
    }
}

impl Piece {
    pub fn start(&self) -> Point {
        match self {
            Piece::Line { from, .. } => *from,
            Piece::Arc { centre, radius, start, .. } => *centre + *radius * Vec2::from_angle(*start),
            Piece::Spline(spline) => point(spline.start()),
        }
    }

    pub fn end(&self) -> Point {
        match self {
            Piece::Line { to, .. } => *to,
            Piece::Arc { centre, radius, start, sweep } => *centre + *radius * Vec2::from_angle(start + sweep),
            Piece::Spline(spline) => point(spline.end()),
        }
    }

    /// The point at a share of the way, by the piece's own parameter.
    pub fn at(&self, share: f64) -> Point {
        match self {
            Piece::Line { from, to } => from.lerp(*to, share),
            Piece::Arc { centre, radius, start, sweep } => *centre + *radius * Vec2::from_angle(start + share * sweep),
            Piece::Spline(spline) => {
                let (span, share) = spline.place(share);
                point(spline.at(span, share).0)
            }
        }
    }

    /// A box that it does not leave; of an arc a little wide.
    pub(crate) fn reaches_within(&self) -> Rect {
        let ends = Rect::from_points(self.start(), self.end());
        match self {
            Piece::Line { .. } => ends,
            // an arc leaves its chord by its rise at most
            Piece::Arc { radius, sweep, .. } => {
                let rise = if sweep.abs() > PI { 2.0 * radius } else { radius * (1.0 - (0.5 * sweep).cos()) };
                ends.inflate(rise, rise)
            }
            Piece::Spline(spline) => {
                let poles = spline.spans().iter().flatten();
                poles.fold(ends, |within, pole| within.union_pt(point(*pole)))
            }
        }
    }

    /// From a point to the nearest point of the piece; of a spline, to its chords.
    pub fn distance(&self, from: Point) -> f64 {
        match self {
            Piece::Line { from: a, to: b } => to_segment(from, *a, *b),
            Piece::Arc { centre, radius, start, sweep } => {
                let off = from - *centre;
                let turn = (off.atan2() - start) * sweep.signum();
                if turn.rem_euclid(TAU) <= sweep.abs() {
                    (off.hypot() - radius).abs()
                } else {
                    from.distance(self.start()).min(from.distance(self.end()))
                }
            }
            Piece::Spline(spline) => {
                let chords = flattened(spline, 1e-3);
                chords.windows(2).map(|pair| to_segment(from, pair[0], pair[1])).fold(f64::INFINITY, f64::min)
            }
        }
    }

    pub fn reversed(&self) -> Piece {
        match self {
            Piece::Line { from, to } => Piece::Line { from: *to, to: *from },
            Piece::Arc { centre, radius, start, sweep } => {
                Piece::Arc { centre: *centre, radius: *radius, start: start + sweep, sweep: -sweep }
            }
            Piece::Spline(spline) => Piece::Spline(spline.reversed()),
        }
    }

    fn swept(&self) -> f64 {
        match self {
            Piece::Line { from, to } => 0.5 * from.to_vec2().cross(to.to_vec2()),
            Piece::Arc { centre, radius, sweep, .. } => {
                0.5 * (radius * radius * sweep + centre.to_vec2().cross(self.end() - self.start()))
            }
            Piece::Spline(spline) => spline.spans().iter().map(|span| swept(span)).sum(),
        }
    }

    fn length(&self) -> f64 {
        match self {
            Piece::Line { from, to } => from.distance(*to),
            Piece::Arc { radius, sweep, .. } => radius * sweep.abs(),
            Piece::Spline(spline) => length(spline),
        }
    }
}

/// Area swept from the origin by one Bézier span, exactly.
///
/// ½ ∫ (x y' − y x') dt = ½ n Σ b_i × (b_{j+1} − b_j) ∫ B_i^n B_j^{n−1} dt, where the integral of the two Bernstein
/// polynomials is C(n,i) C(n−1,j) / (C(2n−1,i+j) 2n).
fn swept(poles: &[[f64; 2]]) -> f64 {
    let degree = poles.len() - 1;
    let (own, lower, both) = (choose(degree), choose(degree - 1), choose(2 * degree - 1));
    let mut sum = 0.0;
    for (i, a) in poles.iter().enumerate() {
        for (j, pair) in poles.windows(2).enumerate() {
            let cross = point(*a).to_vec2().cross(point(pair[1]) - point(pair[0]));
            sum += cross * own[i] * lower[j] / both[i + j];
        }
    }
    0.25 * sum
}

/// The row of the binomial coefficients.
fn choose(n: usize) -> Vec<f64> {
    let mut row = vec![1.0];
    for k in 0..n {
        row.push(row[k] * (n - k) as f64 / (k + 1) as f64);
    }
    row
}

/// Length of a spline by Simpson's rule on its speed.
fn length(spline: &Spline<2>) -> f64 {
    const STEPS: u32 = 64;
    let speed = |span: usize, step: u32| {
        let (_, [x, y]) = spline.at(span, f64::from(step) / f64::from(STEPS));
        x.hypot(y)
    };
    let of_span = |span: usize| {
        let weighed = |step: u32| if step % 2 == 1 { 4.0 } else { 2.0 } * speed(span, step);
        let inner: f64 = (1..STEPS).map(weighed).sum();
        (speed(span, 0) + inner + speed(span, STEPS)) / f64::from(3 * STEPS)
    };
    (0..spline.spans().len()).map(of_span).sum()
}

/// Chords no further than `tolerance` from the spline.
///
/// A chord over a part 1/m of a span of degree n departs from it by at most the largest second derivative over 8 m², and that
/// is at most n (n − 1) times the largest second difference of the control points.
pub(crate) fn flattened(spline: &Spline<2>, tolerance: f64) -> Vec<Point> {
    let mut points = vec![point(spline.start())];
    let degree = spline.degree() as f64;
    for (span, poles) in spline.spans().iter().enumerate() {
        let bends = poles.windows(3).map(|run| {
            let [a, b, c] = [run[0], run[1], run[2]].map(|at| point(at).to_vec2());
            (a - 2.0 * b + c).hypot()
        });
        let bend = degree * (degree - 1.0) * bends.fold(0.0, f64::max);
        let parts = (bend / (8.0 * tolerance)).sqrt().ceil().clamp(1.0, 1e4) as u32;
        let at = |part: u32| point(spline.at(span, f64::from(part) / f64::from(parts)).0);
        points.extend((1..parts).map(at));
        points.push(point(poles[poles.len() - 1]));
    }
    points
}

/// An arc that really ends where the next piece begins: its centre slides to the nearest place as far from both ends.
fn arc(segment: &Segment, to: Point) -> Piece {
    let Segment::Arc { centre, radius, start, sweep } = segment else {
        return Piece::Line { from: segment.start(), to };
    };
    let kept = Piece::Arc { centre: *centre, radius: *radius, start: *start, sweep: *sweep };
    let from = segment.start();
    let chord = to - from;
    if segment.end().distance(to) <= JOINED || chord.hypot() <= JOINED {
        return kept;
    }
    let along = chord / chord.hypot();
    let centre = *centre - (*centre - from.midpoint(to)).dot(along) * along;
    let start = (from - centre).atan2();
    let turn = ((to - centre).atan2() - start).rem_euclid(TAU);
    let sweep = if *sweep > 0.0 { turn } else { turn - TAU };
    Piece::Arc { centre, radius: from.distance(centre), start, sweep }
}

/// A curve as one spline; straight from point to point where the points make corners.
fn curve(points: &[Point], to: Point, nearness: Nearness) -> Vec<Piece> {
    let mut given: Vec<[f64; 2]> = points.iter().map(|at| [at.x, at.y]).collect();
    if let Some(last) = given.last_mut() {
        *last = [to.x, to.y];
    }
    if given.len() > 2
        && let Some(spline) = Spline::through(&given, nearness)
    {
        return vec![Piece::Spline(spline)];
    }
    given.windows(2).map(|pair| Piece::Line { from: point(pair[0]), to: point(pair[1]) }).collect()
}

fn point([x, y]: [f64; 2]) -> Point {
    Point::new(x, y)
}

fn to_segment(point: Point, from: Point, to: Point) -> f64 {
    let along = to - from;
    let share = if along.hypot2() > 0.0 { ((point - from).dot(along) / along.hypot2()).clamp(0.0, 1.0) } else { 0.0 };
    point.distance(from.lerp(to, share))
}
