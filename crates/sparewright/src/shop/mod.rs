//! The shop file: what this shop owns and charges.

mod bench;

pub use bench::{bench, built_in_instruments};
