//! Joints in words and figures, for the terminal and the sheets alike.

use design::joint::{Criterion, Grip, Joint, Margin, Reckoned, Span, Strained};
use part::{Extent, MadeTo, Surface};
use quantity::print::{force, stress, stress_sign, torque};
use quantity::{Length, Unit, print};
use standards::fits::Clearance;

/// A line of the comparison: its name, and what it is each way.
#[derive(Clone, Debug, PartialEq)]
pub struct Compared {
    pub name: String,
    pub each: Vec<String>,
}

/// Every way side by side: its sizes, and what its grip does.
pub fn compared(joint: &Joint, unit: Unit) -> Vec<Compared> {
    let each = |of: &dyn Fn(&Reckoned) -> String| joint.ways.iter().map(of).collect();
    let line = |name: &str, each| Compared { name: name.into(), each };
    let mut out = vec![
        line("hole", each(&|way| extent(way.way.hole, unit))),
        line("shaft", each(&|way| extent(way.way.shaft, unit))),
        line("between them", each(&|way| clearance(way.clearance, unit))),
    ];
    out.extend(gripping(joint, unit));
    out
}

/// What a line says of a grip, where it has anything to say.
type OfGrip<'a> = &'a dyn Fn(&Grip) -> Option<String>;

/// What the grip of each way does, line by line; nothing where none grips.
pub fn gripping(joint: &Joint, unit: Unit) -> Vec<Compared> {
    let (hub, shaft) = (&joint.hub, &joint.shaft);
    let bare = |called: &'static str| called.trim_start_matches("the ");
    // what may as well be loose is not there to hold by its grip
    let holds = joint.ways.iter().any(|way| way.clearance.most <= Length::ZERO);
    let lines: [(String, OfGrip<'_>); 10] = [
        ("flattened ridges take".into(), &|grip| Some(print::length(grip.loss, unit, 3))),
        ("pressure between them".into(), &|grip| Some(pressure(grip.pressure, unit))),
        (format!("hoop, {} ({})", bare(hub.called), hub.material.name), &|grip| Some(strained(&grip.hub, unit))),
        (format!("hoop, {} ({})", bare(shaft.called), shaft.material.name), &|grip| Some(strained(&grip.shaft, unit))),
        ("bore closes by".into(), &|grip| Some(range(grip.closes?, unit))),
        ("pushed together cold with".into(), &|grip| Some(format!("up to {}", force(grip.push_n?.most, unit)))),
        ("holds in torque, pressed".into(), &|grip| Some(held(grip.torque_nm.filter(|_| holds)?, unit))),
        ("holds in torque, shrunk".into(), &|grip| Some(held(grip.shrunk_torque_nm.filter(|_| holds)?, unit))),
        (format!("slides, {} heated to", bare(hub.called)), &|grip| Some(temperature(grip.slide.hub_c, unit))),
        (format!("slides, {} cooled to", bare(shaft.called)), &|grip| Some(cooled(grip.slide.shaft_c, unit))),
    ];
    let compared = |(name, of): (String, OfGrip<'_>)| {
        let each: Vec<Option<String>> = joint.ways.iter().map(|way| way.grip.as_ref().and_then(of)).collect();
        let said = each.iter().any(Option::is_some);
        said.then(|| Compared { name, each: each.into_iter().map(|said| said.unwrap_or("–".into())).collect() })
    };
    lines.into_iter().filter_map(compared).collect()
}

/// Which way is taken, and why, as sentences.
pub fn taken(joint: &Joint, unit: Unit) -> String {
    let way = joint.taken().way;
    let Some(read) = way.read() else {
        return if [&joint.hub, &joint.shaft].iter().all(|body| body.is_made()) {
            "Both are made here, each within its limits; a large one paired with a large one comes nearer to the middle."
        } else {
            "The mate was not measured and is supposed within its own limits: measure it, and this part can be made to it."
        }
        .into();
    };
    let read = print::length(read.value, unit, 3);
    match way.to {
        MadeTo::Mate => format!(
            "Made to the mate as it was read, {read}: the fit then comes out as it is meant, whatever the mate has lost."
        ),
        MadeTo::Nominal => format!("Made to the nominal size; the mate, read as {read}, is used as it is."),
    }
}

/// What was supposed where nobody said, as sentences; empty where nothing was.
pub fn supposed(joint: &Joint) -> Vec<String> {
    let mut out = Vec::new();
    if !joint.ways.iter().any(|way| way.grip.is_some()) {
        return out;
    }
    for body in [&joint.hub, &joint.shaft].into_iter().filter(|body| body.material_supposed) {
        out.push(format!("Supposed: {} is {}; mate_material can say otherwise.", body.called, body.material.name));
    }
    if !joint.hub.ends.is_finite() {
        out.push(format!("How far {} reaches outward was not told and is taken as wide; a thin ring is pressed less and strained more. Measure its outside.", joint.hub.called));
    }
    if joint.length.is_none() {
        out.push("Without a length in contact no force is known.".into());
    }
    let rz = [&joint.hub, &joint.shaft].map(|body| format!("{} {}", surface(body.surface), micrometres(body.rz)));
    out.push(format!("Ridges supposed: {}.", rz.join(", ")));
    if let Some(grip) = joint.ways.iter().find_map(|way| way.grip.as_ref()) {
        let (pressed, shrunk) = (grip.friction, grip.shrunk_friction);
        out.push(format!(
            "Friction supposed: pressed oiled {} to {}, shrunk dry {} to {}.",
            pressed.least, pressed.most, shrunk.least, shrunk.most
        ));
    }
    out
}

/// What is to be minded about the way taken, as sentences; those that stop the job first.
pub fn warnings(joint: &Joint, unit: Unit) -> Vec<String> {
    let mut out: Vec<String> = too_coarse(joint, unit).into_iter().collect();
    let Some(grip) = &joint.taken().grip else { return out };
    let sides = [(&grip.hub, &joint.hub), (&grip.shaft, &joint.shaft)];
    out.extend(sides.into_iter().filter_map(|(strained, body)| warning(strained, body.called, unit)));
    let meant_to_grip = joint.taken().clearance.most <= Length::ZERO;
    if meant_to_grip && grip.interference.least <= Length::ZERO {
        out.push("At the loosest nothing of the grip is left once the ridges are flattened: pin it, or set it in retaining compound, where it must not turn.".into());
    }
    out
}

/// A mate that was read less finely than the fit is made: the reading, and not the fit, then says how the two sit.
fn too_coarse(joint: &Joint, unit: Unit) -> Option<String> {
    let way = joint.taken().way;
    let (hole, shaft) = (way.hole, way.shaft);
    let around = hole.reading().or(shaft.reading())?;
    let made = if hole.reading().is_some() { shaft } else { hole };
    let (smallest, largest) = made.ends();
    (around * 2.0 > largest - smallest).then(|| {
        format!(
            "The mate was read to ± {}, coarser than the fit is made: measure it more finely before making anything to it.",
            print::length(around, unit, 3)
        )
    })
}

/// By how much to ream, as a sentence; none where no bore closes.
pub fn to_ream(joint: &Joint, unit: Unit) -> Option<String> {
    let closes = joint.taken().grip.as_ref()?.closes?;
    (closes.most > Length::ZERO).then(|| {
        format!(
            "Pressed in, the bore of {} closes by {}: finish it afterwards. Bored to size beforehand it would be that much too small.",
            joint.shaft.called,
            range(closes, unit)
        )
    })
}

/// What a person has to be told before pushing, heating or cooling.
pub const CAUTIONS: [&str; 4] = [
    "Press behind a guard, glasses on, nobody in line with the work: a part that cocks can fly, and iron in tension bursts without warning. Stop where the push rises beyond the figure above.",
    "Heat slowly and evenly, never a closed or greased hollow part, nor paint, plating or magnesium; hot parts look cold, and hardened steel loses its temper. No flame near oil.",
    "Dry ice and liquid gas burn skin and take the air of a small room: gloves, face shield, open doors, never a closed vessel.",
    "Local rules and licensed practice come first; a joint whose slipping could injure is for a licensed engineer to approve.",
];

/// "clearance 0.0008 to 0.0025 in", "from 0.0003 interference to 0.0004 in clearance"
pub fn clearance(clearance: Clearance, unit: Unit) -> String {
    let size = |length: Length| print::figures(length, unit, 3);
    let (least, most, sign) = (clearance.least, clearance.most, unit.sign());
    if most <= Length::ZERO {
        format!("{} to {} {sign} interference", size(-most), size(-least))
    } else if least >= Length::ZERO {
        format!("{} to {} {sign} clearance", size(least), size(most))
    } else {
        format!("{} {sign} interference to {} {sign} clearance", size(-least), size(most))
    }
}

fn extent(extent: Extent, unit: Unit) -> String {
    let size = |length: Length| print::figures(length, unit, 3);
    match extent {
        Extent::Within { smallest, largest } => format!("{} to {} {}", size(smallest), size(largest), unit.sign()),
        Extent::Read(read) => {
            let around = extent.reading().unwrap_or(Length::ZERO);
            format!("{} ± {} {}, read", size(read.value), size(around), unit.sign())
        }
    }
}

fn range(span: Span<Length>, unit: Unit) -> String {
    // less than can be printed is nothing in any shop
    if print::figures(span.most, unit, 3).chars().all(|c| matches!(c, '0' | '.')) {
        return "nothing that counts".into();
    }
    format!("{} to {} {}", print::figures(span.least, unit, 3), print::figures(span.most, unit, 3), unit.sign())
}

fn cooled(celsius: f64, unit: Unit) -> String {
    if celsius < COLDEST_C { "not by cold alone".into() } else { temperature(celsius, unit) }
}

/// Liquid nitrogen boils at −196 °C (common physical tables).
const COLDEST_C: f64 = -196.0;

fn held(span: Span<f64>, unit: Unit) -> String {
    match span.least {
        least if least <= 0.0 => format!("nothing sure, {} at best", torque(span.most, unit)),
        least => format!("{} at least, {} at best", torque(least, unit), torque(span.most, unit)),
    }
}

fn pressure(span: Span<f64>, unit: Unit) -> String {
    format!("{} to {} {}", stress(span.least, unit), stress(span.most, unit), stress_sign(unit))
}

/// "7,800 psi tension, 25% of strength", "35,000 psi tension; combined 53,000 psi, 183% of yield"
fn strained(strained: &Strained, unit: Unit) -> String {
    let way = if strained.hoop_mpa > 0.0 { "tension" } else { "pressure" };
    let of = match strained.criterion {
        Criterion::Yields => "yield",
        Criterion::BreaksInTension | Criterion::CrushesInCompression => "strength",
    };
    let (hoop, sign) = (stress(strained.hoop_mpa.abs(), unit), stress_sign(unit));
    let combined = stress(strained.stress_mpa, unit);
    // what gives way is held against both stresses of the ring taken together, which is more than its hoop stress alone
    let compared = match strained.criterion {
        Criterion::Yields if combined != hoop => format!("; combined {combined} {sign}"),
        Criterion::Yields | Criterion::BreaksInTension | Criterion::CrushesInCompression => String::new(),
    };
    format!("{hoop} {sign} {way}{compared}, {:.0}% of {of}", 100.0 * strained.used())
}

fn warning(strained: &Strained, name: &str, unit: Unit) -> Option<String> {
    let (stress, limit) = (stress(strained.stress_mpa, unit), stress(strained.limit_mpa, unit));
    let at = format!("{stress} of {limit} {}", stress_sign(unit));
    Some(match (strained.margin(), strained.criterion) {
        (Margin::Ample, _) => return None,
        (Margin::None, Criterion::BreaksInTension) => {
            format!(
                "Do not press this: at the tightest {name} bursts ({at}). Take a lighter fit, or slide it in and pin it."
            )
        }
        (Margin::Thin, Criterion::BreaksInTension) => {
            format!(
                "At the tightest {name} is strained to {at}; an old casting may stand half of that. Take a lighter fit, or try the pieces and pair them."
            )
        }
        (Margin::None, Criterion::Yields) => {
            format!(
                "At the tightest {name} yields ({at}): it grips less than reckoned, and a bore in it closes a little more."
            )
        }
        (Margin::Thin, Criterion::Yields) => format!("At the tightest {name} comes near its yield ({at})."),
        (_, Criterion::CrushesInCompression) => format!("At the tightest {name} is pressed to {at}."),
    })
}

fn surface(surface: Surface) -> &'static str {
    match surface {
        Surface::Turned => "turned",
        Surface::Bored => "bored",
        Surface::Reamed => "reamed",
        Surface::Used => "worn smooth",
    }
}

fn micrometres(length: Length) -> String {
    format!("Rz {} µm", print::number(length.micrometres()))
}

fn temperature(celsius: f64, unit: Unit) -> String {
    // to the next five degrees
    let five = |value: f64| format!("{:.0}", (value / 5.0).round() * 5.0).replace('-', "−");
    match unit {
        Unit::Inch => format!("{}\u{a0}°F", five(celsius * 9.0 / 5.0 + 32.0)),
        Unit::Millimetre => format!("{}\u{a0}°C", five(celsius)),
    }
}
