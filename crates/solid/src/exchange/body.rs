//! The boundary: two level faces and a wall for each piece of each ring, with cones where edges are taken off.
//!
//! A ring is run through with the metal on its left, so that a wall's outside is on the right and its loop, seen from
//! outside, runs along the bottom edge, up, back along the top edge and down.

use kurbo::{Point, Vec2};

use super::leaning::{self, Screw};
use super::shapes::{self, At, UP};
use super::text::{Arg, Data, Id};
use crate::chamfer::{Chamfered, Runout};
use crate::plate::{Plate, Refused};
use crate::ring::{Piece, Ring};
use crate::spline::{Nearness, Spline};

/// How near the curve between a chamfer and a neighbouring face comes to both, mm.
const RUNOUT: Nearness = Nearness { tolerance: 2e-5, drawn: 0.0 };

/// Edges with the way they are run through.
pub(super) type Loop = Vec<(Id, bool)>;

/// The solid; `chamfers`: for each ring, for each of its pieces.
pub fn body(
    data: &mut Data,
    plate: &Plate,
    chamfers: &[Vec<Option<Chamfered>>],
    screw: Option<&Screw>,
    name: &str,
) -> Result<Id, Refused> {
    let height = plate.thickness.mm();
    let (mut faces, mut below, mut above) = (Vec::new(), Vec::new(), Vec::new());
    for (i, (ring, chamfers)) in plate.rings().zip(chamfers).enumerate() {
        let wall = match screw.filter(|_| i == 0) {
            Some(screw) => leaning::wall(data, ring, screw, &mut faces)?,
            None => Wall { ring, chamfers, height }.build(data, &mut faces),
        };
        below.push(wall.bottom);
        above.push(wall.top);
    }
    let bottom = shapes::plane(data, [0.0; 3], [0.0, 0.0, -1.0], [1.0, 0.0, 0.0]);
    faces.push(shapes::face(data, &below, bottom, true));
    let top = shapes::plane(data, [0.0, 0.0, height], UP, [1.0, 0.0, 0.0]);
    faces.push(shapes::face(data, &above, top, true));
    let shell = data.add("CLOSED_SHELL", &[Arg::Text(""), Arg::Refs(&faces)]);
    Ok(data.add("MANIFOLD_SOLID_BREP", &[Arg::Text(name), Arg::Ref(shell)]))
}

/// All faces along one ring.
struct Wall<'a> {
    ring: &'a Ring,
    chamfers: &'a [Option<Chamfered>],
    height: f64,
}

/// The loops that a wall bounds the level faces with.
pub(super) struct Bounds {
    pub bottom: Loop,
    pub top: Loop,
}

/// Where two pieces join: the vertices and edges that stand there.
struct Junction {
    bottom: Id,
    top: Id,
    /// Ends of the upright edge; the same as bottom and top without a chamfer.
    low: Id,
    high: Id,
    upright: Id,
    /// From the bottom to the low end and from the high end to the top.
    slants: Option<[Id; 2]>,
}

/// The edges along one piece.
struct Along {
    bottom: Id,
    top: Id,
    /// The edges between a cylinder and its chamfers.
    shoulders: Option<[Id; 2]>,
}

