//! How a part's spaces are gone round: so often as its operation has depths, and for so many pieces at once as are clamped
//! together.

use making::indexing::IndexSheet;
use making::{Operation, Plan, Step};
use quantity::{Length, Unit, print};

/// The spaces of a plan, and how often they are gone round.
#[derive(Debug)]
pub struct Rounds<'a> {
    pub index: &'a IndexSheet,
    /// The operation, and its place among the others, from 0.
    pub operation: Option<(usize, &'a Operation)>,
    /// What each round is cut to; there is one at least.
    pub says: Vec<String>,
    /// Pieces that are made.
    pub pieces: u32,
    /// Pieces that are indexed as one.
    pub at_once: u32,
}

/// Pieces that are indexed as one, by number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Run {
    pub first: u32,
    pub last: u32,
}

impl<'a> Rounds<'a> {
    /// None where nothing is divided. `alone` where each blank is cut by itself though several could be clamped together.
    pub fn of(plan: &'a Plan, unit: Unit, alone: bool) -> Option<Rounds<'a>> {
        let index = plan.indexing.as_ref()?;
        let cuts_teeth = |(_, operation): &(usize, &Operation)| operation.step == Step::CutTeeth;
        let operation = plan.operations.iter().enumerate().find(cuts_teeth);
        let each =
            operation.and_then(|(_, operation)| operation.passes.as_ref()).map_or(&[][..], |passes| &passes.each);
        let timing = operation.map(|(_, operation)| &operation.timing);
        let of_a_blank = timing.map_or(1, |timing| timing.out_of_one.max(1));
        let blanks = timing.map_or(1, |timing| timing.at_once.max(1));
        let pieces = u32::try_from(plan.pieces.len()).unwrap_or(1).max(1);
        let blanks = if alone { 1 } else { blanks };
        Some(Rounds {
            index,
            operation,
            says: says(each, unit),
            pieces,
            at_once: of_a_blank.saturating_mul(blanks).min(pieces),
        })
    }

    /// Steps of a run: every space once in each round.
    pub fn steps(&self) -> u32 {
        self.index.cut.saturating_mul(u32::try_from(self.says.len()).unwrap_or(1))
    }

    pub fn runs(&self) -> Vec<Run> {
        let starts = (1..=self.pieces).step_by(self.at_once.max(1) as usize);
        starts.map(|first| Run { first, last: first.saturating_add(self.at_once - 1).min(self.pieces) }).collect()
    }

    /// Do the spaces go all the way round?
    pub fn whole(&self) -> bool {
        self.index.cut == self.index.divisions
    }
}

impl Run {
    /// "Piece 2", "Pieces 1 to 4"
    pub fn name(self) -> String {
        match self.first == self.last {
            true => format!("Piece {}", self.first),
            false => format!("Pieces {} to {}", self.first, self.last),
        }
    }

    pub fn has(self, piece: u32) -> bool {
        (self.first..=self.last).contains(&piece)
    }
}

/// What each round is cut to, from the infeed of each; the last is the depth that was found by measuring.
fn says(each: &[Length], unit: Unit) -> Vec<String> {
    let all: Length = each.iter().fold(Length::ZERO, |sum, one| sum + *one);
    let depth = |length: Length| print::length(length, unit, 3);
    let mut so_far = Length::ZERO;
    let mut out: Vec<String> = each
        .iter()
        .take(each.len().saturating_sub(1))
        .map(|one| {
            so_far += *one;
            format!("to {}", depth(so_far))
        })
        .collect();
    out.push(if each.is_empty() {
        "to the depth found".into()
    } else {
        format!("to the depth found, about {}", depth(all))
    });
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_round_is_deeper_and_the_last_is_the_depth_found() {
        let each = [2.0, 2.0, 0.25].map(Length::from_mm);
        let told = says(&each, Unit::Millimetre);
        assert_eq!(told.len(), 3);
        assert!(told[0].contains('2') && told[1].contains('4') && told[2].contains("found, about 4.25"), "{told:?}");
        assert_eq!(says(&[], Unit::Inch), ["to the depth found"]);
    }

    #[test]
    fn pieces_clamped_together_are_one_run() {
        assert_eq!(Run { first: 2, last: 2 }.name(), "Piece 2");
        assert_eq!(Run { first: 1, last: 4 }.name(), "Pieces 1 to 4");
    }
}
