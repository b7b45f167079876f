//! What a job is found by: its words, what its parts were found to be, what was read on them.
//!
//! No kind is named here: a design's fields in the machine-readable result carry their names and units.

use making::shop::Shop;
use part::Design;
use quantity::Line;
use record::{Fact, Facts};
use serde_json::{Map, Value};

use crate::job::{self, Job, Pictures};
use crate::shop::bench;
use crate::solve::{Outcome, Solved, SolvedFeature, solve};

/// Changed whenever the facts of an unchanged job would come out otherwise, so that they are made anew.
pub const SCHEME: &str = "2";

/// What a number's name ends with, which says what it counts.
pub(super) const MM: &str = " mm";
pub(super) const DEGREES: &str = " deg";
/// Any length at all.
pub(super) const ANY: &str = "size mm";

/// A finding less probable is not what the part will be looked for as.
const WORTH_FINDING: f64 = 0.05;
/// How far off a length may be that comes with no limits: a part is measured again with a caliper (common practice).
const LENGTH_DOUBT: f64 = 0.02;
/// Of a tooth size; the nearest standard sizes differ by more than ten times this.
const MODULE_DOUBT: f64 = 0.001;
const ANGLE_DOUBT: f64 = 0.05;
/// Sentences in a summary.
const MOST_SAID: usize = 3;

/// The facts of a job's text. There are some of any text, since it may be looked for just because it is broken.
pub fn facts(text: &str, shop: &Shop, pictures: &dyn Pictures) -> Facts {
    let (job, _) = job::read_with(text, features::kinds(), &shop.instruments, pictures);
    job.map_or_else(|| facts_of_broken(text), |job| facts_of(&solve(&job, shop), shop))
}

/// Of a text that cannot be read as a job.
pub fn facts_of_broken(text: &str) -> Facts {
    Facts { title: job::UNTITLED.into(), words: text.into(), ..Facts::default() }
}

pub fn facts_of(solved: &Solved<'_>, shop: &Shop) -> Facts {
    let job = solved.job;
    let mut numbers = Vec::new();
    for feature in solved.features.iter().chain(&solved.mates) {
        numbers.extend(found(feature));
        numbers.extend(feature.of.entry.lines.iter().flat_map(|line| read(feature, &line.value, job, shop)));
    }
    numbers.sort_by(|a, b| a.what.cmp(&b.what).then(a.value.total_cmp(&b.value)));
    numbers.dedup();
    Facts { title: job.title.clone(), summary: summary(solved), words: words(job, solved).join(" "), numbers }
}

/// What the part is, in a line.
fn summary(solved: &Solved<'_>) -> String {
    let unit = solved.job.unit;
    let designs = solved.features.iter().filter_map(SolvedFeature::design);
    // an outline says nothing that anybody looks for
    let said = designs.filter(|design| !design.data(unit).is_empty()).map(|design| design.sentence(unit));
    let mut said: Vec<String> = said.take(MOST_SAID).collect();
    said.extend(solved.job.make.material.map(|material| material.name.clone()));
    said.join("; ")
}

fn words(job: &Job, solved: &Solved<'_>) -> Vec<String> {
    let materials = [job.material, job.make.material].into_iter().flatten();
    let mut out: Vec<String> = materials.flat_map(|material| [material.name.clone()]).collect();
    out.extend([&job.make.notes, &job.make.serves].into_iter().flatten().cloned());
    out.extend(job.outside.iter().map(|outside| outside.what.clone()));
    for feature in solved.features.iter().chain(&solved.mates) {
        out.push(feature.of.name.clone());
        out.push(feature.of.kind.name().to_string());
        out.extend(feature.of.entry.lines.iter().map(|line| line.value.text.clone()));
        out.extend(designs(feature).map(|design| design.sentence(job.unit)));
    }
    out
}

