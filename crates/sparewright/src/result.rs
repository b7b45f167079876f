//! The machine-readable result. Lengths in mm, angles in degrees; names are a contract: added to, never renamed.

use making::Plan;
use making::time::Split;
use part::Dimension;
use serde_json::{Map, Value, json};

use crate::solve::{Found, Outcome, Solved, SolvedFeature};
use crate::{checked, designed};

/// `plan` is none where nothing could be planned.
pub fn result(solved: &Solved<'_>, plan: Option<&Plan>) -> Value {
    let checked = checked::checked(solved);
    json!({
        "title": solved.job.title,
        "features": solved.features.iter().map(feature).collect::<Vec<_>>(),
        "mates": solved.mates().map(|(of, mate)| {
            let mut out = fields(feature(mate));
            out.insert("of".into(), json!(of));
            Value::Object(out)
        }).collect::<Vec<_>>(),
        "design": designed::result(&solved.designed),
        "minutes": plan.map(minutes),
        "price": plan.map(price),
        "checking": checked::result::checking(&checked),
        "tooth_accuracy": plan.map(|plan| checked::accuracy::result(&checked::accuracy::accuracy(solved, plan))),
        "pieces": checked::result::pieces(&checked),
    })
}

/// Time in minutes, for the lot that is ordered.
fn minutes(plan: &Plan) -> Value {
    let split = |split: Split| {
        fields(json!({
            "set_up": split.set_up,
            "cutting": split.cutting,
            "handling": split.handling,
            "checking": split.checking,
            "total": split.total(),
        }))
    };
    let ordered = plan.price.ordered;
    let operations: Vec<Value> = plan
        .times
        .operations
        .iter()
        .map(|time| {
            let mut out = fields(json!({"number": time.number, "title": time.title}));
            out.extend(split(time.of(ordered)));
            Value::Object(out)
        })
        .collect();
    let mut out = fields(json!({
        "ordered": ordered,
        "before": plan.times.before,
        "operations": operations,
        "first_piece": plan.price.first_piece,
        "each_further": plan.price.each_further,
        "unknown": plan.times.unknown,
    }));
    out.extend(split(plan.price.minutes));
    Value::Object(out)
}

/// Money in the shop's currency; null where something that belongs to it is not known, which is then said.
fn price(plan: &Plan) -> Value {
    let price = &plan.price;
    json!({
        "currency": price.currency,
        "cost": price.cost,
        "asked": price.asked,
        "together": price.together,
        "elsewhere": price.elsewhere,
        "unknown": price.unknown,
        "not_counted": price.not_counted,
    })
}

fn feature(feature: &SolvedFeature<'_>) -> Value {
    let mut out = Map::new();
    out.insert("name".into(), json!(feature.of.name));
    out.insert("kind".into(), json!(feature.of.kind.name()));
    match &*feature.outcome {
        Outcome::Found(found) => out.extend(found_fields(feature, found)),
        Outcome::Given(design) => {
            out.insert("given".into(), Value::Object(design.record()));
            out.extend(nothing_found());
        }
        Outcome::Nothing(why) => {
            out.insert("why_nothing".into(), json!(why));
            out.extend(nothing_found());
        }
    }
    Value::Object(out)
}

fn nothing_found() -> Map<String, Value> {
    fields(
        json!({"findings": [], "no_standard_probability": null, "known_anyway": {}, "slips": [], "next_reading": null}),
    )
}

fn found_fields(feature: &SolvedFeature<'_>, found: &Found) -> Map<String, Value> {
    let findings: Vec<Value> = found
        .weighed
        .findings
        .iter()
        .zip(found.designs.iter().zip(&found.also))
        .map(|(finding, (design, also))| {
            let mut out = fields(json!({"probability": finding.probability, "standard": finding.standard}));
            out.extend(design.record());
            out.insert("residuals".into(), finding.residuals.iter().map(|residual| {
                let unit = |value: f64| match residual.dimension {
                    Dimension::Length => value,
                    Dimension::Angle => value.to_degrees(),
                };
                json!({
                    "reading": feature.written(residual.reading),
                    "observed": unit(residual.observed),
                    "predicted": unit(residual.predicted),
                    "sigma": unit(residual.sigma),
                    "unit": match residual.dimension { Dimension::Length => "mm", Dimension::Angle => "degree" },
                })
            }).collect());
            let names = also.iter().map(|design| Value::Object(design.record()));
            out.insert("also_named".into(), names.collect());
            let cut_too = design.cut_too();
            let cutters = cut_too.iter().map(|fit| {
                json!({
                    "cutter": fit.label,
                    "flank_error_mm": fit.error.mm(),
                    "profile_shift": fit.profile_shift,
                    "owned": fit.owned,
                })
            });
            out.insert("cut_too".into(), cutters.collect());
            Value::Object(out)
        })
        .collect();
    let known: Map<String, Value> = found
        .weighed
        .known
        .iter()
        .map(|known| (known.name.to_string(), json!({"value": known.value, "sigma": known.sigma})))
        .collect();
    let slips: Vec<Value> = found
        .weighed
        .slips
        .iter()
        .map(|slip| {
            let mut out = fields(json!({
                "reading": feature.written(slip.reading),
                "probability": slip.probability,
                "guess": slip.guess,
            }));
            let (off, agree) = match slip.dimension {
                Dimension::Length => (("off_by_mm", slip.off_by), ("would_agree_mm", slip.would_agree)),
                Dimension::Angle => {
                    (("off_by_deg", slip.off_by.to_degrees()), ("would_agree_deg", slip.would_agree.to_degrees()))
                }
            };
            out.insert(off.0.into(), json!(off.1));
            out.insert(agree.0.into(), json!(agree.1));
            Value::Object(out)
        })
        .collect();
    let next = found.next.first().map(|next| json!({"line": next.line, "gain_bits": next.gain_bits, "why": next.why}));
    fields(json!({
        "findings": findings,
        "no_standard_probability": found.weighed.no_standard,
        "known_anyway": known,
        "slips": slips,
        "next_reading": next,
        "safe_to_cut": found.is_safe(),
    }))
}

fn fields(value: Value) -> Map<String, Value> {
    match value {
        Value::Object(map) => map,
        _ => Map::new(),
    }
}
