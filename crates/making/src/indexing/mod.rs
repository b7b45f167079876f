//! Indexing: every way the owned heads and tables can divide a circle, the exact ones with the fewest changes first, else the
//! one that comes nearest; a line for each space, and where the pin stands after each.

mod angle;
mod circles;
mod compound;
mod differential;
mod gears;
pub mod lead;
mod lines;
mod words;

use std::cmp::Ordering;

use quantity::Length;
use serde::Serialize;

use crate::shop::DividingHead;
pub use angle::{AngleSheet, WrittenArc, angle_on_any, read_arc};
pub use gears::{Stud, Train};
pub use lines::{IndexError, IndexLine, RimError, RunningCheck, SecondLine};
pub use words::arc;

/// Seconds of arc in a turn.
pub const SECONDS_PER_TURN: u32 = 1_296_000;

/// More divisions than any head is asked for; it keeps a sheet of lines from filling the memory.
pub const MOST_DIVISIONS: u32 = 100_000;

/// What is to be divided.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Division {
    /// In the whole circle.
    pub divisions: u32,
    /// Spaces really cut: of a whole wheel all, of a sector one more than its teeth.
    pub cut: u32,
    /// Diameter at which errors are reckoned as a length.
    pub rim: Option<Length>,
}

/// How a head is set for a number of divisions, and a line for each space that is cut.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct IndexSheet {
    pub divisions: u32,
    /// Spaces cut: of a whole wheel all, of a sector one more than its teeth.
    pub cut: u32,
    pub head: String,
    pub ratio: u32,
    pub method: Method,
    /// The setting the lines are worked with.
    pub setting: Setting,
    /// Why this one.
    pub why: String,
    /// The other settings of this head that divide exactly.
    pub others: Vec<Setting>,
    /// The best of each other head that divides exactly.
    pub elsewhere: Vec<Elsewhere>,
    /// None where the division is exact.
    pub error: Option<IndexError>,
    pub lines: Vec<IndexLine>,
    /// Where everything stands after every ten teeth.
    pub checks: Vec<RunningCheck>,
}

/// An exact setting of a head that was not taken.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Elsewhere {
    pub head: String,
    pub ratio: u32,
    pub setting: Setting,
}

/// The move from one space to the next; where the holes are counted off differently for each space, the usual one.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Setting {
    pub way: Way,
    /// Plate the circle is on.
    pub plate: String,
    /// Holes in the circle; on a dial, its marks in a turn of the crank.
    pub circle: u32,
    pub turns: u32,
    pub holes: u32,
}

#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Way {
    /// The crank turns the spindle through the worm.
    Crank,
    /// The spindle's own plate is turned by hand, the worm out of mesh.
    Direct,
    /// The crank again, its turns divided by the dial's marks.
    Dial,
    /// The crank in one circle, then plate and crank together in another.
    Compound(SecondMove),
    /// The crank, while gears from the spindle turn the plate.
    Differential(Train),
}

/// A move of the plate with the crank, counted at the stop pin.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct SecondMove {
    pub circle: u32,
    pub holes: u32,
    pub back: bool,
}

/// The ways by the names of the trade.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Method {
    Simple,
    Direct,
    Angular,
    Compound,
    Differential,
}

impl Method {
    pub const ALL: [Method; 5] =
        [Method::Simple, Method::Direct, Method::Angular, Method::Compound, Method::Differential];

    pub const fn name(self) -> &'static str {
        match self {
            Method::Simple => "simple",
            Method::Direct => "direct",
            Method::Angular => "angular",
            Method::Compound => "compound",
            Method::Differential => "differential",
        }
    }
}

/// A fraction as it is counted off on a circle, not reduced.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Fraction {
    pub numerator: u64,
    pub denominator: u64,
}

/// A part of one turn of the work.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Part {
    numerator: u64,
    denominator: u64,
}

impl Division {
    pub fn new(divisions: u32, cut: u32) -> Division {
        Division { divisions, cut, rim: None }
    }

    #[must_use]
    pub fn at_rim(self, diameter: Option<Length>) -> Division {
        Division { rim: diameter.filter(|diameter| *diameter > Length::ZERO), ..self }
    }

