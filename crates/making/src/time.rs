//! How long it takes: set-up, cutting, handling and checking of every operation, for any number of pieces.
//!
//! Cutting is timed by feed and length; hand work by the shop's allowances. Nothing here guesses: where a feed or a length
//! is not known, the time is not either, and it says so.

use quantity::{Length, Minutes};
use serde::Serialize;
use standards::times::{self, Allowance};

use crate::plan::{Brief, Check, FeedPer, Operation, Pieces, Running};
use crate::shop::{MachineKind, Shop};
use crate::tools::ToolKind;

/// What an operation's time is reckoned from, beside its feeds and its checks.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Timing {
    /// Machine or holding change before it.
    pub new_set_up: bool,
    /// Blanks that stand in the machine together, where there are so many.
    pub at_once: u32,
    /// Pieces that come out of one blank.
    pub out_of_one: u32,
    /// The feeds are for one piece of a blank that gives several, and not for the whole blank.
    pub piece_by_piece: bool,
    pub tasks: Vec<Task>,
}

impl Default for Timing {
    fn default() -> Timing {
        Timing { new_set_up: false, at_once: 1, out_of_one: 1, piece_by_piece: false, tasks: Vec::new() }
    }
}

/// What a share of time is spent on once.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub enum Per {
    Lot,
    /// Each filling of the machine.
    Load,
    Blank,
    Piece,
}

/// Hand work, or a cut that is not timed by a feed.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Task {
    pub what: String,
    /// For one.
    pub minutes: Minutes,
    pub count: f64,
    pub per: Per,
    pub cutting: bool,
}

/// A tool fed along the work.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Travel {
    /// Along one blank.
    pub length: Length,
    /// Before the tool is at its full cut, and behind.
    pub approach: Length,
    pub times: u32,
}

impl Travel {
    /// Straight along the work, with the usual run in and out.
    pub fn along(length: Length, times: u32) -> Travel {
        let run = times::run();
        Travel { length, approach: run.before + run.after, times }
    }

    /// With a drill: its point has to go through too.
    pub fn drilled(depth: Length, diameter: Length, times: u32) -> Travel {
        let along = Travel::along(depth, times);
        Travel { approach: along.approach + diameter * times::run().drill_point, ..along }
    }

    /// With a disc cutter, which is at its full depth only when it has come in by [`approach`].
    pub fn milled(length: Length, cutter: Length, depth: Length, times: u32) -> Travel {
        let along = Travel::along(length, times);
        Travel { approach: along.approach + approach(cutter, depth), ..along }
    }

    /// Cutting time of it all along one blank: t = n (a + l)/v_f, with n the times, a the approach, l the length and v_f the
    /// feed in mm a minute. Range: v_f > 0. Exact. Source: definition of a feed; workshop texts.
    ///
    /// Example: 100 mm at 20 mm a minute take 5 minutes.
    pub fn minutes(&self, feed_per_minute: f64) -> Minutes {
        self.once(self.approach + self.length, feed_per_minute)
    }

    fn once(&self, length: Length, feed_per_minute: f64) -> Minutes {
        Minutes::new(f64::from(self.times) * length.mm() / feed_per_minute)
    }
}

/// How far a disc cutter must come in before it is at its full depth: a = √(t (D − t)), with D its diameter and t the depth
/// of cut.
///
/// Units: mm. Range: 0 ≤ t ≤ D. Accuracy: exact. Source: geometry of a circle; workshop texts on milling time.
/// Example: D = 80, t = 5: √(5 · 75) = 19.4 mm.
pub fn approach(cutter: Length, depth: Length) -> Length {
    Length::from_mm((depth.mm() * (cutter - depth).mm()).max(0.0).sqrt())
}

/// A feed in mm a minute: f n where it is given per turn, f z n per tooth; the middle of the range, at the machine's own
/// speed or, where that is not known, at the one wanted. Exact. Source: geometry of turning and milling.
fn fed_per_minute(running: &Running) -> Option<f64> {
    let feed = running.feed.as_ref()?;
    let per_minute = match feed.per {
        FeedPer::Turn => ((feed.lo + feed.hi) / 2.0).mm() * running.speed.real.unwrap_or(running.speed.wanted),
        FeedPer::Tooth => feed.per_minute?.mm(),
    };
    (per_minute > 0.0).then_some(per_minute)
}

