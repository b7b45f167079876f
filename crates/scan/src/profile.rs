//! The profile that is not critical, as a chain of lines and arcs that a person can read and change.

use std::f64::consts::{PI, TAU};

use cavalier_contours::polyline::{PlineSource, PlineSourceMut, Polyline};
use geometry::outline::{Outline, Segment};
use geometry::{Point, Vec2};

use crate::circle::{Spot, through};
use crate::measure::Frame;
use crate::place::Place;
use crate::teeth::{Rim, wrapped};

/// A profile in the part's own frame, counter-clockwise.
#[derive(Clone, Debug)]
pub struct Profile {
    pub outline: Outline,
    /// It goes all the way round; otherwise it joins the ends of the teeth.
    pub closed: bool,
    /// The furthest that the boundary lies off it, in mm.
    pub deviation: f64,
    /// Where to saw, outside of it.
    pub saw: Vec<Outline>,
}

/// An outline of more pieces is no outline that a person can follow.
const MOST_PIECES: usize = 400;

/// The profile of a part; none for a wheel that is teeth all round.
pub fn of(boundary: &[Place], rim: Option<&Rim>, frame: &Frame, deviation: f64, saw: f64) -> Option<Profile> {
    let points = match rim {
        Some(rim) if rim.whole => return None,
        Some(rim) => behind_teeth(boundary, rim)?,
        None => {
            // begin at a corner, so that none is cut through
            let start = sharpest(boundary);
            let mut all: Vec<Place> = boundary[start..].iter().chain(&boundary[..start]).copied().collect();
            all.extend(boundary.get(start));
            all
        }
    };
    let closed = rim.is_none();
    let points: Vec<Point> =
        points.iter().map(|place| frame.of_bed(place.x, place.y)).map(|(x, y)| Point::new(x, y)).collect();
    let points = without_specks(&points);
    if points.len() < 8 {
        return None;
    }
    // finer than asked, or corners would be rounded off
    let pieces = pieces(&points, 0.4 * deviation)?;
    let rough = joined(&points, &pieces, closed, false);
    let fine = joined(&points, &pieces, closed, true);
    let (rough_off, fine_off) = (furthest(&points, &rough), furthest(&points, &fine));
    // the fitted corners, unless they stray
    let (outline, off) = if fine_off <= deviation.max(rough_off) { (fine, fine_off) } else { (rough, rough_off) };
    let saw = offset(&outline, closed, saw);
    Some(Profile { outline, closed, deviation: off, saw })
}

impl Profile {
    /// As the lines of an outline's path: `start X Y`, `line to X Y`, `arc to X Y about X Y [clockwise]`. `unit` in mm.
    pub fn path(&self, unit: f64, places: usize) -> Vec<String> {
        let number = |value: f64| {
            let text = format!("{:.*}", places, value / unit);
            // no minus before nothing
            if text.trim_start_matches(['-', '0', '.']).is_empty() { text.trim_start_matches('-').into() } else { text }
        };
        let at = |point: Point| format!("{} {}", number(point.x), number(point.y));
        let mut out: Vec<String> =
            self.outline.start().map(|start| format!("start {}", at(start))).into_iter().collect();
        for segment in self.outline.segments() {
            match segment {
                Segment::Arc { centre, sweep, .. } => {
                    let clockwise = if *sweep < 0.0 { " clockwise" } else { "" };
                    out.push(format!("arc to {} about {}{clockwise}", at(segment.end()), at(*centre)));
                }
                Segment::Line { .. } | Segment::Curve(_) => out.push(format!("line to {}", at(segment.end()))),
            }
        }
        out
    }
}

/// From behind the last tooth round to before the first.
fn behind_teeth(boundary: &[Place], rim: &Rim) -> Option<Vec<Place>> {
    let count = boundary.len();
    let (first, last) = (rim.slots.first()?, rim.slots.last()?);
    let height = rim.tip_radius.value - rim.root_radius.value;
    let seen = |index: usize, number: i32| {
        let place = boundary[index % count];
        let (dx, dy) = (place.x - rim.x, place.y - rim.y);
        let turn = wrapped(dy.atan2(dx) - rim.phase.value - rim.pitch * f64::from(number));
        (turn / rim.pitch, (dx.hypot(dy) - rim.root_radius.value) / height)
    };
    // on a tooth or its stump
    let on = |number: i32| {
        (0..count).find(|&index| {
            let (turn, part) = seen(index, number);
            turn.abs() < 0.1 && part > -0.2 && part < 1.2
        })
    };
    let from = on(last.number)?;
    let to = on(first.number)?;
    let start = (from..from + count).find(|&index| {
        let (turn, part) = seen(index, last.number);
        turn >= 0.5 || turn > 0.2 && part < -0.05
    })?;
    let end = (to..to + count).map(|index| 2 * to + count - index).find(|&index| {
        let (turn, part) = seen(index, first.number);
        turn <= -0.5 || turn < -0.2 && part < -0.05
    })?;
    let (start, mut end) = (start % count, end % count);
    if end <= start {
        end += count;
    }
    Some((start..=end).map(|index| boundary[index % count]).collect())
}

