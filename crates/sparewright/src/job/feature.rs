//! One `[[feature]]` of a job: its kind, its fields, its reading lines.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use part::{Entry, Field, FieldShape, FieldValue, Kind, Placed, common};
use quantity::{Bench, Form, Line, Problem, Size, Unit, nearest, quoted};

use super::JobFeature;
use super::pictures::{Bed, Pictures};
use crate::written::{Section, Text, Value, or_note};

/// Reads the features of one job, which must differ in name.
pub(super) struct Circle<'a> {
    kinds: &'a [&'static dyn Kind],
    bench: &'a Bench<'a>,
    pictures: &'a dyn Pictures,
    bed: &'a Bed,
    names: BTreeSet<String>,
    /// Features that are written and could not be read: what is wrong with them is told where they stand.
    unread: BTreeSet<String>,
    first_bare: Option<Range<usize>>,
}

/// Holes of one pattern, teeth of one wheel, and anything else that a feature counts.
const LARGEST_COUNT: u32 = 100_000;

/// Nobody takes more of one feature by hand.
const MOST_READINGS: usize = 500;

impl<'a> Circle<'a> {
    pub(super) fn new(
        kinds: &'a [&'static dyn Kind],
        bench: &'a Bench<'a>,
        pictures: &'a dyn Pictures,
        bed: &'a Bed,
    ) -> Circle<'a> {
        Circle { kinds, bench, pictures, bed, names: BTreeSet::new(), unread: BTreeSet::new(), first_bare: None }
    }

    /// The first number whose meaning hangs on the unit of the job.
    pub(super) fn first_bare(&self) -> Option<Range<usize>> {
        self.first_bare.clone()
    }

    /// Whether a feature of this name is written, and could not be read.
    pub(super) fn is_unread(&self, name: &str) -> bool {
        self.unread.contains(&name.trim().to_lowercase())
    }

    pub(super) fn feature(&mut self, mut section: Section<'_>, problems: &mut Vec<Problem>) -> Option<JobFeature> {
        let before = problems.len();
        let name = section.text("name", problems);
        let kind = section.need_text("kind", problems).and_then(|text| or_note(self.kind(&text), problems));
        let Some(kind) = kind else {
            self.unread.extend(name.map(|name| name.value.trim().to_lowercase()));
            return None;
        };
        let name = self.name(name, kind, problems);
        let mut fields = BTreeMap::new();
        for field in kind.fields() {
            if let Some(value) =
                section.get(field.name).and_then(|value| or_note(self.field(field, value, problems), problems))
            {
                fields.insert(field.name, value);
            }
        }
        let (mut lines, mut written) = self.lines(section.list("readings", problems), &forms(kind), problems);
        let scan = section.text("scan", problems);
        if let Some(picture) = &scan {
            self.add_picture(picture, kind, &mut fields, (&mut lines, &mut written), problems);
        }
        let scan = scan.map(|text| Placed { value: text.value.to_string(), at: text.at() });
        let entry = Entry { name: name.clone(), kind: kind.name().to_string(), fields, lines, at: section.at.clone() };
        section.finish(problems);
        let mut found = Vec::new();
        let feature = kind.read(&entry, self.bench, &mut found);
        let broken = problems.len() > before;
        if feature.is_none() && found.is_empty() && !broken {
            found.push(Problem::new(
                entry.at.clone(),
                format!("Too little is known of this {} to work with.", kind.name()),
                "expected more readings",
            ));
        }
        // what is said to be missing from an entry may be what could not be read
        problems.extend(found.into_iter().filter(|problem| !broken || problem.at != entry.at));
        let Some(feature) = feature else {
            self.unread.insert(name.to_lowercase());
            return None;
        };
        Some(JobFeature { name, kind, entry, feature, scan, written })
    }

    fn kind(&self, text: &Text<'_>) -> Result<&'static dyn Kind, Problem> {
        let typed = text.value.trim();
        let found = self.kinds.iter().find(|kind| kind.name().eq_ignore_ascii_case(typed));
        found.copied().ok_or_else(|| {
            let names: Vec<&str> = self.kinds.iter().map(|kind| kind.name()).collect();
            let problem = Problem::new(
                text.at(),
                format!("{} is not a kind of feature.", quoted(typed)),
                format!("expected {}", names.join(", ")),
            );
            match nearest(typed, names) {
                Some(meant) => problem.help(format!("did you mean `{meant}`?")),
                None => problem,
            }
        })
    }

    /// Its own name, or its kind's with a number where that is taken.
    fn name(&mut self, name: Option<Text<'_>>, kind: &'static dyn Kind, problems: &mut Vec<Problem>) -> String {
        let wanted = name.as_ref().map_or(kind.name(), |name| name.value.trim()).to_string();
        if self.names.insert(wanted.to_lowercase()) {
            return wanted;
        }
        if let Some(name) = name {
            problems.push(
                Problem::new(
                    name.at(),
                    format!("There is a feature called {} already.", quoted(&wanted)),
                    "expected a name of its own",
                )
                .help("the sheets tell features apart by their names"),
            );
        }
        (2u32..)
            .map(|number| format!("{wanted} {number}"))
            .find(|name| self.names.insert(name.to_lowercase()))
            .unwrap_or(wanted)
    }

    fn field(
        &mut self,
        field: &Field,
        value: Value<'_>,
        problems: &mut Vec<Problem>,
    ) -> Result<Placed<FieldValue>, Problem> {
        let meant = match field.shape {
            FieldShape::YesNo => FieldValue::YesNo(value.yes()?),
            FieldShape::Count => FieldValue::Count(value.count(1, LARGEST_COUNT)?),
            FieldShape::Text => FieldValue::Text(value.text()?.filled()?.to_string()),
            FieldShape::OneOf(words) => {
                let word = value.text()?.one_of(words.iter().map(|word| (*word, *word)))?;
                FieldValue::Text(word.to_string())
            }
            FieldShape::Size => {
                let read = |unit| value.size(&Bench { unit, ..*self.bench });
                let size: Size = read(self.bench.unit)?;
                if read(Unit::Inch) != read(Unit::Millimetre) {
                    self.note_bare(value.at());
                }
                FieldValue::Size(size)
            }
            FieldShape::Lines => {
                // what such lines mean is the kind's affair, and their numbers are bare
                self.note_bare(value.at());
                let texts = value.list()?.into_iter().filter_map(|line| or_note(line.text(), problems));
                FieldValue::Lines(texts.map(|text| Placed { value: text.value.to_string(), at: text.at() }).collect())
            }
        };
        Ok(Placed { value: meant, at: value.at() })
    }

    /// The lines that could be read, and which of those written they are.
    pub(super) fn lines(
        &mut self,
        values: Vec<Value<'_>>,
        forms: &[Form],
        problems: &mut Vec<Problem>,
    ) -> (Vec<Placed<Line>>, Vec<usize>) {
        let mut lines = Vec::new();
        let mut written = Vec::new();
        if let Some(first_too_many) = values.get(MOST_READINGS) {
            let message = format!(
                "A feature has up to {MOST_READINGS} readings here; this is one more, and what follows is not read."
            );
            problems.push(Problem::new(first_too_many.at(), message, "expected the end of the list"));
        }
        for (index, value) in values.into_iter().take(MOST_READINGS).enumerate() {
            let Some(text) = or_note(value.text(), problems) else {
                continue;
            };
            let read = |unit| Line::read(text.value, forms, &Bench { unit, ..*self.bench });
            match read(self.bench.unit) {
                Ok(line) => {
                    if read(Unit::Inch) != read(Unit::Millimetre) {
                        self.note_bare(text.at());
                    }
                    lines.push(Placed { value: line, at: text.at() });
                    written.push(index);
                }
                Err(found) => problems.extend(found.into_iter().map(|problem| text.problem(problem))),
            }
        }
        (lines, written)
    }

    /// What a picture gives, as if it had been typed where the picture is named. What was typed itself stands.
    fn add_picture(
        &mut self,
        picture: &Text<'_>,
        kind: &dyn Kind,
        fields: &mut BTreeMap<&'static str, Placed<FieldValue>>,
        (lines, written): (&mut Vec<Placed<Line>>, &mut Vec<usize>),
        problems: &mut Vec<Problem>,
    ) {
        let count = match fields.get("count").map(|count| &count.value) {
            Some(FieldValue::Count(count)) => Some(*count),
            _ => None,
        };
        let at = picture.at();
        let found = self.pictures.measure(picture.value.trim(), self.bed, kind.name(), count, self.bench.unit);
        let found = match found {
            Ok(found) => found,
            Err(why) => {
                problems.push(Problem::new(at, why, "expected a scan of this part"));
                return;
            }
        };
        let mut give = |name: &str, value: Option<FieldValue>| {
            if let (Some(field), Some(value)) = (kind.fields().iter().find(|field| field.name == name), value) {
                fields.entry(field.name).or_insert_with(|| Placed { value, at: at.clone() });
            }
        };
        give("whole", found.whole.map(FieldValue::YesNo));
        give("count", found.count.map(FieldValue::Count));
        let path = found.path.into_iter().map(|value| Placed { value, at: at.clone() }).collect::<Vec<_>>();
        give("path", (!path.is_empty()).then_some(FieldValue::Lines(path)));
        let forms = forms(kind);
        let mut next = written.iter().max().map_or(0, |last| last + 1);
        for text in found.lines {
            match Line::read(&text, &forms, self.bench) {
                Ok(line) => {
                    lines.push(Placed { value: line, at: at.clone() });
                    written.push(next);
                    next += 1;
                }
                Err(found) => problems.extend(found.into_iter().map(|problem| Problem { at: at.clone(), ..problem })),
            }
        }
    }

    fn note_bare(&mut self, at: Range<usize>) {
        self.first_bare.get_or_insert(at);
    }
}

/// The forms of a kind's lines with those that every kind takes.
pub(crate) fn forms(kind: &dyn Kind) -> Vec<Form> {
    let mut forms = kind.forms();
    for form in [common::THICKNESS, common::NOTE] {
        if !forms.contains(&form) {
            forms.push(form);
        }
    }
    forms
}
