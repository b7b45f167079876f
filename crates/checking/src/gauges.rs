//! Go and not-go gauges for a hole, their own tolerance counted.

use quantity::Length;
use standards::{GaugeClass, gauge_tolerance};

use crate::kit::pin_tolerance;
use crate::rule::Limits;

/// Two owned pins that prove a hole: where the one goes in and the other does not, it is inside its limits, whichever way
/// the pins are off.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GoNotGo {
    pub go: Length,
    pub not_go: Length,
    /// What each may be off.
    pub tolerance: Length,
}

/// The widest such pair; none where the pins' steps or their tolerance leave none. Source: the tolerance from ASME B89.1.5,
/// class ZZ; that a gauge's whole error must fall inside the limits is ISO 14253-1 with a bounded error.
pub fn go_not_go(limits: &Limits, pins: &[Length]) -> Option<GoNotGo> {
    let (lower, upper) = (limits.lower?, limits.upper?);
    let go = pins.iter().copied().filter(|pin| *pin - pin_tolerance(*pin) >= lower - SAME);
    let go = go.min_by(|a, b| a.mm().total_cmp(&b.mm()))?;
    let not_go = pins.iter().copied().filter(|pin| *pin + pin_tolerance(*pin) <= upper + SAME);
    let not_go = not_go.max_by(|a, b| a.mm().total_cmp(&b.mm()))?;
    (go < not_go).then(|| GoNotGo { go, not_go, tolerance: pin_tolerance(not_go) })
}

/// Bridges only the last figure of inch and metric names.
const SAME: Length = Length::from_mm(1e-6);

/// A pair of plug gauges to be bought for a hole: the go one at the lower limit and made plus, the other at the upper and
/// made minus, so that both errors fall inside the limits.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plugs {
    pub go: Length,
    pub not_go: Length,
    pub class: GaugeClass,
    pub tolerance: Length,
}

/// The coarsest class whose two gauges take no more than a tenth of the hole's tolerance (the ten per cent rule, common
/// practice); none where even the finest takes more, or beyond the table.
pub fn plugs(limits: &Limits) -> Option<Plugs> {
    let (go, not_go) = (limits.lower?, limits.upper?);
    let classes = [GaugeClass::ZZ, GaugeClass::Z, GaugeClass::Y, GaugeClass::X, GaugeClass::XX, GaugeClass::XXX];
    classes.into_iter().find_map(|class| {
        let tolerance = gauge_tolerance(class, not_go)?;
        (tolerance * 2.0 <= (not_go - go) * TENTH).then_some(Plugs { go, not_go, class, tolerance })
    })
}

const TENTH: f64 = 0.1;