/// Dust that lies on the edge sticks out of it: where both sides of a short stretch lie on one line and the stretch does
/// not, the stretch is left out.
fn without_specks(points: &[Point]) -> Vec<Point> {
    let length: f64 = points.windows(2).map(|pair| pair[0].distance(pair[1])).sum();
    let step = length / points.len() as f64;
    let half = ((0.5 * SPECK / step).ceil() as usize).max(2);
    let mut keep = vec![true; points.len()];
    for middle in 2 * half..points.len().saturating_sub(2 * half) {
        let (a, b) = (points[middle - 2 * half], points[middle + 2 * half]);
        let along = b - a;
        let length = along.hypot().max(1e-9);
        let off = |index: usize| (along.cross(points[index] - a) / length).abs();
        let quiet = [middle - 3 * half / 2, middle - half, middle + half, middle + 3 * half / 2];
        if quiet.into_iter().all(|index| off(index) < STRAIGHT)
            && (middle - half / 2..=middle + half / 2).any(|index| off(index) > 2.0 * STRAIGHT)
        {
            keep[middle - half..=middle + half].fill(false);
        }
    }
    points.iter().zip(keep).filter(|(_, keep)| *keep).map(|(point, _)| *point).collect()
}

/// The largest speck that is taken for one, in mm, and how straight the edge beside it must be.
const SPECK: f64 = 0.8;
const STRAIGHT: f64 = 0.02;

/// The place where the boundary bends most within a fiftieth of its length.
fn sharpest(boundary: &[Place]) -> usize {
    let count = boundary.len();
    let reach = (count / 50).max(1);
    let bend = |index: usize| {
        let (a, b, c) = (boundary[(index + count - reach) % count], boundary[index], boundary[(index + reach) % count]);
        let (u, v) = (Vec2::new(b.x - a.x, b.y - a.y), Vec2::new(c.x - b.x, c.y - b.y));
        u.cross(v).atan2(u.dot(v)).abs()
    };
    (0..count).max_by(|a, b| bend(*a).total_cmp(&bend(*b))).unwrap_or(0)
}

/// A stretch of points and what it is drawn as.
#[derive(Clone, Copy, Debug)]
struct Piece {
    from: usize,
    to: usize,
    arc: bool,
}

/// As few pieces as reach as far as they can, one after the other.
fn pieces(points: &[Point], deviation: f64) -> Option<Vec<Piece>> {
    let mut out = Vec::new();
    let last = points.len() - 1;
    let mut from = 0;
    while from < last {
        let line = reach(from, last, |to| fits_line(points, from, to, deviation));
        let arc = reach(from, last, |to| fits_arc(points, from, to, deviation));
        let length = |to: usize| (to - from) as f64;
        // an arc must earn its place
        let is_arc = length(arc) > 1.15 * length(line) && arc > from + 3;
        let to = if is_arc { arc } else { line };
        out.push(Piece { from, to, arc: is_arc });
        if out.len() > MOST_PIECES {
            return None;
        }
        from = to;
    }
    Some(out)
}

/// The furthest end that still fits: doubled, then halved.
fn reach(from: usize, last: usize, fits: impl Fn(usize) -> bool) -> usize {
    let mut good = from + 1;
    let mut step = 1;
    while good < last {
        let next = (from + 1 + step).min(last);
        if !fits(next) {
            break;
        }
        good = next;
        step *= 2;
    }
    let mut bad = (from + 1 + step).min(last + 1);
    while bad > good + 1 {
        let middle = usize::midpoint(good, bad);
        if fits(middle) { good = middle } else { bad = middle }
    }
    good
}

