//! The evidence of a linear model whose free values are normal or one-sided.
//!
//! Normal priors and normal readings integrate exactly. Each one-sided prior (1/s) exp(−θ/s), θ ≥ 0, is stood in for by
//! a normal factor that has the same first two moments in its place: expectation propagation (T. P. Minka, "Expectation
//! Propagation for Approximate Bayesian Inference", UAI 2001; evidence after Rasmussen & Williams, "Gaussian Processes
//! for Machine Learning", 2006, eq. 3.65, from memory). With one one-sided value it is exact.

use nalgebra::{Cholesky, DMatrix, DVector, Dyn};
use part::Prior;

use crate::linear::Linear;
use crate::normal::{LN_SQRT_TAU, hazard, ln_cdf};

/// The free values given the readings.
#[derive(Clone, Debug)]
pub struct Posterior {
    pub mean: DVector<f64>,
    pub covariance: DMatrix<f64>,
    pub log_evidence: f64,
}

/// The natural parameters of a normal factor of one value, exp(−½ p θ² + h θ).
#[derive(Clone, Copy, Debug)]
struct Factor {
    precision: f64,
    pull: f64,
}

/// More sweeps than this change nothing that is printed.
const MOST_SWEEPS: usize = 30;
const CONVERGED: f64 = 1e-7;

/// The posterior of the free values, and ln ∫ p(readings | θ) p(θ) dθ, from the readings for which `value` is given
/// (the value read, or the one that was meant).
pub fn integrate(linear: &Linear, values: &[Option<f64>]) -> Option<Posterior> {
    let size = linear.priors.len();
    let mut precision = DMatrix::<f64>::zeros(size, size);
    let mut pull = DVector::<f64>::zeros(size);
    let mut constant = 0.0;
    for (row, value) in values.iter().enumerate() {
        let Some(value) = value else { continue };
        let predicted = linear.predicted[row];
        if predicted.is_nan() {
            return None;
        }
        let sigma = linear.sigma[row];
        let slopes = linear.jacobian.row(row);
        let residual = value - predicted + slopes.dot(&linear.at.transpose());
        for i in 0..size {
            pull[i] += slopes[i] * residual / (sigma * sigma);
            for j in 0..size {
                precision[(i, j)] += slopes[i] * slopes[j] / (sigma * sigma);
            }
        }
        constant -= 0.5 * (residual / sigma).powi(2) + sigma.ln() + LN_SQRT_TAU;
    }
    for (at, prior) in linear.priors.iter().enumerate() {
        if let Prior::Normal { mean, sigma } = *prior {
            precision[(at, at)] += 1.0 / (sigma * sigma);
            pull[at] += mean / (sigma * sigma);
            constant -= 0.5 * (mean / sigma).powi(2) + sigma.ln() + LN_SQRT_TAU;
        }
    }
    propagate(&linear.priors, &precision, &pull, constant)
}

fn propagate(
    priors: &[Prior],
    base_precision: &DMatrix<f64>,
    base_pull: &DVector<f64>,
    constant: f64,
) -> Option<Posterior> {
    let mut factors: Vec<(usize, f64, Factor)> = priors
        .iter()
        .enumerate()
        .filter_map(|(at, prior)| match *prior {
            // to begin with, a normal with the mean and the variance of the exponential itself
            Prior::OneSided { scale } => {
                Some((at, scale, Factor { precision: 1.0 / (scale * scale), pull: 1.0 / scale }))
            }
            Prior::Normal { .. } => None,
        })
        .collect();
    let (mut mean, mut covariance, _) = joint(base_precision, base_pull, &factors)?;
    for _ in 0..MOST_SWEEPS {
        let mut change: f64 = 0.0;
        for (at, scale, factor) in &mut factors {
            let Some(tilted) = Tilted::of(cavity(mean[*at], covariance[(*at, *at)], *factor), *scale) else {
                continue;
            };
            let new = tilted.factor();
            let (precision, pull) = (new.precision - factor.precision, new.pull - factor.pull);
            change = change.max((precision * *scale * *scale).abs()).max((pull * *scale).abs());
            *factor = new;
            exchange(&mut mean, &mut covariance, *at, precision, pull);
        }
        if change < CONVERGED {
            break;
        }
    }
    let (mean, covariance, log_partition) = joint(base_precision, base_pull, &factors)?;
    let mut log_evidence = constant + log_partition;
    for &(at, scale, factor) in &factors {
        let tilted = Tilted::of(cavity(mean[at], covariance[(at, at)], factor), scale)?;
        log_evidence += tilted.log_mass - log_partition_of(mean[at], covariance[(at, at)])
            + log_partition_of(tilted.cavity_mean, tilted.cavity_variance);
    }
    log_evidence.is_finite().then_some(Posterior { mean, covariance, log_evidence })
}

