//! Pieces as a page shows them: what is measured on each, what was, and what that proves.

use checking::Decision;
use quantity::{Problem, Unit};

use crate::checked::words::limits;
use crate::checked::{self, Checked, CheckedPiece, SizeVerdict, Standing};
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
    /// The line up to its figure, and what stands behind: "span over 4 teeth ", ", micrometer".
    pub lead: String,
    pub tail: String,
    /// Said where nothing owned can prove it.
    pub cannot: Option<String>,
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
    /// Every line as it is written: feature and text.
    pub lines: Vec<(String, String)>,
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
        let known = solved.instruments.iter().any(|owned| owned.names().any(|name| name == instrument));
        ToMeasure {
            feature: dimension.feature_name.clone(),
            name: one.name.clone(),
            limits: limits(&checking::Limits::of(one), unit),
            lead: format!("{} ", one.name),
            tail: if known { format!(", {instrument}") } else { String::new() },
            with,
            how: one.how.clone(),
            cannot: dimension.cannot_prove(unit),
        }
    });
    let measured = measured.collect();
    (measured, checked.pieces.iter().map(|piece| self::piece(piece, solved)).collect())
}

fn piece(piece: &CheckedPiece<'_>, solved: &Solved<'_>) -> Piece {
    let lines = piece.of.into_iter().flat_map(|of| &of.readings).flat_map(|readings| {
        let name = solved.job.features.get(readings.feature).map_or("", |feature| feature.name.as_str());
        readings.lines.iter().map(move |line| (name.to_string(), line.value.text.clone()))
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
