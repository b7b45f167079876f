//! The check piece as a mesh of triangles: the plate with square edges, and letters standing on its upper face.
//!
//! Each face is a triangulation that holds every edge of every ring, and every wall stands on such an edge; so each edge
//! of the mesh is shared by just two triangles, once each way. Helical teeth wind up from face to face in layers.

use std::collections::{HashMap, VecDeque};

use kurbo::Point;
use spade::{ConstrainedDelaunayTriangulation, HasPosition, Point2, Triangulation};

use crate::plate::{Plate, Refused};

/// Corners in mm; triangles counter-clockwise as seen from outside.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Mesh {
    pub corners: Vec<[f64; 3]>,
    pub triangles: Vec<[usize; 3]>,
}

/// Letters raised on the upper face.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Raised {
    /// Their outlines, flat, in the part's mm.
    pub outlines: Vec<Vec<Point>>,
    pub height: f64,
}

struct Corner {
    at: Point2<f64>,
    /// Its number among the corners of all rings and letters.
    number: usize,
    letter: bool,
}

impl HasPosition for Corner {
    type Scalar = f64;

    fn position(&self) -> Point2<f64> {
        self.at
    }
}

/// What is under a triangle of the face.
#[derive(Clone, Copy, Debug, Default, Eq, PartialEq)]
struct Under {
    metal: bool,
    raised: bool,
}

type Flat = ConstrainedDelaunayTriangulation<Corner>;

/// Chords keep within `chord` of the arcs and splines.
pub fn mesh(plate: &Plate, chord: f64, letters: &Raised) -> Result<Mesh, Refused> {
    let leans = plate.twist != 0.0;
    // where the teeth lean, half of it is left to the layers
    let rings: Vec<Vec<Point>> =
        plate.rings().map(|ring| ring.flatten(if leans { 0.5 * chord } else { chord })).collect();
    let [lowest, highest] = plate.turns();
    let upper = triangulated(&standing(&rings, highest), &letters.outlines)?;
    let lower = if leans { Some(triangulated(&standing(&rings, lowest), &[])?) } else { None };
    let layers = if leans { layers(&rings[0], highest - lowest, chord) } else { 1 };
    let mut body = Body::default();
    body.faces(lower.as_ref().unwrap_or(&upper), &upper, layers);
    let mut first = 0;
    for (index, ring) in rings.iter().enumerate() {
        // holes go straight up
        let levels: Vec<usize> = if index == 0 { (0..=layers).collect() } else { vec![0, layers] };
        body.wall(first, ring.len(), &levels);
        first += ring.len();
    }
    body.letters(&upper, layers);
    let share = |level: usize| level as f64 / layers as f64;
    let outer = rings[0].len();
    let flat: Vec<Point> = rings.iter().chain(&letters.outlines).flatten().copied().collect();
    Ok(body.placed(|number, level| {
        let at = match number < outer {
            true => turned(flat[number], lowest + (highest - lowest) * share(level.min(layers))),
            false => flat[number],
        };
        let height = plate.thickness.mm() * share(level.min(layers));
        [at.x, at.y, if level > layers { height + letters.height } else { height }]
    }))
}

/// The rings with the outer one turned.
fn standing(rings: &[Vec<Point>], turn: f64) -> Vec<Vec<Point>> {
    let mut standing = rings.to_vec();
    if let Some(outer) = standing.first_mut().filter(|_| turn != 0.0) {
        outer.iter_mut().for_each(|point| *point = turned(*point, turn));
    }
    standing
}

fn turned(at: Point, by: f64) -> Point {
    let (sin, cos) = by.sin_cos();
    Point::new(at.x * cos - at.y * sin, at.x * sin + at.y * cos)
}

/// So many that what a helix bulges over its chord, R δ²/8, and a triangle off the skew wall between four corners, e δ/4 for an edge e
/// of the ring, are a quarter of the chord each.
fn layers(outer: &[Point], turn: f64, chord: f64) -> usize {
    let radius = outer.iter().map(|point| point.to_vec2().hypot()).fold(0.0, f64::max);
    let next = outer.iter().cycle().skip(1);
    let edge = outer.iter().zip(next).map(|(a, b)| a.distance(*b)).fold(0.0, f64::max);
    let step = (2.0 * chord / radius).sqrt().min(chord / edge);
    ((turn.abs() / step).ceil() as usize).clamp(1, MOST_LAYERS)
}

/// More would not be told from a smooth wall by any printer.
const MOST_LAYERS: usize = 400;