/// Mean and covariance when one value's factor gains this precision and pull (Sherman & Morrison, 1950).
fn exchange(mean: &mut DVector<f64>, covariance: &mut DMatrix<f64>, at: usize, precision: f64, pull: f64) {
    let column: DVector<f64> = covariance.column(at).into_owned();
    let share = 1.0 / (1.0 + precision * column[at]);
    let step = (pull - precision * mean[at]) * share;
    mean.axpy(step, &column, 1.0);
    covariance.ger(-precision * share, &column, &column, 1.0);
}

/// Mean, covariance and ln ∫ exp(−½ θᵀΛθ + ηᵀθ) dθ of base and factors together.
fn joint(
    precision: &DMatrix<f64>,
    pull: &DVector<f64>,
    factors: &[(usize, f64, Factor)],
) -> Option<(DVector<f64>, DMatrix<f64>, f64)> {
    let mut precision = precision.clone();
    let mut pull = pull.clone();
    for (at, _, factor) in factors {
        precision[(*at, *at)] += factor.precision;
        pull[*at] += factor.pull;
    }
    let cholesky: Cholesky<f64, Dyn> = Cholesky::new(precision)?;
    let mean = cholesky.solve(&pull);
    let half_log_determinant: f64 = cholesky.l_dirty().diagonal().iter().map(|entry| entry.ln()).sum();
    let log_partition = 0.5 * pull.dot(&mean) - half_log_determinant + LN_SQRT_TAU * pull.len() as f64;
    Some((mean, cholesky.inverse(), log_partition))
}

/// As the last of [`joint`], for one value of this mean and variance.
fn log_partition_of(mean: f64, variance: f64) -> f64 {
    0.5 * mean * mean / variance + 0.5 * variance.ln() + LN_SQRT_TAU
}

/// A marginal with one factor taken out.
fn cavity(mean: f64, variance: f64, factor: Factor) -> Factor {
    Factor { precision: 1.0 / variance - factor.precision, pull: mean / variance - factor.pull }
}

/// A cavity times the true one-sided prior: a normal cut off at zero.
struct Tilted {
    cavity_mean: f64,
    cavity_variance: f64,
    mean: f64,
    variance: f64,
    log_mass: f64,
}

/// A cavity flatter than this many scales knows nothing of the value; it is taken as this flat, which changes the
/// moments by less than a part in a million and keeps the sums finite.
const FLATTEST: f64 = 1e4;

impl Tilted {
    fn of(cavity: Factor, scale: f64) -> Option<Tilted> {
        let precision = cavity.precision.max(1.0 / (FLATTEST * scale).powi(2));
        let (mean, variance) = (cavity.pull / precision, 1.0 / precision);
        let sd = variance.sqrt();
        let shifted = mean - variance / scale;
        let z = shifted / sd;
        let lift = hazard(z);
        let log_mass = -scale.ln() - mean / scale + 0.5 * variance / (scale * scale) + ln_cdf(z);
        let tilted = Tilted {
            cavity_mean: mean,
            cavity_variance: variance,
            mean: shifted + sd * lift,
            variance: variance * (1.0 - lift * (z + lift)),
            log_mass,
        };
        (tilted.variance > 0.0 && tilted.mean.is_finite() && tilted.log_mass.is_finite()).then_some(tilted)
    }

    fn factor(&self) -> Factor {
        Factor {
            precision: 1.0 / self.variance - 1.0 / self.cavity_variance,
            pull: self.mean / self.variance - self.cavity_mean / self.cavity_variance,
        }
    }
}

#[cfg(test)]
mod tests {
    use nalgebra::{DMatrix, DVector};
    use proptest::prelude::*;

    use super::*;

