//! How heavy a blank is, and the metal a job takes.

use std::f64::consts::FRAC_PI_4;
use std::fmt;
use std::ops::Mul;

use quantity::Unit;
use serde::Serialize;
use standards::Material;

use crate::blank::{Blank, Body, bought_mm3};
use crate::plan::Pieces;

/// A mass. Inside it is a number of kilograms.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd, Serialize)]
#[serde(transparent)]
pub struct Mass(f64);

const KILOGRAMS_IN_POUND: f64 = 0.453_592_37;

impl Mass {
    pub const fn from_kilograms(kilograms: f64) -> Mass {
        Mass(kilograms)
    }

    pub const fn kilograms(self) -> f64 {
        self.0
    }

    /// The mass of so much metal: m = ρ V. Units: kg, with ρ in kg/m³ and V in mm³. Exact but for the density, which books
    /// give within some 2 in 100. Source: definition of density.
    ///
    /// Example: a metre of 25 mm round of 7850 kg/m³ is 3.85 kg.
    pub fn of(material: &Material, volume_mm3: f64) -> Mass {
        const MM3_IN_M3: f64 = 1e9;
        Mass(material.density_kg_m3 * volume_mm3 / MM3_IN_M3)
    }

    /// "1.42 kg (3.13 lb)"; the shop's own unit first.
    pub fn sentence(self, unit: Unit) -> String {
        let pounds = format!("{:.2} lb", self.0 / KILOGRAMS_IN_POUND);
        match unit {
            Unit::Inch => format!("{pounds} ({self})"),
            Unit::Millimetre => format!("{self} ({pounds})"),
        }
    }
}

impl fmt::Display for Mass {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:.2} kg", self.0)
    }
}

impl Mul<u32> for Mass {
    type Output = Mass;
    fn mul(self, count: u32) -> Mass {
        Mass(self.0 * f64::from(count))
    }
}

/// The volume of a body, mm³; none where a length is not known.
pub(crate) fn volume(body: Body) -> Option<f64> {
    match body {
        Body::Round { diameter, length } => Some(FRAC_PI_4 * diameter.mm().powi(2) * length?.mm()),
        Body::Flat { width, height, thickness } => Some(width.mm() * height.mm() * thickness?.mm()),
        Body::Unknown => None,
    }
}

/// Metal that the job takes, from the rack or bought.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Metal {
    /// "blank", "bush".
    pub what: String,
    pub material: String,
    /// One as it is sawn.
    pub size: String,
    /// Of one, with its saw cut; none where its size is not known.
    pub each_kg: Option<Mass>,
    pub on_rack: bool,
    pub pieces: Pieces,
    /// Pieces that come out of one.
    pub out_of_one: u32,
}

impl Metal {
    /// What a blank takes: off the piece on the rack, or of stock bought to its size.
    pub(crate) fn of(what: &str, blank: &Blank, pieces: Pieces, on_rack: bool) -> Metal {
        let volume = if on_rack { blank.taken_mm3 } else { bought_mm3(blank.sawn) };
        let material = standards::material(&blank.material);
        Metal {
            what: what.to_string(),
            material: material.map_or_else(|| blank.material.clone(), |known| known.name.clone()),
            size: blank.size.clone(),
            each_kg: material.zip(volume).map(|(material, volume)| Mass::of(material, volume)),
            on_rack,
            pieces,
            out_of_one: blank.gives,
        }
    }
}
