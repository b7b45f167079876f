//! A template at true scale to stick on the blank, with bars that show whether the printer kept the size; over several
//! pages where it must be, with overlap and register marks.

use std::fmt;

use kurbo::{Point, Rect, Size, Vec2};

use crate::drawing::{Anchor, Drawing, Face, Fill, Height, Ink, Line, Text, View};
use crate::scale::Scale;
use crate::sheet::{Block, Orientation, Paper, Sheet};
use crate::trace::Trace;

/// What is drawn at 1:1, in the part's mm.
#[derive(Clone, Debug, Default)]
pub struct Template {
    pub title: String,
    /// What to do with it, a sentence or two; each stands on a line of its own.
    pub notes: Vec<String>,
    pub paper: Paper,
    /// The lines to work to: the outline and its holes.
    pub outline: Vec<Trace>,
    /// Other lines, such as a pitch circle or the blank.
    pub lines: Vec<(Trace, Line)>,
    /// Centres to punch, each with the radius of its hole.
    pub centres: Vec<(Point, f64)>,
    /// Figures at points of the part, such as the size to drill.
    pub labels: Vec<(Point, String)>,
    /// What stands behind the title instead of "full size", where some of it is not.
    pub size: Option<&'static str>,
}

/// A template that would take an unreasonable number of pages.
#[derive(Clone, Copy, Debug, Eq, PartialEq)]
pub struct TooLarge {
    pub width_mm: u64,
    pub height_mm: u64,
}

/// Lengths of the check bars, mm: one for each kind of rule.
pub const BAR_METRIC: f64 = 100.0;
pub const BAR_INCH: f64 = 4.0 * 25.4;

/// More pages than this are no template but a mistake in the size.
const MOST_PAGES: usize = 60;
/// What two neighbouring pages both show, mm: enough to paste and to see the register marks on both.
const OVERLAP: f64 = 14.0;
/// Paper that printers leave white, and the running head and foot, mm.
const SIDE: f64 = 10.0;
const HEAD: f64 = 24.0;
const FOOT: f64 = 18.0;
/// The strip at the left and at the bottom that the bars stand in, mm.
const BARS: f64 = 15.0;
/// Title and notes above the part: a line, mm.
const WRITING: f64 = 5.0;
/// Air round the part, room for the arms of its centre marks, mm.
const AIR: f64 = 6.0;
/// Half the length of the ticks at the ends of a bar, and of those between, mm.
const END_TICK: f64 = 2.2;
const SMALL_TICK: f64 = 0.9;

impl Template {
    /// The template as a sheet, a page for each part of it.
    pub fn sheet(&self) -> Result<Sheet, TooLarge> {
        let tiling = self.tiling()?;
        Ok(Sheet {
            title: self.title.clone(),
            kind: "true scale".into(),
            paper: self.paper,
            orientation: tiling.orientation,
            blocks: self.pages()?.into_iter().map(|drawing| Block::FullPage { drawing }).collect(),
        })
    }

    /// One drawing for each page, as large as the paper.
    pub fn pages(&self) -> Result<Vec<Drawing>, TooLarge> {
        let tiling = self.tiling()?;
        let mut pages = Vec::new();
        for row in 0..tiling.rows {
            for column in 0..tiling.columns {
                pages.push(self.page(&tiling, column, row));
            }
        }
        Ok(pages)
    }

    /// The whole in one drawing, as large as it is, with its bars below and beside it: for a plotter or a screen.
    pub fn whole(&self) -> Drawing {
        let bounds = self.bounds();
        let mut drawing = Drawing::new(View::default()).titled(self.title.clone());
        drawing.extend(&self.part(View::default()), None);
        let corner = Point::new(bounds.x0, -bounds.y0);
        bars(
            &mut drawing,
            Point::new(bounds.x0 + 1.0, corner.y + BARS - 3.0),
            Point::new(bounds.x0 - BARS + 3.0, corner.y - 1.0),
        );
        drawing
    }

