//! Differential indexing: the crank makes the move of a near number while gears from the spindle turn the plate by the rest.

use std::collections::BTreeSet;

use super::circles::crank_circles;
use super::gears::{Gears, Train};
use super::{Fraction, Part, Setting, Way, gcd};
use crate::shop::DividingHead;

/// More ways than this to set up one division nobody reads.
const MOST_WAYS: usize = 3;
/// The plate turned quicker than this strains the head; see the gears.
const FASTEST_PLATE: i128 = 6;

/// The set-ups that divide exactly, fewest gears first.
///
/// What it is: for a move of n holes in a circle of H the plate must turn x times while the spindle turns once.
/// Equation: x = (H·V − N·n)/H, with V the head's ratio and N the divisions; positive, the plate turns with the crank.
/// Units: turns. Range: |x| ≤ 6. Accuracy: exact. Source: Practical Treatise on Milling and Milling Machines, p. 55.
/// Example: N = 271, H = 21, n = 3: x = 9/7 (p. 57).
pub(super) fn exact(part: Part, head: &DividingHead) -> Vec<Setting> {
    let Some(gears) = head.change_gears.as_ref().map(Gears::of) else { return Vec::new() };
    let moves = moves(part, head);
    let find = |train: &dyn Fn(Fraction, bool) -> Option<Train>| -> Vec<Setting> {
        moves.iter().filter_map(|one| Some(one.setting(train(one.ratio(), one.with_crank())?))).collect()
    };
    let mut found = find(&|ratio, with_crank| gears.simple(ratio, with_crank));
    if found.is_empty() {
        found = find(&|ratio, with_crank| gears.compound(ratio, with_crank));
    }
    found.sort_by(|a, b| order(a).partial_cmp(&order(b)).unwrap_or(std::cmp::Ordering::Equal));
    found.truncate(MOST_WAYS);
    found
}

/// Where no train gives the ratio: for each move, the trains next to it that can be put in mesh.
pub(super) fn nearest(part: Part, head: &DividingHead) -> Vec<Setting> {
    /// Trains tried on either side before a move is given up.
    const TRIED: usize = 4;
    let Some(gears) = head.change_gears.as_ref().map(Gears::of) else { return Vec::new() };
    let ratios = gears.ratios();
    moves(part, head)
        .iter()
        .flat_map(|one| {
            let wanted = one.plate.0.unsigned_abs() as f64 / one.plate.1 as f64;
            let at = ratios.partition_point(|(ratio, _)| *ratio < wanted);
            let mesh = |&(_, pairing): &(f64, _)| gears.paired(pairing, one.with_crank());
            let below = ratios[..at].iter().rev().take(TRIED).find_map(mesh);
            let above = ratios[at..].iter().take(TRIED).find_map(mesh);
            [below, above].into_iter().flatten().map(|train| one.setting(train)).collect::<Vec<_>>()
        })
        .collect()
}

/// Few gears; then a plate that turns about as fast as the spindle; then a large circle.
fn order(setting: &Setting) -> (u32, f64, std::cmp::Reverse<u32>) {
    match &setting.way {
        Way::Differential(train) => {
            let ratio = train.ratio.numerator as f64 / train.ratio.denominator as f64;
            (train.count(), ratio.max(1.0 / ratio), std::cmp::Reverse(setting.circle))
        }
        Way::Crank | Way::Direct | Way::Dial | Way::Compound(_) => (0, 1.0, std::cmp::Reverse(setting.circle)),
    }
}

/// A move of the crank near the true one, and the turns of the plate it leaves to the gears.
struct Near<'a> {
    plate_name: &'a str,
    circle: u32,
    turns: u32,
    holes: u32,
    /// In lowest terms, positive with the crank.
    plate: (i128, i128),
}

/// Each fraction of a turn once, in the largest circle that has it.
fn moves(part: Part, head: &DividingHead) -> Vec<Near<'_>> {
    let mut circles: Vec<_> = crank_circles(head).collect();
    circles.sort_by_key(|circle| std::cmp::Reverse(circle.holes));
    let mut seen = BTreeSet::new();
    let mut out = Vec::new();
    // of one turn of the work: the divisions, where the part is one of them
    let (divisions, ratio) = (i128::from(part.denominator), i128::from(head.ratio));
    if part.numerator != 1 {
        return out;
    }
    for circle in circles {
        let holes_round = i128::from(circle.holes);
        let least = (holes_round * (ratio - FASTEST_PLATE)).div_euclid(divisions).max(1);
        let most = (holes_round * (ratio + FASTEST_PLATE)).div_euclid(divisions);
        for taken in least..=most {
            let over = holes_round * ratio - divisions * taken;
            let common = gcd(over.unsigned_abs(), holes_round.unsigned_abs()) as i128;
            let plate = (over / common, holes_round / common);
            let too_fast = plate.0.abs() > FASTEST_PLATE * plate.1;
            let of_a_turn = gcd(taken.unsigned_abs(), holes_round.unsigned_abs()) as i128;
            if over == 0 || too_fast || !seen.insert((taken / of_a_turn, holes_round / of_a_turn)) {
                continue;
            }
            let narrow = |number: i128| u32::try_from(number).unwrap_or(u32::MAX);
            out.push(Near {
                plate_name: circle.plate,
                circle: circle.holes,
                turns: narrow(taken / holes_round),
                holes: narrow(taken % holes_round),
                plate,
            });
        }
    }
    out
}

impl Near<'_> {
    fn with_crank(&self) -> bool {
        self.plate.0 > 0
    }

    fn ratio(&self) -> Fraction {
        let narrow = |number: i128| u64::try_from(number.unsigned_abs()).unwrap_or(u64::MAX);
        Fraction { numerator: narrow(self.plate.0), denominator: narrow(self.plate.1) }
    }

    fn setting(&self, train: Train) -> Setting {
        Setting {
            way: Way::Differential(train),
            plate: self.plate_name.to_string(),
            circle: self.circle,
            turns: self.turns,
            holes: self.holes,
        }
    }
}
