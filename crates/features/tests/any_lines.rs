//! Whatever can be written is worked with or refused in a sentence; nothing panics, and nothing that comes out is no number.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a line that cannot be read is a failed test")]

mod shared;

use features::kinds;
use part::{Design, FieldShape, FieldValue, Heritage, Kind, Placed};
use proptest::prelude::*;
use proptest::sample::{Index, select};
use quantity::{Form, Length, Line, Unit};
use shared::{bench, circumstances, forms, instruments, read};

/// A slot with something in it. Sizes are drawn about those of one part, since readings of nothing in common seldom get far.
fn filled(item: &'static str) -> BoxedStrategy<String> {
    let size = || {
        prop_oneof![
            4 => (1u32..60_000).prop_map(|mm| format!("{:.3} mm", f64::from(mm) / 1000.0)),
            2 => (1u32..40_000).prop_map(|tenths| format!("{:.4} in", f64::from(tenths) / 10_000.0)),
            1 => (1u32..64, 0u32..3).prop_map(|(part, whole)| format!("{whole} {part}/64")),
            1 => (1u32..80).prop_map(|number| format!("#{number}")),
            1 => (1u32..2_000_000).prop_map(|mm| format!("{mm}e-2 mm").replace("e-2", ".5")),
        ]
        .prop_filter("on the bench", |text| !text.starts_with("0 "))
    };
    match item {
        "{count}" => prop_oneof![8 => 1u32..90, 1 => select(vec![1u32, 2, 3, 4, 400, 9_999])]
            .prop_map(|count| count.to_string())
            .boxed(),
        "{size}" => size().boxed(),
        "{reading}" => prop_oneof![
            6 => size(),
            1 => (1u32..40_000, 1u32..50).prop_map(|(size, more)| {
                let (a, b) = (f64::from(size) / 1000.0, f64::from(size + more) / 1000.0);
                format!("goes {a:.3} mm, not {b:.3} mm")
            }),
            1 => (1u32..40_000).prop_map(|size| {
                let size = f64::from(size) / 1000.0;
                format!("goes {:.3} mm, not {size:.3} mm", size + 0.01)
            }),
        ]
        .boxed(),
        "{angle}" => (-3600i32..=3600).prop_map(|tenths| format!("{:.1}", f64::from(tenths) / 10.0)).boxed(),
        "{pitch}" => {
            select(vec!["10 dp 14.5", "module 2.5", "1/4 cp", "5 dp 20", "module 1"]).prop_map(str::to_string).boxed()
        }
        "{text}" => select(vec!["rusty", "see the sketch"]).prop_map(str::to_string).boxed(),
        words => {
            let word = words.trim_matches(['[', ']']).split('|').next().unwrap_or(words);
            Just(word.to_string()).boxed()
        }
    }
}

fn line(form: Form) -> impl Strategy<Value = String> {
    let items: Vec<BoxedStrategy<String>> = form.0.split(' ').map(filled).collect();
    let tail = select(vec!["", "", ", caliper", ", micrometer", ", worn", " (by eye)"]);
    (items, tail).prop_map(|(items, tail)| items.join(" ") + tail)
}

/// Up to seven lines of any forms of the kind, and for each of its fields an index that says what stands in it.
fn entry(kind: &'static dyn Kind) -> impl Strategy<Value = (Vec<String>, Vec<Index>)> {
    let lines = proptest::collection::vec(select(forms(kind)).prop_flat_map(line), 0..8);
    (lines, proptest::collection::vec(any::<Index>(), kind.fields().len()))
}

fn field(shape: FieldShape, index: Index) -> Option<FieldValue> {
    let texts = ["press bush", "running", "keyed", "nonsense", "loose"];
    Some(match shape {
        FieldShape::YesNo => FieldValue::YesNo(*index.get(&[true, false])),
        FieldShape::Count => FieldValue::Count(*index.get(&[1, 2, 3, 12, 200, 100_000])),
        FieldShape::Text => FieldValue::Text((*index.get(&texts)).to_string()),
        FieldShape::OneOf(words) => FieldValue::Text((*index.get(words)).to_string()),
        FieldShape::Lines => {
            let steps = [
                "start 0 0",
                "line to 1 0",
                "line to 1 1",
                "arc to 0 1 about 0.5 1",
                "line to 0.5 -1",
                "arc to 1 0 about 0 0 clockwise",
            ];
            let from = index.index(steps.len());
            let lines = steps[..1].iter().chain(&steps[from..]);
            FieldValue::Lines(lines.map(|line| Placed { value: (*line).to_string(), at: 0..0 }).collect())
        }
        FieldShape::Size => return None,
    })
}

