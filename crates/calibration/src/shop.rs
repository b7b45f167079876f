//! The invented shop that the rims are measured in: its instruments, its pins.

use std::sync::LazyLock;

use part::{Circumstances, Heritage};
use quantity::{Bench, Instrument, Length, Unit};
use standards::{TeethSide, gear_pins, gear_sizes};

use crate::world::Rim;

/// The built-in instruments, as a shop that says nothing of its own has them.
pub fn instruments() -> &'static [Instrument] {
    static INSTRUMENTS: LazyLock<Vec<Instrument>> = LazyLock::new(standards::built_in_instruments);
    &INSTRUMENTS
}

pub fn bench(unit: Unit) -> Bench<'static> {
    standards::bench(unit, instruments())
}

/// Pins that the handbooks ask for, for the usual sizes, to the figures they are called by.
pub fn pins() -> &'static [Length] {
    static PINS: LazyLock<Vec<Length>> = LazyLock::new(|| {
        let usual = gear_sizes().iter().filter(|size| size.series == standards::Series::First);
        let mut pins: Vec<Length> = usual
            .flat_map(|size| gear_pins(TeethSide::External).take(2).map(|pin| pin.diameter(size.module())))
            .filter(|pin| (1.0..16.0).contains(&pin.mm()))
            .map(|pin| Length::from_inches((pin.inches() * 1e4).round() / 1e4))
            .collect();
        pins.sort_by(|a, b| a.mm().total_cmp(&b.mm()));
        // a set of pins has gaps
        pins.dedup_by(|a, b| (a.mm() / b.mm() - 1.0).abs() < 0.03);
        pins
    });
    &PINS
}

pub fn circumstances(rim: &Rim, unit: Unit) -> Circumstances {
    Circumstances { heritage: rim.heritage, ..unstated(unit) }
}

/// Of a job that says nothing but its unit.
pub fn unstated(unit: Unit) -> Circumstances {
    Circumstances {
        heritage: Heritage::Unknown,
        unit,
        thickness: None,
        mate: None,
        pins: pins().to_vec(),
        cutters: Vec::new(),
        instruments: instruments().to_vec(),
    }
}
