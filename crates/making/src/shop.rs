//! What a shop owns and charges, as plain data: the planner reads it, nothing here reads a file.

use std::collections::BTreeMap;

use quantity::{Instrument, Length, Minutes, Money, Unit};
use serde::Serialize;
use standards::cutting::{Stiffness, ToolMaterial, WayRound, minutes_round};
use standards::times::Allowance;
use standards::{DrillSeries, Thread};

#[derive(Clone, Debug, PartialEq)]
pub struct Shop {
    pub name: String,
    /// The unit its sheets are written in.
    pub unit: Unit,
    pub charges: Charges,
    /// Minutes of hand work that this shop has timed itself; the rest are as usual.
    pub minutes: BTreeMap<Allowance, Minutes>,
    pub drawers: Drawers,
    pub machines: Vec<Machine>,
    pub dividing: Vec<DividingHead>,
    pub rack: Vec<Stock>,
    pub instruments: Vec<Instrument>,
}

/// What the shop asks for its time and its metal; what it does not say is not known.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Charges {
    pub currency: String,
    pub hour: Option<Money>,
    /// For the smallest job.
    pub minimum: Option<Money>,
    /// On top of time, metal and outside work, in 100 of their sum.
    pub margin_percent: Option<f64>,
    /// Prices are rounded up to a multiple of this.
    pub round_to: Option<Money>,
    pub materials: Vec<MaterialPrice>,
    /// Days that a quote holds.
    pub quote_holds_days: Option<u32>,
    /// Sentences at the foot of a quote: tax, payment, carriage.
    pub terms: Vec<String>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct MaterialPrice {
    pub material: String,
    pub per_kilogram: Money,
}

/// The tools in the drawers; an empty list is an empty drawer.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Drawers {
    /// The sets with their gaps already taken out, in any order.
    pub drills: Vec<OwnedDrill>,
    pub reamers: Vec<RoundTool>,
    pub taps: Vec<Thread>,
    /// Plain pins and pin gauges, by diameter.
    pub pins: Vec<Length>,
    pub gear_cutters: Vec<CutterSet>,
    pub end_mills: Vec<RoundTool>,
    /// Side-and-face or slotting cutters, by width.
    pub slot_cutters: Vec<Length>,
    /// Keyway broaches, by width.
    pub broaches: Vec<Length>,
    /// Lathe mandrels, and arbors that a bored blank is clamped on, by the diameter they take.
    pub arbors: Vec<Arbor>,
    pub small_tools: Vec<SmallTool>,
    /// Those of the small tools that are tipped with carbide.
    pub carbide: Vec<SmallTool>,
    /// What a tool costs that is not owned, as far as the shop knows.
    pub bought_at: Vec<(Purchase, Money)>,
}

/// Tools that are bought when they are lacking.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Purchase {
    Drill,
    Reamer,
    Tap,
    GearCutter,
    EndMill,
    SlotCutter,
    Broach,
    Arbor,
    IndexPlate,
    Pin,
}

impl Purchase {
    pub const ALL: [Purchase; 10] = [
        Purchase::Drill,
        Purchase::Reamer,
        Purchase::Tap,
        Purchase::GearCutter,
        Purchase::EndMill,
        Purchase::SlotCutter,
        Purchase::Broach,
        Purchase::Arbor,
        Purchase::IndexPlate,
        Purchase::Pin,
    ];

    /// As a shop file names it.
    pub const fn name(self) -> &'static str {
        match self {
            Purchase::Drill => "drill",
            Purchase::Reamer => "reamer",
            Purchase::Tap => "tap",
            Purchase::GearCutter => "gear cutter",
            Purchase::EndMill => "end mill",
            Purchase::SlotCutter => "slot cutter",
            Purchase::Broach => "broach",
            Purchase::Arbor => "arbor",
            Purchase::IndexPlate => "index plate",
            Purchase::Pin => "pin",
        }
    }

    pub fn named(name: &str) -> Option<Purchase> {
        Purchase::ALL.into_iter().find(|tool| tool.name().eq_ignore_ascii_case(name.trim()))
    }
}

#[derive(Clone, Debug, PartialEq)]
pub struct OwnedDrill {
    /// As the trade asks for it: `#40`, `13/64 in`.
    pub label: String,
    pub diameter: Length,
    pub series: DrillSeries,
}

/// A tool that is told from its fellows by one diameter.
#[derive(Clone, Debug, PartialEq)]
pub struct RoundTool {
    pub label: String,
    pub diameter: Length,
}

