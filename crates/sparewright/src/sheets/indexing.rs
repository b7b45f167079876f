//! The indexing sheet: a line and a box for every space, and a check after every ten teeth.

use making::indexing::{IndexLine, IndexSheet};
use pack::{Block, Rich, Sheet, Tick};

use super::sheet as blank;

/// Longer lists are set in narrower columns.
const LONG: usize = 24;

pub fn sheet(index: &IndexSheet) -> Sheet {
    let kind = format!("{} spaces of {}, {} indexing", index.cut, index.divisions, index.method.name());
    let mut out = blank("Indexing", &kind);
    let blocks = &mut out.blocks;
    blocks.push(Block::paragraph(Rich::new().strong(index.sentence())));
    blocks.push(Block::paragraph(index.why.clone()));
    if let Some(caution) = index.caution() {
        blocks.push(Block::paragraph(Rich::new().wrong(caution)));
    }
    if let Some(others) = index.others_sentence() {
        blocks.push(Block::paragraph(Rich::new().quiet(others)));
    }
    blocks.push(Block::paragraph("Take up the backlash the same way every time: never turn back to a hole, go round again. Tick each space as it is cut; where the pin stands shows a slip at once."));
    let lines = index.lines.iter().map(|line| {
        let (moved, reading) = (line.sentence(&index.setting, index.ratio), line.reading(&index.setting));
        Tick { label: line.space.to_string(), text: format!("{moved}, {reading}") }
    });
    // three columns hold holes alone; turns or a second move beside them would wrap
    let short = |line: &IndexLine| line.turns == 0 && line.second.is_none();
    let long = index.lines.len() > LONG && index.lines.iter().all(short);
    blocks.push(Block::Ticks { columns: if long { 3 } else { 2 }, ticks: lines.collect() });
    if !index.checks.is_empty() {
        blocks.push(Block::Heading { text: "Running check".into(), beside: "stop here and see that it is so".into() });
        blocks.extend(index.checks.iter().map(|check| Block::paragraph(check.sentence.clone())));
    }
    out
}
