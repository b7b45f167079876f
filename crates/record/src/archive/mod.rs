//! Jobs, or everything, as one file: a plain ZIP archive that opens anywhere.
//!
//! | in the archive | what it is |
//! | --- | --- |
//! | `jobs/17/job.toml` | the job as it is now, byte for byte |
//! | `jobs/17/pictures/sector.png` | its pictures as they are now |
//! | `jobs/17/history.json` | every state it was in: when, who, what, the whole text, its pictures; what was written at the machine |
//! | `jobs/17/earlier/3/sector.png` | a picture that an earlier state had since version 3 |
//! | `shop.toml`, `shop-history.json` | the shop file and its history |
//!
//! A job may come without its history. Nothing in an archive is ever written to a file of its name, and one that has
//! anything else in it, or more than honest ones have, is refused as a whole.

mod bring_in;
mod open;
mod place;
mod take_out;

use std::collections::BTreeMap;

use jiff::Timestamp;
use serde::{Deserialize, Serialize};

pub use bring_in::BroughtIn;
pub use open::Archive;

/// `history.json`
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
struct History {
    /// Of this layout.
    format: u32,
    changes: Vec<State>,
    #[serde(default)]
    at_the_machine: Vec<Written>,
}

/// The layout this program writes, and the only one there is so far.
const FORMAT: u32 = 1;

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
struct State {
    version: u32,
    at: Timestamp,
    who: String,
    what: String,
    #[serde(default)]
    removed: bool,
    text: String,
    /// Where in the job's folder each of its pictures lies.
    #[serde(default)]
    pictures: BTreeMap<String, String>,
}

#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
struct Written {
    key: String,
    value: String,
    at: Timestamp,
    who: String,
}
