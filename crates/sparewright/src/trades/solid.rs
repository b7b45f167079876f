//! The solid: ISO 10303-21.

use jiff::civil::Date;
use quantity::Length;
use serde_json::{Value, json};
use solid::chamfer::{Chamfers, taken_off};
use solid::exchange::{self, Said};
use solid::plate::TOLERANCE;

use super::{Of, finding, plate};
use crate::solve::Solved;

/// What is asked of a solid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wanted {
    /// How far a spline may lie from the true curve.
    pub tolerance: Length,
    pub bore_chamfer: Length,
    pub outside_chamfer: Length,
}

impl Default for Wanted {
    fn default() -> Wanted {
        Wanted { tolerance: TOLERANCE, bore_chamfer: Length::ZERO, outside_chamfer: Length::ZERO }
    }
}

#[derive(Clone, Debug)]
pub struct Solid {
    pub text: String,
    /// Sizes of the body, lengths in mm.
    pub result: Value,
}

/// Behind the job's name.
pub const SUFFIX: &str = ".stp";

pub fn solid(solved: &Solved<'_>, wanted: Wanted, shop: &str, date: &Date) -> Result<Solid, String> {
    let plate = plate(solved, wanted.tolerance, Of::Body)?;
    let chamfers = Chamfers { bore: wanted.bore_chamfer.mm(), outside: wanted.outside_chamfer.mm() };
    let said = Said {
        name: solved.job.title.clone(),
        description: finding(solved),
        time: format!("{date}T00:00:00"),
        organisation: shop.into(),
        file: solved.job.title.clone() + SUFFIX,
    };
    let refused = |refused: solid::plate::Refused| refused.to_string();
    let text = exchange::write(&plate, chamfers, &said).map_err(refused)?;
    let off = taken_off(&plate, chamfers).map_err(refused)?;
    let result = json!({
        "thickness_mm": plate.thickness.mm(),
        "face_area_mm2": plate.area(),
        "perimeter_mm": plate.perimeter(),
        "volume_mm3": plate.volume() - off,
        "chamfers_take_off_mm3": off,
        "tolerance_mm": wanted.tolerance.mm(),
        "holes": plate.holes.len(),
        "bytes": text.len(),
    });
    Ok(Solid { text, result })
}
