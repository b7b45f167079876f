//! Which reading to take next: the one expected to tell most about the design.

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
const SHARE: f64 = 1e-4;
/// A gain below this is not worth a walk to the bench.
const LEAST_BITS: f64 = 0.01;

/// What one family predicts of a proposal.
struct Component {
    family: usize,
    candidate: usize,
    share: f64,
    mean: f64,
    variance: f64,
}

pub fn proposals(recovery: &dyn Recovery, weights: &[Weight], share: &dyn Fn(&Weight) -> f64) -> Vec<NextReading> {
    let mut out: Vec<NextReading> = recovery
        .proposals()
        .into_iter()
        .enumerate()
        .filter_map(|(index, proposal)| {
            let mut components: Vec<Component> = Vec::new();
            for weight in weights.iter().filter(|weight| share(weight) > SHARE) {
                let (mean, variance) = linear::proposal(recovery, weight.candidate, &weight.fitted, index)?;
                let family = recovery.candidates()[weight.candidate].family;
                components.push(Component {
                    family,
                    candidate: weight.candidate,
                    share: share(weight),
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

/// Steps of the sum over what could be read; 400 over all components give the entropy to a thousandth of a bit.
const STEPS: usize = 400;

/// Mutual information, in bits, between the family and the value read, when each family predicts a mixture of normals:
/// I = Σ_f P(f) ∫ p(y|f) log2( p(y|f) / p(y) ) dy (C. E. Shannon, 1948; by the midpoint sum).
fn information(components: &[Component]) -> f64 {
    let total: f64 = components.iter().map(|c| c.share).sum();
    let low = components.iter().map(|c| c.mean - 5.0 * c.variance.sqrt()).fold(f64::INFINITY, f64::min);
    let high = components.iter().map(|c| c.mean + 5.0 * c.variance.sqrt()).fold(f64::NEG_INFINITY, f64::max);
    let narrowest = components.iter().map(|c| c.variance.sqrt()).fold(f64::INFINITY, f64::min);
    if components.len() < 2 || !low.is_finite() || high <= low {
        return 0.0;
    }
    let mut families: Vec<usize> = components.iter().map(|c| c.family).collect();
    families.sort_unstable();
    families.dedup();
    let steps = (((high - low) / narrowest * 4.0) as usize).clamp(STEPS, 20_000);
    let step = (high - low) / steps as f64;
    let mut bits = 0.0;
    let mut by_family = vec![0.0; families.len()];
    for index in 0..steps {
        let y = low + (index as f64 + 0.5) * step;
        by_family.fill(0.0);
        for c in components {
            let sd = c.variance.sqrt();
            let density = normal::ln_density((y - c.mean) / sd, sd).exp() * c.share / total;
            if let Ok(at) = families.binary_search(&c.family) {
                by_family[at] += density;
            }
        }
        let all: f64 = by_family.iter().sum();
        for (at, density) in by_family.iter().enumerate().filter(|(_, density)| **density > 0.0) {
            let prior: f64 =
                components.iter().filter(|c| c.family == families[at]).map(|c| c.share).sum::<f64>() / total;
            let ratio = density / (all * prior);
            // far out both densities vanish; what is left there tells nothing
            if ratio.is_finite() && ratio > 0.0 {
                bits += density * ratio.log2() * step;
            }
        }
    }
    bits.max(0.0)
}
