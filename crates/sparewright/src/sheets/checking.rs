//! The checking sheet: what is measured on each piece and with what, the limits, what proves a size good, the readings taken
//! and room for more; how true the teeth can be; the pieces with their verdicts.

use checking::{Decision, Limits, Pick, Shown, With, plugs};
use pack::{Block, Column, Orientation, Rich, Row, Sheet, Style, Table, Tone};
use part::Gauging;
use quantity::{Length, Unit, print};

use super::findings::capital;
use super::{Work, sheet as blank};
use crate::checked::accuracy::{self, RimAccuracy};
use crate::checked::{CheckedPiece, Dimension, RULE, SizeVerdict, Standing};

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
    let mut rest = work.checked.dimensions.as_slice();
    while let Some(first) = rest.first() {
        let of_feature = rest.iter().take_while(|one| one.feature == first.feature).count();
        let (here, after) = rest.split_at(of_feature);
        out.blocks.push(Block::Heading { text: capital(&first.feature_name), beside: String::new() });
        out.blocks.push(Block::Table(table(here, &pieces, work)));
        out.blocks.extend(here.iter().flat_map(|one| notes(one, work.unit())).map(Block::paragraph));
        rest = after;
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

fn table(dimensions: &[Dimension], pieces: &[&CheckedPiece<'_>], work: &Work<'_>) -> Table {
    let unit = work.unit();
    let mut columns = vec![Column::words(1.5)];
    columns.extend([Column::figures(); 5]);
    columns.push(Column::words(1.25));
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

/// Room for a reading of seven figures and a pencil, mm.
const PIECE_WIDTH: f64 = 19.0;

fn row(one: &Dimension, pieces: &[&CheckedPiece<'_>], unit: Unit) -> Row {
    let size = |length: Option<Length>| length.map_or_else(|| "–".into(), |length| print::figures(length, unit, 3));
    let of = &one.characteristic;
    let zone = one.pick.zone.unwrap_or_default();
    let mut cells: Vec<Rich> = vec![
        of.name.as_str().into(),
        size(of.lower).into(),
        size(of.upper).into(),
        Rich::new().strong(size(zone.lower)),
        Rich::new().strong(size(zone.upper)),
        one.pick.expanded().map_or_else(|| "–".into(), |u| print::figures(u, unit, 3)).into(),
        one.with(unit).into(),
    ];
    cells.extend(pieces.iter().map(|piece| reading_of(one, piece, unit)));
    Row::new(cells)
}

/// What was read on the piece, in doubt or not; empty where it is still to be read.
fn reading_of(one: &Dimension, piece: &CheckedPiece<'_>, unit: Unit) -> Rich {
    let of_it =
        |size: &&SizeVerdict| size.feature == one.feature && size.characteristic.name == one.characteristic.name;
    if let Some(size) = piece.sizes.iter().find(of_it) {
        let figures = match size.shown {
            Shown::Reading { value, .. } => print::figures(value, unit, 3),
            Shown::Between { .. } => "gauged".into(),
        };
        return match size.judged.decision {
            Decision::Accept => figures.into(),
            Decision::Doubtful => Rich::new().strong(format!("{figures}?")),
            Decision::Reject => Rich::new().wrong(format!("{figures} no")),
        };
    }
    let done = matches!(one.characteristic.gauging, Gauging::Mate)
        && piece.of.is_some()
        && one.feature.is_some_and(|feature| piece.open.iter().all(|open| open.feature != feature));
    if done { Rich::new().run(Style::Quiet, "done") } else { Rich::new() }
}

fn notes(one: &Dimension, unit: Unit) -> Vec<Rich> {
    let of = &one.characteristic;
    let how = if of.how.is_empty() { String::new() } else { format!(" {}", of.how) };
    let mut out = vec![Rich::new().quiet(format!("{}:{how} ({})", capital(&of.name), of.source))];
    let bought = matches!(of.gauging, Gauging::PlainGauges).then(|| plugs(&Limits::of(of))).flatten();
    let bought = bought.map(|plugs| {
        format!(
            "Plug gauges, bought: {} goes, made plus, and {} does not, made minus, both class {:?}: {} of the tolerance each.",
            print::figures(plugs.go, unit, 3),
            print::figures(plugs.not_go, unit, 3),
            plugs.class,
            print::length(plugs.tolerance, unit, 4),
        )
    });
    match (cannot_prove(one, unit), bought) {
        (Some(cannot), bought) => {
            out.push(Rich::new().wrong(format!("{cannot} {}", bought.unwrap_or_default()).trim_end()))
        }
        (None, Some(bought)) => out.push(Rich::new().quiet(bought)),
        (None, None) => {}
    }
    out
}

/// Said plainly where nothing owned can show a size to be good.
fn cannot_prove(one: &Dimension, unit: Unit) -> Option<String> {
    let Pick { with, sigma, .. } = &one.pick;
    if one.pick.proves() {
        return None;
    }
    let name = capital(&one.characteristic.name);
    Some(match (with, sigma) {
        (With::Read(way), Some(sigma)) => format!(
            "{name}: this shop cannot prove it. The {} is worth ± {}, which leaves nothing between the limits, however often it is read.",
            way.instrument,
            print::length(*sigma * 2.0, unit, 3)
        ),
        _ => format!("{name}: this shop cannot prove it, for nothing that takes it is owned."),
    })
}

fn accuracy_blocks(rim: &RimAccuracy) -> Vec<Block> {
    let um = |length: Length| format!("{:.0}", length.micrometres());
    let row = |one: &checking::Deviates| {
        let (name, letter) = accuracy::name(one.what);
        let class = match (one.held, one.class) {
            (None, _) => "–".to_string(),
            (Some(_), Some(class)) => class.to_string(),
            (Some(_), None) => "none".to_string(),
        };
        let over = one.held.is_some_and(|held| held > one.allowed);
        Row::new([
            name.to_string(),
            letter.to_string(),
            um(one.allowed),
            one.held.map_or_else(|| "–".into(), um),
            class,
        ])
        .tone(if over { Tone::Wrong } else { Tone::Plain })
    };
    let asked = rim.accuracy.asked.class;
    let header = ["deviation, in µm", "", &format!("class {asked} allows"), "this way makes, at worst", "class"];
    let table = Table {
        columns: vec![Column::words(1.6), Column::words(0.5), Column::figures(), Column::figures(), Column::figures()],
        header: header.into_iter().map(Rich::from).collect(),
        rows: rim.accuracy.deviations.iter().map(row).collect(),
    };
    let source = "ISO 1328-1:1995, runout ISO 1328-2:1997; formulas from memory";
    let mut out = vec![
        Block::Heading { text: format!("How true the {} can be cut", rim.feature_name), beside: source.into() },
        Block::Table(table),
        Block::paragraph(accuracy::says(rim).join(" ")),
    ];
    out.extend(rim.from.iter().map(|from| Block::paragraph(Rich::new().quiet(from.clone()))));
    out
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
    for size in piece.sizes.iter().filter(|size| size.judged.decision != Decision::Accept) {
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
