//! The shop file: what this shop owns and charges.

mod bench;
mod drawers;
mod instruments;
mod machines;
mod read;
mod run;

pub use bench::{bench, built_in_instruments};
pub use read::{BUILT_IN, built_in, read};
