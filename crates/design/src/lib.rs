//! What to make: how parts sit on one another, how the teeth mesh and what they carry, against the original. Knows no kind.

pub mod joint;
pub mod tooth;
