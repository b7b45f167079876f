//! The single-point cutter that cuts a tooth space, to grind by: at true scale, and enlarged with its widths.

use kurbo::{Point, Size};
use making::cutters::CutterPick;
use pack::{Line, Sheet, Template, Trace};
use part::{SpacePoint, TeethWork, Work as PartWork};
use quantity::{Length, Unit, print};

use super::Work;
use crate::solve::Solved;

/// Widths are given at so many heights, and at the point.
const HEIGHTS: u32 = 10;
/// An enlargement is as large as fits beside the true one, mm.
const ROOM: f64 = 70.0;
const ENLARGED: [u32; 5] = [20, 10, 5, 4, 2];
/// Room for the widths, and between them and the true profile, mm.
const WIDTHS: f64 = 62.0;
const APART: f64 = 8.0;

/// Two sheets for each rim whose cutter is not owned, or does not come near enough to its form.
pub fn sheets(work: &Work<'_>) -> Vec<Sheet> {
    let rims = rims(work.solved);
    let wanted = |pick: &CutterPick| !pick.owned || pick.flank.is_some_and(|flank| flank.matters());
    let pairs = rims.iter().zip(&work.plan.cutters);
    // a space that does not fit a page is far beyond any fly cutter
    let of = |teeth| [grinding(teeth, work.unit()), times_that_fit(teeth).and_then(|times| projected(teeth, times))];
    let templates = pairs.filter(|(_, pick)| wanted(pick)).flat_map(|(teeth, _)| of(teeth)).flatten();
    templates.filter_map(|template| template.sheet().ok()).collect()
}

/// The rims whose teeth are cut.
pub fn rims(solved: &Solved<'_>) -> Vec<TeethWork> {
    let designs = solved.features.iter().filter_map(|feature| feature.design());
    designs
        .flat_map(|design| design.cuts())
        .filter_map(|cut| match cut.work {
            PartWork::Teeth(teeth) => Some(teeth),
            PartWork::Turn { .. }
            | PartWork::Hole(_)
            | PartWork::Bush(_)
            | PartWork::Keyway(_)
            | PartWork::Profile { .. } => None,
        })
        .collect()
}

/// Magnifications of shadow projectors (common practice), largest first.
pub const PROJECTED: [u32; 5] = [100, 50, 20, 10, 5];
/// Room on a page for what is laid on a projector's screen, mm.
const SCREEN: Size = Size::new(165.0, 185.0);

/// Width at its outside and height of the space, mm; none where it cannot be drawn.
pub fn size(teeth: &TeethWork) -> Option<Size> {
    let top = teeth.space.last()?;
    Some(Size::new(top.half_width.mm() * 2.0, top.height.mm()))
}

/// The largest magnification that fits a page.
pub fn times_that_fit(teeth: &TeethWork) -> Option<u32> {
    let size = size(teeth)?;
    let fits = |times: &u32| {
        size.width * f64::from(*times) <= SCREEN.width && size.height * f64::from(*times) <= SCREEN.height
    };
    PROJECTED.into_iter().find(fits)
}

/// The space so many times as large, to lay on the screen of a shadow projector or to trace a form by, and beside it at true
/// scale where it has room.
pub fn projected(teeth: &TeethWork, times: u32) -> Option<Template> {
    let size = size(teeth)?;
    let scale = f64::from(times);
    let mut template = Template {
        title: "Cutter profile".into(),
        size: Some("full size and magnified"),
        notes: vec![format!(
            "{}, at {times} times its size and at true scale. The line is the cutter's edge, its rake flat; the \
             axis is the middle of the space. On a shadow projector set to {times} times, the ground cutter's shadow covers it.",
            space_of(teeth)
        )],
        ..Template::default()
    };
    template.outline.push(profile(&teeth.space, scale, Point::ORIGIN));
    let axis = |x: f64, scale: f64| {
        let over = 4.0;
        Trace::line(Point::new(x, -over), Point::new(x, size.height * scale + over))
    };
    template.lines.push((axis(0.0, scale), Line::Centre));
    template.labels.push((Point::new(0.0, -8.0), format!("{times} times")));
    let aside = size.width * scale / 2.0 + APART + (size.width / 2.0).max(TRUE_SCALE);
    template.outline.push(profile(&teeth.space, 1.0, Point::new(aside, 0.0)));
    template.labels.push((Point::new(aside, -8.0), "true scale".into()));
    Some(template)
}

/// "The space of 44 teeth, 10 DP"
fn space_of(teeth: &TeethWork) -> String {
    let TeethWork { teeth: count, size_label, .. } = teeth;
    match teeth.helix {
        None => format!("The space of {count} teeth, {size_label}"),
        Some(helix) => format!(
            "The space of {count} helical teeth, {size_label}, seen square to them: that of {:.0} straight ones",
            helix.virtual_teeth
        ),
    }
}

/// Half the width of the words under the true one, mm.
const TRUE_SCALE: f64 = 12.0;

/// The space enlarged with its widths, to grind by, and at true scale.
pub fn grinding(teeth: &TeethWork, unit: Unit) -> Option<Template> {
    let Size { width, height } = size(teeth)?;
    let times = ENLARGED.into_iter().find(|times| width.max(height) * f64::from(*times) <= ROOM);
    let mut template = Template {
        title: "Fly cutter".into(),
        notes: vec![format!(
            "{}, thinned for backlash: the cutter is right when it is fed {} deep, by reckoning. Grind the point to this shape, its top \
             rake flat, and hold it so that the face stands on the centre line. Beside the enlarged one stands its full width at each \
             height above the point; the uppermost is at the corners of the space. Try the first space with the checking sheet.",
            space_of(teeth),
            print::length(teeth.planned_depth(), unit, 3)
        )],
        ..Template::default()
    };
    // enlarged at the left, its widths beside it, the true one at the right of them
    let mut right = 0.0;
    if let Some(times) = times {
        let scale = f64::from(times);
        template.lines.push((profile(&teeth.space, scale, Point::ORIGIN), Line::Outline));
        template.labels.push((Point::new(0.0, -5.0), format!("{times} times")));
        right = width * scale / 2.0 + WIDTHS;
        template.labels.extend(widths(teeth, unit).map(|(height, half, text)| {
            let level = height.mm() * scale;
            let (from, to) = (half.mm() * scale + 1.5, right - WIDTHS + 2.0);
            template.lines.push((Trace::line(Point::new(from, level), Point::new(to.max(from), level)), Line::Thin));
            (Point::new(right - WIDTHS / 2.0, level), text)
        }));
    }
    let at = Point::new(right + APART + width / 2.0, 0.0);
    template.outline.push(profile(&teeth.space, 1.0, at));
    template.labels.push((Point::new(at.x, -5.0), "true scale".into()));
    Some(template)
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

/// "at 0.0213 up: 0.1184 in", from the outside to the root, with the height and the half width each stands at.
fn widths(teeth: &TeethWork, unit: Unit) -> impl Iterator<Item = (Length, Length, String)> {
    let top = teeth.space.last().map_or(Length::ZERO, |point| point.height);
    (0..=HEIGHTS).map(move |step| {
        let height = top * (f64::from(HEIGHTS - step) / f64::from(HEIGHTS));
        let half = width_at(&teeth.space, height);
        let text = format!("at {} up: {}", print::figures(height, unit, 3), print::length(half * 2.0, unit, 3));
        (height, half, text)
    })
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
        (_, Some(first), Some(last)) => {
            if height < first.height {
                first.half_width
            } else {
                last.half_width
            }
        }
        (_, None, _) | (_, _, None) => Length::ZERO,
    }
}
