//! What has been shown, against the limits: accepted, rejected, or not proved either way.

use quantity::Length;

use crate::reading::Shown;
use crate::rule::{Limits, Rule, cumulative};

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Decision {
    Accept,
    Doubtful,
    Reject,
}

/// Where the true size lies, as probabilities that sum to one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Chances {
    pub below: f64,
    /// The probability of conformity.
    pub within: f64,
    pub above: f64,
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Judged {
    pub decision: Decision,
    pub chances: Chances,
}

/// Accepted where the size is inside with the rule's confidence, rejected where it is proved to lie on one side outside,
/// doubtful else. An instrument far too coarse proves nothing and therefore rejects nothing.
///
/// Source: ISO 14253-1 (proof of conformity and of non-conformity); JCGM 106:2012, 7 (what the probabilities are).
pub fn judge(shown: &Shown, limits: &Limits, rule: &Rule) -> Judged {
    let chances = chances(shown, limits);
    let sure = rule.confidence() - LAST_FIGURE;
    let decision = if chances.within >= sure {
        Decision::Accept
    } else if chances.below >= sure || chances.above >= sure {
        Decision::Reject
    } else {
        Decision::Doubtful
    };
    Judged { decision, chances }
}

/// A reading on the very edge of the guard band belongs to it, whatever its last binary figure does.
const LAST_FIGURE: f64 = 1e-9;

/// Equation: p = Φ((T_U − y)/u) − Φ((T_L − y)/u) for a reading y ± u (JCGM 106:2012, 7.4, prior knowledge being poor); for
/// a bracket see [`Shown::cumulative`].
fn chances(shown: &Shown, limits: &Limits) -> Chances {
    let below = limits.lower.map_or(0.0, |lower| shown.cumulative(lower));
    let above = limits.upper.map_or(0.0, |upper| shown.beyond(upper));
    Chances { below, within: (1.0 - below - above).max(0.0), above }
}

impl Shown {
    /// The probability that the size, of an uneven part its smallest place, is smaller than this.
    ///
    /// A bracket leaves every size between its two gauges as likely as any other, each gauge being off by up to its
    /// tolerance: the mean, over both gauges' errors, of the part of the bracket that lies below.
    pub fn cumulative(&self, size: Length) -> f64 {
        match *self {
            Shown::Reading { value, sigma } => step(size - value, sigma, cumulative),
            Shown::Uneven { low, sigma, .. } => step(size - low, sigma, cumulative),
            Shown::Between { low, high, gauge } => between(size, low, high, gauge),
        }
    }

    /// The probability that it, or the largest place, is larger; no difference from one, so that small ones keep their figures.
    fn beyond(&self, size: Length) -> f64 {
        match *self {
            Shown::Reading { value, sigma } => step(value - size, sigma, cumulative),
            Shown::Uneven { high, sigma, .. } => step(high - size, sigma, cumulative),
            Shown::Between { low, high, gauge } => 1.0 - between(size, low, high, gauge),
        }
    }
}

/// Without uncertainty there is nothing but before and behind.
fn step(off: Length, sigma: Length, cumulative: impl Fn(f64) -> f64) -> f64 {
    if sigma > Length::ZERO {
        cumulative(off / sigma)
    } else if off >= Length::ZERO {
        1.0
    } else {
        0.0
    }
}

/// Gauges are taken at so many places of their tolerance: the mean is then good to a few parts in a thousand.
const PLACES: u32 = 24;

fn between(size: Length, low: Length, high: Length, gauge: Length) -> f64 {
    let error = |place: u32| gauge * ((f64::from(place) + 0.5) / f64::from(PLACES) * 2.0 - 1.0);
    let (mut sum, mut count) = (0.0, 0.0);
    for first in 0..PLACES {
        for second in 0..PLACES {
            let (low, high) = (low + error(first), high + error(second));
            // gauges that contradict each other are not the pair that was tried
            if high > low {
                sum += ((size - low) / (high - low)).clamp(0.0, 1.0);
                count += 1.0;
            }
        }
    }
    if count > 0.0 { sum / count } else { step(size - (low + high) / 2.0, Length::ZERO, |z| z) }
}
