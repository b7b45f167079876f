//! The part's outline, put together from what its features add.

use std::f64::consts::TAU;

use geometry::outline::{Outline, Region};
use kurbo::Point;
use making::Sweep;
use part::Shape;
use quantity::{Angle, Length};

use crate::solve::{Solved, SolvedFeature};

/// The part seen along its axis, in mm, the bore centre at the origin.
#[derive(Clone, Debug)]
pub enum PartShape {
    Whole(Region),
    /// The boundary is known only in part: what is known, and the holes.
    Open {
        pieces: Vec<Outline>,
        holes: Vec<Outline>,
    },
}

impl PartShape {
    /// None where no feature has a shape.
    pub fn of(solved: &Solved<'_>) -> Option<PartShape> {
        let designs = solved.features.iter().filter_map(|feature| feature.design());
        PartShape::joined(designs.flat_map(|design| design.shapes()))
    }

    /// The same of some of the features, curves drawn as finely as asked for.
    pub fn within(
        solved: &Solved<'_>,
        within: Length,
        wanted: impl Fn(&SolvedFeature<'_>) -> bool,
    ) -> Option<PartShape> {
        let designs = solved.features.iter().filter(|feature| wanted(feature)).filter_map(|feature| feature.design());
        PartShape::joined(designs.flat_map(|design| design.shapes_within(within)))
    }

    fn joined(shapes: impl Iterator<Item = Shape>) -> Option<PartShape> {
        let (mut boundaries, mut pieces, mut holes) = (Vec::new(), Vec::new(), Vec::new());
        for shape in shapes {
            match shape {
                Shape::Boundary(outline) => boundaries.push(outline),
                Shape::Piece(outline) => pieces.push(outline),
                Shape::Hole(outline) => holes.push(outline),
            }
        }
        // a stepped shaft is seen as its largest step
        let largest = boundaries.into_iter().max_by(|a, b| a.area().abs().total_cmp(&b.area().abs()));
        if let Some(outer) = largest.or_else(|| joined(&pieces)) {
            return Some(PartShape::Whole(Region { outer, holes }));
        }
        (!pieces.is_empty() || !holes.is_empty()).then_some(PartShape::Open { pieces, holes })
    }

    pub fn outlines(&self) -> Vec<&Outline> {
        match self {
            PartShape::Whole(region) => std::iter::once(&region.outer).chain(&region.holes).collect(),
            PartShape::Open { pieces, holes } => pieces.iter().chain(holes).collect(),
        }
    }

    /// How much of the ring it covers about the origin; none where it reaches over the origin itself, goes all the way
    /// round, or is not closed.
    pub fn sweep(&self) -> Option<Sweep> {
        let PartShape::Whole(region) = self else { return None };
        /// A straight edge is seen from the centre at so many places.
        const PLACES: u32 = 32;
        let corners = region.outer.flatten(0.01);
        let next = corners.iter().cycle().skip(1);
        let points: Vec<Point> = corners
            .iter()
            .zip(next)
            .flat_map(|(from, to)| (0..PLACES).map(move |place| from.lerp(*to, f64::from(place) / f64::from(PLACES))))
            .collect();
        let inner = points.iter().map(|point| point.to_vec2().hypot()).reduce(f64::min)?;
        if region.outer.contains(Point::ZERO) || inner < 0.01 {
            return None;
        }
        // the widest gap between two directions is what it does not cover
        let mut directions: Vec<f64> = points.iter().map(|point| point.to_vec2().atan2()).collect();
        directions.sort_by(f64::total_cmp);
        let first = *directions.first()?;
        let round = directions.windows(2).map(|pair| pair[1] - pair[0]);
        let widest = round.chain([first + TAU - directions.last()?]).fold(0.0, f64::max);
        Some(Sweep { inner: Length::from_mm(inner), angle: Angle::from_radians(TAU - widest) })
    }

    /// What is not known of the outline, as a sentence.
    pub fn gap(&self) -> Option<&'static str> {
        match self {
            PartShape::Whole(_) => None,
            PartShape::Open { pieces, .. } if pieces.is_empty() => {
                Some("The part's outer boundary is not given; only its holes are drawn.")
            }
            PartShape::Open { .. } => Some(
                "The boundary is not closed: give the back of a sector as a feature of kind \"outline\", or write closed = true for an outline that goes all the way round.",
            ),
        }
    }

    /// Why no such part can be made, as sentences; each fault once.
    pub fn faults(&self) -> Vec<&'static str> {
        let PartShape::Whole(region) = self else { return Vec::new() };
        let drawn: Vec<Vec<Point>> = region.holes.iter().map(|hole| hole.flatten(0.01)).collect();
        let meets = |hole: usize, other: usize| drawn[hole].iter().any(|point| region.holes[other].contains(*point));
        let count = region.holes.len();
        // bores on one axis, one wider at an end, are no fault
        let central = |hole: usize| region.holes[hole].contains(Point::ZERO);
        let mut out = Vec::new();
        if region.outer.crosses_itself() {
            out.push("The outline crosses the teeth or itself: check the ends of its path.");
        }
        if drawn.iter().flatten().any(|point| !region.outer.contains(*point)) {
            out.push("A bore or hole breaks through the edge of the part: check its size, its place and the outline.");
        }
        if (0..count).any(|hole| {
            (0..count).any(|other| other != hole && !(central(hole) && central(other)) && meets(hole, other))
        }) {
            out.push("Two holes run into each other: check their sizes and places.");
        }
        out
    }
}

/// Two or more pieces, end to end, straight lines bridging the gaps. One piece alone says nothing of the rest.
fn joined(pieces: &[Outline]) -> Option<Outline> {
    let (first, rest) = pieces.split_first().filter(|(_, rest)| !rest.is_empty())?;
    let mut left: Vec<Outline> = rest.to_vec();
    let mut chain = first.clone();
    while let Some(end) = chain.end() {
        let distance = |piece: &Outline| piece.start().map_or(f64::INFINITY, |start| start.distance(end));
        let Some(nearest) = (0..left.len()).min_by(|&a, &b| distance(&left[a]).total_cmp(&distance(&left[b]))) else {
            break;
        };
        chain = chain.then(left.remove(nearest));
    }
    Some(chain.close())
}
