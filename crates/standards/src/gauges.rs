//! Plain pins and plugs: how true they are, and which are laid into gear teeth.

use std::sync::LazyLock;

use quantity::Length;
use serde::Deserialize;

use crate::table::{self, DataFile, Malformed, Source, data_file};

const CLASSES: DataFile = data_file!("gauges/asme-b89.1.5.csv");
const PINS: DataFile = data_file!("gauges/gear-pins.csv");
pub(crate) const FILES: [DataFile; 2] = [CLASSES, PINS];

/// From the finest to the coarsest.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize)]
pub enum GaugeClass {
    XXX,
    XX,
    X,
    Y,
    Z,
    ZZ,
}

/// The total tolerance of a plain gauge of this class and diameter, all of it to one side; `None` beyond 12.01 in.
pub fn gauge_tolerance(class: GaugeClass, diameter: Length) -> Option<Length> {
    let row = GAUGES.iter().find(|row| row.class == class && diameter > row.over && diameter <= row.to)?;
    Some(row.tolerance)
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum TeethSide {
    External,
    Internal,
}

/// A pin that handbooks lay into gear teeth, sized from the tooth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GearPin {
    /// Pin diameter in inches times diametral pitch; the same number of modules.
    pub constant: f64,
    pub teeth: TeethSide,
    /// 1 is tried first.
    pub rank: u32,
    pub source: Source,
}

impl GearPin {
    pub fn diameter(&self, module: Length) -> Length {
        self.constant * module
    }
}

/// The handbook pins for one side of teeth, the usual first.
pub fn gear_pins(teeth: TeethSide) -> impl Iterator<Item = &'static GearPin> {
    GEAR_PINS.iter().filter(move |pin| pin.teeth == teeth)
}

struct Gauge {
    class: GaugeClass,
    over: Length,
    to: Length,
    tolerance: Length,
}

static GAUGES: LazyLock<Vec<Gauge>> = LazyLock::new(|| {
    let gauge = |row: GaugeRow, _| {
        Ok(Gauge {
            class: row.class,
            over: Length::from_inches(row.over_in),
            to: Length::from_inches(row.to_in),
            tolerance: Length::from_inches(row.tolerance_in),
        })
    };
    table::csv_rows(&[CLASSES], gauge).expect(table::WELL_FORMED)
});

static GEAR_PINS: LazyLock<Vec<GearPin>> = LazyLock::new(|| {
    let mut pins = table::csv_rows(&[PINS], gear_pin).expect(table::WELL_FORMED);
    pins.sort_by_key(|pin| pin.rank);
    pins
});

#[derive(Deserialize)]
struct GaugeRow {
    class: GaugeClass,
    over_in: f64,
    to_in: f64,
    tolerance_in: f64,
}

#[derive(Deserialize)]
struct PinRow {
    constant: f64,
    teeth: TeethSide,
    rank: u32,
}

fn gear_pin(row: PinRow, source: Source) -> Result<GearPin, Malformed> {
    let PinRow { constant, teeth, rank } = row;
    Ok(GearPin { constant, teeth, rank, source })
}
