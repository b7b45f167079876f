//! What is checked, and the pieces with their verdicts, as the JSON has them. Lengths in mm.

use checking::{Decision, Limits, Remedy, Shown, With};
use quantity::Length;
use serde_json::{Value, json};

use super::{Checked, CheckedPiece, Dimension, RULE, SizeVerdict};

pub fn checking(checked: &Checked<'_>) -> Value {
    json!({
        "rule": RULE.source,
        "guard_in_standard_uncertainties": RULE.guard,
        "dimensions": checked.dimensions.iter().map(dimension).collect::<Vec<_>>(),
    })
}

pub fn pieces(checked: &Checked<'_>) -> Value {
    checked.pieces.iter().filter(|piece| piece.of.is_some()).map(piece).collect()
}

fn dimension(dimension: &Dimension) -> Value {
    let (with, gauges) = match &dimension.pick.with {
        With::Read(way) => (Some(way.instrument.as_str()), Value::Null),
        With::Tries(gauges) => (
            Some("pin gauge"),
            json!({"go_mm": gauges.go.mm(), "not_go_mm": gauges.not_go.mm(), "tolerance_mm": gauges.tolerance.mm()}),
        ),
        With::Fit | With::Nothing => (None, Value::Null),
    };
    let one = &dimension.characteristic;
    json!({
        "feature": dimension.feature.map(|_| &dimension.feature_name),
        "dimension": one.name,
        "nominal_mm": one.nominal.mm(),
        "lower_mm": mm(one.lower),
        "upper_mm": mm(one.upper),
        "instrument": with,
        "gauges": gauges,
        "readings": dimension.pick.readings,
        "expanded_uncertainty_mm": mm(dimension.pick.expanded()),
        "uncertainty_to_tolerance": dimension.pick.expanded().zip(Limits::of(one).width()).map(|(u, width)| u / width),
        "accept_from_mm": mm(dimension.pick.zone.and_then(|zone| zone.lower)),
        "accept_to_mm": mm(dimension.pick.zone.and_then(|zone| zone.upper)),
        "can_be_proved": dimension.pick.proves(),
        "asked": dimension.asked,
        "source": one.source,
    })
}

fn piece(piece: &CheckedPiece<'_>) -> Value {
    let of = piece.of;
    json!({
        "number": piece.number,
        "made": of.and_then(|of| of.made).map(|day| day.to_string()),
        "verdict": piece.standing.key(),
        "sizes": piece.sizes.iter().map(size).collect::<Vec<_>>(),
        "not_measured": piece.unread,
        "without_limits": piece.kept,
        "match_made_open": piece.open_names(),
        "went": of.and_then(|of| of.went).map(|went| went.word()),
        "to": of.and_then(|of| of.to.as_ref()),
        "remark": of.and_then(|of| of.remark.as_ref()),
        "warnings": piece.warnings,
    })
}

/// One size, also for an answer about a single reading.
pub fn size(size: &SizeVerdict) -> Value {
    let (low, high) = match size.shown {
        Shown::Reading { .. } | Shown::Uneven { .. } => (None, None),
        Shown::Between { low, high, .. } => (Some(low.mm()), Some(high.mm())),
    };
    let (smallest, largest) = match size.shown {
        Shown::Uneven { low, high, .. } => (Some(low.mm()), Some(high.mm())),
        Shown::Reading { .. } | Shown::Between { .. } => (None, None),
    };
    json!({
        "feature": size.feature.map(|_| &size.feature_name),
        "dimension": size.characteristic.name,
        "readings": size.lines,
        "value_mm": size.shown.value().mm(),
        "uneven_from_mm": smallest,
        "uneven_to_mm": largest,
        "goes_mm": low,
        "not_mm": high,
        "standard_uncertainty_mm": size.shown.sigma().mm(),
        "lower_mm": mm(size.characteristic.lower),
        "upper_mm": mm(size.characteristic.upper),
        "accept_from_mm": mm(size.zone.and_then(|zone| zone.lower)),
        "accept_to_mm": mm(size.zone.and_then(|zone| zone.upper)),
        "verdict": key(size.judged.decision),
        "probability_inside": size.judged.chances.within,
        "probability_below": size.judged.chances.below,
        "probability_above": size.judged.chances.above,
        "metal_left": size.metal_left(),
        "would_settle": size.remedies.iter().map(|remedy| match remedy {
            Remedy::Readings { in_all, then } => json!({"readings": in_all, "instrument": size.instrument, "then": key(*then)}),
            Remedy::Instrument { name, readings, then } => json!({"readings": readings, "instrument": name, "then": key(*then)}),
        }).collect::<Vec<_>>(),
    })
}

fn key(decision: Decision) -> &'static str {
    match decision {
        Decision::Accept => "accept",
        Decision::Doubtful => "doubtful",
        Decision::Reject => "reject",
    }
}

fn mm(length: Option<Length>) -> Option<f64> {
    length.map(Length::mm)
}
