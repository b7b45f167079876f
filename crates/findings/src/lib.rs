//! From readings to what the feature was made to be, as probabilities that mean what they say.
//!
//! Every candidate of a [`Recovery`] is fitted with its free values ([`linear`]), its evidence is the integral over
//! them ([`expectation`]), taken with no reading wrong, and with each reading wrong in turn ([`slips`]). The weights of
//! all that are added up here. Nothing in this crate knows what a tooth is.

mod expectation;
mod glance;
mod linear;
mod mates;
mod next;
mod normal;
mod slips;

use std::collections::BTreeMap;

use part::{Dimension, Recovery};

pub use mates::weigh_with_mates;
pub use next::NextReading;
pub use slips::Slip;

use glance::SLACK;
use slips::{Hypothesis, Looked};

/// What the readings say of one feature.
#[derive(Clone, Debug)]
pub struct Weighed {
    /// Most probable first. Those of a standard, with `no_standard`, sum to one; where none leads, what is known of the rim is
    /// told first, under the probability that there is none.
    pub findings: Vec<Finding>,
    /// Probability that no standard design explains the readings.
    pub no_standard: f64,
    pub slips: Vec<Slip>,
    /// What is known whatever the design is.
    pub known: Vec<Known>,
    /// Most telling first.
    pub next: Vec<NextReading>,
}

/// One design that explains the readings.
#[derive(Clone, Debug)]
pub struct Finding {
    pub probability: f64,
    pub standard: bool,
    /// The candidate that carries most of the family's weight, with its free values fitted.
    pub candidate: usize,
    pub free: Vec<f64>,
    pub residuals: Vec<Residual>,
    /// Other names of the same part, with their fitted values, the likelier first; their probability is in this one's.
    pub also: Vec<Alias>,
}

/// A candidate that would be made to the same shape as another.
#[derive(Clone, Debug, PartialEq)]
pub struct Alias {
    pub candidate: usize,
    pub free: Vec<f64>,
}

/// How far a reading stands from what the design predicts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Residual {
    pub reading: usize,
    pub observed: f64,
    pub predicted: f64,
    pub sigma: f64,
    pub dimension: Dimension,
}

/// A quantity with its standard uncertainty, over all designs that are still standing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Known {
    pub name: &'static str,
    pub value: f64,
    pub sigma: f64,
}

/// Findings below this are merged away: they would only fill the page.
const SMALLEST_TOLD: f64 = 1e-3;
/// A candidate this far below the best in log weight cannot matter: e^-12 is 6e-6, and a thousand of them are not told.
const OUT_OF_THE_RUNNING: f64 = 12.0;

/// A candidate, fitted, under one supposition about which readings are wrong.
#[derive(Clone)]
struct Weight {
    candidate: usize,
    hypothesis: Hypothesis,
    log: f64,
    fitted: expectation::Posterior,
}

/// Weighs every candidate against the readings. Returns none where there is nothing to weigh.
pub fn weigh(recovery: &dyn Recovery) -> Option<Weighed> {
    told(recovery, &weights(recovery, OUT_OF_THE_RUNNING))
}

/// What the weights add up to.
fn told(recovery: &dyn Recovery, weights: &[Weight]) -> Option<Weighed> {
    let best = weights.iter().map(|weight| weight.log).fold(f64::NEG_INFINITY, f64::max);
    if !best.is_finite() {
        return None;
    }
    let total: f64 = weights.iter().map(|weight| (weight.log - best).exp()).sum();
    let share = |weight: &Weight| (weight.log - best).exp() / total;
    let findings = findings(recovery, weights, &share);
    let rivals = findings.iter().filter(|finding| !finding.standard);
    let no_standard = rivals.fold(0.0, |sum, finding| sum + finding.probability);
    // the rival is told as a finding only where it leads: then it is what there is to make, and the standards that come near
    // stand behind it
    let leads = findings.first().map(|first| first.candidate);
    let standing =
        findings.iter().filter(|finding| finding.standard || Some(finding.candidate) == leads).cloned().collect();
    Some(Weighed {
        slips: slips::told(recovery, weights, &share),
        known: known(recovery, weights, &share),
        next: next::proposals(recovery, weights, &share),
        findings: standing,
        no_standard,
    })
}

/// Every candidate within this margin of the best, under every supposition.
///
/// All are first looked at once ([`glance`]); the most promising are worked out first, and what they leave far behind is
/// never worked out at all.
fn weights(recovery: &dyn Recovery, margin: f64) -> Vec<Weight> {
    let candidates = recovery.candidates();
    let mut looked: Vec<Looked> =
        (0..candidates.len()).filter_map(|candidate| Looked::at(recovery, candidate)).collect();
    looked.sort_by(|a, b| b.promise.total_cmp(&a.promise));
    let mut weights: Vec<Weight> = Vec::new();
    let mut best = f64::NEG_INFINITY;
    for look in &looked {
        if look.promise < best - margin - SLACK {
            break;
        }
        let log_prior = candidates[look.candidate].log_prior;
        let least = best - margin - log_prior;
        for (hypothesis, log, fitted) in slips::hypotheses(recovery, look, least) {
            let log = log + log_prior;
            if log.is_finite() {
                best = best.max(log);
                weights.push(Weight { candidate: look.candidate, hypothesis, log, fitted });
            }
        }
    }
    weights.retain(|weight| weight.log > best - margin);
    weights
}

