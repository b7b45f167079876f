//! Rings of lines and arcs alone: splines as pairs of arcs, and offsets that keep arcs arcs.

use std::f64::consts::{PI, TAU};

use cavalier_contours::polyline::{PlineOffsetOptions, PlineSource, PlineSourceMut, PlineVertex, Polyline};
use kurbo::{Point, Vec2};

use crate::ring::{Piece, Ring};
use crate::spline::Spline;

/// Points along a span of a spline at which a pair of arcs is held against it.
const TRIED: u32 = 12;
/// Halvings of a spline; 2^12 pairs of arcs are far more than any flank wants.
const DEEPEST: u32 = 12;
/// Ends nearer than this are one in an offset, mm.
const JOINED: f64 = 1e-6;
/// Slack within which an offset's pieces are known to keep their distance, mm.
const DISTANCE_SLACK: f64 = 1e-5;

impl Ring {
    /// The ring of lines and arcs, no further than `tolerance` from this one.
    #[must_use]
    pub fn of_arcs(&self, tolerance: f64) -> Ring {
        let pieces = self.pieces().iter().flat_map(|piece| match piece {
            Piece::Line { .. } | Piece::Arc { .. } => vec![piece.clone()],
            Piece::Spline(spline) => {
                let mut out = Vec::new();
                (0..spline.spans().len()).for_each(|span| biarcs(spline, span, [0.0, 1.0], tolerance, 0, &mut out));
                out
            }
        });
        Ring::of(pieces.collect())
    }

    /// Everything `distance` to the left of a ring of lines and arcs, as it runs; to the right where negative. Corners are
    /// rounded on their outer side. None or several rings may be left.
    pub fn offset(&self, distance: f64) -> Vec<Ring> {
        if distance == 0.0 {
            return vec![self.clone()];
        }
        let options = PlineOffsetOptions {
            handle_self_intersects: true,
            pos_equal_eps: JOINED,
            offset_dist_eps: DISTANCE_SLACK,
            ..PlineOffsetOptions::default()
        };
        let line = self.polyline();
        let offsets = line.parallel_offset_opt(distance, &options);
        offsets.iter().filter_map(Ring::of_polyline).collect()
    }

    fn polyline(&self) -> Polyline<f64> {
        let mut out = Polyline::new_closed();
        let mut add = |at: Point, bulge: f64| {
            out.add_vertex(PlineVertex::new(at.x, at.y, bulge));
        };
        for piece in self.pieces() {
            match piece {
                Piece::Line { from, .. } => add(*from, 0.0),
                Piece::Arc { sweep, .. } => {
                    // a bulge tells half a turn at most
                    let parts = (sweep.abs() / (PI - 1e-6)).ceil().max(1.0);
                    let bulge = (0.25 * sweep / parts).tan();
                    (0..parts as u32).for_each(|part| add(piece.at(f64::from(part) / parts), bulge));
                }
                Piece::Spline(spline) => {
                    debug_assert!(false, "splines are turned to arcs before an offset: {spline:?}");
                }
            }
        }
        out
    }

    fn of_polyline(line: &Polyline<f64>) -> Option<Ring> {
        let pieces: Vec<Piece> = line
            .iter_segments()
            .filter_map(|(a, b)| {
                let (from, to) = (Point::new(a.x, a.y), Point::new(b.x, b.y));
                (from.distance(to) > JOINED).then(|| bulged(from, to, a.bulge))
            })
            .collect();
        (pieces.len() > 1).then(|| Ring::of(merged(pieces)))
    }
}

