//! Cubic splines through points of a smooth curve, in the plane or in space.
//!
//! Plain `f64` millimetres. A spline here interpolates some of the points and is twice continuously differentiable; its ends
//! run as the points do there.

/// A clamped cubic spline: at each knot a point and the derivative by the parameter, which is the length along the chords.
#[derive(Clone, Debug, PartialEq)]
pub struct Spline<const D: usize> {
    knots: Vec<f64>,
    points: Vec<[f64; D]>,
    tangents: Vec<[f64; D]>,
}

/// How near a fitted spline must come.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Nearness {
    /// To the true curve.
    pub tolerance: f64,
    /// How far the chords between the given points may lie from the true curve.
    pub drawn: f64,
}

/// Spans to begin with; most flanks want a few more.
const FIRST_SPANS: usize = 4;
/// Where between two given points the spline is held against their chord, as parts of it.
const TRIED: [f64; 4] = [0.25, 0.5, 0.75, 1.0];

impl<const D: usize> Spline<D> {
    /// The spline with fewest knots, by halving, that keeps within the tolerance of the curve the points lie on; none where
    /// the points do not run smoothly enough.
    ///
    /// The true curve keeps within `drawn` of the chords. The spline is held against the chords at equal parameters, five
    /// times on each, and keeps within what is left of the tolerance; so every point of either lies within the tolerance of
    /// the other.
    pub fn through(points: &[[f64; D]], nearness: Nearness) -> Option<Spline<D>> {
        let points = without_repeats(points);
        let last = points.len().checked_sub(1).filter(|last| *last >= 1)?;
        let mut along = vec![0.0];
        for pair in points.windows(2) {
            along.push(along.last()? + distance(&pair[0], &pair[1]));
        }
        let allowed = nearness.tolerance - nearness.drawn;
        let ends = [end_tangent(&along, &points, false)?, end_tangent(&along, &points, true)?];
        let spans = FIRST_SPANS.min(last);
        let mut chosen: Vec<usize> = (0..=spans).map(|i| i * last / spans).collect();
        loop {
            let spline = Spline::interpolating(
                chosen.iter().map(|i| along[*i]).collect(),
                chosen.iter().map(|i| points[*i]).collect(),
                ends,
            );
            let off: Vec<bool> = chosen
                .windows(2)
                .enumerate()
                .map(|(span, pair)| !spline.keeps_to(span, &along[pair[0]..=pair[1]], &points[pair[0]..=pair[1]], allowed))
                .collect();
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
    fn interpolating(knots: Vec<f64>, points: Vec<[f64; D]>, ends: [[f64; D]; 2]) -> Spline<D> {
        let count = knots.len();
        let step: Vec<f64> = knots.windows(2).map(|pair| pair[1] - pair[0]).collect();
        let mut tangents = vec![ends[0]; count];
        tangents[count - 1] = ends[1];
        // forward: each inner tangent = right side − above · the next tangent
        let mut above = vec![0.0; count];
        for i in 1..count - 1 {
            let pivot = 2.0 * (step[i - 1] + step[i]) - step[i] * above[i - 1];
            above[i] = step[i - 1] / pivot;
            for d in 0..D {
                let slope = |k: usize| (points[k + 1][d] - points[k][d]) / step[k];
                let right = 3.0 * (step[i] * slope(i - 1) + step[i - 1] * slope(i));
                tangents[i][d] = (right - step[i] * tangents[i - 1][d]) / pivot;
            }
        }
        for i in (1..count - 1).rev() {
            for d in 0..D {
                tangents[i][d] -= above[i] * tangents[i + 1][d];
            }
        }
        Spline { knots, points, tangents }
    }

    pub fn knots(&self) -> &[f64] {
        &self.knots
    }

    pub fn start(&self) -> [f64; D] {
        self.points[0]
    }

    pub fn end(&self) -> [f64; D] {
        self.points[self.points.len() - 1]
    }

    pub fn spans(&self) -> usize {
        self.knots.len() - 1
    }

    /// A span as the control points of a Bézier cubic.
    pub fn bezier(&self, span: usize) -> [[f64; D]; 4] {
        let third = (self.knots[span + 1] - self.knots[span]) / 3.0;
        let (from, to) = (self.points[span], self.points[span + 1]);
        let (out, into) = (self.tangents[span], self.tangents[span + 1]);
        [from, combined(&from, third, &out), combined(&to, -third, &into), to]
    }

    /// The poles of the B-spline of degree 3 with these knots, four-fold at the ends and single between.
    ///
    /// The pole between is the blossom of the span's cubic at three knots in a row.
    pub fn poles(&self) -> Vec<[f64; D]> {
        let spans = self.spans();
        let (first, last) = (self.bezier(0), self.bezier(spans - 1));
        let mut poles = vec![first[0], first[1]];
        for span in 0..spans - 1 {
            let [_, b1, b2, _] = self.bezier(span);
            let knot = |i: usize| self.knots[i];
            let share = (knot(span + 2) - knot(span)) / (knot(span + 1) - knot(span));
            poles.push(std::array::from_fn(|d| b1[d] + share * (b2[d] - b1[d])));
        }
        poles.extend([last[2], last[3]]);
        poles
    }

    /// The point of a span at a share of it.
    pub fn at(&self, span: usize, share: f64) -> [f64; D] {
        let [a, b, c, d] = self.bezier(span);
        let rest = 1.0 - share;
        let weights =
            [rest * rest * rest, 3.0 * rest * rest * share, 3.0 * rest * share * share, share * share * share];
        std::array::from_fn(|k| weights[0] * a[k] + weights[1] * b[k] + weights[2] * c[k] + weights[3] * d[k])
    }

    /// The span, and the share of it, at a share of the whole.
    pub fn place(&self, share: f64) -> (usize, f64) {
        let (first, last) = (self.knots[0], self.knots[self.knots.len() - 1]);
        let at = first + share.clamp(0.0, 1.0) * (last - first);
        let span = self.knots.partition_point(|knot| *knot <= at).clamp(1, self.spans()) - 1;
        (span, (at - self.knots[span]) / (self.knots[span + 1] - self.knots[span]))
    }

    /// The derivative by the parameter.
    pub fn slope(&self, span: usize, share: f64) -> [f64; D] {
        let [a, b, c, d] = self.bezier(span);
        let (rest, step) = (1.0 - share, self.knots[span + 1] - self.knots[span]);
        let weights = [rest * rest, 2.0 * rest * share, share * share].map(|weight| 3.0 * weight / step);
        std::array::from_fn(|k| {
            weights[0] * (b[k] - a[k]) + weights[1] * (c[k] - b[k]) + weights[2] * (d[k] - c[k])
        })
    }

    #[must_use]
    pub fn reversed(&self) -> Spline<D> {
        let (first, last) = (self.knots[0], self.knots[self.knots.len() - 1]);
        Spline {
            knots: self.knots.iter().rev().map(|knot| first + (last - knot)).collect(),
            points: self.points.iter().rev().copied().collect(),
            tangents: self.tangents.iter().rev().map(|tangent| tangent.map(|d| -d)).collect(),
        }
    }

    /// The same curve with its points moved by a map that keeps lengths, and its directions turned by it.
    pub fn moved<const E: usize>(
        &self,
        point: impl Fn([f64; D]) -> [f64; E],
        direction: impl Fn([f64; D]) -> [f64; E],
    ) -> Spline<E> {
        Spline {
            knots: self.knots.clone(),
            points: self.points.iter().map(|p| point(*p)).collect(),
            tangents: self.tangents.iter().map(|t| direction(*t)).collect(),
        }
    }

    fn keeps_to(&self, span: usize, along: &[f64], points: &[[f64; D]], allowed: f64) -> bool {
        let (from, step) = (self.knots[span], self.knots[span + 1] - self.knots[span]);
        along.windows(2).zip(points.windows(2)).all(|(along, ends)| {
            TRIED.iter().all(|part| {
                let parameter = along[0] + part * (along[1] - along[0]);
                let chord: [f64; D] = std::array::from_fn(|d| ends[0][d] + part * (ends[1][d] - ends[0][d]));
                distance(&self.at(span, (parameter - from) / step), &chord) <= allowed
            })
        })
    }
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
            let product = |skip: usize| -> f64 { others().filter(|j| *j != skip).map(|j| here - along[index(j)]).product() };
            let base: f64 = others().map(|j| along[index(i)] - along[index(j)]).product();
            product(0) / base
        };
        for (d, component) in tangent.iter_mut().enumerate() {
            *component += factor * points[index(i)][d];
        }
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

    fn quarter(points: u32) -> Vec<[f64; 2]> {
        (0..=points).map(|i| (f64::from(i) / f64::from(points) * std::f64::consts::FRAC_PI_2).sin_cos().into()).collect()
    }

    #[test]
    fn a_quarter_circle_is_followed_within_the_tolerance() {
        // sagitta of the chords: 1 − cos(π/4000) = 3.1e-7
        let nearness = Nearness { tolerance: 1e-5, drawn: 3.1e-7 };
        let spline = Spline::through(&quarter(1000), nearness).expect("smooth");
        assert!(spline.spans() <= 8, "{}", spline.spans());
        for span in 0..spline.spans() {
            for part in 0..50 {
                let [x, y] = spline.at(span, f64::from(part) / 50.0);
                assert!((x.hypot(y) - 1.0).abs() < 1e-5);
            }
        }
    }

    #[test]
    fn a_corner_is_no_curve() {
        let bent: Vec<[f64; 2]> = (0..10).map(|i| [f64::from(i), 0.0]).chain((1..10).map(|i| [9.0, f64::from(i)])).collect();
        assert_eq!(Spline::through(&bent, Nearness { tolerance: 1e-3, drawn: 0.0 }), None);
    }

    /// De Boor's rule on the poles gives the same points as the Bézier spans.
    #[test]
    fn the_poles_give_the_same_curve() {
        let spline = Spline::through(&quarter(500), Nearness { tolerance: 1e-8, drawn: 0.0 }).expect("smooth");
        let (poles, inner) = (spline.poles(), spline.knots());
        let mut knots = vec![inner[0]; 3];
        knots.extend(inner);
        knots.extend([inner[inner.len() - 1]; 3]);
        for span in 0..spline.spans() {
            let at = inner[span] + 0.3 * (inner[span + 1] - inner[span]);
            let mut d: Vec<[f64; 2]> = poles[span..span + 4].to_vec();
            for round in 1..=3 {
                for j in (round..=3).rev() {
                    let (low, high) = (knots[span + j], knots[span + j + 4 - round]);
                    let share = (at - low) / (high - low);
                    d[j] = std::array::from_fn(|k| d[j - 1][k] + share * (d[j][k] - d[j - 1][k]));
                }
            }
            assert!(distance(&d[3], &spline.at(span, 0.3)) < 1e-13);
        }
    }
}
