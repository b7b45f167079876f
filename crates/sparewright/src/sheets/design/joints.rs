//! Every seat, with the ways of choosing its sizes side by side.

use design::joint::{Joint, Reckoned};
use pack::{Block, Column, Rich, Row, Table, Tone};
use part::MadeTo;
use quantity::{Unit, print};

use super::super::Work;
use super::super::findings::capital;
use super::fit_picture::fit_picture;
use crate::designed::words;

pub fn section(work: &Work<'_>) -> Vec<Block> {
    let joints = &work.solved.designed.joints;
    let last_pressed = joints.iter().rposition(|joint| joint.taken().grip.is_some());
    let mut out = Vec::new();
    for (index, joint) in joints.iter().enumerate() {
        out.extend(one(joint, work));
        // on the page of the figures it speaks of, and once
        if last_pressed == Some(index) {
            out.push(Block::caution("Pressing and shrinking", words::CAUTIONS.map(Rich::from)));
        }
    }
    out
}

fn one(joint: &Joint, work: &Work<'_>) -> Vec<Block> {
    let unit = work.unit();
    let named = joint.fit.iter().filter(|fit| !joint.classes.starts_with(fit.as_str()));
    let beside: Vec<&str> = named.map(String::as_str).chain([joint.classes.as_str()]).collect();
    let mut out = vec![Block::Heading { text: capital(&joint.feature), beside: beside.join(", ") }];
    let titles: Vec<String> = joint.ways.iter().map(|way| title(joint, way)).collect();
    let (picture, times) = fit_picture(joint, &titles, unit);
    // a heading keeps to what follows it: the picture, which a page may not end before
    out.push(Block::figure(picture, legend(joint, times, unit)));
    out.push(Block::paragraph(words::taken(joint, unit)));
    let lines = words::gripping(joint, unit);
    if !lines.is_empty() {
        let rows = lines.into_iter().map(|line| Row {
            cells: std::iter::once(line.name).chain(line.each).map(Rich::from).collect(),
            tone: Tone::Plain,
        });
        out.push(Block::Table(Table {
            columns: std::iter::once(Column::words(1.0)).chain(joint.ways.iter().map(|_| Column::words(1.0))).collect(),
            header: std::iter::once(Rich::new()).chain(titles.into_iter().map(Rich::from)).collect(),
            rows: rows.collect(),
        }));
    }
    out.extend(words::warnings(joint, unit).into_iter().map(|text| Block::paragraph(Rich::new().wrong(text))));
    out.extend(words::to_ream(joint, unit).map(Block::paragraph));
    let supposed = words::supposed(joint);
    if !supposed.is_empty() {
        out.push(Block::paragraph(Rich::new().quiet(supposed.join(" "))));
    }
    out
}

fn legend(joint: &Joint, times: u32, unit: Unit) -> Rich {
    let basic: Vec<String> = joint.ways.iter().map(|way| print::length(way.way.basic, unit, 3)).collect();
    let stays = match joint.taken().way.read() {
        Some(_) => ", tinted was read (±, k = 2)",
        None if joint.hub.is_made() && joint.shaft.is_made() => "",
        None => ", dashed is supposed",
    };
    Rich::new().quiet(format!(
        "Enlarged {times} times. The chain line is the basic size, {}. Blue is made{stays}.",
        basic.join(" and ")
    ))
}

fn title(joint: &Joint, way: &Reckoned) -> String {
    let to = match way.way.to {
        MadeTo::Mate => "made to the mate",
        MadeTo::Nominal => "made to the nominal size",
    };
    let taken = joint.ways.len() > 1 && way.way == joint.taken().way;
    if taken { format!("{to} (taken)") } else { to.to_string() }
}
