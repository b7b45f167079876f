//! Plane geometry of external involute spur toothing, outlines, and instruments that measure what was drawn.
//!
//! Public lengths and angles are [`quantity::Length`] and [`quantity::Angle`]. Points, and everything inside a
//! [`Segment`](outline::Segment) or handed to a tight numeric routine, are plain `f64` millimetres and radians.
//! Angles of points are counted counter-clockwise from the x axis unless the item says otherwise.
//!
//! The closed formulas ([`toothing`]) and the drawn profile ([`generate`], the envelope of a rolling rack) are worked out
//! separately.

pub mod generate;
pub mod involute;
pub mod outline;
mod solve;
pub mod toothing;

pub use kurbo::{Point, Vec2};
