//! Pieces against their limits: the one place where a reading of a new part becomes a verdict, for the terminal, the sheets,
//! the JSON and the notebook alike.

pub mod accuracy;
pub mod result;
pub mod words;

use checking::{Decision, Judged, Kit, Limits, Pick, Remedy, Rule, Shown, Taken, Task, Way};
use part::{Characteristic, Gauging, Mistake, common, usual_slips};
use quantity::{Form, Length, Line, Problem};

use crate::job::{Piece, piece_forms};
use crate::shop::bench;
use crate::solve::Solved;

/// How sure one must be; the sheets and the JSON name it.
pub const RULE: Rule = Rule::USUAL;

/// The size of the part as a whole is said of no feature.
pub const THE_PART: &str = "the part";

/// What is measured on the new part, and the pieces that were made.
#[derive(Debug)]
pub struct Checked<'a> {
    pub dimensions: Vec<Dimension>,
    pub pieces: Vec<CheckedPiece<'a>>,
}

/// One thing to measure, and what to take for it.
#[derive(Clone, Debug)]
pub struct Dimension {
    /// Index among the job's features; none for the part as a whole.
    pub feature: Option<usize>,
    pub feature_name: String,
    pub characteristic: Characteristic,
    pub pick: Pick,
    /// False for what was read on a piece though something else was to be.
    pub asked: bool,
}

/// A piece, written in the job or only planned.
#[derive(Debug)]
pub struct CheckedPiece<'a> {
    pub number: u32,
    /// None where nothing is written of it yet.
    pub of: Option<&'a Piece>,
    pub standing: Standing,
    pub sizes: Vec<SizeVerdict>,
    /// What has limits and was not measured, as "span over 4 teeth (teeth)".
    pub unread: Vec<String>,
    /// Lines that no limit is set for.
    pub kept: Vec<String>,
    /// Match-made features that are still to be done.
    pub open: Vec<Open>,
    /// What does not go together, as sentences.
    pub warnings: Vec<String>,
}

/// A match-made feature that waits for the piece to be fitted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Open {
    /// Index among the job's features.
    pub feature: usize,
    pub name: String,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    Passes,
    /// All that was measured passes, but not all was measured.
    Unfinished,
    InDoubt,
    Fails,
}

/// What the readings of one size prove.
#[derive(Clone, Debug)]
pub struct SizeVerdict {
    pub feature: Option<usize>,
    pub feature_name: String,
    pub characteristic: Characteristic,
    /// The lines as they are written.
    pub lines: Vec<String>,
    /// What may have been meant by a single reading; none of several.
    pub slips: Vec<Mistake>,
    pub shown: Shown,
    pub judged: Judged,
    /// With what was taken, what would have been accepted; none for gauges, and where nothing would.
    pub zone: Option<Limits>,
    /// What would settle it; empty where it is settled, or nothing owned can.
    pub remedies: Vec<Remedy>,
    /// The owned instrument that can prove it, if any can.
    pub proved_by: Option<String>,
    /// The instrument whose readings count, and how many they are; none for gauges and uneven readings.
    pub instrument: Option<String>,
    pub counted: u32,
}

pub fn checked<'a>(solved: &Solved<'a>) -> Checked<'a> {
    let dimensions = dimensions(solved);
    let job = solved.job;
    let planned = job.make.pieces.saturating_add(job.make.spares).min(making::MOST_PIECES);
    let written = job.pieces.iter().map(|piece| piece.number);
    let mut numbers: Vec<u32> = (1..=planned).chain(written).collect();
    numbers.sort_unstable();
    numbers.dedup();
    let piece = |number| {
        let of = job.pieces.iter().find(|piece| piece.number == number);
        checked_piece(solved, &dimensions, number, of)
    };
    let pieces: Vec<CheckedPiece<'_>> = numbers.into_iter().map(piece).collect();
    let dimensions = with_what_was_read(solved, dimensions, &pieces);
    Checked { dimensions, pieces }
}

