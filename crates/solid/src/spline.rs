//! Polynomial splines through points of a smooth curve, in the plane or in space.
//!
//! Plain `f64` millimetres. A flank or a root is one polynomial of the least degree that keeps within the tolerance: readers
//! of solids integrate such a face exactly, and it has no seam inside. Where no degree reaches it, cubic spans that join with
//! the same curvature do.

/// A curve of Bézier spans over distinct knots; the parameter is about the length along the curve.
#[derive(Clone, Debug, PartialEq)]
pub struct Spline<const D: usize> {
    degree: usize,
    knots: Vec<f64>,
    /// The control points of each span, one more than the degree.
    spans: Vec<Vec<[f64; D]>>,
}

/// How near a fitted spline must come.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Nearness {
    /// To the true curve.
    pub tolerance: f64,
    /// How far the chords between the given points may lie from the true curve.
    pub drawn: f64,
}

/// Degrees tried for a single span. Beyond the last the control points begin to lose digits.
const DEGREES: [usize; 5] = [3, 5, 7, 9, 11];
/// Cubic spans to begin with.
const FIRST_SPANS: usize = 8;
/// Where between two given points the spline is held against their chord, as parts of it.
const TRIED: [f64; 4] = [0.5, 1.0, 0.25, 0.75];

impl<const D: usize> Spline<D> {
    /// A spline that keeps within the tolerance of the curve the points lie on; none where they do not run smoothly enough.
    ///
    /// The true curve keeps within `drawn` of the chords. The spline is held against the chords at equal parameters, four
    /// times on each, and keeps within what is left of the tolerance; so every point of either lies within the tolerance of
    /// the other.
    pub fn through(points: &[[f64; D]], nearness: Nearness) -> Option<Spline<D>> {
        let given = Given::new(points)?;
        let allowed = nearness.tolerance - nearness.drawn;
        let single = |degree: usize| {
            let spline = Spline::polynomial(&given, degree)?;
            spline.keeps_to(0, &given.along, &given.points, allowed).then_some(spline)
        };
        DEGREES.into_iter().find_map(single).or_else(|| Spline::cubic_spans(&given, allowed))
    }

    /// The polynomial that meets the curve at its ends and between them where the Chebyshev polynomial of the degree is
    /// largest: its error is near the least there is for the degree.
    fn polynomial(given: &Given<D>, degree: usize) -> Option<Spline<D>> {
        if given.points.len() <= degree {
            return None;
        }
        let length = *given.along.last()?;
        let mut rows: Vec<(Vec<f64>, [f64; D])> = (0..=degree)
            .map(|k| {
                let share = 0.5 * (1.0 - (std::f64::consts::PI * k as f64 / degree as f64).cos());
                (bernstein(degree, share), given.at(share * length))
            })
            .collect();
        solve(&mut rows)?;
        let mut poles: Vec<[f64; D]> = rows.into_iter().map(|(_, pole)| pole).collect();
        // the ends as given, to the last digit
        (poles[0], poles[degree]) = (given.points[0], *given.points.last()?);
        Some(Spline { degree, knots: vec![0.0, length], spans: vec![poles] })
    }

    /// Cubic spans between some of the points, halved where they stray; their ends run as the points do there.
    fn cubic_spans(given: &Given<D>, allowed: f64) -> Option<Spline<D>> {
        let Given { along, points } = given;
        let last = points.len() - 1;
        let ends = [end_tangent(along, points, false)?, end_tangent(along, points, true)?];
        let spans = FIRST_SPANS.min(last);
        let mut chosen: Vec<usize> = (0..=spans).map(|i| i * last / spans).collect();
        loop {
            let of = |i: &usize| (along[*i], points[*i]);
            let (knots, through): (Vec<f64>, Vec<[f64; D]>) = chosen.iter().map(of).unzip();
            let spline = Spline::interpolating(knots, &through, ends);
            let keeps = |(span, pair): (usize, &[usize])| {
                spline.keeps_to(span, &along[pair[0]..=pair[1]], &points[pair[0]..=pair[1]], allowed)
            };
            let off: Vec<bool> = chosen.windows(2).enumerate().map(|pair| !keeps(pair)).collect();
            if !off.contains(&true) {
                return Some(spline);
            }
            let mut finer = Vec::with_capacity(2 * chosen.len());
            for (pair, off) in chosen.windows(2).zip(&off) {
                finer.push(pair[0]);
                if *off && pair[1] > pair[0] + 1 {
                    finer.push(usize::midpoint(pair[0], pair[1]));
                }
            }
            finer.push(last);
            if finer.len() == chosen.len() {
                // every given point is a knot already where it is wanted: a corner, not a curve
                return None;
            }
            chosen = finer;
        }
    }

