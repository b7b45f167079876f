//! Several sectors out of one ring, where they fit.

use std::f64::consts::TAU;

use part::{TeethWork, Work};
use quantity::{Angle, Length};
use serde::Serialize;

use crate::blank::KERF;
use crate::plan::Brief;

/// Left on each side of a saw cut between two pieces, to be sanded to the line; common practice.
const LEFT_BESIDE_THE_CUT: Length = Length::from_mm(1.5);

/// The part as it is seen from the centre of its teeth: none of it lies nearer than `inner`, and it covers this angle.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Sweep {
    pub inner: Length,
    pub angle: Angle,
}

/// How many pieces one ring gives, and how many teeth they stand apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Ring {
    pub pieces: u32,
    pub apart: u32,
}

/// The pieces of a sector that come out of one disc; none where it is no sector, or where it holds the middle of the disc
/// itself.
///
/// k pieces fit where each has the angle it covers and a saw cut beside it: ⌊z/k⌋ τ ≥ θ + 2 asin(w/(2 r)), τ = 2π/z, with θ
/// the angle covered, r the inner radius and w the saw cut with what is left on both sides of it. Whole teeth apart, so that
/// one indexing serves all. Source: geometry of a chord.
pub(crate) fn pieces_in_a_ring(brief: &Brief) -> Option<Ring> {
    let sectors: Vec<&TeethWork> = brief
        .cuts
        .iter()
        .filter_map(|cut| match &cut.work {
            Work::Teeth(teeth) if !teeth.whole => Some(teeth),
            Work::Teeth(_)
            | Work::Turn { .. }
            | Work::Hole(_)
            | Work::Bush(_)
            | Work::Keyway(_)
            | Work::Profile { .. } => None,
        })
        .collect();
    let [teeth] = sectors.as_slice() else { return None };
    let sweep = brief.sweep?;
    let between = KERF + LEFT_BESIDE_THE_CUT * 2.0;
    let half = between / (sweep.inner * 2.0);
    if teeth.teeth == 0 || !(0.0..1.0).contains(&half) {
        return None;
    }
    let needed = sweep.angle.radians() + 2.0 * half.asin();
    // a rounding of the last bit must not cost a piece
    let most = (TAU / needed + 1e-9).floor().clamp(1.0, f64::from(teeth.teeth)) as u32;
    let fits = |pieces: u32| {
        let apart = teeth.teeth / pieces;
        apart >= teeth.spaces() && f64::from(apart) * TAU / f64::from(teeth.teeth) + 1e-9 >= needed
    };
    let pieces = (2..=most).rev().find(|pieces| fits(*pieces)).unwrap_or(1);
    Some(Ring { pieces, apart: teeth.teeth / pieces })
}
