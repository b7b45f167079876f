//! The checking sheet: what is measured on each piece and with what, the limits, what proves a size good, the readings taken
//! and room for more; how true the teeth can be; the pieces with their verdicts.

use checking::{Decision, Limits, Shown, With, plugs};
use pack::{Block, Column, Orientation, Rich, Row, Sheet, Table, Tone};
use part::Gauging;
use quantity::{Length, Unit, print};

use super::findings::capital;
use super::{Work, sheet as blank};
use crate::checked::accuracy::{self, RimAccuracy};
use crate::checked::words::{ends, limits};
use crate::checked::{CheckedPiece, Dimension, RULE, Standing};

/// Columns for pieces on one sheet; more pieces are written on a copy.
const MOST_COLUMNS: usize = 4;

pub fn sheet(work: &Work<'_>) -> Sheet {
    let mut out = blank("Checking", "what to measure on each piece, and what proves it good");
    out.orientation = Orientation::Landscape;
    out.blocks.extend(super::stop(work));
    let pieces: Vec<&CheckedPiece<'_>> = work.checked.pieces.iter().take(MOST_COLUMNS).collect();
    out.blocks.push(Block::paragraph(rule(work)));
    if let (Some(next), Some(last)) = (work.checked.pieces.get(MOST_COLUMNS), work.checked.pieces.last()) {
        out.blocks
            .push(Block::paragraph(format!("For pieces {} to {} use copies of this sheet.", next.number, last.number)));
    }
    let (tried, measured): (Vec<&Dimension>, Vec<&Dimension>) =
        work.checked.dimensions.iter().partition(|one| one.pick.with == With::Fit);
    for here in measured.chunk_by(|one, next| one.feature == next.feature) {
        let name = here.first().map_or("", |first| first.feature_name.as_str());
        out.blocks.push(Block::Heading { text: capital(name), beside: String::new() });
        out.blocks.push(Block::Table(table(here, &pieces, work)));
        out.blocks.extend(here.iter().flat_map(|one| notes(one, work.unit())).map(Block::paragraph));
    }
    if !tried.is_empty() {
        out.blocks.push(Block::heading("Tried, not measured"));
        out.blocks.push(Block::Table(tried_table(&tried, &pieces, work.unit())));
        out.blocks.extend(tried.iter().flat_map(|one| notes(one, work.unit())).map(Block::paragraph));
    }
    for rim in accuracy::accuracy(work.solved, work.plan) {
        out.blocks.extend(accuracy_blocks(&rim));
    }
    out.blocks.extend(pieces_blocks(work));
    out.blocks.push(Block::WriteIn { labels: vec!["Checked by".into(), "Date".into()] });
    out
}

fn rule(work: &Work<'_>) -> Rich {
    let pieces = if work.checked.pieces.len() == 1 { "The piece" } else { "A piece" };
    Rich::new()
        .plain(format!("{pieces} passes where each reading lies "))
        .strong("good from … to")
        .plain(format!(
            ": that is inside the limits by {} standard uncertainties of the instrument. Between there and as far outside the \
             limits it is in doubt: write it down, and read it again or more finely. ± is the expanded uncertainty of a reading, \
             k = 2. ",
            RULE.guard
        ))
        .quiet(format!("Rule: {}.", RULE.source))
}