/// Arcs in a row about one centre become one; a full circle becomes one arc.
fn merged(pieces: Vec<Piece>) -> Vec<Piece> {
    let mut out: Vec<Piece> = Vec::with_capacity(pieces.len());
    for piece in pieces {
        if let (
            Some(Piece::Arc { centre, radius, sweep, .. }),
            Piece::Arc { centre: next, radius: as_large, sweep: further, .. },
        ) = (out.last_mut(), &piece)
            && centre.distance(*next) < 1e-6
            && (*radius - as_large).abs() < 1e-6
            && sweep.signum() == further.signum()
        {
            *sweep += further;
            if sweep.abs() > TAU {
                *sweep = TAU * sweep.signum();
            }
            continue;
        }
        out.push(piece);
    }
    if let [Piece::Arc { sweep, .. }] = out.as_mut_slice() {
        *sweep = TAU * sweep.signum();
    }
    out
}

/// The arc with a bulge, the tangent of a quarter of its sweep; a line where it is nought.
fn bulged(from: Point, to: Point, bulge: f64) -> Piece {
    if bulge.abs() < 1e-9 {
        return Piece::Line { from, to };
    }
    let chord = to - from;
    let sweep = 4.0 * bulge.atan();
    // the centre stands left of the chord, at its half times the cotangent of half the sweep
    let beside = (1.0 - bulge * bulge) / (4.0 * bulge);
    let centre = from.midpoint(to) + beside * Vec2::new(-chord.y, chord.x);
    Piece::Arc { centre, radius: from.distance(centre), start: (from - centre).atan2(), sweep }
}

/// Pairs of arcs that join with one tangent, over a share of a span of a spline; halved until they keep to it.
///
/// With v from end to end and unit tangents t0, t1, both tangent lengths are the root d of
/// 2 (1 − t0·t1) d² + 2 v·(t0 + t1) d − v·v = 0, and the arcs join half-way between p0 + d t0 and p1 − d t1.
/// Source: K. M. Bolton, Biarc curves, Computer-Aided Design 7 (1975) (from memory).
fn biarcs(spline: &Spline<2>, span: usize, [from, to]: [f64; 2], tolerance: f64, depth: u32, out: &mut Vec<Piece>) {
    let at = |share: f64| {
        let (point, slope) = spline.at(span, share);
        (Point::new(point[0], point[1]), Vec2::new(slope[0], slope[1]).normalize())
    };
    let ((p0, t0), (p1, t1)) = (at(from), at(to));
    let chord = p1 - p0;
    let (turn, along) = (1.0 - t0.dot(t1), chord.dot(t0 + t1));
    // this form of the root loses no digits where both tangents are nearly one
    let reach = chord.hypot2() / (along + (along * along + 2.0 * turn * chord.hypot2()).sqrt());
    let joint = (p0 + reach * t0).midpoint(p1 - reach * t1);
    let pair = [arc_from(p0, t0, joint), arc_from(p1, -t1, joint).reversed()];
    let across = (p1 - reach * t1) - (p0 + reach * t0);
    let keeps = (1..TRIED).all(|i| {
        let (point, _) = at(from + (to - from) * f64::from(i) / f64::from(TRIED));
        let first = (point - joint).dot(across) < 0.0;
        off(&pair[usize::from(!first)], point) <= tolerance
    });
    if (keeps && reach.is_finite()) || depth == DEEPEST {
        out.extend(pair);
        return;
    }
    let middle = f64::midpoint(from, to);
    biarcs(spline, span, [from, middle], tolerance, depth + 1, out);
    biarcs(spline, span, [middle, to], tolerance, depth + 1, out);
}

/// The arc that leaves a point along a tangent and comes to another.
fn arc_from(from: Point, tangent: Vec2, to: Point) -> Piece {
    let chord = to - from;
    let half_sweep = tangent.cross(chord).atan2(tangent.dot(chord));
    bulged(from, to, (0.5 * half_sweep).tan())
}

fn off(piece: &Piece, point: Point) -> f64 {
    match piece {
        Piece::Arc { centre, radius, .. } => (point.distance(*centre) - radius).abs(),
        Piece::Line { from, to } => ((*to - *from).cross(point - *from) / from.distance(*to)).abs(),
        Piece::Spline(_) => 0.0,
    }
}
