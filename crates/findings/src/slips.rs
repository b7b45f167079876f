//! Which readings may be wrong, and how.
//!
//! Each candidate is weighed with all readings sound, with each one wrong in turn (by a usual mistake, whose right value
//! is then used, or by no known one, when it tells nothing), and with two wrong where there are readings enough.

use part::{Dimension, Recovery};

use crate::Weight;
use crate::expectation::Posterior;
use crate::glance::{Glance, SLACK};
use crate::linear::{Linear, settle};
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

/// A candidate looked at once.
#[derive(Debug)]
pub struct Looked {
    pub candidate: usize,
    pub linear: Linear,
    glance: Glance,
    /// The most that it could weigh, within the slack.
    pub promise: f64,
}

impl Looked {
    /// None where it cannot be worked out.
    pub fn at(recovery: &dyn Recovery, candidate: usize) -> Option<Looked> {
        let standing = &recovery.candidates()[candidate];
        let linear = Linear::at_start(recovery, candidate)?;
        let glance = Glance::at(&linear)?;
        let count = linear.observed.len();
        let mut promise = sound(count) + glance.all();
        if count >= 2 {
            // of the usual mistakes the sharpest is counted: as good as a reading that agrees
            let one = |row: usize| sound(count - 1) + WRONG.ln() + glance.without(row) - linear.sigma[row].ln();
            promise = (0..count).map(one).fold(promise, f64::max);
        }
        if count >= ENOUGH_FOR_TWO {
            let two = |(first, second)| two_wrong(&linear, first, second) + glance.without_two(first, second);
            promise = pairs(count).map(two).fold(promise, f64::max);
        }
        Some(Looked { candidate, promise: promise + standing.log_prior, linear, glance })
    }

    fn count(&self) -> usize {
        self.linear.observed.len()
    }
}

/// ln of the prior probability that so many readings are sound.
fn sound(count: usize) -> f64 {
    (1.0 - WRONG).ln() * count as f64
}

/// ln of the density of a wrong reading that nobody can explain.
fn anywhere(linear: &Linear, row: usize) -> f64 {
    -(ANYWHERE * linear.observed[row].abs().max(linear.sigma[row])).ln()
}

fn two_wrong(linear: &Linear, first: usize, second: usize) -> f64 {
    sound(linear.observed.len() - 2) + 2.0 * WRONG.ln() + anywhere(linear, first) + anywhere(linear, second)
}

fn pairs(count: usize) -> impl Iterator<Item = (usize, usize)> {
    (0..count).flat_map(move |first| (first + 1..count).map(move |second| (first, second)))
}

/// Every supposition about a candidate that can matter, with its log weight (without the candidate's own prior) and the
/// fit under it. Those below `least` are passed over.
pub fn hypotheses(recovery: &dyn Recovery, looked: &Looked, least: f64) -> Vec<(Hypothesis, f64, Posterior)> {
    let (start, glance, count) = (&looked.linear, &looked.glance, looked.count());
    let mut out: Vec<(Hypothesis, f64, Posterior)> = Vec::new();
    let fit_without = |wrong: &[usize]| {
        let values: Vec<Option<f64>> =
            (0..count).map(|row| (!wrong.contains(&row)).then_some(start.observed[row])).collect();
        settle(recovery, looked.candidate, start, &values)
    };
    if sound(count) + glance.all() > least - SLACK
        && let Some((fitted, _)) = fit_without(&[])
    {
        out.push((Hypothesis::AllSound, sound(count) + fitted.log_evidence, fitted));
    }
    if count < 2 {
        return out;
    }
    for row in 0..count {
        let prior = sound(count - 1) + WRONG.ln();
        let without = prior + glance.without(row);
        // a usual mistake may have a meant value that is predicted as sharply as the reading's own sigma
        if without - start.sigma[row].ln() < least - SLACK {
            continue;
        }
        let mistakes = recovery.usual_slips(looked.candidate, row);
        let agreeing = mistakes.iter().map(|mistake| glance.agrees(row, mistake.meant));
        if without + agreeing.fold(anywhere(start, row), f64::max) < least - SLACK {
            continue;
        }
        let Some((fitted, linear)) = fit_without(&[row]) else {
            continue;
        };
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
        let log = prior + unusual + anywhere(start, row) + fitted.log_evidence;
        if log > least {
            out.push((Hypothesis::Wrong { observation: row }, log, fitted));
        }
    }
    if count >= ENOUGH_FOR_TWO {
        for (first, second) in pairs(count) {
            let prior = two_wrong(start, first, second);
            if prior + glance.without_two(first, second) > least - SLACK
                && let Some((fitted, _)) = fit_without(&[first, second])
            {
                out.push((Hypothesis::TwoWrong { observations: [first, second] }, prior + fitted.log_evidence, fitted));
            }
        }
    }
    out.retain(|(_, log, _)| *log > least);
    out
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
        .map(|(_, mistake)| mistake.name)
        .unwrap_or_else(|| {
            let off_by = recovery.observations()[observation].value - predicted;
            let otherwise = recovery.otherwise(candidate, observation, off_by);
            otherwise.unwrap_or("not one of the usual slips; measure it again").to_string()
        })
}
