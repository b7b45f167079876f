//! Readings of a kind: lines whose meaning the kind has named.

use quantity::{Angle, Bench, Form, Length, Line, Measured, Problem};

use crate::kind::{Entry, Placed};

/// A form of a kind's reading lines and what such a line tells; `M` is the kind's own list of what can be measured.
#[derive(Debug)]
pub struct ReadingForm<M> {
    pub form: Form,
    pub means: fn(&Line) -> M,
}

impl<M> ReadingForm<M> {
    pub const fn new(form: &'static str, means: fn(&Line) -> M) -> ReadingForm<M> {
        ReadingForm { form: Form(form), means }
    }
}

/// One reading of a feature.
#[derive(Clone, Debug)]
pub struct Reading<M> {
    pub means: M,
    pub line: Line,
    /// Where the line stands in the file.
    pub at: std::ops::Range<usize>,
    /// The length read, with its standard uncertainty.
    pub length: Option<Measured<Length>>,
    /// The angle read, with its standard uncertainty.
    pub angle: Option<Measured<Angle>>,
}

/// What every kind takes beside its own lines.
pub mod common {
    use quantity::Form;

    /// The thickness of the part at this feature.
    pub const THICKNESS: Form = Form("thickness {reading}");
    /// Kept with the job and printed; nothing is computed from it.
    pub const NOTE: Form = Form("note {text}");
}

/// What a line means to the kind; none for the forms in [`common`].
pub fn meaning<M>(line: &Line, forms: &[ReadingForm<M>]) -> Option<M> {
    forms.iter().find(|form| form.form == line.pattern).map(|form| (form.means)(line))
}

/// The entry's lines with their meaning, in the order written and without dropping any, so that a reading's index is
/// its line's index. Lines of the forms in [`common`] have no meaning of the kind's own: `None`.
pub fn read_lines<M>(entry: &Entry, forms: &[ReadingForm<M>], bench: &Bench<'_>) -> Vec<Reading<Option<M>>> {
    entry.lines.iter().map(|placed| read_line(placed, forms, bench)).collect()
}

fn read_line<M>(placed: &Placed<Line>, forms: &[ReadingForm<M>], bench: &Bench<'_>) -> Reading<Option<M>> {
    let line = &placed.value;
    let instrument = line.instrument.as_deref();
    Reading {
        means: meaning(line, forms),
        line: line.clone(),
        at: placed.at.clone(),
        length: line.value().and_then(|value| value.length(bench, instrument)),
        angle: line.value().and_then(|value| value.angle(bench, instrument)),
    }
}

impl<M> Reading<M> {
    /// A problem with this reading as a whole.
    pub fn problem(&self, message: impl Into<String>, expected: impl Into<String>) -> Problem {
        Problem::new(self.at.clone(), message, expected)
    }
}
