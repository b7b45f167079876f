//! What a pencil follows: chains of straight lines, circular arcs and curves, in the part's millimetres, y upwards.

use std::f64::consts::{PI, TAU};

use kurbo::{Affine, BezPath, PathEl, Point, Rect, Shape, Vec2};

/// One piece of a trace, going on from where the piece before ended.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Piece {
    Line(Point),
    /// Round `centre` by `sweep` radians, counter-clockwise positive; `to` is where it ends.
    Arc {
        centre: Point,
        sweep: f64,
        to: Point,
    },
    Quad(Point, Point),
    Cubic(Point, Point, Point),
}

/// A chain of pieces. Arcs stay arcs all the way into the SVG.
#[derive(Clone, Debug, PartialEq)]
pub struct Trace {
    pub(crate) start: Point,
    pub(crate) pieces: Vec<Piece>,
    pub(crate) closed: bool,
}

/// How finely arcs are turned into Bézier curves where only an area or a crossing is wanted, mm.
const BEZIER: f64 = 1e-3;

impl Trace {
    pub fn from(start: Point) -> Trace {
        Trace { start, pieces: Vec::new(), closed: false }
    }

    pub fn line(from: Point, to: Point) -> Trace {
        Trace::from(from).line_to(to)
    }

    pub fn polyline(points: impl IntoIterator<Item = Point>) -> Trace {
        let mut points = points.into_iter();
        let mut trace = Trace::from(points.next().unwrap_or_default());
        trace.pieces.extend(points.map(Piece::Line));
        trace
    }

    pub fn polygon(points: impl IntoIterator<Item = Point>) -> Trace {
        Trace::polyline(points).close()
    }

    pub fn rectangle(rect: Rect) -> Trace {
        Trace::polygon([
            Point::new(rect.x0, rect.y0),
            Point::new(rect.x1, rect.y0),
            Point::new(rect.x1, rect.y1),
            Point::new(rect.x0, rect.y1),
        ])
    }

    pub fn circle(centre: Point, radius: f64) -> Trace {
        Trace::arc(centre, radius, 0.0, TAU).close()
    }

    /// An arc by itself; angles in radians, counter-clockwise from the x axis.
    pub fn arc(centre: Point, radius: f64, start: f64, sweep: f64) -> Trace {
        Trace::from(centre + radius * Vec2::from_angle(start)).arc_round(centre, sweep)
    }

    pub fn line_to(mut self, to: Point) -> Trace {
        self.pieces.push(Piece::Line(to));
        self
    }

    /// Goes on round `centre` by `sweep` radians, counter-clockwise positive.
    ///
    /// More than half a turn is cut in halves: an SVG arc is only well described by its ends up to there.
    pub fn arc_round(mut self, centre: Point, sweep: f64) -> Trace {
        let from = self.end() - centre;
        let parts = (sweep.abs() / (PI + 1e-9)).ceil().max(1.0);
        for part in 1..=parts as u32 {
            let turned = Affine::rotate(sweep * f64::from(part) / parts) * from.to_point();
            self.pieces.push(Piece::Arc { centre, sweep: sweep / parts, to: centre + turned.to_vec2() });
        }
        self
    }

    /// Straight from point to point.
    pub fn through(mut self, points: impl IntoIterator<Item = Point>) -> Trace {
        self.pieces.extend(points.into_iter().map(Piece::Line));
        self
    }

    pub fn curve_to(mut self, a: Point, b: Point, to: Point) -> Trace {
        self.pieces.push(Piece::Cubic(a, b, to));
        self
    }

    pub fn close(mut self) -> Trace {
        self.closed = true;
        self
    }

    /// The sub-paths of a Bézier path.
    pub fn of_path(path: &BezPath) -> Vec<Trace> {
        let mut traces: Vec<Trace> = Vec::new();
        for element in path.elements() {
            let piece = match *element {
                PathEl::MoveTo(start) => {
                    traces.push(Trace::from(start));
                    continue;
                }
                PathEl::ClosePath => {
                    if let Some(trace) = traces.last_mut() {
                        trace.closed = true;
                    }
                    continue;
                }
                PathEl::LineTo(to) => Piece::Line(to),
                PathEl::QuadTo(a, to) => Piece::Quad(a, to),
                PathEl::CurveTo(a, b, to) => Piece::Cubic(a, b, to),
            };
            if let Some(trace) = traces.last_mut() {
                trace.pieces.push(piece);
            }
        }
        traces
    }

    pub fn end(&self) -> Point {
        self.pieces.last().map_or(self.start, Piece::end)
    }

    pub fn bounds(&self) -> Rect {
        self.bezier().bounding_box()
    }

    /// The same moved and scaled alike in both directions, or mirrored.
    pub(crate) fn mapped(&self, map: Affine) -> Trace {
        let hand = map.determinant().signum();
        Trace {
            start: map * self.start,
            pieces: self
                .pieces
                .iter()
                .map(|piece| match *piece {
                    Piece::Line(to) => Piece::Line(map * to),
                    Piece::Arc { centre, sweep, to } => {
                        Piece::Arc { centre: map * centre, sweep: hand * sweep, to: map * to }
                    }
                    Piece::Quad(a, to) => Piece::Quad(map * a, map * to),
                    Piece::Cubic(a, b, to) => Piece::Cubic(map * a, map * b, map * to),
                })
                .collect(),
            closed: self.closed,
        }
    }

    pub(crate) fn bezier(&self) -> BezPath {
        let mut path = BezPath::new();
        path.move_to(self.start);
        let mut from = self.start;
        for piece in &self.pieces {
            match *piece {
                Piece::Line(to) => path.line_to(to),
                Piece::Arc { centre, sweep, to } => {
                    let arm = from - centre;
                    let arc = kurbo::Arc::new(centre, (arm.hypot(), arm.hypot()), arm.atan2(), sweep, 0.0);
                    path.extend(arc.append_iter(BEZIER));
                    path.line_to(to);
                }
                Piece::Quad(a, to) => path.quad_to(a, to),
                Piece::Cubic(a, b, to) => path.curve_to(a, b, to),
            }
            from = piece.end();
        }
        if self.closed {
            path.close_path();
        }
        path
    }
}

impl Piece {
    fn end(&self) -> Point {
        match *self {
            Piece::Line(to) | Piece::Arc { to, .. } | Piece::Quad(_, to) | Piece::Cubic(_, _, to) => to,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_circle_is_arcs_of_half_a_turn_and_its_box_is_exact() {
        let circle = Trace::circle(Point::new(3.0, -2.0), 5.0);
        assert_eq!(circle.pieces.len(), 2);
        let bounds = circle.bounds();
        let expected = Rect::new(-2.0, -7.0, 8.0, 3.0);
        for (a, b) in
            [(bounds.x0, expected.x0), (bounds.y0, expected.y0), (bounds.x1, expected.x1), (bounds.y1, expected.y1)]
        {
            assert!((a - b).abs() < 2e-3, "{bounds:?}");
        }
    }

    #[test]
    fn an_arc_keeps_its_side_when_the_paper_is_mirrored() {
        let arc = Trace::arc(Point::ORIGIN, 1.0, 0.0, 1.0).mapped(Affine::FLIP_Y);
        assert!((arc.end() - Point::new(1f64.cos(), -1f64.sin())).hypot() < 1e-12);
        assert!(matches!(arc.pieces[0], Piece::Arc { sweep, .. } if sweep == -1.0));
        let middle = arc.bezier().bounding_box();
        assert!((middle.x1 - 1.0).abs() < 1e-3);
    }
}