    fn page(&self, tiling: &Tiling, column: usize, row: usize) -> Drawing {
        let mut drawing = Drawing::framed(tiling.page).titled(self.title.clone());
        let window = tiling.window;
        // The window shows this rectangle of the part, y up.
        let left = tiling.origin.x + column as f64 * tiling.step.width;
        let top = tiling.origin.y - row as f64 * tiling.step.height;
        let view = View::at(Scale::FULL, Point::new(window.x0 - left, window.y0 + top));
        drawing.extend(&self.part(view), Some(window));
        tiling.register(&mut drawing, view, column, row);
        cut_marks(&mut drawing, window);
        self.write(&mut drawing, tiling, column, row);
        bars(
            &mut drawing,
            Point::new(window.x0 + 8.0, tiling.page.height - FOOT - 3.0),
            Point::new(SIDE + 3.0, window.y1 - 8.0),
        );
        drawing
    }

    fn write(&self, drawing: &mut Drawing, tiling: &Tiling, column: usize, row: usize) {
        let mut at = Point::new(tiling.window.x0, HEAD + 4.0);
        let mut title = format!("{}, {}", self.title, self.size.unwrap_or("full size"));
        if tiling.rows * tiling.columns > 1 {
            title += &format!(", part {} of {}", row * tiling.columns + column + 1, tiling.rows * tiling.columns);
        }
        drawing.text_on_paper(Text::new(title).at(at).face(Face::SansStrong).height(Height::Mm3_5));
        for line in self.lines_of_writing(tiling.window.width()) {
            at.y += WRITING;
            drawing.text_on_paper(Text::new(line).at(at).face(Face::Sans));
        }
    }

    /// The notes and how to print, broken to the width.
    fn lines_of_writing(&self, width: f64) -> Vec<String> {
        let advance = crate::fonts::SANS_ADVANCE * Height::Mm2_5.font_size();
        let most = (width / advance).max(20.0) as usize;
        let print = "Print at 100 %, not fitted to the page. Lay a rule on the four bars before use.";
        self.notes.iter().map(String::as_str).chain([print]).flat_map(|note| broken(note, most)).collect()
    }

    fn part(&self, view: View) -> Drawing {
        let mut part = Drawing::new(view);
        part.fill(&self.outline, Fill::Metal);
        for trace in &self.outline {
            // A narrow line: on a template the edge to work to is the line itself.
            part.stroke(trace, Line::Thin);
        }
        for (trace, line) in &self.lines {
            part.stroke(trace, *line);
        }
        for (centre, radius) in &self.centres {
            for arm in [Vec2::new(radius + 4.0, 0.0), Vec2::new(0.0, radius + 4.0)] {
                // Continuous, so that the crossing can be felt for with the punch.
                part.stroke(&Trace::line(*centre - arm, *centre + arm), Line::Thin);
            }
        }
        for (at, text) in &self.labels {
            part.text(*at, Text::new(text).anchor(Anchor::Middle));
        }
        part
    }

    fn bounds(&self) -> Rect {
        let traces = self.outline.iter().chain(self.lines.iter().map(|l| &l.0));
        let marks = self.centres.iter().map(|(c, r)| Rect::from_center_size(*c, (2.0 * r, 2.0 * r)));
        traces.map(Trace::bounds).chain(marks).reduce(|a, b| a.union(b)).unwrap_or_default().inflate(AIR, AIR)
    }

    /// Upright or lying, whichever takes fewer pages.
    fn tiling(&self) -> Result<Tiling, TooLarge> {
        let upright = self.tiled(Orientation::Portrait);
        let lying = self.tiled(Orientation::Landscape);
        match (upright, lying) {
            (Ok(upright), Ok(lying)) => {
                let pages = |t: &Tiling| t.rows * t.columns;
                Ok(if pages(&lying) < pages(&upright) { lying } else { upright })
            }
            (upright, lying) => upright.or(lying),
        }
    }

