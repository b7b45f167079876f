//! A line for every space, where the pin, the stop pin and the work stand after it, and what is off.

use quantity::Length;
use serde::Serialize;

use super::circles::Circle;
use super::{Division, Fraction, Part, SECONDS_PER_TURN, Setting, Way};

/// A running check is made after so many teeth.
const CHECKED_EVERY: u32 = 10;

/// One tooth space: the move that leads to it and where that leaves the pin.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct IndexLine {
    /// From 1.
    pub space: u32,
    /// The same number: the tooth that follows the space, but for the last space of a sector.
    pub tooth: u32,
    /// Whole turns and holes of the move to this space; none for the first. On a dial its marks are the holes.
    pub turns: u32,
    pub holes: u32,
    /// Turns from the first space: this many holes over the circle.
    pub turns_total: Fraction,
    /// The hole the pin then stands in, the first space's being 0: a slip shows here.
    pub pin_hole: u32,
    /// In compound indexing the second move, negative where it goes back, and the hole the stop pin then stands in.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub second: Option<SecondLine>,
    /// What the work has turned by from the first space, in degrees.
    pub work_degrees: f64,
    /// Seconds of arc by which that is more than it should be.
    pub off_seconds: f64,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct SecondLine {
    pub holes: i64,
    pub stop_hole: u32,
}

/// Where everything must stand once some teeth are passed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct RunningCheck {
    /// Teeth passed.
    pub after_tooth: u32,
    /// The space that is under the cutter then.
    pub space: u32,
    pub sentence: String,
}

/// What a division that is not exact is off by.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct IndexError {
    /// Seconds of arc that the farthest space is from its place, counted from the first.
    pub largest_seconds: f64,
    /// Root of the mean square over the spaces cut.
    pub rms_seconds: f64,
    /// The most that one space is off from its neighbour: of a whole wheel, the last from the first too.
    pub single_seconds: f64,
    /// From the space that is farthest back to the one farthest on, over the spaces really cut.
    pub cumulated_seconds: f64,
    /// Seconds of arc that one and the same move, made every time, would be too long, or too short where negative.
    pub seconds_per_tooth: f64,
    /// The same added up: to the last space of a sector; round the whole wheel, where it would all fall in the last space.
    pub seconds_over_cut: f64,
    /// The same in micrometres of arc, where a diameter is given.
    pub at_rim: Option<RimError>,
    /// Smallest circle that would divide exactly.
    pub circle_needed: u32,
}

/// Length of arc at a diameter, micrometres: r φ.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct RimError {
    pub diameter_mm: f64,
    pub largest_um: f64,
    pub single_um: f64,
    pub cumulated_um: f64,
}

/// The same move every time.
pub(super) fn alike(setting: &Setting, division: &Division, ratio: u32) -> Vec<IndexLine> {
    let counted = (0..u64::from(division.cut)).map(|space| space * setting.holes_in_all());
    lines(setting, division, ratio, counted)
}

/// Each space in the hole nearest to its place.
pub(super) fn nearest(setting: &Setting, circle: &Circle<'_>, division: &Division, ratio: u32) -> Vec<IndexLine> {
    lines(setting, division, ratio, circle.nearest_places(division))
}

/// From the holes counted from the first space to each.
fn lines(setting: &Setting, division: &Division, ratio: u32, counted: impl Iterator<Item = u64>) -> Vec<IndexLine> {
    let circle = u64::from(setting.circle);
    // fewer holes than a turn of the work has, which is ratio × circle, both 32 bits wide
    let narrow = |number: u64| u32::try_from(number).unwrap_or(u32::MAX);
    let step = setting.of_a_turn(ratio);
    let each = setting.holes_in_all();
    let mut before = 0;
    (1..)
        .zip(counted)
        .map(|(space, counted)| {
            let moved = counted - before;
            before = counted;
            let (turns, holes) = match setting.way {
                Way::Direct => (0, moved),
                Way::Crank | Way::Dial | Way::Compound(_) | Way::Differential(_) => (moved / circle, moved % circle),
            };
            let passed = space - 1;
            // a move is `each` holes and turns the work by `step`; so many holes, by as many times step/each
            let stands = Part128 {
                numerator: i128::from(step.numerator) * i128::from(counted),
                denominator: i128::from(step.denominator) * i128::from(each.max(1)),
            };
            let second = match &setting.way {
                Way::Compound(second) => {
                    let holes = if second.back { -i64::from(second.holes) } else { i64::from(second.holes) };
                    let all = holes * i64::from(passed);
                    let stop_hole = u32::try_from(all.rem_euclid(i64::from(second.circle.max(1)))).unwrap_or(0);
                    Some(SecondLine { holes: if passed == 0 { 0 } else { holes }, stop_hole })
                }
                Way::Crank | Way::Direct | Way::Dial | Way::Differential(_) => None,
            };
            IndexLine {
                space,
                tooth: space,
                turns: narrow(turns),
                holes: narrow(holes),
                turns_total: Fraction { numerator: counted, denominator: circle },
                pin_hole: narrow(counted % circle),
                second,
                work_degrees: stands.numerator as f64 / stands.denominator as f64 * 360.0,
                off_seconds: stands.off(passed, division.divisions),
            }
        })
        .collect()
}

