//! Plane geometry of external involute toothing, spur and helical, outlines, and instruments that measure what was drawn.
//!
//! Public lengths and angles are [`quantity::Length`] and [`quantity::Angle`]. Points, and everything inside a
//! [`Segment`](outline::Segment) or handed to a tight numeric routine, are plain `f64` millimetres and radians.
//! Angles of points are counted counter-clockwise from the x axis unless the item says otherwise.
//!
//! Formulas are those of ISO 21771:2007 (carried on in ISO 21771-1:2024) as handbooks give them. Clauses are not named: the
//! standard's text was not at hand when they were written down; the equations 62 and 63 are named after a published sheet.
//!
//! The closed formulas ([`toothing`]) and the drawn profile ([`generate`], the envelope of a rolling rack) are worked out
//! separately; [`instrument`] measures the drawing and knows none of the formulas, so each can vouch for the other.

pub mod form_cutter;
pub mod generate;
pub mod instrument;
pub mod involute;
pub mod mesh;
pub mod outline;
pub mod root;
mod solve;
pub mod toothing;

pub use kurbo::{Point, Vec2};
