//! The true-scale template: stuck on the blank, or laid on the piece.

use pack::{Line, Sheet, Template};
use part::Work as PartWork;
use quantity::Length;

use super::Work;
use super::drawing::trace;
use crate::shape::PartShape;
use crate::solve::Solved;

/// The sheets of the template; a sentence instead where it would take too many.
pub fn sheets(work: &Work<'_>) -> Option<Sheet> {
    let template = template(work)?;
    Some(template.sheet().unwrap_or_else(|too_large| {
        let mut sheet = super::sheet("Template", "true scale");
        sheet.blocks.push(pack::Block::paragraph(format!(
            "The part is {} by {} mm, too large for paper sheets. Plot the SVG template instead.",
            too_large.width_mm, too_large.height_mm
        )));
        sheet
    }))
}

/// A turned part is measured, not laid on paper.
pub fn needs_template(solved: &Solved<'_>) -> bool {
    let cuts = solved.features.iter().filter_map(|feature| feature.design()).flat_map(|design| design.cuts());
    cuts.into_iter().any(|cut| match cut.work {
        PartWork::Teeth(_) | PartWork::Profile { .. } => true,
        PartWork::Hole(hole) => hole.places.iter().any(|place| place.radius != Some(Length::ZERO)),
        PartWork::Turn { .. } | PartWork::Bush(_) | PartWork::Keyway(_) => false,
    })
}

/// None where nothing can be drawn, or nothing need be.
pub fn template(work: &Work<'_>) -> Option<Template> {
    let shape = work.shape?;
    let drawn: Vec<_> = work
        .solved
        .features
        .iter()
        .filter_map(|feature| feature.design())
        .map(|design| design.drawn(work.unit()))
        .collect();
    if !needs_template(work.solved) {
        return None;
    }
    let mut notes = Vec::new();
    if let PartShape::Open { .. } = shape {
        notes.push("The outline is not complete: the back of the part is not given.".into());
    }
    if work
        .solved
        .features
        .iter()
        .filter_map(|feature| feature.design())
        .flat_map(|design| design.cuts())
        .any(|cut| cut.match_made)
    {
        notes.push("Match-made holes are shown where the original has them. Do not drill to the template.".into());
    }
    Some(Template {
        title: "Template".into(),
        notes,
        outline: shape.outlines().into_iter().map(trace).collect(),
        lines: drawn
            .iter()
            .flat_map(|drawn| &drawn.centre_lines)
            .map(|outline| (trace(outline), Line::Centre))
            .collect(),
        centres: drawn.iter().flat_map(|drawn| drawn.centres.iter().copied()).collect(),
        ..Template::default()
    })
}
