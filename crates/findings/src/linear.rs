//! A candidate's predictions, linear in its free values about a point.

use nalgebra::{DMatrix, DVector};
use part::{Prior, Recovery};

use crate::expectation::{Posterior, integrate};

/// Predictions f(θ) ≈ f(θ₀) + J (θ − θ₀).
#[derive(Clone, Debug)]
pub struct Linear {
    pub at: DVector<f64>,
    pub priors: Vec<Prior>,
    pub predicted: DVector<f64>,
    pub jacobian: DMatrix<f64>,
    pub observed: DVector<f64>,
    pub sigma: DVector<f64>,
}

/// Forward differences step by this part of the free value's spread: small against any curvature, large against rounding.
const STEP: f64 = 1e-4;

impl Linear {
    pub fn at_start(recovery: &dyn Recovery, candidate: usize) -> Option<Linear> {
        let free = &recovery.candidates()[candidate].free;
        Linear::about(recovery, candidate, DVector::from_iterator(free.len(), free.iter().map(|free| free.start)))
    }

    /// None where the candidate cannot be worked out at this point at all.
    pub fn about(recovery: &dyn Recovery, candidate: usize, at: DVector<f64>) -> Option<Linear> {
        let priors: Vec<Prior> = recovery.candidates()[candidate].free.iter().map(|free| free.prior).collect();
        let observations = recovery.observations();
        let count = observations.len();
        let mut predicted = vec![f64::NAN; count];
        recovery.predict(candidate, at.as_slice(), &mut predicted);
        if predicted.iter().all(|value| value.is_nan()) {
            return None;
        }
        let mut jacobian = DMatrix::zeros(count, at.len());
        let mut moved = vec![f64::NAN; count];
        let mut point = at.clone();
        for column in 0..at.len() {
            let step = priors[column].spread().min(MOST_SPREAD) * STEP;
            point[column] += step;
            recovery.predict(candidate, point.as_slice(), &mut moved);
            point[column] = at[column];
            for row in 0..count {
                let slope = (moved[row] - predicted[row]) / step;
                jacobian[(row, column)] = if slope.is_finite() { slope } else { 0.0 };
            }
        }
        Some(Linear {
            at,
            priors,
            predicted: DVector::from_vec(predicted),
            jacobian,
            observed: DVector::from_iterator(count, observations.iter().map(|o| o.value)),
            sigma: DVector::from_iterator(count, observations.iter().map(|o| o.sigma)),
        })
    }
}

/// Rounds of linearising about the last fit. Predictions of a standard candidate are nearly linear in its free values,
/// and one or two rounds do; the rival's wide ones need more.
const ROUNDS: usize = 20;
/// A fit is settled when no prediction is further from its linear form than this part of the reading's uncertainty.
const SETTLED: f64 = 0.02;
/// A step that makes things worse is halved so often at most.
const HALVINGS: usize = 6;

/// The fit when the predictions are linearised about the fit itself, and that linearisation.
pub fn settle(
    recovery: &dyn Recovery,
    candidate: usize,
    start: &Linear,
    values: &[Option<f64>],
) -> Option<(Posterior, Linear)> {
    let mut linear = start.clone();
    let mut fitted = integrate(&linear, values)?;
    let mut merit = linear.merit(values);
    let mut predicted = vec![f64::NAN; values.len()];
    for _ in 0..ROUNDS {
        recovery.predict(candidate, fitted.mean.as_slice(), &mut predicted);
        if linear.foresees(&fitted.mean, &predicted, values) {
            break;
        }
        let mut target = fitted.mean.clone();
        let mut next = Linear::about(recovery, candidate, target.clone());
        for _ in 0..HALVINGS {
            // a fit may rightly move a little to where the density is lower but the mass is greater
            if next.as_ref().is_some_and(|next| next.merit(values) < merit + 2.0) {
                break;
            }
            target = (&target + &linear.at) * 0.5;
            next = Linear::about(recovery, candidate, target.clone());
        }
        linear = next?;
        merit = linear.merit(values);
        fitted = integrate(&linear, values)?;
    }
    Some((fitted, linear))
}