fn triangulated(rings: &[Vec<Point>], letters: &[Vec<Point>]) -> Result<(Flat, Vec<Under>), Refused> {
    let (mut corners, mut edges) = (Vec::new(), Vec::new());
    let both = rings.iter().map(|ring| (ring, false)).chain(letters.iter().map(|outline| (outline, true)));
    for (points, letter) in both {
        let (first, count) = (corners.len(), points.len());
        // spade takes no coordinate so near to nothing that its square is nought
        let tidy = |value: f64| if value.abs() < 1e-12 { 0.0 } else { value };
        let corner = |(i, at): (usize, &Point)| {
            let at = Point2::new(tidy(at.x), tidy(at.y));
            Corner { at, number: first + i, letter }
        };
        corners.extend(points.iter().enumerate().map(corner));
        edges.extend((0..count).map(|i| [first + i, first + (i + 1) % count]));
    }
    let mut conflicts = 0;
    let count = corners.len();
    let flat = Flat::try_bulk_load_cdt(corners, edges, |_| conflicts += 1).map_err(|_| Refused::CrossesItself)?;
    if conflicts > 0 || flat.num_vertices() != count {
        return Err(Refused::CrossesItself);
    }
    let under = under(&flat);
    Ok((flat, under))
}

/// For each face what is under it: inside the rings there is metal, inside a letter it is raised.
fn under(flat: &Flat) -> Vec<Under> {
    let mut known: Vec<Option<Under>> = vec![None; flat.num_all_faces()];
    known[flat.outer_face().fix().index()] = Some(Under::default());
    let outer = flat.convex_hull().map(|edge| if edge.face().is_outer() { edge } else { edge.rev() });
    let mut open: VecDeque<_> = outer.collect();
    // each edge waits on the side that is known, to tell of the other
    while let Some(edge) = open.pop_front() {
        let (here, there) = (edge.face().fix().index(), edge.rev().face());
        let (Some(mut under), None) = (known[here], known[there.fix().index()]) else { continue };
        if edge.is_constraint_edge() {
            match edge.from().data().letter {
                true => under.raised = !under.raised,
                false => under.metal = !under.metal,
            }
        }
        known[there.fix().index()] = Some(under);
        if let Some(inner) = there.as_inner() {
            open.extend(inner.adjacent_edges());
        }
    }
    known.into_iter().map(Option::unwrap_or_default).collect()
}

/// Triangles between corners, each named by its number and the level it stands on.
#[derive(Default)]
struct Body {
    triangles: Vec<[(usize, usize); 3]>,
}

impl Body {
    /// The lower face on level 0 and the upper one on the level of the last layer, letters one above it.
    fn faces(&mut self, lower: &(Flat, Vec<Under>), upper: &(Flat, Vec<Under>), layers: usize) {
        for ((flat, under), above) in [(lower, false), (upper, true)] {
            for face in flat.inner_faces() {
                let here = under[face.fix().index()];
                if !here.metal {
                    continue;
                }
                let level = if above { layers + usize::from(here.raised) } else { 0 };
                let [a, b, c] = face.vertices().map(|vertex| (vertex.data().number, level));
                self.triangles.push(if above { [a, b, c] } else { [c, b, a] });
            }
        }
    }

    /// The wall on a ring of `count` corners from the one of this number on; the metal is on its left.
    fn wall(&mut self, first: usize, count: usize, levels: &[usize]) {
        for level in levels.windows(2) {
            for i in 0..count {
                self.upright([first + i, first + (i + 1) % count], [level[0], level[1]]);
            }
        }
    }

    fn letters(&mut self, (flat, under): &(Flat, Vec<Under>), layers: usize) {
        for edge in flat.directed_edges().filter(|edge| edge.is_constraint_edge()) {
            let (left, right) = (under[edge.face().fix().index()], under[edge.rev().face().fix().index()]);
            if left.raised && !right.raised {
                let ends = [edge.from(), edge.to()].map(|vertex| vertex.data().number);
                self.upright(ends, [layers, layers + 1]);
            }
        }
    }

    fn upright(&mut self, [from, to]: [usize; 2], [low, high]: [usize; 2]) {
        self.triangles.extend([[(from, low), (to, low), (to, high)], [(from, low), (to, high), (from, high)]]);
    }

    /// The mesh, with corners only where something stands on them.
    fn placed(self, at: impl Fn(usize, usize) -> [f64; 3]) -> Mesh {
        let mut mesh = Mesh::default();
        let mut named: HashMap<(usize, usize), usize> = HashMap::new();
        for triangle in self.triangles {
            let corners = triangle.map(|(number, level)| {
                *named.entry((number, level)).or_insert_with(|| {
                    mesh.corners.push(at(number, level));
                    mesh.corners.len() - 1
                })
            });
            mesh.triangles.push(corners);
        }
        mesh
    }
}

impl Mesh {
    /// Enclosed, mm³: the sum of the tetrahedra from the origin.
    pub fn volume(&self) -> f64 {
        let of = |triangle: &[usize; 3]| {
            let [a, b, c] = triangle.map(|corner| self.corners[corner]);
            a[0] * (b[1] * c[2] - b[2] * c[1]) + a[1] * (b[2] * c[0] - b[0] * c[2]) + a[2] * (b[0] * c[1] - b[1] * c[0])
        };
        self.triangles.iter().map(of).sum::<f64>() / 6.0
    }
}