    /// The twice continuously differentiable cubic spline through the points with given derivatives at its ends.
    ///
    /// With h the knot distances and m the derivatives, for each inner knot
    /// h_i m_{i−1} + 2 (h_{i−1} + h_i) m_i + h_{i−1} m_{i+1} = 3 (h_i s_{i−1} + h_{i−1} s_i), where s are the slopes of the
    /// chords: solved by elimination, which is stable since the middle term outweighs the others.
    /// Source: C. de Boor, A Practical Guide to Splines, chapter IV (from memory).
    fn interpolating(knots: Vec<f64>, points: &[[f64; D]], ends: [[f64; D]; 2]) -> Spline<D> {
        let count = knots.len();
        let step: Vec<f64> = knots.windows(2).map(|pair| pair[1] - pair[0]).collect();
        let mut tangents = vec![ends[0]; count];
        tangents[count - 1] = ends[1];
        // forward: each inner tangent = right side − above · the next tangent
        let mut above = vec![0.0; count];
        for i in 1..count - 1 {
            let pivot = 2.0 * (step[i - 1] + step[i]) - step[i] * above[i - 1];
            above[i] = step[i - 1] / pivot;
            let slope = |k: usize| combined(&points[k + 1], -1.0, &points[k]).map(|d| d / step[k]);
            let (before, behind, last) = (slope(i - 1), slope(i), tangents[i - 1]);
            tangents[i] = std::array::from_fn(|d| {
                (3.0 * (step[i] * before[d] + step[i - 1] * behind[d]) - step[i] * last[d]) / pivot
            });
        }
        for i in (1..count - 1).rev() {
            tangents[i] = combined(&tangents[i], -above[i], &tangents[i + 1]);
        }
        let bezier = |span: usize| {
            let third = step[span] / 3.0;
            let (from, to) = (points[span], points[span + 1]);
            vec![from, combined(&from, third, &tangents[span]), combined(&to, -third, &tangents[span + 1]), to]
        };
        let spans = (0..count - 1).map(bezier).collect();
        Spline { degree: 3, knots, spans }
    }

    pub fn degree(&self) -> usize {
        self.degree
    }

    pub fn knots(&self) -> &[f64] {
        &self.knots
    }

    /// The control points of each span.
    pub fn spans(&self) -> &[Vec<[f64; D]>] {
        &self.spans
    }

    pub fn start(&self) -> [f64; D] {
        self.spans[0][0]
    }

    pub fn end(&self) -> [f64; D] {
        self.spans[self.spans.len() - 1][self.degree]
    }

    /// The poles of the B-spline whose knots are single but for the ends, where they stand once more often than the degree.
    ///
    /// Of cubic spans, the pole between is the blossom of the span's cubic at three knots in a row.
    pub fn poles(&self) -> Vec<[f64; D]> {
        let (first, last) = (&self.spans[0], &self.spans[self.spans.len() - 1]);
        if self.spans.len() == 1 {
            return first.clone();
        }
        let mut poles = vec![first[0], first[1]];
        for (span, bezier) in self.spans.iter().enumerate().take(self.spans.len() - 1) {
            let knot = |i: usize| self.knots[i];
            let share = (knot(span + 2) - knot(span)) / (knot(span + 1) - knot(span));
            poles.push(std::array::from_fn(|d| bezier[1][d] + share * (bezier[2][d] - bezier[1][d])));
        }
        poles.extend([last[2], last[3]]);
        poles
    }

    /// The point of a span at a share of it, and the derivative by the share (de Casteljau).
    pub fn at(&self, span: usize, share: f64) -> ([f64; D], [f64; D]) {
        const MOST: usize = DEGREES[DEGREES.len() - 1] + 1;
        let mut work = [[0.0; D]; MOST];
        let count = self.degree + 1;
        work[..count].copy_from_slice(&self.spans[span]);
        for left in (2..count).rev() {
            for i in 0..left {
                work[i] = std::array::from_fn(|d| work[i][d] + share * (work[i + 1][d] - work[i][d]));
            }
        }
        let slope = std::array::from_fn(|d| work[1][d] - work[0][d]);
        (combined(&work[0], share, &slope), slope.map(|d| d * self.degree as f64))
    }

    /// The span, and the share of it, at a share of the whole.
    pub fn place(&self, share: f64) -> (usize, f64) {
        let (first, last) = (self.knots[0], self.knots[self.knots.len() - 1]);
        let at = first + share.clamp(0.0, 1.0) * (last - first);
        let span = self.knots.partition_point(|knot| *knot <= at).clamp(1, self.spans.len()) - 1;
        (span, (at - self.knots[span]) / (self.knots[span + 1] - self.knots[span]))
    }

