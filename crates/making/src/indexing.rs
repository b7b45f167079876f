//! Simple indexing: which circle, how many turns and holes from tooth to tooth, and where the pin stands after each.

use serde::Serialize;

use crate::shop::DividingHead;

/// Seconds of arc in a turn.
const SECONDS_PER_TURN: f64 = 1_296_000.0;

/// More divisions than any head is asked for; it keeps a sheet of lines from filling the memory.
pub const MOST_DIVISIONS: u32 = 100_000;

/// How a head is set for a number of divisions, and a line for each space that is cut.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct IndexSheet {
    pub divisions: u32,
    /// Spaces cut: of a whole wheel all, of a sector one more than its teeth.
    pub cut: u32,
    pub head: String,
    pub ratio: u32,
    /// The setting the lines are worked with.
    pub setting: Setting,
    /// Why this one.
    pub why: String,
    /// The other settings that divide exactly.
    pub others: Vec<Setting>,
    /// None where the division is exact.
    pub error: Option<IndexError>,
    pub lines: Vec<IndexLine>,
}

/// The move from one space to the next; where the division is not exact, the usual one.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Setting {
    pub way: Way,
    /// Plate the circle is on.
    pub plate: String,
    pub circle: u32,
    pub turns: u32,
    pub holes: u32,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Way {
    /// The crank turns the spindle through the worm.
    Crank,
    /// The spindle's own plate is turned by hand, the worm out of mesh.
    Direct,
}

/// What a division that no circle gives exactly is off by. Each space takes the hole nearest to its true place, so that
/// nothing adds up.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct IndexError {
    /// Seconds of arc that the farthest space is from its place, counted from the first.
    pub largest_seconds: f64,
    /// Root of the mean square over the spaces cut.
    pub rms_seconds: f64,
    /// Seconds of arc that one and the same move, made every time, would be too long, or too short where negative.
    pub seconds_per_tooth: f64,
    /// The same added up: to the last space of a sector; round the whole wheel, where it would all fall in the last space.
    pub seconds_over_cut: f64,
    /// Smallest circle that would divide exactly.
    pub circle_needed: u32,
}

/// One tooth space: the move that leads to it and where that leaves the pin.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct IndexLine {
    /// From 1.
    pub space: u32,
    /// The same number: the tooth that follows the space, but for the last space of a sector.
    pub tooth: u32,
    /// Whole turns and holes of the move to this space; none for the first.
    pub turns: u32,
    pub holes: u32,
    /// Turns from the first space: this many holes over the circle.
    pub turns_total: Fraction,
    /// The hole the pin then stands in, the first space's being 0: a slip shows here.
    pub pin_hole: u32,
}

/// A fraction as it is counted off on a circle, not reduced.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Fraction {
    pub numerator: u64,
    pub denominator: u64,
}

/// The sheet for `cut` spaces of `divisions` in the whole circle, on this head.
///
/// What it is: the turns of the crank between divisions.
/// Equation: turns = ratio / divisions; on a circle of C holes, exact where C·ratio is a multiple of the divisions.
/// Units: turns and holes, whole numbers. Range: 2 divisions and up. Accuracy: exact rational arithmetic.
/// Source: Practical Treatise on Milling and Milling Machines, rules for indexing, p. 55.
pub fn index(divisions: u32, cut: u32, head: &DividingHead) -> Result<IndexSheet, String> {
    check(divisions, cut, head)?;
    let mut exact: Vec<Setting> = settings(head).filter_map(|circle| circle.exact(divisions, head.ratio)).collect();
    exact.sort_by_key(preference);
    if exact.is_empty() {
        return approximate(divisions, cut, head);
    }
    let setting = exact.remove(0);
    let whole_turns = setting.is_whole_turns();
    let why = if whole_turns { WHOLE_TURNS.to_string() } else { reason(&setting, !exact.is_empty()) };
    // whole turns come back to the same hole on every circle alike: that is one setting and not many
    exact.retain(|other| !(whole_turns && other.is_whole_turns()));
    let counted = (0..u64::from(cut)).map(|space| space * setting.holes_in_all());
    Ok(IndexSheet {
        divisions,
        cut,
        head: head.name.clone(),
        ratio: head.ratio,
        why,
        lines: lines(&setting, counted),
        setting,
        others: exact,
        error: None,
    })
}

