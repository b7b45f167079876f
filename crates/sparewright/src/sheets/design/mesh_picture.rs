//! The new teeth and their mate in mesh, to scale: the two as they stand, and where they meet, enlarged.
//!
//! The new part's axis is the origin and the mate's above it. The mate is turned until its flanks touch the new ones on one side, so that
//! all backlash shows on the other. Line classes after ISO 128-2; the new part in outline, what stays in the machine in thin line.

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use design::tooth::Running;
use geometry::generate::{SectorEnd, rim, sector};
use geometry::outline::{Outline, Segment};
use geometry::toothing::Toothing;
use kurbo::{Point, Rect, Size, Vec2};
use pack::{Along, Anchor, Block, Drawing, Face, Fill, Ink, Label, Line, Scale, Text, Trace, View};
use quantity::{Length, print};

use super::super::Work;
use super::super::drawing::trace;
use crate::designed::teeth::DesignedTeeth;
use crate::shape::PartShape;

/// Room for the two as they stand and for the enlargement, mm.
const BOTH: Size = Size::new(70.0, 96.0);
const CLOSE: Size = Size::new(84.0, 84.0);
/// The enlargement shows so many pitches at least, and at most.
const PITCHES: [f64; 2] = [2.0, 3.2];
/// How finely curves are drawn, on paper, mm.
const DRAWN: f64 = 0.01;
/// Dimension lines stand so far off, on paper, mm.
const OFFSET: f64 = 8.0;

pub fn block(work: &Work<'_>, one: &DesignedTeeth, running: &Running) -> Block {
    let picture = Picture::new(one, running);
    let size = picture.size(work.shape);
    let (both, scale) = Drawing::fitting(BOTH, Scale::fit(size, BOTH), |scale| picture.both(work, scale));
    let (close, enlarged) = picture.close();
    Block::Beside {
        left: vec![Block::figure(both, format!("Scale {scale}. In thin line {}.", one.mate_in_words(running)))],
        right: vec![Block::figure(
            close,
            format!("Scale {enlarged}. Flanks meet from A to E on the line of action; C is the pitch point."),
        )],
        share: 0.45,
    }
}

struct Picture<'a> {
    one: &'a DesignedTeeth,
    running: &'a Running,
    new: Toothing,
    mate: Toothing,
    distance: f64,
    /// How far a tooth of the new wheel stands from the line of centres, and how far the mate is turned from where it was drawn.
    turns: [f64; 2],
}