/// The whole way of an entry, through everything a later stage asks for.
fn walk(kind: &'static dyn Kind, lines: &[String], indices: &[Index]) {
    let instruments = instruments();
    let bench = bench(Unit::Millimetre, &instruments);
    let forms = forms(kind);
    let mut entry = part::Entry { name: "it".into(), kind: kind.name().into(), ..part::Entry::default() };
    for text in lines {
        match Line::read(text, &forms, &bench) {
            Ok(line) => entry.lines.push(Placed { value: line, at: 0..0 }),
            Err(problems) => assert!(!problems.is_empty(), "{text} was refused without a word"),
        }
    }
    for (field_of, index) in kind.fields().iter().zip(indices) {
        // one time in three a field is left out
        if index.index(3) > 0
            && let Some(value) = field(field_of.shape, *index)
        {
            entry.fields.insert(field_of.name, Placed { value, at: 0..0 });
        }
    }
    let (feature, _) = read(kind, &entry, Unit::Millimetre);
    let Some(feature) = feature else { return };
    for heritage in [Heritage::Inch, Heritage::Unknown] {
        let circumstances = circumstances(heritage, Unit::Inch);
        if let Some(design) = feature.given(&circumstances) {
            look_at(design.as_ref(), &entry);
        }
        let Ok(recovery) = feature.recover(&circumstances) else { continue };
        let Some(weighed) = findings::weigh(recovery.as_ref()) else { continue };
        let probabilities = weighed.findings.iter().map(|finding| finding.probability).chain([weighed.no_standard]);
        assert!(probabilities.into_iter().all(|part| (0.0..=1.0 + 1e-9).contains(&part)));
        for finding in weighed.findings.iter().take(2) {
            look_at(recovery.design(finding.candidate, &finding.free).as_ref(), &entry);
        }
    }
}

fn look_at(design: &dyn Design, entry: &part::Entry) {
    for unit in [Unit::Inch, Unit::Millimetre] {
        let mut said = vec![design.sentence(unit)];
        said.extend(design.remarks(unit));
        said.extend(design.data(unit).into_iter().map(|line| line.value));
        for text in said {
            assert!(!text.contains("NaN") && !text.contains("inf "), "{text}");
        }
        for characteristic in design.characteristics(unit) {
            let limits = [Some(characteristic.nominal), characteristic.lower, characteristic.upper];
            assert!(limits.into_iter().flatten().map(Length::mm).all(f64::is_finite), "{characteristic:?}");
        }
        let _ = design.drawn(unit);
    }
    let shapes = design.shapes();
    let _ = (design.cuts(), design.record());
    for placed in &entry.lines {
        if let Some(probe) = design.probe(&placed.value) {
            let _ = probe.measure(&shapes);
        }
    }
}

/// Enough to come by every form many times, few enough to stay within seconds.
const CASES: u32 = 32;

fn explore(kind: &'static dyn Kind) {
    let config =
        ProptestConfig { cases: CASES, max_shrink_iters: 200, failure_persistence: None, ..ProptestConfig::default() };
    let mut runner = proptest::test_runner::TestRunner::new(config);
    let outcome = runner.run(&entry(kind), |(mut lines, indices)| {
        if kind.name() == "toothed rim" {
            // with neither teeth counted nor tips measured every wheel there is gets weighed, which takes seconds
            lines.push("31 teeth".into());
        }
        walk(kind, &lines, &indices);
        Ok(())
    });
    if let Err(failure) = outcome {
        panic!("{}: {failure}", kind.name());
    }
}

#[test]
fn any_lines_of_any_kind() {
    for kind in kinds() {
        explore(*kind);
    }
}
