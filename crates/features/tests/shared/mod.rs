//! The bench that cases are read at, and the cases themselves.
#![allow(dead_code, reason = "each test file uses its own part of it")]
#![allow(clippy::unwrap_used, clippy::panic, reason = "a case that cannot be read is a failed test")]

use std::collections::BTreeMap;
use std::ops::Range;
use std::path::PathBuf;

use features::kinds;
use part::{Circumstances, Design, Entry, Feature, Field, FieldShape, FieldValue, Heritage, Kind, Placed, common};
use quantity::{Bench, Form, Length, Line, Measured, Problem, Unit};
pub use standards::{bench, built_in_instruments as instruments};

/// Pins for the usual sizes of teeth: 1.728 and 1.92 over the diametral pitch, 1.728 times the module.
pub fn pins() -> Vec<Length> {
    let inch = [4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 14.0, 16.0, 20.0, 24.0]
        .iter()
        .flat_map(|pitch| [1.728, 1.92].map(|over| Length::from_inches((over / pitch * 1e4_f64).round() / 1e4)));
    let metric = [1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 10.0].map(|module| Length::from_mm(1.728 * module));
    inch.chain(metric).collect()
}

pub fn circumstances(heritage: Heritage, unit: Unit) -> Circumstances {
    Circumstances {
        heritage,
        unit,
        thickness: None,
        mate: None,
        pins: pins(),
        cutters: Vec::new(),
        instruments: instruments(),
    }
}

/// The forms of a kind's lines with those that every kind takes.
pub fn forms(kind: &dyn Kind) -> Vec<Form> {
    let mut forms = kind.forms();
    forms.extend([common::THICKNESS, common::NOTE]);
    forms
}

/// An entry, and the text its places point into: each field and each reading on a line of its own.
#[derive(Debug)]
pub struct Written {
    pub text: String,
    pub entry: Entry,
    /// What was wrong with single lines.
    pub problems: Vec<Problem>,
}

/// As a job file's entry is read, from a table of the same fields.
pub fn written(kind: &dyn Kind, given: &toml::Table, unit: Unit) -> Written {
    let instruments = instruments();
    let bench = bench(unit, &instruments);
    let forms = forms(kind);
    let mut out = Written { text: String::new(), entry: Entry::default(), problems: Vec::new() };
    out.entry.kind = kind.name().into();
    out.entry.name = kind.name().into();
    for field in kind.fields() {
        if let Some(value) = given.get(field.name) {
            let start = out.text.len();
            let value = field_value(field, value, &mut out.text, &bench);
            let at = start..out.text.len() - 1;
            out.entry.fields.insert(field.name, Placed { value, at });
        }
    }
    for key in given.keys().filter(|key| *key != "readings") {
        assert!(kind.fields().iter().any(|field| field.name == key), "{} has no field {key}", kind.name());
    }
    for text in given.get("readings").and_then(toml::Value::as_array).into_iter().flatten() {
        let text = text.as_str().unwrap();
        let at = push_line(&mut out.text, text);
        match Line::read(text, &forms, &bench) {
            Ok(value) => out.entry.lines.push(Placed { value, at }),
            Err(problems) => out.problems.extend(problems.into_iter().map(|problem| problem.shifted(at.start))),
        }
    }
    out.entry.at = 0..out.text.len();
    out
}

fn push_line(text: &mut String, line: &str) -> Range<usize> {
    let start = text.len();
    text.push_str(line);
    text.push('\n');
    start..text.len() - 1
}

fn field_value(field: &Field, value: &toml::Value, text: &mut String, bench: &Bench<'_>) -> FieldValue {
    if let FieldShape::Lines = field.shape {
        text.push_str(field.name);
        text.push_str(":\n");
        let lines = value.as_array().unwrap().iter().map(|line| line.as_str().unwrap().to_string());
        return FieldValue::Lines(lines.map(|line| Placed { at: push_line(text, &line), value: line }).collect());
    }
    push_line(text, &format!("{} = {value}", field.name));
    match field.shape {
        FieldShape::YesNo => FieldValue::YesNo(value.as_bool().unwrap()),
        FieldShape::Count => FieldValue::Count(u32::try_from(value.as_integer().unwrap()).unwrap()),
        FieldShape::Text | FieldShape::OneOf(_) => FieldValue::Text(value.as_str().unwrap().to_string()),
        FieldShape::Size => FieldValue::Size(quantity::read_size(value.as_str().unwrap(), bench).unwrap()),
        FieldShape::Lines => unreachable!("handled above"),
    }
}

/// The feature of an entry, with all that is wrong with it.
pub fn read(kind: &dyn Kind, entry: &Entry, unit: Unit) -> (Option<Box<dyn Feature>>, Vec<Problem>) {
    let instruments = instruments();
    let mut problems = Vec::new();
    let feature = kind.read(entry, &bench(unit, &instruments), &mut problems);
    (feature, problems)
}