    fn tiled(&self, orientation: Orientation) -> Result<Tiling, TooLarge> {
        let page = orientation.of(self.paper);
        let width = page.width - 2.0 * SIDE - BARS;
        let writing = WRITING * self.lines_of_writing(width).len() as f64 + 9.0;
        let window =
            Rect::new(SIDE + BARS, HEAD + writing.min(page.height / 3.0), page.width - SIDE, page.height - FOOT - BARS);
        let bounds = self.bounds();
        let columns = pages_along(bounds.width(), window.width());
        let rows = pages_along(bounds.height(), window.height());
        let (Some(columns), Some(rows)) = (columns, rows) else {
            return Err(TooLarge::of(bounds));
        };
        if columns * rows > MOST_PAGES {
            return Err(TooLarge::of(bounds));
        }
        let step = Size::new(window.width() - OVERLAP, window.height() - OVERLAP);
        let shown = Size::new(columns as f64 * step.width + OVERLAP, rows as f64 * step.height + OVERLAP);
        // The part stands in the middle of the pages laid together.
        let origin = bounds.center() + Vec2::new(-shown.width / 2.0, shown.height / 2.0);
        Ok(Tiling { orientation, page, window, columns, rows, step, origin })
    }
}

impl TooLarge {
    fn of(bounds: Rect) -> TooLarge {
        TooLarge { width_mm: bounds.width() as u64, height_mm: bounds.height() as u64 }
    }
}

impl fmt::Display for TooLarge {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "a template of {} by {} mm would take more than {MOST_PAGES} pages", self.width_mm, self.height_mm)
    }
}

impl std::error::Error for TooLarge {}

/// How a template lies on its pages.
struct Tiling {
    orientation: Orientation,
    page: Size,
    /// The part of each page that shows the template, paper mm.
    window: Rect,
    columns: usize,
    rows: usize,
    /// From a page to the next, part mm.
    step: Size,
    /// The part's point at the top left of the first window.
    origin: Point,
}

impl Tiling {
    /// The seams this page shares: a line down the middle of the overlap, and two marks on it, each named as on the
    /// neighbouring page.
    fn register(&self, drawing: &mut Drawing, view: View, column: usize, row: usize) {
        let left = self.origin.x + column as f64 * self.step.width;
        let top = self.origin.y - row as f64 * self.step.height;
        for (seam, shared) in [(column, column > 0), (column + 1, column + 1 < self.columns)] {
            if shared {
                let x = self.origin.x + seam as f64 * self.step.width + OVERLAP / 2.0;
                let at = |share: f64| Point::new(x, top - share * self.window.height());
                seam_line(drawing, view, [at(0.0), at(1.0)], [at(0.2), at(0.8)]);
                let name = seam - 1 + row * (self.columns - 1);
                name_marks(drawing, view, [at(0.2), at(0.8)], 2 * name);
            }
        }
        let across = 2 * self.rows * (self.columns - 1);
        for (seam, shared) in [(row, row > 0), (row + 1, row + 1 < self.rows)] {
            if shared {
                let y = self.origin.y - seam as f64 * self.step.height - OVERLAP / 2.0;
                let at = |share: f64| Point::new(left + share * self.window.width(), y);
                seam_line(drawing, view, [at(0.0), at(1.0)], [at(0.2), at(0.8)]);
                let name = seam - 1 + column * (self.rows - 1);
                name_marks(drawing, view, [at(0.2), at(0.8)], across + 2 * name);
            }
        }
    }
}

