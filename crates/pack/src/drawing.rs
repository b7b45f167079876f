//! A drawing on paper: lines by their class, fills, hatching and text, and the SVG of it at exact size.
//!
//! Geometry is given in the part's millimetres, y upwards, and put on paper by the [`View`]; line widths, dashes, arrows
//! and text are in paper millimetres and never scale. The sheet is as large as what is drawn, unless a frame is set.

use kurbo::{Affine, BezPath, ParamCurve, PathSeg, Point, Rect, Shape, Size, Vec2};

use crate::fonts::{MONO, SANS, advance};
use crate::scale::Scale;
use crate::svg;
use crate::trace::Trace;

/// The classes of line, ISO 128-2:2020 (numbers of its table of line types and uses). Line group 0.5: wide lines
/// 0.5 mm, narrow ones 0.25 mm.
#[derive(Clone, Copy, Debug, Eq, PartialEq)]
pub enum Line {
    /// Visible outlines and edges, 01.2: continuous wide.
    Outline,
    /// Leaders, root lines, imaginary intersections, 01.1: continuous narrow.
    Thin,
    /// Dimension and extension lines, 01.1: continuous narrow.
    Dimension,
    /// Section hatching, 01.1: continuous narrow.
    Hatching,
    /// Hidden edges, 02.1: dashed narrow.
    Hidden,
    /// Centre lines, pitch circles, hole circles, 04.1: long-dashed dotted narrow.
    Centre,
    /// Adjacent parts, the shape before making, 05.1: long-dashed double-dotted narrow.
    Phantom,
}

/// What a line or a text is drawn in. Two colours only, so that sheets photocopy well.
#[derive(Clone, Copy, Debug, Default, Eq, PartialEq)]
pub enum Ink {
    #[default]
    Black,
    Quiet,
    /// What is set out on the work, as with layout dye.
    Blue,
    /// What is wrong or missing.
    Red,
}

/// What an area is tinted with, all pale enough to vanish in a photocopy.
#[derive(Clone, Copy, Debug, Eq, PartialEq)]
pub enum Fill {
    Metal,
    Paper,
    BlueWash,
    RedWash,
    /// Solid, for small marks only.
    Solid(Ink),
}

/// Heights of lettering, ISO 3098-1:2015 series, mm: the height of capitals and figures, not the font size.
#[derive(Clone, Copy, Debug, Eq, PartialEq)]
pub enum Height {
    Mm1_8,
    Mm2_5,
    Mm3_5,
    Mm5,
}

/// Where the text stands to its point, along the line of writing.
#[derive(Clone, Copy, Debug, Eq, PartialEq)]
pub enum Anchor {
    Start,
    Middle,
    End,
}

#[derive(Clone, Copy, Debug, Eq, PartialEq)]
pub enum Face {
    /// Fixed width: figures and short notes; its room on paper is known exactly.
    Mono,
    /// Proportional: sentences.
    Sans,
    SansStrong,
}

/// How the part's millimetres come to paper: the part's origin is put at `origin` (paper mm, y down), at `scale`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct View {
    pub scale: Scale,
    pub origin: Point,
}

impl View {
    pub fn at(scale: Scale, origin: Point) -> View {
        View { scale, origin }
    }

    pub fn to_paper(&self, point: Point) -> Point {
        self.affine() * point
    }

    fn affine(&self) -> Affine {
        let factor = self.scale.factor();
        Affine::new([factor, 0.0, 0.0, -factor, self.origin.x, self.origin.y])
    }
}

impl Default for View {
    fn default() -> View {
        View::at(Scale::FULL, Point::ORIGIN)
    }
}

/// A text on paper. `at` is the left, middle or right of its base line.
#[derive(Clone, Debug, PartialEq)]
pub struct Text {
    pub text: String,
    pub at: Point,
    pub height: Height,
    pub anchor: Anchor,
    pub face: Face,
    pub ink: Ink,
    /// Degrees, clockwise as seen.
    pub turn: f64,
    /// A rim of paper round the letters, so that figures stand clear of lines.
    pub halo: bool,
}

#[derive(Clone, Debug)]
pub(crate) enum Item {
    Stroke {
        trace: Trace,
        line: Line,
        ink: Ink,
        /// Where in the dash pattern the line begins, mm.
        phase: f64,
    },
    Area {
        traces: Vec<Trace>,
        fill: Fill,
        /// Marks are drawn over lines, tints under them.
        mark: bool,
    },
    Text(Text),
    /// What shows of an item through a window.
    Clipped(Rect, Box<Item>),
}

