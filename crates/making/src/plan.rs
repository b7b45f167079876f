//! The plan: operations in the order a machinist takes them, each with machine, tool, set-up, speed, feed and check.

use part::{Characteristic, Cut};
use quantity::{Length, Unit, print};
use serde::Serialize;

use crate::blank::Blank;
use crate::cutters::CutterPick;
use crate::indexing::IndexSheet;
use crate::mass::Metal;
use crate::order::{self, Step};
use crate::price::{Made, Order, Price};
use crate::ring::Sweep;
use crate::safety::Duty;
use crate::shop::{MachineKind, Shop};
use crate::speeds::Speed;
use crate::steps::Planner;
use crate::time::{Times, Timing, Travel};
use crate::tools::{Lack, ToolKind, ToolPick};

/// What is to be made, in words that name no kind of part.
#[derive(Clone, Debug)]
pub struct Brief {
    pub title: String,
    /// What the new part is made of, and what the original was.
    pub material: String,
    pub original_material: Option<String>,
    /// Pieces that are fitted now, and spares that are kept.
    pub pieces: u32,
    pub spares: u32,
    pub thickness: Option<Length>,
    pub face_width: Option<Length>,
    /// Overall width and height of the outline, for the blank of a part that is not round.
    pub extent: Option<(Length, Length)>,
    pub cuts: Vec<Cut>,
    /// What is measured at the end.
    pub characteristics: Vec<Characteristic>,
    /// What they are measured with, where that was settled beforehand by how finely they must be told.
    pub gauged: Vec<Gauged>,
    /// The mating part is at hand for match-drilling.
    pub has_mate: bool,
    pub duty: Duty,
    /// How much of the ring a sector covers; none where it holds the middle of the disc, or is none.
    pub sweep: Option<Sweep>,
    pub order: Order,
}

/// The instrument for one characteristic.
#[derive(Clone, Debug, PartialEq)]
pub struct Gauged {
    pub name: String,
    pub nominal: Length,
    pub instrument: ToolPick,
}

#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Plan {
    /// Said before anything else where a failure of the part could hurt someone.
    pub stop: Option<String>,
    pub operations: Vec<Operation>,
    pub lacking: Vec<Lack>,
    pub indexing: Option<IndexSheet>,
    /// The form cutter of each toothed rim, and what it does to the flanks.
    pub cutters: Vec<CutterPick>,
    pub blank: Blank,
    pub pieces: Vec<PieceState>,
    /// What concerns the whole job.
    pub notes: Vec<String>,
    /// Machines and holdings changed from one operation to the next.
    pub set_ups: u32,
    pub metals: Vec<Metal>,
    #[serde(skip)]
    pub times: Times,
    #[serde(skip)]
    pub price: Price,
}

#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Operation {
    /// From 1, in the order they are done.
    pub number: u32,
    pub step: Step,
    pub title: String,
    /// Features it makes.
    pub features: Vec<String>,
    pub machine: MachinePick,
    pub tools: Vec<ToolPick>,
    /// How the work is held.
    pub set_up: String,
    /// What is done, sentence by sentence.
    pub instructions: Vec<String>,
    pub running: Vec<Running>,
    pub passes: Option<Passes>,
    /// What ends it.
    pub checks: Vec<Check>,
    pub notes: Vec<String>,
    pub cautions: Vec<String>,
    pub pieces: Pieces,
    /// Numbers of the operations it must follow.
    pub after: Vec<u32>,
    /// What its time is reckoned from.
    pub timing: Timing,
}

#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MachinePick {
    pub kind: MachineKind,
    pub name: String,
    pub owned: bool,
    pub note: Option<String>,
}

/// A tool running in a spindle, or work running against it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Running {
    pub tool: String,
    pub speed: Speed,
    pub feed: Option<Feed>,
    /// How far it is fed at that; none where it is not timed by its feed.
    pub travel: Option<Travel>,
    pub sentence: String,
}

#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Feed {
    pub per: FeedPer,
    pub lo: Length,
    pub hi: Length,
    /// Along the table in a minute, at the middle of the range and the real speed.
    pub per_minute: Option<Length>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub enum FeedPer {
    Turn,
    Tooth,
}

/// How the full depth is reached.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Passes {
    pub depth: Length,
    /// Infeed of each pass; their sum is the depth.
    pub each: Vec<Length>,
}

/// A dimension measured before the operation is left.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Check {
    pub feature: String,
    pub what: String,
    /// None where a line or a mate is the measure.
    pub nominal: Option<Length>,
    pub lower: Option<Length>,
    pub upper: Option<Length>,
    pub instrument: ToolPick,
    pub sentence: String,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub enum Pieces {
    All,
    /// Not the spares: they wait for the machine they go into.
    Fitted,
    /// Done once for the whole lot.
    Once,
}

