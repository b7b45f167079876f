//! One `[[piece]]` of a job: a piece that was made, what was read on it, and where it went.

use std::fmt;

use part::{Kind, Placed};
use quantity::{Form, Line, Problem, quoted};

use super::JobFeature;
use super::feature::{Circle, forms};
use super::read::{MOST_PIECES, feature_called};
use crate::written::{Section, Text, or_note};

/// What stands for a feature in a piece.
const A_FEATURE: &str = "expected the name of a feature";

#[derive(Clone, Debug)]
pub struct Piece {
    /// As it is marked; each is there once.
    pub number: u32,
    pub made: Option<Day>,
    pub readings: Vec<PieceReadings>,
    /// Match-made features that are done, as indices among the job's features.
    pub done: Vec<usize>,
    pub went: Option<Went>,
    /// To whom or where.
    pub to: Option<String>,
    pub remark: Option<String>,
    /// Its heading in the file.
    pub at: std::ops::Range<usize>,
}

/// What was read on one feature of a piece.
#[derive(Clone, Debug)]
pub struct PieceReadings {
    /// Index among the job's features.
    pub feature: usize,
    pub lines: Vec<Placed<Line>>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Went {
    /// Into the machine.
    Fitted,
    Shipped,
    /// Kept as a spare.
    Shelf,
}

/// A day of the calendar.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Day {
    pub year: u16,
    pub month: u8,
    pub day: u8,
}

impl Went {
    pub const ALL: [Went; 3] = [Went::Fitted, Went::Shipped, Went::Shelf];

    /// As the job file says it.
    pub const fn word(self) -> &'static str {
        match self {
            Went::Fitted => "fitted",
            Went::Shipped => "shipped",
            Went::Shelf => "shelf",
        }
    }
}

/// The forms of the lines that are read on a new piece.
pub fn piece_forms(kind: &dyn Kind) -> Vec<Form> {
    let mut all = kind.piece_forms();
    all.extend(forms(kind));
    all
}

pub(super) fn pieces(
    sections: Vec<Section<'_>>,
    features: &[JobFeature],
    circle: &mut Circle<'_>,
    problems: &mut Vec<Problem>,
) -> Vec<Piece> {
    if let Some(first_too_many) = sections.get(MOST_PIECES as usize) {
        let message =
            format!("A job has up to {MOST_PIECES} pieces here; this is one more, and what follows is not read.");
        problems.push(Problem::new(first_too_many.at.clone(), message, "expected the end of the job"));
    }
    let mut out: Vec<Piece> = Vec::new();
    for section in sections.into_iter().take(MOST_PIECES as usize) {
        let number_at = section.clone().get("number").map(|value| value.at());
        let Some(piece) = piece(section, features, circle, problems) else { continue };
        if out.iter().any(|other| other.number == piece.number) {
            problems.push(
                Problem::new(
                    number_at.unwrap_or_else(|| piece.at.clone()),
                    format!("There is a piece {} already.", piece.number),
                    "expected a number of its own",
                )
                .help("readings taken later are added to the piece's own readings"),
            );
            continue;
        }
        out.push(piece);
    }
    out
}

fn piece(
    mut section: Section<'_>,
    features: &[JobFeature],
    circle: &mut Circle<'_>,
    problems: &mut Vec<Problem>,
) -> Option<Piece> {
    section.need("number", problems);
    let number = section.count("number", 1, MOST_PIECES, problems);
    let made = section.get("made").and_then(|value| or_note(value.day(), problems));
    let readings = section.section("readings", "the readings of a piece", problems);
    let readings = readings.map(|section| self::readings(&section, features, circle, problems)).unwrap_or_default();
    let mut done: Vec<usize> = Vec::new();
    for value in section.list("done", problems) {
        let Some(text) = or_note(value.text(), problems) else { continue };
        if circle.is_unread(text.value) {
            continue;
        }
        let feature = or_note(feature_called(&text, features, A_FEATURE), problems);
        let feature = feature.and_then(|feature| or_note(match_made(&text, feature, features), problems));
        done.extend(feature.filter(|feature| !done.contains(feature)));
    }
    let words = Went::ALL.map(|went| (went.word(), went));
    let went = section.text("went", problems).and_then(|text| or_note(text.one_of(words), problems));
    let to = section.text("to", problems);
    if let (Some(to), None, false) = (&to, went, section.has("went")) {
        problems.push(
            Problem::new(
                to.at(),
                "Whether the piece was fitted, shipped or kept is not said.",
                "expected went beside to",
            )
            .help("write went = \"fitted\", \"shipped\" or \"shelf\""),
        );
    }
    let to = to.map(|text| text.value.trim().to_string());
    let remark = section.text("remark", problems).map(|text| text.value.trim().to_string());
    let at = section.at.clone();
    section.finish(problems);
    Some(Piece {
        number: number?,
        made: made.map(|day| Day { year: day.year, month: day.month, day: day.day }),
        readings,
        done,
        went,
        to,
        remark,
        at,
    })
}

/// `teeth = ["span over 4 teeth 1.0840, micrometer"]`, a list for each feature.
fn readings(
    section: &Section<'_>,
    features: &[JobFeature],
    circle: &mut Circle<'_>,
    problems: &mut Vec<Problem>,
) -> Vec<PieceReadings> {
    let mut out: Vec<PieceReadings> = Vec::new();
    let mut entries = section.entries();
    entries.sort_by_key(|(name, _)| name.at().start);
    for (name, value) in entries {
        let list = or_note(value.list(), problems).unwrap_or_default();
        if circle.is_unread(name.value) {
            continue;
        }
        let Some(feature) = or_note(feature_called(&name, features, A_FEATURE), problems) else { continue };
        let (lines, _) = circle.lines(list, &piece_forms(features[feature].kind), problems);
        match out.iter_mut().find(|known| known.feature == feature) {
            Some(known) => known.lines.extend(lines),
            None => out.push(PieceReadings { feature, lines }),
        }
    }
    out
}

/// What is not match-made is done when the piece is.
fn match_made(name: &Text<'_>, feature: usize, features: &[JobFeature]) -> Result<usize, Problem> {
    if features[feature].entry.yes("match_made") == Some(true) {
        return Ok(feature);
    }
    Err(Problem::new(
        name.at(),
        format!("{} is not match-made: it is done when the piece is.", quoted(name.value.trim())),
        "expected a feature that is made to its mate",
    )
    .help("a feature that is left until the piece is fitted says match_made = true"))
}

impl fmt::Display for Day {
    /// As the job file has it: 2031-02-14.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:04}-{:02}-{:02}", self.year, self.month, self.day)
    }
}

impl Day {
    /// "14 February 2031"
    pub fn spoken(&self) -> String {
        const MONTHS: [&str; 12] = [
            "January",
            "February",
            "March",
            "April",
            "May",
            "June",
            "July",
            "August",
            "September",
            "October",
            "November",
            "December",
        ];
        let month = usize::from(self.month).checked_sub(1).and_then(|month| MONTHS.get(month)).unwrap_or(&"");
        format!("{} {month} {}", self.day, self.year)
    }
}
