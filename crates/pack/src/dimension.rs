//! Dimensions by ISO 129-1:2018: lines, arrowheads, shoulders and figures, placed by hand or where there is room.

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use kurbo::{Point, Rect, Vec2};

use crate::drawing::{Anchor, Drawing, Height, Ink, Line, Text};
use crate::place;
use crate::trace::Trace;

/// Length of an arrowhead, mm: twelve widths of a narrow line.
const ARROW: f64 = 3.0;
/// Its width over its length: closed, filled, 15° included (ISO 129-1:2018, terminators).
const ARROW_SLIMNESS: f64 = 0.263;
/// Extension lines start this far from the outline and run this far beyond the dimension line, mm.
const GAP: f64 = 1.0;
const OVERSHOOT: f64 = 1.75;
/// Figures stand this far above their line, mm.
const CLEAR: f64 = 1.3;

/// What a dimension says; a second line, such as the limits, stands below the dimension line.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Label {
    pub text: String,
    pub below: Option<String>,
    pub ink: Ink,
}

/// Which distance between two points a linear dimension shows.
#[derive(Clone, Copy, Debug, Eq, PartialEq)]
pub enum Along {
    Horizontal,
    Vertical,
    Aligned,
}

/// Where a leader goes: out at `angle` (radians, counter-clockwise, in the part) for `reach` paper mm, or nearly so where
/// figures stand there; or wherever there is room beside what is already drawn. A negative reach comes from inside the arc.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Aim {
    At { angle: f64, reach: f64 },
    Free,
}

impl Label {
    pub fn new(text: impl Into<String>) -> Label {
        Label { text: text.into(), ..Label::default() }
    }

    pub fn below(mut self, below: impl Into<String>) -> Label {
        self.below = Some(below.into());
        self
    }

    pub fn ink(mut self, ink: Ink) -> Label {
        self.ink = ink;
        self
    }

    pub(crate) fn width(&self) -> f64 {
        let below = self.below.as_deref().map_or(0.0, |b| figures(b).width());
        figures(&self.text).width().max(below)
    }

    fn with_sign(mut self, sign: &str) -> Label {
        if !self.text.contains(sign) {
            self.text = format!("{sign} {}", self.text);
        }
        self
    }
}

impl<T: Into<String>> From<T> for Label {
    fn from(text: T) -> Label {
        Label::new(text)
    }
}

impl Drawing {
    /// The distance between two points of the part.
    ///
    /// The dimension line lies `offset` paper mm beyond the farther of the points: above or right of them if positive,
    /// below or left if negative; for [`Along::Aligned`], left of the way from `a` to `b` if positive.
    pub fn linear(&mut self, a: Point, b: Point, along: Along, offset: f64, label: impl Into<Label>) {
        let label = label.into();
        let (a, b) = (self.view.to_paper(a), self.view.to_paper(b));
        let (a, b) = match along {
            Along::Horizontal if a.x > b.x => (b, a),
            Along::Vertical if a.y < b.y => (b, a),
            Along::Horizontal | Along::Vertical | Along::Aligned => (a, b),
        };
        let (along, across) = match along {
            Along::Horizontal => (Vec2::new(1.0, 0.0), Vec2::new(0.0, -1.0)),
            Along::Vertical => (Vec2::new(0.0, -1.0), Vec2::new(1.0, 0.0)),
            Along::Aligned => {
                let unit = unit(b - a);
                (unit, Vec2::new(unit.y, -unit.x))
            }
        };
        let height = |p: Point| p.to_vec2().dot(across);
        let farther = if offset >= 0.0 { height(a).max(height(b)) } else { height(a).min(height(b)) };
        let level = farther + offset;
        let on_line = |p: Point| p + (level - height(p)) * across;
        for p in [a, b] {
            let away = (level - height(p)).signum();
            if (level - height(p)).abs() > GAP {
                let from = p + GAP * away * across;
                self.thin(from, on_line(p) + OVERSHOOT * away * across);
            }
        }
        self.dimension_line(on_line(a), on_line(b), along, &label);
    }

