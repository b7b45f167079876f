//! The design sheet: how the part sits in the machine, and what that asks of it. A section for each matter.

use design::joint::Joint;
use pack::{Block, Column, Rich, Row, Sheet, Table, Tone};
use part::MadeTo;

use super::findings::capital;
use super::{Work, sheet as blank};
use crate::designed::words;

/// None where no section has anything to say.
pub fn sheet(work: &Work<'_>) -> Option<Sheet> {
    let sections = [joints(work)];
    let blocks: Vec<Block> = sections.into_iter().flatten().collect();
    if blocks.is_empty() {
        return None;
    }
    let mut out = blank("Design", "how it sits in the machine, and what that asks of it");
    out.blocks.extend(super::stop(work));
    out.blocks.extend(blocks);
    Some(out)
}

/// Every seat, with the ways of choosing its sizes side by side.
fn joints(work: &Work<'_>) -> Vec<Block> {
    let joints = &work.solved.designed.joints;
    let mut out: Vec<Block> = joints.iter().flat_map(|joint| one(joint, work)).collect();
    if joints.iter().any(|joint| joint.taken().grip.is_some()) {
        out.push(Block::caution("Pressing and shrinking", words::CAUTIONS.map(Rich::from)));
    }
    out
}

fn one(joint: &Joint, work: &Work<'_>) -> Vec<Block> {
    let unit = work.unit();
    let beside = joint.fit.iter().filter(|fit| !joint.classes.starts_with(fit.as_str()));
    let beside: Vec<&str> = beside.map(String::as_str).chain([joint.classes.as_str()]).collect();
    let mut out = vec![Block::Heading { text: capital(&joint.feature), beside: beside.join(", ") }];
    let mut text = Rich::new().plain(words::taken(joint, unit));
    for warning in words::warnings(joint, unit) {
        text = text.plain(" ").wrong(warning);
    }
    if let Some(ream) = words::to_ream(joint, unit) {
        text = text.plain(" ").plain(ream);
    }
    out.push(Block::paragraph(text));
    out.push(Block::Table(table(joint, work)));
    let supposed = words::supposed(joint);
    if !supposed.is_empty() {
        out.push(Block::paragraph(Rich::new().quiet(supposed.join(" "))));
    }
    out
}

fn table(joint: &Joint, work: &Work<'_>) -> Table {
    let titles = joint.ways.iter().enumerate().map(|(index, way)| {
        let to = match way.way.to {
            MadeTo::Mate => "made to the mate",
            MadeTo::Nominal => "made to the nominal size",
        };
        let taken = index == 0 && joint.ways.len() > 1;
        Rich::from(if taken { format!("{to} (taken)") } else { to.to_string() })
    });
    let rows = words::compared(joint, work.unit()).into_iter().map(|line| Row {
        cells: std::iter::once(line.name).chain(line.each).map(Rich::from).collect(),
        tone: Tone::Plain,
    });
    Table {
        columns: std::iter::once(Column::words(1.0)).chain(joint.ways.iter().map(|_| Column::words(1.1))).collect(),
        header: std::iter::once(Rich::new()).chain(titles).collect(),
        rows: rows.collect(),
    }
}
