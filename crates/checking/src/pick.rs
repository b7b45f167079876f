//! Which of the owned instruments to take for a size, by how much of its tolerance the uncertainty leaves.

use part::Gauging;
use quantity::Length;

use crate::gauges::{GoNotGo, go_not_go};
use crate::kit::{Kit, Way};
use crate::rule::{Limits, Rule};
use crate::settle::MOST_READINGS;

/// A size to be checked.
#[derive(Clone, Copy, Debug)]
pub struct Task<'a> {
    pub gauging: &'a Gauging,
    pub nominal: Length,
    pub limits: Limits,
    /// By how much the reading grows for each unit that the pin is larger; 1 where there is none.
    pub pin_influence: f64,
    /// The place to which readings are written down.
    pub last_place: Length,
}

/// What to check it with.
#[derive(Clone, Debug, PartialEq)]
pub struct Pick {
    pub with: With,
    /// The readings that prove it good; none where nothing owned can.
    pub zone: Option<Limits>,
    /// Readings whose mean is taken; more than one where one alone proves nothing.
    pub readings: u32,
    /// Standard uncertainty of that mean; none where nothing is read.
    pub sigma: Option<Length>,
}

#[derive(Clone, Debug, PartialEq)]
pub enum With {
    Read(Way),
    Tries(GoNotGo),
    /// Laid on the template or tried on the mate: no figure.
    Fit,
    /// Nothing that takes such a size is owned.
    Nothing,
}

/// This part of a tolerance must be left between the guard bands, or a finer instrument is looked for.
const LEAST_LEFT: f64 = 0.5;

/// The instrument that is meant, if it leaves half of the tolerance; else the one of those owned that leaves most. Owned pins
/// that prove a hole come before an instrument that hardly does.
pub fn pick(task: &Task<'_>, kit: &Kit<'_>, rule: &Rule) -> Pick {
    if matches!(task.gauging, Gauging::Template | Gauging::Mate) {
        return Pick { with: With::Fit, zone: None, readings: 1, sigma: None };
    }
    let gauges = matches!(task.gauging, Gauging::PlainGauges).then(|| go_not_go(&task.limits, kit.pins)).flatten();
    let ways = kit.ways(task);
    let left = |way: &Way| left(task, way, 1, rule);
    if let Some(gauges) = gauges {
        let zone = Limits { lower: Some(gauges.go), upper: Some(gauges.not_go) };
        return Pick { with: With::Tries(gauges), zone: Some(zone), readings: 1, sigma: None };
    }
    let meant = ways.iter().find(|way| left(way) >= LEAST_LEFT);
    let finest = || ways.iter().min_by(|a, b| a.worth.once.mm().total_cmp(&b.worth.once.mm()));
    let Some(way) = meant.or_else(finest) else {
        return Pick { with: With::Nothing, zone: None, readings: 1, sigma: None };
    };
    let proves = |readings: &u32| rule.zone(&task.limits, way.worth.of_mean(*readings)).is_some();
    let readings = (1..=MOST_READINGS).find(proves).unwrap_or(1);
    let sigma = way.worth.of_mean(readings);
    Pick { with: With::Read(way.clone()), zone: rule.zone(&task.limits, sigma), readings, sigma: Some(sigma) }
}

/// The part of the tolerance that the guard bands leave; all of it where one side is open.
fn left(task: &Task<'_>, way: &Way, readings: u32, rule: &Rule) -> f64 {
    let Some(width) = task.limits.width().filter(|width| *width > Length::ZERO) else { return 1.0 };
    let zone = rule.zone(&task.limits, way.worth.of_mean(readings)).and_then(|zone| zone.width());
    zone.map_or(0.0, |zone| zone / width)
}

impl Pick {
    /// Whether anything owned can show that the size is good.
    pub fn proves(&self) -> bool {
        self.zone.is_some() || self.with == With::Fit
    }

    /// Expanded uncertainty, k = 2.
    pub fn expanded(&self) -> Option<Length> {
        self.sigma.map(|sigma| sigma * 2.0)
    }
}
