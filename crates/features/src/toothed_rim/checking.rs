//! What is measured on a new rim, with limits.

use geometry::toothing::{MeasureError, Toothing, ToothingSpec, feed_for_thinning};
use part::{Beyond, Characteristic, Gauging, Probe};
use quantity::{Form, Length, Line, Unit, print};
use standards::fits::Limits;
use standards::{Deviation, class_allows};

use super::ToothedRim;
use super::design::{RimDesign, THICKNESS_TOLERANCE};
use super::readings::{FORMS, Measurand};

/// The blank may be this part of the module under size: tips are no fit, but a fat blank cuts deep teeth.
pub const TIP_TOLERANCE: f64 = 0.03;

pub fn characteristics(design: &RimDesign, unit: Unit) -> Vec<Characteristic> {
    let Ok(toothing) = &design.toothing else {
        return Vec::new();
    };
    let mut out = vec![tips(design, !design.whole)];
    let fewer = |k: &u32| design.whole || *k <= design.teeth_cut;
    let best = toothing.best_span().filter(fewer);
    let best = best.or_else(|| toothing.span_range().and_then(|mut range| range.rfind(fewer)));
    out.extend(best.and_then(|k| span(design, k, unit)));
    out.extend(nearest_pin(design).and_then(|pin| over_pins(design, pin, !design.whole, unit)));
    let depth = (design.tip_diameter() - design.root_diameter()) / 2.0;
    let (least, most) = depth_limits(design).sizes(depth);
    out.push(Characteristic {
        name: "whole depth".into(),
        nominal: depth,
        lower: Some(least),
        upper: Some(most),
        gauging: Gauging::DepthMicrometer,
        metal_left: Some(Beyond::Lower),
        source: format!(
            "{}, fed deeper by t/(2 tan α) to thin the teeth by t; limits from those of thickness and blank, common practice",
            design.rack_name()
        ),
        how: "From the tip to the bottom of the space; where span and depth differ, the span decides.".into(),
    });
    out.push(runout(design));
    out
}

/// What a reading of the new rim is held to. Spans over other counts and sizes over other pins than the planned ones do as
/// well, with the limits that belong to them.
pub fn characteristic_read(design: &RimDesign, line: &Line, unit: Unit) -> Option<Characteristic> {
    if line.pattern == TIP_DIAMETER {
        return Some(tips(design, false));
    }
    match part::meaning(line, FORMS) {
        Some(Measurand::Span { teeth }) => span(design, teeth, unit),
        Some(Measurand::OverPins { pin }) => over_pins(design, pin, false, unit),
        Some(Measurand::CentreToPin { pin }) => over_pins(design, pin, true, unit),
        Some(Measurand::OutsideDiameter) => Some(tips(design, false)),
        Some(Measurand::TipRadius) => Some(tips(design, true)),
        _ => characteristics(design, unit).into_iter().find(|one| one.is_read_by(line)),
    }
}

/// Whether one size tells of the part what another does: spans and pins all measure how thick the teeth are.
pub fn says_the_same(one: &Characteristic, other: &Characteristic) -> bool {
    let thickness = |one: &Characteristic| one.name.starts_with("span over") || is_over_pins(one);
    let tips = |one: &Characteristic| one.name.starts_with("tip ");
    one.name == other.name || (thickness(one) && thickness(other)) || (tips(one) && tips(other))
}

fn is_over_pins(one: &Characteristic) -> bool {
    matches!(one.gauging, Gauging::OverPins { .. })
}

/// By how much a size over pins grows for each unit that the pins are larger, by difference.
pub fn pin_influence(design: &RimDesign, characteristic: &Characteristic) -> f64 {
    const STEP: Length = Length::from_mm(0.005);
    let (Gauging::OverPins { pin }, Ok(toothing)) = (&characteristic.gauging, &design.toothing) else { return 1.0 };
    let from_centre = characteristic.name.starts_with("centre");
    let at = |pin| measured_over(toothing, pin, from_centre);
    match (at(*pin + STEP), at(*pin - STEP)) {
        (Some(more), Some(less)) => (more - less) / (STEP * 2.0),
        _ => 1.0,
    }
}

/// Forms that are read on a new rim only.
pub const TIP_DIAMETER: Form = Form("tip diameter {reading}");
pub const RUNOUT: Form = Form("runout {reading}");

/// Runout of the teeth to the bore, as far as the asked class allows it.
fn runout(design: &RimDesign) -> Characteristic {
    let class = design.accuracy;
    let allowed = class_allows(Deviation::Runout, class, design.module, design.pitch_diameter());
    Characteristic {
        name: "runout".into(),
        nominal: Length::ZERO,
        lower: None,
        upper: Some(allowed),
        gauging: Gauging::Indicator,
        metal_left: None,
        source: format!("F_r of class {class}, ISO 1328-2:1997, annex B (from memory)"),
        how: "On a mandrel in the bore, the same pin laid in each space under an indicator: the most less the least."
            .into(),
    }
}