impl Linear {
    /// −ln of the density at the point of linearisation, but for a constant.
    fn merit(&self, values: &[Option<f64>]) -> f64 {
        let readings = values
            .iter()
            .enumerate()
            .filter_map(|(row, value)| Some(0.5 * ((value.as_ref()? - self.predicted[row]) / self.sigma[row]).powi(2)));
        let priors = self.priors.iter().zip(self.at.iter()).map(|(prior, at)| match *prior {
            Prior::Normal { mean, sigma } => 0.5 * ((at - mean) / sigma).powi(2),
            Prior::OneSided { scale } => at.max(0.0) / scale,
        });
        let merit = readings.sum::<f64>() + priors.sum::<f64>();
        if merit.is_nan() { f64::INFINITY } else { merit }
    }

    /// Are the linear predictions at this point as good as the true ones?
    fn foresees(&self, point: &DVector<f64>, predicted: &[f64], values: &[Option<f64>]) -> bool {
        (0..predicted.len()).filter(|row| values[*row].is_some()).all(|row| {
            let step: f64 = (0..self.at.len()).map(|at| self.jacobian[(row, at)] * (point[at] - self.at[at])).sum();
            (self.predicted[row] + step - predicted[row]).abs() <= SETTLED * self.sigma[row]
        })
    }
}

/// A very wide prior does not make a wide step.
const MOST_SPREAD: f64 = 0.1;

/// Derived quantities at the fitted point, and their variances to first order.
pub fn derived(recovery: &dyn Recovery, candidate: usize, fitted: &Posterior, count: usize) -> (Vec<f64>, Vec<f64>) {
    let (values, gradients) = gradients(recovery, candidate, fitted, count);
    let spread = &gradients * &fitted.covariance * gradients.transpose();
    (values, (0..count).map(|row| spread[(row, row)].max(0.0)).collect())
}

/// Derived quantities at the fitted point, and a row of derivatives for each.
pub fn gradients(
    recovery: &dyn Recovery,
    candidate: usize,
    fitted: &Posterior,
    count: usize,
) -> (Vec<f64>, DMatrix<f64>) {
    let at = &fitted.mean;
    let mut values = vec![f64::NAN; count];
    recovery.derive(candidate, at.as_slice(), &mut values);
    let mut gradients = DMatrix::zeros(count, at.len());
    let mut moved = vec![f64::NAN; count];
    let mut point = at.clone();
    for column in 0..at.len() {
        let step = (fitted.covariance[(column, column)].sqrt() * 0.1).max(1e-9);
        point[column] += step;
        recovery.derive(candidate, point.as_slice(), &mut moved);
        point[column] = at[column];
        for row in 0..count {
            gradients[(row, column)] = (moved[row] - values[row]) / step;
        }
    }
    (values, gradients)
}

/// A proposal's prediction at the fitted point, and its variance to first order.
pub fn proposal(recovery: &dyn Recovery, candidate: usize, fitted: &Posterior, proposal: usize) -> Option<(f64, f64)> {
    let at = &fitted.mean;
    let value = recovery.predict_proposal(candidate, at.as_slice(), proposal);
    let mut point = at.clone();
    let gradient = DVector::from_iterator(
        at.len(),
        (0..at.len()).map(|column| {
            let step = (fitted.covariance[(column, column)].sqrt() * 0.1).max(1e-9);
            point[column] += step;
            let moved = recovery.predict_proposal(candidate, point.as_slice(), proposal);
            point[column] = at[column];
            (moved - value) / step
        }),
    );
    let variance = (gradient.transpose() * &fitted.covariance * &gradient)[(0, 0)];
    (value.is_finite() && variance.is_finite()).then_some((value, variance.max(0.0)))
}
