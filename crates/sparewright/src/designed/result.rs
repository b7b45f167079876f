//! The design stage in the machine-readable result. Lengths in mm, stresses in MPa, forces in N, torques in Nm, degrees Celsius.

use design::joint::{BENCH_C, Body, Criterion, Grip, Joint, Margin, Reckoned, Span, Strained};
use part::Extent;
use quantity::Length;
use serde_json::{Value, json};
use standards::joints::Friction;

use super::Designed;

pub fn result(designed: &Designed) -> Value {
    json!({
        "joints": designed.joints.iter().map(joint).collect::<Vec<_>>(),
        "teeth": designed.teeth.iter().map(super::teeth::DesignedTeeth::json).collect::<Vec<_>>(),
    })
}

fn joint(joint: &Joint) -> Value {
    json!({
        "feature": joint.feature,
        "fit": joint.fit,
        "classes": joint.classes,
        "made_to": joint.taken().way.to.name(),
        "length_mm": joint.length.map(Length::mm),
        "hub": body(&joint.hub, "outside_mm"),
        "shaft": body(&joint.shaft, "bore_mm"),
        "ways": joint.ways.iter().map(way).collect::<Vec<_>>(),
    })
}

fn body(body: &Body, ends: &str) -> Value {
    json!({
        "material": body.material.name,
        "material_supposed": body.material_supposed,
        "this_part": body.is_part,
        ends: body.ends.is_finite().then(|| body.ends.mm()),
        "rz_um": body.rz.micrometres(),
    })
}

fn way(reckoned: &Reckoned) -> Value {
    let way = reckoned.way;
    let clearance = reckoned.clearance;
    json!({
        "made_to": way.to.name(),
        "basic_mm": way.basic.mm(),
        "hole": extent(way.hole),
        "shaft": extent(way.shaft),
        "clearance_mm": lengths(Span { least: clearance.least, most: clearance.most }),
        "grip": reckoned.grip.as_ref().map(grip),
    })
}

fn extent(extent: Extent) -> Value {
    match extent {
        Extent::Within { smallest, largest } => json!({"smallest_mm": smallest.mm(), "largest_mm": largest.mm()}),
        Extent::Read(read) => json!({"read_mm": read.value.mm(), "sigma_mm": read.sigma.mm()}),
    }
}

fn grip(grip: &Grip) -> Value {
    json!({
        "interference_mm": lengths(grip.interference),
        "ridges_take_mm": grip.loss.mm(),
        "pressure_mpa": numbers(grip.pressure),
        "hub": strained(&grip.hub),
        "shaft": strained(&grip.shaft),
        "bore_closes_mm": grip.closes.map(lengths),
        "hub_grows_mm": grip.grows.map(Length::mm),
        "push_n": grip.push_n.map(numbers),
        "holds_n": grip.holds_n.map(numbers),
        "torque_nm": grip.torque_nm.map(numbers),
        "shrunk_torque_nm": grip.shrunk_torque_nm.map(numbers),
        "friction": friction(grip.friction),
        "shrunk_friction": friction(grip.shrunk_friction),
        "slide": {"room_mm": grip.slide.room.mm(), "bench_c": BENCH_C, "hub_c": grip.slide.hub_c, "shaft_c": grip.slide.shaft_c},
    })
}

fn strained(strained: &Strained) -> Value {
    json!({
        "hoop_mpa": strained.hoop_mpa,
        "criterion": match strained.criterion {
            Criterion::Yields => "yields",
            Criterion::BreaksInTension => "breaks in tension",
            Criterion::CrushesInCompression => "crushes in compression",
        },
        "stress_mpa": strained.stress_mpa,
        "limit_mpa": strained.limit_mpa,
        "margin": match strained.margin() {
            Margin::Ample => "ample",
            Margin::Thin => "thin",
            Margin::None => "none",
        },
    })
}

fn friction(friction: Friction) -> Value {
    json!({"least": friction.least, "most": friction.most, "source": friction.source.citation})
}

fn lengths(span: Span<Length>) -> Value {
    json!({"least": span.least.mm(), "most": span.most.mm()})
}

fn numbers(span: Span<f64>) -> Value {
    json!({"least": span.least, "most": span.most})
}
