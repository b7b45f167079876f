//! A label for every piece: enough to know it years later, and to finish it.

use checking::Shown;
use making::Pieces;
use pack::{Block, Pack, Rich, Tag, Tags};
use part::Gauging;
use quantity::{Unit, print};

use super::Work;
use super::drawing::trace;
use crate::checked::{CheckedPiece, SizeVerdict, Standing};
use crate::planned;
use crate::shape::PartShape;
use crate::solve::SolvedFeature;

/// A line to write on.
const BLANK: &str = "______________________________";

/// More are a series, and print their own.
const MOST: usize = 96;

pub fn labels(work: &Work<'_>) -> Tags {
    let pieces = &work.checked.pieces;
    let picture: Vec<_> = match work.shape {
        Some(PartShape::Whole(region)) => std::iter::once(&region.outer).chain(&region.holes).map(trace).collect(),
        Some(PartShape::Open { .. }) | None => Vec::new(),
    };
    let tag = |piece| Tag { picture: picture.clone(), ..tag(work, piece, pieces.len()) };
    Tags {
        title: format!("Labels: {}", work.solved.job.title),
        tags: pieces.iter().take(MOST).map(tag).collect(),
        ..Tags::default()
    }
}

/// The labels as a document of their own.
pub fn pack(work: &Work<'_>, labels: &Tags) -> Pack {
    let mut sheet = labels.sheet();
    if let Some(first_left) = work.checked.pieces.get(MOST) {
        let says =
            format!("Labels are printed for {MOST} pieces; from piece {} on write them by hand.", first_left.number);
        sheet.blocks.push(Block::paragraph(Rich::new().plain(says)));
    }
    Pack {
        title: work.solved.job.title.clone(),
        date: work.date.clone(),
        shop: work.shop.name.clone(),
        footer: "Print at 100 %. Cut along the lines; tie or paste one to each piece.".into(),
        sheets: vec![sheet],
        ..Pack::default()
    }
}

fn tag(work: &Work<'_>, piece: &CheckedPiece<'_>, of: usize) -> Tag {
    let unit = work.unit();
    let make = &work.solved.job.make;
    let spare = if piece.number > make.pieces { "spare, " } else { "" };
    let mut rows: Vec<(String, String)> = Vec::new();
    let mut row = |name: &str, value: String| {
        if !value.trim().is_empty() {
            rows.push((name.to_string(), value));
        }
    };
    row("made", piece.of.and_then(|of| of.made).map(|day| day.spoken()).unwrap_or_default());
    row("went", went(piece));
    match piece.standing {
        // nobody shall finish it
        Standing::Fails => row("outside", faults(piece, unit)),
        Standing::Passes | Standing::Unfinished | Standing::InDoubt => {
            row("in doubt", faults(piece, unit));
            row("to finish", to_finish(work, piece));
        }
    }
    row("material", material(work));
    for (index, feature) in work.solved.features.iter().enumerate() {
        row(&feature.of.name, key_sizes(index, feature, piece, unit));
    }
    if piece.of.is_none() {
        // to be written in with a pencil
        row("made on", BLANK.into());
        row("it is", BLANK.into());
        row("it went", BLANK.into());
    }
    row("remark", piece.of.and_then(|of| of.remark.clone()).unwrap_or_default());
    Tag {
        title: work.solved.job.title.clone(),
        number: piece.number.to_string(),
        under_number: format!("{spare}of {of}"),
        mark: mark(piece),
        wrong: piece.standing == Standing::Fails,
        rows,
        picture: Vec::new(),
        foot: foot(work),
    }
}

/// "passes; pin holes open"
fn mark(piece: &CheckedPiece<'_>) -> String {
    let verdict = match (piece.of, piece.standing) {
        (None, _) => "not made yet",
        (Some(_), Standing::Fails) => "does not pass: do not fit",
        (Some(_), Standing::InDoubt) => "in doubt: measure again",
        (Some(_), Standing::Unfinished) if piece.sizes.is_empty() => "not measured yet",
        (Some(_), standing) => standing.words(),
    };
    let open = piece.open_names().join(", ");
    if open.is_empty() || piece.standing == Standing::Fails {
        verdict.to_string()
    } else {
        format!("{verdict}; {open} open")
    }
}

