//! The operations, in order, with boxes to tick.

use making::{Check, Operation, PieceState, Pieces, Plan, Step as Does};
use pack::{Block, Rich, Sheet, Step};

use super::{Work, sheet as blank};
use crate::report::in_100;
use crate::solve::{Outcome, SolvedFeature};

pub fn sheet(work: &Work<'_>) -> Sheet {
    let plan = work.plan;
    let common = common_cautions(plan);
    let mut out = blank("Operations", "blank to finished part, with the tools this shop owns");
    let blocks = &mut out.blocks;
    blocks.extend(super::stop(work));
    if let Some(first) = work.solved.features.iter().find_map(unsafe_to_cut) {
        blocks.push(Block::caution("Not settled yet", [Rich::from(first)]));
    }
    let mut cautions = vec![Rich::from(
        "The original may carry lead paint: do not sand or burn it. Local rules and licensed practice go before this sheet.",
    )];
    cautions.extend(common.iter().map(|caution| Rich::from(*caution)));
    blocks.push(Block::caution("Throughout", cautions));
    blocks.push(Block::paragraph(Rich::new().strong("Blank. ").plain(plan.blank.sentence.clone())));
    blocks.extend(plan.notes.iter().map(|note| Block::paragraph(note.clone())));
    blocks
        .push(Block::Steps { steps: plan.operations.iter().map(|operation| step(operation, work, &common)).collect() });
    if !plan.lacking.is_empty() {
        blocks.push(Block::Heading { text: "What the shop lacks".into(), beside: "and the ways round it".into() });
        blocks.extend(plan.lacking.iter().map(|lack| {
            let text = Rich::new().strong(format!("{} ", lack.label)).quiet(format!("for {}. ", lack.wanted_for));
            Block::paragraph(text.plain(lack.ways.join(" ")))
        }));
    }
    blocks.push(Block::Heading {
        text: "Pieces".into(),
        beside: "what is to be done and what is left open, piece by piece".into(),
    });
    blocks.extend(pieces(work).into_iter().map(Block::paragraph));
    out
}

/// How the pieces that are made stand, and one sentence for all of the others that are to be left in the same state.
fn pieces(work: &Work<'_>) -> Vec<String> {
    let made: Vec<_> = work.checked.pieces.iter().filter(|piece| piece.of.is_some()).collect();
    let judged = made
        .iter()
        .map(|piece| format!("Piece {}: made; {}, see the checking sheet.", piece.number, piece.standing.words()));
    let is_planned = |state: &&PieceState| !made.iter().any(|piece| piece.number == state.number);
    let planned: Vec<&PieceState> = work.plan.pieces.iter().filter(is_planned).collect();
    let alike =
        planned.chunk_by(|a, b| a.spare == b.spare && a.undone == b.undone && a.number.saturating_add(1) == b.number);
    let to_do = alike.filter_map(|group| match group {
        [first, .., last] => {
            let what = if first.spare { "spares" } else { "to be fitted" };
            let open = match first.undone.as_slice() {
                [] => String::new(),
                undone => format!(" but for this, done when they are fitted: {}", undone.join("; ")),
            };
            Some(format!("Pieces {} to {}, {what}: to be finished{open}.", first.number, last.number))
        }
        [one] => Some(one.sentence.clone()),
        [] => None,
    });
    judged.chain(to_do).collect()
}

/// Cautions said in this many operations are said once, for all of them.
const SAID_OFTEN: usize = 3;

/// The cautions that hold for most of the work.
fn common_cautions(plan: &Plan) -> Vec<&str> {
    let mut out: Vec<&str> = Vec::new();
    for caution in plan.operations.iter().flat_map(|operation| &operation.cautions) {
        let often = plan.operations.iter().filter(|operation| operation.cautions.contains(caution)).count();
        if often >= SAID_OFTEN && !out.contains(&caution.as_str()) {
            out.push(caution);
        }
    }
    out
}

