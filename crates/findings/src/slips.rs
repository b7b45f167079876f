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
    Mistaken {
        observation: usize,
        name: String,
    },
    /// Wrong, nobody knows how.
    Wrong {
        observation: usize,
    },
    TwoWrong {
        observations: [usize; 2],
    },
}

impl Hypothesis {
    fn doubts(&self, observation: usize) -> bool {
        match self {
            Hypothesis::AllSound => false,
            Hypothesis::Mistaken { observation: one, .. } | Hypothesis::Wrong { observation: one } => {
                *one == observation
            }
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

/// What each reading could at best add to a candidate's log evidence if it is sound, cheaply: each for itself, with the
/// room that the free values leave it.
#[derive(Debug)]
pub struct Bound {
    rows: Vec<f64>,
}

impl Bound {
    pub fn of(linear: &Linear) -> Bound {
        let row = |row: usize| {
            let sigma = linear.sigma[row];
            // three spreads: the point of linearisation moves
            let room: f64 = linear
                .priors
                .iter()
                .enumerate()
                .map(|(at, prior)| (3.0 * linear.jacobian[(row, at)] * prior.spread()).powi(2))
                .sum();
            let z = (linear.observed[row] - linear.predicted[row]) / (sigma * sigma + room).sqrt();
            if z.is_nan() { f64::NEG_INFINITY } else { ln_density(z, sigma) }
        };
        Bound { rows: (0..linear.observed.len()).map(row).collect() }
    }

    /// With these readings not counted.
    fn without(&self, wrong: &[usize]) -> f64 {
        self.rows.iter().enumerate().filter(|(row, _)| !wrong.contains(row)).map(|(_, bound)| bound).sum()
    }

    /// The best over all suppositions.
    pub fn best(&self) -> f64 {
        let mut rows = self.rows.clone();
        rows.sort_by(f64::total_cmp);
        let spared = match rows.len() {
            0 | 1 => 0,
            count if count < ENOUGH_FOR_TWO => 1,
            _ => 2,
        };
        let sparing = |spared: usize| rows[spared..].iter().sum::<f64>() + spared as f64 * WRONG.ln();
        (0..=spared).map(sparing).fold(f64::NEG_INFINITY, f64::max)
    }
}

/// Every supposition about a candidate that can matter, with its log weight and the fit under it.
///
/// `start`: the predictions about a point near the fit. `least`: suppositions below it are passed over.
pub fn hypotheses(
    recovery: &dyn Recovery,
    candidate: usize,
    start: &Linear,
    bound: &Bound,
    least: f64,
) -> Vec<(Hypothesis, f64, Posterior)> {
    let count = start.observed.len();
    let mut out: Vec<(Hypothesis, f64, Posterior)> = Vec::new();
    let sound = (1.0 - WRONG).ln();
    let anywhere = |row: usize| -(ANYWHERE * start.observed[row].abs().max(start.sigma[row])).ln();
    let fit_without = |wrong: &[usize], prior: f64| {
        let values: Vec<Option<f64>> =
            (0..count).map(|row| (!wrong.contains(&row)).then_some(start.observed[row])).collect();
        let roughly = integrate(start, &values)?;
        // far below is far below, however finely it is worked out
        if prior + roughly.log_evidence < least - ROUGH {
            return None;
        }
        settle(recovery, candidate, start, &values, roughly)
    };
    let prior = sound * count as f64;
    if bound.without(&[]) + prior > least
        && let Some((fitted, _)) = fit_without(&[], prior)
    {
        out.push((Hypothesis::AllSound, prior + fitted.log_evidence, fitted));
    }
    if count < 2 {
        return out;
    }
    for row in 0..count {
        // a usual mistake may have a meant value that is predicted as sharply as the reading's own sigma
        let prior = sound * (count - 1) as f64 + WRONG.ln();
        let sharpest = prior - start.sigma[row].ln();
        if bound.without(&[row]) + sharpest < least {
            continue;
        }
        let Some((fitted, linear)) = fit_without(&[row], sharpest) else {
            continue;
        };
        let mistakes = recovery.usual_slips(candidate, row);
        let slopes = linear.jacobian.row(row).transpose();
        let variance = (slopes.transpose() * &fitted.covariance * &slopes)[(0, 0)] + start.sigma[row].powi(2);
        let predicted = linear.predicted[row] + slopes.dot(&(&fitted.mean - &linear.at));
        for mistake in &mistakes {
            let log = prior
                + (USUAL / mistakes.len() as f64).ln()
                + fitted.log_evidence
                + ln_density((mistake.meant - predicted) / variance.sqrt(), variance.sqrt());
            if log > least {
                out.push((Hypothesis::Mistaken { observation: row, name: mistake.name.clone() }, log, fitted.clone()));
            }
        }
        let unusual = if mistakes.is_empty() { 0.0 } else { (1.0 - USUAL).ln() };
        out.push((
            Hypothesis::Wrong { observation: row },
            prior + unusual + anywhere(row) + fitted.log_evidence,
            fitted,
        ));
    }
    if count >= ENOUGH_FOR_TWO {
        for (first, second) in (0..count).flat_map(|first| (first + 1..count).map(move |second| (first, second))) {
            let prior = sound * (count - 2) as f64 + 2.0 * WRONG.ln() + anywhere(first) + anywhere(second);
            if bound.without(&[first, second]) + prior > least
                && let Some((fitted, _)) = fit_without(&[first, second], prior)
            {
                out.push((Hypothesis::TwoWrong { observations: [first, second] }, prior + fitted.log_evidence, fitted));
            }
        }
    }
    out
}

/// Linearised about a point near the fit, the log evidence is this near to the settled one, or the supposition is lost.
const ROUGH: f64 = 8.0;
/// Rounds of linearising about the last fit. Predictions of a standard candidate are nearly linear in its free values,
/// and one or two rounds do; the rival's wide ones need more.
const ROUNDS: usize = 8;

/// The fit when the predictions are linearised about the fit itself, and that linearisation.
pub fn settle(
    recovery: &dyn Recovery,
    candidate: usize,
    start: &Linear,
    values: &[Option<f64>],
    roughly: Posterior,
) -> Option<(Posterior, Linear)> {
    let mut fitted = roughly;
    let mut linear = start.clone();
    for _ in 0..ROUNDS {
        let near = |at: usize| (fitted.mean[at] - linear.at[at]).abs() <= 0.05 * start.priors[at].spread().min(1.0);
        if (0..linear.at.len()).all(near) {
            break;
        }
        linear = Linear::about(recovery, candidate, fitted.mean.clone())?;
        fitted = integrate(&linear, values)?;
    }
    Some((fitted, linear))
}

/// The readings more likely wrong than not, over all candidates.
pub fn told(recovery: &dyn Recovery, weights: &[Weight], share: &dyn Fn(&Weight) -> f64) -> Vec<Slip> {
    let observations = recovery.observations();
    let mut slips = Vec::new();
    for (index, observation) in observations.iter().enumerate() {
        let doubting = || weights.iter().filter(|weight| weight.hypothesis.doubts(index));
        let probability: f64 = doubting().map(share).sum();
        let Some(leading) = doubting().max_by(|a, b| a.log.total_cmp(&b.log)).filter(|_| probability > TOLD) else {
            continue;
        };
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
                }
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
