//! The profile that a wire, a jet or a beam follows: the part's edges set off by half the width of the cut, as lines and
//! arcs, laid out on a plate where several are cut.

mod layout;
mod svg;

use kurbo::{Point, Rect};
use quantity::Length;

use crate::plate::{Plate, Refused};
use crate::ring::{Piece, Ring};

pub use layout::{Layout, Place, Room, lay_out};
pub use svg::{Drawing, number, svg};

/// On which side of the part's edges the cut lies.
#[derive(Clone, Copy, Debug, Default, Eq, PartialEq)]
pub enum Side {
    /// In the waste: the part comes out to size.
    #[default]
    Waste,
    /// In the part: what is left standing round it comes out to size, as an opening or a gauge.
    Part,
}

/// The path of the cut for one piece.
#[derive(Clone, Debug, PartialEq)]
pub struct Profile {
    pub outer: Ring,
    /// Holes, and pockets of waste that the cut shuts off; they are cut first.
    pub inner: Vec<Ring>,
    /// Holes that the cut is too wide for; they are left to be drilled.
    pub too_small: usize,
    /// How thick metal is left where the cut is too wide to reach, at the worst place.
    pub left_standing: Length,
    /// How far the arcs lie from the true curves, at most.
    pub tolerance: Length,
}

/// Splines become arcs this near, mm.
const ARCS: f64 = 0.001;
/// Less than this left standing is within what the offset itself is good for, mm.
const NOTICED: f64 = 0.005;
/// How finely the edges are looked at for metal left standing, mm.
const LOOKED: f64 = 0.01;

pub fn profile(plate: &Plate, kerf: Length, side: Side) -> Result<Profile, Refused> {
    if plate.twist != 0.0 {
        return Err(Refused::Leans);
    }
    let half = 0.5 * kerf.mm();
    let aside = match side {
        Side::Waste => -half,
        Side::Part => half,
    };
    // the metal lies on the left of every ring
    let set = |ring: &Ring| ring.of_arcs(ARCS).offset(aside);
    let mut around = set(&plate.outer);
    let largest = (0..around.len()).max_by(|a, b| around[*a].area().total_cmp(&around[*b].area()));
    let outer = around.swap_remove(largest.ok_or(Refused::KerfTooWide)?);
    if outer.area() <= 0.0 || (side == Side::Part && !around.is_empty()) {
        return Err(Refused::KerfTooWide);
    }
    let holes: Vec<Vec<Ring>> = plate.holes.iter().map(set).collect();
    let too_small = holes.iter().filter(|rings| rings.is_empty()).count();
    let reached: Vec<&Ring> =
        plate.holes.iter().zip(&holes).filter(|(_, cut)| !cut.is_empty()).map(|(hole, _)| hole).collect();
    let inner = around.into_iter().chain(holes.into_iter().flatten()).filter(|ring| ring.area() < 0.0).collect();
    let cut = Plate { outer, holes: inner, ..*plate };
    // cut in the part, a bore's path may meet the edge's
    cut.check().map_err(|_| Refused::KerfTooWide)?;
    let worst = furthest(&cut, std::iter::once(&plate.outer).chain(reached)) - half;
    Ok(Profile {
        left_standing: Length::from_mm(if worst > NOTICED { worst } else { 0.0 }),
        outer: cut.outer,
        inner: cut.holes,
        too_small,
        tolerance: plate.tolerance + Length::from_mm(ARCS),
    })
}

/// How far the cut keeps from the edges' points, at most.
fn furthest<'a>(cut: &Plate, edges: impl Iterator<Item = &'a Ring>) -> f64 {
    let pieces: Vec<(&Piece, Rect)> =
        cut.rings().flat_map(Ring::pieces).map(|piece| (piece, piece.reaches_within())).collect();
    let mut last = 0;
    let mut nearest = |point: Point| {
        // the piece that was nearest to the point before is near to this one too, and most others lie further off
        let mut least = pieces.get(last).map_or(f64::INFINITY, |(piece, _)| piece.distance(point));
        for (i, (piece, within)) in pieces.iter().enumerate() {
            let (x, y) = (point.x.clamp(within.x0, within.x1), point.y.clamp(within.y0, within.y1));
            if (point.x - x).abs() < least && (point.y - y).abs() < least {
                let distance = piece.distance(point);
                if distance < least {
                    (least, last) = (distance, i);
                }
            }
        }
        least
    };
    edges.flat_map(|ring| ring.flatten(LOOKED)).map(&mut nearest).fold(0.0, f64::max)
}

impl Profile {
    /// Inner rings first: once the outer one is cut, the piece is loose.
    pub fn rings(&self) -> impl Iterator<Item = &Ring> {
        self.inner.iter().chain(std::iter::once(&self.outer))
    }

    /// How far the cut travels, mm.
    pub fn length(&self) -> f64 {
        self.rings().map(Ring::length).sum()
    }
}
