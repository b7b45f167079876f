//! A family that a drawing asks for and that is not there would be replaced in silence; so the PDF is asked what it holds.

#![expect(clippy::unwrap_used, reason = "tests")]

use std::collections::BTreeSet;

use kurbo::Point;
use lopdf::{Document, Object};
use pack::{Block, Drawing, Face, Pack, Sheet, Text, to_pdf};

#[test]
fn a_drawing_is_set_in_the_fonts_it_asks_for() {
    for (text, face, expected) in [
        ("R 12.5 ±0.02", Face::Mono, "SourceCodePro-Regular"),
        ("⌀", Face::Mono, "DejaVuSansMono"),
        ("½", Face::Mono, "SourceSans3-Regular"),
        ("Full size", Face::Sans, "SourceSans3-Regular"),
        ("Full size", Face::SansStrong, "SourceSans3-Semibold"),
    ] {
        let mut drawing = Drawing::default();
        drawing.text(Point::ORIGIN, Text::new(text).face(face));
        // The page number is in the sans.
        let mut allowed = BTreeSet::from(["SourceSans3-Regular".to_string()]);
        allowed.insert(expected.into());
        assert_eq!(fonts(drawing), allowed, "{text}");
    }
}

/// A sign from another family must not take the figures beside it along.
#[test]
fn a_sign_leaves_the_figures_beside_it_in_their_own_font() {
    let mut drawing = Drawing::default();
    drawing.text(Point::ORIGIN, Text::new("2 × ⌀ 0.4375"));
    let expected = ["DejaVuSansMono", "SourceCodePro-Regular", "SourceSans3-Regular"];
    assert_eq!(fonts(drawing), expected.map(String::from).into());
}

/// The names of the fonts in the PDF of a page with one drawing, without the tags of their subsets.
fn fonts(drawing: Drawing) -> BTreeSet<String> {
    let pack = Pack {
        sheets: vec![Sheet { blocks: vec![Block::figure(drawing, "")], ..Sheet::default() }],
        ..Pack::default()
    };
    let document = Document::load_mem(&to_pdf(&pack).unwrap()).unwrap();
    document
        .objects
        .values()
        .filter_map(|object| object.as_dict().ok())
        .filter_map(|dict| dict.get(b"FontName").ok())
        .map(|name: &Object| String::from_utf8_lossy(name.as_name().unwrap()).into_owned())
        .map(|name| name.split('+').nth(1).unwrap_or(&name).to_string())
        .collect()
}
