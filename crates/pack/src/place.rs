//! Finding room for a label beside what is already drawn.

use kurbo::{BezPath, ParamCurve, ParamCurveArclen, Point, Rect, Shape};

use crate::dimension::{Label, Leader};
use crate::drawing::{Drawing, Item, Line};
use crate::trace::Trace;

/// Leaders are tried at these angles, degrees: clear of the axes, where centre lines run.
const ANGLES: [f64; 12] = [45.0, 30.0, 60.0, 135.0, 150.0, 120.0, -45.0, -30.0, -60.0, -135.0, -150.0, -120.0];
/// And at these lengths, paper mm, shortest first.
const REACHES: [f64; 7] = [6.0, 9.0, 13.0, 18.0, 25.0, 34.0, 46.0];

/// How bad things are. Figures over figures are unreadable; figures over an outline hide it; over thin lines they are
/// only untidy; a leader through figures strikes them out; a long leader is better than any of these.
const OVER_FIGURES: f64 = 100.0;
const OVER_OUTLINE: f64 = 8.0;
const OVER_THIN: f64 = 1.5;
const ON_METAL: f64 = 6.0;
const THROUGH_FIGURES: f64 = 60.0;
const ALONG_LINES: f64 = 0.4;
const PER_MM: f64 = 0.12;

/// Spacing at which drawn lines are looked at, mm.
const STEP: f64 = 1.0;
/// Air wanted round figures, mm.
const AIR: f64 = 0.8;

/// The angle (radians, in the part) and reach (paper mm) of a leader from a circle that disturb the drawing least.
pub(crate) fn freest(drawing: &Drawing, centre: Point, radius: f64, label: &Label) -> (f64, f64) {
    let taken = Taken::of(drawing);
    let width = label.width();
    let mut best = (f64::INFINITY, (ANGLES[0].to_radians(), REACHES[0]));
    for reach in REACHES {
        for angle in ANGLES {
            let angle = angle.to_radians();
            let leader = Leader::new(drawing, centre, radius, angle, reach, (label, width));
            // most are worse before all of their way was looked at
            if let Some(cost) = taken.cost_below(best.0, PER_MM * reach, &leader) {
                best = (cost, (angle, reach));
            }
        }
    }
    best.1
}

/// A leader to the same place of an arc that covers no figures: as it was wanted, else longer or shorter, from outside or inside.
pub(crate) fn clearest(
    drawing: &Drawing,
    centre: Point,
    radius: f64,
    (angle, wanted): (f64, f64),
    label: &Label,
) -> (f64, f64) {
    let taken = Taken::of(drawing);
    let width = label.width();
    let from_inside = REACHES.iter().map(|reach| -reach);
    let leader = |reach: f64| Leader::new(drawing, centre, radius, angle, reach, (label, width));
    if taken.is_clear(&leader(wanted)) {
        return (angle, wanted);
    }
    let clear = REACHES.into_iter().chain(from_inside).filter(|reach| taken.is_clear(&leader(*reach)));
    let cost =
        |reach: f64| taken.cost_below(f64::INFINITY, PER_MM * reach.abs(), &leader(reach)).unwrap_or(f64::INFINITY);
    let best = clear.map(|reach| (cost(reach), reach)).min_by(|a, b| a.0.total_cmp(&b.0));
    (angle, best.map_or(wanted, |(_, reach)| reach))
}

struct Taken {
    figures: Vec<Rect>,
    outline: Vec<Point>,
    thin: Vec<Point>,
    metal: Vec<BezPath>,
}

impl Taken {
    fn of(drawing: &Drawing) -> Taken {
        let mut taken = Taken { figures: Vec::new(), outline: Vec::new(), thin: Vec::new(), metal: Vec::new() };
        for item in &drawing.items {
            taken.add(item);
        }
        for points in [&mut taken.outline, &mut taken.thin] {
            points.sort_by(|a, b| a.x.total_cmp(&b.x));
        }
        taken
    }

    fn add(&mut self, item: &Item) {
        match item {
            Item::Stroke { trace, line, .. } => match line {
                Line::Outline => samples(trace, &mut self.outline),
                Line::Thin | Line::Dimension | Line::Hatching | Line::Hidden | Line::Centre | Line::Phantom => {
                    samples(trace, &mut self.thin)
                }
            },
            Item::Area { mark: true, .. } => {}
            Item::Area { traces, .. } => {
                let mut path = BezPath::new();
                for trace in traces {
                    path.extend(trace.bezier());
                }
                self.metal.push(path);
            }
            Item::Text(text) => self.figures.push(text.bounds()),
            Item::Clipped(_, item) => self.add(item),
        }
    }

