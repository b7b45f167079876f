//! The check piece as a mesh of triangles: the plate with square edges, and letters standing on its upper face.
//!
//! Both faces are one triangulation that holds every edge of every ring, and every wall stands on such an edge; so each edge
//! of the mesh is shared by just two triangles, once each way.

use std::collections::VecDeque;

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

/// Chords keep within `chord` of the arcs and splines.
pub fn mesh(plate: &Plate, chord: f64, letters: &Raised) -> Result<Mesh, Refused> {
    let (mut corners, mut edges) = (Vec::new(), Vec::new());
    let mut add = |points: &[Point], letter: bool| {
        let (first, count) = (corners.len(), points.len());
        // spade takes no coordinate so near to nothing that its square is nought
        let tidy = |value: f64| if value.abs() < 1e-12 { 0.0 } else { value };
        corners.extend(points.iter().map(|at| Corner { at: Point2::new(tidy(at.x), tidy(at.y)), letter }));
        edges.extend((0..count).map(|i| [first + i, first + (i + 1) % count]));
    };
    for ring in plate.rings() {
        add(&ring.flatten(chord), false);
    }
    for outline in &letters.outlines {
        add(outline, true);
    }
    let mut conflicts = 0;
    let count = corners.len();
    let flat = ConstrainedDelaunayTriangulation::<Corner>::try_bulk_load_cdt(corners, edges, |_| conflicts += 1)
        .map_err(|_| Refused::CrossesItself)?;
    if conflicts > 0 || flat.num_vertices() != count {
        return Err(Refused::CrossesItself);
    }
    Ok(stood_up(&flat, &under(&flat), plate.thickness.mm(), letters.height))
}

/// For each face what is under it: inside the rings there is metal, inside a letter it is raised.
fn under(flat: &ConstrainedDelaunayTriangulation<Corner>) -> Vec<Under> {
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

fn stood_up(flat: &ConstrainedDelaunayTriangulation<Corner>, under: &[Under], thickness: f64, raised_by: f64) -> Mesh {
    let mut mesh = Mesh::default();
    let count = flat.num_vertices();
    let levels = [0.0, thickness, thickness + raised_by];
    // corners in three levels; those that nothing stands on are left out
    let mut named: Vec<Option<usize>> = vec![None; 3 * count];
    let mut corner = |mesh: &mut Mesh, vertex: usize, at: Point2<f64>, level: usize| {
        *named[level * count + vertex].get_or_insert_with(|| {
            mesh.corners.push([at.x, at.y, levels[level]]);
            mesh.corners.len() - 1
        })
    };
    for face in flat.inner_faces() {
        let here = under[face.fix().index()];
        if !here.metal {
            continue;
        }
        let mut at = |mesh: &mut Mesh, level: usize| {
            face.vertices().map(|vertex| corner(mesh, vertex.fix().index(), vertex.position(), level))
        };
        let [a, b, c] = at(&mut mesh, 0);
        mesh.triangles.push([c, b, a]);
        let top = at(&mut mesh, if here.raised { 2 } else { 1 });
        mesh.triangles.push(top);
    }
    for edge in flat.directed_edges().filter(|edge| edge.is_constraint_edge()) {
        let (left, right) = (under[edge.face().fix().index()], under[edge.rev().face().fix().index()]);
        let levels = match () {
            () if left.metal && !right.metal => [0, 1],
            () if left.raised && !right.raised => [1, 2],
            () => continue,
        };
        let [low, high] = levels.map(|level| {
            [edge.from(), edge.to()].map(|vertex| corner(&mut mesh, vertex.fix().index(), vertex.position(), level))
        });
        mesh.triangles.extend([[low[0], low[1], high[1]], [low[0], high[1], high[0]]]);
    }
    mesh
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
