//! Joints in words and figures, for the terminal and the sheets alike.

use design::joint::{Body, Criterion, Grip, Joint, Margin, Reckoned, Span, Strained};
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

/// Every way side by side, line by line.
pub fn compared(joint: &Joint, unit: Unit) -> Vec<Compared> {
    let mut out = Vec::new();
    let mut line = |name: String, of: &dyn Fn(&Reckoned) -> Option<String>| {
        let each: Vec<Option<String>> = joint.ways.iter().map(of).collect();
        if each.iter().any(Option::is_some) {
            out.push(Compared { name, each: each.into_iter().map(|said| said.unwrap_or("–".into())).collect() });
        }
    };
    line("hole".into(), &|way| Some(extent(way.way.hole, unit)));
    line("shaft".into(), &|way| Some(extent(way.way.shaft, unit)));
    line("between them".into(), &|way| Some(clearance(way.clearance, unit)));
    let grip = |of: &dyn Fn(&Grip) -> Option<String>, way: &Reckoned| way.grip.as_ref().and_then(of);
    line("its ridges flattened take".into(), &|way| {
        grip(&|grip| Some(format!("{} {}", print::figures(grip.loss, unit, 3), unit.sign())), way)
    });
    line("pressure between them".into(), &|way| {
        grip(&|grip| Some(span(grip.pressure, |mpa| stress(mpa, unit), stress_sign(unit))), way)
    });
    line(format!("hoop stress in {}", name(&joint.hub, "hole")), &|way| {
        grip(&|grip| Some(strained(&grip.hub, unit)), way)
    });
    line(format!("hoop stress in {}", name(&joint.shaft, "shaft")), &|way| {
        grip(&|grip| Some(strained(&grip.shaft, unit)), way)
    });
    line("the shaft's bore closes by".into(), &|way| grip(&|grip| closes(grip, unit), way));
    line("pushed together cold with".into(), &|way| {
        grip(&|grip| Some(format!("up to {}", force(grip.push_n?.most, unit))), way)
    });
    line("holds along the axis".into(), &|way| grip(&|grip| Some(at_least(grip.holds_n?, |n| force(n, unit))), way));
    line("holds in torque".into(), &|way| grip(&|grip| Some(at_least(grip.torque_nm?, |nm| torque(nm, unit))), way));
    line("slides together freely with".into(), &|way| grip(&|grip| Some(slides(grip, unit)), way));
    out
}