fn went(piece: &CheckedPiece<'_>) -> String {
    let Some(of) = piece.of else { return String::new() };
    let to = of.to.as_ref().map(|to| format!(": {to}")).unwrap_or_default();
    of.went.map(|went| format!("{}{to}", went.says())).unwrap_or_default()
}

/// How the features are done that are left to the mating part: title and what to do, from the plan.
fn to_finish(work: &Work<'_>, piece: &CheckedPiece<'_>) -> String {
    let open = piece.open_names();
    let operations = work.plan.operations.iter().filter(|operation| operation.pieces == Pieces::Fitted);
    let left = operations.filter(|operation| operation.features.iter().any(|name| open.contains(&name.as_str())));
    let sentences = left.map(|operation| format!("{}. {}", operation.title, operation.instructions.join(" ")));
    sentences.collect::<Vec<_>>().join(" ")
}

fn material(work: &Work<'_>) -> String {
    let name = planned::material(work.solved);
    let original = work.solved.job.material.filter(|original| original.name != name);
    let original = original.map(|original| format!("the original {}", original.name));
    let cuts = work.solved.features.iter().filter_map(|feature| feature.design()).flat_map(|design| design.cuts());
    let bush = cuts.into_iter().find_map(|cut| match cut.work {
        part::Work::Bush(bush) => Some(format!("bush {}", bush.material)),
        _ => None,
    });
    std::iter::once(name.to_string()).chain(bush).chain(original).collect::<Vec<_>>().join("; ")
}

/// What the feature is, and its sizes as they came out; nothing for what only a template measures.
fn key_sizes(index: usize, feature: &SolvedFeature<'_>, piece: &CheckedPiece<'_>, unit: Unit) -> String {
    let Some(design) = feature.design() else { return String::new() };
    let all = design.characteristics(unit);
    if all.iter().all(|one| matches!(one.gauging, Gauging::Template)) {
        return String::new();
    }
    let sizes: Vec<String> =
        piece.sizes.iter().filter(|size| size.feature == Some(index)).map(|size| as_made(size, unit)).collect();
    let made = if sizes.is_empty() { String::new() } else { format!("; as made {}", sizes.join(", ")) };
    format!("{}{made}", design.sentence(unit))
}

fn as_made(size: &SizeVerdict, unit: Unit) -> String {
    let name = &size.characteristic.name;
    match size.shown {
        Shown::Reading { value, .. } => format!("{name} {}", print::figures(value, unit, 3)),
        Shown::Between { .. } => format!("{name} {} by gauges", size.figures(unit)),
        Shown::Uneven { .. } => format!("{name} {}, uneven", size.figures(unit)),
    }
}

/// What does not pass or is in doubt, with by how much.
fn faults(piece: &CheckedPiece<'_>, unit: Unit) -> String {
    let wrong = piece.sizes.iter().filter(|size| size.judged.decision != checking::Decision::Accept);
    let says = |size: &SizeVerdict| {
        let off = size.off(unit).unwrap_or_else(|| "near its limit".into());
        format!("{} {}, {off}", size.characteristic.name, size.figures(unit))
    };
    wrong.map(says).collect::<Vec<_>>().join("; ")
}

/// Who made it, and when this was printed.
fn foot(work: &Work<'_>) -> String {
    let unit = match work.unit() {
        Unit::Inch => "sizes in inches",
        Unit::Millimetre => "sizes in millimetres",
    };
    [work.shop.name.as_str(), &format!("printed {}", work.date), unit]
        .into_iter()
        .filter(|part| !part.is_empty())
        .collect::<Vec<_>>()
        .join(" · ")
}