/// A sheet of paper being drawn on.
#[derive(Clone, Debug, Default)]
pub struct Drawing {
    pub(crate) items: Vec<Item>,
    pub(crate) view: View,
    frame: Option<Rect>,
    pub(crate) title: Option<String>,
}

/// Paper left round what is drawn, mm: half the widest line and a little air.
const MARGIN: f64 = 1.0;

impl Drawing {
    /// An empty drawing that grows with what is drawn.
    pub fn new(view: View) -> Drawing {
        Drawing { view, ..Drawing::default() }
    }

    /// What `draw` draws at the largest recommended scale, up to `at_most`, at which all of it, dimensions too, fits
    /// into `room` (mm); at the smallest if none does.
    pub fn fitting(room: Size, at_most: Scale, draw: impl Fn(Scale) -> Drawing) -> (Drawing, Scale) {
        let mut smallest = (Drawing::default(), at_most);
        for scale in Scale::up_to(at_most) {
            let drawing = draw(scale);
            let size = drawing.size();
            smallest = (drawing, scale);
            if size.width <= room.width && size.height <= room.height {
                break;
            }
        }
        smallest
    }

    /// A drawing of fixed size, its origin at the top left.
    pub fn framed(size: Size) -> Drawing {
        Drawing { frame: Some(Rect::from_origin_size(Point::ORIGIN, size)), ..Drawing::default() }
    }

    /// Says what is shown, for those who cannot see it.
    pub fn titled(mut self, title: impl Into<String>) -> Drawing {
        self.title = Some(title.into());
        self
    }

    /// What is drawn from here on uses this view: a second view of the part, or a detail at another scale.
    pub fn set_view(&mut self, view: View) {
        self.view = view;
    }

    pub fn view(&self) -> View {
        self.view
    }

    pub fn stroke(&mut self, trace: &Trace, line: Line) {
        self.stroke_in(trace, line, Ink::Black);
    }

    pub fn stroke_in(&mut self, trace: &Trace, line: Line, ink: Ink) {
        let trace = trace.mapped(self.view.affine());
        self.stroke_on_paper(trace, line, ink);
    }

    /// A plate in view: tinted within the traces (holes are traces too), outlined.
    pub fn region(&mut self, traces: &[Trace]) {
        self.fill(traces, Fill::Metal);
        for trace in traces {
            self.stroke(trace, Line::Outline);
        }
    }

    /// Tints what an odd number of the traces enclose.
    pub fn fill(&mut self, traces: &[Trace], fill: Fill) {
        let traces = traces.iter().map(|t| t.mapped(self.view.affine())).collect();
        self.items.push(Item::Area { traces, fill, mark: false });
    }

    /// Section hatching of what an odd number of the traces enclose: narrow lines `spacing` paper mm apart, at `angle`
    /// radians to the horizontal; 45° and its mirror image for two parts that touch (ISO 128-50:2001, from memory).
    pub fn hatch(&mut self, traces: &[Trace], angle: f64, spacing: f64) {
        let mut area = BezPath::new();
        for trace in traces {
            area.extend(trace.mapped(self.view.affine()).bezier());
        }
        for (from, to) in hatching(&area, -angle, spacing) {
            self.stroke_on_paper(Trace::line(from, to), Line::Hatching, Ink::Black);
        }
    }

    /// A centre mark: two centre lines crossing in the middle of a long dash, `over` paper mm beyond the radius.
    pub fn centre_mark(&mut self, centre: Point, radius: f64, over: f64) {
        let middle = self.view.to_paper(centre);
        let arm = radius * self.view.scale.factor() + over;
        for quarter in 0..4 {
            let end = middle + arm * Vec2::from_angle(f64::from(quarter) * std::f64::consts::FRAC_PI_2);
            self.centre_line_from(middle, end);
        }
    }

    /// A centre line of the part, from `a` to `b` and `over` paper mm beyond each.
    pub fn centre_line(&mut self, a: Point, b: Point, over: f64) {
        let (a, b) = (self.view.to_paper(a), self.view.to_paper(b));
        let along = (b - a) * (1.0 / (b - a).hypot().max(f64::MIN_POSITIVE));
        let middle = a.midpoint(b);
        self.centre_line_from(middle, b + over * along);
        self.centre_line_from(middle, a - over * along);
    }

    /// Text at a point of the part; `text.at` is replaced.
    pub fn text(&mut self, at: Point, text: Text) {
        let at = self.view.to_paper(at);
        self.text_on_paper(Text { at, ..text });
    }

    pub fn text_on_paper(&mut self, text: Text) {
        if !text.text.trim().is_empty() {
            self.items.push(Item::Text(text));
        }
    }

