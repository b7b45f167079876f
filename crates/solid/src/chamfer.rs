//! Chamfers at 45° on the ends of a bore, of a round part and of tooth tips: where they end on the neighbouring faces, and
//! what they take off.

use std::f64::consts::TAU;

use kurbo::{Point, Vec2};

use crate::plate::{Plate, Refused};
use crate::ring::{Piece, Ring};

/// Edges taken off at both ends, mm along each leg; nought for sharp edges.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Chamfers {
    /// Of the hole about the origin.
    pub bore: f64,
    /// Of the outer outline where it is an arc about the origin: a round part, or the tips of teeth.
    pub outside: f64,
}

/// An arc of a ring whose edges are taken off.
#[derive(Clone, Debug)]
pub(crate) struct Chamfered {
    pub leg: f64,
    pub centre: Point,
    pub radius: f64,
    /// Radius of the arc left on the face.
    pub face_radius: f64,
    /// Where the chamfer runs out on the piece before and on the piece behind; none on a full circle.
    pub ends: Option<[Runout; 2]>,
}

/// Where a chamfer crosses a neighbouring face, seen along the axis.
#[derive(Clone, Debug)]
pub(crate) struct Runout {
    /// From the arc's end to the point where the chamfer meets the face of the part.
    pub points: Vec<Point>,
}

/// Points along a run-out. Its curve is fitted through them; a chamfer is a tenth of a millimetre to a few long.
const RUNOUT: u32 = 64;
/// Arcs as far out as the outermost, to this, are tips. mm
const SAME: f64 = 1e-6;

/// For each piece of the ring, its chamfer. `outer`: the ring is the outer boundary.
fn chamfered(ring: &Ring, outer: bool, chamfers: Chamfers, thickness: f64) -> Result<Vec<Option<Chamfered>>, Refused> {
    let leg = if outer { chamfers.outside } else { chamfers.bore };
    let pieces = ring.pieces();
    let central = |piece: &Piece| match piece {
        Piece::Arc { centre, radius, sweep, .. } if centre.to_vec2().hypot() < SAME && (*sweep > 0.0) == outer => {
            Some(*radius)
        }
        _ => None,
    };
    let furthest = pieces.iter().filter_map(central).reduce(f64::max);
    if leg.partial_cmp(&0.0) != Some(std::cmp::Ordering::Greater) || furthest.is_none() {
        return Ok(vec![None; pieces.len()]);
    }
    if 2.0 * leg >= thickness {
        return Err(Refused::ChamferTooLarge);
    }
    let chosen: Vec<bool> = pieces
        .iter()
        .map(|piece| central(piece).zip(furthest).is_some_and(|(radius, most)| radius > most - SAME))
        .collect();
    let count = pieces.len();
    (0..count)
        .map(|i| {
            let Piece::Arc { centre, radius, .. } = &pieces[i] else { return Ok(None) };
            if !chosen[i] {
                return Ok(None);
            }
            let face_radius = if outer { radius - leg } else { radius + leg };
            if face_radius <= 0.0 {
                return Err(Refused::ChamferTooLarge);
            }
            let ends = if count == 1 {
                None
            } else {
                let (before, behind) = ((i + count - 1) % count, (i + 1) % count);
                if chosen[before] || chosen[behind] {
                    return Err(Refused::ChamferTooLarge);
                }
                Some([
                    runout(&pieces[before].reversed(), *centre, face_radius)?,
                    runout(&pieces[behind], *centre, face_radius)?,
                ])
            };
            Ok(Some(Chamfered { leg, centre: *centre, radius: *radius, face_radius, ends }))
        })
        .collect()
}

/// Along a piece from its start to where it is `radius` from the centre.
fn runout(piece: &Piece, centre: Point, radius: f64) -> Result<Runout, Refused> {
    let beyond = |share: f64| piece.at(share).distance(centre) - radius;
    let start = beyond(0.0);
    // the first step over the radius, then halved down
    let steps = f64::from(RUNOUT);
    let step = (1..=RUNOUT).map(|i| f64::from(i) / steps).find(|share| beyond(*share) * start <= 0.0);
    let Some(high) = step.filter(|share| *share < 1.0 - 0.5 / steps) else { return Err(Refused::ChamferTooLarge) };
    let (mut low, mut high) = (high - 1.0 / steps, high);
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if beyond(middle) * start > 0.0 { low = middle } else { high = middle }
    }
    Ok(Runout { points: (0..=RUNOUT).map(|i| piece.at(high * f64::from(i) / steps)).collect() })
}

