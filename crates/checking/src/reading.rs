//! Readings of a new part: what each shows, and what several of one size show together.

use part::Gauging;
use quantity::{Bench, Length, Line, Value, presumed_instrument};

use crate::kit::{HOLE_GAUGE, Kit, Worth, growth, pin_error, pin_tolerance};
use crate::pick::Task;

/// What is known of a size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Shown {
    Reading {
        value: Length,
        sigma: Length,
    },
    /// Readings at several places that differ by more than the instrument does: the part is not the same all over, out of round
    /// or tapered, and its smallest and largest place must both pass.
    Uneven {
        low: Length,
        high: Length,
        sigma: Length,
    },
    /// Between two plain gauges, each off by up to `gauge`.
    Between {
        low: Length,
        high: Length,
        gauge: Length,
    },
}

/// One reading as taken.
#[derive(Clone, Debug, PartialEq)]
pub enum Taken {
    Read { value: Length, instrument: String, worth: Worth },
    Tried { low: Length, high: Length, gauge: Length },
}

/// What a line of the notebook gives for this task; none for an angle or a note.
///
/// The uncertainty is that of [`Value::length`], grown for long sizes, and by the pins where the size is taken over pins. A
/// micrometer does not go into a hole: such a reading is taken over a gauge set in it, and worth no more than that.
pub fn taken(line: &Line, task: &Task<'_>, bench: &Bench<'_>, kit: &Kit<'_>) -> Option<Taken> {
    let value = line.value()?;
    let size = match value {
        Value::Between { goes, not } => {
            let (low, high) = (goes.length.min(not.length), goes.length.max(not.length));
            return Some(Taken::Tried { low, high, gauge: pin_tolerance(high) });
        }
        Value::Turned { .. } => return None,
        Value::Plain { size, .. } => size,
    };
    let named = line.instrument.as_deref().unwrap_or_else(|| presumed_instrument(size));
    let inside = matches!(task.gauging, Gauging::PlainGauges);
    let instrument = match inside && named == "micrometer" && bench.instrument(HOLE_GAUGE).is_some() {
        true => HOLE_GAUGE,
        false => named,
    };
    let read = value.length(bench, Some(instrument))?;
    let stated = matches!(value, Value::Plain { half_width: Some(_), .. });
    let worth = match (kit.worth(instrument, Length::ZERO), standards::instrument(instrument)) {
        // what the machinist states is all that is known
        _ if stated => Worth { once: read.sigma, steady: read.sigma },
        (Some(own), table) => {
            let rounding = (read.sigma.mm().powi(2) - own.once.mm().powi(2)).max(0.0).sqrt();
            let grown = table.map_or(Length::ZERO, |table| growth(table, task.nominal));
            own.and(Length::from_mm(rounding)).and(grown)
        }
        (None, _) => Worth { once: read.sigma, steady: read.sigma },
    };
    let worth = match task.gauging {
        Gauging::OverPins { pin } if !stated => worth.and(pin_error(*pin) * task.pin_influence),
        _ => worth,
    };
    Some(Taken::Read { value: read.value, instrument: instrument.to_string(), worth })
}

/// What all readings of one size show together: the mean of those taken with the finest instrument, which overrules the
/// coarser ones, or both ends of them where they are too far apart for one size; gauges that were tried count where nothing was
/// read, or where they leave less open.
pub fn of_all(taken: &[Taken]) -> Option<Shown> {
    let read = finest(taken).and_then(|finest| {
        let same = || taken.iter().filter_map(Taken::read).filter(|(_, name, _)| *name == finest.instrument);
        let values = || same().map(|(value, ..)| value);
        let (low, high) = (values().reduce(Length::min)?, values().reduce(Length::max)?);
        if high - low > finest.worth.once * critical_range(finest.readings) {
            return Some(Shown::Uneven { low, high, sigma: finest.worth.once });
        }
        let mean = values().sum::<Length>() / f64::from(finest.readings);
        Some(Shown::Reading { value: mean, sigma: finest.worth.of_mean(finest.readings) })
    });
    let tried = taken.iter().filter_map(|taken| match taken {
        Taken::Tried { low, high, gauge } => Some((*low, *high, *gauge)),
        Taken::Read { .. } => None,
    });
    // several brackets leave what all of them leave
    let tried = tried.reduce(|a, b| (a.0.max(b.0), a.1.min(b.1), a.2.max(b.2)));
    let tried = tried.map(|(low, high, gauge)| Shown::Between { low, high, gauge });
    [read, tried].into_iter().flatten().min_by(|a, b| a.sigma().mm().total_cmp(&b.sigma().mm()))
}

/// The instrument that counts among those that were read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Finest<'a> {
    pub instrument: &'a str,
    /// What one reading with it is worth.
    pub worth: Worth,
    /// How many were taken with it.
    pub readings: u32,
}

pub fn finest(taken: &[Taken]) -> Option<Finest<'_>> {
    let read = || taken.iter().filter_map(Taken::read);
    let (_, instrument, worth) = read().min_by(|a, b| a.2.once.mm().total_cmp(&b.2.once.mm()))?;
    let readings = u32::try_from(read().filter(|(_, name, _)| *name == instrument).count()).unwrap_or(u32::MAX);
    Some(Finest { instrument, worth, readings })
}

/// How far the largest and the smallest of so many readings of one size may lie apart, in standard deviations, before one in
/// twenty such sets would: factors f(n) of ISO 5725-6:1994, table 1 (from memory). They are laid on the whole uncertainty of a
/// reading, a little more than what repeats alone would show, so that rounding is not taken for an oval bore.
fn critical_range(readings: u32) -> f64 {
    const FACTORS: [f64; 9] = [2.8, 3.3, 3.6, 3.9, 4.0, 4.2, 4.3, 4.4, 4.5];
    let index = (readings.max(2) - 2) as usize;
    FACTORS[index.min(FACTORS.len() - 1)]
}

impl Taken {
    fn read(&self) -> Option<(Length, &str, Worth)> {
        match self {
            Taken::Read { value, instrument, worth } => Some((*value, instrument, *worth)),
            Taken::Tried { .. } => None,
        }
    }
}

impl Shown {
    /// The reading, or the middle of the bracket or of uneven readings.
    pub fn value(&self) -> Length {
        match *self {
            Shown::Reading { value, .. } => value,
            Shown::Between { low, high, .. } | Shown::Uneven { low, high, .. } => (low + high) / 2.0,
        }
    }

    /// Standard uncertainty; of a bracket that of a uniform distribution between gauges of uniform error (JCGM 100:2008,
    /// 4.3.7).
    pub fn sigma(&self) -> Length {
        match *self {
            Shown::Reading { sigma, .. } | Shown::Uneven { sigma, .. } => sigma,
            Shown::Between { low, high, gauge } => {
                Length::from_mm(((high - low).mm() / 12f64.sqrt()).hypot(gauge.mm() / 6f64.sqrt()))
            }
        }
    }
}
