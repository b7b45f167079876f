//! The drawing: the part in trade convention at a recommended scale, a section, one tooth space or other detail enlarged,
//! and its data.

use geometry::outline::Outline;
use kurbo::{Point, Rect, Size};
use pack::{Aim, Along, Block, Drawing, KeyValue, Label, Line, Scale, Sheet, Trace, View};
use part::{Detail, Dimensioned, Drawn, Says, Shape};
use quantity::{Length, print};

use super::{Work, sheet as blank};

/// Height of the page given to the main view, mm.
const VIEW_HEIGHT: f64 = 112.0;
/// The same where no detail stands below it.
const VIEW_HEIGHT_ALONE: f64 = 150.0;
/// Room for a detail with its dimensions, mm.
const DETAIL: Size = Size::new(68.0, 58.0);

pub fn sheet(work: &Work<'_>) -> Sheet {
    let unit = work.unit();
    let mut out = blank(
        "Drawing",
        &format!(
            "dimensions in {}",
            match unit {
                quantity::Unit::Inch => "inches",
                quantity::Unit::Millimetre => "millimetres",
            }
        ),
    );
    let designs: Vec<_> =
        work.solved.features.iter().filter_map(|feature| Some((feature, feature.design()?))).collect();
    let drawn: Vec<Drawn> = designs.iter().map(|(_, design)| design.drawn(unit)).collect();
    out.blocks.extend(super::stop(work));
    match work.shape {
        Some(shape) => {
            let detailed = drawn.iter().any(|drawn| !drawn.details.is_empty());
            let room = Size::new(out.room().width, if detailed { VIEW_HEIGHT } else { VIEW_HEIGHT_ALONE });
            let (drawing, scale) = views(work, &drawn, room);
            let teeth = " Teeth by convention, ISO 2203; the true space is enlarged below.";
            let says = if has_teeth(&drawn) { teeth } else { "" };
            out.blocks.push(Block::figure(drawing, format!("Scale {scale}.{says}")));
            out.blocks.extend(shape.gap().map(Block::paragraph));
            if drawn.iter().filter(|drawn| drawn.length.is_some()).count() > 1 {
                out.blocks
                    .push(Block::paragraph("The steps follow one another in the order they are written in the job."));
            }
        }
        None => out.blocks.push(Block::paragraph("Nothing is known yet that could be drawn.")),
    }
    let details: Vec<Block> = drawn.iter().flat_map(|drawn| &drawn.details).map(detail).collect();
    let data: Vec<_> = designs
        .iter()
        .flat_map(|(feature, design)| design.data(unit).into_iter().map(|line| (&feature.of.name, line)))
        .collect();
    // what several features have is told of each by its name
    let is_told_twice = |name: &str| data.iter().filter(|(_, line)| line.name == name).count() > 1;
    let name = |(feature, line): &(&String, part::DataLine)| match is_told_twice(&line.name) {
        true => format!("{}, {feature}", line.name),
        false => line.name.clone(),
    };
    let rows: Vec<KeyValue> =
        data.iter().map(|line| KeyValue::new(name(line), pack::Rich::new().mono(line.1.value.clone()))).collect();
    let mut left = details;
    left.extend(general(work, &drawn));
    let data = vec![Block::heading("Data"), Block::KeyValues { rows }];
    out.blocks.push(Block::Beside { left, right: data, share: 0.42 });
    out
}

fn has_teeth(drawn: &[Drawn]) -> bool {
    drawn.iter().any(|drawn| !drawn.unhatched.is_empty())
}