/// What goes on its mate or lies on its template.
fn tried_table(dimensions: &[&Dimension], pieces: &[&CheckedPiece<'_>], unit: Unit) -> Table {
    let mut columns = vec![Column::words(1.5), Column::words(1.4), Column::words(1.25)];
    let mut header: Vec<Rich> = ["", "limits", "with"].into_iter().map(Rich::from).collect();
    for piece in pieces {
        columns.push(Column::to_write(PIECE_WIDTH));
        header.push(format!("no. {}", piece.number).into());
    }
    let row = |one: &&Dimension| {
        let limits = limits(&Limits::of(&one.characteristic), unit);
        let limits = limits.strip_prefix("limits ").unwrap_or(&limits).to_string();
        let mut cells: Vec<Rich> = vec![one.label().into(), Rich::new().mono(limits), one.with(unit).into()];
        cells.extend(pieces.iter().map(|piece| reading_of(one, piece, unit)));
        Row::new(cells)
    };
    Table { columns, header, rows: dimensions.iter().map(row).collect() }
}

fn table(dimensions: &[&Dimension], pieces: &[&CheckedPiece<'_>], work: &Work<'_>) -> Table {
    let unit = work.unit();
    let mut columns = vec![Column::words(1.3)];
    columns.extend([Column::figures(); 5]);
    columns.push(Column::words(1.4));
    let sizes = match unit {
        Unit::Inch => "sizes in inches",
        Unit::Millimetre => "sizes in millimetres",
    };
    let mut header: Vec<Rich> =
        [sizes, "from", "to", "good from", "good to", "±", "with"].into_iter().map(Rich::from).collect();
    for piece in pieces {
        columns.push(Column::to_write(PIECE_WIDTH));
        header.push(format!("no. {}", piece.number).into());
    }
    let rows = dimensions.iter().map(|one| row(one, pieces, unit)).collect();
    Table { columns, header, rows }
}

/// Room for a reading of seven figures and its mark, mm.
const PIECE_WIDTH: f64 = 23.5;

fn row(one: &Dimension, pieces: &[&CheckedPiece<'_>], unit: Unit) -> Row {
    let none = || "–".to_string();
    let size = |length: Option<Length>| length.map_or_else(none, |length| print::figures(length, unit, 3));
    let of = &one.characteristic;
    let (good_from, good_to) = ends(&one.pick.zone.unwrap_or_default(), unit);
    let mut cells: Vec<Rich> = vec![
        of.name.as_str().into(),
        size(of.lower).into(),
        size(of.upper).into(),
        Rich::new().strong(good_from.unwrap_or_else(none)),
        Rich::new().strong(good_to.unwrap_or_else(none)),
        size(one.pick.expanded()).into(),
        one.with(unit).into(),
    ];
    cells.extend(pieces.iter().map(|piece| reading_of(one, piece, unit)));
    Row::new(cells)
}

/// What was read on the piece, in doubt or not; empty where it is still to be read.
fn reading_of(one: &Dimension, piece: &CheckedPiece<'_>, unit: Unit) -> Rich {
    if let Some(size) = piece.sizes.iter().find(|size| one.is_of(size)) {
        let figures = match size.shown {
            Shown::Reading { value, .. } => print::figures(value, unit, 3),
            Shown::Between { .. } => "gauged".into(),
            Shown::Uneven { .. } => "uneven".into(),
        };
        return match size.judged.decision {
            Decision::Accept => figures.into(),
            Decision::Doubtful => Rich::new().strong(format!("{figures}?")),
            Decision::Reject => Rich::new().wrong(format!("{figures} no")),
        };
    }
    let is_open = one.feature.is_some_and(|feature| piece.open.iter().any(|open| open.feature == feature));
    let says = match (piece.of, &one.characteristic.gauging) {
        (None, _) | (_, Gauging::Template) => "",
        (Some(_), Gauging::Mate) if is_open => "open",
        (Some(_), Gauging::Mate) => "done",
        // told by another size of the same thing, or not asked of every piece
        (Some(_), _) if one.asked && piece.unread.contains(&one.label()) => "",
        (Some(_), _) => "–",
    };
    Rich::new().quiet(says)
}

fn notes(one: &Dimension, unit: Unit) -> Vec<Rich> {
    let of = &one.characteristic;
    let how = if of.how.is_empty() { String::new() } else { format!(" {}", of.how) };
    let mut out = vec![Rich::new().quiet(format!("{}:{how} ({})", capital(&of.name), of.source))];
    // a keyway is tried with its key
    let round = matches!(of.gauging, Gauging::PlainGauges) && of.name.ends_with("diameter");
    let bought = round.then(|| plugs(&Limits::of(of))).flatten();
    let bought = bought.map(|plugs| {
        format!(
            "Plug gauges, bought: {} goes, made plus, and {} does not, made minus, both class {:?}: {} of the tolerance each.",
            print::figures(plugs.go, unit, 3),
            print::figures(plugs.not_go, unit, 3),
            plugs.class,
            print::length(plugs.tolerance, unit, 4),
        )
    });
    match (one.cannot_prove(unit), bought) {
        (Some(cannot), bought) => {
            out.push(Rich::new().wrong(format!("{cannot} {}", bought.unwrap_or_default()).trim_end()))
        }
        (None, Some(bought)) => out.push(Rich::new().quiet(bought)),
        (None, None) => {}
    }
    out
}

fn accuracy_blocks(rim: &RimAccuracy) -> Vec<Block> {
    let um = |length: Length| format!("{:.0}", length.micrometres());
    let row = |(one, why): (&checking::Deviates, &String)| {
        let (name, letter) = accuracy::name(one.what);
        let class = match (one.held, one.class) {
            (None, _) => "–".to_string(),
            (Some(_), Some(class)) => class.to_string(),
            (Some(_), None) => "none".to_string(),
        };
        let over = one.held.is_some_and(|held| held > one.allowed);
        let held = one.held.map_or_else(|| "–".into(), um);
        let mut row = Row::new([name.to_string(), letter.to_string(), um(one.allowed), held, class]);
        row.cells.push(Rich::new().quiet(why.clone()));
        row.tone(if over { Tone::Wrong } else { Tone::Plain })
    };
    let asked = rim.accuracy.asked.class;
    let header = ["in µm", "", &format!("class {asked}"), "this way, at worst", "class", "by what"];
    let mut columns = vec![Column::words(1.0), Column::words(0.25)];
    columns.extend([Column::figures(); 3]);
    columns.push(Column::words(3.2));
    let table = Table {
        columns,
        header: header.into_iter().map(Rich::from).collect(),
        rows: rim.accuracy.deviations.iter().zip(&rim.why).map(row).collect(),
    };
    let source = "ISO 1328-1:1995, runout ISO 1328-2:1997; formulas from memory";
    vec![
        Block::Heading { text: format!("How true the {} can be cut", rim.feature_name), beside: source.into() },
        Block::Table(table),
        Block::paragraph(accuracy::says(rim).join(" ")),
    ]
}

/// The pieces that are written in the job, each with its verdict and what would settle it.
fn pieces_blocks(work: &Work<'_>) -> Vec<Block> {
    let mut written = work.checked.pieces.iter().filter(|piece| piece.of.is_some()).peekable();
    if written.peek().is_none() {
        return Vec::new();
    }
    let mut out = vec![Block::heading("Pieces")];
    for piece in written {
        out.push(Block::paragraph(headline(piece)));
        out.extend(told(piece, work.unit()).into_iter().map(Block::paragraph));
    }
    out
}

fn headline(piece: &CheckedPiece<'_>) -> Rich {
    let verdict = piece.standing.words();
    let text = Rich::new().strong(format!("Piece {}: ", piece.number));
    let text = match piece.standing {
        Standing::Fails => text.wrong(verdict),
        Standing::Passes | Standing::Unfinished | Standing::InDoubt => text.strong(verdict),
    };
    text.quiet(format!("  {}", piece.history()))
}

/// What there is to say of a piece beyond its verdict.
fn told(piece: &CheckedPiece<'_>, unit: Unit) -> Vec<Rich> {
    let mut out = Vec::new();
    for size in piece
        .sizes
        .iter()
        .filter(|size| size.judged.decision != Decision::Accept || matches!(size.shown, Shown::Uneven { .. }))
    {
        let settling = size.settling(unit).join(" ");
        let text = format!(
            "{} ({}): {}. {settling}",
            capital(&size.characteristic.name),
            size.feature_name,
            size.sentence(unit)
        );
        out.push(Rich::new().plain(text.trim_end()));
    }
    let lists = [
        ("Not measured yet", piece.unread.join(", ")),
        ("Left to its mate", piece.open_names().join(", ")),
        ("Kept, without limits", piece.kept.join("; ")),
    ];
    out.extend(
        lists.into_iter().filter(|(_, list)| !list.is_empty()).map(|(what, list)| format!("{what}: {list}.").into()),
    );
    out.extend(piece.warnings.iter().map(|warning| Rich::new().wrong(warning.clone())));
    out.extend(piece.of.and_then(|of| of.remark.clone()).map(Rich::from));
    out
}
