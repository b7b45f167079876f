//! The instruments that are owned, and what a reading with each is worth at the size that is measured.

use part::Gauging;
use quantity::{Instrument, Length, Measures};
use standards::{GaugeClass, USUAL_LENGTH, gauge_tolerance};

use crate::pick::Task;

/// What a shop has to measure with.
#[derive(Clone, Copy, Debug)]
pub struct Kit<'a> {
    pub instruments: &'a [Instrument],
    /// Plain pins, by diameter.
    pub pins: &'a [Length],
}

/// The standard uncertainty of a reading, and the part of it that stays however often the reading is taken.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Worth {
    pub once: Length,
    /// Not more than `once`.
    pub steady: Length,
}

/// A way to take a size.
#[derive(Clone, Debug, PartialEq)]
pub struct Way {
    pub instrument: String,
    pub worth: Worth,
}

/// The gauge for a hole too wide for the pins, set in it and measured over.
pub(crate) const HOLE_GAUGE: &str = "telescopic gauge";
const MICROMETER: &str = "micrometer";
const CALIPER: &str = "caliper";

impl Worth {
    /// Of the mean of so many readings: u² = u_s² + (u² − u_s²)/n (JCGM 100:2008, 4.2.3, for what averages).
    pub fn of_mean(&self, readings: u32) -> Length {
        let (once, steady) = (self.once.mm(), self.steady.mm());
        let averages = (once * once - steady * steady).max(0.0);
        Length::from_mm((steady * steady + averages / f64::from(readings.max(1))).sqrt())
    }

    /// With a further cause that does not average.
    #[must_use]
    pub fn and(self, steady: Length) -> Worth {
        let add = |a: Length| Length::from_mm(a.mm().hypot(steady.mm()));
        Worth { once: add(self.once), steady: add(self.steady) }
    }
}

impl Kit<'_> {
    /// What one reading of this length is worth; none where the instrument is not owned or measures no length.
    ///
    /// The shop's own figure holds up to the usual length; what warmth and long instruments add beyond it is taken from the
    /// table. The part that repeats do not lessen is the table's too; of an instrument it does not know, all.
    pub fn worth(&self, name: &str, length: Length) -> Option<Worth> {
        let owned =
            self.instruments.iter().find(|owned| owned.names().any(|known| known.eq_ignore_ascii_case(name)))?;
        let own = owned.uncertainty?;
        let Some(table) = standards::instrument(&owned.name) else {
            return Some(Worth { once: own, steady: own });
        };
        let steady = own * table.steady_share(USUAL_LENGTH).unwrap_or(1.0);
        Some(Worth { once: own, steady }.and(growth(table, length)))
    }

    /// The ways to take such a size with what is owned, first the one that is meant.
    pub fn ways(&self, task: &Task<'_>) -> Vec<Way> {
        let (names, own): (&[&str], _) = match task.gauging {
            Gauging::Caliper => (&[CALIPER], Some(Measures::Lengths)),
            Gauging::Micrometer | Gauging::OverPins { .. } => (&[MICROMETER, CALIPER], Some(Measures::Outside)),
            Gauging::DepthMicrometer => (&["depth micrometer", CALIPER], Some(Measures::Depth)),
            Gauging::PlainGauges => (&[HOLE_GAUGE, CALIPER], Some(Measures::Holes)),
            Gauging::Rule => (&["rule", CALIPER], Some(Measures::Lengths)),
            Gauging::Indicator => (&["indicator"], Some(Measures::Runout)),
            Gauging::Template | Gauging::Mate => (&[], None),
        };
        let pin = if let Gauging::OverPins { pin } = task.gauging { Some(*pin) } else { None };
        // what its owner bought for just this comes first
        let own = self.instruments.iter().filter(|owned| own.is_some_and(|own| owned.measures.contains(&own)));
        let own = own.map(|owned| owned.name.as_str()).filter(|name| !names.contains(name));
        let way = |name: &str| {
            let worth = self.worth(name, task.nominal)?.and(rounding(task.last_place));
            let worth = pin.map_or(worth, |pin| worth.and(pin_error(pin) * task.pin_influence));
            Some(Way { instrument: name.to_string(), worth })
        };
        own.chain(names.iter().copied()).filter_map(way).collect()
    }
}

/// Standard uncertainty from writing down no more than this place (JCGM 100:2008, F.2.2.1).
fn rounding(last_place: Length) -> Length {
    last_place / 12f64.sqrt()
}

/// What the table adds for a length beyond the usual one, squares subtracted.
pub(crate) fn growth(table: &standards::Instrument, length: Length) -> Length {
    let at = |length| table.length_uncertainty(length).unwrap_or(Length::ZERO).mm();
    let (here, usual) = (at(length.max(USUAL_LENGTH)), at(USUAL_LENGTH));
    Length::from_mm((here * here - usual * usual).max(0.0).sqrt())
}

/// Standard uncertainty of a pin that nobody has measured: class ZZ, anywhere within its tolerance to either side.
pub(crate) fn pin_error(pin: Length) -> Length {
    pin_tolerance(pin) / 3f64.sqrt()
}

/// Sets of pins as a small shop buys them: class ZZ of ASME B89.1.5, whether plus or minus is not known.
pub(crate) fn pin_tolerance(pin: Length) -> Length {
    gauge_tolerance(GaugeClass::ZZ, pin).unwrap_or(SMALLEST_CLASSED)
}

/// A wire thinner than the table's first line is made as truly as its first line (common practice).
const SMALLEST_CLASSED: Length = Length::from_inches(0.0002);
