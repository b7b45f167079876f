//! How the part runs in the machine and what it carries: reckoned once for the terminal, the pack and the JSON.

pub mod teeth;

use serde_json::{Value, json};

use crate::solve::Solved;

/// What follows from the designs taken together.
#[derive(Debug, Default)]
pub struct Designed {
    pub teeth: Vec<teeth::DesignedTeeth>,
}

pub fn designed(solved: &Solved<'_>) -> Designed {
    Designed { teeth: teeth::of(solved) }
}

/// Lengths in mm, angles in degrees, stresses in MPa.
pub fn result(designed: &Designed) -> Value {
    json!({"teeth": designed.teeth.iter().map(teeth::DesignedTeeth::json).collect::<Vec<_>>()})
}
