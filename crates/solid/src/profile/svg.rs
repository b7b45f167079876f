//! The profile as SVG: one user unit a millimetre, arcs as arcs, y downwards as SVG has it.

use std::f64::consts::FRAC_PI_2;
use std::fmt::Write as _;

use kurbo::{Point, Rect};

use super::{Layout, Place, Profile};
use crate::package::escaped;
use crate::ring::{Piece, Ring};

/// What is said in the file.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Drawing {
    pub title: String,
    pub description: String,
}

/// Paper left round a piece that is drawn alone, mm.
const MARGIN: f64 = 2.0;

/// One piece, or the pieces of a layout on their plate. The plate's own edge is drawn in a group of its own, dashed: it is
/// not cut.
pub fn svg(profile: &Profile, layout: Option<&Layout>, said: &Drawing) -> String {
    let sheet = match layout {
        Some(layout) => Rect::new(0.0, 0.0, layout.room.length, layout.room.width),
        None => profile.outer.bounds().inflate(MARGIN, MARGIN),
    };
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}mm\" height=\"{h}mm\" viewBox=\"0 0 {w} {h}\">\n\
         <title>{title}</title>\n<desc>{description}</desc>\n",
        w = number(sheet.width()),
        h = number(sheet.height()),
        title = escaped(&said.title),
        description = escaped(&said.description),
    );
    let at_home = [Place { turn: 0.0, at: Point::ORIGIN }];
    let places = layout.map_or(at_home.as_slice(), |layout| &layout.places);
    if layout.is_some() {
        let _ = writeln!(
            out,
            "<g id=\"plate-not-cut\" fill=\"none\" stroke=\"#59636b\" stroke-width=\"0.25\" stroke-dasharray=\"6 2\">\
             <rect x=\"0\" y=\"0\" width=\"{}\" height=\"{}\"/></g>",
            number(sheet.width()),
            number(sheet.height())
        );
    }
    for (number, place) in (1..).zip(places) {
        let _ = writeln!(out, "<g id=\"piece-{number}\" fill=\"none\" stroke=\"#14181c\" stroke-width=\"0.1\">");
        for ring in profile.inner.iter() {
            path(&mut out, "hole", &place.put(ring), sheet);
        }
        path(&mut out, "edge", &place.put(&profile.outer), sheet);
        out.push_str("</g>\n");
    }
    out.push_str("</svg>\n");
    out
}

fn path(out: &mut String, class: &str, ring: &Ring, sheet: Rect) {
    let at = |point: Point| format!("{} {}", number(point.x - sheet.x0), number(sheet.y1 - point.y));
    let _ = write!(out, "<path class=\"{class}\" d=\"");
    for (i, piece) in ring.pieces().iter().enumerate() {
        if i == 0 {
            let _ = write!(out, "M{}", at(piece.start()));
        }
        match piece {
            Piece::Arc { radius, sweep, .. } => {
                // An SVG arc is told by its ends: near half a turn a millionth in them shifts its middle by thousandths.
                let parts = (sweep.abs() / (FRAC_PI_2 + 1e-9)).ceil().max(1.0) as u32;
                for part in 1..=parts {
                    // y runs down, so that counter-clockwise is against its angles
                    let (radius, way) = (number(*radius), u8::from(*sweep < 0.0));
                    let _ = write!(
                        out,
                        "A{radius} {radius} 0 0 {way} {}",
                        at(piece.at(f64::from(part) / f64::from(parts)))
                    );
                }
            }
            Piece::Line { to, .. } => {
                let _ = write!(out, "L{}", at(*to));
            }
            Piece::Spline(spline) => {
                for point in crate::ring::flattened(spline, 0.001).into_iter().skip(1) {
                    let _ = write!(out, "L{}", at(point));
                }
            }
        }
    }
    out.push_str("Z\"/>\n");
}

/// To a millionth of a millimetre, no trailing noughts; what is not a number becomes nought.
pub fn number(value: f64) -> String {
    if !value.is_finite() {
        return "0".into();
    }
    let text = format!("{value:.6}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".into() } else { text.into() }
}
