//! A scan for a machine: lengths in mm, angles in degrees, places in the part's own frame.

use geometry::outline::{Outline, Segment};
use scan::scale::Source;
use scan::teeth::{State, Uncertain};
use scan::{HoleKind, Scan};
use serde_json::{Map, Value, json};

use super::readings::with_all;

pub fn result(scan: &Scan) -> Value {
    let source = match scan.scale.source {
        Source::Dpi => "dpi",
        Source::Gauge => "gauge",
        Source::Known => "known size",
    };
    json!({
        "scale": {
            "x_mm_per_px": scan.scale.x_mm,
            "y_mm_per_px": scan.scale.y_mm,
            "source": source,
            "sigma": scan.scale.sigma,
            "axes_sigma": scan.scale.sigma_axes,
        },
        "edges": {"blur_px": scan.sharpness.blur, "noise": scan.sharpness.noise, "contrast": scan.sharpness.contrast},
        "frame": {
            "x_mm": scan.frame.x,
            "y_mm": -scan.frame.y,
            "up_deg": scan.frame.up.to_degrees().rem_euclid(360.0),
            "origin": if scan.frame.by_teeth { "teeth" } else { "bore" },
        },
        "circles": circles(scan),
        "rim": rim(scan),
        "outline": scan.profile.as_ref().map(|profile| segments(&profile.outline)),
        "outline_closed": scan.profile.as_ref().map(|profile| profile.closed),
        "outline_deviation_mm": scan.profile.as_ref().map(|profile| profile.deviation),
        "saw_line": scan.profile.as_ref().map(|profile| profile.saw.iter().map(segments).collect::<Vec<_>>()),
        "notes": scan.notes,
    })
}

fn circles(scan: &Scan) -> Vec<Value> {
    let kind = |kind| match kind {
        HoleKind::Bore => "bore",
        HoleKind::Hole => "hole",
    };
    scan.holes
        .iter()
        .map(|hole| {
            json!({
                "kind": kind(hole.kind),
                "x_mm": hole.x,
                "y_mm": hole.y,
                "diameter_mm": hole.diameter.value,
                "sigma_mm": with_all(scan, hole.diameter, 0.0).sigma,
                "place_sigma_mm": hole.sigma_place,
                "roundness_mm": hole.roundness,
                "share_round": hole.share,
            })
        })
        .collect()
}

fn rim(scan: &Scan) -> Value {
    let Some(rim) = &scan.rim else { return Value::Null };
    let mut out = Map::new();
    let mut put = |name: &str, found: Option<Uncertain>| {
        out.insert(name.to_string(), json!(found.map(|found| found.value)));
        out.insert(format!("{name}_sigma"), json!(found.map(|found| found.sigma)));
    };
    let length = |found: Uncertain| with_all(scan, found, 0.0);
    put("teeth_whole", Some(rim.teeth));
    put("tip_diameter_mm", Some(length(rim.tip_radius.times(2.0))));
    put("root_diameter_mm", Some(length(rim.root_radius.times(2.0))));
    put("base_pitch_mm", rim.base_pitch().map(length));
    put("base_thickness_mm", rim.base_thickness().map(length));
    put("pressure_angle_deg", rim.pressure_angle().map(|angle| angle.times(1f64.to_degrees())));
    put("module_mm", rim.module().map(length));
    put(
        "phase_deg",
        Some(Uncertain::new(rim.phase.value.to_degrees().rem_euclid(360.0), rim.phase.sigma.to_degrees())),
    );
    out.insert("teeth_present".into(), json!(rim.present()));
    out.insert("broken".into(), json!(rim.broken()));
    out.insert("whole".into(), json!(rim.whole));
    out.insert("off_bore_mm".into(), json!(rim.off_bore));
    out.insert("not_involute".into(), json!(rim.not_involute));
    let state = |state| match state {
        State::Whole => "whole",
        State::Broken => "broken",
        State::Missing => "missing",
    };
    let slots: Vec<Value> = rim
        .slots
        .iter()
        .map(|slot| {
            let flank = |side: usize| {
                slot.flanks[side].map(|flank| json!({"mean_mm": flank.mean, "by_height_mm": flank.heights}))
            };
            let pitch_error = match slot.flanks {
                [Some(right), Some(left)] => Some(0.5 * (left.mean - right.mean)),
                _ => None,
            };
            json!({
                "state": state(slot.state),
                "pitch_error_mm": pitch_error,
                "clockwise_flank": flank(0),
                "anticlockwise_flank": flank(1),
            })
        })
        .collect();
    out.insert("slots".into(), json!(slots));
    Value::Object(out)
}

fn segments(outline: &Outline) -> Vec<Value> {
    outline
        .segments()
        .iter()
        .map(|segment| {
            let (from, to) = (segment.start(), segment.end());
            match segment {
                Segment::Arc { centre, radius, sweep, .. } => json!({
                    "from_mm": [from.x, from.y], "to_mm": [to.x, to.y], "about_mm": [centre.x, centre.y],
                    "radius_mm": radius, "clockwise": *sweep < 0.0,
                }),
                Segment::Line { .. } | Segment::Curve(_) => json!({"from_mm": [from.x, from.y], "to_mm": [to.x, to.y]}),
            }
        })
        .collect()
}