/// Whatever it may have been made to be.
fn designs<'a>(feature: &'a SolvedFeature<'_>) -> Box<dyn Iterator<Item = &'a dyn Design> + 'a> {
    match &*feature.outcome {
        Outcome::Found(found) => {
            let likely = found.weighed.findings.iter().zip(&found.designs);
            Box::new(
                likely.filter(|(finding, _)| finding.probability >= WORTH_FINDING).map(|(_, design)| design.as_ref()),
            )
        }
        Outcome::Given(design) => Box::new(std::iter::once(design.as_ref())),
        Outcome::Nothing(_) => Box::new(std::iter::empty()),
    }
}

/// The numbers of what it may have been made to be.
fn found(feature: &SolvedFeature<'_>) -> Vec<Fact> {
    let kind = feature.of.kind.name();
    let mut out: Vec<Fact> = designs(feature).flat_map(|design| of_design(kind, &design.record())).collect();
    if let Outcome::Found(found) = &*feature.outcome {
        for known in &found.weighed.known {
            if let Some((name, MM)) = field_name(known.name) {
                out.extend(lengths(kind, &name, known.value, 2.0 * known.sigma));
            }
        }
    }
    out
}

fn of_design(kind: &str, record: &Map<String, Value>) -> Vec<Fact> {
    let number = |name: &str| record.get(name).and_then(Value::as_f64);
    let limits = (number("smallest_mm"), number("largest_mm"));
    let mut out = Vec::new();
    for (key, value) in record {
        let Some(number) = value.as_f64() else { continue };
        match field_name(key) {
            // the limits are the diameter's tolerance
            Some((name, _)) if ["smallest", "largest"].contains(&name.as_str()) => {}
            Some((name, DEGREES)) => out.push(Fact { what: name + DEGREES, value: number, tolerance: ANGLE_DOUBT }),
            Some((name, _)) => {
                let doubt = match (name.as_str(), limits) {
                    ("diameter", (Some(low), Some(high))) => f64::max(number - low, high - number).max(LENGTH_DOUBT),
                    ("module", _) => number * MODULE_DOUBT,
                    _ => LENGTH_DOUBT,
                };
                out.extend(lengths(kind, &name, number, doubt));
            }
            None if value.is_u64() => {
                let what = if key == "count" { kind.to_string() } else { key.replace('_', " ") };
                out.push(Fact { what, value: number, tolerance: 0.0 });
            }
            None => {}
        }
    }
    out
}

/// `tip_diameter_mm` is the tip diameter, in mm.
fn field_name(key: &str) -> Option<(String, &'static str)> {
    [("_mm", MM), ("_deg", DEGREES)]
        .into_iter()
        .find_map(|(end, unit)| Some((key.strip_suffix(end)?.replace('_', " "), unit)))
}

/// A length under the names it may be asked for by.
fn lengths(kind: &str, name: &str, value: f64, tolerance: f64) -> Vec<Fact> {
    let mut names = vec![name, "size"];
    match name {
        // a bore's diameter is "the bore"
        "diameter" => names.push(kind.trim_end_matches('s')),
        "tip diameter" => names.push("outside diameter"),
        "outside diameter" => names.push("tip diameter"),
        _ => {}
    }
    names.into_iter().map(|name| Fact { what: format!("{name}{MM}"), value, tolerance }).collect()
}

/// What was read, where the line is nothing but a name and a size.
fn read(feature: &SolvedFeature<'_>, line: &Line, job: &Job, shop: &Shop) -> Vec<Fact> {
    let Some(name) = line.pattern.0.strip_suffix(" {reading}").filter(|name| !name.contains('{')) else {
        return Vec::new();
    };
    let first = |word: &'static str| word.split('|').next().unwrap_or(word);
    let words: Vec<&str> = name.split(' ').filter(|word| !word.starts_with('[')).map(first).collect();
    let length =
        line.value().and_then(|value| value.length(&bench(job.unit, &shop.instruments), line.instrument.as_deref()));
    length
        .map(|length| lengths(feature.of.kind.name(), &words.join(" "), length.value.mm(), 2.0 * length.sigma.mm()))
        .unwrap_or_default()
}
