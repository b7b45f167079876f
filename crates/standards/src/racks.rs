//! Basic racks: the straight-sided tooth a gear's teeth are generated from.

use std::collections::BTreeMap;
use std::f64::consts::FRAC_PI_4;
use std::sync::LazyLock;

use quantity::{Angle, Length, PitchSystem};
use serde::Deserialize;

use crate::table::{self, Cited, Confidence, DataFile, Malformed, Source, Sources, data_file};

pub(crate) const FILE: DataFile = data_file!("gears/basic-racks.toml");

/// Heights and radii are multiples of the module (ISO 21771 symbols: h_aP, h_fP, rho_fP).
#[derive(Clone, Debug, PartialEq)]
pub struct Rack {
    /// Stable; files and reports name racks by it.
    pub id: String,
    pub name: String,
    pub pressure_angle: Angle,
    pub addendum: f64,
    pub dedendum: f64,
    /// What the dedendum has beyond the multiple of the module; fine-pitch teeth leave room for dirt.
    pub dedendum_plus: Length,
    pub tip_radius: f64,
    /// The finest and the coarsest module the rack is used with, where it has such a limit.
    pub module_from: Option<Length>,
    pub module_to: Option<Length>,
    pub source: Source,
    /// The radius is often less well known than the heights.
    pub tip_radius_confidence: Confidence,
    /// How usual the rack is among gears of makers who worked in inches, and of those who worked in millimetres.
    /// Common practice: only ratios mean something.
    pub usual_inch: f64,
    pub usual_metric: f64,
}

impl Rack {
    /// Addendum for a module.
    pub fn addendum_at(&self, module: Length) -> Length {
        self.addendum * module
    }

    /// Dedendum for a module, with the constant part of fine-pitch teeth.
    pub fn dedendum_at(&self, module: Length) -> Length {
        self.dedendum * module + self.dedendum_plus
    }

    /// Is the rack used for teeth of this size?
    pub fn used_at(&self, module: Length) -> bool {
        // pitches are round numbers, so a limit that is met exactly must not be lost to rounding
        const SLACK: f64 = 1e-9;
        self.module_from.is_none_or(|from| module.mm() >= from.mm() * (1.0 - SLACK))
            && self.module_to.is_none_or(|to| module.mm() <= to.mm() * (1.0 + SLACK))
    }

    /// The largest tip radius the rack leaves room for; see [`largest_tip_radius`].
    pub fn largest_tip_radius(&self) -> f64 {
        largest_tip_radius(self.pressure_angle, self.dedendum, self.dedendum - self.addendum)
    }
}

/// The largest radius at the tip of a basic rack's tooth (of the tool that cuts the root).
///
/// ρ = min( c/(1 − sin α), (π/4 − h_f tan α) cos α/(1 − sin α) ): the first keeps the flank straight to the depth that the
/// mate's tip reaches, the second is a full round that just touches both flanks.
/// All in modules; α between 0 and 45°. Exact for a symmetric rack whose tooth is as wide as its space.
/// Source: geometry of the rack; ISO 53:1998, Table 2 follows it (0.38 for c = 0.25; 0.39 for c = 0.40), values recalled.
pub fn largest_tip_radius(pressure_angle: Angle, dedendum: f64, clearance: f64) -> f64 {
    let below_the_flank = clearance / (1.0 - pressure_angle.sin());
    let full_round =
        (FRAC_PI_4 - dedendum * pressure_angle.tan()) * pressure_angle.cos() / (1.0 - pressure_angle.sin());
    below_the_flank.min(full_round).max(0.0)
}

pub fn racks() -> &'static [Rack] {
    static RACKS: LazyLock<Vec<Rack>> = LazyLock::new(|| read().expect(table::WELL_FORMED));
    &RACKS
}

/// The rack with this id.
pub fn rack(id: &str) -> Option<&'static Rack> {
    racks().iter().find(|rack| rack.id == id)
}

#[derive(Deserialize)]
struct File {
    sources: BTreeMap<String, String>,
    rack: Vec<Entry>,
}

#[derive(Deserialize)]
struct Entry {
    id: String,
    name: String,
    pressure_angle_deg: f64,
    addendum: f64,
    dedendum: f64,
    #[serde(default)]
    dedendum_plus_in: f64,
    tip_radius: f64,
    pitch_from: Option<f64>,
    pitch_to: Option<f64>,
    radius_confidence: Confidence,
    usual: Usual,
    #[serde(flatten)]
    cited: Cited,
}

#[derive(Deserialize)]
struct Usual {
    inch: f64,
    metric: f64,
}

fn read() -> Result<Vec<Rack>, Malformed> {
    let file: File = table::toml_file(&FILE)?;
    let sources = Sources::from_toml(file.sources);
    let module = |pitch| PitchSystem::DiametralPitch.module(pitch);
    let rack = |entry: Entry| {
        Ok(Rack {
            source: sources.cite(&entry.cited)?,
            id: entry.id,
            name: entry.name,
            pressure_angle: Angle::from_degrees(entry.pressure_angle_deg),
            addendum: entry.addendum,
            dedendum: entry.dedendum,
            dedendum_plus: Length::from_inches(entry.dedendum_plus_in),
            tip_radius: entry.tip_radius,
            // a larger pitch number is a smaller tooth
            module_from: entry.pitch_to.map(module),
            module_to: entry.pitch_from.map(module),
            tip_radius_confidence: entry.radius_confidence,
            usual_inch: entry.usual.inch,
            usual_metric: entry.usual.metric,
        })
    };
    file.rack.into_iter().map(rack).collect()
}
