//! Jobs: the list, the page of one, and all that is changed on it.

mod about;
mod change;
pub mod create;
pub mod echo;
pub mod features;
pub mod files;
pub mod head;
pub mod lines;
pub mod pictures;
mod readings;
pub mod show;
pub mod text;
pub mod typed;
mod units;

pub use change::{Target, changed};
pub use readings::sentence;
pub use show::{Entered, job_page, urlencoded};
