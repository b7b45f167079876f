//! Every case in every kind's `cases` folder: what is given, what is expected, and who says so.
//!
//! Figures are written as text, as their source prints them; they hold within half of their last digit.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a case that cannot be read is a failed test")]

mod shared;

use features::kinds;
use serde_json::Value;
use shared::{Case, cases, first_design, read, told};

#[test]
fn every_kind_has_cases() {
    for kind in kinds() {
        let count = cases(*kind).len();
        assert!(count >= 3, "{} has {count} cases in {}", kind.name(), shared::folder(*kind).display());
    }
}

#[test]
fn every_case_comes_out() {
    let mut wrong = Vec::new();
    for case in shared::all_cases() {
        for key in ["about", "source", "confidence"] {
            if case.table.get(key).and_then(toml::Value::as_str).is_none_or(str::is_empty) {
                wrong.push(format!("{}: {key} is not said", case.name));
            }
        }
        let confidence = case.table.get("confidence").and_then(toml::Value::as_str).unwrap_or_default();
        if !["published", "memory", "computed", "practice"].contains(&confidence) {
            wrong.push(format!("{}: confidence `{confidence}`", case.name));
        }
        wrong.extend(run(&case).into_iter().map(|fault| format!("{}: {fault}", case.name)));
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// What does not come out as expected.
fn run(case: &Case) -> Vec<String> {
    let written = case.written();
    let (feature, found) = read(case.kind, &written.entry, case.unit);
    let problems = [written.problems, found].concat();
    let expected_problems: Vec<&str> = case
        .table
        .get("problems")
        .and_then(toml::Value::as_array)
        .into_iter()
        .flatten()
        .filter_map(|p| p.as_str())
        .collect();
    let said: Vec<&str> = problems.iter().map(|problem| problem.message.as_str()).collect();
    if said != expected_problems {
        return vec![format!("problems\n{}", told(&written.text, &problems))];
    }
    let Some(expected) = case.table.get("expected").and_then(toml::Value::as_table) else {
        return if expected_problems.is_empty() { vec!["nothing is expected".into()] } else { Vec::new() };
    };
    let Some(feature) = feature else { return vec!["no feature".into()] };
    let (probability, design) = match first_design(feature.as_ref(), &case.circumstances()) {
        Ok(found) => found,
        Err(why) => return vec![why],
    };
    let mut faults = Vec::new();
    let record = design.record();
    for (key, value) in expected {
        let got = match key.as_str() {
            "probability" => {
                let least: f64 = value.as_str().unwrap().parse().unwrap();
                if probability < least {
                    faults
                        .push(format!("probability {probability:.4} is below {least}: {}", design.sentence(case.unit)));
                }
                continue;
            }
            "sentence" => Some(Value::String(design.sentence(case.unit))),
            key => record.get(key).cloned(),
        };
        if !got.as_ref().is_some_and(|got| agrees(value, got)) {
            faults.push(format!("{key}: expected {value}, found {}", got.unwrap_or(Value::Null)));
        }
    }
    let characteristics = design.characteristics(case.unit);
    for checked in case.table.get("checked").and_then(toml::Value::as_array).into_iter().flatten() {
        let name = checked["name"].as_str().unwrap();
        let Some(found) = characteristics.iter().find(|characteristic| characteristic.name == name) else {
            let names: Vec<&str> = characteristics.iter().map(|c| c.name.as_str()).collect();
            faults.push(format!("`{name}` is not measured: {names:?}"));
            continue;
        };
        for (key, got) in [("nominal_mm", Some(found.nominal)), ("lower_mm", found.lower), ("upper_mm", found.upper)] {
            if let Some(value) = checked.get(key) {
                let got = got.map_or(Value::Null, |got| serde_json::json!(got.mm()));
                if !agrees(value, &got) {
                    faults.push(format!("{name}, {key}: expected {value}, found {got}"));
                }
            }
        }
    }
    faults
}

/// Figures within half of the last digit printed, anything else to the letter.
fn agrees(expected: &toml::Value, got: &Value) -> bool {
    match (expected, got) {
        (toml::Value::Integer(expected), Value::Number(got)) => got.as_f64() == Some(*expected as f64),
        (toml::Value::Boolean(expected), Value::Bool(got)) => expected == got,
        (toml::Value::String(expected), Value::Number(got)) => match (expected.parse::<f64>(), got.as_f64()) {
            (Ok(figure), Some(got)) => {
                let places = expected.split_once('.').map_or(0, |(_, places)| places.len());
                (figure - got).abs() <= 0.5 * 0.1f64.powi(places as i32) * (1.0 + 1e-6)
            }
            _ => false,
        },
        (toml::Value::String(expected), Value::String(got)) => expected == got,
        (toml::Value::Table(expected), Value::Object(got)) => {
            expected.iter().all(|(key, value)| got.get(key).is_some_and(|got| agrees(value, got)))
        }
        _ => false,
    }
}
