//! A blurred step in a row of greys, and where exactly it is.
//!
//! Model: y(t) = b + A Φ((t − x)/s), Φ the normal distribution: a straight edge after the lens, the sensor's square and the
//! sampling. With noise n to a sample no estimate of x can be better than (n/A)·√(2√π·s) on average (the Cramér–Rao bound
//! for known b, A and s); the least-squares fit comes within a few per cent of it.

use std::f64::consts::PI;
use std::sync::LazyLock;

use crate::solve::Normal;

/// A fitted step, its samples counted from 0.
#[derive(Clone, Copy, Debug)]
pub struct Step {
    pub at: f64,
    /// Greys it rises by.
    pub height: f64,
    /// Standard deviation of what the fit leaves.
    pub rest: f64,
    /// Standard deviation of `at` for noise 1.
    pub per_noise: f64,
}

/// √(2√π·s)·n/A: what no estimate can beat. Pixels and greys.
pub fn bound(noise: f64, height: f64, blur: f64) -> f64 {
    noise / height * (2.0 * PI.sqrt() * blur).sqrt()
}

/// One step near `start`. None where there is no such thing.
pub fn one(samples: &[f64], start: f64, blur: f64) -> Option<Step> {
    let count = samples.len();
    if count < 5 {
        return None;
    }
    let mut at = start;
    let mut height = samples[count - 1] - samples[0];
    let mut solved = None;
    for _ in 0..8 {
        let mut normal = Normal::<3>::default();
        for (index, &sample) in samples.iter().enumerate() {
            let u = (index as f64 - at) / blur;
            normal.add([1.0, rise(u), -height / blur * density(u)], sample, 1.0);
        }
        let inverse = normal.inverse()?;
        let [base, new_height, shift] = normal.solve()?;
        if !shift.is_finite() || new_height == 0.0 {
            return None;
        }
        let shift = shift.clamp(-1.5, 1.5);
        at += shift;
        height = new_height;
        solved = Some((base, inverse[2][2].sqrt()));
        if !(-1.0..=count as f64).contains(&at) {
            return None;
        }
        if shift.abs() < 2e-4 {
            break;
        }
    }
    let (base, per_noise) = solved?;
    let rest = misfit(samples, |t| base + height * rise((t - at) / blur));
    let rest = (rest / (count as f64 - 3.0).max(1.0)).sqrt();
    (height > 0.0).then_some(Step { at, height, rest, per_noise })
}

/// One step whose ground side slopes, as under the shadow of a lid.
pub fn one_on_slope(samples: &[f64], start: f64, blur: f64) -> Option<Step> {
    let count = samples.len();
    if count < 7 {
        return None;
    }
    let mut at = start;
    let (mut height, mut slope) = (samples[count - 1] - samples[0], 0.0);
    let mut solved = None;
    // the blurred ramp that ends where the step begins
    let ramp = |u: f64| blur * (u * (1.0 - rise(u)) - density(u));
    for _ in 0..10 {
        let mut normal = Normal::<4>::default();
        for (index, &sample) in samples.iter().enumerate() {
            let u = (index as f64 - at) / blur;
            let moved = -height / blur * density(u) - slope * (1.0 - rise(u));
            normal.add([1.0, ramp(u), rise(u), moved], sample, 1.0);
        }
        let inverse = normal.inverse()?;
        let [base, new_slope, new_height, shift] = normal.solve()?;
        if !shift.is_finite() {
            return None;
        }
        let shift = shift.clamp(-1.0, 1.0);
        at += shift;
        (height, slope) = (new_height, new_slope);
        solved = Some((base, inverse[3][3].sqrt()));
        if !(0.0..=count as f64).contains(&at) {
            return None;
        }
        if shift.abs() < 2e-4 {
            break;
        }
    }
    let (base, per_noise) = solved?;
    let rest = misfit(samples, |t| {
        let u = (t - at) / blur;
        base + slope * ramp(u) + height * rise(u)
    });
    let rest = (rest / (count as f64 - 4.0).max(1.0)).sqrt();
    (height > 0.0).then_some(Step { at, height, rest, per_noise })
}