    /// A radius, its arrow on the arc: `R` is set before the label unless it says so itself.
    pub fn radius(&mut self, centre: Point, radius: f64, aim: Aim, label: impl Into<Label>) {
        self.leader_to_arc(centre, radius, aim, label.into().with_sign("R"));
    }

    /// A diameter, its arrow on the circle: `⌀` is set before the label unless it says so itself.
    pub fn diameter(&mut self, centre: Point, radius: f64, aim: Aim, label: impl Into<Label>) {
        self.leader_to_arc(centre, radius, aim, label.into().with_sign("⌀"));
    }

    /// A thread, its arrow on the circle of its core: its name says the diameter.
    pub fn thread(&mut self, centre: Point, radius: f64, aim: Aim, label: impl Into<Label>) {
        self.leader_to_arc(centre, radius, aim, label.into());
    }

    /// A note at a point of the part.
    pub fn note(&mut self, at: Point, aim: Aim, label: impl Into<Label>) {
        self.leader_to_arc(at, 0.0, aim, label.into());
    }

    /// The angle from `start` to `end` (radians, counter-clockwise) about `centre`, `offset` paper mm outside the part
    /// radius `from`, where the extension lines begin.
    pub fn angular(
        &mut self,
        centre: Point,
        (start, end): (f64, f64),
        from: f64,
        offset: f64,
        label: impl Into<Label>,
    ) {
        let label = label.into();
        let middle = self.view.to_paper(centre);
        let inner = from * self.view.scale.factor();
        let radius = inner + offset;
        let sweep = (end - start).rem_euclid(TAU);
        let spot = |angle: f64, r: f64| middle + r * seen(angle);
        for angle in [start, end] {
            self.thin(spot(angle, inner + GAP), spot(angle, radius + OVERSHOOT));
        }
        // An arrowhead on an arc lies along the chord of its own length.
        let lean = ARROW / (2.0 * radius.max(ARROW));
        let inside = sweep * radius > 3.0 * ARROW;
        let beyond = if inside { 0.0 } else { 2.0 * ARROW / radius };
        self.stroke_on_paper(
            Trace::arc(middle, radius, -(start - beyond), -(sweep + 2.0 * beyond)),
            Line::Dimension,
            Ink::Black,
        );
        let way = if inside { 1.0 } else { -1.0 };
        self.arrow(spot(start, radius), seen(start + way * lean - way * FRAC_PI_2));
        self.arrow(spot(start + sweep, radius), seen(start + sweep - way * lean + way * FRAC_PI_2));
        let at = start + sweep / 2.0;
        let out = seen(at);
        let anchor = if out.x > 0.3 {
            Anchor::Start
        } else if out.x < -0.3 {
            Anchor::End
        } else {
            Anchor::Middle
        };
        let height = Height::Mm2_5.mm();
        let room = radius + OVERSHOOT;
        let base = middle + room * out + Vec2::new(0.0, height / 2.0 + out.y * height / 2.0);
        self.text_on_paper(figures(&label.text).at(base).anchor(anchor).ink(label.ink));
        if let Some(below) = &label.below {
            let down = Vec2::new(0.0, height + 2.0 * CLEAR);
            self.text_on_paper(figures(below).at(base + down).anchor(anchor).ink(label.ink));
        }
    }

    /// A line with an arrow at each end and its figures above; where there is no room between, beyond `b`.
    fn dimension_line(&mut self, a: Point, b: Point, along: Vec2, label: &Label) {
        let length = (b - a).hypot();
        let width = label.width();
        let between = length >= width + 2.0 * ARROW + 1.0;
        let arrows_inside = length >= 2.0 * ARROW + 1.0;
        let (way, tail) = if arrows_inside { (1.0, 0.0) } else { (-1.0, 2.0 * ARROW) };
        let lead = if arrows_inside { 1.0 } else { 2.0 * ARROW };
        let far = if between { tail } else { lead + width + 1.0 };
        self.thin(a - tail * along, b + far * along);
        self.arrow(a, -way * along);
        self.arrow(b, way * along);
        let middle = if between { a.midpoint(b) } else { b + (lead + 0.5 + width / 2.0) * along };
        self.written_along(middle, along, label);
    }