/// The verdict on one reading of a new part, just typed. `feature` is the feature's name, in any case. Problems point into
/// the text; what has no limits here is a problem too.
pub fn verdict(solved: &Solved<'_>, feature: &str, text: &str) -> Result<SizeVerdict, Vec<Problem>> {
    let whole = |message: String, expected: &str| vec![Problem::new(0..text.len(), message, expected)];
    let named = |one: &crate::job::JobFeature| one.name.eq_ignore_ascii_case(feature.trim());
    let index = solved.job.features.iter().position(named).ok_or_else(|| {
        whole(
            format!("There is no feature called {} in this job.", quantity::quoted(feature)),
            "expected a reading of a feature",
        )
    })?;
    let bench = bench(solved.job.unit, &solved.instruments);
    let line = Line::read(text, &piece_forms(solved.job.features[index].kind), &bench)?;
    let of = characteristic(solved, index, &line).ok_or_else(|| {
        whole("No limit is set for this on the new part.".into(), "expected a size that is made to limits")
    })?;
    let taken = of.taken(solved, &line);
    let taken = taken.ok_or_else(|| whole("Nothing is measured in this line.".into(), "expected a size"))?;
    of.verdict(solved, &[&line], &[taken])
        .ok_or_else(|| whole("Nothing is measured in this line.".into(), "expected a size"))
}

/// What a line of a feature's readings would be held to on a new piece: the feature and the name of the size; none where it is
/// not understood, or no limit is set for it.
pub fn held_to(solved: &Solved<'_>, feature: usize, text: &str) -> Option<(Option<usize>, String)> {
    let bench = bench(solved.job.unit, &solved.instruments);
    let line = Line::read(text, &piece_forms(solved.job.features.get(feature)?.kind), &bench).ok()?;
    let of = characteristic(solved, feature, &line)?;
    of.taken(solved, &line).map(|_| (of.feature, of.characteristic.name))
}

/// A length that is the thickness over again is measured once (as the plan has it).
const SAME_LENGTH: Length = making::SAME_LENGTH;

/// What is measured on the new part, and what to take for it.
pub fn dimensions(solved: &Solved<'_>) -> Vec<Dimension> {
    let whole = solved.thickness_made();
    let thickness = whole.as_ref().map(|one| one.nominal);
    let again = |one: &Characteristic| {
        one.name == "length" && thickness.is_some_and(|thickness| (thickness - one.nominal).abs() <= SAME_LENGTH)
    };
    let of_part = whole.into_iter().map(|characteristic| Of { feature: None, characteristic });
    let of_features = solved.features.iter().enumerate().flat_map(|(index, feature)| {
        let all = feature.design().map(|design| design.characteristics(solved.job.unit)).unwrap_or_default();
        all.into_iter().map(move |characteristic| Of { feature: Some(index), characteristic })
    });
    of_part.chain(of_features).filter(|of| !again(&of.characteristic)).map(|of| of.dimension(solved, true)).collect()
}

/// Sizes that were read on a piece beside those asked for, each behind the others of its feature.
fn with_what_was_read(solved: &Solved<'_>, mut all: Vec<Dimension>, pieces: &[CheckedPiece<'_>]) -> Vec<Dimension> {
    for size in pieces.iter().flat_map(|piece| &piece.sizes) {
        if all.iter().any(|known| known.is_of(size)) {
            continue;
        }
        let of = Of { feature: size.feature, characteristic: size.characteristic.clone() };
        let behind = all.iter().rposition(|known| known.feature == size.feature).map_or(all.len(), |last| last + 1);
        all.insert(behind, of.dimension(solved, false));
    }
    all
}

impl Dimension {
    /// Whether this is what was read.
    pub fn is_of(&self, size: &SizeVerdict) -> bool {
        self.feature == size.feature && self.characteristic.name == size.characteristic.name
    }
}

fn kit<'s>(solved: &'s Solved<'_>) -> Kit<'s> {
    Kit { instruments: &solved.instruments, pins: &solved.pins }
}

fn feature_name(solved: &Solved<'_>, feature: Option<usize>) -> String {
    let feature = feature.and_then(|index| solved.job.features.get(index));
    feature.map_or(THE_PART, |feature| feature.name.as_str()).to_string()
}

