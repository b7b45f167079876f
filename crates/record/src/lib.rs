//! The shop's records: every job as its file's text, with pictures, history and place at the machine, in one SQLite file.
//!
//! What is acknowledged is on disk. Nothing here overwrites: a save adds a change, a removal is a change, and two who
//! edit one job from the same state are merged or told. Nothing here knows what a job says: what it is found by comes
//! with [`Facts`] from whoever can read it.

mod archive;
mod attachment;
mod backup;
mod by;
mod compare;
mod device;
mod error;
mod facts;
mod job;
mod mark;
mod merge;
mod name;
mod random;
mod schema;
mod search;
mod setting;
mod sheet;
mod shop;
mod store;

pub use archive::{Archive, BroughtIn};
pub use attachment::{Attached, LARGEST_ATTACHMENT};
pub use backup::{Backup, Backups, Keep, restore_closed, verify};
pub use by::By;
pub use compare::{Compared, compare};
pub use device::{Device, DeviceId, PAIRING_TRIES, Paired};
pub use error::{Error, Result};
pub use facts::{Fact, Facts};
pub use job::JobId;
pub use mark::{Mark, Marked};
pub use merge::{Merge, merge};
pub use name::plain_name;
pub use search::{Condition, Found, Hit, Query};
pub use sheet::{Change, Edit, Kept, LARGEST_TEXT, Saved};
pub use store::Store;
