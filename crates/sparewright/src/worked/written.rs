//! A job's text as it is written: its entries, their lines and fields, each with its place; what could not be read too.

use std::ops::Range;

use making::shop::Shop;
use part::{FieldShape, Kind};
use quantity::{Problem, Unit};
use toml_edit::{Document, Item, Table, Value};

use super::lines::{ReadLine, lines};
use super::{Said, Told, at_place, kind, line_of, told};
use crate::job::edit::Place;
use crate::shop::bench;
use crate::solve::Solved;

/// One `[[feature]]` or `[[mate]]`.
#[derive(Debug)]
pub struct Entry {
    pub at: Place,
    pub name: String,
    /// As it is written; it may be none of ours.
    pub kind: String,
    /// Of a mate: the feature it runs with.
    pub of: Option<String>,
    pub scan: Option<String>,
    pub fields: Vec<Field>,
    pub lines: Vec<ReadLine>,
    pub told: Told,
}

/// A field as it may be changed on a page.
#[derive(Clone, Debug, PartialEq)]
pub struct Field {
    pub name: &'static str,
    pub shape: FieldShape,
    pub about: &'static str,
    /// As it is written; empty where it is not.
    pub value: String,
}

/// The text with the places of everything in it; none where it has no grammar at all.
pub(super) struct Written {
    document: Option<Document<String>>,
    features: Vec<Range<usize>>,
    mates: Vec<Range<usize>>,
}

/// The fields of the job itself that pages change.
const HEAD: &[(&str, FieldShape, &str)] = &[
    ("title", FieldShape::Text, "what it is and what it belongs to"),
    ("units", FieldShape::OneOf(&["in", "mm"]), "unit of a number without one"),
    ("heritage", FieldShape::OneOf(&["inch", "metric", "unknown"]), "units the original's maker worked in"),
    ("material", FieldShape::Text, "of the original"),
    ("make.material", FieldShape::Text, "of the new part, where it is another"),
    ("make.pieces", FieldShape::Count, "fitted now"),
    ("make.spares", FieldShape::Count, "for the shelf"),
    (
        "make.serves",
        FieldShape::Text,
        "what hangs on it where a failure can injure: lifting, brakes; nothing, where its title only sounds so",
    ),
    ("make.notes", FieldShape::Text, "anything else about the order"),
    ("scan.gauge", FieldShape::Size, "diameter of the round gauge beside the part in its scans"),
];

impl Written {
    pub fn of(text: &str) -> Written {
        let document = Document::parse(text.to_string()).ok();
        let sections = |name: &str| -> Vec<Range<usize>> {
            let tables = document.as_ref().and_then(|document| document.get(name)).and_then(Item::as_array_of_tables);
            tables.into_iter().flat_map(|tables| tables.iter()).map(|table| table.span().unwrap_or_default()).collect()
        };
        let (mut features, mut mates) = (sections("feature"), sections("mate"));
        // a section reaches to the next one
        let starts: Vec<usize> = features.iter().chain(&mates).map(|place| place.start).collect();
        for place in features.iter_mut().chain(&mut mates) {
            place.end = starts.iter().copied().filter(|start| *start > place.start).min().unwrap_or(text.len());
        }
        Written { document, features, mates }
    }

    pub fn entries(&self, solved: Option<&Solved<'_>>, shop: &Shop, problems: &[Problem]) -> Vec<Entry> {
        let unit = solved.map_or(Unit::Inch, |solved| solved.job.unit);
        let mut out = Vec::new();
        for (mate, places) in [(false, &self.features), (true, &self.mates)] {
            for (index, place) in places.iter().enumerate() {
                let Some(table) = self.table(mate, index) else { continue };
                let found = solved.and_then(|solved| at_place(solved, place, mate));
                let text = |name: &str| table.get(name).and_then(Item::as_str).map(str::to_string);
                let kind_name = text("kind").unwrap_or_default();
                let kind = kind(&kind_name);
                let name =
                    found.map(|found| found.of.name.clone()).or(text("name")).unwrap_or_else(|| kind_name.clone());
                out.push(Entry {
                    at: Place { mate, index },
                    name,
                    of: text("of"),
                    scan: text("scan"),
                    fields: kind.map(|kind| fields(table, kind)).unwrap_or_default(),
                    lines: lines(table, kind, found, &bench(unit, &shop.instruments), problems),
                    told: found.map_or(Told::Unread, |found| told(found, unit)),
                    kind: kind_name,
                });
            }
        }
        out
    }

    /// Readable, and nothing in it yet.
    pub fn is_without_features(&self) -> bool {
        self.document
            .as_ref()
            .is_some_and(|document| document.get("feature").is_none() && document.get("mate").is_none())
    }

    /// What is wrong and stands at no reading that is shown.
    pub fn elsewhere(&self, text: &str, problems: &[Problem]) -> Vec<Said> {
        let readings: Vec<Range<usize>> = self.readings().collect();
        let at_reading = |problem: &Problem| readings.iter().any(|place| place.contains(&problem.at.start));
        let others = problems.iter().filter(|problem| !at_reading(problem));
        let said = others.map(|problem| Said {
            line: line_of(text, problem),
            message: problem.message.clone(),
            help: problem.help.clone().or_else(|| Some(problem.expected.clone())),
        });
        said.collect()
    }

    pub fn head(&self) -> Vec<Field> {
        let field = |(name, shape, about): &(&'static str, FieldShape, &'static str)| {
            let mut item = self.document.as_ref().map(Document::as_item);
            for step in name.split('.') {
                item = item.and_then(|item| item.get(step));
            }
            Field { name, shape: *shape, about, value: item.map(shown).unwrap_or_default() }
        };
        HEAD.iter().map(field).collect()
    }

    fn table(&self, mate: bool, index: usize) -> Option<&Table> {
        let name = if mate { "mate" } else { "feature" };
        self.document.as_ref()?.get(name)?.as_array_of_tables()?.get(index)
    }

    fn readings(&self) -> impl Iterator<Item = Range<usize>> {
        let all = (0..self.features.len())
            .map(|index| (false, index))
            .chain((0..self.mates.len()).map(|index| (true, index)));
        let lists = all.filter_map(|(mate, index)| self.table(mate, index)?.get("readings")?.as_array());
        lists.flat_map(|list| list.iter().filter_map(Value::span))
    }
}

fn fields(table: &Table, kind: &'static dyn Kind) -> Vec<Field> {
    let own = kind.fields().iter().map(|field| Field {
        name: field.name,
        shape: field.shape,
        about: field.about,
        value: table.get(field.name).map(shown).unwrap_or_default(),
    });
    own.collect()
}

/// A value as it is typed on a page: bare text, a list one to a line.
fn shown(item: &Item) -> String {
    match item.as_value() {
        Some(Value::String(text)) => text.value().clone(),
        Some(Value::Array(list)) => list
            .iter()
            .map(|value| value.as_str().map_or_else(|| bare(value), str::to_string))
            .collect::<Vec<_>>()
            .join("\n"),
        Some(value) => bare(value),
        None => String::new(),
    }
}

fn bare(value: &Value) -> String {
    value.to_string().trim().to_string()
}