fn fits_line(points: &[Point], from: usize, to: usize, deviation: f64) -> bool {
    let (a, b) = (points[from], points[to]);
    let along = b - a;
    let length = along.hypot();
    if length < 1e-9 {
        return to - from < 3;
    }
    every(from, to).all(|index| {
        let off = points[index] - a;
        let place = off.dot(along) / length;
        (along.cross(off) / length).abs() <= deviation && place > -deviation && place < length + deviation
    })
}

/// Not every point of a long stretch needs to be looked at.
fn every(from: usize, to: usize) -> impl Iterator<Item = usize> {
    (from..=to).step_by(((to - from) / 400).max(1))
}

fn arc_of(points: &[Point], from: usize, to: usize) -> Option<(Point, f64, f64)> {
    let spot = |index: usize| Spot { x: points[index].x, y: points[index].y, sigma: 1.0 };
    let middle = usize::midpoint(from, to);
    let (x, y, radius) = through(spot(from), spot(middle), spot(to))?;
    let centre = Point::new(x, y);
    let angle = |index: usize| (points[index] - centre).atan2();
    let (start, way, end) = (angle(from), angle(middle), angle(to));
    let anticlockwise = (end - start).rem_euclid(TAU);
    let sweep = if (way - start).rem_euclid(TAU) < anticlockwise { anticlockwise } else { anticlockwise - TAU };
    (radius < 2000.0 && sweep.abs() < 1.6 * PI).then_some((centre, radius, sweep))
}

fn fits_arc(points: &[Point], from: usize, to: usize, deviation: f64) -> bool {
    if to - from < 3 {
        return true;
    }
    let Some((centre, radius, _)) = arc_of(points, from, to) else { return false };
    radius > 2.0 * deviation
        && every(from, to).all(|index| ((points[index] - centre).hypot() - radius).abs() <= deviation)
}

/// A piece fitted to all its points but those at its ends.
#[derive(Clone, Copy, Debug)]
enum Fitted {
    Line(Point, Vec2),
    Circle(Point, f64),
}

fn fitted(points: &[Point], piece: &Piece) -> Option<Fitted> {
    let trim = (piece.to - piece.from) / 8;
    let inner = &points[piece.from + trim..=piece.to - trim];
    if inner.len() < 6 {
        return None;
    }
    if piece.arc {
        let spots: Vec<Spot> = inner.iter().map(|point| Spot { x: point.x, y: point.y, sigma: 0.01 }).collect();
        let round = crate::circle::circle(&spots)?;
        return Some(Fitted::Circle(Point::new(round.x, round.y), round.radius));
    }
    let count = inner.len() as f64;
    let sum = inner.iter().fold(Vec2::ZERO, |sum, point| sum + point.to_vec2());
    let middle = (sum / count).to_point();
    let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
    for point in inner {
        let off = *point - middle;
        xx += off.x * off.x;
        xy += off.x * off.y;
        yy += off.y * off.y;
    }
    Some(Fitted::Line(middle, Vec2::from_angle(0.5 * (2.0 * xy).atan2(xx - yy))))
}

/// The chain, its corners where the fitted pieces meet (`fine`) or at the points where one piece gave way to the next.
fn joined(points: &[Point], pieces: &[Piece], closed: bool, fine: bool) -> Outline {
    let fits: Vec<Option<Fitted>> = pieces.iter().map(|piece| fitted(points, piece).filter(|_| fine)).collect();
    let count = pieces.len();
    let corner = |index: usize| {
        // between this piece and the one before
        let at = points[pieces[index % count].from];
        let before = if index == 0 { if closed { count - 1 } else { return at } } else { index - 1 };
        match (fits[before], fits[index % count]) {
            (Some(a), Some(b)) => meeting(a, b, at).unwrap_or(at),
            _ => at,
        }
    };
    let mut corners: Vec<Point> = (0..count).map(corner).collect();
    let end = if closed { corners[0] } else { points[pieces[count - 1].to] };
    corners.push(end);
    let segments = pieces.iter().enumerate().filter_map(|(index, piece)| {
        let (from, to) = (corners[index], corners[index + 1]);
        if (to - from).hypot() < 1e-6 {
            return None;
        }
        let arc = if piece.arc { arc_of(points, piece.from, piece.to) } else { None };
        let Some((centre, radius, sweep)) = arc else { return Some(Segment::Line { from, to }) };
        // through both corners: the centre moved along the line square to the middle of their chord
        let (centre, radius) = match fits[index] {
            Some(Fitted::Circle(centre, radius)) => (centre, radius),
            _ => (centre, radius),
        };
        let middle = from.midpoint(to);
        let half = 0.5 * (to - from).hypot();
        let across = (to - from).turn_90() / (2.0 * half);
        let side = (centre - middle).dot(across);
        let radius = radius.max(half * (1.0 + 1e-9));
        let centre = middle + across * (radius * radius - half * half).max(0.0).sqrt().copysign(side);
        let start = (from - centre).atan2();
        let turn = ((to - centre).atan2() - start).rem_euclid(TAU);
        let sweep = if sweep > 0.0 { turn } else { turn - TAU };
        Some(Segment::Arc { centre, radius, start, sweep })
    });
    Outline::new(segments.collect())
}

