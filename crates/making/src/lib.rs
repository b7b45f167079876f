//! How a part is made with what a shop owns, how long it takes and what it costs: order, set-ups, tools, indexing, speeds,
//! time, price. It knows cuts, not kinds of part,
//! and neither reads nor writes a file.

mod blank;
pub mod cutters;
pub mod indexing;
pub mod mass;
mod order;
mod plan;
pub mod price;
mod ring;
mod safety;
pub mod shop;
pub mod speeds;
mod steps;
pub mod tapping;
pub mod time;
pub mod tools;

pub use blank::{Allowances, Blank, Body};
pub use order::Step;
pub use plan::{
    Brief, Check, Feed, FeedPer, Gauged, MOST_PIECES, MachinePick, Operation, Passes, PieceState, Pieces, Plan,
    Running, plan,
};
pub use ring::Sweep;
pub use safety::Duty;
pub use steps::SAME_LENGTH;
