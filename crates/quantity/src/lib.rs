//! What a machinist writes, as numbers, and numbers as a machinist writes them.

mod length;

pub use length::{Angle, Length, MM_PER_INCH};
