//! The part's outline, put together from what its features add.

use geometry::outline::{Outline, Region};
use part::Shape;

use crate::solve::Solved;

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
        let (mut boundaries, mut pieces, mut holes) = (Vec::new(), Vec::new(), Vec::new());
        for shape in solved.features.iter().filter_map(|feature| feature.design()).flat_map(|design| design.shapes()) {
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

    /// What is wrong with the outline as a whole, as sentences.
    pub fn faults(&self) -> Vec<String> {
        match self {
            PartShape::Open { pieces, .. } if pieces.is_empty() => vec!["The part's outer boundary is not given; only its holes are drawn.".into()],
            PartShape::Open { .. } => vec!["The back of the sector is not given: add a feature of kind \"outline\" to have it drawn and templated.".into()],
            PartShape::Whole(region) => {
                let mut out = Vec::new();
                if region.outer.crosses_itself() {
                    out.push("The outline crosses the teeth or itself: check the ends of its path.".into());
                }
                for hole in &region.holes {
                    let points = hole.flatten(0.01);
                    if points.iter().any(|point| !region.outer.contains(*point)) {
                        out.push("A hole breaks through the edge of the part: check its place and the outline.".into());
                    }
                }
                out
            }
        }
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
