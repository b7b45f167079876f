//! The part beside its readings: its true outline to scale, by the pack's own pencil.

use kurbo::{Point, Rect, Size};
use pack::{Drawing, Scale, View};
use part::{Dimensioned, Drawn};

use crate::shape::PartShape;
use crate::sheets::drawing::{dimensioned, trace};
use crate::solve::Solved;

/// Paper it is drawn for, mm: figures and lines keep their size, so that a part fills half a page.
const ROOM: Size = Size::new(130.0, 130.0);
/// Dimension lines stand this far from what they measure, on paper.
const OFFSET: f64 = 8.0;

/// The drawing as SVG, and what is said below it.
pub(super) fn of(solved: &Solved<'_>, shape: Option<&PartShape>) -> (Option<String>, Vec<String>) {
    let Some(shape) = shape else { return (None, Vec::new()) };
    let unit = solved.job.unit;
    let designs = solved.features.iter().filter_map(|feature| feature.design());
    let drawn: Vec<Drawn> = designs.map(|design| design.drawn(unit)).collect();
    let outlines = shape.outlines();
    let bounds = outlines.iter().filter_map(|outline| outline.bounding_box()).reduce(|a, b| a.union(b));
    let bare = bounds.unwrap_or(Rect::ZERO).size();
    let (drawing, _) = Drawing::fitting(ROOM, Scale::fit(bare, ROOM), |scale| {
        let mut drawing = Drawing::new(View::at(scale, Point::ZERO)).titled(format!("{}, to scale", solved.job.title));
        let traces: Vec<_> = outlines.iter().map(|outline| trace(outline)).collect();
        match shape {
            PartShape::Whole(_) => drawing.region(&traces),
            PartShape::Open { .. } => traces.iter().for_each(|trace| drawing.stroke(trace, pack::Line::Outline)),
        }
        for drawn in &drawn {
            for outline in &drawn.centre_lines {
                drawing.stroke(&trace(outline), pack::Line::Centre);
            }
            for (centre, radius) in &drawn.centres {
                drawing.centre_mark(*centre, *radius, 3.0);
            }
        }
        let all = drawn.iter().flat_map(|drawn| &drawn.dimensions);
        let (fixed, free): (Vec<&Dimensioned>, Vec<&Dimensioned>) =
            all.partition(|dimension| !matches!(dimension, Dimensioned::Diameter { .. }));
        for dimension in fixed.into_iter().chain(free) {
            dimensioned(&mut drawing, dimension, OFFSET);
        }
        drawing
    });
    let mut says = vec!["To scale: what it was made to be, by the leading findings.".to_string()];
    if solved.features.iter().any(|feature| feature.is_match_made()) {
        says.push("Holes that are match-made are shown where the original has them; they are drilled through the mating part.".into());
    }
    says.extend(shape.gap().map(str::to_string));
    (Some(drawing.to_svg()), says)
}
