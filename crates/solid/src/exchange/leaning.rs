//! The wall of helical teeth: every piece of the ring carried up by one screw motion.
//!
//! A spline of poles P_i carried along a helix is the surface of poles (R_j P_i, z_j), where the (R_j, z_j) are the poles of a
//! spline that the screw motion itself keeps to: a turn is linear in where it takes a point.

use kurbo::{Point, Vec2};

use super::body::Bounds;
use super::shapes::{self, At};
use super::text::{Data, Id};
use crate::plate::{Plate, Refused};
use crate::ring::{Piece, Ring};
use crate::spline::{Nearness, Spline};

/// How near the screw motion, and a fillet that is no land, come to the true ones, mm.
const NEAR: f64 = 1e-6;
/// An arc this near to the axis runs about it, mm.
const ON_AXIS: f64 = 1e-6;

/// Poles of the way of a point at (1, 0): the cosine and sine of its turn, and its height.
pub(super) struct Screw(Spline<3>);

impl Screw {
    /// From the lower face of a plate to its upper one; none where it does not lean.
    pub(super) fn of(plate: &Plate) -> Result<Option<Screw>, Refused> {
        if plate.twist == 0.0 {
            return Ok(None);
        }
        let [lowest, highest] = plate.turns();
        let out = plate.outer.flatten(0.1).iter().map(|point| point.to_vec2().hypot()).fold(1.0, f64::max);
        let near = NEAR / out;
        let at = |share: f64| {
            let Vec2 { x, y } = Vec2::from_angle(lowest + (highest - lowest) * share);
            [x, y, plate.thickness.mm() * share]
        };
        let points = along(at, chords(highest - lowest, 1.0, 0.1 * near));
        let spline = Spline::through(&points, Nearness { tolerance: near, drawn: 0.1 * near });
        Ok(Some(Screw(spline.ok_or(Refused::TooMuchTwist)?)))
    }

    fn carried(&self, from: [f64; 2]) -> Spline<3> {
        self.0.moved(|pole| turned(from, pole))
    }

    fn lowest(&self) -> At {
        self.0.start()
    }

    fn highest(&self) -> At {
        self.0.end()
    }
}

/// A point taken by one pole of a screw.
fn turned([x, y]: [f64; 2], [cos, sin, height]: At) -> At {
    [x * cos - y * sin, x * sin + y * cos, height]
}

/// A piece of the ring as it is carried up.
enum Carried {
    /// An arc about the axis stays on its cylinder.
    Land {
        radius: f64,
        start: f64,
        sweep: f64,
    },
    Skew(Spline<2>),
}

impl Carried {
    fn of(piece: &Piece) -> Option<Carried> {
        Some(match piece {
            Piece::Arc { centre, radius, start, sweep } if centre.to_vec2().hypot() < ON_AXIS => {
                Carried::Land { radius: *radius, start: *start, sweep: *sweep }
            }
            Piece::Spline(spline) => Carried::Skew(spline.clone()),
            Piece::Arc { radius, sweep, .. } => Carried::Skew(fitted(piece, chords(*sweep, *radius, 0.1 * NEAR))?),
            Piece::Line { .. } => Carried::Skew(fitted(piece, 8)?),
        })
    }
}

fn fitted(piece: &Piece, chords: usize) -> Option<Spline<2>> {
    let at = |share: f64| {
        let Point { x, y } = piece.at(share);
        [x, y]
    };
    Spline::through(&along(at, chords), Nearness { tolerance: NEAR, drawn: 0.1 * NEAR })
}

fn along<const D: usize>(at: impl Fn(f64) -> [f64; D], chords: usize) -> Vec<[f64; D]> {
    (0..=chords).map(|i| at(i as f64 / chords as f64)).collect()
}

/// So many chords of an arc bulge no more than this: r δ²/8.
fn chords(sweep: f64, radius: f64, bulge: f64) -> usize {
    ((sweep.abs() / (8.0 * bulge / radius).sqrt()).ceil() as usize).max(16)
}

/// All faces along the ring, none of whose edges are taken off.
pub(super) fn wall(data: &mut Data, ring: &Ring, screw: &Screw, faces: &mut Vec<Id>) -> Result<Bounds, Refused> {
    let (lowest, highest) = (screw.lowest(), screw.highest());
    let count = ring.pieces().len();
    // at each corner its vertices below and above, and the edge between them
    let corners: Vec<[Id; 3]> = ring
        .pieces()
        .iter()
        .map(|piece| {
            let Point { x, y } = piece.start();
            let [low, high] = [lowest, highest].map(|pole| shapes::vertex(data, turned([x, y], pole)));
            let helix = shapes::spline(data, &screw.carried([x, y]));
            [low, high, shapes::edge(data, low, high, helix, true)]
        })
        .collect();
    let mut bounds = Bounds { bottom: Vec::new(), top: Vec::new() };
    for (i, piece) in ring.pieces().iter().enumerate() {
        let ([from_low, from_high, from_up], [to_low, to_high, to_up]) = (corners[i], corners[(i + 1) % count]);
        let carried = Carried::of(piece).ok_or(Refused::CrossesItself)?;
        let (bottom, along) = carried.edge(data, lowest);
        let bottom = shapes::edge(data, from_low, to_low, bottom, along);
        let (top, along) = carried.edge(data, highest);
        let top = shapes::edge(data, from_high, to_high, top, along);
        bounds.bottom.insert(0, (bottom, false));
        bounds.top.push((top, true));
        let around = vec![(bottom, true), (to_up, true), (top, false), (from_up, false)];
        let (surface, outward) = carried.surface(data, screw);
        faces.push(shapes::face(data, &[around], surface, outward));
    }
    Ok(bounds)
}

impl Carried {
    /// Its curve on a face, and whether it runs along that.
    fn edge(&self, data: &mut Data, pole: At) -> (Id, bool) {
        match self {
            Carried::Land { radius, start, sweep } => {
                let Vec2 { x, y } = Vec2::from_angle(*start);
                let [x, y, height] = turned([x, y], pole);
                (shapes::circle(data, [0.0, 0.0, height], *radius, [x, y, 0.0]), *sweep > 0.0)
            }
            Carried::Skew(spline) => (shapes::spline(data, &spline.moved(|at| turned(at, pole))), true),
        }
    }

    /// Its surface, and whether that one's own normal points out of the metal.
    fn surface(&self, data: &mut Data, screw: &Screw) -> (Id, bool) {
        match self {
            Carried::Land { radius, start, sweep } => {
                let Vec2 { x, y } = Vec2::from_angle(*start);
                (shapes::cylinder(data, [0.0; 3], *radius, [x, y, 0.0]), *sweep > 0.0)
            }
            Carried::Skew(spline) => {
                let poles: Vec<Vec<At>> = spline.poles().into_iter().map(|pole| screw.carried(pole).poles()).collect();
                (shapes::spline_surface(data, spline, &screw.0, &poles), true)
            }
        }
    }
}
