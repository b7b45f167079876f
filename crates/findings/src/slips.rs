//! Which readings may be wrong, and how.
//!
//! Each candidate is weighed with all readings sound, with each one wrong in turn (by a usual mistake, whose right value
//! is then used, or by no known one, when it tells nothing), and with two wrong where there are readings enough.

use part::{Dimension, Recovery};

use crate::Weight;
use crate::expectation::{Posterior, integrate};
use crate::linear::Linear;
use crate::normal::ln_density;

/// A reading that is wrong by a usual shop mistake, or by an unknown one.
#[derive(Clone, Debug, PartialEq)]
pub struct Slip {
    /// Index among the feature's readings.
    pub reading: usize,
    /// Read less meant, in mm or radians.
    pub off_by: f64,
    /// What would agree with everything else.
    pub would_agree: f64,
    pub dimension: Dimension,
    pub probability: f64,
    pub guess: String,
}

/// One supposition: which observations are wrong.
#[derive(Clone, Debug, PartialEq)]
pub enum Hypothesis {
    AllSound,
    /// Wrong by the mistake of this name.
    Mistaken { observation: usize, name: String },
    /// Wrong, nobody knows how.
    Wrong { observation: usize },
    TwoWrong { observations: [usize; 2] },
}

impl Hypothesis {
    fn doubts(&self, observation: usize) -> bool {
        match self {
            Hypothesis::AllSound => false,
            Hypothesis::Mistaken { observation: one, .. } | Hypothesis::Wrong { observation: one } => *one == observation,
            Hypothesis::TwoWrong { observations } => observations.contains(&observation),
        }
    }
}

/// How often a reading in a shop is plainly wrong: one in fifty (common practice has no figure; chosen so that sound
/// readings are seldom doubted and a wrong one does not decide alone).
const WRONG: f64 = 0.02;
/// Of the wrong ones, the part that a usual mistake explains.
const USUAL: f64 = 0.7;
/// A wrong reading nobody can explain lands anywhere within this part of its value.
const ANYWHERE: f64 = 0.25;
/// Doubting two readings needs this many at least, or nothing is left to weigh.
const ENOUGH_FOR_TWO: usize = 5;
/// A slip is told when it is more likely than not.
const TOLD: f64 = 0.5;

/// An upper bound of a candidate's log evidence, cheap: each reading for itself against its own spread.
pub fn rough_bound(linear: &Linear) -> f64 {
    (0..linear.observed.len())
        .map(|row| {
            let mut variance = linear.sigma[row].powi(2);
            for (column, prior) in linear.priors.iter().enumerate() {
                // four spreads: a bound must not be too tight, and the point of linearisation moves
                variance += (4.0 * linear.jacobian[(row, column)] * prior.spread()).powi(2);
            }
            let z = (linear.observed[row] - linear.predicted[row]) / variance.sqrt();
            let sound = if z.is_nan() { f64::NEG_INFINITY } else { -0.5 * z * z - linear.sigma[row].ln() };
            sound.max(WRONG.ln() - (linear.observed[row].abs() * ANYWHERE).ln())
        })
        .sum()
}

