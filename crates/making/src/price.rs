//! What a job costs the shop, and what it asks for it. It reckons with what is known and lists what is not.

use std::collections::BTreeSet;

use quantity::{Minutes, Money};
use serde::Serialize;

use crate::mass::Metal;
use crate::plan::{Brief, Operation, Pieces};
use crate::shop::{Charges, MachineKind};
use crate::time::{Lot, Split, Times};
use crate::tools::{Lack, ToolKind};

/// What a job says about money beside what is made.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Order {
    /// Readings taken on the original, which took their time.
    pub readings: u32,
    pub outside: Vec<Outside>,
    /// What the customer was asked for it somewhere else.
    pub elsewhere: Option<Elsewhere>,
}

/// Work that is sent out, or a tool bought for this job.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Outside {
    pub what: String,
    pub price: Money,
    /// For every piece, and not for the lot.
    pub each: bool,
    /// The machine it stands in for: what that would do is then not done here.
    pub instead_of: Option<MachineKind>,
}

/// A price that the customer has from someone else.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Elsewhere {
    pub price: Money,
    pub pieces: u32,
}

/// The shop's own figures, and what it asks.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Price {
    /// A word, as the shop calls it; may be empty.
    pub currency: String,
    pub ordered: Lot,
    pub minutes: Split,
    pub first_piece: Minutes,
    pub each_further: Minutes,
    /// Why there is no price, as sentences; empty where there is one.
    pub unknown: Vec<String>,
    /// Lacking, and so perhaps to be bought: not in the price.
    pub not_counted: Vec<String>,
    /// None where something that belongs to it is not known.
    pub cost: Option<Cost>,
    pub asked: Option<Asked>,
    /// One made alone, two made together, and so on.
    pub together: Vec<Together>,
    pub elsewhere: Option<Comparison>,
}

/// How a price comes together.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Cost {
    pub time: Money,
    pub metal: Vec<MetalCost>,
    pub outside: Vec<OutsideCost>,
    pub margin: Money,
    /// Up to the smallest charge.
    pub raised: Money,
    pub total: Money,
}

#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MetalCost {
    pub what: String,
    pub material: String,
    pub blanks: u32,
    pub kilograms: f64,
    pub money: Money,
}

#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct OutsideCost {
    pub what: String,
    pub money: Money,
}

/// What is asked, as the customer sees it: rounded up by the shop's step, a line for what is fitted and one for spares.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Asked {
    pub fitted: Asking,
    pub spares: Asking,
    pub total: Money,
}

#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Asking {
    pub count: u32,
    pub each: Money,
    pub sum: Money,
}

/// So many made in one lot, and what a piece of them comes to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Together {
    pub pieces: u32,
    pub each: Money,
    pub total: Money,
    /// It is the lot that was ordered.
    pub ordered: bool,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Comparison {
    pub there: Elsewhere,
    pub there_each: Money,
    /// As many made here.
    pub here_for_as_many: Money,
    pub here_each_as_ordered: Money,
}

/// What is needed to price a plan.
pub(crate) struct Made<'a> {
    pub operations: &'a [Operation],
    pub metals: &'a [Metal],
    pub lacking: &'a [Lack],
    pub times: &'a Times,
}

/// More in one plot say nothing new.
const MOST_TOGETHER: u32 = 24;
const LEAST_TOGETHER: u32 = 8;

impl Price {
    pub(crate) fn of(brief: &Brief, made: &Made<'_>, charges: &Charges) -> Price {
        let ordered = Lot { fitted: brief.pieces, spares: brief.spares };
        let reckoning = Reckoning { order: &brief.order, made, charges, sent_out: sent_out(brief, made.operations) };
        let (first_piece, each_further) = reckoning.first_and_further(ordered);
        let unknown = reckoning.unknown(ordered);
        let known = unknown.is_empty();
        let asked = reckoning.asked(ordered).filter(|_| known);
        Price {
            currency: charges.currency.clone(),
            ordered,
            minutes: reckoning.minutes(ordered),
            first_piece,
            each_further,
            not_counted: not_counted(made.lacking),
            cost: reckoning.cost(ordered).filter(|_| known),
            together: if known { reckoning.together(ordered) } else { Vec::new() },
            elsewhere: asked.and_then(|asked| reckoning.compared(ordered, asked)),
            asked,
            unknown,
        }
    }
}

/// One way from a lot to its cost, for the order, the plot and the comparison.
struct Reckoning<'a> {
    order: &'a Order,
    made: &'a Made<'a>,
    charges: &'a Charges,
    /// Numbers of the operations that someone else does.
    sent_out: BTreeSet<u32>,
}

