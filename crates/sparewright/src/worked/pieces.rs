//! Pieces as a page shows them: what is measured on each, what was, and what that proves.

use checking::Decision;
use part::Gauging;
use quantity::{Length, Problem, Unit, print};

use crate::checked::words::limits;
use crate::checked::{self, Checked, CheckedPiece, Dimension, SizeVerdict, Standing};
use crate::job::{self, Pictures};
use crate::solve::{Memory, Solved, solve_again};

/// One thing to measure on every piece.
#[derive(Clone, Debug)]
pub struct ToMeasure {
    pub feature: String,
    pub name: String,
    /// "limits 1.0824 to 1.0843"
    pub limits: String,
    /// "micrometer", "telescopic gauge, mean of 2"
    pub with: String,
    pub how: String,
    /// The feature whose list its readings stand in: of a size of the part as a whole, the first that reads it.
    pub written_in: String,
    /// What stands before the figure in a line that is read as this size, "span over 4 teeth", and the figure it was tried with;
    /// none where no figure decides.
    pub lead: Option<Lead>,
    /// The instrument that is named behind the figure, where the shop has it: "micrometer".
    pub instrument: Option<String>,
    /// Said where nothing owned can prove it.
    pub cannot: Option<String>,
}

/// How the line of a size begins.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Lead {
    /// "span over 4 teeth"
    pub words: String,
    /// A figure between the limits.
    pub figure: String,
}

/// A line of a piece as it is written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PieceLine {
    /// The feature whose list it stands in.
    pub feature: String,
    pub text: String,
    /// The size it is a reading of, as [`ToMeasure`] names it: feature and name; none where no limit is set for it.
    pub size: Option<(String, String)>,
}

/// A piece, made or only planned.
#[derive(Clone, Debug)]
pub struct Piece {
    pub number: u32,
    pub standing: Standing,
    pub written: bool,
    pub history: String,
    pub verdicts: Vec<Verdict>,
    pub unread: Vec<String>,
    pub kept: Vec<String>,
    pub open: Vec<String>,
    pub warnings: Vec<String>,
    pub lines: Vec<PieceLine>,
}

/// What the readings of one size prove.
#[derive(Clone, Debug)]
pub struct Verdict {
    pub feature: String,
    pub name: String,
    pub decision: Decision,
    /// "1.0838 ± 0.0003 in, limits 1.0824 to 1.0843: passes, >99.9 in 100"
    pub sentence: String,
    pub settling: Vec<String>,
}

pub(super) fn of(solved: &Solved<'_>) -> (Vec<ToMeasure>, Vec<Piece>) {
    let unit = solved.job.unit;
    let checked: Checked<'_> = checked::checked(solved);
    let measured = checked.dimensions.iter().map(|dimension| {
        let one = &dimension.characteristic;
        let with = dimension.with(unit);
        let instrument = with.split([',', ':']).next().unwrap_or_default().split(" over ").next().unwrap_or_default();
        let known = solved.instruments.iter().find(|owned| owned.names().any(|name| name == instrument));
        let (written_in, lead) = lead(solved, dimension);
        ToMeasure {
            feature: dimension.feature_name.clone(),
            name: one.name.clone(),
            limits: limits(&checking::Limits::of(one), unit),
            written_in,
            lead,
            instrument: known.map(|_| instrument.to_string()),
            with,
            how: one.how.clone(),
            cannot: dimension.cannot_prove(unit),
        }
    });
    let measured = measured.collect();
    (measured, checked.pieces.iter().map(|piece| self::piece(piece, solved)).collect())
}

/// Where a size is written and how its line begins, by what the forms of its feature read: of the size's own name as many of the
/// last words as make a line that is held to this very size ("bore diameter" is read as "diameter 0.8752").
fn lead(solved: &Solved<'_>, dimension: &Dimension) -> (String, Option<Lead>) {
    let one = &dimension.characteristic;
    let named = |index: usize| solved.job.features.get(index).map_or("", |feature| feature.name.as_str()).to_string();
    let home = named(dimension.feature.unwrap_or(0));
    if matches!(one.gauging, Gauging::Template) {
        return (home, None);
    }
    let figure = print::figures(between(one.lower, one.upper, one.nominal), solved.job.unit, 4);
    let features = dimension.feature.map_or_else(|| (0..solved.job.features.len()).collect(), |index| vec![index]);
    let starts = std::iter::once(0).chain(one.name.match_indices(' ').map(|(at, _)| at + 1));
    let ways = starts.flat_map(|start| features.iter().map(move |feature| (*feature, &one.name[start..])));
    for (feature, words) in ways {
        let held = checked::held_to(solved, feature, &format!("{words} {figure}"));
        if held.is_some_and(|(of, name)| of == dimension.feature && name == one.name) {
            return (named(feature), Some(Lead { words: words.to_string(), figure }));
        }
    }
    (home, None)
}

fn between(lower: Option<Length>, upper: Option<Length>, nominal: Length) -> Length {
    match (lower, upper) {
        (Some(lower), Some(upper)) => (lower + upper) / 2.0,
        (None, Some(upper)) => upper / 2.0,
        (Some(_), None) | (None, None) => nominal,
    }
}

fn piece(piece: &CheckedPiece<'_>, solved: &Solved<'_>) -> Piece {
    let lines = piece.of.into_iter().flat_map(|of| &of.readings).flat_map(|readings| {
        let feature = solved.job.features.get(readings.feature).map_or("", |feature| feature.name.as_str());
        readings.lines.iter().map(move |line| {
            let held = checked::held_to(solved, readings.feature, &line.value.text);
            let size = held.map(|(of, name)| {
                let of = of.and_then(|of| solved.job.features.get(of));
                (of.map_or(checked::THE_PART, |of| of.name.as_str()).to_string(), name)
            });
            PieceLine { feature: feature.to_string(), text: line.value.text.clone(), size }
        })
    });
    Piece {
        number: piece.number,
        standing: piece.standing,
        written: piece.of.is_some(),
        history: piece.history(),
        verdicts: piece.sizes.iter().map(|size| verdict(size, solved.job.unit)).collect(),
        unread: piece.unread.clone(),
        kept: piece.kept.clone(),
        open: piece.open_names().into_iter().map(str::to_string).collect(),
        warnings: piece.warnings.clone(),
        lines: lines.collect(),
    }
}

fn verdict(size: &SizeVerdict, unit: Unit) -> Verdict {
    Verdict {
        feature: size.feature_name.clone(),
        name: size.characteristic.name.clone(),
        decision: size.judged.decision,
        sentence: size.sentence(unit),
        settling: size.settling(unit),
    }
}

/// The verdict on one reading of a new part, just typed, by the job's text.
pub fn judged(
    text: &str,
    shop: &making::shop::Shop,
    pictures: &dyn Pictures,
    feature: &str,
    line: &str,
    before: &Memory,
) -> Result<Verdict, Vec<Problem>> {
    let (job, _) = job::read_with(text, features::kinds(), &shop.instruments, pictures);
    let job = job.ok_or_else(|| {
        vec![Problem::new(0..line.len(), "There is nothing in this job yet.", "expected a job with features")]
    })?;
    let solved = solve_again(&job, shop, before);
    checked::verdict(&solved, feature, line).map(|size| verdict(&size, job.unit))
}