    /// ln ∫ p(readings | θ) p(θ) dθ by the midpoint sum, over ten standard deviations of each value about its mean, or
    /// from zero where it is one-sided.
    fn by_quadrature(linear: &Linear, around: &Posterior, steps: usize) -> f64 {
        let size = linear.priors.len();
        let range = |at: usize| {
            let (mean, spread) = (around.mean[at], 10.0 * around.covariance[(at, at)].sqrt());
            match linear.priors[at] {
                Prior::Normal { .. } => (mean - spread, mean + spread),
                Prior::OneSided { .. } => ((mean - spread).max(0.0), mean + spread),
            }
        };
        let ranges: Vec<(f64, f64)> = (0..size).map(range).collect();
        let cell: f64 = ranges.iter().map(|(low, high)| (high - low) / steps as f64).product();
        let mut logs = Vec::with_capacity(steps.pow(size as u32));
        for index in 0..steps.pow(size as u32) {
            let mut rest = index;
            let point = DVector::from_iterator(
                size,
                ranges.iter().map(|(low, high)| {
                    let step = rest % steps;
                    rest /= steps;
                    low + (step as f64 + 0.5) * (high - low) / steps as f64
                }),
            );
            let mut log = 0.0;
            for (prior, value) in linear.priors.iter().zip(point.iter()) {
                log += match *prior {
                    Prior::Normal { mean, sigma } => -0.5 * ((value - mean) / sigma).powi(2) - sigma.ln() - LN_SQRT_TAU,
                    Prior::OneSided { scale } => -value / scale - scale.ln(),
                };
            }
            let predicted = &linear.predicted + &linear.jacobian * (&point - &linear.at);
            for row in 0..predicted.len() {
                let sigma = linear.sigma[row];
                let off = (linear.observed[row] - predicted[row]) / sigma;
                log += -0.5 * off * off - sigma.ln() - LN_SQRT_TAU;
            }
            logs.push(log);
        }
        let most = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        most + (logs.iter().map(|log| (log - most).exp()).sum::<f64>() * cell).ln()
    }

    /// A model whose readings are what it predicts at some point, and off by a few of their uncertainties.
    fn model(priors: Vec<Prior>, rows: usize) -> impl Strategy<Value = Linear> {
        let size = priors.len();
        let each = |low: f64, high: f64, count: usize| prop::collection::vec(low..high, count);
        (each(-1.0, 2.0, rows * size), each(0.0, 2.0, size), each(-2.0, 2.0, rows), each(0.05, 1.0, rows)).prop_map(
            move |(slopes, truth, off, sigma)| {
                let jacobian = DMatrix::from_row_slice(rows, size, &slopes);
                let at = DVector::from_element(size, 0.5);
                let sigma = DVector::from_vec(sigma);
                let observed =
                    &jacobian * (DVector::from_vec(truth) - &at) + DVector::from_vec(off).component_mul(&sigma);
                Linear { at, priors: priors.clone(), predicted: DVector::zeros(rows), jacobian, observed, sigma }
            },
        )
    }

    fn differ(linear: &Linear, steps: usize) -> f64 {
        let values: Vec<Option<f64>> = linear.observed.iter().map(|value| Some(*value)).collect();
        let fitted = integrate(linear, &values).expect("a model with proper priors");
        fitted.log_evidence - by_quadrature(linear, &fitted, steps)
    }

    const NORMAL: Prior = Prior::Normal { mean: 0.2, sigma: 0.7 };
    const WEAR: Prior = Prior::OneSided { scale: 0.8 };
    const WORST: f64 = 0.25;

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(32))]

        /// With one one-sided value, moments matched are all there is to match.
        #[test]
        fn one_one_sided_value_is_exact(linear in model(vec![WEAR], 3)) {
            prop_assert!(differ(&linear, 20_000).abs() < 1e-4);
        }

        #[test]
        fn one_of_each_is_exact(linear in model(vec![NORMAL, WEAR], 3)) {
            prop_assert!(differ(&linear, 600).abs() < 1e-3);
        }

        /// Off by less than a tenth of a natural unit, a tenth of a probability's odds, in 999 of a thousand models drawn like
        /// these; the worst that was met was off by 0.15.
        #[test]
        fn two_one_sided_values(linear in model(vec![WEAR, WEAR], 3)) {
            let differ = differ(&linear, 600);
            prop_assert!(differ.abs() < WORST, "{differ}");
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(8))]

        #[test]
        fn two_one_sided_values_and_a_normal_one(linear in model(vec![WEAR, NORMAL, WEAR], 4)) {
            let differ = differ(&linear, 100);
            prop_assert!(differ.abs() < WORST, "{differ}");
        }
    }
}