/// A case: what is given, what is expected, and who says so.
#[allow(missing_debug_implementations, reason = "a kind has none")]
pub struct Case {
    pub name: String,
    pub kind: &'static dyn Kind,
    pub unit: Unit,
    pub heritage: Heritage,
    pub thickness: Option<Measured<Length>>,
    pub table: toml::Table,
}

impl Case {
    pub fn given(&self) -> &toml::Table {
        self.table["given"].as_table().unwrap_or_else(|| panic!("{}: no [given]", self.name))
    }

    pub fn written(&self) -> Written {
        written(self.kind, self.given(), self.unit)
    }

    pub fn circumstances(&self) -> Circumstances {
        Circumstances { thickness: self.thickness, ..circumstances(self.heritage, self.unit) }
    }

    /// Whether it is a right entry of an original that can be told from its readings.
    pub fn is_sample(&self) -> bool {
        self.table.get("sample").and_then(toml::Value::as_bool).unwrap_or(true) && !self.table.contains_key("problems")
    }
}

/// Where the cases of a kind lie.
pub fn folder(kind: &dyn Kind) -> PathBuf {
    let kind = kind.name().replace(' ', "_");
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("src").join(kind).join("cases")
}

pub fn cases(kind: &'static dyn Kind) -> Vec<Case> {
    let Ok(entries) = std::fs::read_dir(folder(kind)) else { return Vec::new() };
    let mut paths: Vec<PathBuf> = entries.map(|entry| entry.unwrap().path()).collect();
    paths.sort();
    paths.iter().filter(|path| path.extension().is_some_and(|ext| ext == "toml")).map(|path| case(kind, path)).collect()
}

pub fn all_cases() -> impl Iterator<Item = Case> {
    kinds().iter().flat_map(|kind| cases(*kind))
}

fn case(kind: &'static dyn Kind, path: &std::path::Path) -> Case {
    let name = format!("{} / {}", kind.name(), path.file_stem().unwrap().to_string_lossy());
    let table: toml::Table =
        std::fs::read_to_string(path).unwrap().parse().unwrap_or_else(|error| panic!("{name}: {error}"));
    let word = |key: &str| table.get(key).and_then(toml::Value::as_str);
    let known = [
        "about",
        "source",
        "confidence",
        "units",
        "heritage",
        "thickness_mm",
        "sample",
        "problems",
        "given",
        "expected",
        "checked",
        "refused",
    ];
    for key in table.keys() {
        assert!(known.contains(&key.as_str()), "{name}: {key} means nothing here");
    }
    let unit = match word("units") {
        Some("in") => Unit::Inch,
        Some("mm") => Unit::Millimetre,
        other => panic!("{name}: units {other:?}"),
    };
    let heritage = match word("heritage") {
        Some("inch") => Heritage::Inch,
        Some("metric") => Heritage::Metric,
        Some("unknown") => Heritage::Unknown,
        other => panic!("{name}: heritage {other:?}"),
    };
    let thickness = table.get("thickness_mm").and_then(toml::Value::as_float);
    let thickness = thickness.map(|mm| Measured { value: Length::from_mm(mm), sigma: Length::from_mm(0.05) });
    Case { name, kind, unit, heritage, thickness, table }
}

/// The design that the readings make most probable, with its probability; one that is given outright is certain.
pub fn first_design(feature: &dyn Feature, circumstances: &Circumstances) -> Result<(f64, Box<dyn Design>), String> {
    if let Some(design) = feature.given(circumstances) {
        return Ok((1.0, design));
    }
    let recovery = feature.recover(circumstances)?;
    let weighed = findings::weigh(recovery.as_ref()).ok_or("nothing explains the readings")?;
    let first = weighed.findings.first().ok_or("no finding")?;
    Ok((first.probability, recovery.design(first.candidate, &first.free)))
}

/// Problems as they are shown: what is marked, what is said of it, what was expected, what helps.
pub fn told(text: &str, problems: &[Problem]) -> String {
    let mut out = String::new();
    for problem in problems {
        let marked = &text[problem.at.clone()];
        let marked = if problem.at == (0..text.len()) { "the entry" } else { marked };
        out.push_str(&format!("    at: {}\n    {}\n    {}\n", marked.trim_end(), problem.message, problem.expected));
        if let Some(help) = &problem.help {
            out.push_str(&format!("    help: {help}\n"));
        }
    }
    out
}

/// The fields of an entry by name, for a comparison.
pub fn fields(entry: &Entry) -> BTreeMap<&'static str, FieldValue> {
    entry.fields.iter().map(|(name, placed)| (*name, placed.value.clone())).collect()
}
