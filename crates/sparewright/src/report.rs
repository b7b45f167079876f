//! The findings in words, for the terminal.

use part::Dimension;
use quantity::{Angle, Length, Unit, Value, print};

use crate::designed::words;
use crate::solve::{Found, Outcome, Solved, SolvedFeature};

pub fn report(solved: &Solved<'_>) -> String {
    let mut out = format!("{}\n", solved.job.title);
    let mates = solved.mates().map(|(of, mate)| (format!("{}, which runs with {of}", mate.of.name), mate));
    let own = solved.features.iter().map(|feature| (feature.of.name.clone(), feature));
    for (name, feature) in own.chain(mates) {
        out.push_str(&format!("\n{name} ({})\n", feature.of.kind.name()));
        match &*feature.outcome {
            Outcome::Given(design) => out.push_str(&format!("  {}.\n", design.sentence(solved.job.unit))),
            Outcome::Nothing(why) => out.push_str(&format!("  {why}\n")),
            Outcome::Found(found) => out.push_str(&found_in_words(feature, found, solved.job.unit)),
        }
    }
    out.push_str(&joints(solved));
    out.push_str(&teeth(solved));
    out
}

/// Where the part is pressed or shrunk: what the way taken does.
fn joints(solved: &Solved<'_>) -> String {
    let unit = solved.job.unit;
    let mut out = String::new();
    for joint in solved.designed.joints.iter().filter(|joint| joint.ways.iter().any(|way| way.grip.is_some())) {
        out.push_str(&format!("\n{} sits by {}\n", joint.feature, joint.classes));
        out.push_str(&format!("  {}\n", words::taken(joint, unit)));
        let lines = words::compared(joint, unit);
        let longest = lines.iter().map(|line| line.name.chars().count()).max().unwrap_or(0);
        for line in &lines {
            let said = line.each.first().map_or("", String::as_str);
            out.push_str(&format!("  {:<longest$}   {said}\n", line.name));
        }
        let told =
            words::warnings(joint, unit).into_iter().chain(words::to_ream(joint, unit)).chain(words::supposed(joint));
        out.extend(told.map(|sentence| format!("  {sentence}\n")));
    }
    out
}

/// How the teeth run and what they carry.
fn teeth(solved: &Solved<'_>) -> String {
    let mut out = String::new();
    for teeth in &solved.designed.teeth {
        out.push_str(&format!("\ndesign of {}\n", teeth.feature));
        out.extend(teeth.in_short().into_iter().map(|sentence| format!("  {sentence}\n")));
    }
    out
}

/// Rivals told on the terminal; all of them are in the JSON.
const MOST_TOLD: usize = 6;

fn found_in_words(feature: &SolvedFeature<'_>, found: &Found, unit: Unit) -> String {
    let mut out = String::new();
    for (finding, design) in found.weighed.findings.iter().zip(&found.designs).take(MOST_TOLD) {
        out.push_str(&format!("  {:>5} in 100   {}\n", in_100(finding.probability), design.sentence(unit)));
    }
    let leads = found.weighed.findings.first().is_some_and(|first| !first.standard);
    if found.weighed.no_standard >= 0.0005 && !leads {
        out.push_str(&format!("  {:>5} in 100   no standard design\n", in_100(found.weighed.no_standard)));
    }
    for remark in found.designs.first().map(|design| design.remarks(unit)).unwrap_or_default() {
        out.push_str(&format!("  {remark}\n"));
    }
    let others = found.other_names(unit);
    if !others.is_empty() {
        out.push_str(&format!("  The same part by other names: {}.\n", others.join("; ")));
    }
    for sentence in [found.cut_too(unit), found.known_anyway(unit)].into_iter().flatten() {
        out.push_str(&format!("  {sentence}\n"));
    }
    if let Some(first) = found.weighed.findings.first() {
        let longest = feature.of.entry.lines.iter().map(|line| line.value.text.chars().count()).max().unwrap_or(0);
        out.push('\n');
        for residual in &first.residuals {
            let Some(line) = feature.of.entry.lines.get(residual.reading) else {
                continue;
            };
            let (off, _) = off(residual.observed - residual.predicted, residual.dimension, line.value.value(), unit);
            let slip = found.weighed.slips.iter().find(|slip| slip.reading == residual.reading);
            let mark = slip.map_or_else(String::new, |slip| {
                let (agree, unit) = value(slip.would_agree, slip.dimension, line.value.value(), unit);
                format!("   a slip? {}; {agree}{unit} would agree", slip.guess)
            });
            let width = longest;
            out.push_str(&format!("  {:<width$}   {off:>9}{mark}\n", line.value.text));
        }
    }
    match (found.next.first(), found.is_safe()) {
        (Some(next), safe) => {
            out.push_str(&format!("\n  Measure next: {} ({:.1} bit): {}.\n", next.line, next.gain_bits, next.why));
            if safe {
                out.push_str("  Safe to cut without it.\n");
            }
        }
        (None, true) => out.push_str("\n  Safe to cut: no further reading would tell more.\n"),
        (None, false) => {}
    }
    out
}

/// A probability as a number in 100, with as many figures as it deserves; never "100" for what is not certain.
pub fn in_100(probability: f64) -> String {
    let percent = 100.0 * probability;
    if percent > 99.9 {
        ">99.9".into()
    } else if percent < 0.1 {
        "<0.1".into()
    } else if !(1.0..=99.0).contains(&percent) {
        format!("{percent:.1}")
    } else {
        format!("{percent:.0}")
    }
}

/// A difference in the unit of the reading and as finely as it was read.
pub fn off(difference: f64, dimension: Dimension, read: Option<&Value>, unit: Unit) -> (String, &'static str) {
    match dimension {
        _ if !difference.is_finite() => ("–".into(), ""),
        Dimension::Angle => (format!("{:+.1}", difference.to_degrees()), "°"),
        Dimension::Length => {
            let (unit, places) = fineness(read, unit);
            (print::signed(Length::from_mm(difference), unit, places), unit.sign())
        }
    }
}

/// A value in the unit of the reading and as finely as it was read.
pub fn value(value: f64, dimension: Dimension, read: Option<&Value>, unit: Unit) -> (String, String) {
    match dimension {
        _ if !value.is_finite() => ("nothing".into(), String::new()),
        Dimension::Angle => (print::angle(Angle::from_radians(value)), String::new()),
        Dimension::Length => {
            let (unit, places) = fineness(read, unit);
            (print::figures(Length::from_mm(value), unit, places), format!(" {}", unit.sign()))
        }
    }
}

/// The unit a reading was written in and the millimetre places that match its last figure.
fn fineness(read: Option<&Value>, unit: Unit) -> (Unit, usize) {
    let unit = read.and_then(Value::unit).unwrap_or(unit);
    let last = read.and_then(Value::last_place).filter(|last| *last > Length::ZERO);
    let places = last.map_or(3, |last| {
        let places = -(last / unit.one()).log10();
        let places = places.ceil().clamp(0.0, 4.0) as usize;
        // `print` counts places in millimetres and gives inches one more
        if unit == Unit::Inch { places.saturating_sub(1).max(2) } else { places }
    });
    (unit, places)
}
