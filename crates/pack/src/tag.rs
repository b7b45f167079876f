//! Labels to be cut out and tied to pieces, several on a page: a title, a number, a mark, named lines, a small picture.

use kurbo::{Point, Rect, Size, Vec2};

use crate::drawing::{Anchor, Drawing, Face, Fill, Height, Ink, Line, Text, View};
use crate::scale::Scale;
use crate::sheet::{Block, Orientation, Paper, Sheet};
use crate::trace::Trace;

/// One label.
#[derive(Clone, Debug, Default)]
pub struct Tag {
    pub title: String,
    /// Large, in the corner: "2".
    pub number: String,
    /// Small below it: "spare of 4".
    pub under_number: String,
    /// In bold, below the title.
    pub mark: String,
    /// The mark tells of something wrong.
    pub wrong: bool,
    /// Names and what belongs to them, the most needed first: what does not fit is cut from the end.
    pub rows: Vec<(String, String)>,
    /// In the part's mm, made as small as it must be: no drawing to measure from.
    pub picture: Vec<Trace>,
    /// At the foot.
    pub foot: String,
}

/// Labels for paper of one size.
#[derive(Clone, Debug, Default)]
pub struct Tags {
    pub title: String,
    pub tags: Vec<Tag>,
    pub paper: Paper,
}

/// A label, mm: two side by side and three below one another leave a margin on A4 and on Letter.
pub const TAG: Size = Size::new(92.0, 78.0);
const COLUMNS: usize = 2;
const ROWS: usize = 3;
/// From the top of the page to the first label: the running head stands there.
const HEAD: f64 = 22.0;
/// Air between the edge and what is written, mm.
const AIR: f64 = 3.6;
/// Room for the number, and for the picture below it, mm.
const CORNER: Size = Size::new(20.0, 11.5);
const PICTURE: Size = Size::new(22.0, 20.0);
/// From one line to the next, mm.
const TITLE_LINE: f64 = 4.6;
const LINE: f64 = 3.25;
/// Where the rows' values begin, mm from the edge of what is written.
const VALUES: f64 = 14.5;
const TITLE_LINES: usize = 2;
const MARK_LINES: usize = 2;
/// Between what is written large and the rows, mm.
const BEFORE_ROWS: f64 = 1.0;

impl Tags {
    /// A page for every six.
    pub fn sheet(&self) -> Sheet {
        let page = Orientation::Portrait.of(self.paper);
        let left = (page.width - COLUMNS as f64 * TAG.width) / 2.0;
        let pages = self.tags.chunks(COLUMNS * ROWS).map(|tags| {
            let mut drawing = Drawing::framed(page).titled(self.title.clone());
            laid_out(&mut drawing, tags, Point::new(left, HEAD));
            Block::FullPage { drawing }
        });
        Sheet {
            title: self.title.clone(),
            kind: "cut out".into(),
            paper: self.paper,
            blocks: pages.collect(),
            ..Sheet::default()
        }
    }

    /// All of them in one drawing, two side by side.
    pub fn whole(&self) -> Drawing {
        let mut drawing = Drawing::new(View::default()).titled(self.title.clone());
        laid_out(&mut drawing, &self.tags, Point::ZERO);
        drawing
    }
}

fn laid_out(drawing: &mut Drawing, tags: &[Tag], from: Point) {
    for (index, tag) in tags.iter().enumerate() {
        let (column, row) = ((index % COLUMNS) as f64, (index / COLUMNS) as f64);
        tag.draw(drawing, from + Vec2::new(column * TAG.width, row * TAG.height));
    }
}

impl Tag {
    fn draw(&self, drawing: &mut Drawing, corner: Point) {
        drawing.stroke_on_paper(Trace::rectangle(Rect::from_origin_size(corner, TAG)), Line::Thin, Ink::Quiet);
        for text in self.texts() {
            let at = text.at + corner.to_vec2();
            drawing.text_on_paper(text.at(at));
        }
        if let Some(room) = self.picture_room() {
            self.draw_picture(drawing, room + corner.to_vec2());
        }
    }

    /// Where the picture stands, from the label's corner; none without one.
    fn picture_room(&self) -> Option<Rect> {
        let corner = Point::new(TAG.width - AIR - PICTURE.width, AIR + CORNER.height);
        (!self.picture.is_empty()).then(|| Rect::from_origin_size(corner, PICTURE))
    }

