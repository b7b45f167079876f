//! How a part is made with what a shop owns: order, set-ups, tools, indexing, speeds. It knows cuts, not kinds of part,
//! and neither reads nor writes a file.

pub mod cutters;
pub mod indexing;
pub mod shop;
pub mod speeds;
pub mod tools;
