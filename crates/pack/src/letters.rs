//! Letters as outlines, for drawings that must look the same where their fonts are not.

use std::fmt::Write as _;

use ttf_parser::OutlineBuilder;

use crate::drawing::{Face, Text};
use crate::fonts::{advance, cut_for};

/// The outlines of a text as SVG path data, mm, its point at the origin; letters that no font has are left out.
pub(crate) fn outlined(text: &Text) -> String {
    let size = text.height.font_size();
    let (family, strong) = (text.face.family(), text.face == Face::SansStrong);
    let mut pen = Pen { data: String::new(), x: text.left(), scale: 0.0 };
    for letter in text.text.chars() {
        if let Some(cut) = cut_for(family, strong, letter) {
            let face = cut.ttf();
            pen.scale = size / f64::from(face.units_per_em());
            if let Some(glyph) = face.glyph_index(letter) {
                face.outline_glyph(glyph, &mut pen);
            }
        }
        pen.x += size * advance(family, strong, letter);
    }
    pen.data
}

/// Draws one glyph after the other: font units with y upwards become mm with y down.
struct Pen {
    data: String,
    x: f64,
    scale: f64,
}

impl Pen {
    fn put(&mut self, command: char, points: &[(f32, f32)]) {
        self.data.push(command);
        for (index, (x, y)) in points.iter().enumerate() {
            let gap = if index > 0 { " " } else { "" };
            let (x, y) = (self.x + f64::from(*x) * self.scale, -f64::from(*y) * self.scale);
            // writing to a string does not fail
            let _ = write!(self.data, "{gap}{x:.3} {y:.3}");
        }
    }
}

impl OutlineBuilder for Pen {
    fn move_to(&mut self, x: f32, y: f32) {
        self.put('M', &[(x, y)]);
    }

    fn line_to(&mut self, x: f32, y: f32) {
        self.put('L', &[(x, y)]);
    }

    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        self.put('Q', &[(x1, y1), (x, y)]);
    }

    fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
        self.put('C', &[(x1, y1), (x2, y2), (x, y)]);
    }

    fn close(&mut self) {
        self.data.push('Z');
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::{Anchor, Height};
    use kurbo::{BezPath, Shape};

    /// Capitals are as high as ISO 3098-1 has them, and the letters keep within the width that is reckoned for them.
    #[test]
    fn outlines_stand_where_the_text_would() {
        for face in [Face::Mono, Face::Sans, Face::SansStrong] {
            for anchor in [Anchor::Start, Anchor::Middle, Anchor::End] {
                let text = Text::new("HIT 14½ ⌀").face(face).height(Height::Mm2_5).anchor(anchor);
                let path = BezPath::from_svg(&outlined(&text)).expect("path data");
                let (bounds, room) = (path.bounding_box(), text.bounds());
                assert!(bounds.x0 > room.x0 - 0.2 && bounds.x1 < room.x1 + 0.2, "{bounds:?} {room:?}");
                let capital = BezPath::from_svg(&outlined(&Text { text: "H".into(), ..text })).expect("path data");
                assert!((capital.bounding_box().height() - 2.5).abs() < 0.05, "{:?}", capital.bounding_box());
            }
        }
    }
}