/// The families, most probable first, each with the candidate that stands for it.
fn findings(recovery: &dyn Recovery, weights: &[Weight], share: &dyn Fn(&Weight) -> f64) -> Vec<Finding> {
    let candidates = recovery.candidates();
    let mut families: BTreeMap<usize, (f64, &Weight)> = BTreeMap::new();
    for weight in weights {
        let family = candidates[weight.candidate].family;
        let entry = families.entry(family).or_insert((0.0, weight));
        entry.0 += share(weight);
        if weight.log > entry.1.log {
            entry.1 = weight;
        }
    }
    let mut findings: Vec<Finding> = families
        .into_values()
        .map(|(probability, weight)| Finding {
            probability,
            standard: candidates[weight.candidate].standard,
            candidate: weight.candidate,
            free: weight.fitted.mean.as_slice().to_vec(),
            residuals: residuals(recovery, weight),
            also: Vec::new(),
        })
        .collect();
    findings.sort_by(|a, b| b.probability.total_cmp(&a.probability));
    let mut findings = join_names(recovery, findings);
    findings.sort_by(|a, b| b.probability.total_cmp(&a.probability));
    merge_smallest(findings)
}

/// Tells what would be made to one shape once, under the likeliest name.
fn join_names(recovery: &dyn Recovery, findings: Vec<Finding>) -> Vec<Finding> {
    let mut out: Vec<Finding> = Vec::with_capacity(findings.len());
    for finding in findings {
        let this = (finding.candidate, finding.free.as_slice());
        match out.iter_mut().find(|told| recovery.same_part((told.candidate, &told.free), this)) {
            Some(told) => {
                told.probability += finding.probability;
                // names that nobody would think of are left out
                if finding.probability >= SMALLEST_TOLD {
                    told.also.push(Alias { candidate: finding.candidate, free: finding.free });
                }
            }
            None => out.push(finding),
        }
    }
    out
}

/// Drops what is too improbable to tell and gives its share to the rest, so that the sum stays one.
fn merge_smallest(mut findings: Vec<Finding>) -> Vec<Finding> {
    let lead = findings.first().map_or(0.0, |first| first.probability);
    findings.retain(|finding| finding.probability >= SMALLEST_TOLD || finding.probability == lead || !finding.standard);
    let kept: f64 = findings.iter().map(|finding| finding.probability).sum();
    for finding in &mut findings {
        finding.probability /= kept;
    }
    findings
}

fn residuals(recovery: &dyn Recovery, weight: &Weight) -> Vec<Residual> {
    let observations = recovery.observations();
    let mut predicted = vec![f64::NAN; observations.len()];
    recovery.predict(weight.candidate, weight.fitted.mean.as_slice(), &mut predicted);
    observations
        .iter()
        .zip(predicted)
        .map(|(observation, predicted)| Residual {
            reading: observation.reading,
            observed: observation.value,
            predicted,
            sigma: observation.sigma,
            dimension: observation.dimension,
        })
        .collect()
}

/// Mean and standard uncertainty of the derived quantities over all that is still standing: the spread within each
/// candidate (first order, J C Jᵀ, JCGM 100:2008 5.2.2) and the spread between them.
fn known(recovery: &dyn Recovery, weights: &[Weight], share: &dyn Fn(&Weight) -> f64) -> Vec<Known> {
    let names = recovery.derived();
    let mut sum = vec![0.0; names.len()];
    let mut square = vec![0.0; names.len()];
    let mut mass = 0.0;
    for weight in weights.iter().filter(|weight| share(weight) > 1e-6) {
        let part = share(weight);
        let (values, variances) = linear::derived(recovery, weight.candidate, &weight.fitted, names.len());
        if values.iter().all(|value| value.is_finite()) {
            mass += part;
            for (at, (value, variance)) in values.into_iter().zip(variances).enumerate() {
                sum[at] += part * value;
                square[at] += part * (value * value + variance);
            }
        }
    }
    if mass <= 0.0 {
        return Vec::new();
    }
    names
        .iter()
        .enumerate()
        .map(|(at, &name)| {
            let mean = sum[at] / mass;
            Known { name, value: mean, sigma: (square[at] / mass - mean * mean).max(0.0).sqrt() }
        })
        .collect()
}