    fn draw_picture(&self, drawing: &mut Drawing, room: Rect) {
        let Some(bounds) = self.picture.iter().map(Trace::bounds).reduce(|a, b| a.union(b)) else { return };
        let scale = Scale::fit(bounds.size(), room.size());
        let (factor, middle) = (scale.factor(), bounds.center());
        let origin = room.center() - Vec2::new(factor * middle.x, -factor * middle.y);
        let before = drawing.view();
        drawing.set_view(View::at(scale, origin));
        drawing.fill(&self.picture, Fill::Metal);
        for trace in &self.picture {
            drawing.stroke(trace, Line::Thin);
        }
        drawing.set_view(before);
    }

    /// All that is written, from the label's corner. Nothing overlaps and nothing leaves the label, however long it is.
    fn texts(&self) -> Vec<Text> {
        let right = TAG.width - AIR;
        let number = Text::new(&self.number).height(Height::Mm5).face(Face::SansStrong).anchor(Anchor::End);
        let under =
            Text::new(&self.under_number).height(Height::Mm1_8).face(Face::Sans).anchor(Anchor::End).ink(Ink::Quiet);
        let mut out = vec![
            shortened(number, CORNER.width).at(Point::new(right, AIR + 5.0)),
            shortened(under, CORNER.width).at(Point::new(right, AIR + 8.6)),
        ];
        let strong = |text: &str| Text::new(text).face(Face::SansStrong);
        let beside = right - CORNER.width.max(PICTURE.width) - AIR - 1.5;
        let mut y = AIR + 2.8;
        for line in wrapped(&strong(&self.title), beside, TITLE_LINES) {
            out.push(line.at(Point::new(AIR, y)));
            y += TITLE_LINE;
        }
        let mark = strong(&self.mark).ink(if self.wrong { Ink::Red } else { Ink::Black });
        for line in wrapped(&mark, beside, MARK_LINES) {
            out.push(line.at(Point::new(AIR, y)));
            y += TITLE_LINE;
        }
        let foot = Text::new(&self.foot).height(Height::Mm1_8).face(Face::Sans).ink(Ink::Quiet);
        let foot_line = TAG.height - AIR;
        out.push(shortened(foot, right - AIR).at(Point::new(AIR, foot_line)));
        self.rows_between(y + BEFORE_ROWS, foot_line - LINE, &mut out);
        out.retain(|text| !text.text.trim().is_empty());
        // nothing is drawn under it
        out.into_iter().map(|text| Text { halo: false, ..text }).collect()
    }

    /// The rows, line by line down to the last that has room.
    fn rows_between(&self, top: f64, last: f64, out: &mut Vec<Text>) {
        let small = |text: &str| Text::new(text).height(Height::Mm1_8).face(Face::Sans);
        let mut y = top;
        for (name, value) in &self.rows {
            let mut rest = value.clone();
            let mut first = true;
            while y <= last + 1e-9 && (first || !rest.is_empty()) {
                let width = TAG.width - AIR - AIR - VALUES - self.taken_at(y);
                let (line, left) = split(&small(&rest), width);
                let at_end = y + LINE > last + 1e-9 && !left.is_empty();
                let line = if at_end { shortened(small(&rest), width) } else { small(&line) };
                if first {
                    out.push(shortened(small(name).ink(Ink::Quiet), VALUES - 1.0).at(Point::new(AIR, y)));
                }
                out.push(line.at(Point::new(AIR + VALUES, y)));
                (rest, first) = (left, false);
                y += LINE;
            }
            y += ROW_GAP;
        }
    }
}

impl Tag {
    /// What number and picture take of the right end of a small line standing at `y`, with the air before it.
    fn taken_at(&self, y: f64) -> f64 {
        let top = y - Height::Mm1_8.mm();
        let corner = top < AIR + CORNER.height;
        let picture = self.picture_room().is_some_and(|room| top <= room.y1 && y >= room.y0);
        let widest = f64::max(if corner { CORNER.width } else { 0.0 }, if picture { PICTURE.width } else { 0.0 });
        if widest > 0.0 { widest + 1.5 } else { 0.0 }
    }
}

/// Between two rows, mm.
const ROW_GAP: f64 = 0.45;