impl Wall<'_> {
    fn build(&self, data: &mut Data, faces: &mut Vec<Id>) -> Bounds {
        let count = self.ring.pieces().len();
        let junctions: Vec<Junction> = (0..count).map(|i| self.junction(data, i)).collect();
        let mut bounds = Bounds { bottom: Vec::new(), top: Vec::new() };
        for (i, piece) in self.ring.pieces().iter().enumerate() {
            let (from, to) = (&junctions[i], &junctions[(i + 1) % count]);
            let (along, curve) = self.along(data, i, from, to);
            bounds.bottom.insert(0, (along.bottom, false));
            bounds.top.push((along.top, true));
            match (&self.chamfers[i], along.shoulders) {
                (Some(chamfer), Some(shoulders)) => {
                    self.chamfered(data, piece, chamfer, [from, to], &along, shoulders, faces)
                }
                _ => {
                    let mut around = vec![(along.bottom, true)];
                    around.extend(to.climbed());
                    around.push((along.top, false));
                    around.extend(from.climbed().into_iter().rev().map(|(edge, _)| (edge, false)));
                    let (surface, outward) = self.surface(data, piece, curve);
                    faces.push(shapes::face(data, &[around], surface, outward));
                }
            }
        }
        bounds
    }

    /// Start of piece `i`.
    fn junction(&self, data: &mut Data, i: usize) -> Junction {
        let count = self.ring.pieces().len();
        let corner = self.ring.pieces()[i].start();
        let before = (i + count - 1) % count;
        let chamfer = match (&self.chamfers[i], &self.chamfers[before]) {
            (Some(own), _) => Some((own, own.ends.as_ref().map(|ends| &ends[0]))),
            (None, Some(other)) => Some((other, other.ends.as_ref().map(|ends| &ends[1]))),
            (None, None) => None,
        };
        let Some((chamfer, runout)) = chamfer else {
            let (bottom, top) =
                (shapes::vertex(data, lifted(corner, 0.0)), shapes::vertex(data, lifted(corner, self.height)));
            let upright = self.straight(data, [corner, corner], [0.0, self.height], [bottom, top]);
            return Junction { bottom, top, low: bottom, high: top, upright, slants: None };
        };
        let on_face = match runout {
            Some(runout) => runout.points[runout.points.len() - 1],
            None => chamfer.centre + chamfer.face_radius / chamfer.radius * (corner - chamfer.centre),
        };
        let (lower, upper) = (chamfer.leg, self.height - chamfer.leg);
        let bottom = shapes::vertex(data, lifted(on_face, 0.0));
        let low = shapes::vertex(data, lifted(corner, lower));
        let high = shapes::vertex(data, lifted(corner, upper));
        let top = shapes::vertex(data, lifted(on_face, self.height));
        let upright = self.straight(data, [corner, corner], [lower, upper], [low, high]);
        let slants = match runout {
            None => [
                self.straight(data, [on_face, corner], [0.0, lower], [bottom, low]),
                self.straight(data, [corner, on_face], [upper, self.height], [high, top]),
            ],
            Some(runout) => self.runout(data, chamfer, runout, [bottom, low, high, top]),
        };
        Junction { bottom, top, low, high, upright, slants: Some(slants) }
    }

    /// The two curves in which a chamfer crosses the neighbouring wall.
    fn runout(
        &self,
        data: &mut Data,
        chamfer: &Chamfered,
        runout: &Runout,
        [bottom, low, high, top]: [Id; 4],
    ) -> [Id; 2] {
        let mut edge = |points: Vec<At>, ends: [Id; 2]| {
            let curve = match Spline::through(&points, RUNOUT) {
                Some(spline) => shapes::spline(data, &spline),
                // so short that its points are one: as good as straight
                None => shapes::line(data, points[0], points[points.len() - 1]),
            };
            shapes::edge(data, ends[0], ends[1], curve, true)
        };
        let inwards = runout.points.iter().rev().map(|point| lifted(*point, chamfer.depth(*point))).collect();
        let outwards = runout.points.iter().map(|point| lifted(*point, self.height - chamfer.depth(*point))).collect();
        [edge(inwards, [bottom, low]), edge(outwards, [high, top])]
    }

    fn straight(&self, data: &mut Data, at: [Point; 2], heights: [f64; 2], ends: [Id; 2]) -> Id {
        let line = shapes::line(data, lifted(at[0], heights[0]), lifted(at[1], heights[1]));
        shapes::edge(data, ends[0], ends[1], line, true)
    }

    /// The edges along a piece, and the curve of its bottom edge.
    fn along(&self, data: &mut Data, i: usize, from: &Junction, to: &Junction) -> (Along, Id) {
        let piece = &self.ring.pieces()[i];
        let chamfer = self.chamfers[i].as_ref();
        let mut edge = |height: f64, on_face: bool, ends: [Id; 2]| {
            let radius = chamfer.filter(|_| on_face).map(|chamfer| chamfer.face_radius);
            let (curve, along) = curve(data, piece, height, radius);
            (shapes::edge(data, ends[0], ends[1], curve, along), curve)
        };
        let (bottom, curve) = edge(0.0, true, [from.bottom, to.bottom]);
        let (top, _) = edge(self.height, true, [from.top, to.top]);
        let shoulders = chamfer.map(|chamfer| {
            let (low, _) = edge(chamfer.leg, false, [from.low, to.low]);
            let (high, _) = edge(self.height - chamfer.leg, false, [from.high, to.high]);
            [low, high]
        });
        (Along { bottom, top, shoulders }, curve)
    }

    /// A wall's surface, and whether its own normal points out of the metal.
    fn surface(&self, data: &mut Data, piece: &Piece, bottom: Id) -> (Id, bool) {
        match piece {
            Piece::Line { from, to } => {
                let along = *to - *from;
                let normal = [along.y, -along.x, 0.0];
                (shapes::plane(data, lifted(*from, 0.0), normal, [along.x, along.y, 0.0]), true)
            }
            Piece::Arc { centre, radius, sweep, .. } => {
                (shapes::cylinder(data, lifted(*centre, 0.0), *radius, towards(piece)), *sweep > 0.0)
            }
            Piece::Spline(_) => (shapes::extruded(data, bottom, self.height), true),
        }
    }

    /// A cylinder between two cones.
    #[expect(clippy::too_many_arguments, reason = "one call, and each is a thing of its own")]
    fn chamfered(
        &self,
        data: &mut Data,
        piece: &Piece,
        chamfer: &Chamfered,
        [from, to]: [&Junction; 2],
        along: &Along,
        [low, high]: [Id; 2],
        faces: &mut Vec<Id>,
    ) {
        let Piece::Arc { centre, sweep, .. } = piece else { return };
        let (Some(from_slants), Some(to_slants)) = (from.slants, to.slants) else { return };
        let outward = *sweep > 0.0;
        let (cylinder, _) = self.surface(data, piece, along.bottom);
        let around = vec![(low, true), (to.upright, true), (high, false), (from.upright, false)];
        faces.push(shapes::face(data, &[around], cylinder, outward));
        // outside, the part widens from the bottom face up; a bore narrows
        let widens = chamfer.face_radius < chamfer.radius;
        let lower = shapes::cone(data, lifted(*centre, 0.0), chamfer.face_radius, widens, towards(piece));
        let around = vec![(along.bottom, true), (to_slants[0], true), (low, false), (from_slants[0], false)];
        faces.push(shapes::face(data, &[around], lower, outward));
        let shoulder = lifted(*centre, self.height - chamfer.leg);
        let upper = match widens {
            // a cone's radius may not shrink below nothing within its face, so each is given where it is smallest
            true => shapes::cone(data, lifted(*centre, self.height), chamfer.face_radius, false, towards(piece)),
            false => shapes::cone(data, shoulder, chamfer.radius, true, towards(piece)),
        };
        let around = vec![(high, true), (to_slants[1], true), (along.top, false), (from_slants[1], false)];
        faces.push(shapes::face(data, &[around], upper, outward));
    }
}

