//! Points, curves and surfaces as entities of ISO 10303-42.

use super::text::{Arg, Data, Id};
use crate::spline::Spline;

pub type At = [f64; 3];

pub const UP: At = [0.0, 0.0, 1.0];

pub fn point(data: &mut Data, at: At) -> Id {
    data.add("CARTESIAN_POINT", &[Arg::Text(""), Arg::Reals(&at)])
}

pub fn direction(data: &mut Data, along: At) -> Id {
    let length = along.iter().map(|d| d * d).sum::<f64>().sqrt();
    data.add("DIRECTION", &[Arg::Text(""), Arg::Reals(&along.map(|d| d / length))])
}

/// `axis`: the z direction; `reference`: the x direction.
pub fn placement(data: &mut Data, at: At, axis: At, reference: At) -> Id {
    let (at, axis, reference) = (point(data, at), direction(data, axis), direction(data, reference));
    data.add("AXIS2_PLACEMENT_3D", &[Arg::Text(""), Arg::Ref(at), Arg::Ref(axis), Arg::Ref(reference)])
}

pub fn vertex(data: &mut Data, at: At) -> Id {
    let at = point(data, at);
    data.add("VERTEX_POINT", &[Arg::Text(""), Arg::Ref(at)])
}

pub fn line(data: &mut Data, from: At, to: At) -> Id {
    let start = point(data, from);
    let along = direction(data, std::array::from_fn(|d| to[d] - from[d]));
    let vector = data.add("VECTOR", &[Arg::Text(""), Arg::Ref(along), Arg::Real(1.0)]);
    data.add("LINE", &[Arg::Text(""), Arg::Ref(start), Arg::Ref(vector)])
}

/// Level, counter-clockwise from `reference`.
pub fn circle(data: &mut Data, centre: At, radius: f64, reference: At) -> Id {
    let placement = placement(data, centre, UP, reference);
    data.add("CIRCLE", &[Arg::Text(""), Arg::Ref(placement), Arg::Real(radius)])
}

pub fn spline(data: &mut Data, of: &Spline<3>) -> Id {
    let poles: Vec<Id> = of.poles().into_iter().map(|pole| point(data, pole)).collect();
    data.add(
        "B_SPLINE_CURVE_WITH_KNOTS",
        &[
            Arg::Text(""),
            Arg::Whole(of.degree()),
            Arg::Refs(&poles),
            Arg::Plain(".UNSPECIFIED."),
            Arg::Yes(false),
            Arg::Yes(false),
            Arg::Wholes(&times(of)),
            Arg::Reals(of.knots()),
            Arg::Plain(".UNSPECIFIED."),
        ],
    )
}

/// Knots stand once more often than the degree at the ends, and once between.
fn times<const D: usize>(of: &Spline<D>) -> Vec<usize> {
    let mut times = vec![1; of.knots().len()];
    if let [first, .., last] = times.as_mut_slice() {
        (*first, *last) = (of.degree() + 1, of.degree() + 1);
    }
    times
}

/// A surface of these poles over the knots of two splines; those of one list lie along `up`.
pub fn spline_surface(data: &mut Data, along: &Spline<2>, up: &Spline<3>, poles: &[Vec<At>]) -> Id {
    let mut rows = Vec::with_capacity(poles.len());
    for row in poles {
        rows.push(row.iter().map(|pole| point(data, *pole)).collect::<Vec<Id>>());
    }
    data.add(
        "B_SPLINE_SURFACE_WITH_KNOTS",
        &[
            Arg::Text(""),
            Arg::Whole(along.degree()),
            Arg::Whole(up.degree()),
            Arg::Rows(&rows),
            Arg::Plain(".UNSPECIFIED."),
            Arg::Yes(false),
            Arg::Yes(false),
            Arg::Yes(false),
            Arg::Wholes(&times(along)),
            Arg::Wholes(&times(up)),
            Arg::Reals(along.knots()),
            Arg::Reals(up.knots()),
            Arg::Plain(".UNSPECIFIED."),
        ],
    )
}

pub fn edge(data: &mut Data, from: Id, to: Id, curve: Id, along: bool) -> Id {
    data.add("EDGE_CURVE", &[Arg::Text(""), Arg::Ref(from), Arg::Ref(to), Arg::Ref(curve), Arg::Yes(along)])
}

pub fn plane(data: &mut Data, at: At, normal: At, reference: At) -> Id {
    let placement = placement(data, at, normal, reference);
    data.add("PLANE", &[Arg::Text(""), Arg::Ref(placement)])
}

pub fn cylinder(data: &mut Data, centre: At, radius: f64, reference: At) -> Id {
    let placement = placement(data, centre, UP, reference);
    data.add("CYLINDRICAL_SURFACE", &[Arg::Text(""), Arg::Ref(placement), Arg::Real(radius)])
}

/// At 45°; `radius` at the height of `centre`, and growing upwards or, with `widens` false, downwards.
pub fn cone(data: &mut Data, centre: At, radius: f64, widens: bool, reference: At) -> Id {
    let axis = if widens { UP } else { [0.0, 0.0, -1.0] };
    let placement = placement(data, centre, axis, reference);
    data.add(
        "CONICAL_SURFACE",
        &[Arg::Text(""), Arg::Ref(placement), Arg::Real(radius), Arg::Real(std::f64::consts::FRAC_PI_4)],
    )
}

/// A level curve carried straight up.
pub fn extruded(data: &mut Data, curve: Id, height: f64) -> Id {
    let up = direction(data, UP);
    let vector = data.add("VECTOR", &[Arg::Text(""), Arg::Ref(up), Arg::Real(height)]);
    data.add("SURFACE_OF_LINEAR_EXTRUSION", &[Arg::Text(""), Arg::Ref(curve), Arg::Ref(vector)])
}

/// A face from its loops, each a list of edges with the way they are run through; the first is the outer one.
pub fn face(data: &mut Data, loops: &[Vec<(Id, bool)>], surface: Id, outward: bool) -> Id {
    let mut bounds = Vec::with_capacity(loops.len());
    for (i, edges) in loops.iter().enumerate() {
        let run: Vec<Id> = edges
            .iter()
            .map(|(edge, along)| {
                data.add(
                    "ORIENTED_EDGE",
                    &[Arg::Text(""), Arg::Plain("*"), Arg::Plain("*"), Arg::Ref(*edge), Arg::Yes(*along)],
                )
            })
            .collect();
        let around = data.add("EDGE_LOOP", &[Arg::Text(""), Arg::Refs(&run)]);
        let name = if i == 0 { "FACE_OUTER_BOUND" } else { "FACE_BOUND" };
        bounds.push(data.add(name, &[Arg::Text(""), Arg::Ref(around), Arg::Yes(true)]));
    }
    data.add("ADVANCED_FACE", &[Arg::Text(""), Arg::Refs(&bounds), Arg::Ref(surface), Arg::Yes(outward)])
}