/// What holds where nothing else is said.
fn general(work: &Work<'_>, drawn: &[Drawn]) -> Vec<Block> {
    let material = crate::planned::material(work.solved);
    let mut rows = vec![KeyValue::new("Material", material.to_string())];
    if let Some(original) = work.solved.job.material.filter(|original| original.name != material) {
        rows.push(KeyValue::new("Of the original", original.name.clone()));
    }
    if let Some(thickness) = work.solved.thickness_made() {
        let limits = format!("{} ± {}", print::figures(thickness.nominal, work.unit(), 2), tolerance(&thickness, work));
        rows.push(KeyValue::new("Thickness", pack::Rich::new().mono(limits)));
    } else if drawn.iter().all(|drawn| drawn.length.is_none()) {
        rows.push(KeyValue::new("Thickness", "not known: measure it first"));
    }
    rows.push(KeyValue::new("Sizes without limits", "ISO 2768-m"));
    if drawn.iter().any(|drawn| drawn.overall) {
        rows.push(KeyValue::new("Outline", "as template"));
    }
    rows.push(KeyValue::new("Edges", "broken"));
    vec![Block::KeyValues { rows }]
}

fn tolerance(thickness: &part::Characteristic, work: &Work<'_>) -> String {
    let half = thickness.upper.map_or(Length::ZERO, |upper| upper - thickness.nominal);
    print::length(half, work.unit(), 2)
}

/// The view along the axis and, beside it, the section through it or the side of a turned part.
fn views(work: &Work<'_>, drawn: &[Drawn], room: Size) -> (Drawing, Scale) {
    // what is too large for the room even bare need not be drawn out
    let bare = bounds(&Conventional::of(drawn).region().iter().collect::<Vec<_>>()).size();
    Drawing::fitting(room, Scale::fit(bare, room), |scale| views_at(work, drawn, scale))
}

fn views_at(work: &Work<'_>, drawn: &[Drawn], scale: Scale) -> Drawing {
    let region = Conventional::of(drawn).region();
    let bounds = bounds(&region.iter().collect::<Vec<_>>());
    let steps: Vec<Step> = drawn.iter().filter_map(Step::of).collect();
    let is_stepped = steps.len() > 1;
    let turned: f64 = steps.iter().map(|step| step.length).sum();
    let depth = (turned > 0.0).then_some(turned).or(work.solved.thickness.map(|thickness| thickness.value.mm()));
    let gap = if depth.is_some() { 18.0 } else { 0.0 };
    let mut drawing = Drawing::new(View::at(scale, Point::ZERO)).titled(work.solved.job.title.clone());
    drawing.region(&region.iter().map(trace).collect::<Vec<_>>());
    for drawn in drawn {
        for outline in &drawn.thin {
            drawing.stroke(&trace(outline), Line::Thin);
        }
        for outline in &drawn.centre_lines {
            drawing.stroke(&trace(outline), Line::Centre);
        }
        for (centre, radius) in &drawn.centres {
            drawing.centre_mark(*centre, *radius, 3.0);
        }
    }
    let size = |mm: f64| label(&Says::new(print::figures(Length::from_mm(mm), work.unit(), 2)));
    let (low, high) = (Point::new(bounds.x0, bounds.y0), Point::new(bounds.x1, bounds.y1));
    if let Some(depth) = depth {
        let left = bounds.x1 + gap / scale.factor();
        match is_stepped {
            true => stepped(&mut drawing, &steps, left, work.unit()),
            false => section(&mut drawing, &region, drawn, left, depth),
        }
        let foot = |x: f64| Point::new(x, bounds.y0);
        let offset = if is_stepped { 3.0 * OFFSET } else { OFFSET };
        drawing.linear(foot(left), foot(left + depth), Along::Horizontal, -offset, size(depth));
    }
    if drawn.iter().any(|drawn| drawn.overall) {
        drawing.linear(low, Point::new(high.x, low.y), Along::Horizontal, -OFFSET, size(bounds.width()));
        drawing.linear(low, Point::new(low.x, high.y), Along::Vertical, -OFFSET, size(bounds.height()));
    }
    // what has a place of its own first, then what looks for room
    let (fixed, free): (Vec<&Dimensioned>, Vec<&Dimensioned>) = drawn
        .iter()
        // the diameters of steps stand on their side view
        .filter(|drawn| !is_stepped || drawn.length.is_none())
        .flat_map(|drawn| &drawn.dimensions)
        .partition(|dimension| !matches!(dimension, Dimensioned::Diameter { .. } | Dimensioned::Thread { .. }));
    for dimension in fixed.into_iter().chain(free) {
        dimensioned(&mut drawing, dimension, OFFSET);
    }
    drawing
}