/// Time for a lot: once, for each filling of the machine, for each blank, for each piece.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Spread {
    pub lot: Minutes,
    pub load: Minutes,
    pub blank: Minutes,
    pub piece: Minutes,
}

impl Spread {
    fn add(&mut self, per: Per, minutes: Minutes) {
        match per {
            Per::Lot => self.lot += minutes,
            Per::Load => self.load += minutes,
            Per::Blank => self.blank += minutes,
            Per::Piece => self.piece += minutes,
        }
    }

    fn of(&self, pieces: u32, blanks: u32, at_once: u32) -> Minutes {
        let loads = blanks.div_ceil(at_once.max(1));
        self.lot + self.load * f64::from(loads) + self.blank * f64::from(blanks) + self.piece * f64::from(pieces)
    }
}

/// How many pieces are made together.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Lot {
    pub fitted: u32,
    pub spares: u32,
}

impl Lot {
    pub fn pieces(self) -> u32 {
        self.fitted.saturating_add(self.spares)
    }
}

/// The four sorts of time, as one lot takes them.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Split {
    pub set_up: Minutes,
    pub cutting: Minutes,
    pub handling: Minutes,
    pub checking: Minutes,
}

impl Split {
    pub fn total(&self) -> Minutes {
        self.set_up + self.cutting + self.handling + self.checking
    }
}

impl std::ops::Add for Split {
    type Output = Split;
    fn add(self, other: Split) -> Split {
        Split {
            set_up: self.set_up + other.set_up,
            cutting: self.cutting + other.cutting,
            handling: self.handling + other.handling,
            checking: self.checking + other.checking,
        }
    }
}

/// One operation's time, for any lot.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct OperationTime {
    pub number: u32,
    pub title: String,
    pub pieces: Pieces,
    pub at_once: u32,
    pub out_of_one: u32,
    pub set_up: Minutes,
    pub cutting: Spread,
    pub handling: Spread,
    pub checking: Spread,
}

impl OperationTime {
    pub fn of(&self, lot: Lot) -> Split {
        let pieces = match self.pieces {
            Pieces::All => lot.pieces(),
            Pieces::Fitted => lot.fitted,
            Pieces::Once => lot.pieces().min(1),
        };
        if pieces == 0 {
            return Split::default();
        }
        let blanks = pieces.div_ceil(self.out_of_one.max(1));
        Split {
            set_up: self.set_up,
            cutting: self.cutting.of(pieces, blanks, self.at_once),
            handling: self.handling.of(pieces, blanks, self.at_once),
            checking: self.checking.of(pieces, blanks, self.at_once),
        }
    }
}

/// The time of a whole job.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Times {
    /// Before the first chip: papers, metal and tools, and the readings on the original.
    pub before: Minutes,
    pub operations: Vec<OperationTime>,
    /// Why the time is not known, as sentences; empty where it is.
    pub unknown: Vec<String>,
}

impl Times {
    pub(crate) fn of(brief: &Brief, operations: &[Operation], unknown: Vec<String>, shop: &Shop) -> Times {
        let readings = shop.allowed(Allowance::TakeReading) * f64::from(brief.order.readings);
        Times {
            before: shop.allowed(Allowance::BeginJob) + readings,
            operations: operations.iter().map(|operation| operation_time(operation, shop)).collect(),
            unknown,
        }
    }
}

