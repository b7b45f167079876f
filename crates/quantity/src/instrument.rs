//! What a reading was taken with, and how far such readings stray.

use std::fmt;

use crate::size::{DrillSeries, Unit};
use crate::{Angle, Length};

/// An instrument on the bench, with the standard uncertainty (k = 1) of one careful reading taken with it.
#[derive(Clone, Debug, PartialEq)]
pub struct Instrument {
    pub name: String,
    /// What else it is called; a reading is kept under the name.
    pub aliases: Vec<String>,
    pub uncertainty: Option<Length>,
    pub angle_uncertainty: Option<Angle>,
    /// What it is meant for, as its owner says; the built-in ones are known by name.
    pub measures: Vec<Measures>,
}

/// What a shop's own instrument is meant for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Measures {
    /// Diameters and spans, between flat faces.
    Outside,
    /// The inside of holes.
    Holes,
    Depth,
    /// Longer, freer sizes.
    Lengths,
    Runout,
}

impl Measures {
    pub const ALL: [(&str, Measures); 5] = [
        ("outside", Measures::Outside),
        ("holes", Measures::Holes),
        ("depth", Measures::Depth),
        ("lengths", Measures::Lengths),
        ("runout", Measures::Runout),
    ];
}

/// The bench a line is read at: the unit of bare numbers, the drills that have names, the instruments.
#[derive(Clone, Copy)]
pub struct Bench<'a> {
    pub unit: Unit,
    /// The label and diameter of a drill called by name.
    pub drills: fn(DrillSeries, &str) -> Option<(String, Length)>,
    pub instruments: &'a [Instrument],
    /// The tolerance of the plain gauges a bracket is felt with: each may be off by this much.
    pub gauge_tolerance: Length,
}

impl Bench<'_> {
    pub fn drill(&self, series: DrillSeries, name: &str) -> Option<(String, Length)> {
        (self.drills)(series, name)
    }

    pub fn instrument(&self, name: &str) -> Option<&Instrument> {
        self.instruments.iter().find(|instrument| instrument.names().any(|known| known.eq_ignore_ascii_case(name)))
    }
}

impl Instrument {
    /// Its name and its aliases.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        std::iter::once(self.name.as_str()).chain(self.aliases.iter().map(String::as_str))
    }
}

impl fmt::Debug for Bench<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Bench")
            .field("unit", &self.unit)
            .field("instruments", &self.instruments)
            .finish_non_exhaustive()
    }
}