    fn written_along(&mut self, middle: Point, along: Vec2, label: &Label) {
        // Readable from below or from the right.
        let mut turn = along.atan2();
        if turn > FRAC_PI_2 - 1e-9 {
            turn -= PI;
        } else if turn < -FRAC_PI_2 - 1e-9 {
            turn += PI;
        }
        let up = Vec2::from_angle(turn - FRAC_PI_2);
        let put =
            |text: &str, at: Point| figures(text).at(at).anchor(Anchor::Middle).turn(turn.to_degrees()).ink(label.ink);
        self.text_on_paper(put(&label.text, middle + CLEAR * up));
        if let Some(below) = &label.below {
            let down = CLEAR + Height::Mm2_5.mm();
            self.text_on_paper(put(below, middle - down * up));
        }
    }

    fn leader_to_arc(&mut self, centre: Point, radius: f64, aim: Aim, label: Label) {
        let (angle, reach) = match aim {
            Aim::At { angle, reach } => place::clearest(self, centre, radius, (angle, reach), &label),
            Aim::Free => place::freest(self, centre, radius, &label),
        };
        let leader = Leader::new(self, centre, radius, angle, reach, (&label, label.width()));
        self.thin(leader.tip, leader.elbow);
        self.thin(leader.elbow, leader.end);
        self.arrow(leader.tip, leader.tip - leader.elbow);
        let anchor = if leader.end.x >= leader.elbow.x { Anchor::Start } else { Anchor::End };
        let inwards = if anchor == Anchor::Start { 1.0 } else { -1.0 };
        let base = leader.elbow + Vec2::new(inwards, -CLEAR);
        self.text_on_paper(figures(&label.text).at(base).anchor(anchor).ink(label.ink));
        if let Some(below) = &label.below {
            let down = Vec2::new(0.0, 2.0 * CLEAR + Height::Mm2_5.mm());
            self.text_on_paper(figures(below).at(base + down).anchor(anchor).ink(label.ink));
        }
    }

    fn thin(&mut self, from: Point, to: Point) {
        self.stroke_on_paper(Trace::line(from, to), Line::Dimension, Ink::Black);
    }

    /// A closed, filled arrowhead with its point at `tip`, pointing along `way`.
    fn arrow(&mut self, tip: Point, way: Vec2) {
        let way = unit(way);
        let side = ARROW * ARROW_SLIMNESS / 2.0 * Vec2::new(-way.y, way.x);
        let back = tip - ARROW * way;
        self.mark_on_paper(Trace::polygon([tip, back + side, back - side]), Ink::Black);
    }
}

/// The lines of a leader on paper and the room of its figures.
pub(crate) struct Leader {
    pub tip: Point,
    pub elbow: Point,
    pub end: Point,
    pub room: Rect,
}

impl Leader {
    /// For a label, and how wide it is.
    pub fn new(
        drawing: &Drawing,
        centre: Point,
        radius: f64,
        angle: f64,
        reach: f64,
        (label, width): (&Label, f64),
    ) -> Leader {
        let out = seen(angle);
        let tip = drawing.view.to_paper(centre) + radius * drawing.view.scale.factor() * out;
        let elbow = tip + reach * out;
        let side = if out.x * reach.signum() >= 0.0 { 1.0 } else { -1.0 };
        let end = elbow + Vec2::new(side * (width + 2.0), 0.0);
        let height = Height::Mm2_5.mm();
        let below = if label.below.is_some() { height + 2.0 * CLEAR } else { 0.5 };
        let room = Rect::from_points(elbow, end);
        let room = Rect::new(room.x0, room.y0 - height - 2.0 * CLEAR, room.x1, room.y1 + below);
        Leader { tip, elbow, end, room }
    }
}

fn figures(text: &str) -> Text {
    Text::new(text)
}

/// The direction on paper, y down, of an angle in the part.
fn seen(angle: f64) -> Vec2 {
    Vec2::new(angle.cos(), -angle.sin())
}

fn unit(vector: Vec2) -> Vec2 {
    let length = vector.hypot();
    if length > 0.0 { vector / length } else { Vec2::new(1.0, 0.0) }
}