impl<'a> Picture<'a> {
    fn new(one: &'a DesignedTeeth, running: &'a Running) -> Picture<'a> {
        let mesh = &running.mesh;
        let [new, mate] = mesh.toothings().map(|toothing| *toothing);
        let pitches = [new, mate].map(|toothing| toothing.angular_pitch().radians());
        // a sector of an even count has a space on its middle
        let offset = |teeth: Option<u32>, pitch: f64| match teeth {
            Some(teeth) if teeth.is_multiple_of(2) => pitch / 2.0,
            Some(_) | None => 0.0,
        };
        let own = offset((!one.teeth.made.whole).then_some(one.teeth.made.teeth_cut), pitches[0]);
        let others = offset(running.mate_sector, pitches[1]);
        let play = mesh.circumferential_backlash().mm() / mesh.working_pitch_diameters()[1].mm();
        let facing = PI + pitches[1] / 2.0 - others;
        // a sector keeps its middle on the line of centres as nearly as teeth allow
        let turned = (facing - own * pitches[1] / pitches[0] + play).rem_euclid(pitches[1]);
        let nearest = ((PI - turned) / pitches[1]).round() * pitches[1] + turned;
        Picture { one, running, new, mate, distance: mesh.centre_distance().mm(), turns: [own, nearest] }
    }

    /// The two, bare.
    fn size(&self, shape: Option<&PartShape>) -> Size {
        let outlines = self.part(shape, 0.1).into_iter().chain([self.other(0.1)]);
        let bounds = outlines.filter_map(|outline| outline.bounding_box()).reduce(|a, b| a.union(b));
        bounds.unwrap_or(Rect::ZERO).size()
    }

    /// The new part with its holes: its teeth as they are cut, a sector as the part it is.
    fn part(&self, shape: Option<&PartShape>, tolerance: f64) -> Vec<Outline> {
        let outlines: Vec<Outline> =
            shape.map(|shape| shape.outlines().into_iter().cloned().collect()).unwrap_or_default();
        let made = &self.one.teeth.made;
        if made.whole {
            let holes = outlines.into_iter().skip(1);
            return std::iter::once(rim(&self.new, Length::from_mm(tolerance))).chain(holes).collect();
        }
        match shape {
            Some(PartShape::Whole(_)) => outlines,
            Some(PartShape::Open { .. }) | None => {
                vec![sector(&self.new, made.teeth_cut, Length::from_mm(tolerance), SectorEnd::MiddleOfSpace)]
            }
        }
    }

    fn is_closed(&self, shape: Option<&PartShape>) -> bool {
        matches!(shape, Some(PartShape::Whole(_)))
    }

    fn other(&self, tolerance: f64) -> Outline {
        let tolerance = Length::from_mm(tolerance);
        let drawn = match self.running.mate_sector {
            Some(teeth) => sector(&self.mate, teeth, tolerance, SectorEnd::MiddleOfSpace),
            None => rim(&self.mate, tolerance),
        };
        drawn.rotated(self.turns[1]).translated(Vec2::new(0.0, self.distance))
    }

    fn both(&self, work: &Work<'_>, scale: Scale) -> Drawing {
        let mut drawing = Drawing::new(View::at(scale, Point::ZERO)).titled(format!("{} in mesh", self.one.feature));
        let tolerance = DRAWN / scale.factor();
        let part: Vec<Trace> = self.part(work.shape, tolerance).iter().map(trace).collect();
        // teeth alone, without the rest of the part, enclose nothing
        if part.len() == 1 && !self.one.teeth.made.whole && !self.is_closed(work.shape) {
            part.iter().for_each(|teeth| drawing.stroke(teeth, Line::Outline));
        } else {
            drawing.region(&part);
        }
        drawing.stroke(&trace(&self.other(tolerance)), Line::Thin);
        let [own, others] = self.pitch_radii();
        let above = Point::new(0.0, self.distance);
        drawing.stroke(
            &trace(&self.arc(
                Point::ZERO,
                own,
                FRAC_PI_2,
                self.one.teeth.made.whole,
                self.new,
                self.one.teeth.made.teeth_cut,
            )),
            Line::Centre,
        );
        let mate_teeth = self.running.mate_sector;
        drawing.stroke(
            &trace(&self.arc(above, others, -FRAC_PI_2, mate_teeth.is_none(), self.mate, mate_teeth.unwrap_or(0))),
            Line::Centre,
        );
        drawing.centre_line(Point::ZERO, above, 4.0);
        for centre in [Point::ZERO, above] {
            drawing.centre_line(
                centre - Vec2::new(2.0 / scale.factor(), 0.0),
                centre + Vec2::new(2.0 / scale.factor(), 0.0),
                2.0,
            );
        }
        let left = drawing.content().x0 / scale.factor();
        let size = print::figures(Length::from_mm(self.distance), self.one.unit, 2);
        drawing.linear(Point::ZERO, above, Along::Vertical, left * scale.factor() - OFFSET, Label::new(size));
        drawing
    }

    fn pitch_radii(&self) -> [f64; 2] {
        self.running.mesh.working_pitch_diameters().map(|diameter| diameter.mm() / 2.0)
    }

    /// A pitch circle, or of a sector as much as it has, and a little beyond.
    fn arc(&self, centre: Point, radius: f64, middle: f64, whole: bool, of: Toothing, teeth: u32) -> Outline {
        if whole {
            return Outline::circle(centre, radius);
        }
        let half = of.angular_pitch().radians() * (f64::from(teeth) + 1.0) / 2.0;
        Outline::new(vec![Segment::Arc { centre, radius, start: middle - half, sweep: 2.0 * half }])
    }

    /// Where the teeth meet, enlarged, at the largest scale that has room for it.
    fn close(&self) -> (Drawing, Scale) {
        let [own, _] = self.pitch_radii();
        let pitch = TAU * own / f64::from(self.new.teeth());
        let low = self.new.root_diameter().mm() / 2.0 - 0.25 * pitch;
        let high = self.distance - self.mate.root_diameter().mm() / 2.0 + 0.25 * pitch;
        let scale = Scale::fit(Size::new(PITCHES[0] * pitch, high - low), CLOSE);
        let half = (CLOSE.width / scale.factor() / pitch).min(PITCHES[1]) * pitch / 2.0;
        let view = View::at(scale, Point::ZERO);
        let mut drawing = Drawing::new(view);
        let tolerance = DRAWN / scale.factor();
        // a run of teeth that reaches beyond the window is enough of either
        let made = &self.one.teeth.made;
        let new =
            if made.whole { rim(&self.new, Length::from_mm(tolerance)) } else { self.sector_with_body(tolerance) };
        drawing.region(&[trace(&new)]);
        let other = self.other(tolerance);
        drawing.fill(&[trace(&other)], Fill::Paper);
        drawing.stroke(&trace(&other), Line::Thin);
        for (centre, radius) in [(Point::ZERO, own), (Point::new(0.0, self.distance), self.distance - own)] {
            drawing.stroke(&trace(&Outline::circle(centre, radius)), Line::Centre);
        }
        drawing.stroke(&Trace::line(Point::new(0.0, low), Point::new(0.0, high)), Line::Centre);
        let [start, end] = self.line_of_action();
        drawing.stroke(&Trace::line(start, end), Line::Thin);
        let window = Rect::from_points(view.to_paper(Point::new(-half, low)), view.to_paper(Point::new(half, high)));
        let mut out = Drawing::new(view).titled(format!("{} where they meet", self.one.feature));
        out.extend(&drawing, Some(window));
        self.path(&mut out, start, end);
        (out, scale)
    }

    /// A sector's teeth with metal below them.
    fn sector_with_body(&self, tolerance: f64) -> Outline {
        let made = &self.one.teeth.made;
        let teeth = sector(&self.new, made.teeth_cut, Length::from_mm(tolerance), SectorEnd::MiddleOfSpace);
        let below = self.new.root_diameter().mm() / 2.0 - self.new.module().mm() * 3.0;
        let (Some(first), Some(last)) = (teeth.start(), teeth.end()) else { return teeth };
        let inner = |point: Point| (point.to_vec2() * (below / point.to_vec2().hypot())).to_point();
        teeth
            .then(Outline::new(vec![
                Segment::Line { from: last, to: inner(last) },
                Segment::Line { from: inner(last), to: inner(first) },
            ]))
            .close()
    }

    /// From where it touches the new wheel's base circle to where it touches the mate's.
    fn line_of_action(&self) -> [Point; 2] {
        let (sin, cos) = self.running.working_angle.radians().sin_cos();
        let start = 0.5 * self.new.base_diameter().mm() * Vec2::new(sin, cos);
        let end = Vec2::new(0.0, self.distance) - 0.5 * self.mate.base_diameter().mm() * Vec2::new(sin, cos);
        [start.to_point(), end.to_point()]
    }

    /// The part of the line on which flanks meet, its ends marked.
    fn path(&self, drawing: &mut Drawing, start: Point, end: Point) {
        let Some(path) = self.running.path else { return };
        let along = (end - start) / (end - start).hypot();
        let at = |on: Length| start + along * on.mm();
        let (from, to) = (at(path.from), at(path.to));
        drawing.stroke_in(&Trace::line(from, to), Line::Outline, Ink::Blue);
        let pitch_point = Point::new(0.0, self.pitch_radii()[0]);
        let scale = drawing.view().scale.factor();
        for (name, place, side) in [("A", from, 1.0), ("C", pitch_point, 1.0), ("E", to, -1.0)] {
            drawing.fill(&[Trace::circle(place, 0.7 / scale)], Fill::Solid(Ink::Blue));
            let anchor = if side > 0.0 { Anchor::Start } else { Anchor::End };
            let beside = place + Vec2::new(side * 2.0, 1.6) / scale;
            drawing.text(beside, Text::new(name).face(Face::SansStrong).anchor(anchor).ink(Ink::Blue));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::solve::{Solved, solve};

    const JOB: &str = include_str!("../../../../../demo/ropewalk-gear.toml");

    /// A wheel and a sector of an even and of an odd count, against a wheel and against a sector.
    fn jobs() -> Vec<String> {
        let sector = |teeth: u32| {
            JOB.replacen("kind = \"toothed rim\"", "kind = \"toothed rim\"\nwhole = false", 1)
                .replacen("\"27 teeth\",", &format!("\"27 teeth\",\n\"{teeth} teeth present\","), 1)
                .replacen("\"over the tips 72.38, caliper\"", "\"tip radius 36.25, caliper\"", 1)
        };
        let mates_sector = |job: &str| {
            job.replace("name = \"pinion\"\n", "name = \"pinion\"\nwhole = false\n")
                .replace("\"17 teeth\",", "\"17 teeth\",\n\"6 teeth present\",")
        };
        let whole = JOB.to_string();
        [sector(8), sector(7), mates_sector(&whole), mates_sector(&sector(8)), whole].to_vec()
    }

    /// In the picture the two touch and do not cut into one another.
    #[test]
    fn the_two_touch() {
        let shop = crate::shop::built_in();
        for text in jobs() {
            let (job, problems) = crate::job::read(&text, features::kinds(), &shop.instruments);
            assert_eq!(problems, [], "{text}");
            let job = job.expect("a job");
            let solved: Solved<'_> = solve(&job, &shop);
            let one = solved.designed.teeth.first().expect("teeth");
            let picture = Picture::new(one, one.teeth.meshing().expect("a mesh"));
            let metal = match one.teeth.made.whole {
                true => rim(&picture.new, Length::from_mm(1e-4)),
                false => picture.sector_with_body(1e-4),
            };
            let reach = picture.new.tip_diameter().mm() / 2.0;
            let near = |point: &Point| point.to_vec2().hypot() < reach;
            let points: Vec<Point> = picture.other(1e-4).flatten(1e-3).into_iter().filter(near).collect();
            assert!(points.len() > 20, "they reach each other");
            // turned back by 3 µm it is clear, turned on by 3 µm it cuts in
            let turned = |micrometres: f64| {
                let centre = Vec2::new(0.0, picture.distance);
                let angle = micrometres * 1e-3 / (picture.distance - picture.pitch_radii()[0]);
                points.iter().any(|point| {
                    let away = kurbo::Affine::rotate(angle) * (*point - centre);
                    metal.contains(away + centre)
                })
            };
            assert!(!turned(-3.0) && turned(3.0), "{text}");
        }
    }
}