/// The sheet on whichever of the shop's heads divides exactly or, where none does, comes nearest.
pub fn index_on_any(divisions: u32, cut: u32, heads: &[DividingHead]) -> Result<IndexSheet, String> {
    let mut best: Option<IndexSheet> = None;
    let mut refusal = String::from("The shop lists no dividing head and no rotary table.");
    for head in heads {
        match index(divisions, cut, head) {
            Ok(sheet) if best.as_ref().is_none_or(|best| sheet.off() < best.off()) => {
                best = Some(sheet);
            }
            Ok(_) => {}
            Err(why) => refusal = why,
        }
    }
    best.ok_or(refusal)
}

impl IndexSheet {
    /// Seconds of arc the spaces are off by.
    fn off(&self) -> f64 {
        self.error.map_or(0.0, |error| error.rms_seconds)
    }

    /// The setting as a machinist is told it.
    pub fn sentence(&self) -> String {
        let (divisions, head) = (self.divisions, &self.head);
        match self.error {
            None => format!("{divisions} divisions, exactly, on the {head}: {}", self.setting.sentence()),
            Some(_) => format!(
                "{divisions} divisions, nearly, on the {head}: count every move off the indexing sheet, in the {}. Moves differ by a hole, \
                 {} mostly: leave the sector arms alone.",
                self.setting.place(),
                self.setting.short()
            ),
        }
    }

    /// What is not exact about it, and what would be.
    pub fn caution(&self) -> Option<String> {
        let error = self.error?;
        Some(format!(
            "No circle on this head divides {} exactly: each space takes the hole nearest to its true place, so that errors do not add up. \
             The largest is {:.0} seconds of arc, the rms {:.0} seconds. A circle of {} holes, or any multiple of it, would be exact.",
            self.divisions, error.largest_seconds, error.rms_seconds, error.circle_needed,
        ))
    }
}

impl IndexLine {
    /// "start", "1 turn and 3 holes", "30 holes".
    pub fn sentence(&self) -> String {
        match (self.turns, self.holes) {
            (0, 0) => "start".to_string(),
            (whole, 0) => turns(whole),
            (0, part) => holes(part),
            (whole, part) => format!("{} and {}", turns(whole), holes(part)),
        }
    }
}

impl Setting {
    /// On the crank, with nothing to count: back to the same hole.
    fn is_whole_turns(&self) -> bool {
        self.way == Way::Crank && self.holes == 0
    }

    /// Where the holes are counted.
    fn place(&self) -> String {
        match self.way {
            Way::Crank => format!("{}-hole circle of {}", self.circle, self.plate),
            Way::Direct => format!("{} places of the direct plate, worm out of mesh", self.circle),
        }
    }

    /// Holes moved in all, whole turns included.
    pub fn holes_in_all(&self) -> u64 {
        u64::from(self.turns) * u64::from(self.circle) + u64::from(self.holes)
    }

    /// The move and the sector arms.
    pub fn sentence(&self) -> String {
        match self.way {
            Way::Direct => {
                format!("worm out of mesh, {} of the {} places of the direct plate.", holes(self.holes), self.circle)
            }
            Way::Crank if self.holes == 0 => format!(
                "{}, back to the same hole; any circle serves, the sheet counts on the {}.",
                turns(self.turns),
                self.place()
            ),
            Way::Crank => format!(
                "{}{} in the {}. Set the sector arms to {}: {} holes between them, counting the one the pin stands in.",
                if self.turns == 0 { String::new() } else { format!("{} and ", turns(self.turns)) },
                holes(self.holes),
                self.place(),
                if self.holes == 1 { "1 space".to_string() } else { format!("{} spaces", self.holes) },
                self.holes + 1
            ),
        }
    }

    /// `2 + 10/33`, `30/33`, `20 turns`: as an index table prints it.
    pub fn short(&self) -> String {
        match (self.turns, self.holes) {
            (whole, 0) => turns(whole),
            (0, part) => format!("{part}/{}", self.circle),
            (whole, part) => format!("{whole} + {part}/{}", self.circle),
        }
    }

    /// Of one turn of the work, the part a move makes, as an exact fraction.
    pub fn of_a_turn(&self, ratio: u32) -> Fraction {
        let per_turn = match self.way {
            Way::Crank => u64::from(ratio),
            Way::Direct => 1,
        };
        Fraction { numerator: self.holes_in_all(), denominator: u64::from(self.circle) * per_turn }
    }
}