fn seam_line(drawing: &mut Drawing, view: View, ends: [Point; 2], marks: [Point; 2]) {
    let [a, b] = ends.map(|p| view.to_paper(p));
    drawing.stroke_on_paper(Trace::line(a, b), Line::Hidden, Ink::Quiet);
    for mark in marks.map(|p| view.to_paper(p)) {
        for arm in [Vec2::new(5.0, 0.0), Vec2::new(0.0, 5.0)] {
            drawing.stroke_on_paper(Trace::line(mark - arm, mark + arm), Line::Thin, Ink::Blue);
        }
        drawing.stroke_on_paper(Trace::circle(mark, 2.5), Line::Thin, Ink::Blue);
    }
}

fn name_marks(drawing: &mut Drawing, view: View, marks: [Point; 2], first: usize) {
    for (mark, number) in marks.into_iter().zip(first + 1..) {
        let at = view.to_paper(mark) + Vec2::new(1.2, -3.2);
        let text = Text::new(number.to_string()).at(at).height(Height::Mm1_8).ink(Ink::Blue);
        drawing.text_on_paper(text);
    }
}

/// Short lines outside the corners of the window, to cut to.
fn cut_marks(drawing: &mut Drawing, window: Rect) {
    for (x, out_x) in [(window.x0, -1.0), (window.x1, 1.0)] {
        for (y, out_y) in [(window.y0, -1.0), (window.y1, 1.0)] {
            for out in [Vec2::new(out_x, 0.0), Vec2::new(0.0, out_y)] {
                let corner = Point::new(x, y);
                let line = Trace::line(corner + 1.0 * out, corner + 4.0 * out);
                drawing.stroke_on_paper(line, Line::Thin, Ink::Black);
            }
        }
    }
}

/// Two bars from `level` to the right and two from `upright` upwards, paper mm.
fn bars(drawing: &mut Drawing, level: Point, upright: Point) {
    let (right, up) = (Vec2::new(1.0, 0.0), Vec2::new(0.0, -1.0));
    bar(drawing, level - 6.5 * Vec2::new(0.0, 1.0), right, BAR_METRIC, 10, "100 mm");
    bar(drawing, level, right, BAR_INCH, 4, "4 in");
    bar(drawing, upright, up, BAR_METRIC, 10, "100 mm");
    bar(drawing, upright + 6.5 * right, up, BAR_INCH, 4, "4 in");
}

fn bar(drawing: &mut Drawing, from: Point, along: Vec2, length: f64, parts: u32, says: &str) {
    let across = Vec2::new(along.y, -along.x);
    let mut lines = vec![Trace::line(from, from + length * along)];
    for part in 0..=parts {
        let at = from + length * f64::from(part) / f64::from(parts) * along;
        let tick = match part == 0 || part == parts {
            true => END_TICK,
            false => SMALL_TICK,
        };
        lines.push(Trace::line(at - tick * across, at + tick * across));
    }
    for line in lines {
        drawing.stroke_on_paper(line, Line::Thin, Ink::Black);
    }
    let turn = along.atan2().to_degrees();
    let down = Vec2::new(-along.y, along.x);
    let beyond = from + (length + 2.0) * along + Height::Mm2_5.mm() / 2.0 * down;
    drawing.text_on_paper(Text::new(says).at(beyond).turn(turn));
}

/// A note broken into lines of at most so many letters; a word longer than that is broken too.
fn broken(note: &str, most: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    let mut used = 0;
    for word in note.split_whitespace() {
        let letters: Vec<char> = word.chars().collect();
        for (i, piece) in letters.chunks(most).enumerate() {
            let gap = usize::from(used > 0 && i == 0);
            if used + gap + piece.len() > most {
                lines.push(String::new());
                used = 0;
            }
            if let Some(line) = lines.last_mut() {
                if used > 0 && i == 0 {
                    line.push(' ');
                    used += 1;
                }
                line.extend(piece);
                used += piece.len();
            }
        }
    }
    lines
}

fn pages_along(length: f64, window: f64) -> Option<usize> {
    let step = window - OVERLAP;
    let pages = ((length - OVERLAP) / step).ceil().max(1.0);
    (pages.is_finite() && pages <= MOST_PAGES as f64).then_some(pages as usize)
}
