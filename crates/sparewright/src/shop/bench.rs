//! The bench that lines are read at: drills by name, instruments with their uncertainty.

use quantity::{Bench, DrillSeries, Instrument, Length, Unit};
use standards::{GaugeClass, USUAL_LENGTH, gauge_tolerance};

/// The bench of a shop with these instruments; a bare number on it is in this unit.
pub fn bench(unit: Unit, instruments: &[Instrument]) -> Bench<'_> {
    Bench { unit, drills: drill, instruments, gauge_tolerance: pin_tolerance() }
}

/// The instruments of the built-in table, each with the uncertainty of a reading of the usual length.
pub fn built_in_instruments() -> Vec<Instrument> {
    let instrument = |known: &standards::Instrument| Instrument {
        name: known.name.clone(),
        aliases: known.aliases.clone(),
        uncertainty: known.length_uncertainty(USUAL_LENGTH),
        angle_uncertainty: known.angle_uncertainty(),
    };
    standards::instruments().iter().map(instrument).collect()
}

fn drill(series: DrillSeries, name: &str) -> Option<(String, Length)> {
    let series = match series {
        DrillSeries::Number => standards::DrillSeries::Number,
        DrillSeries::Letter => standards::DrillSeries::Letter,
    };
    standards::drill_in(series, name).map(|drill| (drill.label(), drill.diameter))
}

/// Brackets are mostly felt with a cheap set of pins: class ZZ, ASME B89.1.5, in the range where such sets lie.
fn pin_tolerance() -> Length {
    const USUAL_PIN: Length = Length::from_inches(0.5);
    gauge_tolerance(GaugeClass::ZZ, USUAL_PIN).unwrap_or(Length::ZERO)
}
