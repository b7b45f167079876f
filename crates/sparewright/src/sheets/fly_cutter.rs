//! The single-point cutter that cuts a tooth space, to grind by: at true scale, enlarged, and by its widths.

use kurbo::Point;
use making::cutters::CutterPick;
use pack::{Block, Column, Line, Row, Sheet, Table, Template, Trace, Width};
use part::{SpacePoint, TeethWork, Work as PartWork};
use quantity::{Length, print};

use super::Work;

/// Widths are given at so many depths.
const DEPTHS: u32 = 10;
/// An enlargement is as large as fits beside the true one, mm.
const ROOM: f64 = 110.0;
const ENLARGED: [u32; 5] = [20, 10, 5, 4, 2];
/// Between the true profile and the enlarged one, mm.
const APART: f64 = 14.0;

/// A sheet for each rim whose cutter is not owned, or does not come near enough to its form.
pub fn sheets(work: &Work<'_>) -> Vec<Sheet> {
    let rims: Vec<TeethWork> = work
        .solved
        .features
        .iter()
        .filter_map(|feature| feature.design())
        .flat_map(|design| design.cuts())
        .filter_map(|cut| match cut.work {
            PartWork::Teeth(teeth) => Some(teeth),
            PartWork::Turn { .. }
            | PartWork::Hole(_)
            | PartWork::Bush(_)
            | PartWork::Keyway(_)
            | PartWork::Profile { .. } => None,
        })
        .collect();
    let wanted = |pick: &CutterPick| !pick.owned || pick.flank.is_some_and(|flank| flank.matters());
    let pairs = rims.iter().zip(&work.plan.cutters);
    pairs.filter(|(_, pick)| wanted(pick)).filter_map(|(teeth, _)| sheet(teeth, work)).collect()
}

fn sheet(teeth: &TeethWork, work: &Work<'_>) -> Option<Sheet> {
    let top = teeth.space.last()?;
    let (width, height) = (top.half_width.mm() * 2.0, top.height.mm());
    let times = ENLARGED.into_iter().find(|times| width.max(height) * f64::from(*times) <= ROOM);
    let mut template = Template {
        title: "Fly cutter".into(),
        notes: vec![format!(
            "The space of {} teeth, {}. Grind the point to this shape, its top rake flat, and hold it so that the face stands on the centre line. \
             Leave the shank wider above. Try the first space with the checking sheet.",
            teeth.teeth, teeth.size_label
        )],
        outline: vec![profile(&teeth.space, 1.0, Point::ORIGIN)],
        labels: vec![(Point::new(-width / 2.0, -5.0), "true scale".into())],
        ..Template::default()
    };
    if let Some(times) = times {
        let scale = f64::from(times);
        let at = Point::new(width / 2.0 + APART + width * scale / 2.0, 0.0);
        let drawn = profile(&teeth.space, scale, at);
        template.lines.push((drawn, Line::Outline));
        template.labels.push((Point::new(at.x - 6.0, -5.0), format!("{times} times")));
    }
    // a space that does not fit a page is far beyond any fly cutter
    let mut sheet = template.sheet().ok()?;
    sheet.blocks.push(Block::Heading { text: "Fly cutter by its widths".into(), beside: "full width at each depth from the outside".into() });
    sheet.blocks.push(Block::Table(widths(teeth, work)));
    Some(sheet)
}

/// Both sides of the space, joined at the root.
fn profile(space: &[SpacePoint], scale: f64, at: Point) -> Trace {
    let side = |sign: f64| {
        move |point: &SpacePoint| {
            Point::new(at.x + sign * point.half_width.mm() * scale, at.y + point.height.mm() * scale)
        }
    };
    let left = space.iter().rev().map(side(-1.0));
    Trace::polygon(left.chain(space.iter().map(side(1.0))))
}

fn widths(teeth: &TeethWork, work: &Work<'_>) -> Table {
    let top = teeth.space.last().map_or(Length::ZERO, |point| point.height);
    let size = |length: Length| print::length(length, work.unit(), 3);
    let rows = (0..=DEPTHS).map(|step| {
        let depth = top * (f64::from(step) / f64::from(DEPTHS));
        Row::new([size(depth), size(width_at(&teeth.space, top - depth) * 2.0)])
    });
    Table { columns: vec![Column::figures().width(Width::Mm(40.0)), Column::figures().width(Width::Mm(40.0))], header: vec!["depth".into(), "width".into()], rows: rows.collect() }
}

/// Half the width at a height above the root, in proportion between two points.
fn width_at(space: &[SpacePoint], height: Length) -> Length {
    let between = space.windows(2).find(|pair| pair[0].height <= height && height <= pair[1].height);
    match (between, space.first(), space.last()) {
        (Some([low, high]), _, _) => {
            let rise = high.height - low.height;
            let share = if rise > Length::ZERO { (height - low.height) / rise } else { 0.0 };
            low.half_width + (high.half_width - low.half_width) * share
        }
        (_, Some(first), Some(last)) => if height < first.height { first.half_width } else { last.half_width },
        (_, None, _) | (_, _, None) => Length::ZERO,
    }
}
