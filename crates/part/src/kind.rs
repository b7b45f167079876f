//! A kind of feature, and one feature of a job.

use std::collections::BTreeMap;
use std::fmt::Debug;
use std::ops::Range;

use quantity::{Angle, Bench, Form, Length, Line, Measured, Problem, Unit};

use crate::design::Design;
use crate::recovery::Recovery;

/// A sort of feature a part can have: what it is called, what its entry in a job file may say, how it is read.
pub trait Kind: Sync {
    /// As the job file's `kind` names it: "toothed rim".
    fn name(&self) -> &'static str;

    /// The fields of its own that an entry may have, beside `name`, `kind` and `readings`.
    fn fields(&self) -> &'static [Field];

    /// The forms of its reading lines, in the order they are explained.
    fn forms(&self) -> Vec<Form>;

    /// Further forms that are read on a new piece only.
    fn piece_forms(&self) -> Vec<Form> {
        Vec::new()
    }

    /// Its page of help, in Markdown.
    fn help(&self) -> &'static str;

    /// A feature from its entry. Problems are added, each at its place; what is right is still used, so that a
    /// feature comes back wherever the rest can be worked with.
    fn read(&self, entry: &Entry, bench: &Bench<'_>, problems: &mut Vec<Problem>) -> Option<Box<dyn Feature>>;
}

/// One feature of a job, with its readings.
pub trait Feature: Debug + Send + Sync {
    /// What the findings engine works on. Fails with a sentence where the readings contradict each other outright
    /// or nothing can be weighed.
    fn recover(&self, circumstances: &Circumstances) -> Result<Box<dyn Recovery + '_>, String>;

    /// The design of a feature that is given outright and not found out.
    fn given(&self, _circumstances: &Circumstances) -> Option<Box<dyn Design>> {
        None
    }

    /// The size that another part's joint can be made to: of a shaft or a bore its diameter, as it was read.
    fn offers(&self) -> Option<Measured<Length>> {
        None
    }

    /// The entry it would be read from again.
    fn entry(&self) -> Entry;
}

/// What the job says about the part as a whole, which every feature is weighed and designed under.
#[derive(Clone, Debug)]
pub struct Circumstances {
    pub heritage: Heritage,
    /// The unit sentences and sheets are written in.
    pub unit: Unit,
    /// Thickness of the part where it is known: the depth of its bores, the width of its face.
    pub thickness: Option<Measured<Length>>,
    /// What a part of another kind that runs with this one offers to be made to.
    pub mate: Option<Measured<Length>>,
    /// Measuring pins the shop owns, for proposing what to measure next and for checking.
    pub pins: Vec<Length>,
    /// Gear cutters in the drawers, by module and pressure angle.
    pub cutters: Vec<(Length, Angle)>,
    /// Instruments the shop owns.
    pub instruments: Vec<quantity::Instrument>,
}

impl Circumstances {
    /// Standard uncertainty of an owned instrument of length; none if the shop has no such thing.
    pub fn uncertainty(&self, instrument: &str) -> Option<Length> {
        self.instruments.iter().find(|owned| owned.name == instrument)?.uncertainty
    }
}

/// The units the original's maker worked in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Heritage {
    Inch,
    Metric,
    Unknown,
}

/// An entry `[[feature]]` of a job file, its lines already understood.
#[derive(Clone, Debug, Default)]
pub struct Entry {
    pub name: String,
    pub kind: String,
    pub fields: BTreeMap<&'static str, Placed<FieldValue>>,
    pub lines: Vec<Placed<Line>>,
    /// Where the entry stands, for what is wrong with it as a whole.
    pub at: Range<usize>,
}

/// Something with its place in the file.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Placed<T> {
    pub value: T,
    pub at: Range<usize>,
}

/// A field that entries of a kind may have.
#[derive(Clone, Copy, Debug)]
pub struct Field {
    pub name: &'static str,
    pub shape: FieldShape,
    /// One line of help.
    pub about: &'static str,
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub enum FieldShape {
    YesNo,
    Count,
    Text,
    /// A size, bare in the job's unit or as text in any form the bench takes.
    Size,
    /// A list of lines.
    Lines,
    /// One of these words.
    OneOf(&'static [&'static str]),
}

#[derive(Clone, Debug, PartialEq)]
pub enum FieldValue {
    YesNo(bool),
    Count(u32),
    Text(String),
    Size(quantity::Size),
    /// Each line with its place in the file.
    Lines(Vec<Placed<String>>),
}

impl Entry {
    pub fn yes(&self, field: &str) -> Option<bool> {
        match self.fields.get(field)?.value {
            FieldValue::YesNo(yes) => Some(yes),
            _ => None,
        }
    }

    pub fn count(&self, field: &str) -> Option<u32> {
        match self.fields.get(field)?.value {
            FieldValue::Count(count) => Some(count),
            _ => None,
        }
    }

    pub fn text(&self, field: &str) -> Option<&str> {
        match &self.fields.get(field)?.value {
            FieldValue::Text(text) => Some(text),
            _ => None,
        }
    }

    pub fn size(&self, field: &str) -> Option<&quantity::Size> {
        match &self.fields.get(field)?.value {
            FieldValue::Size(size) => Some(size),
            _ => None,
        }
    }

    pub fn lines(&self, field: &str) -> &[Placed<String>] {
        match self.fields.get(field).map(|field| &field.value) {
            Some(FieldValue::Lines(lines)) => lines,
            _ => &[],
        }
    }

    /// All that it says, wherever it stands: two entries that say the same are equal in this.
    pub fn says(&self) -> String {
        let field = |(name, field): (&&str, &Placed<FieldValue>)| match &field.value {
            FieldValue::Lines(lines) => {
                format!("{name} = {:?}", lines.iter().map(|line| &line.value).collect::<Vec<_>>())
            }
            value => format!("{name} = {value:?}"),
        };
        let fields: Vec<String> = self.fields.iter().map(field).collect();
        let lines: Vec<&Line> = self.lines.iter().map(|line| &line.value).collect();
        format!("{:?} {:?} {fields:?} {lines:?}", self.kind, self.name)
    }

    /// The place of a field, or of the whole entry.
    pub fn at(&self, field: &str) -> Range<usize> {
        self.fields.get(field).map_or_else(|| self.at.clone(), |field| field.at.clone())
    }
}
