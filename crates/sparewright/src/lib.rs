//! Everything that reads, writes or speaks to a person: files, the command line, the sheets.

pub mod checked;
pub mod cli;
pub mod designed;
pub mod job;
pub mod packed;
pub mod planned;
pub mod problems;
pub mod records;
pub mod report;
pub mod result;
pub mod scanned;
pub mod shape;
pub mod sheets;
pub mod shop;
pub mod solve;
pub mod trades;
pub mod web;
pub mod worked;
mod written;

pub use written::{LARGEST_FILE, text_of};
