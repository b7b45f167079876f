//! The plain way, to be measured against: every reading normal about what a standard design predicts, every unknown normal about
//! its usual value, no reading ever wrong, no rim of no standard.

use nalgebra::{DMatrix, DVector};
use part::{Candidate, Prior, Recovery};

/// The likeliest standard candidate by the plain way, with the probabilities of all families; none where nothing fits.
pub fn leader(recovery: &dyn Recovery) -> Option<(usize, Vec<f64>)> {
    let mut families: Vec<(usize, f64, f64, usize, Vec<f64>)> = Vec::new();
    for (index, candidate) in recovery.candidates().iter().enumerate().filter(|(_, candidate)| candidate.standard) {
        let Some((log_evidence, free)) = laplace(recovery, index, candidate) else { continue };
        let log = log_evidence + candidate.log_prior;
        match families.iter_mut().find(|family| family.0 == candidate.family) {
            Some(family) => {
                family.1 = family.1.max(log) + (-(family.1 - log).abs()).exp().ln_1p();
                if log > family.2 {
                    (family.2, family.3, family.4) = (log, index, free);
                }
            }
            None => families.push((candidate.family, log, log, index, free)),
        }
    }
    let best = families.into_iter().max_by(|a, b| a.1.total_cmp(&b.1))?;
    Some((best.3, best.4))
}

/// Gauss's rounds to the fit, and the normal integral about it.
fn laplace(recovery: &dyn Recovery, index: usize, candidate: &Candidate) -> Option<(f64, Vec<f64>)> {
    const ROUNDS: usize = 6;
    const STEP: f64 = 1e-4;
    let observations = recovery.observations();
    // an exponential by a normal of its own mean and spread
    let priors: Vec<(f64, f64)> = candidate
        .free
        .iter()
        .map(|free| match free.prior {
            Prior::Normal { mean, sigma } => (mean, sigma),
            Prior::OneSided { scale } => (scale, scale),
        })
        .collect();
    let (rows, columns) = (observations.len(), priors.len());
    let mut at = DVector::from_iterator(columns, candidate.free.iter().map(|free| free.start));
    let predict = |at: &DVector<f64>| {
        let mut out = vec![f64::NAN; rows];
        recovery.predict(index, at.as_slice(), &mut out);
        DVector::from_vec(out)
    };
    let mut precision = DMatrix::zeros(columns, columns);
    for _ in 0..ROUNDS {
        let predicted = predict(&at);
        if predicted.iter().any(|value| !value.is_finite()) {
            return None;
        }
        precision = DMatrix::zeros(columns, columns);
        let mut pull = DVector::zeros(columns);
        for (column, (mean, sigma)) in priors.iter().enumerate() {
            precision[(column, column)] += sigma.powi(-2);
            pull[column] += (mean - at[column]) / sigma.powi(2);
        }
        let mut jacobian = DMatrix::zeros(rows, columns);
        for column in 0..columns {
            let step = priors[column].1 * STEP;
            let mut moved = at.clone();
            moved[column] += step;
            jacobian.set_column(column, &((predict(&moved) - &predicted) / step));
        }
        for (row, observation) in observations.iter().enumerate() {
            let slope = jacobian.row(row).transpose();
            let weight = observation.sigma.powi(-2);
            precision += &slope * slope.transpose() * weight;
            pull += slope * ((observation.value - predicted[row]) * weight);
        }
        at += precision.clone().cholesky()?.solve(&pull);
    }
    let predicted = predict(&at);
    let mut log = 0.0;
    for (row, observation) in observations.iter().enumerate() {
        let off = (observation.value - predicted[row]) / observation.sigma;
        log -= 0.5 * off * off + observation.sigma.ln();
    }
    for ((mean, sigma), value) in priors.iter().zip(at.iter()) {
        log -= 0.5 * ((value - mean) / sigma).powi(2) + sigma.ln();
    }
    let log = log - 0.5 * precision.determinant().ln();
    log.is_finite().then(|| (log, at.as_slice().to_vec()))
}