/// Involute form cutters of one size.
#[derive(Clone, Debug, PartialEq)]
pub struct CutterSet {
    /// "10 DP", "module 2.5".
    pub size_label: String,
    pub module: Length,
    pub pressure_angle_degrees: f64,
    pub numbering: CutterNumbering,
    /// The numbers owned, half numbers as 3.5.
    pub numbers: Vec<f64>,
    /// Bore of the cutters.
    pub bore: Option<Length>,
    /// Outside diameter, which their speed is reckoned by.
    pub diameter: Option<Length>,
}

/// Which end of the range number 1 stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CutterNumbering {
    /// Number 1 cuts 135 teeth to a rack, as diametral pitch cutters are numbered.
    RackIsOne,
    /// Number 1 cuts 12 and 13 teeth, as most module cutters are numbered.
    TwelveIsOne,
}

#[derive(Clone, Debug, PartialEq)]
pub struct Arbor {
    pub label: String,
    /// Smallest and largest bore it takes; the same for a plain one.
    pub takes: (Length, Length),
}

/// Small tools that are owned or not, without a size.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum SmallTool {
    TurningTool,
    PartingTool,
    BoringBar,
    CentreDrill,
    Countersink,
    FlyCutterHolder,
    Files,
    Scriber,
    TransferPunch,
    Indicator,
    /// Slotted plugs that guide a broach in a bore, with their shims.
    GuideBushes,
}

impl SmallTool {
    pub const ALL: [SmallTool; 11] = [
        SmallTool::TurningTool,
        SmallTool::PartingTool,
        SmallTool::BoringBar,
        SmallTool::CentreDrill,
        SmallTool::Countersink,
        SmallTool::FlyCutterHolder,
        SmallTool::Files,
        SmallTool::Scriber,
        SmallTool::TransferPunch,
        SmallTool::Indicator,
        SmallTool::GuideBushes,
    ];

    /// As a shop file and a plan name it.
    pub const fn name(self) -> &'static str {
        match self {
            SmallTool::TurningTool => "turning tool",
            SmallTool::PartingTool => "parting tool",
            SmallTool::BoringBar => "boring bar",
            SmallTool::CentreDrill => "centre drill",
            SmallTool::Countersink => "countersink",
            SmallTool::FlyCutterHolder => "fly cutter holder",
            SmallTool::Files => "files",
            SmallTool::Scriber => "scriber",
            SmallTool::TransferPunch => "transfer punch",
            SmallTool::Indicator => "dial indicator",
            SmallTool::GuideBushes => "broach bushes and shims",
        }
    }

    pub fn named(name: &str) -> Option<SmallTool> {
        SmallTool::ALL.into_iter().find(|tool| tool.name().eq_ignore_ascii_case(name.trim()))
    }
}

#[derive(Clone, Debug, PartialEq)]
pub struct Machine {
    pub name: String,
    pub kind: MachineKind,
    pub speeds: Speeds,
    /// Largest diameter that turns over the bed.
    pub swing: Option<Length>,
    /// Longest cut along the bed or the table.
    pub travel: Option<Length>,
    /// From the blade or the spindle to the column: how far into a part it reaches.
    pub throat: Option<Length>,
    /// Largest drill its chuck or its power takes.
    pub largest_drill: Option<Length>,
    /// Pitch of the screw that feeds a mill's table, where a dividing head can be geared to it.
    pub table_screw: Option<Length>,
    pub press_force_kilonewton: Option<f64>,
    pub stiffness: Stiffness,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub enum MachineKind {
    Lathe,
    Mill,
    DrillPress,
    Saw,
    Sander,
    ArborPress,
    /// A bench with a vice.
    Bench,
}

impl MachineKind {
    pub const ALL: [MachineKind; 7] = [
        MachineKind::Lathe,
        MachineKind::Mill,
        MachineKind::DrillPress,
        MachineKind::Saw,
        MachineKind::Sander,
        MachineKind::ArborPress,
        MachineKind::Bench,
    ];

    pub const fn name(self) -> &'static str {
        match self {
            MachineKind::Lathe => "lathe",
            MachineKind::Mill => "mill",
            MachineKind::DrillPress => "drill press",
            MachineKind::Saw => "saw",
            MachineKind::Sander => "sander",
            MachineKind::ArborPress => "arbor press",
            MachineKind::Bench => "bench",
        }
    }

    pub fn named(name: &str) -> Option<MachineKind> {
        MachineKind::ALL.into_iter().find(|kind| kind.name().eq_ignore_ascii_case(name.trim()))
    }
}

