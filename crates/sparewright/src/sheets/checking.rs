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
    out.blocks.extend(super::stop(work));
    let more = work.solved.job.make.pieces + work.solved.job.make.spares;
    if more > pieces {
        out.blocks.push(Block::paragraph(format!("For pieces {} to {more} use copies of this sheet.", pieces + 1)));
    }
    let of_features = work
        .solved
        .features
        .iter()
        .filter_map(|feature| Some((feature.of.name.as_str(), feature.design()?.characteristics(unit))));
    let whole = ("the part", work.solved.thickness_made().into_iter().collect::<Vec<_>>());
    for (name, characteristics) in std::iter::once(whole).chain(of_features) {
        if characteristics.is_empty() {
            continue;
        }
        out.blocks.push(Block::Heading { text: capital(name), beside: String::new() });
        out.blocks.push(Block::Table(table(&characteristics, pieces, work)));
        out.blocks.extend(
            characteristics.iter().map(|characteristic| Block::paragraph(Rich::new().quiet(note(characteristic)))),
        );
    }
    out.blocks.push(Block::WriteIn { labels: vec!["Checked by".into(), "Date".into()] });
    out
}

fn table(characteristics: &[Characteristic], pieces: u32, work: &Work<'_>) -> Table {
    let unit = work.unit();
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
            let lower = if c.lower.is_none() { "–".into() } else { size(c.lower) };
            Row::new([c.name.clone(), lower, size(c.upper), measured_with(c, work)])
        })
        .collect();
    Table { columns, header, rows }
}

/// What the plan ends its last operation with: an instrument that the shop owns.
fn measured_with(characteristic: &Characteristic, work: &Work<'_>) -> String {
    let last = work.plan.operations.last();
    let planned = last.and_then(|last| last.checks.iter().find(|check| check.what == characteristic.name));
    planned.map_or_else(|| gauging(&characteristic.gauging, work.unit()), |check| check.instrument.label.clone())
}

fn gauging(gauging: &Gauging, unit: Unit) -> String {
    match gauging {
        Gauging::Caliper => "caliper".into(),
        Gauging::Micrometer => "micrometer".into(),
        Gauging::DepthMicrometer => "depth micrometer".into(),
        Gauging::PlainGauges => "pin or plug gauges".into(),
        Gauging::OverPins { pin } => format!("micrometer, {} pin", print::length(*pin, unit, 3)),
        Gauging::Rule => "rule".into(),
        Gauging::Indicator => "indicator".into(),
        Gauging::Template => "template".into(),
        Gauging::Mate => "the mating part".into(),
    }
}

fn note(characteristic: &Characteristic) -> String {
    let how = if characteristic.how.is_empty() { String::new() } else { format!(" {}", characteristic.how) };
    format!("{}:{how} ({})", capital(&characteristic.name), characteristic.source)
}
