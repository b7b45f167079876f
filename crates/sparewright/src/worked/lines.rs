//! Readings as they were written, each with what it is off by, what is wrong with it, and what would mend it.

use findings::Residual;
use part::Kind;
use quantity::{Bench, Line, Problem};
use toml_edit::{Item, Table, Value};

use crate::job::forms;
use crate::report::{off, value};
use crate::solve::{Found, Outcome, SolvedFeature};

/// One reading.
#[derive(Clone, Debug)]
pub struct ReadLine {
    /// Its place in `readings`; none for what a scan gave.
    pub written: Option<usize>,
    pub text: String,
    /// Places are bytes of `text`.
    pub problems: Vec<Problem>,
    /// What it is off by in its own unit: "+0.0250"; empty where the finding says nothing of it.
    pub off: String,
    pub doubt: Option<Doubt>,
}

/// A reading that looks wrong.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Doubt {
    /// "one turn of the thimble"
    pub guess: String,
    /// "1.3885 in"
    pub would_agree: String,
    /// The line with that in it, if its number could be found.
    pub mended: Option<String>,
    /// The line as a note that weighs nothing.
    pub set_aside: String,
    /// The number in the line, bytes.
    pub at: Option<std::ops::Range<usize>>,
}

pub(super) fn lines(
    table: &Table,
    kind: Option<&'static dyn Kind>,
    found: Option<&SolvedFeature<'_>>,
    bench: &Bench<'_>,
    problems: &[Problem],
) -> Vec<ReadLine> {
    let list = table.get("readings").and_then(Item::as_array);
    let typed = list.into_iter().flat_map(|list| list.iter()).enumerate();
    let mut out: Vec<ReadLine> = typed
        .map(|(index, value)| {
            let text = value.as_str().map_or_else(|| value.to_string().trim().to_string(), str::to_string);
            let inside = |problem: &&Problem| value.span().is_some_and(|place| place.contains(&problem.at.start));
            ReadLine {
                written: Some(index),
                problems: wrong(&text, value, kind, bench, &problems.iter().filter(inside).collect::<Vec<_>>()),
                text,
                off: String::new(),
                doubt: None,
            }
        })
        .collect();
    let Some(feature) = found else { return out };
    // lines of a scan stand behind those that were typed
    let scanned = feature.of.entry.lines.iter().zip(&feature.of.written).filter(|(_, written)| **written >= out.len());
    let scanned: Vec<ReadLine> = scanned
        .map(|(line, _)| ReadLine {
            written: None,
            text: line.value.text.clone(),
            problems: Vec::new(),
            off: String::new(),
            doubt: None,
        })
        .collect();
    out.extend(scanned);
    if let Outcome::Found(found) = &*feature.outcome {
        weigh(&mut out, feature, found, bench);
    }
    out
}

/// What the leading finding says of each line.
fn weigh(out: &mut [ReadLine], feature: &SolvedFeature<'_>, found: &Found, bench: &Bench<'_>) {
    let residuals: &[Residual] =
        found.weighed.findings.first().map(|first| first.residuals.as_slice()).unwrap_or_default();
    for residual in residuals {
        let Some(line) = feature.of.entry.lines.get(residual.reading) else { continue };
        let Some(shown) = out.get_mut(feature.written(residual.reading)) else { continue };
        let difference = residual.observed - residual.predicted;
        let (by, sign) = off(difference, residual.dimension, line.value.value(), bench.unit);
        // the unit stands in the reading itself, but for an angle's
        shown.off = if sign == "°" { format!("{by}{sign}") } else { by };
    }
    for slip in &found.weighed.slips {
        let Some(line) = feature.of.entry.lines.get(slip.reading) else { continue };
        let (agree, sign) = value(slip.would_agree, slip.dimension, line.value.value(), bench.unit);
        let Some(shown) = out.get_mut(feature.written(slip.reading)) else { continue };
        let forms = forms(feature.of.kind);
        let place = number(&line.value, &forms, bench);
        let mended = place.clone().and_then(|place| mended(&line.value, &place, &agree, &forms, bench));
        shown.doubt = Some(Doubt {
            guess: slip.guess.to_string(),
            would_agree: format!("{agree}{sign}"),
            mended,
            set_aside: format!("note set aside: {}", line.value.text),
            at: place,
        });
    }
}

/// What is wrong with a line. The places inside it come from reading it again; what is wrong only among its neighbours is wrong
/// with all of it.
fn wrong(
    text: &str,
    value: &Value,
    kind: Option<&'static dyn Kind>,
    bench: &Bench<'_>,
    problems: &[&Problem],
) -> Vec<Problem> {
    if problems.is_empty() {
        return Vec::new();
    }
    let again = kind.filter(|_| value.is_str()).map(|kind| Line::read(text, &forms(kind), bench));
    match again {
        Some(Err(found)) => found,
        _ => problems.iter().map(|problem| Problem { at: 0..text.len(), ..(*problem).clone() }).collect(),
    }
}

/// Where the measured number stands in a line: the longest run that can be changed and changes only what was measured.
fn number(line: &Line, forms: &[quantity::Form], bench: &Bench<'_>) -> Option<std::ops::Range<usize>> {
    line.value()?;
    let text = &line.text;
    let starts = |index: usize| {
        let before = text[..index].chars().next_back();
        let here = text[index..].chars().next();
        here.is_some_and(|c| c.is_ascii_digit() || c == '.') && !before.is_some_and(|c| c.is_ascii_digit() || c == '.')
    };
    let ends = |index: usize| {
        let before = text[..index].chars().next_back();
        let here = text[index..].chars().next();
        before.is_some_and(|c| c.is_ascii_digit()) && !here.is_some_and(|c| c.is_ascii_digit() || c == '.')
    };
    let at = |wanted: &dyn Fn(usize) -> bool| -> Vec<usize> {
        (0..=text.len()).filter(|index| text.is_char_boundary(*index) && wanted(*index)).collect()
    };
    let (starts, ends) = (at(&starts), at(&ends));
    // another number in its place is read as another value and nothing else
    let stands_for_value = |place: &std::ops::Range<usize>| {
        let changed = format!("{}77.125{}", &text[..place.start], &text[place.end..]);
        Line::read(&changed, forms, bench).is_ok_and(|other| {
            other.pattern == line.pattern
                && other.count() == line.count()
                && other.size() == line.size()
                && other.value() != line.value()
                && other.instrument == line.instrument
                && other.remark == line.remark
        })
    };
    starts
        .iter()
        .flat_map(|start| ends.iter().filter(move |end| *end > start).map(move |end| *start..*end))
        .filter(stands_for_value)
        .max_by_key(|place| place.len())
}

/// The line with the number that would agree, and a remark of what it read first.
fn mended(
    line: &Line,
    place: &std::ops::Range<usize>,
    agree: &str,
    forms: &[quantity::Form],
    bench: &Bench<'_>,
) -> Option<String> {
    let text = &line.text;
    let first = &text[place.clone()];
    let changed = format!("{}{agree}{}", &text[..place.start], &text[place.end..]);
    let changed = match changed.strip_suffix(')').filter(|_| line.remark.is_some()) {
        Some(open) => format!("{open}; first read {first})"),
        None => format!("{changed} (first read {first})"),
    };
    Line::read(&changed, forms, bench).is_ok().then_some(changed)
}
