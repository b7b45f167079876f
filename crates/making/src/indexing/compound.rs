//! Compound indexing: a move of the crank in one circle, then one of plate and crank together in another circle of the same
//! plate, counted at the plate's stop pin.

use super::{Part, SecondMove, Setting, Way, gcd};
use crate::shop::{DividingHead, IndexPlate};

/// The moves that make a part of a turn of the work exactly, those forward first, then by holes, one for each two circles.
///
/// What it is: holes n₁ in circle A and n₂ in circle B, forward or back, with whole turns t of the crank.
/// Equation: t + n₁/A ± n₂/B = ratio · part. Units: holes. Range: two circles of one plate. Accuracy: exact.
/// Source: common to workshop texts; the classic example is 69 = 21/23 − 11/33 (from memory).
pub(super) fn exact(part: Part, head: &DividingHead) -> Vec<Setting> {
    let mut found: Vec<Setting> = pairs(head)
        .filter_map(|pair| {
            let (wanted, whole) = pair.wanted(part, head.ratio);
            (wanted % whole == 0).then(|| pair.move_of(wanted / whole)).flatten()
        })
        .collect();
    found.sort_by_key(|setting| (goes_back(setting), holes_moved(setting)));
    // the same two circles with their parts exchanged are one way
    let mut seen: Vec<(u32, u32)> = Vec::new();
    found.retain(|setting| {
        let Way::Compound(second) = &setting.way else { return false };
        let both = (setting.circle.min(second.circle), setting.circle.max(second.circle));
        let new = !seen.contains(&both);
        seen.push(both);
        new
    });
    found
}

/// The moves nearest to a part of a turn, made alike every time: each two circles give one.
pub(super) fn nearest(part: Part, head: &DividingHead) -> impl Iterator<Item = Setting> + '_ {
    pairs(head).filter_map(move |pair| {
        let (wanted, whole) = pair.wanted(part, head.ratio);
        // only multiples of what the circles have in common can be stepped
        let common = i128::from(gcd(pair.crank, pair.stop));
        let unit = common * whole;
        let nearest = (2 * wanted + unit) / (2 * unit) * common;
        (nearest > 0).then(|| pair.move_of(nearest)).flatten()
    })
}

pub(super) fn holes_moved(setting: &Setting) -> u32 {
    match &setting.way {
        Way::Compound(second) => setting.holes + second.holes,
        Way::Crank | Way::Direct | Way::Dial | Way::Differential(_) => setting.holes,
    }
}

pub(super) fn goes_back(setting: &Setting) -> bool {
    matches!(&setting.way, Way::Compound(second) if second.back)
}

struct Pair<'a> {
    plate: &'a IndexPlate,
    crank: u32,
    stop: u32,
}

fn pairs(head: &DividingHead) -> impl Iterator<Item = Pair<'_>> {
    let plates = head.plates.iter().filter(|_| head.stop_pin && head.ratio > 0);
    plates
        .flat_map(|plate| {
            let circles = || plate.circles.iter().copied().filter(|&holes| holes > 0);
            circles().flat_map(move |crank| circles().map(move |stop| Pair { plate, crank, stop }))
        })
        .filter(|pair| pair.crank != pair.stop)
}

impl Pair<'_> {
    /// The part in steps of 1/(A·B) of a turn of the crank, as a fraction.
    fn wanted(&self, part: Part, ratio: u32) -> (i128, i128) {
        let steps = i128::from(ratio) * i128::from(self.crank) * i128::from(self.stop);
        (steps * i128::from(part.numerator), i128::from(part.denominator))
    }

    /// The move that comes to so many steps: forward where it can be, for going back lets in the backlash; then of fewest holes.
    fn move_of(&self, steps: i128) -> Option<Setting> {
        let (crank, stop) = (i128::from(self.crank), i128::from(self.stop));
        let holes = |back: i128| {
            let rest = steps - back * crank;
            let in_crank_circle = (rest % stop == 0).then_some(rest / stop).filter(|holes| *holes > 0)?;
            let (turns, holes) = (in_crank_circle / crank, in_crank_circle % crank);
            (holes > 0).then_some((turns, holes, back))
        };
        let (turns, holes, second) = (1..stop)
            .flat_map(|count| [count, -count])
            .filter_map(holes)
            .min_by_key(|(_, holes, second)| (*second < 0, holes + second.abs()))?;
        Some(Setting {
            way: Way::Compound(SecondMove {
                circle: self.stop,
                holes: u32::try_from(second.abs()).ok()?,
                back: second < 0,
            }),
            plate: self.plate.name.clone(),
            circle: self.crank,
            turns: u32::try_from(turns).ok()?,
            holes: u32::try_from(holes).ok()?,
        })
    }
}
