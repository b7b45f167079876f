//! From what was found to how it is made: the brief for the planner.

use checking::With;
use making::price::Order;
use making::shop::Shop;
use making::tools::{ToolKind, ToolPick};
use making::{Brief, Duty, Gauged, Plan, plan};
use part::Gauging;
use quantity::Length;

use crate::checked::{self, Dimension};
use crate::job::Job;
use crate::shape::PartShape;
use crate::solve::Solved;

/// Where a job names no material, the commonest of old cast parts is supposed, and the sheets say so.
const SUPPOSED: &str = "grey cast iron";

pub fn planned(solved: &Solved<'_>, shape: Option<&PartShape>, shop: &Shop) -> Plan {
    // one pack is written in one unit: the job's
    let shop = Shop { unit: solved.job.unit, ..shop.clone() };
    plan(&brief(solved, shape), &shop)
}

/// What the new part is made of.
pub fn material<'a>(solved: &Solved<'a>) -> &'a str {
    let make = &solved.job.make;
    make.material.or(solved.job.material).map_or(SUPPOSED, |material| &material.name)
}

fn brief(solved: &Solved<'_>, shape: Option<&PartShape>) -> Brief {
    let job = solved.job;
    let designs = || solved.features.iter().filter_map(|feature| feature.design());
    let read = job.features.iter().chain(job.mates.iter().map(|mate| &mate.feature));
    let readings = read.map(|feature| feature.entry.lines.len() as u32).sum();
    Brief {
        title: job.title.clone(),
        material: material(solved).to_string(),
        original_material: job.material.map(|material| material.name.clone()),
        pieces: job.make.pieces,
        spares: job.make.spares,
        thickness: solved.thickness.map(|thickness| thickness.value),
        face_width: solved.thickness.map(|thickness| thickness.value),
        extent: shape.and_then(extent),
        cuts: designs().flat_map(|design| design.cuts()).map(|cut| solved.designed.told(cut)).collect(),
        characteristics: solved
            .thickness_made()
            .into_iter()
            .chain(designs().flat_map(|design| design.characteristics(job.unit)))
            .collect(),
        gauged: gauged(solved),
        has_mate: true,
        duty: duty(job),
        sweep: shape.and_then(PartShape::sweep),
        order: Order { readings, outside: job.outside.clone(), elsewhere: job.make.quoted_elsewhere },
    }
}

/// The instruments that the checking sheet picks, so that the operations end with the same.
fn gauged(solved: &Solved<'_>) -> Vec<Gauged> {
    let tool = |dimension: &Dimension| {
        let kind = match (&dimension.pick.with, &dimension.characteristic.gauging) {
            (With::Fit, _) => ToolKind::Mate,
            (With::Tries(_), _) | (With::Read(_), Gauging::OverPins { .. }) => ToolKind::Pin,
            (With::Read(_) | With::Nothing, _) => ToolKind::Instrument,
        };
        let label = dimension.with(solved.job.unit);
        match dimension.pick.with {
            With::Nothing => {
                ToolPick::missing(kind, format!("an instrument for the {}", dimension.characteristic.name))
            }
            With::Read(_) | With::Tries(_) | With::Fit => ToolPick::owned(kind, label),
        }
    };
    let gauged = |dimension: Dimension| Gauged {
        instrument: tool(&dimension),
        name: dimension.characteristic.name,
        nominal: dimension.characteristic.nominal,
    };
    checked::dimensions(solved).into_iter().map(gauged).collect()
}

/// What is said of it, be it that nothing hangs on it; else what the words of its title, features and notes give away.
fn duty(job: &Job) -> Duty {
    if let Some(serves) = &job.make.serves {
        // the words of a title may only sound so
        let is_nothing = ["nothing", "none"].iter().any(|word| serves.eq_ignore_ascii_case(word));
        return if is_nothing { Duty::Ordinary } else { Duty::CanInjure(serves.clone()) };
    }
    let features = job.features.iter().map(|feature| feature.name.as_str());
    let words: Vec<&str> = [job.title.as_str()].into_iter().chain(features).chain(job.make.notes.as_deref()).collect();
    Duty::told_by(&words.join(". "))
}

/// Width and height of the outline.
fn extent(shape: &PartShape) -> Option<(Length, Length)> {
    let bounds = shape.outlines().into_iter().filter_map(|outline| outline.bounding_box()).reduce(|a, b| a.union(b))?;
    Some((Length::from_mm(bounds.width()), Length::from_mm(bounds.height())))
}