impl Junction {
    /// The edges from the bottom face to the top face.
    fn climbed(&self) -> Loop {
        match self.slants {
            Some([lower, upper]) => vec![(lower, true), (self.upright, true), (upper, true)],
            None => vec![(self.upright, true)],
        }
    }
}

/// A piece's curve at a height, and whether the piece runs along it; `radius` instead of an arc's own.
fn curve(data: &mut Data, piece: &Piece, height: f64, radius: Option<f64>) -> (Id, bool) {
    match piece {
        Piece::Line { from, to } => (shapes::line(data, lifted(*from, height), lifted(*to, height)), true),
        Piece::Arc { centre, radius: own, sweep, .. } => {
            let circle = shapes::circle(data, lifted(*centre, height), radius.unwrap_or(*own), towards(piece));
            (circle, *sweep > 0.0)
        }
        Piece::Spline(spline) => {
            let raised = spline.moved(|[x, y]| [x, y, height]);
            (shapes::spline(data, &raised), true)
        }
    }
}

/// From an arc's centre to its start, where its angles are counted from.
fn towards(piece: &Piece) -> At {
    match piece {
        Piece::Arc { start, .. } => {
            let Vec2 { x, y } = Vec2::from_angle(*start);
            [x, y, 0.0]
        }
        Piece::Line { .. } | Piece::Spline(_) => [1.0, 0.0, 0.0],
    }
}

fn lifted(at: Point, height: f64) -> At {
    [at.x, at.y, height]
}
