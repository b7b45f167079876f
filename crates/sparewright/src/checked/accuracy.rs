//! How truly the teeth are asked to be cut, and how truly the planned way of making can hold them.

use checking::{Accuracy, AccuracyAsked, Held};
use making::Plan;
use making::cutters::CutterPick;
use part::{TeethWork, Work};
use quantity::Length;
use serde_json::{Value, json};
use standards::{Deviation, USUAL_CLASS};

use crate::solve::Solved;

#[derive(Clone, Debug)]
pub struct RimAccuracy {
    pub feature_name: String,
    pub accuracy: Accuracy,
    /// For each deviation, where what is held comes from.
    pub why: [String; 4],
}

/// A worm head in good order: from one space to the next, and over a turn, seconds of arc. Common practice; no head here comes
/// with a certificate.
const HEAD_SINGLE: f64 = 30.0;
const HEAD_TOTAL: f64 = 60.0;
/// How true a bore is set by an indicator before teeth are cut, as the pointer's whole travel; common practice.
const SET_TRUE: Length = Length::from_mm(0.02);
const RADIANS_PER_SECOND: f64 = std::f64::consts::PI / 180.0 / 3600.0;

pub fn accuracy(solved: &Solved<'_>, plan: &Plan) -> Vec<RimAccuracy> {
    let rims = solved.features.iter().flat_map(|feature| {
        let cuts = feature.design().map(|design| design.cuts()).unwrap_or_default();
        cuts.into_iter().filter_map(move |cut| match cut.work {
            Work::Teeth(teeth) => Some((feature.of, teeth)),
            Work::Turn { .. } | Work::Hole(_) | Work::Bush(_) | Work::Keyway(_) | Work::Profile { .. } => None,
        })
    });
    rims.enumerate()
        .map(|(index, (of, teeth))| {
            let class = of.entry.count("accuracy").unwrap_or(USUAL_CLASS);
            let (held, why) = held(&teeth, index, plan);
            let pitch_diameter = teeth.pitch_diameter();
            let asked = AccuracyAsked { class, module: teeth.module, pitch_diameter };
            RimAccuracy { feature_name: of.name.clone(), accuracy: Accuracy::of(asked, &held), why }
        })
        .collect()
}

/// The dividing's own error with the head's, the cutter's form on this count, and how true the blank runs. All are added at
/// their worst, for they need not be independent. A bore out of true by e (half the pointer's travel) puts 2 e/cos α into the
/// total pitch deviation.
fn held(teeth: &TeethWork, index: usize, plan: &Plan) -> (Held, [String; 4]) {
    let radius = teeth.pitch_diameter() / 2.0;
    let at_rim = |seconds: f64| radius * (seconds * RADIANS_PER_SECOND);
    let out_of_true = SET_TRUE / teeth.pressure_angle.cos();
    let sheet = plan.indexing.as_ref().filter(|sheet| sheet.divisions == teeth.teeth);
    let at = sheet.map(|sheet| sheet.error.and_then(|error| error.at_rim));
    let of_dividing = |um: fn(&making::indexing::RimError) -> f64| {
        at.map(|at| at.map_or(Length::ZERO, |at| Length::from_micrometres(um(&at))))
    };
    let (single, total) = (of_dividing(|at| at.single_um), of_dividing(|at| at.cumulated_um));
    let cutter = plan.cutters.get(index).filter(|cutter| cutter.teeth == teeth.teeth);
    let flank = cutter.and_then(|cutter| cutter.flank);
    let dividing = |error: Option<Length>, seconds: f64| match (sheet, error) {
        (Some(sheet), Some(error)) => format!(
            "{} on the {}; {:.0} for {seconds:.0} seconds of arc of the head itself, common practice",
            if error > Length::ZERO {
                format!("{:.0} from dividing", error.micrometres())
            } else {
                "divided exactly".into()
            },
            sheet.head,
            at_rim(seconds).micrometres()
        ),
        _ => "no way to divide is planned".into(),
    };
    let why = [
        dividing(single, HEAD_SINGLE),
        format!("{}; {:.0} for the runout", dividing(total, HEAD_TOTAL), out_of_true.micrometres()),
        match (cutter, flank) {
            (Some(cutter), Some(flank)) => format!(
                "{}, formed for {} teeth: {} at the tip, {} at the root{}",
                cutter.label,
                flank.formed_for,
                signed(flank.tip_um),
                signed(flank.root_um),
                nearer(cutter)
            ),
            _ => "what the cutter does to it is not known".into(),
        },
        format!("the bore set true by an indicator within {:.2} mm, common practice", SET_TRUE.mm()),
    ];
    let held = Held {
        single_pitch: single.map(|single| single + at_rim(HEAD_SINGLE)),
        total_pitch: total.map(|total| total + at_rim(HEAD_TOTAL) + out_of_true),
        profile: flank.map(|flank| Length::from_micrometres(flank.worst_um())),
        runout: Some(SET_TRUE),
    };
    (held, why)
}