    #[must_use]
    pub fn reversed(&self) -> Spline<D> {
        let (first, last) = (self.knots[0], self.knots[self.knots.len() - 1]);
        Spline {
            degree: self.degree,
            knots: self.knots.iter().rev().map(|knot| first + (last - knot)).collect(),
            spans: self.spans.iter().rev().map(|span| span.iter().rev().copied().collect()).collect(),
        }
    }

    /// The curve moved by an affine map.
    pub fn moved<const E: usize>(&self, map: impl Fn([f64; D]) -> [f64; E]) -> Spline<E> {
        Spline {
            degree: self.degree,
            knots: self.knots.clone(),
            spans: self.spans.iter().map(|span| span.iter().map(|pole| map(*pole)).collect()).collect(),
        }
    }

    fn keeps_to(&self, span: usize, along: &[f64], points: &[[f64; D]], allowed: f64) -> bool {
        let (from, step) = (self.knots[span], self.knots[span + 1] - self.knots[span]);
        TRIED.iter().all(|part| {
            along.windows(2).zip(points.windows(2)).all(|(along, ends)| {
                let parameter = along[0] + part * (along[1] - along[0]);
                let chord: [f64; D] = std::array::from_fn(|d| ends[0][d] + part * (ends[1][d] - ends[0][d]));
                distance(&self.at(span, (parameter - from) / step).0, &chord) <= allowed
            })
        })
    }
}

/// The points of a curve, with the length along their chords at each.
struct Given<const D: usize> {
    along: Vec<f64>,
    points: Vec<[f64; D]>,
}

impl<const D: usize> Given<D> {
    /// None of fewer than two points.
    fn new(points: &[[f64; D]]) -> Option<Given<D>> {
        let points = without_repeats(points);
        if points.len() < 2 {
            return None;
        }
        let mut along = Vec::with_capacity(points.len());
        let mut length = 0.0;
        along.push(length);
        for pair in points.windows(2) {
            length += distance(&pair[0], &pair[1]);
            along.push(length);
        }
        Some(Given { along, points })
    }

    /// The curve's point at a length along the chords: on the cubic through the four points about it.
    fn at(&self, length: f64) -> [f64; D] {
        let count = self.points.len().min(4);
        let above = self.along.partition_point(|along| *along <= length);
        let first = above.saturating_sub(2).min(self.points.len() - count);
        let mut out = [0.0; D];
        for i in first..first + count {
            let others = (first..first + count).filter(|j| *j != i);
            let weight: f64 = others.map(|j| (length - self.along[j]) / (self.along[i] - self.along[j])).product();
            out = combined(&out, weight, &self.points[i]);
        }
        out
    }
}

/// The Bernstein polynomials of a degree at a share.
fn bernstein(degree: usize, share: f64) -> Vec<f64> {
    let mut out = vec![1.0];
    for _ in 0..degree {
        let mut next = vec![0.0; out.len() + 1];
        for (i, value) in out.iter().enumerate() {
            next[i] += (1.0 - share) * value;
            next[i + 1] += share * value;
        }
        out = next;
    }
    out
}

/// Solves the rows, each of coefficients and a right side, which becomes the solution. None where they do not settle it.
fn solve<const D: usize>(rows: &mut [(Vec<f64>, [f64; D])]) -> Option<()> {
    let count = rows.len();
    for column in 0..count {
        let pivot = (column..count).max_by(|a, b| rows[*a].0[column].abs().total_cmp(&rows[*b].0[column].abs()))?;
        rows.swap(column, pivot);
        let (done, left) = rows.split_at_mut(column + 1);
        let (pivot, right) = &done[column];
        if pivot[column] == 0.0 {
            return None;
        }
        for (row, value) in left {
            let factor = row[column] / pivot[column];
            row.iter_mut().zip(pivot).for_each(|(a, b)| *a -= factor * b);
            *value = combined(value, -factor, right);
        }
    }
    for column in (0..count).rev() {
        let (above, from) = rows.split_at_mut(column);
        let (pivot, value) = &mut from[0];
        *value = value.map(|d| d / pivot[column]);
        for (row, right) in above {
            *right = combined(right, -row[column], value);
        }
    }
    Some(())
}

