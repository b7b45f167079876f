//! The shop file: what this shop owns and charges.

mod charges;
mod dividing;
mod drawers;
mod instruments;
mod machines;
mod read;
mod run;

pub(crate) use charges::MOST_MONEY;
pub use read::{BUILT_IN, built_in, read};
pub use standards::{bench, built_in_instruments};
