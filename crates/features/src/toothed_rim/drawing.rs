//! A rim on the drawing: by convention in the view (ISO 2203:1973), and one tooth space true and enlarged.

use std::f64::consts::{FRAC_PI_2, TAU};

use geometry::generate::{SectorEnd, sector};
use geometry::outline::{Outline, Segment};
use geometry::toothing::Toothing;
use kurbo::Point;
use part::{Detail, Dimensioned, Drawn, Says, Shape};
use quantity::{Length, Unit, print};

use super::checking::TIP_TOLERANCE;
use super::design::{DRAWN, RimDesign};

pub fn drawn(design: &RimDesign, toothing: &Toothing, unit: Unit) -> Drawn {
    let (tip, root, pitch) =
        (radius(toothing.tip_diameter()), radius(toothing.root_diameter()), radius(toothing.pitch_diameter()));
    let half =
        if design.whole { TAU / 2.0 } else { toothing.angular_pitch().radians() * f64::from(design.teeth_cut) / 2.0 };
    let says = |size: Length| Says::new(print::figures(size, unit, 3));
    let tip_limits = |share: f64| format!("+0 {}", print::signed(-(design.module * TIP_TOLERANCE * share), unit, 3));
    let (shape, dimensions) = if design.whole {
        let dimension = Dimensioned::Diameter {
            centre: Point::ZERO,
            radius: tip,
            says: says(toothing.tip_diameter()).below(tip_limits(1.0)),
        };
        (Shape::Boundary(Outline::circle(Point::ZERO, tip)), vec![dimension])
    } else {
        let dimension = Dimensioned::Radius {
            centre: Point::ZERO,
            radius: tip,
            at: FRAC_PI_2 - 0.5 * half,
            says: says(toothing.tip_diameter() / 2.0).below(tip_limits(0.5)),
        };
        (Shape::Piece(convention(toothing, design.teeth_cut)), vec![dimension])
    };
    Drawn {
        shapes: vec![shape],
        centre_lines: vec![arc(pitch, half + if design.whole { 0.0 } else { BEYOND })],
        thin: if design.whole { Vec::new() } else { vec![arc(root, half)] },
        dimensions,
        unhatched: vec![(root, tip)],
        details: vec![space(toothing, unit)],
        ..Drawn::default()
    }
}

/// The pitch line of a sector is drawn this far beyond its ends, in radians.
const BEYOND: f64 = 0.06;

fn radius(diameter: Length) -> f64 {
    diameter.mm() / 2.0
}

/// An arc about the origin, its middle at the top.
fn arc(radius: f64, half: f64) -> Outline {
    Outline::new(vec![Segment::Arc { centre: Point::ZERO, radius, start: FRAC_PI_2 - half, sweep: 2.0 * half }])
}

/// A sector by convention: the outer flanks of its first and last tooth true, the tips between them as one arc.
fn convention(toothing: &Toothing, teeth: u32) -> Outline {
    let tip = radius(toothing.tip_diameter());
    let turn = toothing.angular_pitch().radians() * (f64::from(teeth) - 1.0) / 2.0;
    let one = sector(toothing, 1, DRAWN, SectorEnd::MiddleOfSpace);
    let is_tip = |segment: &Segment| matches!(segment, Segment::Arc { radius, .. } if (radius - tip).abs() < 1e-6);
    let Some(at) = one.segments().iter().position(is_tip) else {
        return sector(toothing, teeth, DRAWN, SectorEnd::MiddleOfSpace);
    };
    let mut segments: Vec<Segment> = one.segments()[..at].iter().map(|segment| segment.rotated(-turn)).collect();
    let land = toothing.tip_land().mm() / tip / 2.0;
    segments.push(Segment::Arc {
        centre: Point::ZERO,
        radius: tip,
        start: FRAC_PI_2 - turn - land,
        sweep: 2.0 * (turn + land),
    });
    segments.extend(one.segments()[at + 1..].iter().map(|segment| segment.rotated(turn)));
    Outline::new(segments)
}

/// One tooth space, from the middle of a tooth to the middle of the next, upright at the top.
fn space(toothing: &Toothing, unit: Unit) -> Detail {
    let (tip, root, pitch) =
        (radius(toothing.tip_diameter()), radius(toothing.root_diameter()), radius(toothing.pitch_diameter()));
    let half = toothing.angular_pitch().radians() / 2.0;
    let half_thickness = toothing.pitch_thickness().mm() / pitch / 2.0;
    let on = |radius: f64, angle: f64| Point::new(-radius * angle.sin(), radius * angle.cos());
    let (left, right) = (on(pitch, half - half_thickness), on(pitch, half_thickness - half));
    let chord = Length::from_mm(left.distance(right));
    Detail {
        title: if toothing.lead().is_some() { "One tooth space, seen along the axis" } else { "One tooth space, true" }
            .into(),
        outline: between_middles(toothing),
        metal_below: true,
        centre_lines: vec![arc(pitch, half * 1.1)],
        thin: vec![arc(root, half * 1.1), arc(tip, half * 1.1)],
        dimensions: vec![
            Dimensioned::Between {
                from: left,
                to: right,
                says: Says::new(print::figures(chord, unit, 3)).below("space"),
            },
            Dimensioned::Between {
                from: Point::new(on(tip, half * 1.1).x, tip),
                to: Point::new(on(tip, half * 1.1).x, root),
                says: Says::new(print::figures(toothing.whole_depth(), unit, 3)),
            },
        ],
    }
}

/// Two teeth and the space between them, cut off at the teeth's middles.
fn between_middles(toothing: &Toothing) -> Outline {
    let tip = radius(toothing.tip_diameter());
    let whole = sector(toothing, 2, DRAWN, SectorEnd::FootOfTooth);
    let land = |segment: &Segment| matches!(segment, Segment::Arc { radius, .. } if (radius - tip).abs() < 1e-6);
    let halved = |segment: &Segment, second: bool| match segment {
        Segment::Arc { centre, radius, start, sweep } => Segment::Arc {
            centre: *centre,
            radius: *radius,
            start: if second { *start } else { start + sweep / 2.0 },
            sweep: sweep / 2.0,
        },
        other => other.clone(),
    };
    let segments = whole.segments();
    match (segments.iter().position(land), segments.iter().rposition(land)) {
        (Some(first), Some(last)) if first < last => {
            let mut out = vec![halved(&segments[first], false)];
            out.extend(segments[first + 1..last].iter().cloned());
            out.push(halved(&segments[last], true));
            Outline::new(out)
        }
        _ => whole,
    }
}
