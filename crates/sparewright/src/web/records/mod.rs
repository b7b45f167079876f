//! The records: finding jobs, keeping them, taking them out and bringing them in.

pub mod bring_in;
pub mod find;
pub mod keep;
pub mod take_out;
