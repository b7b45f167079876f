//! The indexing sheet: a line and a box for every space.

use making::indexing::IndexSheet;
use pack::{Block, Rich, Sheet, Tick};

use super::sheet as blank;

pub fn sheet(index: &IndexSheet) -> Sheet {
    let mut out = blank("Indexing", &format!("{} spaces of {}", index.cut, index.divisions));
    out.blocks.push(Block::paragraph(Rich::new().strong(index.sentence())));
    out.blocks.push(Block::paragraph(index.why.clone()));
    if let Some(caution) = index.caution() {
        out.blocks.push(Block::paragraph(Rich::new().wrong(caution)));
    }
    if !index.others.is_empty() {
        let others: Vec<String> = index.others.iter().map(|setting| setting.short()).collect();
        out.blocks.push(Block::paragraph(Rich::new().quiet(format!("Exact too: {}.", others.join("; ")))));
    }
    out.blocks.push(Block::paragraph("Take up the backlash the same way every time: never turn back to a hole, go round again. Tick each space as it is cut; the hole the pin stands in shows a slip at once."));
    out.blocks.push(Block::Ticks {
        // three columns hold holes alone; turns beside them would wrap
        columns: if index.lines.len() > 24 && index.lines.iter().all(|line| line.turns == 0) { 3 } else { 2 },
        ticks: index
            .lines
            .iter()
            .map(|line| Tick {
                label: line.tooth.to_string(),
                text: if line.tooth == index.lines.first().map_or(1, |first| first.tooth) {
                    format!("start, pin in hole {}", line.pin_hole)
                } else {
                    format!("{}, pin in {}", crank(line.turns, line.holes), line.pin_hole)
                },
            })
            .collect(),
    });
    out
}

/// "1 turn + 13 holes", "30 holes", "2 turns".
fn crank(turns: u32, holes: u32) -> String {
    let count = |count: u32, one: &str| match count {
        0 => None,
        1 => Some(format!("1 {one}")),
        more => Some(format!("{more} {one}s")),
    };
    let parts: Vec<String> = [count(turns, "turn"), count(holes, "hole")].into_iter().flatten().collect();
    parts.join(" + ")
}
