//! Is it good? Limits with guard bands, what a reading of the new part proves, what would settle a doubtful one, and which
//! of the owned instruments to take. Knows no kind.

mod accuracy;
mod gauges;
mod kit;
mod pick;
mod reading;
mod rule;
mod settle;
mod verdict;

pub use accuracy::{Accuracy, Asked as AccuracyAsked, Deviates, Held};
pub use gauges::{GoNotGo, Plugs, go_not_go, plugs};
pub use kit::{Kit, Way, Worth};
pub use pick::{Pick, Task, With, pick};
pub use reading::{Finest, Shown, Taken, finest, of_all, taken};
pub use rule::{Limits, Rule};
pub use settle::{MOST_READINGS, Remedy, settle};
pub use verdict::{Chances, Decision, Judged, judge};
