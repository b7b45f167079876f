//! The strict form of a job file; reading it gives the same job.

use std::fmt::Write;

use part::FieldValue;

use super::{Bed, HERITAGES, Job, JobFeature, Piece, UNITS};
use crate::written::basic_string;

pub fn print(job: &Job) -> String {
    let mut out = String::new();
    line(&mut out, "title", &basic_string(&job.title));
    line(&mut out, "units", &basic_string(word(&UNITS, job.unit)));
    line(&mut out, "heritage", &basic_string(word(&HERITAGES, job.heritage)));
    if let Some(material) = job.material {
        line(&mut out, "material", &basic_string(&material.name));
    }
    if let Some(sign) = job.broke {
        line(&mut out, "broke", &basic_string(&sign.id));
    }
    out.push_str("\n[make]\n");
    if let Some(material) = job.make.material {
        line(&mut out, "material", &basic_string(&material.name));
    }
    line(&mut out, "pieces", &job.make.pieces.to_string());
    line(&mut out, "spares", &job.make.spares.to_string());
    if let Some(notes) = &job.make.notes {
        line(&mut out, "notes", &basic_string(notes));
    }
    if let Some(serves) = &job.make.serves {
        line(&mut out, "serves", &basic_string(serves));
    }
    if let Some(there) = job.make.quoted_elsewhere {
        line(&mut out, "quoted_elsewhere", &format!("{{ price = {}, pieces = {} }}", there.price, there.pieces));
    }
    if let Some(load) = job.load {
        out.push_str("\n[load]\n");
        line(&mut out, "torque", &basic_string(&format!("{} N m", load.torque_nm)));
        if let Some(speed) = load.speed_rpm {
            line(&mut out, "speed", &speed.to_string());
        }
    }
    for outside in &job.outside {
        out.push_str("\n[[outside]]\n");
        line(&mut out, "what", &basic_string(&outside.what));
        line(&mut out, "price", &outside.price.to_string());
        line(&mut out, "each", &outside.each.to_string());
        if let Some(kind) = outside.instead_of {
            line(&mut out, "instead_of", &basic_string(kind.name()));
        }
    }
    if job.bed != Bed::default() {
        out.push_str("\n[scan]\n");
        if let Some(dpi) = job.bed.dpi {
            line(&mut out, "dpi", &format!("{dpi:?}"));
        }
        if let Some(gauge) = &job.bed.gauge {
            line(&mut out, "gauge", &basic_string(&gauge.to_string()));
        }
    }
    for feature in &job.features {
        out.push('\n');
        out.push_str("[[feature]]\n");
        entry(&mut out, feature);
    }
    for mate in &job.mates {
        out.push_str("\n[[mate]]\n");
        let of = job.features.get(mate.of).map_or("", |feature| feature.name.as_str());
        line(&mut out, "of", &basic_string(of));
        if let Some(material) = mate.material {
            line(&mut out, "material", &basic_string(&material.name));
        }
        entry(&mut out, &mate.feature);
    }
    for piece in &job.pieces {
        out.push_str("\n[[piece]]\n");
        self::piece(&mut out, piece, job);
    }
    out
}

fn piece(out: &mut String, piece: &Piece, job: &Job) {
    let name = |feature: &usize| job.features.get(*feature).map_or("", |feature| feature.name.as_str());
    line(out, "number", &piece.number.to_string());
    if let Some(made) = piece.made {
        line(out, "made", &made.to_string());
    }
    if !piece.done.is_empty() {
        line(out, "done", &list(&piece.done.iter().map(|feature| name(feature).to_string()).collect::<Vec<_>>()));
    }
    if let Some(went) = piece.went {
        line(out, "went", &basic_string(went.word()));
    }
    for (field, text) in [("to", &piece.to), ("remark", &piece.remark)] {
        if let Some(text) = text {
            line(out, field, &basic_string(text));
        }
    }
    if !piece.readings.is_empty() {
        out.push_str("[piece.readings]\n");
        for of in &piece.readings {
            let lines: Vec<String> = of.lines.iter().map(|line| line.value.to_string()).collect();
            line(out, &basic_string(name(&of.feature)), &list(&lines));
        }
    }
}

/// What came from a picture is not written again: the picture is.
fn entry(out: &mut String, feature: &JobFeature) {
    let entry = &feature.entry;
    let own = |at: &std::ops::Range<usize>| feature.scan.as_ref().is_none_or(|scan| scan.at != *at);
    line(out, "name", &basic_string(&entry.name));
    line(out, "kind", &basic_string(&entry.kind));
    if let Some(scan) = &feature.scan {
        line(out, "scan", &basic_string(&scan.value));
    }
    for field in feature.kind.fields() {
        if let Some(value) = entry.fields.get(field.name).filter(|value| own(&value.at)) {
            line(out, field.name, &field_value(&value.value));
        }
    }
    let lines: Vec<String> =
        entry.lines.iter().filter(|line| own(&line.at)).map(|line| line.value.to_string()).collect();
    line(out, "readings", &list(&lines));
}

fn field_value(value: &FieldValue) -> String {
    match value {
        FieldValue::YesNo(yes) => yes.to_string(),
        FieldValue::Count(count) => count.to_string(),
        FieldValue::Text(text) => basic_string(text),
        FieldValue::Size(size) => basic_string(&size.to_string()),
        FieldValue::Lines(lines) => list(&lines.iter().map(|line| line.value.clone()).collect::<Vec<_>>()),
    }
}

/// One to a line, as in a notebook.
fn list(texts: &[String]) -> String {
    if texts.is_empty() {
        return "[]".to_string();
    }
    let mut out = String::from("[\n");
    for text in texts {
        out.push_str("  ");
        out.push_str(&basic_string(text));
        out.push_str(",\n");
    }
    out.push(']');
    out
}

fn line(out: &mut String, name: &str, value: &str) {
    // writing to a string does not fail
    let _ = writeln!(out, "{name} = {value}");
}

fn word<T: PartialEq + Copy>(words: &[(&'static str, T)], meaning: T) -> &'static str {
    words.iter().find(|(_, known)| *known == meaning).map_or("", |(word, _)| word)
}