/// Every supposition about a candidate that can matter, with its log weight and the fit under it.
pub fn hypotheses(recovery: &dyn Recovery, candidate: usize, start: Linear) -> Vec<(Hypothesis, f64, Posterior)> {
    let count = start.observed.len();
    let read: Vec<Option<f64>> = start.observed.iter().map(|value| Some(*value)).collect();
    let mut out = Vec::new();
    let mut add = |hypothesis: Hypothesis, log_prior: f64, values: &[Option<f64>]| {
        if let Some(fitted) = fit(recovery, candidate, &start, values) {
            out.push((hypothesis, log_prior + fitted.log_evidence, fitted));
        }
    };
    let sound = (1.0 - WRONG).ln();
    add(Hypothesis::AllSound, sound * count as f64, &read);
    if count < 2 {
        return out;
    }
    let anywhere = |row: usize| (1.0 / (ANYWHERE * start.observed[row].abs().max(start.sigma[row]))).ln();
    for row in 0..count {
        let others = sound * (count - 1) as f64 + WRONG.ln();
        let mistakes = recovery.usual_slips(candidate, row);
        for mistake in &mistakes {
            let mut values = read.clone();
            values[row] = Some(mistake.meant);
            let prior = others + (USUAL / mistakes.len() as f64).ln();
            add(Hypothesis::Mistaken { observation: row, name: mistake.name.clone() }, prior, &values);
        }
        let mut values = read.clone();
        values[row] = None;
        let unusual = if mistakes.is_empty() { 0.0 } else { (1.0 - USUAL).ln() };
        add(Hypothesis::Wrong { observation: row }, others + unusual + anywhere(row), &values);
    }
    if count >= ENOUGH_FOR_TWO {
        for first in 0..count {
            for second in first + 1..count {
                let mut values = read.clone();
                values[first] = None;
                values[second] = None;
                let prior = sound * (count - 2) as f64 + 2.0 * WRONG.ln() + anywhere(first) + anywhere(second);
                add(Hypothesis::TwoWrong { observations: [first, second] }, prior, &values);
            }
        }
    }
    out
}

/// Rounds of linearising about the last fit. Predictions of a standard candidate are nearly linear in its free values,
/// and two rounds do; the rival's wide ones need more.
const ROUNDS: usize = 8;

fn fit(recovery: &dyn Recovery, candidate: usize, start: &Linear, values: &[Option<f64>]) -> Option<Posterior> {
    let mut fitted = integrate(start, values)?;
    let mut last = start.at.clone();
    for _ in 0..ROUNDS {
        let settled = (0..last.len()).all(|at| (fitted.mean[at] - last[at]).abs() <= 0.02 * start.priors[at].spread() + 1e-6);
        if settled {
            break;
        }
        let linear = Linear::about(recovery, candidate, fitted.mean.clone())?;
        last = fitted.mean.clone();
        fitted = integrate(&linear, values)?;
    }
    Some(fitted)
}

/// The readings more likely wrong than not, over all candidates.
pub fn told(recovery: &dyn Recovery, weights: &[Weight], share: &dyn Fn(&Weight) -> f64) -> Vec<Slip> {
    let observations = recovery.observations();
    let mut slips = Vec::new();
    for (index, observation) in observations.iter().enumerate() {
        let doubting = || weights.iter().filter(|weight| weight.hypothesis.doubts(index));
        let probability: f64 = doubting().map(share).sum();
        let Some(leading) = doubting().max_by(|a, b| a.log.total_cmp(&b.log)).filter(|_| probability > TOLD) else { continue };
        let mut predicted = vec![f64::NAN; observations.len()];
        recovery.predict(leading.candidate, leading.fitted.mean.as_slice(), &mut predicted);
        slips.push(Slip {
            reading: observation.reading,
            off_by: observation.value - predicted[index],
            would_agree: predicted[index],
            dimension: observation.dimension,
            probability: probability.min(1.0),
            guess: match &leading.hypothesis {
                Hypothesis::Mistaken { name, .. } => name.clone(),
                Hypothesis::Wrong { .. } | Hypothesis::TwoWrong { .. } | Hypothesis::AllSound => {
                    nearest_mistake(recovery, leading.candidate, index, predicted[index])
                },
            },
        });
    }
    slips
}

/// The usual mistake whose right value comes near the prediction, for naming only.
fn nearest_mistake(recovery: &dyn Recovery, candidate: usize, observation: usize, predicted: f64) -> String {
    let sigma = recovery.observations()[observation].sigma;
    recovery
        .usual_slips(candidate, observation)
        .into_iter()
        .map(|mistake| (ln_density((mistake.meant - predicted) / (3.0 * sigma), sigma), mistake))
        .filter(|(score, _)| *score > ln_density(3.0, sigma))
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map_or_else(|| "not one of the usual slips; measure it again".to_string(), |(_, mistake)| mistake.name)
}