/// The outline as convention draws it, put together as the true one is.
struct Conventional {
    boundary: Option<Outline>,
    pieces: Vec<Outline>,
    holes: Vec<Outline>,
}

impl Conventional {
    fn of(drawn: &[Drawn]) -> Conventional {
        let mut out = Conventional { boundary: None, pieces: Vec::new(), holes: Vec::new() };
        for shape in drawn.iter().flat_map(|drawn| &drawn.shapes) {
            match shape {
                Shape::Boundary(outline) => out.boundary = Some(outline.clone()),
                Shape::Piece(outline) => out.pieces.push(outline.clone()),
                Shape::Hole(outline) => out.holes.push(outline.clone()),
            }
        }
        out
    }

    fn region(self) -> Vec<Outline> {
        let outer = match self.boundary {
            Some(boundary) => vec![boundary],
            None if self.pieces.len() > 1 => {
                self.pieces.into_iter().reduce(Outline::then).map(Outline::close).into_iter().collect()
            }
            None => self.pieces,
        };
        outer.into_iter().chain(self.holes).collect()
    }
}

/// One step of a turned part.
struct Step<'a> {
    radius: f64,
    length: f64,
    says: Option<&'a Says>,
}

impl Step<'_> {
    fn of(drawn: &Drawn) -> Option<Step<'_>> {
        let outlines: Vec<&Outline> = drawn
            .shapes
            .iter()
            .filter_map(|shape| match shape {
                Shape::Boundary(outline) => Some(outline),
                Shape::Piece(_) | Shape::Hole(_) => None,
            })
            .collect();
        let says = drawn.dimensions.iter().find_map(|dimension| match dimension {
            Dimensioned::Diameter { says, .. } => Some(says),
            _ => None,
        });
        Some(Step { radius: bounds(&outlines).height() / 2.0, length: drawn.length?, says })
    }
}