/// Two steps, of which the first is told: the ground against a chamfer's rim, the rim against the face.
pub fn first_of_two(samples: &[f64], start: f64, blur: f64) -> Option<Step> {
    let count = samples.len();
    if count < 8 {
        return None;
    }
    let mut best: Option<(f64, f64, f64)> = None;
    for first in [start - 2.0, start - 1.0, start, start + 1.0] {
        for apart in [1.6, 2.5, 3.6, 5.0, 7.0, 9.5] {
            let second = first + apart;
            if first < 0.5 || second > count as f64 - 1.5 {
                continue;
            }
            let mut normal = Normal::<3>::default();
            let row = |index: usize| [1.0, rise((index as f64 - first) / blur), rise((index as f64 - second) / blur)];
            for (index, &sample) in samples.iter().enumerate() {
                normal.add(row(index), sample, 1.0);
            }
            let Some(terms) = normal.solve() else { continue };
            let rest: f64 = samples
                .iter()
                .enumerate()
                .map(|(index, sample)| {
                    (sample - row(index).iter().zip(terms).map(|(shape, term)| shape * term).sum::<f64>()).powi(2)
                })
                .sum();
            if best.is_none_or(|(least, ..)| rest < least) {
                best = Some((rest, first, second));
            }
        }
    }
    let (_, mut first, mut second) = best?;
    let (mut one, mut two) = (0.0, 0.0);
    let mut solved = None;
    for round in 0..12 {
        let mut normal = Normal::<5>::default();
        for (index, &sample) in samples.iter().enumerate() {
            let (u, v) = ((index as f64 - first) / blur, (index as f64 - second) / blur);
            // in the first round only heights are looked for
            let slope = |height: f64, w: f64| if round == 0 { 1e-3 * density(w) } else { -height / blur * density(w) };
            normal.add([1.0, rise(u), rise(v), slope(one, u), slope(two, v)], sample, 1.0);
        }
        let inverse = normal.inverse()?;
        let [base, new_one, new_two, shift, other] = normal.solve()?;
        (one, two) = (new_one, new_two);
        if round == 0 {
            continue;
        }
        let (shift, other) = (shift.clamp(-0.7, 0.7), other.clamp(-0.7, 0.7));
        first += shift;
        second += other;
        solved = Some((base, inverse[3][3].sqrt()));
        if second - first < blur || first < 0.0 || second > count as f64 {
            return None;
        }
        if shift.abs().max(other.abs()) < 1e-3 {
            break;
        }
    }
    let (base, per_noise) = solved?;
    let rest = misfit(samples, |t| base + one * rise((t - first) / blur) + two * rise((t - second) / blur));
    let rest = (rest / (count as f64 - 5.0).max(1.0)).sqrt();
    (one > 0.0).then_some(Step { at: first, height: one, rest, per_noise })
}

/// The sum of squares that a profile leaves of the samples.
fn misfit(samples: &[f64], profile: impl Fn(f64) -> f64) -> f64 {
    samples.iter().enumerate().map(|(index, sample)| (sample - profile(index as f64)).powi(2)).sum()
}

/// Steps of the table of Φ to one standard deviation, and how far it goes.
const FINE: f64 = 128.0;
const FAR: f64 = 5.0;

static RISE: LazyLock<Vec<f64>> = LazyLock::new(|| {
    // Simpson's rule over each step of the table; 1e-13 and better
    let count = (FAR * FINE) as usize;
    let mut out = vec![0.5];
    let width = 1.0 / FINE;
    for index in 0..=count {
        let from = index as f64 * width;
        let part = width / 6.0 * (density(from) + 4.0 * density(from + 0.5 * width) + density(from + width));
        out.push(out[index] + part);
    }
    out
});

/// Φ(u), by its table and a parabola between: 1e-7.
pub fn rise(u: f64) -> f64 {
    let table: &[f64] = &RISE;
    let place = u.abs() * FINE;
    let value = if place >= FAR * FINE {
        1.0
    } else {
        let index = place as usize;
        let part = place - index as f64;
        let bend = -(u.abs() * density(u)) / (FINE * FINE);
        table[index] + part * (table[index + 1] - table[index]) - 0.5 * bend * part * (1.0 - part)
    };
    if u < 0.0 { 1.0 - value } else { value }
}

pub fn density(u: f64) -> f64 {
    (-0.5 * u * u).exp() / (2.0 * PI).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Abramowitz and Stegun, Handbook of Mathematical Functions, table 26.1.
    #[test]
    fn the_normal_distribution_by_its_table() {
        for (u, p) in [(0.0, 0.5), (0.5, 0.691_462_461_3), (1.0, 0.841_344_746_1), (2.0, 0.977_249_868_1)] {
            assert!((rise(u) - p).abs() < 2e-7, "{u}: {}", rise(u));
            assert!((rise(-u) - (1.0 - p)).abs() < 2e-7, "{u}");
        }
    }

    #[test]
    fn a_clean_step_is_found_exactly() {
        for at in [3.2, 4.0, 5.4] {
            let samples: Vec<f64> = (0..10).map(|t| 20.0 + 150.0 * rise((f64::from(t) - at) / 0.9)).collect();
            let step = one(&samples, 4.5, 0.9).unwrap();
            assert!((step.at - at).abs() < 1e-4 && (step.height - 150.0).abs() < 1e-2, "{step:?}");
        }
    }

    #[test]
    fn the_outer_edge_of_a_chamfer_is_found() {
        for apart in [2.6, 4.3, 8.0] {
            let at = 5.3;
            let value = |t: f64| 20.0 + 70.0 * rise((t - at) / 0.9) + 80.0 * rise((t - at - apart) / 0.9);
            let samples: Vec<f64> = (0..20).map(|t| value(f64::from(t))).collect();
            let step = first_of_two(&samples, 6.0, 0.9).unwrap();
            assert!((step.at - at).abs() < 1e-2 && (step.height - 70.0).abs() < 1.0, "{step:?}");
        }
    }
}
