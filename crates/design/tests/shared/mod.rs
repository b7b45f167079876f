//! Rows of printed figures, and toothings to compare with them.

#![allow(dead_code, reason = "each test file uses a part of it")]
#![allow(clippy::unwrap_used, clippy::panic, reason = "a helper that fails is a test that fails")]

use geometry::toothing::{Rack, Toothing, ToothingSpec};
use quantity::{Angle, Length};

/// One printed figure.
pub struct Row {
    pub id: String,
    pub inputs: String,
    pub quantity: String,
    pub value: String,
    pub other: String,
    pub note: String,
}

pub fn rows() -> Vec<Row> {
    let path = format!("{}/tests/data/strength.csv", env!("CARGO_MANIFEST_DIR"));
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_path(path).unwrap();
    let header = reader.headers().unwrap().clone();
    let row = |record: csv::StringRecord| {
        let at = |column: &str| record[header.iter().position(|name| name == column).unwrap()].to_string();
        Row {
            id: at("id"),
            inputs: at("inputs"),
            quantity: at("quantity"),
            value: at("value"),
            other: at("other"),
            note: at("note"),
        }
    };
    reader.records().map(|record| row(record.unwrap())).collect()
}

impl Row {
    pub fn printed(&self) -> f64 {
        self.value.parse().unwrap_or_else(|_| panic!("{} {}: {:?}", self.id, self.inputs, self.value))
    }

    /// Half a unit of the last digit as printed; 0 where the figure is round and so says nothing of its last digit.
    pub fn half_digit(&self) -> f64 {
        let decimals = self.value.split_once('.').map_or(0, |(_, part)| part.len());
        0.5 * 10_f64.powi(-(decimals as i32)) + 1e-12
    }

    /// The number of `key=` in the inputs, with what follows it up to the next space.
    pub fn input(&self, key: &str) -> Option<f64> {
        let word = self.inputs.split_whitespace().find_map(|word| word.strip_prefix(key)?.strip_prefix('='))?;
        word.parse().ok()
    }

    pub fn near(&self, found: f64, tolerance: f64) {
        let printed = self.printed();
        assert!(
            (found - printed).abs() <= tolerance,
            "{} ({}) {}: {found} for {printed} ± {tolerance}",
            self.id,
            self.inputs,
            self.quantity
        );
    }
}

pub fn rack(alpha_deg: f64, addendum: f64, dedendum: f64, tip_radius: f64) -> Rack {
    Rack { pressure_angle: Angle::from_degrees(alpha_deg), addendum, dedendum, tip_radius }
}

/// Of module 1 mm.
pub fn teeth(rack: Rack, teeth: u32, profile_shift: f64, thinning: f64) -> Option<Toothing> {
    let (module, thinning) = (Length::from_mm(1.0), Length::from_mm(thinning));
    Toothing::new(ToothingSpec { teeth, module, rack, profile_shift, thinning, tip_diameter: None, helix: None }).ok()
}

/// Of toothings found, where the count is known to work.
pub fn sure(rack_: Rack, count: u32) -> Toothing {
    teeth(rack_, count, 0.0, 0.0).unwrap()
}
