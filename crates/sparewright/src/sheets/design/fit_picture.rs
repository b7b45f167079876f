//! A fit in a picture: hole and shaft as bands of what they may measure, every way to one scale, much enlarged.

use design::joint::{Body, Joint, Reckoned};
use kurbo::{Point, Size};
use pack::{Anchor, Drawing, Face, Fill, Height, Ink, Line, Text, Trace};
use part::Extent;
use quantity::{Length, Unit, print};

use crate::designed::words;

// Paper millimetres.
const WIDTH: f64 = 171.0;
const TALL: f64 = 23.0;
const HEAD: f64 = 7.0;
const FOOT: f64 = 10.0;
const BAND: f64 = 15.0;
/// From the middle of a panel to the bands on either side.
const APART: f64 = 1.5;
/// Figures at the ends of a band stand at least this far from one another.
const LEADING: f64 = 3.4;

/// The picture, and how many times it is enlarged.
pub fn fit_picture(joint: &Joint, titles: &[String], unit: Unit) -> (Drawing, u32) {
    let scale = Ruler::over(joint);
    let mut drawing = Drawing::framed(Size::new(WIDTH, HEAD + TALL + FOOT)).titled("the fit, enlarged");
    let panel = WIDTH / joint.ways.len().max(1) as f64;
    for (index, way) in joint.ways.iter().enumerate() {
        let middle = panel * (index as f64 + 0.5);
        let title = titles.get(index).map_or("", String::as_str);
        write(&mut drawing, title, Point::new(middle, 3.2), Anchor::Middle, Face::SansStrong, Ink::Black);
        basic(&mut drawing, way, middle, &scale);
        band(&mut drawing, way.way.hole, &joint.hub, (middle, -1.0), &scale, unit);
        band(&mut drawing, way.way.shaft, &joint.shaft, (middle, 1.0), &scale, unit);
        let foot = Point::new(middle, HEAD + TALL + FOOT - 0.8);
        let between = words::clearance(way.clearance, unit);
        write(&mut drawing, &between, foot, Anchor::Middle, Face::Sans, Ink::Black);
    }
    // to two figures: it is told, not measured by
    let tens = 10f64.powf(scale.mm_per_mm.log10().floor() - 1.0).max(1.0);
    (drawing, ((scale.mm_per_mm / tens).round() * tens) as u32)
}

/// Sizes to heights on paper.
struct Ruler {
    most: Length,
    mm_per_mm: f64,
}

impl Ruler {
    /// From the smallest to the largest size of any way.
    fn over(joint: &Joint) -> Ruler {
        let sizes = || {
            joint.ways.iter().flat_map(|way| {
                let (hole, shaft) = (way.way.hole.ends(), way.way.shaft.ends());
                [hole.0, hole.1, shaft.0, shaft.1, way.way.basic]
            })
        };
        let least = sizes().reduce(Length::min).unwrap_or(Length::ZERO);
        let most = sizes().reduce(Length::max).unwrap_or(Length::ZERO);
        // where nothing differs any scale will do
        let range = (most - least).mm().max(1e-4);
        Ruler { most, mm_per_mm: TALL / range }
    }

    fn height(&self, size: Length) -> f64 {
        HEAD + (self.most - size).mm() * self.mm_per_mm
    }
}

/// The line the limits are counted from.
fn basic(drawing: &mut Drawing, way: &Reckoned, middle: f64, scale: &Ruler) {
    let y = scale.height(way.way.basic);
    let half = APART + BAND;
    let line = Trace::line(Point::new(middle - half, y), Point::new(middle + half, y));
    drawing.stroke_on_paper(line, Line::Centre, Ink::Quiet);
}

/// One half: blue where it is made, tinted where it stays; thick where it was read, dashed where it is only supposed.
fn band(drawing: &mut Drawing, extent: Extent, body: &Body, (middle, side): (f64, f64), scale: &Ruler, unit: Unit) {
    let (smallest, largest) = extent.ends();
    let (top, bottom) = (scale.height(largest), scale.height(smallest));
    let (near, far) = (middle + side * APART, middle + side * (APART + BAND));
    let corners = [(near, top), (far, top), (far, bottom), (near, bottom)].map(|(x, y)| Point::new(x, y));
    let outline = Trace::polygon(corners);
    // areas are given in the part's millimetres, whose y goes up
    let area = Trace::polygon(corners.map(|corner| Point::new(corner.x, -corner.y)));
    let (fill, line, ink) = match extent {
        Extent::Within { .. } if body.is_made() => (Fill::BlueWash, Line::Outline, Ink::Blue),
        Extent::Within { .. } => (Fill::Metal, Line::Hidden, Ink::Black),
        Extent::Read(_) => (Fill::Metal, Line::Thin, Ink::Black),
    };
    drawing.fill(&[area], fill);
    drawing.stroke_on_paper(outline, line, ink);
    if let Extent::Read(read) = extent {
        let y = scale.height(read.value);
        drawing.stroke_on_paper(Trace::line(Point::new(near, y), Point::new(far, y)), Line::Outline, Ink::Black);
    }
    let anchor = if side < 0.0 { Anchor::End } else { Anchor::Start };
    let x = far + side * 1.2;
    let mut figure = |text: &str, y: f64| write(drawing, text, Point::new(x, y + 0.9), anchor, Face::Mono, Ink::Black);
    let size = |length: Length| print::figures(length, unit, 3);
    match extent {
        Extent::Within { .. } => {
            let spread = ((LEADING - (bottom - top)) / 2.0).max(0.0);
            figure(&size(largest), top - spread);
            figure(&size(smallest), bottom + spread);
        }
        Extent::Read(read) => {
            let y = scale.height(read.value);
            figure(&size(read.value), y - LEADING / 2.0);
            figure(&format!("± {}", size(extent.reading().unwrap_or(Length::ZERO))), y + LEADING / 2.0);
        }
    }
    let foot = Point::new((near + far) / 2.0, HEAD + TALL + 4.6);
    write(drawing, body.called.trim_start_matches("the "), foot, Anchor::Middle, Face::Sans, Ink::Quiet);
}

fn write(drawing: &mut Drawing, text: &str, at: Point, anchor: Anchor, face: Face, ink: Ink) {
    let height = if face == Face::Mono { Height::Mm1_8 } else { Height::Mm2_5 };
    let text = Text::new(text).at(at).anchor(anchor).height(height).face(face).ink(ink);
    drawing.text_on_paper(Text { halo: true, ..text });
}
