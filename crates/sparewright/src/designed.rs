//! What to make of what was found: computed here once, shown in words, on paper and in JSON.

pub mod teeth;

use serde_json::{Value, json};

use crate::solve::Solved;

#[derive(Debug)]
pub struct Designed<'a> {
    pub teeth: Vec<teeth::DesignedTeeth<'a>>,
}

pub fn designed<'a>(solved: &'a Solved<'_>) -> Designed<'a> {
    Designed { teeth: teeth::of(solved) }
}

impl Designed<'_> {
    /// As the machine-readable result names it.
    pub fn json(&self) -> Value {
        json!({"teeth": self.teeth.iter().map(teeth::DesignedTeeth::json).collect::<Vec<_>>()})
    }
}