    fn part(&self) -> Part {
        Part { numerator: 1, denominator: u64::from(self.divisions) }
    }
}

/// The sheet for a division on this head; by one method alone, where it is named.
///
/// What it is: the turns of the crank between divisions.
/// Equation: turns = ratio / divisions; on a circle of C holes, exact where C·ratio is a multiple of the divisions.
/// Units: turns and holes, whole numbers. Range: 2 divisions and up. Accuracy: exact rational arithmetic.
/// Source: Practical Treatise on Milling and Milling Machines, rules for indexing, p. 55.
pub fn index(division: &Division, head: &DividingHead, by: Option<Method>) -> Result<IndexSheet, String> {
    check(division, head, by)?;
    let mut exact = exact(division.part(), head, by);
    if exact.is_empty() {
        return approximate(division, head, by);
    }
    let setting = exact.remove(0);
    let whole_turns = setting.is_whole_turns();
    let why = words::reason(&setting, &exact);
    // whole turns come back to the same hole on every circle alike: that is one setting and not many
    exact.retain(|other| !(whole_turns && other.is_whole_turns()));
    let lines = lines::alike(&setting, division, head.ratio);
    Ok(IndexSheet { others: exact, ..sheet(division, head, setting, lines, why) })
}

/// The sheet of one setting, exact, with no other beside it.
fn sheet(division: &Division, head: &DividingHead, setting: Setting, lines: Vec<IndexLine>, why: String) -> IndexSheet {
    IndexSheet {
        divisions: division.divisions,
        cut: division.cut,
        head: head.name.clone(),
        ratio: head.ratio,
        method: setting.method(),
        why,
        checks: lines::checks(&lines, &setting, division),
        lines,
        setting,
        others: Vec::new(),
        elsewhere: Vec::new(),
        error: None,
    }
}

/// The sheet on whichever of the shop's heads divides exactly with the fewest changes or, where none does, comes nearest.
pub fn index_on_any(division: &Division, heads: &[DividingHead], by: Option<Method>) -> Result<IndexSheet, String> {
    best(division, heads, by, |sheet, _| [sheet.felt(), 0.0])
}

/// The same for work on an arbor against a tailstock: among devices that divide alike a dividing head is taken before a rotary
/// table, which must be stood upright for it.
pub fn index_between_centres(division: &Division, heads: &[DividingHead]) -> Result<IndexSheet, String> {
    best(division, heads, None, |sheet, head| [sheet.felt(), f64::from(u8::from(head.is_table()))])
}

/// The same for helical teeth. A head that is geared to the table cannot turn its plate by gears of its own, nor divide by the
/// plate on its spindle; and one that can be geared comes before all others, for the rest cannot cut the lead.
pub fn index_geared(division: &Division, heads: &[DividingHead]) -> Result<IndexSheet, String> {
    let unfit = |head: &DividingHead| f64::from(u8::from(head.change_gears.is_none()) * 2 + u8::from(head.is_table()));
    best(division, heads, Some(Method::Simple), |sheet, head| [unfit(head), sheet.felt()])
}

/// The sheet that ranks least, the fewest changes deciding among equals.
fn best(
    division: &Division,
    heads: &[DividingHead],
    by: Option<Method>,
    rank: impl Fn(&IndexSheet, &DividingHead) -> [f64; 2],
) -> Result<IndexSheet, String> {
    let mut refusals: Vec<String> = Vec::new();
    let mut sheets: Vec<([f64; 3], IndexSheet)> = Vec::new();
    for head in heads {
        match index(division, head, by) {
            Ok(sheet) => {
                let [first, second] = rank(&sheet, head);
                sheets.push(([first, second, f64::from(sheet.setting.changes())], sheet));
            }
            Err(why) => refusals.push(why),
        }
    }
    let order = |(a, _): &([f64; 3], IndexSheet), (b, _): &([f64; 3], IndexSheet)| {
        a.iter().zip(b).map(|(a, b)| a.total_cmp(b)).find(|order| order.is_ne()).unwrap_or(Ordering::Equal)
    };
    sheets.sort_by(order);
    let mut sheets = sheets.into_iter().map(|(_, sheet)| sheet);
    let Some(mut chosen) = sheets.next() else {
        refusals.dedup();
        return Err(match refusals.is_empty() {
            true => "The shop lists no dividing head and no rotary table.".to_string(),
            false => refusals.join(" "),
        });
    };
    chosen.elsewhere = sheets
        .filter(|sheet| sheet.error.is_none())
        .map(|sheet| Elsewhere { head: sheet.head, ratio: sheet.ratio, setting: sheet.setting })
        .collect();
    Ok(chosen)
}