/// What state a piece is to be left in.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct PieceState {
    pub number: u32,
    pub spare: bool,
    /// Titles of the operations left undone.
    pub undone: Vec<String>,
    pub sentence: String,
}

/// A plan to make this with what this shop owns. It always gives one; what stands in the way is said in it.
pub fn plan(brief: &Brief, shop: &Shop) -> Plan {
    let mut planner = Planner::new(brief, shop);
    planner.all_steps();
    let Planner { drafts, lacking, indexing, cutters, blank, notes, untimed, metals, in_place, .. } = planner;
    let (operations, set_ups) = order::arrange(drafts);
    let times = Times::of(brief, &operations, untimed, shop);
    let made = Made { operations: &operations, metals: &metals, lacking: &lacking, times: &times };
    let price = Price::of(brief, &made, &shop.charges);
    Plan {
        stop: brief.duty.stop(),
        pieces: piece_states(brief, &operations, &in_place),
        metals,
        times,
        price,
        operations,
        lacking,
        indexing,
        cutters,
        blank,
        notes,
        set_ups,
    }
}

/// `in_place` is what no piece has done to it before it is in its place.
fn piece_states(brief: &Brief, operations: &[Operation], in_place: &[String]) -> Vec<PieceState> {
    let left: Vec<String> = operations
        .iter()
        .filter(|operation| operation.pieces == Pieces::Fitted)
        .map(|operation| operation.title.clone())
        .chain(in_place.iter().cloned())
        .collect();
    (1..=brief.pieces.saturating_add(brief.spares).min(MOST_PIECES))
        .map(|number| {
            let spare = number > brief.pieces;
            let undone = if spare { left.clone() } else { in_place.to_vec() };
            let of = if spare { ", a spare" } else { "" };
            let sentence = match undone.as_slice() {
                [] => format!("Piece {number}{of}: to be finished."),
                undone => {
                    format!(
                        "Piece {number}{of}: to be finished but for this, done when it is fitted: {}.",
                        undone.join("; ")
                    )
                }
            };
            PieceState { number, spare, undone, sentence }
        })
        .collect()
}

/// More of one part than a repair shop makes; a slip of the pen must not fill the memory.
pub const MOST_PIECES: u32 = 1000;

impl Feed {
    pub fn sentence(&self, unit: Unit) -> String {
        let per = match self.per {
            FeedPer::Turn => "per turn",
            FeedPer::Tooth => "per tooth of the cutter",
        };
        let range = if (self.hi - self.lo).mm() < 1e-9 {
            print::length(self.lo, unit, 2)
        } else {
            format!("{} to {}", print::figures(self.lo, unit, 2), print::length(self.hi, unit, 2))
        };
        match self.per_minute {
            Some(minute) => format!("{range} {per}, about {} a minute", print::length(minute, unit, 0)),
            None => format!("{range} {per}"),
        }
    }
}

impl Passes {
    /// The finishing cut is left to the end; the rest is shared evenly among as few cuts as the machine takes.
    pub fn new(depth: Length, finish: Length, deepest: Length) -> Passes {
        if depth <= finish * 2.0 {
            return Passes { depth, each: vec![depth] };
        }
        let rough = depth - finish;
        // a depth that is a whole number of cuts must not be rounded up by the last bit
        let count = (rough / deepest - 1e-9).ceil().clamp(1.0, 200.0);
        let mut each = vec![rough / count; count as usize];
        each.push(finish);
        Passes { depth, each }
    }

    /// As few cuts as the machine takes, all alike.
    pub(crate) fn even(depth: Length, deepest: Length) -> Passes {
        let count = (depth / deepest - 1e-9).ceil().clamp(1.0, 200.0);
        Passes { depth, each: vec![depth / count; count as usize] }
    }

    /// With one more cut.
    pub(crate) fn and_last(mut self, last: Length) -> Passes {
        if last > Length::ZERO {
            self.depth += last;
            self.each.push(last);
        }
        self
    }

    /// "one cut", "4 cuts"
    pub(crate) fn count_sentence(&self) -> String {
        match self.each.len() {
            0 | 1 => "one cut".to_string(),
            several => format!("{several} cuts"),
        }
    }

    pub fn sentence(&self, unit: Unit) -> String {
        let depth = print::length(self.depth, unit, 2);
        match self.each.split_last() {
            Some((finish, rough)) if !rough.is_empty() => format!(
                "{} cuts to {depth}: {} of {}, the last of {}.",
                self.each.len(),
                rough.len(),
                print::length(rough[0], unit, 2),
                print::length(*finish, unit, 2)
            ),
            _ => format!("One cut of {depth}."),
        }
    }
}

impl MachinePick {
    pub fn as_tool(&self) -> ToolPick {
        ToolPick { kind: ToolKind::Machine, label: self.name.clone(), owned: self.owned, note: self.note.clone() }
    }
}