fn check(divisions: u32, cut: u32, head: &DividingHead) -> Result<(), String> {
    if !(2..=MOST_DIVISIONS).contains(&divisions) {
        return Err(format!("{divisions} divisions cannot be indexed: 2 to {MOST_DIVISIONS} can."));
    }
    if cut == 0 || cut > divisions {
        return Err(format!("{cut} spaces cannot be cut out of {divisions} divisions."));
    }
    if settings(head).next().is_none() {
        let needed = circle_needed(divisions, head.ratio.max(1));
        return Err(format!(
            "The {} has no index plates and no direct plate listed: turns of its crank cannot be divided. For {divisions} divisions it \
             needs a circle of {} holes or any multiple of it.",
            head.name, needed
        ));
    }
    let most = settings(head).map(|circle| circle.holes_per_turn(head.ratio)).max().unwrap_or(0);
    if u64::from(divisions) > most {
        return Err(format!(
            "{divisions} divisions are more than the {} has holes to stop at: {most} in a turn of the work, on its largest circle.",
            head.name
        ));
    }
    Ok(())
}

/// A circle of holes on a head, with what its holes are worth.
struct Circle<'a> {
    way: Way,
    plate: &'a str,
    holes: u32,
}

/// Every circle of the head that can be used.
fn settings(head: &DividingHead) -> impl Iterator<Item = Circle<'_>> {
    let crank = head.plates.iter().filter(|_| head.ratio > 0).flat_map(|plate| {
        plate.circles.iter().filter(|&&holes| holes > 0).map(|&holes| Circle {
            way: Way::Crank,
            plate: &plate.name,
            holes,
        })
    });
    let direct = head.direct_holes.filter(|&holes| holes > 0).map(|holes| Circle {
        way: Way::Direct,
        plate: "direct plate",
        holes,
    });
    crank.chain(direct)
}

impl Circle<'_> {
    /// Holes of this circle in one turn of the work.
    fn holes_per_turn(&self, ratio: u32) -> u64 {
        match self.way {
            Way::Crank => u64::from(self.holes) * u64::from(ratio),
            Way::Direct => u64::from(self.holes),
        }
    }

    fn exact(&self, divisions: u32, ratio: u32) -> Option<Setting> {
        let per_turn = self.holes_per_turn(ratio);
        let divisions = u64::from(divisions);
        per_turn.is_multiple_of(divisions).then(|| self.setting(per_turn / divisions))
    }

    /// Holes from the first space to each of the spaces cut, whole ones nearest to the true places.
    fn nearest_places(&self, divisions: u32, cut: u32, ratio: u32) -> impl Iterator<Item = u64> {
        let (per_turn, divisions) = (u128::from(self.holes_per_turn(ratio)), u128::from(divisions));
        (0..u128::from(cut)).map(move |space| {
            let nearest = (2 * space * per_turn + divisions) / (2 * divisions);
            // no more holes than a turn of the work has, which is 64 bits wide
            u64::try_from(nearest).unwrap_or(u64::MAX)
        })
    }

    /// Largest and rms distance of those places from the true ones, in seconds of arc.
    fn errors(&self, divisions: u32, cut: u32, ratio: u32) -> (f64, f64) {
        let per_turn = self.holes_per_turn(ratio);
        let (mut largest, mut squares) = (0.0_f64, 0.0);
        for (space, holes) in (0_u64..).zip(self.nearest_places(divisions, cut, ratio)) {
            let over = i128::from(holes) * i128::from(divisions) - i128::from(space) * i128::from(per_turn);
            // exact up to here; the quotient is rounded once
            let off = over as f64 / (per_turn as f64 * f64::from(divisions)) * SECONDS_PER_TURN;
            largest = largest.max(off.abs());
            squares += off * off;
        }
        (largest, (squares / f64::from(cut)).sqrt())
    }

    /// The whole number of holes nearest to a division, at least one.
    fn nearest(&self, divisions: u32, ratio: u32) -> Setting {
        let (per_turn, divisions) = (self.holes_per_turn(ratio), u64::from(divisions));
        self.setting(((2 * per_turn + divisions) / (2 * divisions)).max(1))
    }

    fn setting(&self, holes: u64) -> Setting {
        let circle = u64::from(self.holes);
        let (turns, holes) = match self.way {
            Way::Crank => (holes / circle, holes % circle),
            Way::Direct => (0, holes),
        };
        Setting {
            way: self.way,
            plate: self.plate.to_string(),
            circle: self.holes,
            // quotient and remainder of a number below ratio × circle, both of which are 32 bits wide
            turns: u32::try_from(turns).unwrap_or(u32::MAX),
            holes: u32::try_from(holes).unwrap_or(u32::MAX),
        }
    }
}

