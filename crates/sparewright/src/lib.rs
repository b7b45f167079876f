//! Reading and writing what a person keeps in files: the job, the shop, and what is wrong with them.

pub mod job;
pub mod problems;
pub mod shop;
mod written;

pub use written::{LARGEST_FILE, text_of};