/// Spindle speeds in revolutions per minute.
#[derive(Clone, Debug, PartialEq)]
pub enum Speeds {
    /// Belt or gear steps, in any order.
    Stepped(Vec<f64>),
    Variable {
        lowest: f64,
        highest: f64,
    },
    /// Nothing turns, or nobody has written the speeds down.
    None,
}

/// A dividing head or a rotary table.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct DividingHead {
    pub name: String,
    /// Turns of the crank for one turn of the work.
    pub ratio: u32,
    pub plates: Vec<IndexPlate>,
    /// Holes or notches in each ring of the direct-index plate on the spindle itself.
    pub direct_holes: Vec<u32>,
    /// The plate's stop pin can be set to any of its circles, as compound indexing asks.
    pub stop_pin: bool,
    /// Gears that turn the plate from the spindle.
    pub change_gears: Option<ChangeGears>,
    /// Seconds of arc of the work that the dial at the crank reads to.
    pub reads_to: Option<u32>,
    /// Largest diameter that turns over its base.
    pub swing: Option<Length>,
}

/// The change gears of a head; one that is there twice stands twice.
#[derive(Clone, Debug, PartialEq)]
pub struct ChangeGears {
    pub teeth: Vec<u32>,
    pub module: Option<Length>,
    /// From the spindle's gear shaft to the plate's.
    pub centres: Option<Length>,
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub struct IndexPlate {
    pub name: String,
    /// Holes in each circle.
    pub circles: Vec<u32>,
}

/// A piece of metal on the rack.
#[derive(Clone, Debug, PartialEq)]
pub struct Stock {
    pub material: String,
    pub form: StockForm,
    pub length: Length,
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub enum StockForm {
    Bar { diameter: Length },
    Slab { thickness: Length, width: Length },
}

impl DividingHead {
    /// A rotary table, as its name says; a dividing head else. The one lies flat where the other stands between centres.
    pub fn is_table(&self) -> bool {
        self.name.to_lowercase().contains("table")
    }
}

impl Shop {
    pub fn machines_of(&self, kind: MachineKind) -> impl Iterator<Item = &Machine> {
        self.machines.iter().filter(move |machine| machine.kind == kind)
    }

    /// "about 55 crowns", or that it must be asked.
    pub fn price_sentence(&self, tool: Purchase) -> String {
        match self.drawers.bought_at.iter().find(|(bought, _)| *bought == tool) {
            Some((_, price)) => format!("about {}", self.money(*price)),
            None => "price to be asked".to_string(),
        }
    }

    /// "1 to 2 hours of the shop, 60 to 120 crowns"
    pub fn time_sentence(&self, way: WayRound) -> String {
        let Some((lo, hi)) = minutes_round(way) else { return "some time of the shop".to_string() };
        let time = match hi < 60.0 {
            true => format!("{lo:.0} to {hi:.0} minutes of the shop"),
            false => format!("{} to {} hours of the shop", hours(lo), hours(hi)),
        };
        match self.charges.hour {
            Some(hour) => {
                let cost = |minutes: f64| self.whole(hour.times(minutes / 60.0));
                format!("{time}, {} to {}", cost(lo), self.money(hour.times(hi / 60.0)))
            }
            None => time,
        }
    }

    /// Estimates are told in whole units of the currency.
    fn whole(&self, amount: Money) -> String {
        format!("{:.0}", amount.cents() as f64 / Money::IN_ONE as f64)
    }

    fn money(&self, amount: Money) -> String {
        format!("{} {}", self.whole(amount), self.charges.currency).trim_end().to_string()
    }

    /// What the cutting edge of a small tool is made of.
    pub fn made_of(&self, tool: SmallTool) -> ToolMaterial {
        if self.drawers.carbide.contains(&tool) { ToolMaterial::Carbide } else { ToolMaterial::HighSpeedSteel }
    }

    /// What is allowed for a piece of hand work here.
    pub fn allowed(&self, what: Allowance) -> Minutes {
        self.minutes.get(&what).copied().unwrap_or_else(|| what.usual())
    }

    pub fn owns(&self, tool: SmallTool) -> bool {
        self.drawers.small_tools.contains(&tool)
    }
}

/// Minutes in halves of an hour.
fn hours(minutes: f64) -> String {
    let halves = (minutes / 30.0).round();
    match halves % 2.0 == 0.0 {
        true => format!("{:.0}", halves / 2.0),
        false if halves < 2.0 => "½".to_string(),
        false => format!("{:.0}½", (halves / 2.0).floor()),
    }
}