/// A characteristic with the feature it belongs to.
struct Of {
    feature: Option<usize>,
    characteristic: Characteristic,
}

/// What a line of a feature's readings is held to; thickness and face width are of the part as a whole.
fn characteristic(solved: &Solved<'_>, feature: usize, line: &Line) -> Option<Of> {
    let design = solved.features.get(feature)?.design();
    let own = design.and_then(|design| design.characteristic_read(line, solved.job.unit));
    if let Some(characteristic) = own {
        return Some(Of { feature: Some(feature), characteristic });
    }
    let of_part = line.pattern == common::THICKNESS || line.pattern == Form("face width {reading}");
    let characteristic = solved.thickness_made().filter(|_| of_part)?;
    Some(Of { feature: None, characteristic })
}

impl Of {
    fn task<'s>(&'s self, solved: &Solved<'_>) -> Task<'s> {
        let design = self.feature.and_then(|feature| solved.features.get(feature)?.design());
        Task {
            gauging: &self.characteristic.gauging,
            nominal: self.characteristic.nominal,
            limits: Limits::of(&self.characteristic),
            pin_influence: design.map_or(1.0, |design| design.pin_influence(&self.characteristic)),
            last_place: words::last_place(solved.job.unit),
        }
    }

    fn dimension(self, solved: &Solved<'_>, asked: bool) -> Dimension {
        let pick = checking::pick(&self.task(solved), &kit(solved), &RULE);
        let feature_name = feature_name(solved, self.feature);
        Dimension { feature: self.feature, feature_name, characteristic: self.characteristic, pick, asked }
    }

    fn taken(&self, solved: &Solved<'_>, line: &Line) -> Option<Taken> {
        let bench = bench(solved.job.unit, &solved.instruments);
        checking::taken(line, &self.task(solved), &bench, &kit(solved))
    }

    fn verdict(self, solved: &Solved<'_>, lines: &[&Line], taken: &[Taken]) -> Option<SizeVerdict> {
        let kit = kit(solved);
        let (task, limits) = (self.task(solved), Limits::of(&self.characteristic));
        let shown = checking::of_all(taken)?;
        let judged = checking::judge(&shown, &limits, &RULE);
        let at_hand = match shown {
            Shown::Reading { .. } => checking::finest(taken),
            Shown::Uneven { .. } | Shown::Between { .. } => None,
        };
        let ways: Vec<Way> = kit.ways(&task);
        let remedies = match judged.decision {
            // an uneven part is not mended by reading it again
            Decision::Doubtful if matches!(shown, Shown::Uneven { .. }) => Vec::new(),
            Decision::Doubtful => checking::settle(shown.value(), at_hand, &limits, &ways, &RULE),
            Decision::Accept | Decision::Reject => Vec::new(),
        };
        let zone = match shown {
            Shown::Reading { sigma, .. } | Shown::Uneven { sigma, .. } => RULE.zone(&limits, sigma),
            Shown::Between { .. } => None,
        };
        let pick = checking::pick(&task, &kit, &RULE);
        let proved_by = match &pick.with {
            checking::With::Read(way) if pick.proves() => Some(way.instrument.clone()),
            _ => None,
        };
        Some(SizeVerdict {
            proved_by,
            feature: self.feature,
            feature_name: feature_name(solved, self.feature),
            lines: lines.iter().map(|line| line.text.trim().to_string()).collect(),
            slips: slips(&shown, lines),
            shown,
            judged,
            zone,
            remedies,
            instrument: at_hand.map(|finest| finest.instrument.to_string()),
            counted: at_hand.map_or(0, |finest| finest.readings),
            characteristic: self.characteristic,
        })
    }
}

/// The usual slips of a reading that stands alone, and the point one place off.
fn slips(shown: &Shown, lines: &[&Line]) -> Vec<Mistake> {
    let (Shown::Reading { value, .. }, [line]) = (shown, lines) else { return Vec::new() };
    let mut out = usual_slips(line, *value);
    for meant in [value.mm() * 0.1, value.mm() * 10.0] {
        out.push(Mistake { meant, name: "the point one place off".into() });
    }
    out
}

