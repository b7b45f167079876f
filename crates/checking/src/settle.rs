//! What would settle a doubtful size: a finer instrument that is owned, or more readings with the one at hand.

use quantity::Length;

use crate::kit::{Way, Worth};
use crate::reading::{Finest, Shown};
use crate::rule::{Limits, Rule};
use crate::verdict::{Decision, judge};

/// More readings than this are not independent any more: the hand knows what it wants to find (common practice).
pub const MOST_READINGS: u32 = 10;

#[derive(Clone, Debug, PartialEq)]
pub enum Remedy {
    /// In all so many readings with the instrument at hand; if their mean stays where it is, this comes of it.
    Readings { in_all: u32, then: Decision },
    /// A finer instrument of those owned, read so often.
    Instrument { name: String, readings: u32, then: Decision },
}

/// The remedies for a size that stands at `value`, the easiest first; empty where nothing owned can tell, however often it is
/// read. `worth` is that of one reading with the instrument at hand, none where it was a bracket of gauges.
pub fn settle(value: Length, at_hand: Option<Finest<'_>>, limits: &Limits, ways: &[Way], rule: &Rule) -> Vec<Remedy> {
    let decided = |worth: Worth| {
        (1..=MOST_READINGS).find_map(|readings| {
            let shown = Shown::Reading { value, sigma: worth.of_mean(readings) };
            let then = judge(&shown, limits, rule).decision;
            (then != Decision::Doubtful).then_some((readings, then))
        })
    };
    let same = at_hand.and_then(|finest| decided(finest.worth)).map(|(in_all, then)| Remedy::Readings { in_all, then });
    let finer = ways.iter().filter(|way| {
        at_hand.is_none_or(|finest| way.instrument != finest.instrument && way.worth.once < finest.worth.once)
    });
    let finer = finer.filter_map(|way| {
        let (readings, then) = decided(way.worth)?;
        Some(Remedy::Instrument { name: way.instrument.clone(), readings, then })
    });
    let mut out: Vec<Remedy> = same.into_iter().chain(finer).collect();
    out.sort_by_key(Remedy::readings);
    out
}

impl Remedy {
    pub fn readings(&self) -> u32 {
        match self {
            Remedy::Readings { in_all: readings, .. } | Remedy::Instrument { readings, .. } => *readings,
        }
    }
}