fn span(design: &RimDesign, teeth: u32, unit: Unit) -> Option<Characteristic> {
    let toothing = design.toothing.as_ref().ok()?;
    let usable = toothing.span_range().is_some_and(|range| range.contains(&teeth));
    let upper = toothing.span(teeth);
    // a change of the arc thickness on the pitch circle by t moves a span by t cos α (ISO 21771:2007)
    let cos = design.rack.pressure_angle.cos();
    let [thick, thin] = design.thinnings();
    usable.then(|| Characteristic {
        name: format!("span over {teeth} teeth"),
        nominal: upper,
        lower: Some(upper - design.module * THICKNESS_TOLERANCE * cos),
        upper: Some(upper),
        gauging: Gauging::Micrometer,
        metal_left: Some(Beyond::Upper),
        source: format!(
            "W after ISO 21771:2007; thinned by {} to {} of the module for backlash, {}",
            print::number(thick / design.module),
            print::number(thin / design.module),
            design.thinning_from()
        ),
        how: format!(
            "Flat jaws or a disc micrometer, square across the {}; try three places. {}",
            if design.helix.is_some() { "teeth" } else { "face" },
            moved(cos, unit)
        ),
    })
}

/// "0.01 mm (0.0004 in) of tooth thickness moves it by 0.0097 mm (0.0004 in)."
fn moved(per_thickness: f64, unit: Unit) -> String {
    const OF: Length = Length::from_mm(0.01);
    let by = OF * per_thickness;
    match unit {
        Unit::Millimetre => format!("0.01 mm of tooth thickness moves it by {}.", print::length(by, unit, 4)),
        Unit::Inch => format!(
            "0.01 mm ({}) of tooth thickness moves it by {}.",
            print::length(OF, unit, 3),
            print::length(by, unit, 4)
        ),
    }
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

fn tips(design: &RimDesign, radius: bool) -> Characteristic {
    let diameter = design.tip_diameter();
    let (name, nominal, tolerance, how) = if radius {
        (
            "tip radius",
            diameter / 2.0,
            design.module * TIP_TOLERANCE / 2.0,
            "On the blank, before cutting; afterwards from the bore.",
        )
    } else {
        let how = if design.whole && design.teeth.is_multiple_of(2) {
            "Across opposite tips."
        } else if design.whole {
            "On the blank, before cutting: the count is odd."
        } else {
            "On the blank, before cutting."
        };
        ("tip diameter", diameter, design.module * TIP_TOLERANCE, how)
    };
    Characteristic {
        name: name.into(),
        nominal,
        lower: Some(nominal - tolerance),
        upper: Some(nominal),
        gauging: Gauging::Micrometer,
        metal_left: Some(Beyond::Upper),
        source: "ISO 21771:2007; limits common practice".into(),
        how: how.into(),
    }
}

/// The owned pin that touches nearest to the pitch circle, of those the teeth can be measured over.
fn nearest_pin(design: &RimDesign) -> Option<Length> {
    let (toothing, thin) = (design.toothing.as_ref().ok()?, thinnest(design)?);
    let pitch_radius = design.pitch_diameter() / 2.0;
    let away = |&pin: &Length| {
        let away = (toothing.pin_contact_radius(pin).ok()? - pitch_radius).abs();
        measured_over(toothing, pin, !design.whole)?;
        measured_over(&thin, pin, !design.whole)?;
        Some((away, pin))
    };
    let nearest = design.pins.iter().filter_map(away).min_by(|a, b| a.0.mm().total_cmp(&b.0.mm()));
    nearest.map(|(_, pin)| pin)
}

/// The teeth as thin as their limit allows.
fn thinnest(design: &RimDesign) -> Option<Toothing> {
    let spec = design.toothing.as_ref().ok()?.spec();
    Toothing::new(ToothingSpec { thinning: spec.thinning + design.module * THICKNESS_TOLERANCE, ..*spec }).ok()
}

fn measured_over(toothing: &Toothing, pin: Length, from_centre: bool) -> Option<Length> {
    match from_centre {
        true => toothing.centre_to_outside_of_pin(pin).ok(),
        false => toothing.over_pins(pin).ok(),
    }
}

fn over_pins(design: &RimDesign, pin: Length, from_centre: bool, unit: Unit) -> Option<Characteristic> {
    let upper = measured_over(design.toothing.as_ref().ok()?, pin, from_centre)?;
    let lower = measured_over(&thinnest(design)?, pin, from_centre)?;
    let size = print::length(pin, unit, 3);
    let how = match from_centre {
        false if design.helix.is_some() => "Pins in opposite spaces, slid along the teeth until they show the most.",
        false => "Pins in opposite spaces, nearest to opposite on an odd count.",
        true => {
            "From the bore's wall with a close plug in it, less half the plug; or over plug and pin, less half the plug."
        }
    };
    Some(Characteristic {
        name: if from_centre { format!("centre to outside of {size} pin") } else { format!("over {size} pins") },
        nominal: upper,
        lower: Some(lower),
        upper: Some(upper),
        gauging: Gauging::OverPins { pin },
        metal_left: Some(Beyond::Upper),
        source: "M after ISO 21771:2007; limits from the tooth thickness".into(),
        how: format!("{how} {}", moved((upper - lower) / (design.module * THICKNESS_TOLERANCE), unit)),
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
            let leans = toothing.span(*teeth) * toothing.base_helix_angle().sin();
            if let Some(face) = rim.face_width().filter(|face| touches && leans > face.value) {
                return Some(format!(
                    "A span over {teeth} of these helical teeth needs a face {leans:.2} wide, and it is {:.2}.",
                    face.value
                ));
            }
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
    if design.helix.is_some() && is_askew(means) {
        return None;
    }
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

/// Of helical teeth these are taken square to them, across the plane of the outline.
fn is_askew(means: &Measurand) -> bool {
    matches!(
        means,
        Measurand::OverTheTips
            | Measurand::Span { .. }
            | Measurand::OverPins { .. }
            | Measurand::CentreToPin { .. }
            | Measurand::Thickness { .. }
            | Measurand::PrintAngle
    )
}