/// The text in lines of this width, at most so many; the last one ends in dots where more was to come.
fn wrapped(text: &Text, width: f64, most: usize) -> Vec<Text> {
    let mut out = Vec::new();
    let mut rest = text.clone();
    while !rest.text.is_empty() && out.len() + 1 < most {
        let (line, left) = split(&rest, width);
        out.push(Text { text: line, ..rest.clone() });
        rest.text = left;
    }
    if !rest.text.trim().is_empty() {
        out.push(shortened(rest, width));
    }
    out
}

/// As many words as fit, or letters of a single long one; and what is left.
fn split(text: &Text, width: f64) -> (String, String) {
    let words: Vec<&str> = text.text.split_whitespace().collect();
    let mut line = String::new();
    for (index, word) in words.iter().enumerate() {
        let with = if line.is_empty() { (*word).to_string() } else { format!("{line} {word}") };
        if text.width_of(&with) <= width {
            line = with;
            continue;
        }
        if !line.is_empty() {
            return (line, words[index..].join(" "));
        }
        let fitting = fitting(text, word, width);
        let rest = std::iter::once(&word[fitting.len()..]).chain(words[index + 1..].iter().copied());
        return (fitting.to_string(), rest.filter(|part| !part.is_empty()).collect::<Vec<_>>().join(" "));
    }
    (line, String::new())
}

/// The longest beginning of a word that fits; at least one letter, or nothing would ever come to an end.
fn fitting<'a>(text: &Text, word: &'a str, width: f64) -> &'a str {
    let ends = word.char_indices().map(|(at, letter)| at + letter.len_utf8());
    let last = ends.clone().take_while(|end| text.width_of(&word[..*end]) <= width).last();
    &word[..last.or_else(|| ends.clone().next()).unwrap_or(0)]
}

/// The text on one line, its end cut off with dots where it is too long.
fn shortened(text: Text, width: f64) -> Text {
    let whole = text.text.split_whitespace().collect::<Vec<_>>().join(" ");
    if text.width_of(&whole) <= width {
        return Text { text: whole, ..text };
    }
    let room = width - text.width_of("…");
    let cut = fitting(&text, &whole, room).trim_end().to_string();
    Text { text: format!("{cut}…"), ..text }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn sentence(most: usize) -> impl Strategy<Value = String> {
        let words =
            proptest::collection::vec(prop_oneof!["[A-Za-z½⌀°]{1,12}", "[A-Za-z]{20,90}", "[0-9.]{1,9}"], 0..most);
        words.prop_map(|words| words.join(" "))
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

        /// Whatever is written on it: no text covers another or the picture, and none leaves the label.
        #[test]
        fn nothing_overlaps(
            title in sentence(30), number in "[0-9]{1,9}", under in sentence(6), mark in sentence(12), foot in sentence(30),
            rows in proptest::collection::vec((sentence(3), sentence(25)), 0..9), pictured in any::<bool>(),
        ) {
            let picture = if pictured { vec![Trace::circle(Point::ZERO, 40.0)] } else { Vec::new() };
            let tag = Tag { title, number, under_number: under, mark, wrong: false, rows, picture, foot };
            let texts = tag.texts();
            let edge = Rect::from_origin_size(Point::ZERO, TAG);
            let mut taken: Vec<(Rect, String)> = Vec::new();
            taken.extend(tag.picture_room().map(|room| (room, "picture".to_string())));
            for text in &texts {
                let bounds = text.bounds();
                prop_assert!(edge.contains_rect(bounds), "{text:?} leaves the label");
                for (other, what) in &taken {
                    prop_assert!(!bounds.overlaps(*other), "{:?} over {what:?}", text.text);
                }
                taken.push((bounds, text.text.clone()));
            }
        }
    }

    #[test]
    fn six_to_a_page_and_none_lost() {
        let tag = |number: u32| Tag { number: number.to_string(), title: "Sector".into(), ..Tag::default() };
        let tags = Tags { title: "Labels".into(), tags: (1..=17).map(tag).collect(), paper: Paper::A4 };
        assert_eq!(tags.sheet().blocks.len(), 3);
        let svg = tags.whole().to_svg();
        assert!((1..=17).all(|number| svg.contains(&format!(">{number}<"))), "{svg}");
        for paper in [Paper::A4, Paper::Letter] {
            let room = paper.size();
            assert!(
                COLUMNS as f64 * TAG.width < room.width - 10.0 && HEAD + ROWS as f64 * TAG.height < room.height - 14.0
            );
        }
    }
}
