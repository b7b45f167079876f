//! The bench that lines are read at: drills by name, the built-in instruments.

use quantity::{Bench, Length, Unit};

use crate::drills::{self, drill_in};
use crate::gauges::{GaugeClass, gauge_tolerance};
use crate::instruments::{USUAL_LENGTH, instruments};

/// The bench of a shop with these instruments; a bare number on it is in this unit.
pub fn bench(unit: Unit, instruments: &[quantity::Instrument]) -> Bench<'_> {
    Bench { unit, drills: drill, instruments, gauge_tolerance: pin_tolerance() }
}

/// The instruments of the built-in table, each with the uncertainty of a reading of the usual length.
pub fn built_in_instruments() -> Vec<quantity::Instrument> {
    let instrument = |known: &crate::Instrument| quantity::Instrument {
        name: known.name.clone(),
        aliases: known.aliases.clone(),
        uncertainty: known.length_uncertainty(USUAL_LENGTH),
        angle_uncertainty: known.angle_uncertainty(),
        measures: Vec::new(),
    };
    instruments().iter().map(instrument).collect()
}

fn drill(series: quantity::DrillSeries, name: &str) -> Option<(String, Length)> {
    let series = match series {
        quantity::DrillSeries::Number => drills::DrillSeries::Number,
        quantity::DrillSeries::Letter => drills::DrillSeries::Letter,
    };
    drill_in(series, name).map(|drill| (drill.label(), drill.diameter))
}

/// Brackets are mostly felt with a cheap set of pins: class ZZ, ASME B89.1.5, in the range where such sets lie.
fn pin_tolerance() -> Length {
    const USUAL_PIN: Length = Length::from_inches(0.5);
    gauge_tolerance(GaugeClass::ZZ, USUAL_PIN).unwrap_or(Length::ZERO)
}