fn operation_time(operation: &Operation, shop: &Shop) -> OperationTime {
    let timing = &operation.timing;
    let (mut cutting, mut handling, mut checking) = (Spread::default(), Spread::default(), Spread::default());
    for running in &operation.running {
        let (Some(travel), Some(feed)) = (running.travel, fed_per_minute(running)) else { continue };
        let (per_load, per_blank) =
            if timing.piece_by_piece { (Per::Piece, Per::Piece) } else { (Per::Load, Per::Blank) };
        cutting.add(per_load, travel.once(travel.approach, feed));
        cutting.add(per_blank, travel.once(travel.length, feed));
        handling.add(per_load, shop.allowed(Allowance::TakeCut) * f64::from(travel.times));
    }
    for task in &timing.tasks {
        let into = if task.cutting { &mut cutting } else { &mut handling };
        into.add(task.per, task.minutes * task.count);
    }
    let changes = operation.running.len().saturating_sub(1);
    handling.add(Per::Load, shop.allowed(Allowance::ChangeTool) * changes as f64);
    if timing.new_set_up {
        handling.add(Per::Load, shop.allowed(load(operation.machine.kind)));
    }
    if timing.at_once > 1 {
        handling.add(Per::Blank, shop.allowed(Allowance::AddBlank));
    }
    for check in &operation.checks {
        checking.add(Per::Blank, shop.allowed(measuring(check)));
    }
    OperationTime {
        number: operation.number,
        title: operation.title.clone(),
        pieces: operation.pieces,
        at_once: timing.at_once,
        out_of_one: timing.out_of_one,
        set_up: set_up(operation, shop),
        cutting,
        handling,
        checking,
    }
}

fn set_up(operation: &Operation, shop: &Shop) -> Minutes {
    let tools = operation.tools.iter().filter(|tool| {
        matches!(
            tool.kind,
            ToolKind::Drill
                | ToolKind::Reamer
                | ToolKind::Tap
                | ToolKind::GearCutter
                | ToolKind::EndMill
                | ToolKind::SlotCutter
                | ToolKind::Broach
        ) || (tool.kind == ToolKind::Small && !operation.running.is_empty())
    });
    let mut minutes = shop.allowed(Allowance::SetTool) * tools.count() as f64;
    if operation.timing.new_set_up {
        minutes += shop.allowed(match operation.machine.kind {
            MachineKind::Lathe => Allowance::SetUpLathe,
            MachineKind::Mill => Allowance::SetUpMill,
            MachineKind::DrillPress => Allowance::SetUpDrillPress,
            MachineKind::Saw => Allowance::SetUpSaw,
            MachineKind::Sander => Allowance::SetUpSander,
            MachineKind::ArborPress => Allowance::SetUpArborPress,
            MachineKind::Bench => Allowance::SetUpBench,
        });
    }
    if operation.tools.iter().any(|tool| tool.kind == ToolKind::DividingHead) {
        minutes += shop.allowed(Allowance::SetUpDividingHead);
    }
    minutes
}

fn load(kind: MachineKind) -> Allowance {
    match kind {
        MachineKind::Lathe => Allowance::LoadLathe,
        MachineKind::Mill => Allowance::LoadMill,
        MachineKind::DrillPress => Allowance::LoadDrillPress,
        MachineKind::Saw => Allowance::LoadSaw,
        MachineKind::Sander => Allowance::LoadSander,
        MachineKind::ArborPress => Allowance::LoadArborPress,
        MachineKind::Bench => Allowance::LoadBench,
    }
}

fn measuring(check: &Check) -> Allowance {
    match check.instrument.kind {
        ToolKind::Pin if check.instrument.label.contains("over pins") => Allowance::MeasureOverPins,
        ToolKind::Pin => Allowance::TryGauges,
        ToolKind::Mate => Allowance::TryOnMate,
        ToolKind::Instrument if ["rule", "caliper"].contains(&check.instrument.label.as_str()) => {
            Allowance::MeasureRoughly
        }
        ToolKind::Instrument
        | ToolKind::Drill
        | ToolKind::Reamer
        | ToolKind::Tap
        | ToolKind::GearCutter
        | ToolKind::EndMill
        | ToolKind::SlotCutter
        | ToolKind::Broach
        | ToolKind::Arbor
        | ToolKind::DividingHead
        | ToolKind::Small
        | ToolKind::Machine
        | ToolKind::Stock => Allowance::MeasureFinely,
    }
}
