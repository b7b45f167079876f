//! What a size is measured with, and the sentence that says so: one wording for one thing, wherever it is checked.

use quantity::{Length, Measures};
use standards::fits::Limits;

use super::Planner;
use crate::plan::Check;
use crate::safety::capital;
use crate::tools::{ToolKind, ToolPick};

/// Tighter than this, a caliper is not trusted; common practice (its error limits are 0.02 to 0.03 mm).
const CALIPER_TOLERANCE: Length = Length::from_mm(0.1);
/// Of the tolerance, how far outside it a pin may be that stands for a limit: more, and it passes what should not pass.
/// Common practice is a tenth for made gauges; pins come by thousandths of an inch.
const PIN_OUTSIDE: f64 = 0.5;
/// A pin is as large as its mark within this; it only bridges inch and metric names.
const SAME_PIN: Length = Length::from_mm(0.0005);
/// Below this a telescopic gauge does not go in; common practice (the smallest of a set closes to 8 mm).
const SMALL_HOLE: Length = Length::from_mm(10.0);

/// Both guard bands together, in standard uncertainties, as the checking sheet has them (ISO 14253-1).
const GUARD_BANDS: f64 = 2.0 * 1.65;

#[derive(Clone, Copy)]
pub(super) enum Side {
    Inside,
    Outside,
    Depth,
    /// Between two flat walls.
    Slot,
}

impl Planner<'_> {
    pub(super) fn instrument(&mut self, name: &str, wanted_for: &str) -> ToolPick {
        let known = |instrument: &quantity::Instrument| {
            instrument.name.eq_ignore_ascii_case(name)
                || instrument.aliases.iter().any(|alias| alias.eq_ignore_ascii_case(name))
        };
        let pick = match self.shop.instruments.iter().find(|instrument| known(instrument)) {
            Some(instrument) => ToolPick::owned(ToolKind::Instrument, instrument.name.clone()),
            None => ToolPick::missing(ToolKind::Instrument, name),
        };
        self.lack(&pick, wanted_for, vec![format!("Borrow a {name}: without it this size cannot be vouched for.")]);
        pick
    }

    /// A dimension with limits, and what it is measured with.
    pub(super) fn check(
        &mut self,
        feature: &str,
        what: &str,
        nominal: Length,
        limits: Limits,
        side: Side,
        wanted_for: &str,
    ) -> Check {
        let (lower, upper) = limits.sizes(nominal);
        let instrument = self.gauge(side, lower, upper, wanted_for);
        let sentence = measured(what, &self.between(lower, upper), &instrument, "");
        Check {
            feature: feature.to_string(),
            what: what.to_string(),
            nominal: Some(nominal),
            lower: Some(lower),
            upper: Some(upper),
            instrument,
            sentence,
        }
    }

    pub(super) fn gauge(&mut self, side: Side, lower: Length, upper: Length, wanted_for: &str) -> ToolPick {
        let fine = upper - lower < CALIPER_TOLERANCE;
        let own = |measures| self.bought_for(measures, upper - lower);
        match side {
            Side::Inside => match self.go_and_not_go(lower, upper).or_else(|| own(Measures::Holes)) {
                Some(pick) => pick,
                None if fine => self.instrument("micrometer", wanted_for).noted(match upper < SMALL_HOLE {
                    true => "Over a small-hole gauge set in the hole.",
                    false => "Over a telescopic gauge set in the hole.",
                }),
                None => self.instrument("caliper", wanted_for).noted("Inside jaws; a small hole shows a little under."),
            },
            Side::Slot => self.instrument("micrometer", wanted_for).noted("On the key, or on a slip that just enters."),
            Side::Outside if fine => {
                own(Measures::Outside).unwrap_or_else(|| self.instrument("micrometer", wanted_for))
            }
            Side::Outside => self.instrument("caliper", wanted_for),
            Side::Depth if fine => {
                own(Measures::Depth).unwrap_or_else(|| self.instrument("depth micrometer", wanted_for))
            }
            Side::Depth => self.instrument("caliper", wanted_for).noted("Depth rod, or the machine's own dial."),
        }
    }

    /// An instrument that the shop bought for such sizes, if readings with it leave half of the tolerance between their guard bands.
    fn bought_for(&self, measures: Measures, tolerance: Length) -> Option<ToolPick> {
        let fine = |uncertainty: Length| uncertainty * GUARD_BANDS <= tolerance / 2.0;
        let own =
            self.shop.instruments.iter().find(|instrument| {
                instrument.measures.contains(&measures) && instrument.uncertainty.is_some_and(fine)
            })?;
        Some(ToolPick::owned(ToolKind::Instrument, own.name.clone()))
    }

    /// Two owned pins that bracket a hole, neither inside its limits: whatever lies between the limits lets the one in and
    /// keeps the other out.
    fn go_and_not_go(&self, lower: Length, upper: Length) -> Option<ToolPick> {
        let outside = (upper - lower) * PIN_OUTSIDE;
        let pins = &self.shop.drawers.pins;
        let go = pins
            .iter()
            .copied()
            .filter(|pin| *pin <= lower + SAME_PIN && *pin >= lower - outside)
            .max_by(|a, b| a.mm().total_cmp(&b.mm()))?;
        let not_go = pins
            .iter()
            .copied()
            .filter(|pin| *pin >= upper - SAME_PIN && *pin <= upper + outside)
            .min_by(|a, b| a.mm().total_cmp(&b.mm()))?;
        Some(ToolPick::owned(ToolKind::Pin, format!("pins: {} goes, {} does not", self.fine(go), self.fine(not_go))))
    }
}

/// "Bore diameter: 0.8750 to 0.8758 in, by micrometer. Over a telescopic gauge set in the hole. At both ends."
pub(super) fn measured(what: &str, size: &str, instrument: &ToolPick, how: &str) -> String {
    let note = instrument.note.as_deref().unwrap_or_default();
    [&format!("{}: {size}, by {}.", capital(what), instrument.label), note, how]
        .into_iter()
        .filter(|part| !part.is_empty())
        .collect::<Vec<_>>()
        .join(" ")
}
