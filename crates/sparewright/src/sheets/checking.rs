//! The checking sheet: what is measured on each piece, with limits and room for the figures.

use pack::{Block, Column, Rich, Row, Sheet, Table, Width};
use part::{Characteristic, Gauging};
use quantity::{Length, Unit, print};

use super::findings::capital;
use super::{Work, sheet as blank};

/// Columns for pieces on one sheet; more pieces are written on a copy.
const MOST_COLUMNS: u32 = 4;

pub fn sheet(work: &Work<'_>) -> Sheet {
    let unit = work.unit();
    let mut out = blank("Checking", "what to measure on each piece, and the limits");
    let pieces = (work.solved.job.make.pieces + work.solved.job.make.spares).clamp(1, MOST_COLUMNS);
    for feature in &work.solved.features {
        let Some(design) = feature.design() else {
            continue;
        };
        let characteristics = design.characteristics(unit);
        if characteristics.is_empty() {
            continue;
        }
        out.blocks.push(Block::Heading { text: capital(&feature.of.name), beside: String::new() });
        out.blocks.push(Block::Table(table(&characteristics, pieces, unit)));
        out.blocks.extend(
            characteristics.iter().map(|characteristic| Block::paragraph(Rich::new().quiet(note(characteristic)))),
        );
    }
    out.blocks.push(Block::WriteIn { labels: vec!["Checked by".into(), "Date".into()] });
    out
}

fn table(characteristics: &[Characteristic], pieces: u32, unit: Unit) -> Table {
    let mut columns = vec![Column::words(1.6), Column::figures(), Column::figures(), Column::words(1.0)];
    let mut header: Vec<Rich> = vec![
        (match unit {
            Unit::Inch => "sizes in inches",
            Unit::Millimetre => "sizes in millimetres",
        })
        .into(),
        "from".into(),
        "to".into(),
        "with".into(),
    ];
    for piece in 1..=pieces {
        columns.push(Column::figures().width(Width::Mm(13.0)));
        header.push(format!("no. {piece}").into());
    }
    let size = |length: Option<Length>| length.map_or_else(String::new, |length| print::figures(length, unit, 3));
    let rows = characteristics
        .iter()
        .map(|c| {
            let lower = if c.lower.is_none() { String::new() } else { size(c.lower) };
            Row::new([c.name.clone(), lower, size(c.upper), gauging(&c.gauging, unit)])
        })
        .collect();
    Table { columns, header, rows }
}

fn gauging(gauging: &Gauging, unit: Unit) -> String {
    match gauging {
        Gauging::Caliper => "caliper".into(),
        Gauging::Micrometer => "micrometer".into(),
        Gauging::DepthMicrometer => "depth micrometer".into(),
        Gauging::PlainGauges => "pin or plug gauges".into(),
        Gauging::OverPins { pin } => format!("micrometer, {} pin", print::length(*pin, unit, 3)),
        Gauging::Rule => "rule".into(),
        Gauging::Template => "template".into(),
        Gauging::Mate => "the mating part".into(),
    }
}

fn note(characteristic: &Characteristic) -> String {
    let how = if characteristic.how.is_empty() { String::new() } else { format!(" {}", characteristic.how) };
    format!("{}:{how} ({})", capital(&characteristic.name), characteristic.source)
}