/// The cutter that would come nearer, where there is one.
fn nearer(cutter: &CutterPick) -> String {
    let gains = |worst: f64| cutter.flank.is_none_or(|flank| worst < flank.worst_um());
    let other = cutter.others.iter().find(|other| gains(other.flank.worst_um()));
    other.map_or_else(String::new, |other| format!("; {} would make {:.0}", other.label, other.flank.worst_um()))
}

/// "−75", "+3", "0"
fn signed(um: f64) -> String {
    match um.abs() < 0.5 {
        true => "0".to_string(),
        false => format!("{um:+.0}").replace('-', "−"),
    }
}

/// What a deviation is called, and its letter.
pub fn name(what: Deviation) -> (&'static str, &'static str) {
    match what {
        Deviation::SinglePitch => ("from one tooth to the next", "f_pt"),
        Deviation::TotalPitch => ("over all teeth", "F_p"),
        Deviation::Profile => ("of the flank", "F_α"),
        Deviation::Runout => ("runout", "F_r"),
    }
}

/// What it comes to, in a sentence or two.
pub fn says(rim: &RimAccuracy) -> Vec<String> {
    let asked = rim.accuracy.asked.class;
    let mut out = vec![match rim.accuracy.class_held() {
        Some(class) if class <= asked => format!("This way of making holds class {class}; class {asked} is asked."),
        Some(class) => format!("This way of making holds class {class} and not class {asked}, which is asked."),
        None => format!("Class {asked} is asked; whether this way of making holds it cannot be said."),
    }];
    let short: Vec<String> = rim
        .accuracy
        .short()
        .filter_map(|one| {
            Some(format!(
                "{} ({:.0} µm for {:.0})",
                name(one.what).1,
                one.held?.micrometres(),
                one.allowed.micrometres()
            ))
        })
        .collect();
    if !short.is_empty() {
        out.push(format!("Short of it: {}.", short.join(", ")));
    }
    out
}

pub fn result(rims: &[RimAccuracy]) -> Value {
    let um = |length: Length| length.micrometres();
    let deviation = |(one, why): (&checking::Deviates, &String)| {
        json!({
            "deviation": name(one.what).1,
            "allowed_um": um(one.allowed),
            "held_um": one.held.map(um),
            "class_held": one.class,
            "why": why,
        })
    };
    let rim = |rim: &RimAccuracy| {
        json!({
            "feature": rim.feature_name,
            "standard": "ISO 1328-1:1995, runout ISO 1328-2:1997 (from memory)",
            "class_asked": rim.accuracy.asked.class,
            "class_held": rim.accuracy.class_held(),
            "deviations": rim.accuracy.deviations.iter().zip(&rim.why).map(deviation).collect::<Vec<_>>(),
        })
    };
    rims.iter().map(rim).collect()
}