/// More checks than this are read off the checking sheet.
const MOST_CHECKS: usize = 3;

fn check(operation: &Operation, work: &Work<'_>) -> String {
    let checks = &operation.checks;
    if checks.len() <= MOST_CHECKS {
        return checks.iter().map(|check| check.sentence.clone()).collect::<Vec<_>>().join(" ");
    }
    let names = |checks: &[&Check]| checks.iter().map(|check| check.what.as_str()).collect::<Vec<_>>().join(", ");
    if operation.step == Does::FinalCheck {
        return format!("every line of the checking sheet: {}.", names(&checks.iter().collect::<Vec<_>>()));
    }
    let sheet = &work.checked.dimensions;
    let on_sheet = |check: &&Check| sheet.iter().any(|line| line.characteristic.name == check.what);
    let (read_there, others): (Vec<&Check>, Vec<&Check>) = checks.iter().partition(on_sheet);
    let mut said: Vec<String> = others.iter().map(|check| check.sentence.clone()).collect();
    if !read_there.is_empty() {
        said.insert(0, format!("on the checking sheet: {}.", names(&read_there)));
    }
    said.join(" ")
}

/// A finding that is not safe to cut on, as a sentence.
pub(super) fn unsafe_to_cut(feature: &SolvedFeature<'_>) -> Option<String> {
    // what the mating part sizes and places is settled by it
    let Outcome::Found(found) = &*feature.outcome else { return None };
    if found.is_safe() || feature.is_match_made() {
        return None;
    }
    let name = &feature.of.name;
    if let Some(slip) = found.weighed.slips.first() {
        let line = feature.of.entry.lines.get(slip.reading).map_or("a reading", |line| &line.value.text);
        return Some(format!(
            "{name}: {line} looks wrong. Measure it again before cutting metal; see the findings sheet."
        ));
    }
    let probability = found.weighed.findings.first().map_or(0.0, |first| first.probability);
    let stands = in_100(probability);
    Some(format!(
        "{name}: the leading finding stands at {stands} in 100. Read the findings sheet and measure again before cutting metal."
    ))
}

fn step(operation: &Operation, work: &Work<'_>, common: &[&str]) -> Step {
    let unit = work.unit();
    let mut details: Vec<(String, Rich)> = Vec::new();
    let mut detail = |name: &str, value: Rich| {
        if !value.is_empty() {
            details.push((name.into(), value));
        }
    };
    let owned = |owned: bool| if owned { "" } else { " (lacking)" };
    detail("Machine", format!("{}{}", operation.machine.name, owned(operation.machine.owned)).into());
    let tools: Vec<String> = operation
        .tools
        .iter()
        .map(|tool| {
            format!(
                "{}{}{}",
                tool.label,
                owned(tool.owned),
                tool.note.as_ref().map_or_else(String::new, |note| format!(" – {note}"))
            )
        })
        .collect();
    detail("Tools", tools.join("; ").into());
    detail("Set-up", operation.set_up.clone().into());
    for running in &operation.running {
        detail("Speed", running.sentence.clone().into());
    }
    if let Some(passes) = &operation.passes {
        detail("Depth", passes.sentence(unit).into());
    }
    let mut notes: Vec<Rich> =
        operation.instructions.iter().chain(&operation.notes).map(|note| Rich::from(note.clone())).collect();
    match operation.pieces {
        Pieces::Fitted if work.solved.job.make.spares > 0 => notes.push(Rich::new().strong("Not on the spares.")),
        Pieces::Once | Pieces::All | Pieces::Fitted => {}
    }
    Step {
        number: operation.number.to_string(),
        title: operation.title.clone().into(),
        details,
        notes,
        check: check(operation, work).into(),
        caution: operation
            .cautions
            .iter()
            .filter(|caution| !common.contains(&caution.as_str()))
            .cloned()
            .collect::<Vec<_>>()
            .join(" ")
            .into(),
    }
}
