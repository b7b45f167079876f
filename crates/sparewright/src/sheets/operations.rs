//! The operations, in order, with boxes to tick.

use making::{Operation, Pieces};
use pack::{Block, Rich, Sheet, Step};

use super::{Work, sheet as blank};

pub fn sheet(work: &Work<'_>) -> Sheet {
    let plan = work.plan;
    let mut out = blank(
        "Operations",
        "blank to finished part, with the tools this shop owns",
    );
    if let Some(stop) = &plan.stop {
        out.blocks
            .push(Block::caution("Stop", [Rich::new().wrong(stop.clone())]));
    }
    if let Some(first) = work
        .solved
        .features
        .iter()
        .find_map(|feature| unsafe_to_cut(feature))
    {
        out.blocks
            .push(Block::caution("Not settled yet", [Rich::from(first)]));
    }
    out.blocks.push(Block::caution(
        "Before you start",
        [Rich::from(
            "Eye protection at every machine, guards in place, chuck key out, small work clamped and never hand-held. The original may carry lead paint: do not sand or burn it. Local rules and licensed practice go before this sheet.",
        )],
    ));
    out.blocks.push(Block::paragraph(
        Rich::new()
            .strong("Blank. ")
            .plain(plan.blank.sentence.clone()),
    ));
    out.blocks
        .extend(plan.notes.iter().map(|note| Block::paragraph(note.clone())));
    out.blocks.push(Block::Steps {
        steps: plan
            .operations
            .iter()
            .map(|operation| step(operation, work))
            .collect(),
    });
    if !plan.lacking.is_empty() {
        out.blocks.push(Block::Heading {
            text: "What the shop lacks".into(),
            beside: "and the ways round it".into(),
        });
        out.blocks.extend(plan.lacking.iter().map(|lack| {
            Block::paragraph(
                Rich::new()
                    .strong(format!("{} ", lack.label))
                    .quiet(format!("for {}. ", lack.wanted_for))
                    .plain(lack.ways.join(" ")),
            )
        }));
    }
    out.blocks.push(Block::Heading {
        text: "Pieces".into(),
        beside: "what is done and what is left open, piece by piece".into(),
    });
    out.blocks.extend(
        plan.pieces
            .iter()
            .map(|piece| Block::paragraph(piece.sentence.clone())),
    );
    out
}

/// A finding that is not safe to cut on, as a sentence.
fn unsafe_to_cut(feature: &crate::solve::SolvedFeature<'_>) -> Option<String> {
    match &feature.outcome {
        crate::solve::Outcome::Found(found) if !found.is_safe() => {
            let probability = found
                .weighed
                .findings
                .first()
                .map_or(0.0, |first| first.probability);
            Some(format!(
                "The leading finding for {} stands at {} in 100. Read the findings sheet and measure again before cutting metal.",
                feature.of.name,
                crate::report::in_100(probability)
            ))
        }
        _ => None,
    }
}

fn step(operation: &Operation, work: &Work<'_>) -> Step {
    let unit = work.unit();
    let mut details: Vec<(String, Rich)> = Vec::new();
    let mut detail = |name: &str, value: Rich| {
        if !value.is_empty() {
            details.push((name.into(), value));
        }
    };
    let owned = |owned: bool| if owned { "" } else { " (lacking)" };
    detail(
        "Machine",
        format!(
            "{}{}",
            operation.machine.name,
            owned(operation.machine.owned)
        )
        .into(),
    );
    let tools: Vec<String> = operation
        .tools
        .iter()
        .map(|tool| {
            format!(
                "{}{}{}",
                tool.label,
                owned(tool.owned),
                tool.note
                    .as_ref()
                    .map_or_else(String::new, |note| format!(" – {note}"))
            )
        })
        .collect();
    detail("Tools", tools.join("; ").into());
    detail("Set-up", operation.set_up.clone().into());
    for running in &operation.running {
        detail("Speed", running.sentence.clone().into());
        if let Some(feed) = &running.feed {
            detail("Feed", feed.sentence(unit).into());
        }
    }
    if let Some(passes) = &operation.passes {
        detail("Depth", passes.sentence(unit).into());
    }
    let mut notes: Vec<Rich> = operation
        .instructions
        .iter()
        .chain(&operation.notes)
        .map(|note| Rich::from(note.clone()))
        .collect();
    match operation.pieces {
        Pieces::Fitted if work.solved.job.make.spares > 0 => {
            notes.push(Rich::new().strong("Not on the spares."))
        }
        Pieces::Once | Pieces::All | Pieces::Fitted => {}
    }
    Step {
        number: operation.number.to_string(),
        title: operation.title.clone().into(),
        details,
        notes,
        check: operation
            .checks
            .iter()
            .map(|check| check.sentence.clone())
            .collect::<Vec<_>>()
            .join(" ")
            .into(),
        caution: operation.cautions.join(" ").into(),
    }
}
