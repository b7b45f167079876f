//! What is measured on a new rim, with limits.

use geometry::toothing::{MeasureError, Toothing, feed_for_thinning};
use part::{Characteristic, Gauging, Probe};
use quantity::{Length, Unit, print};
use standards::fits::Limits;

use super::ToothedRim;
use super::design::{RimDesign, THICKNESS_TOLERANCE};
use super::readings::Measurand;

/// The blank may be this part of the module under size: tips are no fit, but a fat blank cuts deep teeth.
pub const TIP_TOLERANCE: f64 = 0.03;

pub fn characteristics(design: &RimDesign, unit: Unit) -> Vec<Characteristic> {
    let Ok(toothing) = &design.toothing else {
        return Vec::new();
    };
    let mut out = vec![tips(design)];
    // a change of the arc thickness on the pitch circle by t moves a span by t cos α (ISO 21771:2007)
    let cos = design.rack.pressure_angle.cos();
    let tolerance = design.module * THICKNESS_TOLERANCE;
    let least = |end: usize| print::number(design.thinnings()[end] / design.module);
    let fewer = |k: &u32| design.whole || *k <= design.teeth_cut;
    if let Some(k) =
        toothing.best_span().filter(fewer).or_else(|| toothing.span_range().and_then(|mut range| range.rfind(fewer)))
    {
        let upper = toothing.span(k);
        out.push(Characteristic {
            name: format!("span over {k} teeth"),
            nominal: upper,
            lower: Some(upper - tolerance * cos),
            upper: Some(upper),
            gauging: Gauging::Micrometer,
            source: format!(
                "W after ISO 21771:2007; thinned by {} to {} of the module for backlash, {}",
                least(0),
                least(1),
                design.thinning_from()
            ),
            how: "Flat jaws or a disc micrometer, square across the face; try three places.".into(),
        });
    }
    if let Some(pins) = over_pins(design, unit) {
        out.push(pins);
    }
    let depth = (design.tip_diameter() - design.root_diameter()) / 2.0;
    let (least, most) = depth_limits(design).sizes(depth);
    out.push(Characteristic {
        name: "whole depth".into(),
        nominal: depth,
        lower: Some(least),
        upper: Some(most),
        gauging: Gauging::DepthMicrometer,
        source: format!(
            "{}, fed deeper by t/(2 tan α) to thin the teeth by t; limits from those of thickness and blank, common practice",
            design.rack_name()
        ),
        how: "From the tip to the bottom of the space; where span and depth differ, the span decides.".into(),
    });
    out
}

/// How much deeper than the rack's whole depth a cutter is fed, so that the teeth come out in the middle of their limits.
pub fn extra_depth(design: &RimDesign) -> Length {
    let [thick, thin] = design.thinnings();
    depth_for(design, (thick + thin) / 2.0)
}

/// Of the rack's whole depth: what thins the teeth to their limits and, less, what the blank may lack at the tips.
pub fn depth_limits(design: &RimDesign) -> Limits {
    let (least, most) = depths(design);
    Limits { lower: least - design.module * (TIP_TOLERANCE / 2.0), upper: most }
}

/// Of the rack's root diameter: the same without the blank, which does not reach there.
pub fn root_limits(design: &RimDesign) -> Limits {
    let (least, most) = depths(design);
    Limits { lower: -most * 2.0, upper: -least * 2.0 }
}

/// The least and the most that the cutter is fed deeper.
fn depths(design: &RimDesign) -> (Length, Length) {
    let [thick, thin] = design.thinnings();
    (depth_for(design, thick), depth_for(design, thin))
}

fn depth_for(design: &RimDesign, thinning: Length) -> Length {
    feed_for_thinning(thinning, design.rack.pressure_angle)
}

fn tips(design: &RimDesign) -> Characteristic {
    let diameter = design.tip_diameter();
    let (name, nominal, tolerance, how) = if design.whole {
        let how = if design.teeth.is_multiple_of(2) {
            "Across opposite tips."
        } else {
            "On the blank, before cutting: the count is odd."
        };
        ("tip diameter", diameter, design.module * TIP_TOLERANCE, how)
    } else {
        (
            "tip radius",
            diameter / 2.0,
            design.module * TIP_TOLERANCE / 2.0,
            "On the blank, before cutting; afterwards from the bore.",
        )
    };
    Characteristic {
        name: name.into(),
        nominal,
        lower: Some(nominal - tolerance),
        upper: Some(nominal),
        gauging: Gauging::Micrometer,
        source: "ISO 21771:2007; limits common practice".into(),
        how: how.into(),
    }
}