/// The side of a part turned in steps, in the order they are written in, each with its length and diameter.
fn stepped(drawing: &mut Drawing, steps: &[Step<'_>], left: f64, unit: quantity::Unit) {
    let largest = steps.iter().map(|step| step.radius).fold(0.0, f64::max);
    let ends: Vec<f64> = steps
        .iter()
        .scan(left, |end, step| {
            *end += step.length;
            Some(*end)
        })
        .collect();
    let mut placed: Vec<(&Step<'_>, f64)> = steps.iter().zip(ends).collect();
    let scale = drawing.view().scale.factor();
    let size = |step: &Step<'_>| print::figures(Length::from_mm(step.length), unit, 2);
    let is_short = |step: &Step<'_>| step.length * scale < ROOM_FOR_FIGURE * size(step).len() as f64 + ROOM_FOR_ARROWS;
    let some_short = steps.iter().any(is_short);
    for (step, end) in &placed {
        let (start, radius) = (end - step.length, step.radius);
        drawing.stroke(&Trace::rectangle(Rect::new(start, -radius, *end, radius)), Line::Outline);
        // figures that find no room between their arrows stand beside them, so that nothing else may stand on that level
        let level = if some_short && !is_short(step) { 2.0 } else { 1.0 };
        let foot = |x: f64| Point::new(x, -largest);
        drawing.linear(foot(start), foot(*end), Along::Horizontal, -level * OFFSET, label(&Says::new(size(step))));
    }
    let end = placed.last().map_or(left, |(_, end)| *end);
    drawing.centre_line(Point::new(left, 0.0), Point::new(end, 0.0), 4.0);
    // the longest stands between the others and has the least choice
    placed.sort_by(|a, b| b.0.length.total_cmp(&a.0.length));
    for (step, end) in placed {
        if let Some(says) = step.says {
            let sign = if says.size.contains('⌀') { "" } else { "⌀ " };
            let says = Says { size: format!("{sign}{}", says.size), ..says.clone() };
            drawing.note(Point::new(end - 0.5 * step.length, step.radius), Aim::Free, label(&says));
        }
    }
}

/// A figure's width on paper, and what a dimension's arrows take, mm.
const ROOM_FOR_FIGURE: f64 = 2.2;
const ROOM_FOR_ARROWS: f64 = 7.0;

/// The cut through the axis, from the top down, standing beside the view.
fn section(drawing: &mut Drawing, outlines: &[Outline], drawn: &[Drawn], left: f64, thickness: f64) {
    let mut heights: Vec<f64> = outlines.iter().flat_map(crossings).collect();
    heights.sort_by(f64::total_cmp);
    let bands = || drawn.iter().flat_map(|drawn| &drawn.unhatched);
    let solid = outlines.len() < 2;
    for pair in heights.chunks_exact(2) {
        let (low, high) = (pair[0], pair[1]);
        let block = |low: f64, high: f64| Trace::rectangle(Rect::new(left, low, left + thickness, high));
        // teeth are never hatched, nor is a shaft without a hole (ISO 128-3)
        let mut inner = (low, high);
        for (root, tip) in bands() {
            if (high - tip).abs() < 1e-3 * tip {
                inner.1 = *root;
            }
            if (low + tip).abs() < 1e-3 * tip {
                inner.0 = -root;
            }
        }
        if !solid {
            drawing.hatch(&[block(inner.0, inner.1)], std::f64::consts::FRAC_PI_4, 2.5);
        }
        for height in [inner.0, inner.1] {
            if height > low + 1e-6 && height < high - 1e-6 {
                drawing.stroke(
                    &Trace::line(Point::new(left, height), Point::new(left + thickness, height)),
                    Line::Outline,
                );
            }
        }
        drawing.stroke(&block(low, high), Line::Outline);
    }
    // edges of holes seen beyond the cut
    for pair in heights.windows(2).skip(1).step_by(2) {
        for x in [left, left + thickness] {
            drawing.stroke(&Trace::line(Point::new(x, pair[0]), Point::new(x, pair[1])), Line::Outline);
        }
    }
    drawing.centre_line(Point::new(left, 0.0), Point::new(left + thickness, 0.0), 4.0);
}

/// Where an outline crosses the vertical through the axis.
fn crossings(outline: &Outline) -> Vec<f64> {
    let points = outline.flatten(0.01);
    // a hair off the axis, so that a corner on it is not met twice
    let x = 1e-4;
    points
        .iter()
        .zip(points.iter().cycle().skip(1))
        .filter(|(a, b)| (a.x < x) != (b.x < x))
        .map(|(a, b)| a.y + (b.y - a.y) * (x - a.x) / (b.x - a.x))
        .collect()
}

fn detail(detail: &Detail) -> Block {
    let bare = detail_box(detail).size();
    let (drawing, scale) = Drawing::fitting(DETAIL, Scale::fit(bare, DETAIL), |scale| detail_at(detail, scale));
    Block::figure(drawing, format!("{}, scale {scale}.", detail.title))
}

fn detail_box(detail: &Detail) -> Rect {
    bounds(&detail.centre_lines.iter().chain(&detail.thin).chain([&detail.outline]).collect::<Vec<_>>())
}

fn detail_at(detail: &Detail, scale: Scale) -> Drawing {
    let box_of = detail_box(detail);
    let mut drawing = Drawing::new(View::at(scale, Point::ZERO)).titled(detail.title.clone());
    if detail.metal_below {
        drawing.fill(&[metal_below(detail, &box_of)], pack::Fill::Metal);
    }
    drawing.stroke(&trace(&detail.outline), Line::Outline);
    for outline in &detail.thin {
        drawing.stroke(&trace(outline), Line::Thin);
    }
    for outline in &detail.centre_lines {
        drawing.stroke(&trace(outline), Line::Centre);
    }
    for dimension in &detail.dimensions {
        // dimension lines stand clear of all that is drawn: level ones above it, upright ones left of it
        match dimension {
            Dimensioned::Between { from, to, says } if (from.x - to.x).abs() < 1e-6 => {
                let beyond = (from.x - box_of.x0) * scale.factor();
                drawing.linear(*from, *to, Along::Vertical, -(OFFSET + beyond), label(says));
            }
            Dimensioned::Between { from, to, says } => {
                let beyond = (box_of.y1 - from.y.max(to.y)) * scale.factor();
                drawing.linear(*from, *to, Along::Horizontal, OFFSET + beyond, label(says));
            }
            Dimensioned::Diameter { .. } | Dimensioned::Thread { .. } | Dimensioned::Radius { .. } => {
                dimensioned(&mut drawing, dimension, OFFSET);
            }
        }
    }
    drawing
}

/// The metal of a detail: below its outline, a little deeper than anything drawn.
fn metal_below(detail: &Detail, box_of: &Rect) -> Trace {
    let floor = box_of.y0 - 0.12 * box_of.height();
    match (detail.outline.start(), detail.outline.end()) {
        (Some(start), Some(end)) => {
            trace(&detail.outline).line_to(Point::new(end.x, floor)).line_to(Point::new(start.x, floor)).close()
        }
        _ => trace(&detail.outline),
    }
}

/// Leaders with a place of their own are this long, on paper.
const LEADER: f64 = 12.0;
/// Dimension lines stand this far from what they measure, on paper.
const OFFSET: f64 = 9.0;

pub(crate) fn dimensioned(drawing: &mut Drawing, dimension: &Dimensioned, offset: f64) {
    match dimension {
        Dimensioned::Diameter { centre, radius, says } => drawing.diameter(*centre, *radius, Aim::Free, label(says)),
        Dimensioned::Thread { centre, radius, says } => drawing.thread(*centre, *radius, Aim::Free, label(says)),
        Dimensioned::Radius { centre, radius, at, says } => {
            drawing.radius(*centre, *radius, Aim::At { angle: *at, reach: LEADER }, label(says));
        }
        Dimensioned::Between { from, to, says } => {
            let along = if (from.x - to.x).abs() < 1e-6 {
                Along::Vertical
            } else if (from.y - to.y).abs() < 1e-6 {
                Along::Horizontal
            } else {
                Along::Aligned
            };
            drawing.linear(*from, *to, along, offset, label(says));
        }
    }
}

fn label(says: &Says) -> Label {
    let label = Label::new(says.size.clone());
    if says.below.is_empty() { label } else { label.below(says.below.clone()) }
}

fn bounds(outlines: &[&Outline]) -> Rect {
    outlines.iter().filter_map(|outline| outline.bounding_box()).reduce(|a, b| a.union(b)).unwrap_or(Rect::ZERO)
}

/// An outline for the pencil; arcs stay arcs.
pub fn trace(outline: &Outline) -> Trace {
    use geometry::outline::Segment;
    let mut trace = Trace::from(outline.start().unwrap_or_default());
    for segment in outline.segments() {
        trace = match segment {
            Segment::Line { to, .. } => trace.line_to(*to),
            Segment::Arc { centre, sweep, .. } => trace.arc_round(*centre, *sweep),
            Segment::Curve(points) => trace.through(points.iter().skip(1).copied()),
        };
    }
    if outline.is_closed() { trace.close() } else { trace }
}
