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
