//! What a feature adds to the part's outline.

use geometry::outline::Outline;

/// Millimetres; the bore's centre is the origin, up the page is towards the middle of the teeth.
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
    /// The whole outer boundary, closed.
    Boundary(Outline),
    /// A piece of the outer boundary, open; pieces are joined end to end.
    Piece(Outline),
    /// A hole through the part, closed.
    Hole(Outline),
}
