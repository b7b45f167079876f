//! Which reading to take next: the one expected to tell most about the design.

use std::f64::consts::PI;

use part::{Dimension, Recovery};

use crate::linear;
use crate::{Weight, normal};

/// A reading worth taking.
#[derive(Clone, Debug, PartialEq)]
pub struct NextReading {
    /// Index among the recovery's proposals.
    pub proposal: usize,
    pub line: String,
    /// Expected information about the design.
    pub gain_bits: f64,
    pub dimension: Dimension,
    /// What the two leading designs predict, by candidate.
    pub leading: Vec<(usize, f64)>,
}

/// Designs below this share do not bear on the choice.
const SHARE: f64 = 1e-3;
/// A gain below this is not worth a walk to the bench.
const LEAST_BITS: f64 = 0.05;

/// What one family predicts of a proposal.
struct Component {
    family: usize,
    candidate: usize,
    share: f64,
    mean: f64,
    variance: f64,
}

pub fn proposals(recovery: &dyn Recovery, weights: &[Weight], share: &dyn Fn(&Weight) -> f64) -> Vec<NextReading> {
    let standing = standing(weights, share);
    let candidates = recovery.candidates();
    if standing
        .iter()
        .all(|(weight, _)| candidates[weight.candidate].family == candidates[standing[0].0.candidate].family)
    {
        return Vec::new();
    }
    let mut out: Vec<NextReading> = recovery
        .proposals()
        .into_iter()
        .enumerate()
        .filter_map(|(index, proposal)| {
            let mut components: Vec<Component> = Vec::new();
            for (weight, share) in &standing {
                let (mean, variance) = linear::proposal(recovery, weight.candidate, &weight.fitted, index)?;
                let family = candidates[weight.candidate].family;
                components.push(Component {
                    family,
                    candidate: weight.candidate,
                    share: *share,
                    mean,
                    variance: variance + proposal.sigma.powi(2),
                });
            }
            let gain_bits = information(&components);
            components.sort_by(|a, b| b.share.total_cmp(&a.share));
            let mut leading: Vec<(usize, usize, f64)> = Vec::new();
            for component in &components {
                if leading.iter().all(|(family, _, _)| *family != component.family) {
                    leading.push((component.family, component.candidate, component.mean));
                }
            }
            leading.truncate(2);
            (gain_bits > LEAST_BITS).then(|| NextReading {
                proposal: index,
                line: proposal.line.clone(),
                gain_bits,
                dimension: proposal.dimension,
                leading: leading.into_iter().map(|(_, candidate, mean)| (candidate, mean)).collect(),
            })
        })
        .collect();
    out.sort_by(|a, b| b.gain_bits.total_cmp(&a.gain_bits));
    out
}

/// The candidates that bear on the choice, each by its weightiest supposition with the share of all of them.
fn standing<'a>(weights: &'a [Weight], share: &dyn Fn(&Weight) -> f64) -> Vec<(&'a Weight, f64)> {
    let mut out: Vec<(&Weight, f64)> = Vec::new();
    for weight in weights {
        match out.iter_mut().find(|(other, _)| other.candidate == weight.candidate) {
            Some((leading, sum)) => {
                *sum += share(weight);
                if weight.log > leading.log {
                    *leading = weight;
                }
            }
            None => out.push((weight, share(weight))),
        }
    }
    out.retain(|(_, share)| *share > SHARE);
    out
}

/// Nodes and weights of the Gauss–Hermite rule of nine points, for ∫ exp(−x²) f(x) dx (Abramowitz & Stegun 1964, table 25.10);
/// the other half mirrors them. On mixtures of normals the gain is right to a few hundredths of a bit.
const NODES: [(f64, f64); 5] = [
    (0.0, 0.720_235_215_606),
    (0.723_551_018_753, 0.432_651_559_003),
    (1.468_553_289_217, 0.088_474_527_394),
    (2.266_580_584_532, 0.004_943_624_276),
    (3.190_993_201_782, 0.000_039_606_977),
];

/// Mutual information, in bits, between the family and the value read, when each family predicts a mixture of normals:
/// I = Σ_c P(c) ∫ p(y|c) log2( p(y|f) / p(y) ) dy, c over all normals and f the family of c (C. E. Shannon, 1948).
fn information(components: &[Component]) -> f64 {
    let total: f64 = components.iter().map(|c| c.share).sum();
    let of_family = |family: usize| components.iter().filter(move |c| c.family == family);
    if components.iter().all(|c| c.family == components[0].family) {
        return 0.0;
    }
    let density = |c: &Component, y: f64| {
        let sd = c.variance.sqrt();
        c.share / total * normal::ln_density((y - c.mean) / sd, sd).exp()
    };
    let mut bits = 0.0;
    for c in components {
        let prior = of_family(c.family).map(|c| c.share).sum::<f64>() / total;
        for (node, weight) in NODES {
            for node in [node, -node] {
                let y = c.mean + (2.0 * c.variance).sqrt() * node;
                let here: f64 = of_family(c.family).map(|c| density(c, y)).sum();
                let all: f64 = components.iter().map(|c| density(c, y)).sum();
                let ratio = here / (all * prior);
                // the middle node stands for itself and its mirror
                let part = if node == 0.0 { 0.5 } else { 1.0 };
                // far out both densities vanish; what is left there tells nothing
                if ratio.is_finite() && ratio > 0.0 {
                    bits += c.share / total * weight / PI.sqrt() * part * ratio.log2();
                }
            }
        }
    }
    bits.max(0.0)
}
