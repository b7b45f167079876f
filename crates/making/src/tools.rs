//! Picking tools out of the drawers, and saying what is not there and what would do instead.

use quantity::{Length, Unit, print};
use serde::Serialize;

use crate::shop::{OwnedDrill, RoundTool};

/// A tool an operation is done with, or an instrument it is checked with.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ToolPick {
    pub kind: ToolKind,
    pub label: String,
    pub owned: bool,
    pub note: Option<String>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub enum ToolKind {
    Drill,
    Reamer,
    Tap,
    Pin,
    GearCutter,
    EndMill,
    SlotCutter,
    Broach,
    Arbor,
    DividingHead,
    Instrument,
    /// Drawers' odds and ends, without a size.
    Small,
    Machine,
    Stock,
    /// The part's own mate.
    Mate,
}

/// Something the plan calls for that the shop has not.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Lack {
    pub kind: ToolKind,
    /// As the operations name it.
    pub label: String,
    /// The operation that first wants it.
    pub wanted_for: String,
    /// What would do, in the order it would be tried.
    pub ways: Vec<String>,
}

impl ToolPick {
    pub fn owned(kind: ToolKind, label: impl Into<String>) -> ToolPick {
        ToolPick { kind, label: label.into(), owned: true, note: None }
    }

    pub fn missing(kind: ToolKind, label: impl Into<String>) -> ToolPick {
        ToolPick { kind, label: label.into(), owned: false, note: None }
    }

    #[must_use]
    pub fn noted(mut self, note: impl Into<String>) -> ToolPick {
        self.note = Some(note.into());
        self
    }
}

/// A tool with what it is before its size, as it is looked for: "drill 3/4 in"; a label that says it already is left.
pub fn kinded(kind: &str, label: &str) -> String {
    match label.to_lowercase().contains(kind) {
        true => label.to_string(),
        false => format!("{kind} {}", crate::safety::lower_first(label)),
    }
}

/// The owned drills round a size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DrillPick<'a> {
    pub wanted: Length,
    pub nearest: &'a OwnedDrill,
    /// The nearest owned less the size wanted.
    pub difference: Length,
    pub below: Option<&'a OwnedDrill>,
    pub above: Option<&'a OwnedDrill>,
}

/// The owned drill nearest to a size, with its neighbours below and above; none where the drawer is empty.
pub fn drill_near(drills: &[OwnedDrill], wanted: Length) -> Option<DrillPick<'_>> {
    let off = |drill: &OwnedDrill| (drill.diameter - wanted).abs().mm();
    let nearest = drills.iter().min_by(|a, b| off(a).total_cmp(&off(b)))?;
    Some(DrillPick {
        wanted,
        nearest,
        difference: nearest.diameter - wanted,
        below: drill_below(drills, wanted),
        above: drills
            .iter()
            .filter(|drill| drill.diameter > wanted)
            .min_by(|a, b| a.diameter.mm().total_cmp(&b.diameter.mm())),
    })
}

/// The largest owned drill below a size.
pub fn drill_below(drills: &[OwnedDrill], size: Length) -> Option<&OwnedDrill> {
    drills.iter().filter(|drill| drill.diameter < size).max_by(|a, b| a.diameter.mm().total_cmp(&b.diameter.mm()))
}

impl DrillPick<'_> {
    /// How the drill differs from the size, in both units, and what lies next to it.
    pub fn sentence(&self, unit: Unit) -> String {
        let mut text = match self.difference.mm().abs() < 0.0005 {
            true => format!("{} is the size itself", self.nearest.label),
            false => format!(
                "{} is the nearest owned, {} ({}) from the size",
                self.nearest.label,
                with_sign(self.difference, unit),
                with_sign(self.difference, other(unit)),
            ),
        };
        let neighbours: Vec<String> = [("next below", self.below), ("next above", self.above)]
            .into_iter()
            .filter_map(|(where_to, drill)| {
                let drill = drill.filter(|drill| *drill != self.nearest)?;
                Some(format!("{where_to} {} ({})", drill.label, print::length(drill.diameter, unit, 3)))
            })
            .collect();
        if !neighbours.is_empty() {
            text = format!("{text}; {}", neighbours.join(", "));
        }
        text + "."
    }
}

fn with_sign(difference: Length, unit: Unit) -> String {
    format!("{} {}", print::signed(difference, unit, 3), unit.sign())
}

const fn other(unit: Unit) -> Unit {
    match unit {
        Unit::Inch => Unit::Millimetre,
        Unit::Millimetre => Unit::Inch,
    }
}

/// A reamer for a hole, and the drill that goes before it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ReamerPick<'a> {
    pub reamer: &'a RoundTool,
    /// Metal the drill leaves; none where no drill owned leaves the right amount.
    pub drill: Option<(&'a OwnedDrill, Length)>,
    /// What should be left on the diameter.
    pub allowance: (Length, Length),
}

/// A tool marked with the limit itself is taken: marks are rounded, and 6 less 5.8 is a hair more than 0.2 in binary figures.
pub(crate) const AT_THE_LIMIT: Length = Length::from_mm(0.0005);

/// The owned reamer whose size lies between the limits, nearest to their middle, with its drill.
pub fn reamer_within<'a>(
    reamers: &'a [RoundTool],
    drills: &'a [OwnedDrill],
    smallest: Length,
    largest: Length,
) -> Option<ReamerPick<'a>> {
    let middle = (smallest + largest) / 2.0;
    let reamer = reamers
        .iter()
        .filter(|reamer| reamer.diameter >= smallest - AT_THE_LIMIT && reamer.diameter <= largest + AT_THE_LIMIT)
        .min_by(|a, b| {
            let off = |tool: &RoundTool| (tool.diameter - middle).abs().mm();
            off(a).total_cmp(&off(b))
        })?;
    let allowance = ream_allowance(reamer.diameter);
    Some(ReamerPick { reamer, drill: drill_before(drills, reamer.diameter, allowance), allowance })
}

/// What a reamer wants left on the diameter, least and most.
pub fn ream_allowance(diameter: Length) -> (Length, Length) {
    /// Beyond the handbook's table: what it says of the largest sizes.
    const BEYOND_THE_TABLE: (Length, Length) = (Length::from_mm(0.3), Length::from_mm(0.5));
    standards::cutting::reaming_allowance(diameter).map_or(BEYOND_THE_TABLE, |span| (span.lo, span.hi))
}

/// The drill that leaves an amount within the allowance, the nearer to its middle the better.
fn drill_before(drills: &[OwnedDrill], reamed: Length, allowance: (Length, Length)) -> Option<(&OwnedDrill, Length)> {
    let middle = (allowance.0 + allowance.1) / 2.0;
    drills
        .iter()
        .map(|drill| (drill, reamed - drill.diameter))
        .filter(|(_, left)| *left >= allowance.0 - AT_THE_LIMIT && *left <= allowance.1 + AT_THE_LIMIT)
        .min_by(|(_, a), (_, b)| (*a - middle).abs().mm().total_cmp(&(*b - middle).abs().mm()))
}