fn checked_piece<'a>(
    solved: &Solved<'a>,
    dimensions: &[Dimension],
    number: u32,
    of: Option<&'a Piece>,
) -> CheckedPiece<'a> {
    let (sizes, kept) = of.map(|piece| sizes(solved, piece)).unwrap_or_default();
    let done = |feature: usize| of.is_some_and(|piece| piece.done.contains(&feature));
    let match_made = |feature: usize| solved.features.get(feature).is_some_and(|feature| feature.is_match_made());
    let open = (0..solved.features.len()).filter(|feature| match_made(*feature) && !done(*feature));
    let open = open.map(|feature| Open { feature, name: feature_name(solved, Some(feature)) }).collect();
    let to_measure =
        |dimension: &&Dimension| !matches!(dimension.characteristic.gauging, Gauging::Mate | Gauging::Template);
    let unread = dimensions.iter().filter(to_measure).filter(|dimension| !is_read(solved, dimension, &sizes));
    // what nothing is known of has no sizes yet, but it is no less to be measured
    let unknown = solved.features.iter().filter(|feature| feature.design().is_none());
    let unknown = unknown.map(|feature| format!("all of {}, which is not found out yet", feature.of.name));
    let unread: Vec<String> = unread.map(Dimension::label).chain(unknown).collect();
    let any = |decision| sizes.iter().any(|size| size.judged.decision == decision);
    let standing = if any(Decision::Reject) {
        Standing::Fails
    } else if any(Decision::Doubtful) {
        Standing::InDoubt
    } else if unread.is_empty() && !sizes.is_empty() {
        Standing::Passes
    } else {
        // nothing measured proves nothing
        Standing::Unfinished
    };
    let mut piece = CheckedPiece { number, of, standing, sizes, unread, kept, open, warnings: Vec::new() };
    piece.warnings = piece.what_does_not_go_together();
    piece
}

fn is_read(solved: &Solved<'_>, dimension: &Dimension, sizes: &[SizeVerdict]) -> bool {
    let design = dimension.feature.and_then(|feature| solved.features.get(feature)?.design());
    let of_it = sizes.iter().filter(|size| size.feature == dimension.feature);
    let same = |size: &SizeVerdict| match design {
        Some(design) => design.says_the_same(&size.characteristic, &dimension.characteristic),
        None => size.characteristic.name == dimension.characteristic.name,
    };
    of_it.into_iter().any(same)
}

/// The sizes that were read on a piece, each with all its lines, and the lines that no limit is set for.
fn sizes(solved: &Solved<'_>, piece: &Piece) -> (Vec<SizeVerdict>, Vec<String>) {
    let mut groups: Vec<(Of, Vec<&Line>, Vec<Taken>)> = Vec::new();
    let mut kept = Vec::new();
    for of_feature in &piece.readings {
        for placed in &of_feature.lines {
            let line = &placed.value;
            let of = characteristic(solved, of_feature.feature, line);
            let Some((of, taken)) = of.and_then(|of| of.taken(solved, line).map(|taken| (of, taken))) else {
                let text = line.text.trim();
                let text = text.strip_prefix("note ").filter(|_| line.pattern == common::NOTE).unwrap_or(text);
                kept.push(format!("{} ({})", text.trim(), feature_name(solved, Some(of_feature.feature))));
                continue;
            };
            let same = |(known, ..): &&mut (Of, Vec<&Line>, Vec<Taken>)| {
                known.feature == of.feature && known.characteristic.name == of.characteristic.name
            };
            match groups.iter_mut().find(same) {
                Some((_, lines, all)) => {
                    lines.push(line);
                    all.push(taken);
                }
                None => groups.push((of, vec![line], vec![taken])),
            }
        }
    }
    let sizes = groups.into_iter().filter_map(|(of, lines, taken)| of.verdict(solved, &lines, &taken)).collect();
    (sizes, kept)
}