    /// Draws another drawing on the same paper, or what shows of it through a window.
    pub fn extend(&mut self, other: &Drawing, window: Option<Rect>) {
        for item in other.items.iter().cloned() {
            match window {
                None => self.items.push(item),
                Some(window) if item.bounds().inflate(1.0, 1.0).overlaps(window) => {
                    self.items.push(Item::Clipped(window, Box::new(item)));
                }
                Some(_) => {}
            }
        }
    }

    /// Draws a trace that is in paper mm, y down.
    pub fn stroke_on_paper(&mut self, trace: Trace, line: Line, ink: Ink) {
        self.items.push(Item::Stroke { trace, line, ink, phase: 0.0 });
    }

    pub(crate) fn mark_on_paper(&mut self, trace: Trace, ink: Ink) {
        self.items.push(Item::Area { traces: vec![trace], fill: Fill::Solid(ink), mark: true });
    }

    /// What is drawn takes this much paper; paper mm, y down.
    pub fn content(&self) -> Rect {
        self.items.iter().map(Item::bounds).reduce(|a, b| a.union(b)).unwrap_or_default()
    }

    /// The paper: the frame, or what is drawn and a little margin.
    pub fn paper(&self) -> Rect {
        self.frame.unwrap_or_else(|| self.content().inflate(MARGIN, MARGIN))
    }

    pub fn size(&self) -> Size {
        self.paper().size()
    }

    /// The drawing as SVG, its width and height in mm, its user unit 1 mm.
    pub fn to_svg(&self) -> String {
        svg::write(self)
    }

    /// As [`Drawing::to_svg`], with the letters as outlines: it looks and fits the same where the fonts are not installed.
    pub fn to_svg_outlined(&self) -> String {
        svg::write_outlined(self)
    }

    fn centre_line_from(&mut self, middle: Point, end: Point) {
        let dashes = Line::Centre.dashes();
        let long = dashes.first().copied().unwrap_or(0.0);
        // A half line with no room for a dot beyond its dash is drawn continuous, as is usual on small holes.
        let room = (end - middle).hypot() > long / 2.0 + 1.5;
        self.items.push(Item::Stroke {
            trace: Trace::line(middle, end),
            line: if room { Line::Centre } else { Line::Thin },
            ink: Ink::Black,
            phase: if room { long / 2.0 } else { 0.0 },
        });
    }
}

impl Face {
    pub(crate) fn family(self) -> &'static str {
        match self {
            Face::Mono => MONO,
            Face::Sans | Face::SansStrong => SANS,
        }
    }
}

impl Line {
    /// Width in mm.
    pub fn width(self) -> f64 {
        match self {
            Line::Outline => 0.5,
            Line::Thin | Line::Dimension | Line::Hatching | Line::Hidden | Line::Centre | Line::Phantom => 0.25,
        }
    }

    /// Lengths of dashes and gaps by turns, mm. In line widths: dash 12, long dash 24, dot 0.5, gap 3.
    ///
    /// ISO 128-20:1996 table 3 (from memory).
    pub fn dashes(self) -> &'static [f64] {
        match self {
            Line::Outline | Line::Thin | Line::Dimension | Line::Hatching => &[],
            Line::Hidden => &[3.0, 0.75],
            Line::Centre => &[6.0, 0.75, 0.125, 0.75],
            Line::Phantom => &[6.0, 0.75, 0.125, 0.75, 0.125, 0.75],
        }
    }
}

impl Height {
    pub fn mm(self) -> f64 {
        match self {
            Height::Mm1_8 => 1.8,
            Height::Mm2_5 => 2.5,
            Height::Mm3_5 => 3.5,
            Height::Mm5 => 5.0,
        }
    }

    /// The font size that gives capitals this high, mm.
    pub fn font_size(self) -> f64 {
        self.mm() / crate::fonts::CAP_HEIGHT
    }
}

impl Text {
    /// Black figures 2.5 mm high, written level from the point, with a halo.
    pub fn new(text: impl Into<String>) -> Text {
        Text {
            text: text.into(),
            at: Point::ORIGIN,
            height: Height::Mm2_5,
            anchor: Anchor::Start,
            face: Face::Mono,
            ink: Ink::Black,
            turn: 0.0,
            halo: true,
        }
    }

    pub fn at(self, at: Point) -> Text {
        Text { at, ..self }
    }

    pub fn anchor(self, anchor: Anchor) -> Text {
        Text { anchor, ..self }
    }

    pub fn height(self, height: Height) -> Text {
        Text { height, ..self }
    }

    pub fn face(self, face: Face) -> Text {
        Text { face, ..self }
    }

    pub fn ink(self, ink: Ink) -> Text {
        Text { ink, ..self }
    }

    pub fn turn(self, turn: f64) -> Text {
        Text { turn, ..self }
    }