/// Which way is taken, and why, as sentences.
pub fn taken(joint: &Joint, unit: Unit) -> String {
    let way = joint.taken().way;
    let Some(read) = way.read() else {
        return "Both halves are taken at the limits of their class: measure the mate, and it can be made to that."
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
    for (body, what) in [(&joint.hub, "round the hole"), (&joint.shaft, "in the hole")] {
        if body.material_supposed {
            out.push(format!("Supposed: what is {what} is {} (mate_material says otherwise).", body.material.name));
        }
    }
    if !joint.hub.ends.is_finite() {
        out.push("How thick the metal round the hole is was not told; it is taken as wide. A thin ring is pressed less and strained more: measure its outside.".into());
    }
    if joint.length.is_none() {
        out.push("Without a length in contact no force is known.".into());
    }
    let rz = [&joint.hub, &joint.shaft].map(|body| format!("{} {}", surface(body.surface), micrometres(body.rz)));
    out.push(format!("Ridges supposed: {}.", rz.join(", ")));
    out
}

/// What is to be minded about the way taken, as sentences; those that stop the job first.
pub fn warnings(joint: &Joint, unit: Unit) -> Vec<String> {
    let Some(grip) = &joint.taken().grip else { return Vec::new() };
    let of = |strained: &Strained, body: &Body, what: &str| warning(strained, &name(body, what), unit);
    let mut out: Vec<String> =
        [of(&grip.hub, &joint.hub, "hole"), of(&grip.shaft, &joint.shaft, "shaft")].into_iter().flatten().collect();
    let meant_to_grip = joint.taken().clearance.most <= Length::ZERO;
    if meant_to_grip && grip.interference.least <= Length::ZERO {
        out.push("At the loosest nothing of the grip is left once the ridges are flattened: pin it, or set it in retaining compound, where it must not turn.".into());
    }
    out
}

/// By how much to ream, as a sentence; none where no bore closes.
pub fn to_ream(joint: &Joint, unit: Unit) -> Option<String> {
    let closes = joint.taken().grip.as_ref()?.closes?;
    (closes.most > Length::ZERO).then(|| {
        format!(
            "Pressed in, the bore of the {} closes by {}: finish it afterwards. Bored to size beforehand it would be that much too small.",
            joint.shaft.material.name,
            range(closes, unit)
        )
    })
}

/// What a person has to be told before pushing, heating or cooling.
pub const CAUTIONS: [&str; 4] = [
    "Press behind a guard, glasses on, nobody in line with the work: a part that cocks can fly, and iron in tension bursts without warning. Stop where the push rises beyond the figure above.",
    "Heat slowly and evenly, never a closed or greased hollow part, nor paint, plating or magnesium; hot parts look cold. No flame near oil.",
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

fn closes(grip: &Grip, unit: Unit) -> Option<String> {
    Some(range(grip.closes?, unit))
}

fn range(span: Span<Length>, unit: Unit) -> String {
    format!("{} to {} {}", print::figures(span.least, unit, 3), print::figures(span.most, unit, 3), unit.sign())
}

fn slides(grip: &Grip, unit: Unit) -> String {
    let slide = grip.slide;
    // nothing gets colder than that
    const ABSOLUTE_ZERO_C: f64 = -273.15;
    let hub = format!("the hub at {}", temperature(slide.hub_c, unit));
    if slide.shaft_c <= ABSOLUTE_ZERO_C {
        hub
    } else {
        format!("{hub}, or the shaft at {}", temperature(slide.shaft_c, unit))
    }
}

fn at_least(span: Span<f64>, says: impl Fn(f64) -> String) -> String {
    match span.least {
        least if least <= 0.0 => format!("nothing sure, up to {}", says(span.most)),
        least => format!("{} at least, {} at most", says(least), says(span.most)),
    }
}

fn span(span: Span<f64>, says: impl Fn(f64) -> String, sign: &str) -> String {
    format!("{} to {} {sign}", says(span.least), says(span.most))
}

fn strained(strained: &Strained, unit: Unit) -> String {
    let hoop = strained.hoop_mpa;
    let way = if hoop > 0.0 { "tension" } else { "pressure" };
    format!(
        "{} {} {way}, {:.0} in 100 of {}",
        stress(hoop.abs(), unit),
        stress_sign(unit),
        100.0 * strained.used(),
        limit(strained.criterion)
    )
}

fn limit(criterion: Criterion) -> &'static str {
    match criterion {
        Criterion::Yields => "its yield",
        Criterion::BreaksInTension => "what breaks it",
        Criterion::CrushesInCompression => "what crushes it",
    }
}

fn warning(strained: &Strained, name: &str, unit: Unit) -> Option<String> {
    let at = format!(
        "{} {} of {} {}",
        stress(strained.stress_mpa, unit),
        stress_sign(unit),
        stress(strained.limit_mpa, unit),
        stress_sign(unit)
    );
    Some(match (strained.margin(), strained.criterion) {
        (Margin::Ample, _) => return None,
        (Margin::None, Criterion::BreaksInTension) => {
            format!(
                "Do not press this: at its tightest {name} bursts ({at}). Take a lighter fit, or slide it in and pin it."
            )
        }
        (Margin::Thin, Criterion::BreaksInTension) => {
            format!(
                "At its tightest {name} is strained to {at}; an old casting may stand half of that. Take a lighter fit, or try the pieces and pair them."
            )
        }
        (Margin::None, Criterion::Yields) => {
            format!("At its tightest {name} yields ({at}): it will grip less than reckoned and close less.")
        }
        (Margin::Thin, Criterion::Yields) => format!("At its tightest {name} comes near its yield ({at})."),
        (_, Criterion::CrushesInCompression) => format!("At its tightest {name} is pressed to {at}."),
    })
}

fn name(body: &Body, what: &str) -> String {
    let whose = if body.is_part { "this part" } else { "the mate" };
    match what {
        "hole" => format!("the hub ({whose}, {})", body.material.name),
        _ => format!("the shaft ({whose}, {})", body.material.name),
    }
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
        Unit::Inch => format!("{} °F", five(celsius * 9.0 / 5.0 + 32.0)),
        Unit::Millimetre => format!("{} °C", five(celsius)),
    }
}