struct Part128 {
    numerator: i128,
    denominator: i128,
}

impl Part128 {
    /// Seconds of arc more than `passed` of so many divisions.
    fn off(&self, passed: u32, divisions: u32) -> f64 {
        let over = self.numerator * i128::from(divisions) - i128::from(passed) * self.denominator;
        // exact up to here; the quotient is rounded once
        over as f64 / (self.denominator as f64 * f64::from(divisions)) * f64::from(SECONDS_PER_TURN)
    }
}

/// What the lines are off by, taken together.
pub(super) fn error(lines: &[IndexLine], setting: &Setting, division: &Division, ratio: u32) -> IndexError {
    let off = || lines.iter().map(|line| line.off_seconds);
    let (least, most) = off().fold((0.0_f64, 0.0_f64), |(least, most), off| (least.min(off), most.max(off)));
    let neighbours = off().zip(off().skip(1)).map(|(one, next)| (next - one).abs());
    let whole = division.cut == division.divisions;
    let closing = off().next_back().filter(|_| whole).map(f64::abs);
    let single_seconds = neighbours.chain(closing).fold(0.0, f64::max);
    let largest_seconds = most.max(-least);
    let cumulated_seconds = most - least;
    let seconds_per_tooth = seconds_off(setting, division.part(), ratio);
    let moves = if whole { division.cut } else { division.cut - 1 };
    let squares: f64 = off().map(|off| off * off).sum();
    IndexError {
        largest_seconds,
        rms_seconds: (squares / f64::from(division.cut)).sqrt(),
        single_seconds,
        cumulated_seconds,
        seconds_per_tooth,
        seconds_over_cut: seconds_per_tooth * f64::from(moves),
        at_rim: division.rim.map(|rim| RimError {
            diameter_mm: rim.mm(),
            largest_um: along(rim, largest_seconds),
            single_um: along(rim, single_seconds),
            cumulated_um: along(rim, cumulated_seconds),
        }),
        circle_needed: circle_needed(division.divisions, ratio.max(1)),
    }
}

/// Micrometres of arc at a diameter: (d/2) φ.
fn along(diameter: Length, seconds: f64) -> f64 {
    diameter.mm() / 2.0 * 1000.0 * (seconds / 3600.0).to_radians()
}

/// Seconds of arc by which a move is longer than the part wanted.
pub(super) fn seconds_off(setting: &Setting, part: Part, ratio: u32) -> f64 {
    let step = setting.of_a_turn(ratio);
    let (wanted, whole) = (i128::from(part.numerator), i128::from(part.denominator));
    let over = i128::from(step.numerator) * whole - i128::from(step.denominator) * wanted;
    // exact up to here; the quotient is rounded once
    over as f64 / (step.denominator as f64 * whole as f64) * f64::from(SECONDS_PER_TURN)
}

/// The smallest circle that makes ratio/divisions of a turn a whole number of holes.
pub(super) fn circle_needed(divisions: u32, ratio: u32) -> u32 {
    divisions / super::gcd(divisions, ratio)
}

/// A check after every ten teeth and, on a whole wheel, where it closes.
pub(super) fn checks(lines: &[IndexLine], setting: &Setting, division: &Division) -> Vec<RunningCheck> {
    let due = |line: &&IndexLine| line.space > 1 && (line.space - 1).is_multiple_of(CHECKED_EVERY);
    let running = lines.iter().filter(due).map(|line| RunningCheck {
        after_tooth: line.space - 1,
        space: line.space,
        sentence: format!("Before space {} is cut you stand {}.", line.space, setting.stands(line)),
    });
    let whole = division.cut == division.divisions;
    let closing = whole.then(|| RunningCheck {
        after_tooth: division.divisions,
        space: 1,
        sentence: format!(
            "After space {}, the last, one more move must bring the first space back under the cutter: touch it there before the work is let go.",
            division.divisions
        ),
    });
    running.chain(closing).collect()
}