    /// Width on paper, mm; exact for [`Face::Mono`], without kerning else.
    pub fn width(&self) -> f64 {
        self.width_of(&self.text)
    }

    pub(crate) fn width_of(&self, part: &str) -> f64 {
        let strong = self.face == Face::SansStrong;
        let ems: f64 = part.chars().map(|c| advance(self.face.family(), strong, c)).sum();
        ems * self.height.font_size()
    }

    /// Where its line begins, to its point.
    pub(crate) fn left(&self) -> f64 {
        match self.anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => -self.width() / 2.0,
            Anchor::End => -self.width(),
        }
    }

    /// The paper it takes; letters may hang a quarter of their height below the base line.
    pub fn bounds(&self) -> Rect {
        let width = self.width();
        let left = self.left();
        let level = Rect::new(left, -self.height.mm(), left + width, 0.25 * self.height.mm());
        let put = Affine::translate(self.at.to_vec2()) * Affine::rotate(self.turn.to_radians());
        put.transform_rect_bbox(level)
    }
}

impl Item {
    pub(crate) fn bounds(&self) -> Rect {
        match self {
            Item::Stroke { trace, .. } => trace.bounds(),
            Item::Area { traces, .. } => traces.iter().map(Trace::bounds).reduce(|a, b| a.union(b)).unwrap_or_default(),
            Item::Text(text) => text.bounds(),
            Item::Clipped(window, item) => item.bounds().intersect(*window),
        }
    }
}

/// The lines that hatch an area (even-odd), each between two crossings of its boundary.
fn hatching(area: &BezPath, angle: f64, spacing: f64) -> Vec<(Point, Point)> {
    let level = Affine::rotate(-angle) * area;
    let bounds = level.bounding_box();
    let back = Affine::rotate(angle);
    let segments: Vec<PathSeg> = level.segments().collect();
    let first = (bounds.y0 / spacing).ceil() as i64;
    let last = (bounds.y1 / spacing).floor() as i64;
    let mut lines = Vec::new();
    for row in first..=last {
        // A hair off the multiple, so that a row seldom runs along an edge or through a corner.
        let y = row as f64 * spacing + 1e-4;
        let ray = kurbo::Line::new((bounds.x0 - 1.0, y), (bounds.x1 + 1.0, y));
        let mut crossings: Vec<f64> = segments
            .iter()
            .flat_map(|segment| segment.intersect_line(ray).into_iter().map(|hit| segment.eval(hit.segment_t).x))
            .collect();
        crossings.sort_by(f64::total_cmp);
        for pair in crossings.chunks_exact(2) {
            if pair[1] - pair[0] > 0.1 {
                lines.push((back * Point::new(pair[0], y), back * Point::new(pair[1], y)));
            }
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::FRAC_PI_4;

    #[test]
    fn hatching_covers_the_area_between_its_boundaries() {
        // A ring: the hatched length times the spacing tends to the area.
        let ring = [Trace::circle(Point::ORIGIN, 20.0), Trace::circle(Point::ORIGIN, 12.0)];
        let mut drawing = Drawing::default();
        drawing.hatch(&ring, FRAC_PI_4, 0.05);
        let length: f64 = drawing
            .items
            .iter()
            .map(|item| match item {
                Item::Stroke { trace, .. } => (trace.end() - trace.start).hypot(),
                Item::Area { .. } | Item::Text(_) | Item::Clipped(..) => 0.0,
            })
            .sum();
        let area = std::f64::consts::PI * (20.0f64.powi(2) - 12.0f64.powi(2));
        assert!((length * 0.05 / area - 1.0).abs() < 2e-3, "{length}");
    }

    #[test]
    fn the_paper_is_as_large_as_what_is_drawn_at_scale() {
        let mut drawing =
            Drawing::new(View::at(Scale::fit(Size::new(40.0, 10.0), Size::new(90.0, 90.0)), Point::ORIGIN));
        drawing.stroke(&Trace::rectangle(Rect::new(0.0, 0.0, 40.0, 10.0)), Line::Outline);
        let size = drawing.size();
        assert!((size.width - (80.0 + 2.0 * MARGIN)).abs() < 1e-9);
        assert!((size.height - (20.0 + 2.0 * MARGIN)).abs() < 1e-9);
    }

    #[test]
    fn letters_are_as_high_as_the_standard_says() {
        // ISO 3098-1:2015, nominal sizes h.
        for (height, h) in [(Height::Mm1_8, 1.8), (Height::Mm2_5, 2.5), (Height::Mm3_5, 3.5), (Height::Mm5, 5.0)] {
            assert!((height.font_size() * 0.66 - h).abs() < 1e-12);
        }
    }
}