/// Where two fitted pieces meet near a point; a corner moves a little and no more.
fn meeting(a: Fitted, b: Fitted, near: Point) -> Option<Point> {
    const LITTLE: f64 = 1.0;
    /// In mm; a line that misses a circle by less was meant to touch it.
    const TANGENT: f64 = 0.1;
    let found = match (a, b) {
        (Fitted::Line(p, u), Fitted::Line(q, v)) => {
            let cross = u.cross(v);
            if cross.abs() < 0.05 {
                return None;
            }
            vec![p + u * ((q - p).cross(v) / cross)]
        }
        (Fitted::Line(p, u), Fitted::Circle(c, r)) | (Fitted::Circle(c, r), Fitted::Line(p, u)) => {
            let foot = p + u * (c - p).dot(u);
            let rest = r * r - (foot - c).hypot2();
            if rest < 0.02 * r * r {
                // tangent, or as good as
                let meets = ((foot - c).hypot() - r).abs() < TANGENT;
                return (meets && foot.distance(near) < 4.0 * LITTLE).then_some(foot);
            }
            vec![foot + u * rest.sqrt(), foot - u * rest.sqrt()]
        }
        (Fitted::Circle(..), Fitted::Circle(..)) => return None,
    };
    let nearest = found.into_iter().min_by(|a, b| a.distance(near).total_cmp(&b.distance(near)))?;
    (nearest.distance(near) < LITTLE).then_some(nearest)
}

/// The furthest that a point lies off the chain.
fn furthest(points: &[Point], outline: &Outline) -> f64 {
    let drawn = outline.flatten(0.005);
    let step = (points.len() / 1500).max(1);
    points.iter().step_by(step).map(|point| distance(*point, &drawn)).fold(0.0, f64::max)
}

fn distance(point: Point, drawn: &[Point]) -> f64 {
    let to_piece = |pair: &[Point]| {
        let along = pair[1] - pair[0];
        let part = ((point - pair[0]).dot(along) / along.hypot2().max(1e-18)).clamp(0.0, 1.0);
        (point - (pair[0] + along * part)).hypot()
    };
    drawn.windows(2).map(to_piece).fold(f64::INFINITY, f64::min)
}

/// The chain moved outward, to its right, with round outer corners.
fn offset(outline: &Outline, closed: bool, by: f64) -> Vec<Outline> {
    let mut line = if closed { Polyline::new_closed() } else { Polyline::new() };
    for segment in outline.segments() {
        let bulge = match segment {
            Segment::Arc { sweep, .. } => (0.25 * sweep).tan(),
            Segment::Line { .. } | Segment::Curve(_) => 0.0,
        };
        line.add(segment.start().x, segment.start().y, bulge);
    }
    if let Some(end) = outline.end().filter(|_| !closed) {
        line.add(end.x, end.y, 0.0);
    }
    if line.vertex_count() < 2 {
        return Vec::new();
    }
    line.parallel_offset(-by).iter().map(from_polyline).collect()
}

fn from_polyline(line: &Polyline<f64>) -> Outline {
    let segments = line.iter_segments().filter_map(|(a, b)| {
        let (from, to) = (Point::new(a.x, a.y), Point::new(b.x, b.y));
        let chord = (to - from).hypot();
        if chord < 1e-9 {
            return None;
        }
        if a.bulge.abs() < 1e-9 {
            return Some(Segment::Line { from, to });
        }
        let sweep = 4.0 * a.bulge.atan();
        let radius = 0.5 * chord / (0.5 * sweep).sin().abs();
        let centre = from.midpoint(to) + (to - from).turn_90() * (0.5 / (0.5 * sweep).tan());
        Some(Segment::Arc { centre, radius, start: (from - centre).atan2(), sweep })
    });
    Outline::new(segments.collect())
}
