//! The job pack: what was found, drawn, planned and to be checked, laid out on sheets.

pub(crate) mod checking;
pub(crate) mod design;
pub(crate) mod drawing;
pub(crate) mod findings;
pub mod fly_cutter;
pub(crate) mod indexing;
pub mod labels;
mod money;
pub(crate) mod operations;
pub(crate) mod price;
pub mod quote;
pub mod template;

pub(crate) use findings::capital;
use making::Plan;
use making::shop::Shop;
use pack::{Block, Pack, Rich, Sheet};
use quantity::Unit;

use crate::checked::Checked;
use crate::planned;
use crate::shape::PartShape;
use crate::solve::Solved;

/// Everything a pack is made from.
#[derive(Debug)]
pub struct Work<'a> {
    pub solved: &'a Solved<'a>,
    pub shape: Option<&'a PartShape>,
    pub plan: &'a Plan,
    pub checked: &'a Checked<'a>,
    pub shop: &'a Shop,
    /// As it shall be printed.
    pub date: String,
}

impl Work<'_> {
    fn unit(&self) -> Unit {
        self.solved.job.unit
    }
}

pub fn pack(work: &Work<'_>) -> Pack {
    let mut sheets = vec![drawing::sheet(work), findings::sheet(work)];
    sheets.extend(design::sheet(work));
    sheets.push(operations::sheet(work));
    sheets.extend(work.plan.indexing.as_ref().map(indexing::sheet));
    sheets.push(checking::sheet(work));
    sheets.push(price::sheet(work));
    sheets.extend(template::sheets(work));
    sheets.extend(fly_cutter::sheets(work));
    Pack {
        title: work.solved.job.title.clone(),
        subtitle: subtitle(work.solved),
        date: work.date.clone(),
        reference: String::new(),
        shop: work.shop.name.clone(),
        footer: String::new(),
        sheets,
    }
}

/// "1 piece and 3 spares, grey cast iron"
pub(crate) fn subtitle(solved: &Solved<'_>) -> String {
    let count = |count: u32, one: &str| {
        if count == 1 { format!("1 {one}") } else { format!("{count} {one}s") }
    };
    let make = &solved.job.make;
    let spares = if make.spares == 0 { String::new() } else { format!(" and {}", count(make.spares, "spare")) };
    format!("{}{spares}, {}", count(make.pieces, "piece"), planned::material(solved))
}

/// The stop sentence where a failure of the part can injure; it stands on every sheet that is worked from.
fn stop(work: &Work<'_>) -> Option<Block> {
    work.plan.stop.as_ref().map(|stop| Block::caution("Stop", [Rich::new().wrong(stop.clone())]))
}

fn sheet(title: &str, kind: &str) -> Sheet {
    Sheet { title: title.into(), kind: kind.into(), ..Sheet::default() }
}
