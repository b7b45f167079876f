//! What the targets share. The readers are taken by their files and not by the crate they belong to, which would
//! build the whole of PDF setting with instrumentation.
#![allow(dead_code)] // each target uses its part

#[path = "../../crates/sparewright/src/job/mod.rs"]
pub mod job;
#[path = "../../crates/sparewright/src/shop/mod.rs"]
pub mod shop;
#[path = "../../crates/sparewright/src/written/mod.rs"]
mod written;

use quantity::Problem;

pub use written::{LARGEST_FILE, text_of};

/// Each problem points at whole characters inside the text, and says something.
pub fn check_places(text: &str, problems: &[Problem]) {
    for problem in problems {
        assert!(text.get(problem.at.clone()).is_some(), "{problem:?} outside {} bytes", text.len());
        assert!(problem.expected.starts_with("expected "), "{problem:?}");
        assert!(!problem.message.is_empty(), "{problem:?}");
    }
}
