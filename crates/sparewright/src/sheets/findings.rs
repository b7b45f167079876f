//! What it was made to be, and why: every reading with its residual, slips where they stand, what to measure next.

use pack::{Block, Column, Rich, Row, Sheet, Table, Tone};
use quantity::Unit;

use super::{Work, sheet as blank};
use crate::report::{in_100, off, value};
use crate::solve::{Found, Outcome, SolvedFeature};

pub fn sheet(work: &Work<'_>) -> Sheet {
    let mut out = blank("Findings", "what it was made to be, and why");
    out.blocks.extend(super::stop(work));
    let own = work.solved.features.iter().map(|feature| (feature.of.kind.name().to_string(), feature));
    let mates = work.solved.mates().map(|(of, mate)| (format!("runs with {of}; not made",), mate));
    for (beside, feature) in own.chain(mates) {
        out.blocks.push(Block::Heading { text: capital(&feature.of.name), beside });
        match &*feature.outcome {
            Outcome::Given(design) => {
                let text = Rich::new().plain(format!("{}. ", design.sentence(work.unit())));
                out.blocks.push(Block::paragraph(text.quiet(design.remarks(work.unit()).join(" "))));
            }
            Outcome::Nothing(why) => out.blocks.push(Block::paragraph(Rich::new().wrong(why))),
            Outcome::Found(found) => out.blocks.extend(found_blocks(feature, found, work.unit())),
        }
    }
    out
}

/// Rivals told on paper; the rest only matter to the JSON.
const MOST_TOLD: usize = 3;

fn found_blocks(feature: &SolvedFeature<'_>, found: &Found, unit: Unit) -> Vec<Block> {
    let mut out = Vec::new();
    for (index, (finding, design)) in found.weighed.findings.iter().zip(&found.designs).take(MOST_TOLD).enumerate() {
        let mut text = Rich::new().strong(design.sentence(unit)).plain(". ");
        if index == 0 {
            text = text.quiet(design.remarks(unit).join(" "));
        } else {
            text = Rich::new().plain(design.sentence(unit)).plain(". ").quiet(against(feature, finding, unit));
        }
        out.push(Block::Probability { in_100: in_100(finding.probability), text, minor: index > 0 });
    }
    if found.weighed.no_standard >= 0.005 && found.weighed.findings.first().is_some_and(|first| first.standard) {
        out.push(Block::Probability {
            in_100: in_100(found.weighed.no_standard),
            text: "No standard design.".into(),
            minor: true,
        });
    }
    let others = found.other_names(unit);
    if !others.is_empty() {
        out.push(Block::paragraph(format!("The same part by other names: {}.", others.join("; "))));
    }
    for sentence in [found.cut_too(unit), found.known_anyway(unit)].into_iter().flatten() {
        out.push(Block::paragraph(Rich::new().quiet(sentence)));
    }
    out.push(Block::Table(readings(feature, found, unit)));
    for slip in &found.weighed.slips {
        if let Some(line) = feature.of.entry.lines.get(slip.reading) {
            let (agree, sign) = value(slip.would_agree, slip.dimension, line.value.value(), unit);
            out.push(Block::paragraph(
                Rich::new()
                    .wrong(format!("{} looks wrong: {}. ", line.value.text, slip.guess))
                    .plain(format!("{agree}{sign} would agree with everything else. Measure it again before cutting.")),
            ));
        }
    }
    if let Some(next) = found.next.first() {
        let safe = if found.is_safe() { " Safe to cut without it." } else { "" };
        out.push(Block::paragraph(
            Rich::new()
                .plain("Measure next: ")
                .strong(next.line.clone())
                .plain(format!(" ({:.1} bit). It {}.{safe}", next.gain_bits, next.why)),
        ));
    } else if found.is_safe() {
        out.push(Block::paragraph("Safe to cut: no further reading of this shop would tell more."));
    }
    out
}

/// The reading that speaks loudest against a finding.
pub(crate) fn against(feature: &SolvedFeature<'_>, finding: &findings::Finding, unit: Unit) -> String {
    let worst = finding.residuals.iter().max_by(|a, b| {
        let z = |r: &findings::Residual| ((r.observed - r.predicted) / r.sigma).abs();
        z(a).total_cmp(&z(b))
    });
    let Some(worst) = worst.filter(|worst| ((worst.observed - worst.predicted) / worst.sigma).abs() > 1.5) else {
        return "No reading speaks against it; it is the less usual design.".into();
    };
    let Some(line) = feature.of.entry.lines.get(worst.reading) else {
        return String::new();
    };
    let (by, sign) = off(worst.observed - worst.predicted, worst.dimension, line.value.value(), unit);
    format!("Speaks against it: {}, off by {by} {sign}.", line.value.text)
}

fn readings(feature: &SolvedFeature<'_>, found: &Found, unit: Unit) -> Table {
    let residuals = found.weighed.findings.first().map(|finding| finding.residuals.as_slice()).unwrap_or_default();
    let rows = feature.of.entry.lines.iter().enumerate().map(|(index, line)| {
        let read = Rich::new().mono(line.value.text.clone());
        let Some(residual) = residuals.iter().find(|residual| residual.reading == index) else {
            return Row { cells: vec![read, Rich::new(), Rich::new()], tone: Tone::Plain };
        };
        let (expected, sign) = value(residual.predicted, residual.dimension, line.value.value(), unit);
        let (off, _) = off(residual.observed - residual.predicted, residual.dimension, line.value.value(), unit);
        let slip = found.weighed.slips.iter().any(|slip| slip.reading == index);
        Row {
            cells: vec![read, format!("{expected}{sign}").into(), off.into()],
            tone: if slip { Tone::Wrong } else { Tone::Plain },
        }
    });
    Table {
        columns: vec![Column::words(1.0), Column::figures(), Column::figures()],
        header: vec!["reading, as it was taken".into(), "the finding predicts".into(), "off by".into()],
        rows: rows.collect(),
    }
}

pub fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| first.to_uppercase().chain(chars).collect())
}