/// The derivative by the length along the chords at one end, of the cubic through the four outermost points.
fn end_tangent<const D: usize>(along: &[f64], points: &[[f64; D]], at_end: bool) -> Option<[f64; D]> {
    let count = points.len().min(4);
    let index = |i: usize| if at_end { points.len() - 1 - i } else { i };
    let here = along[index(0)];
    let mut tangent = [0.0; D];
    // derivative of each Lagrange polynomial at the first of its points
    for i in 0..count {
        let others = || (0..count).filter(|j| *j != i);
        let factor: f64 = if i == 0 {
            others().map(|j| 1.0 / (here - along[index(j)])).sum()
        } else {
            let rest: f64 = others().filter(|j| *j != 0).map(|j| here - along[index(j)]).product();
            let base: f64 = others().map(|j| along[index(i)] - along[index(j)]).product();
            rest / base
        };
        tangent = combined(&tangent, factor, &points[index(i)]);
    }
    let length = tangent.iter().map(|d| d * d).sum::<f64>().sqrt();
    (length.is_finite() && length > 0.0).then_some(tangent)
}

fn without_repeats<const D: usize>(points: &[[f64; D]]) -> Vec<[f64; D]> {
    let mut out: Vec<[f64; D]> = Vec::with_capacity(points.len());
    for point in points {
        if out.last().is_none_or(|last| distance(last, point) > geometry::outline::JOINED) {
            out.push(*point);
        }
    }
    // the end itself is kept, for the next piece begins there
    if let (Some(kept), Some(end)) = (out.last_mut(), points.last()) {
        *kept = *end;
    }
    out
}

fn combined<const D: usize>(a: &[f64; D], share: f64, b: &[f64; D]) -> [f64; D] {
    std::array::from_fn(|d| a[d] + share * b[d])
}

fn distance<const D: usize>(a: &[f64; D], b: &[f64; D]) -> f64 {
    a.iter().zip(b).map(|(a, b)| (a - b) * (a - b)).sum::<f64>().sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn turn(points: u32, angle: f64) -> Vec<[f64; 2]> {
        let at = |i: u32| (f64::from(i) / f64::from(points) * angle).sin_cos();
        (0..=points).map(|i| at(i).into()).collect()
    }

    /// A quarter turn is one polynomial; two turns to a thousandth of that are not.
    #[test]
    fn a_circle_is_followed_within_the_tolerance() {
        use std::f64::consts::{FRAC_PI_2, TAU};
        for (angle, tolerance, single) in [(FRAC_PI_2, 1e-6, true), (2.0 * TAU, 1e-6, false)] {
            let points = turn(20_000, angle);
            let drawn = 1.0 - (angle / 40_000.0).cos();
            let spline = Spline::through(&points, Nearness { tolerance, drawn }).expect("smooth");
            assert_eq!(spline.spans().len() == 1, single);
            for span in 0..spline.spans().len() {
                for part in 0..50 {
                    let ([x, y], _) = spline.at(span, f64::from(part) / 50.0);
                    assert!((x.hypot(y) - 1.0).abs() < tolerance);
                }
            }
        }
    }

    #[test]
    fn a_corner_is_no_curve() {
        let level = (0..20).map(|i| [f64::from(i), 0.0]);
        let bent: Vec<[f64; 2]> = level.chain((1..20).map(|i| [19.0, f64::from(i)])).collect();
        assert_eq!(Spline::through(&bent, Nearness { tolerance: 1e-3, drawn: 0.0 }), None);
    }

    /// De Boor's rule on knots and poles gives the same points as the Bézier spans.
    #[test]
    fn the_poles_give_the_same_curve() {
        for angle in [1.0, 12.0] {
            let spline =
                Spline::through(&turn(3_000, angle), Nearness { tolerance: 1e-5, drawn: 0.0 }).expect("smooth");
            let (poles, inner, degree) = (spline.poles(), spline.knots(), spline.degree());
            let mut knots = vec![inner[0]; degree];
            knots.extend(inner);
            knots.extend(vec![inner[inner.len() - 1]; degree]);
            for span in 0..spline.spans().len() {
                let at = inner[span] + 0.3 * (inner[span + 1] - inner[span]);
                let mut d: Vec<[f64; 2]> = poles[span..=span + degree].to_vec();
                for round in 1..=degree {
                    for j in (round..=degree).rev() {
                        let (low, high) = (knots[span + j], knots[span + j + degree + 1 - round]);
                        let share = (at - low) / (high - low);
                        d[j] = std::array::from_fn(|k| d[j - 1][k] + share * (d[j][k] - d[j - 1][k]));
                    }
                }
                assert!(distance(&d[degree], &spline.at(span, 0.3).0) < 1e-12);
            }
        }
    }
}
