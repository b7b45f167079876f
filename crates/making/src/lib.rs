//! How a part is made with what a shop owns: order, set-ups, tools, indexing, speeds. It knows cuts, not kinds of part,
//! and neither reads nor writes a file.

mod blank;
pub mod cutters;
pub mod indexing;
mod order;
mod plan;
mod safety;
pub mod shop;
pub mod speeds;
mod steps;
pub mod tapping;
pub mod tools;

pub use blank::{Blank, Body};
pub use order::Step;
pub use plan::{
    Brief, Check, Feed, FeedPer, MOST_PIECES, MachinePick, Operation, Passes, PieceState, Pieces, Plan, Running, plan,
};
pub use safety::Duty;
