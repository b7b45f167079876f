//! Parts that run together are solved together: what both must have in common is weighed by the readings of both.

use std::collections::BTreeMap;
use std::f64::consts::TAU;

use nalgebra::DVector;
use part::Recovery;

use crate::{OUT_OF_THE_RUNNING, Weighed, Weight, linear, told, weigh, weights};

/// Candidates further behind than this by their own readings are not brought back by a mate's.
const BROUGHT_BACK: f64 = OUT_OF_THE_RUNNING + 8.0;

/// Weighs a part with all that run with it.
///
/// With s what a part and its mates share, P(a | all) ∝ P(a, own readings) Π_m P(m's readings | s of a), and a mate hears
/// of the part what the part's own readings and the other mates say: sum and product of messages (J. Pearl, Probabilistic
/// Reasoning in Intelligent Systems, 1988, ch. 4, from memory), exact as long as the mates are joined through the part alone.
pub fn weigh_with_mates(part: &dyn Recovery, mates: &[&dyn Recovery]) -> (Option<Weighed>, Vec<Option<Weighed>>) {
    if mates.is_empty() {
        return (weigh(part), Vec::new());
    }
    let own = weights(part, BROUGHT_BACK);
    let of_mates: Vec<Vec<Weight>> = mates.iter().map(|mate| weights(*mate, BROUGHT_BACK)).collect();
    let said: Vec<Message> = mates.iter().zip(&of_mates).map(|(mate, weights)| Message::of(*mate, weights)).collect();
    let heard = |but: Option<usize>| -> Vec<Weight> {
        let others = said.iter().enumerate().filter(|(index, _)| Some(*index) != but).map(|(_, message)| message);
        others.fold(own.clone(), |weights, message| message.heard_by(part, weights))
    };
    let told_of_mates = mates
        .iter()
        .zip(of_mates)
        .enumerate()
        .map(|(index, (mate, weights))| {
            let message = Message::of(part, &heard(Some(index)));
            told(*mate, &message.heard_by(*mate, weights))
        })
        .collect();
    (told(part, &heard(None)), told_of_mates)
}

/// ln of the probability of a part's readings for each thing that may be shared, up to a constant.
struct Message {
    by_shared: BTreeMap<u64, f64>,
    /// Where a value is shared too, what the readings say of it.
    values: BTreeMap<u64, Estimate>,
    /// For what none of its candidates has: all that is known is that they are this far behind.
    least: f64,
    /// A part that shares nothing has nothing to say.
    says: bool,
}

impl Message {
    fn of(recovery: &dyn Recovery, weights: &[Weight]) -> Message {
        let best = weights.iter().map(|weight| weight.log).fold(f64::NEG_INFINITY, f64::max);
        let mut sums: BTreeMap<u64, (f64, f64)> = BTreeMap::new();
        for weight in weights {
            if let Some(shared) = recovery.shared(weight.candidate) {
                let (sum, log_prior) = sums.entry(shared.what).or_insert((0.0, shared.log_prior));
                *sum += (weight.log - best).exp();
                *log_prior = log_prior.max(shared.log_prior);
            }
        }
        let values = sums.keys().filter_map(|what| Some((*what, Estimate::of(recovery, weights, *what)?))).collect();
        let by_shared = sums.into_iter().map(|(what, (sum, log_prior))| (what, sum.ln() - log_prior));
        let by_shared: BTreeMap<u64, f64> = by_shared.collect();
        Message { says: !by_shared.is_empty(), by_shared, values, least: -BROUGHT_BACK }
    }

    fn heard_by(&self, recovery: &dyn Recovery, mut weights: Vec<Weight>) -> Vec<Weight> {
        if !self.says {
            return weights;
        }
        for weight in &mut weights {
            if let Some(shared) = recovery.shared(weight.candidate) {
                weight.log += self.by_shared.get(&shared.what).copied().unwrap_or(self.least - shared.log_prior);
                if let Some(estimate) = self.values.get(&shared.what) {
                    estimate.heard_by(recovery, weight);
                }
            }
        }
        let best = weights.iter().map(|weight| weight.log).fold(f64::NEG_INFINITY, f64::max);
        weights.retain(|weight| weight.log > best - OUT_OF_THE_RUNNING);
        weights
    }
}

/// A shared value as one part's readings give it: mean and variance over all suppositions.
#[derive(Clone, Copy, Debug)]
struct Estimate {
    mean: f64,
    variance: f64,
}

impl Estimate {
    /// Over the candidates that share `what`; none where they share no value.
    fn of(recovery: &dyn Recovery, weights: &[Weight], what: u64) -> Option<Estimate> {
        let sharing = || weights.iter().filter(|w| recovery.shared(w.candidate).is_some_and(|s| s.what == what));
        let best = sharing().map(|weight| weight.log).fold(f64::NEG_INFINITY, f64::max);
        let (mut mass, mut sum, mut square) = (0.0, 0.0, 0.0);
        for weight in sharing() {
            let share = (weight.log - best).exp();
            let (value, gradient) = shared_value(recovery, weight)?;
            let variance = gradient.dot(&(&weight.fitted.covariance * &gradient));
            mass += share;
            sum += share * value;
            square += share * (value * value + variance);
        }
        let mean = sum / mass;
        let variance = square / mass - mean * mean;
        (mean.is_finite() && variance > 0.0).then_some(Estimate { mean, variance })
    }

    /// A fit moved by one more measurement of a quantity it predicts, θ + C g (v − f)/s with s = gᵀ C g + variance, and its
    /// evidence times N(v; f, s) over the prior that both parts have counted: linear regression, as in JCGM 102:2011 with one
    /// output. Where it may not be shared at all, that is the other way it can be, at its own probability; the fit follows the likelier.
    fn heard_by(self, recovery: &dyn Recovery, weight: &mut Weight) {
        let Some((value, gradient)) = shared_value(recovery, weight) else { return };
        let Some(shared) = recovery.shared_value(weight.candidate, weight.fitted.mean.as_slice()) else { return };
        let fitted = &mut weight.fitted;
        let reach = &fitted.covariance * &gradient;
        let spread = gradient.dot(&reach) + self.variance;
        let off = self.mean - value;
        // how much better the readings of both go together if it is shared than if each has its own
        let together = -0.5 * (off * off / spread + (TAU * spread).ln()) - shared.log_prior;
        let (shares, apart) = (shared.sure.ln() + together, (1.0 - shared.sure).ln());
        let more = shares.max(apart);
        weight.log += more + ((shares - more).exp() + (apart - more).exp()).ln();
        if shares < apart {
            return;
        }
        fitted.mean += &reach * (off / spread);
        fitted.covariance -= &reach * reach.transpose() / spread;
    }
}

/// The value that a weight's candidate shares, at its fit, and its gradient.
fn shared_value(recovery: &dyn Recovery, weight: &Weight) -> Option<(f64, DVector<f64>)> {
    let at = &weight.fitted.mean;
    let index = recovery.shared_value(weight.candidate, at.as_slice())?.derived;
    let (values, gradients) = linear::gradients(recovery, weight.candidate, &weight.fitted, recovery.derived().len());
    Some((*values.get(index)?, gradients.row(index).transpose()))
}