impl IndexSheet {
    /// What it is off by, where that can be felt at all.
    fn felt(&self) -> f64 {
        worth(self.error.map_or(0.0, |error| error.cumulated_seconds))
    }
}

/// Plates and worms are not truer than this many seconds of arc, so that less is no gain; common practice.
const FELT_SECONDS: f64 = 10.0;

/// Errors told apart only where the difference can be felt; an exact division before all others.
fn worth(seconds: f64) -> f64 {
    (seconds / FELT_SECONDS).ceil()
}

impl Setting {
    pub fn method(&self) -> Method {
        match self.way {
            Way::Crank => Method::Simple,
            Way::Direct => Method::Direct,
            Way::Dial => Method::Angular,
            Way::Compound(_) => Method::Compound,
            Way::Differential(_) => Method::Differential,
        }
    }

    /// What is set or mounted before the first space: a plate or the worm thrown out, a stop pin besides, gears.
    pub fn changes(&self) -> u32 {
        match &self.way {
            Way::Crank if self.holes == 0 => 0,
            Way::Crank | Way::Direct | Way::Dial => 1,
            Way::Compound(_) => 2,
            Way::Differential(train) => train.count().saturating_add(1),
        }
    }

    /// On the crank, with nothing to count: back to the same hole.
    fn is_whole_turns(&self) -> bool {
        matches!(self.way, Way::Crank | Way::Dial) && self.holes == 0
    }

    /// Holes the crank is moved in all, whole turns included.
    pub fn holes_in_all(&self) -> u64 {
        u64::from(self.turns) * u64::from(self.circle) + u64::from(self.holes)
    }

    /// Of one turn of the work, the part a move makes, as an exact fraction.
    ///
    /// Differential: of one turn of the crank the plate gives back or adds r times what the spindle turns, so that the part
    /// is m/(V − r), with m the move in turns, V the head's ratio and r the gears', negative against the crank.
    pub fn of_a_turn(&self, ratio: u32) -> Fraction {
        let (moved, circle, ratio) = (self.holes_in_all(), u64::from(self.circle), u64::from(ratio));
        match &self.way {
            Way::Crank | Way::Dial => Fraction { numerator: moved, denominator: circle * ratio },
            Way::Direct => Fraction { numerator: moved, denominator: circle },
            Way::Compound(second) => {
                let (there, other) = (moved * u64::from(second.circle), u64::from(second.holes) * circle);
                let numerator = if second.back { there.saturating_sub(other) } else { there + other };
                Fraction { numerator, denominator: circle * u64::from(second.circle) * ratio }
            }
            Way::Differential(train) => {
                let Fraction { numerator: turns, denominator: per } = train.ratio;
                let left = if train.with_crank { (ratio * per).saturating_sub(turns) } else { ratio * per + turns };
                Fraction { numerator: moved * per, denominator: circle * left }
            }
        }
    }
}

/// The exact settings, fewest changes first. The laborious ways are looked for only where no easy one is, or on request.
fn exact(part: Part, head: &DividingHead, by: Option<Method>) -> Vec<Setting> {
    let wanted = |setting: &Setting| by.is_none_or(|by| setting.method() == by);
    let mut exact: Vec<Setting> =
        circles::circles(head).filter_map(|circle| circle.exact(part)).filter(wanted).collect();
    if exact.is_empty() {
        exact.extend(compound::exact(part, head).into_iter().filter(wanted).take(MOST_COMPOUND));
        exact.extend(differential::exact(part, head).into_iter().filter(wanted));
    }
    exact.sort_by_key(preference);
    exact
}

/// More compound moves than this for one division nobody reads.
const MOST_COMPOUND: usize = 3;