impl Chamfered {
    /// How deep the chamfer lies below the face at a point.
    pub(crate) fn depth(&self, at: Point) -> f64 {
        (at.distance(self.centre) - self.face_radius).abs()
    }

    /// What it takes off at both ends together, mm³.
    ///
    /// V = 2 ∫ θ(ρ) ρ d(ρ) dρ over the radii from the arc to the face, where θ is the angle between the neighbouring faces
    /// and d the depth taken off, the leg less the distance from the arc. On a full circle θ = 2π, and
    /// V = 2π l² (r ± l/3), for a bore and for the outside (Pappus). Elsewhere by Simpson's rule.
    pub(crate) fn volume(&self, sweep: f64) -> f64 {
        let (radius, leg) = (self.radius, self.leg);
        let inward = if self.face_radius < radius { -1.0 } else { 1.0 };
        let Some([before, behind]) = &self.ends else { return TAU * leg * leg * (radius + inward * leg / 3.0) };
        const STEPS: u32 = 200;
        let at = |step: u32| {
            let away = leg * f64::from(step) / f64::from(STEPS);
            let rho = radius + inward * away;
            let turned = |runout: &Runout| runout.turned(self.centre, rho);
            // counter-clockwise for the outside, clockwise for a bore
            let angle = sweep.abs() + sweep.signum() * (turned(behind) - turned(before));
            angle * rho * (leg - away)
        };
        let inner: f64 = (1..STEPS).map(|step| if step % 2 == 1 { 4.0 } else { 2.0 } * at(step)).sum();
        2.0 * (at(0) + inner + at(STEPS)) * leg / f64::from(STEPS) / 3.0
    }
}

impl Runout {
    /// Angle about the centre from the arc's end to where the run-out is `radius` away.
    fn turned(&self, centre: Point, radius: f64) -> f64 {
        let from = self.points[0] - centre;
        let grows = self.points[self.points.len() - 1].distance(centre) > from.hypot();
        let passed = |point: &Point| (point.distance(centre) >= radius) == grows;
        let Some(next) = self.points.iter().position(passed) else {
            return angle(from, self.points[self.points.len() - 1] - centre);
        };
        if next == 0 {
            return 0.0;
        }
        // between two of so many points the run-out is straight enough: in angle against radius it bends very little
        let (a, b) = (self.points[next - 1] - centre, self.points[next] - centre);
        let share = (radius - a.hypot()) / (b.hypot() - a.hypot());
        angle(from, a) + share * angle(a, b)
    }
}

fn angle(from: Vec2, to: Vec2) -> f64 {
    from.cross(to).atan2(from.dot(to))
}

/// For each ring of a plate, for each of its pieces, its chamfer.
pub(crate) fn on_plate(plate: &Plate, chamfers: Chamfers) -> Result<Vec<Vec<Option<Chamfered>>>, Refused> {
    if plate.twist != 0.0 && chamfers.outside > 0.0 {
        return Err(Refused::Leans);
    }
    plate.rings().enumerate().map(|(i, ring)| chamfered(ring, i == 0, chamfers, plate.thickness.mm())).collect()
}

/// What all chamfers of a plate take off, mm³.
pub fn taken_off(plate: &Plate, chamfers: Chamfers) -> Result<f64, Refused> {
    let mut volume = 0.0;
    for (ring, cut) in plate.rings().zip(on_plate(plate, chamfers)?) {
        for (piece, cut) in ring.pieces().iter().zip(&cut) {
            if let (Piece::Arc { sweep, .. }, Some(cut)) = (piece, cut) {
                volume += cut.volume(*sweep);
            }
        }
    }
    Ok(volume)
}