/// By the crank first, for the worm divides the plate's own errors; the largest circle, for a hole far out is the surer.
fn preference(setting: &Setting) -> (bool, std::cmp::Reverse<u32>) {
    (setting.way == Way::Direct, std::cmp::Reverse(setting.circle))
}

const WHOLE_TURNS: &str = "Whole turns of the crank: nothing is counted off, and no circle is surer than another.";

fn reason(setting: &Setting, others: bool) -> String {
    let why = match (setting.way, others) {
        (Way::Crank, true) => {
            "The largest circle that divides exactly: the same slack at the pin is a smaller angle there."
        }
        (Way::Crank, false) => "The only circle owned that divides exactly.",
        (Way::Direct, _) => "Only the direct plate divides exactly.",
    };
    why.to_string()
}

fn approximate(divisions: u32, cut: u32, head: &DividingHead) -> Result<IndexSheet, String> {
    let nearest = settings(head)
        // with fewer holes than divisions two spaces would fall on one
        .filter(|circle| circle.holes_per_turn(head.ratio) >= u64::from(divisions))
        .map(|circle| (circle.errors(divisions, cut, head.ratio), circle))
        .min_by(|((_, a), _), ((_, b), _)| a.total_cmp(b));
    let Some(((largest_seconds, rms_seconds), circle)) = nearest else {
        return Err(format!("The {} has no circle to count holes on.", head.name));
    };
    let setting = circle.nearest(divisions, head.ratio);
    let per_tooth = seconds_off(&setting, divisions, head.ratio);
    let moves = if cut == divisions { cut } else { cut - 1 };
    Ok(IndexSheet {
        divisions,
        cut,
        head: head.name.clone(),
        ratio: head.ratio,
        why: "No circle owned divides exactly; on this one the spaces come nearest to their places.".to_string(),
        lines: lines(&setting, circle.nearest_places(divisions, cut, head.ratio)),
        setting,
        others: Vec::new(),
        error: Some(IndexError {
            largest_seconds,
            rms_seconds,
            seconds_per_tooth: per_tooth,
            seconds_over_cut: per_tooth * f64::from(moves),
            circle_needed: circle_needed(divisions, head.ratio.max(1)),
        }),
    })
}

/// Seconds of arc by which a move is longer than a division.
fn seconds_off(setting: &Setting, divisions: u32, ratio: u32) -> f64 {
    let step = setting.of_a_turn(ratio);
    let divisions = i128::from(divisions);
    let over = i128::from(step.numerator) * divisions - i128::from(step.denominator);
    // exact up to here; the quotient is rounded once
    over as f64 / (step.denominator as f64 * divisions as f64) * SECONDS_PER_TURN
}

/// The smallest circle that makes ratio/divisions of a turn a whole number of holes.
fn circle_needed(divisions: u32, ratio: u32) -> u32 {
    divisions / gcd(divisions, ratio)
}

fn gcd(a: u32, b: u32) -> u32 {
    if b == 0 { a } else { gcd(b, a % b) }
}

/// A line for each space, from the holes counted from the first one to it.
fn lines(setting: &Setting, counted: impl Iterator<Item = u64>) -> Vec<IndexLine> {
    let circle = u64::from(setting.circle);
    // fewer holes than a turn of the work has, which is ratio × circle, both 32 bits wide
    let narrow = |number: u64| u32::try_from(number).unwrap_or(u32::MAX);
    let mut before = 0;
    (1..)
        .zip(counted)
        .map(|(space, counted)| {
            let moved = counted - before;
            before = counted;
            let (turns, holes) = match setting.way {
                Way::Crank => (moved / circle, moved % circle),
                Way::Direct => (0, moved),
            };
            IndexLine {
                space,
                tooth: space,
                turns: narrow(turns),
                holes: narrow(holes),
                turns_total: Fraction { numerator: counted, denominator: circle },
                pin_hole: narrow(counted % circle),
            }
        })
        .collect()
}

fn turns(count: u32) -> String {
    match count {
        1 => "1 turn".to_string(),
        _ => format!("{count} turns"),
    }
}

fn holes(count: u32) -> String {
    match count {
        1 => "1 hole".to_string(),
        _ => format!("{count} holes"),
    }
}