/// Few changes; by the crank before the direct plate, for the worm divides the plate's own errors, and a pin in a hole before
/// a mark read by eye; compound moves forward and of few holes; the largest circle, for a hole far out is the surer.
fn preference(setting: &Setting) -> (u32, u8, (bool, u32), std::cmp::Reverse<u32>) {
    let (way, holes) = match &setting.way {
        Way::Crank => (0, (false, 0)),
        Way::Direct => (1, (false, 0)),
        Way::Dial => (2, (false, 0)),
        Way::Compound(_) => (3, (compound::goes_back(setting), compound::holes_moved(setting))),
        Way::Differential(_) => (4, (false, 0)),
    };
    (setting.changes(), way, holes, std::cmp::Reverse(setting.circle))
}

fn check(division: &Division, head: &DividingHead, by: Option<Method>) -> Result<(), String> {
    let Division { divisions, cut, .. } = *division;
    if !(2..=MOST_DIVISIONS).contains(&divisions) {
        return Err(format!("{divisions} divisions cannot be indexed: 2 to {MOST_DIVISIONS} can."));
    }
    if cut == 0 || cut > divisions {
        return Err(format!("{cut} spaces cannot be cut out of {divisions} divisions."));
    }
    if let Some(by) = by {
        return words::has_means(head, by).map_or(Ok(()), Err);
    }
    if circles::circles(head).next().is_none() {
        let needed = lines::circle_needed(divisions, head.ratio.max(1));
        return Err(format!(
            "The {} has no index plates and no direct plate listed: turns of its crank cannot be divided. For {divisions} divisions it \
             needs a circle of {needed} holes or any multiple of it.",
            head.name
        ));
    }
    Ok(())
}

/// The setting that comes nearest over the spaces really cut.
fn approximate(division: &Division, head: &DividingHead, by: Option<Method>) -> Result<IndexSheet, String> {
    let part = division.part();
    let wanted = |setting: &Setting| by.is_none_or(|by| setting.method() == by);
    let nearest = circles::circles(head)
        // with fewer holes than divisions two spaces would fall on one
        .filter(|circle| circle.per_turn >= u64::from(division.divisions))
        .map(|circle| {
            let setting = circle.nearest(part);
            (lines::nearest(&setting, &circle, division, head.ratio), setting)
        })
        .filter(|(_, setting)| wanted(setting))
        .map(|(lines, setting)| (lines::error(&lines, &setting, division, head.ratio), setting, lines));
    let alike = laborious(division, head, by).map(|setting| {
        let lines = lines::alike(&setting, division, head.ratio);
        (lines::error(&lines, &setting, division, head.ratio), setting, lines)
    });
    let best = nearest.chain(alike).min_by(|(a, one, _), (b, other, _)| {
        let key = |error: &IndexError, setting: &Setting| (worth(error.cumulated_seconds), setting.changes());
        let ((a_felt, a_changes), (b_felt, b_changes)) = (key(a, one), key(b, other));
        let felt = a_felt.total_cmp(&b_felt).then(a_changes.cmp(&b_changes));
        felt.then(a.rms_seconds.total_cmp(&b.rms_seconds))
    });
    let Some((error, setting, lines)) = best else {
        return Err(words::nothing(division.divisions, head, by));
    };
    let why = words::nearest_reason(&setting);
    Ok(IndexSheet { error: Some(error), ..sheet(division, head, setting, lines, why) })
}

/// The compound moves and the trains that come nearest, one of each: a move made alike every time is judged by itself.
fn laborious<'a>(
    division: &'a Division,
    head: &'a DividingHead,
    by: Option<Method>,
) -> impl Iterator<Item = Setting> + 'a {
    let part = division.part();
    let off = move |setting: &Setting| lines::seconds_off(setting, part, head.ratio).abs();
    let least = move |a: &Setting, b: &Setting| off(a).total_cmp(&off(b)).then(a.changes().cmp(&b.changes()));
    let compound = compound::nearest(part, head).min_by(least);
    let differential = differential::nearest(part, head).into_iter().min_by(least);
    compound.into_iter().chain(differential).filter(move |setting| by.is_none_or(|by| setting.method() == by))
}

/// Greatest common divisor.
fn gcd<N: Copy + PartialEq + std::ops::Rem<Output = N> + Default>(a: N, b: N) -> N {
    if b == N::default() { a } else { gcd(b, a % b) }
}