impl Reckoning<'_> {
    fn minutes(&self, lot: Lot) -> Split {
        let before = Split { set_up: self.made.times.before, ..Split::default() };
        let here = self.made.times.operations.iter().filter(|operation| !self.sent_out.contains(&operation.number));
        here.map(|operation| operation.of(lot)).fold(before, std::ops::Add::add)
    }

    /// The first piece by itself, and each further one made with it, on the average of the lot; of two where it is one.
    fn first_and_further(&self, lot: Lot) -> (Minutes, Minutes) {
        let several = if lot.pieces() > 1 { lot } else { Lot { spares: lot.spares + 1, ..lot } };
        let first = self.minutes(alone(lot)).total();
        let further = self.minutes(several).total() - first;
        (first, further * (1.0 / f64::from(several.pieces().max(2) - 1)))
    }

    fn unknown(&self, lot: Lot) -> Vec<String> {
        let mut out = self.made.times.unknown.clone();
        if self.charges.hour.is_none() {
            out.push("The shop file says no price for an hour: write hour = … under [charges].".into());
        }
        for metal in self.metals(lot) {
            if metal.each_kg.is_none() {
                out.push(format!("How much metal the {} takes is not known: {}.", metal.what, metal.size));
            } else if self.per_kilogram(&metal.material).is_none() {
                out.push(format!(
                    "The shop file says no price for {}: write it under [charges.kilogram].",
                    metal.material
                ));
            }
        }
        let mut machines: Vec<&str> = Vec::new();
        for operation in self.made.operations.iter().filter(|operation| !operation.machine.owned) {
            let name = operation.machine.name.as_str();
            if !self.sent_out.contains(&operation.number) && !machines.contains(&name) {
                machines.push(name);
                out.push(format!(
                    "The shop has no {name} for \"{}\": what that costs sent out is not known. Write it in the job file: [[outside]] with what, price and instead_of = \"{}\".",
                    operation.title,
                    operation.machine.kind.name()
                ));
            }
        }
        out.dedup();
        out
    }

    fn metals(&self, lot: Lot) -> impl Iterator<Item = &Metal> {
        self.made.metals.iter().filter(move |metal| blanks(metal, lot) > 0)
    }

    fn per_kilogram(&self, material: &str) -> Option<Money> {
        let price = self.charges.materials.iter().find(|price| crate::blank::same_material(&price.material, material));
        price.map(|price| price.per_kilogram)
    }

    fn cost(&self, lot: Lot) -> Option<Cost> {
        let time = self.charges.hour?.times(self.minutes(lot).total().hours());
        let metal = self.metals(lot).map(|metal| self.metal_cost(metal, lot)).collect::<Option<Vec<_>>>()?;
        let outside: Vec<OutsideCost> = self
            .order
            .outside
            .iter()
            .map(|outside| OutsideCost {
                what: outside.what.clone(),
                money: if outside.each { outside.price * lot.pieces() } else { outside.price },
            })
            .collect();
        let sum = time
            + metal.iter().map(|metal| metal.money).sum::<Money>()
            + outside.iter().map(|outside| outside.money).sum::<Money>();
        let margin = sum.times(self.charges.margin_percent.unwrap_or(0.0) / 100.0);
        let least = self.charges.minimum.unwrap_or_default();
        let raised = (least - (sum + margin)).max(Money::ZERO);
        Some(Cost { time, metal, outside, margin, raised, total: sum + margin + raised })
    }

    fn metal_cost(&self, metal: &Metal, lot: Lot) -> Option<MetalCost> {
        let blanks = blanks(metal, lot);
        let kilograms = (metal.each_kg? * blanks).kilograms();
        Some(MetalCost {
            what: metal.what.clone(),
            material: metal.material.clone(),
            blanks,
            kilograms,
            money: self.per_kilogram(&metal.material)?.times(kilograms),
        })
    }

    /// Pieces that are fitted cost what they cost without spares; the spares cost what they add.
    fn asked(&self, lot: Lot) -> Option<Asked> {
        let step = self.charges.round_to.unwrap_or(Money::from_cents(1));
        let line = |count: u32, cost: Money| {
            let each = cost.each_of(count).up_to(step);
            Asking { count, each, sum: each * count }
        };
        let fitted = match lot.fitted {
            0 => Asking::default(),
            count => line(count, self.cost(Lot { spares: 0, ..lot })?.total),
        };
        let spares = match lot.spares {
            0 => Asking::default(),
            count => line(count, (self.cost(lot)?.total - fitted.sum).max(Money::ZERO)),
        };
        Some(Asked { fitted, spares, total: fitted.sum + spares.sum })
    }

    fn together(&self, ordered: Lot) -> Vec<Together> {
        let most = ordered.pieces().clamp(LEAST_TOGETHER, MOST_TOGETHER);
        let price = |pieces: u32| {
            let lot = made_of(ordered, pieces);
            let total = self.asked(lot)?.total;
            Some(Together { pieces, each: total.each_of(pieces), total, ordered: lot == ordered })
        };
        (1..=most).filter_map(price).collect()
    }

    fn compared(&self, ordered: Lot, asked: Asked) -> Option<Comparison> {
        let there = self.order.elsewhere?;
        Some(Comparison {
            there,
            there_each: there.price.each_of(there.pieces),
            here_for_as_many: self.asked(made_of(ordered, there.pieces))?.total,
            here_each_as_ordered: asked.total.each_of(ordered.pieces()),
        })
    }
}

/// A lot of so many, those to be fitted first.
fn made_of(ordered: Lot, pieces: u32) -> Lot {
    let fitted = ordered.fitted.min(pieces);
    Lot { fitted, spares: pieces - fitted }
}

fn alone(ordered: Lot) -> Lot {
    made_of(ordered, 1)
}

fn blanks(metal: &Metal, lot: Lot) -> u32 {
    let pieces = match metal.pieces {
        Pieces::All => lot.pieces(),
        Pieces::Fitted => lot.fitted,
        Pieces::Once => lot.pieces().min(1),
    };
    pieces.div_ceil(metal.out_of_one.max(1))
}

/// Operations on a machine that is not owned and that outside work stands in for.
fn sent_out(brief: &Brief, operations: &[Operation]) -> BTreeSet<u32> {
    let covered = |kind: MachineKind| brief.order.outside.iter().any(|outside| outside.instead_of == Some(kind));
    operations
        .iter()
        .filter(|operation| !operation.machine.owned && covered(operation.machine.kind))
        .map(|operation| operation.number)
        .collect()
}

/// Tools that are lacking, with the first way round each; metal is priced, machines are said apart.
fn not_counted(lacking: &[Lack]) -> Vec<String> {
    lacking
        .iter()
        .filter(|lack| !matches!(lack.kind, ToolKind::Stock | ToolKind::Machine | ToolKind::Mate))
        .map(|lack| lack.label.clone())
        .collect()
}