/// Over the owned pin that touches nearest to the pitch circle.
fn over_pins(design: &RimDesign, unit: Unit) -> Option<Characteristic> {
    let Ok(toothing) = &design.toothing else {
        return None;
    };
    let thin = {
        let spec = toothing.spec();
        geometry::toothing::Toothing::new(geometry::toothing::ToothingSpec {
            thinning: spec.thinning + design.module * THICKNESS_TOLERANCE,
            ..*spec
        })
        .ok()?
    };
    let pitch_radius = design.pitch_diameter() / 2.0;
    let measure = |toothing: &geometry::toothing::Toothing, pin: Length| {
        if design.whole { toothing.over_pins(pin) } else { toothing.centre_to_outside_of_pin(pin) }
    };
    let (pin, upper, lower) = design
        .pins
        .iter()
        .filter_map(|&pin| {
            let away = (toothing.pin_contact_radius(pin).ok()? - pitch_radius).abs();
            Some((away, pin, measure(toothing, pin).ok()?, measure(&thin, pin).ok()?))
        })
        .min_by(|a, b| a.0.mm().total_cmp(&b.0.mm()))
        .map(|(_, pin, upper, lower)| (pin, upper, lower))?;
    let size = print::length(pin, unit, 3);
    Some(Characteristic {
        name: if design.whole { format!("over {size} pins") } else { format!("centre to outside of {size} pin") },
        nominal: upper,
        lower: Some(lower),
        upper: Some(upper),
        gauging: Gauging::OverPins { pin },
        source: "M after ISO 21771:2007; limits from the tooth thickness".into(),
        how: if design.whole {
            "Pins in opposite spaces, nearest to opposite on an odd count.".into()
        } else {
            "From the bore's wall with a close plug in it, less half the plug; or over plug and pin, less half the plug.".into()
        },
    })
}

/// A contact this part of the module beyond the flank may still be a worn tip or a generous root.
const BEYOND_FLANK: f64 = 0.15;

/// Spans that miss the flanks and pins that fall through or stand below the tips.
pub fn objections(rim: &ToothedRim, toothing: &Toothing) -> Vec<(usize, String)> {
    let why = |means: &Measurand| match means {
        Measurand::Span { teeth } => {
            let room = toothing.module() * BEYOND_FLANK;
            let contact = toothing.span_contact_radius(*teeth);
            let touches = contact > toothing.form_radius() - room && contact < toothing.tip_diameter() / 2.0 + room;
            let usual = toothing
                .span_range()
                .map_or_else(String::new, |range| format!(" {} to {} teeth do.", (*range.start()).max(2), range.end()));
            (!touches).then(|| {
                format!(
                    "A span over {teeth} teeth does not touch the flanks of the {}-tooth wheel found.{usual}",
                    toothing.teeth()
                )
            })
        }
        Measurand::OverPins { pin } | Measurand::CentreToPin { pin } => match toothing.centre_to_outside_of_pin(*pin) {
            Err(
                error @ (MeasureError::PinOnRoot { .. }
                | MeasureError::PinBelowTips { .. }
                | MeasureError::PinAboveFlank { .. }
                | MeasureError::PinSize { .. }),
            ) => Some(error.to_string()),
            Err(_) | Ok(_) => None,
        },
        _ => None,
    };
    rim.readings
        .iter()
        .enumerate()
        .filter_map(|(index, reading)| Some((index, why(reading.means.as_ref()?)?)))
        .collect()
}

/// The virtual instrument for a reading of the rim.
pub fn probe(design: &RimDesign, means: &Measurand) -> Option<Probe> {
    Some(match means {
        Measurand::OutsideDiameter => Probe::TipDiameter,
        Measurand::OverTheTips => Probe::AcrossJaws,
        Measurand::TipRadius => Probe::TipRadius,
        Measurand::RootDiameter => Probe::RootDiameter,
        Measurand::RootRadius => Probe::RootRadius,
        Measurand::WholeDepth => Probe::WholeDepth,
        Measurand::Span { teeth } => Probe::Span { teeth: *teeth },
        Measurand::OverPins { pin } => Probe::OverPins { pin: *pin },
        Measurand::CentreToPin { pin } => Probe::CentreToPin { pin: *pin },
        Measurand::ChordAcross { pitches } => Probe::TipChord { pitches: *pitches },
        Measurand::Thickness { depth } => Probe::ThicknessAtDepth { depth: *depth },
        Measurand::PrintAngle => Probe::RolledPrint { rolling_radius: design.pitch_diameter() / 2.0 },
        // counts and trials have no size; face, helix and mate are not in the outline
        Measurand::Teeth(_)
        | Measurand::TeethPresent(_)
        | Measurand::TeethBroken(_)
        | Measurand::CentreDistance { .. }
        | Measurand::FaceWidth
        | Measurand::HelixAngle
        | Measurand::Meshes(_)
        | Measurand::DoesNotMesh(_) => return None,
    })
}
