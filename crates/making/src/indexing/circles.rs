//! What is counted off: holes of a plate under the crank, of the direct plate, or marks of the dial. All are circles, with
//! so many places in a turn of the work.

use super::{Division, Part, SECONDS_PER_TURN, Setting, Way};
use crate::shop::DividingHead;

/// A circle of places on a head, with what its places are worth.
pub(super) struct Circle<'a> {
    pub way: Way,
    pub plate: &'a str,
    pub holes: u32,
    /// Places in one turn of the work.
    pub per_turn: u64,
}

/// Every circle of the head that can be used.
pub(super) fn circles(head: &DividingHead) -> impl Iterator<Item = Circle<'_>> {
    let direct = head.direct_holes.iter().filter(|&&holes| holes > 0).map(|&holes| Circle {
        way: Way::Direct,
        plate: "direct plate",
        holes,
        per_turn: u64::from(holes),
    });
    crank_circles(head).chain(direct).chain(dial(head))
}

/// The circles of the plates.
pub(super) fn crank_circles(head: &DividingHead) -> impl Iterator<Item = Circle<'_>> {
    head.plates.iter().filter(|_| head.ratio > 0).flat_map(|plate| {
        plate.circles.iter().filter(|&&holes| holes > 0).map(|&holes| Circle {
            way: Way::Crank,
            plate: &plate.name,
            holes,
            per_turn: u64::from(holes) * u64::from(head.ratio),
        })
    })
}

/// The marks of the dial, where a whole number of them goes to a turn of the crank.
fn dial(head: &DividingHead) -> Option<Circle<'static>> {
    let marks = head.marks_per_turn()?;
    let per_turn = u64::from(marks) * u64::from(head.ratio);
    Some(Circle { way: Way::Dial, plate: "dial", holes: marks, per_turn })
}

impl DividingHead {
    /// Marks that go to one turn of the crank; none without a dial, or where they do not go evenly.
    pub fn marks_per_turn(&self) -> Option<u32> {
        let mark = self.reads_to.filter(|&mark| mark > 0 && self.ratio > 0)?;
        let to_a_turn = self.ratio.checked_mul(mark)?;
        SECONDS_PER_TURN.is_multiple_of(to_a_turn).then(|| SECONDS_PER_TURN / to_a_turn)
    }
}

impl Circle<'_> {
    pub fn exact(&self, part: Part) -> Option<Setting> {
        let places = u128::from(self.per_turn) * u128::from(part.numerator);
        let whole = places.is_multiple_of(u128::from(part.denominator));
        whole.then(|| self.setting(narrow(places / u128::from(part.denominator))))
    }

    /// The whole number of places nearest to a part of a turn, at least one.
    pub fn nearest(&self, part: Part) -> Setting {
        let (places, whole) = (u128::from(self.per_turn) * u128::from(part.numerator), u128::from(part.denominator));
        self.setting(narrow((2 * places + whole) / (2 * whole)).max(1))
    }

    /// Places from the first space to each of the spaces cut, whole ones nearest to the true.
    pub fn nearest_places(&self, division: &Division) -> impl Iterator<Item = u64> + use<> {
        let (per_turn, divisions) = (u128::from(self.per_turn), u128::from(division.divisions));
        (0..u128::from(division.cut)).map(move |space| narrow((2 * space * per_turn + divisions) / (2 * divisions)))
    }

    fn setting(&self, places: u64) -> Setting {
        let circle = u64::from(self.holes);
        let (turns, holes) = match self.way {
            Way::Direct => (0, places),
            Way::Crank | Way::Dial | Way::Compound(_) | Way::Differential(_) => (places / circle, places % circle),
        };
        Setting {
            way: self.way.clone(),
            plate: self.plate.to_string(),
            circle: self.holes,
            // quotient and remainder of a number below ratio × circle, both of which are 32 bits wide
            turns: u32::try_from(turns).unwrap_or(u32::MAX),
            holes: u32::try_from(holes).unwrap_or(u32::MAX),
        }
    }
}

/// No more places than a turn of the work has, which is 64 bits wide.
fn narrow(places: u128) -> u64 {
    u64::try_from(places).unwrap_or(u64::MAX)
}