    /// No figures lie under its own or on its way.
    fn is_clear(&self, leader: &Leader) -> bool {
        let steps = ((leader.elbow - leader.tip).hypot() / STEP).ceil().max(1.0);
        let way: Vec<Point> =
            (1..=steps as u32).map(|step| leader.tip.lerp(leader.elbow, f64::from(step) / steps)).collect();
        let room = leader.room.inflate(AIR, AIR);
        !self.figures.iter().any(|figure| figure.overlaps(room) || way.iter().any(|at| figure.contains(*at)))
    }

    /// What a leader costs beside its length, if that together is less than `most`.
    fn cost_below(&self, most: f64, length: f64, leader: &Leader) -> Option<f64> {
        let room = leader.room.inflate(AIR, AIR);
        let overlaps = |rect: Rect| self.figures.iter().filter(|f| f.overlaps(rect)).count() as f64;
        let mut cost = length + OVER_FIGURES * overlaps(room);
        if cost >= most {
            return None;
        }
        cost += OVER_OUTLINE * within(&self.outline, room).count() as f64;
        cost += OVER_THIN * within(&self.thin, room).count() as f64;
        if cost >= most {
            return None;
        }
        let middle = room.center();
        // Even-odd: an odd winding is inside whichever way the holes run.
        let on_metal = self.metal.iter().any(|path| path.winding(middle).rem_euclid(2) == 1);
        cost += ON_METAL * f64::from(u8::from(on_metal));
        let steps = ((leader.elbow - leader.tip).hypot() / STEP).ceil().max(1.0);
        for step in 1..=steps as u32 {
            if cost >= most {
                return None;
            }
            let at = leader.tip.lerp(leader.elbow, f64::from(step) / steps);
            let near = Rect::from_center_size(at, (STEP, STEP));
            cost += THROUGH_FIGURES / steps * overlaps(near).min(1.0) * 4.0;
            cost += ALONG_LINES * within(&self.outline, near).chain(within(&self.thin, near)).take(2).count() as f64;
        }
        (cost < most).then_some(cost)
    }
}

/// Those of the points, which stand in the order of their x, that lie in a rectangle.
fn within(points: &[Point], rect: Rect) -> impl Iterator<Item = &Point> {
    let first = points.partition_point(|point| point.x < rect.x0);
    points[first..].iter().take_while(move |point| point.x < rect.x1).filter(move |point| rect.contains(**point))
}

fn samples(trace: &Trace, into: &mut Vec<Point>) {
    for segment in trace.bezier().segments() {
        let steps = (segment.arclen(0.1) / STEP).ceil().max(1.0);
        into.extend((0..steps as u32).map(|step| segment.eval((f64::from(step) + 0.5) / steps)));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::dimension::Aim;
    use crate::drawing::View;
    use crate::scale::Scale;

    /// Twelve holes close together, each with its own label: no two labels may touch.
    #[test]
    fn labels_placed_freely_do_not_cover_each_other() {
        let mut drawing = Drawing::new(View::at(Scale::FULL, Point::ORIGIN));
        let plate = Trace::rectangle(Rect::new(-10.0, -10.0, 70.0, 50.0));
        let holes: Vec<Point> = (0..12).map(|i| Point::new(f64::from(i % 4) * 20.0, f64::from(i / 4) * 20.0)).collect();
        let mut region = vec![plate];
        region.extend(holes.iter().map(|h| Trace::circle(*h, 3.0)));
        drawing.region(&region);
        for (i, hole) in holes.iter().enumerate() {
            drawing.centre_mark(*hole, 3.0, 2.0);
            drawing.diameter(*hole, 3.0, Aim::Free, format!("6.{i:02}"));
        }
        let rooms: Vec<Rect> = drawing
            .items
            .iter()
            .filter_map(|item| match item {
                Item::Text(text) => Some(text.bounds()),
                Item::Stroke { .. } | Item::Area { .. } | Item::Clipped(..) => None,
            })
            .collect();
        assert_eq!(rooms.len(), 12);
        for (i, a) in rooms.iter().enumerate() {
            for b in &rooms[i + 1..] {
                assert!(!a.overlaps(*b), "{a:?} {b:?}");
            }
        }
    }
}
