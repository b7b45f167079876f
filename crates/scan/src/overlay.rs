//! What was found, drawn over the scan, so that a person sees at once whether to believe it.
//!
//! An SVG in millimetres of the bed: the picture thinned to fit a screen, over it the edges, circles and teeth; wear of the
//! flanks as colour with its legend.

use std::fmt::Write;

use geometry::involute::inv;

use crate::measure::{HoleKind, Scan};
use crate::picture::Picture;
use crate::place::Place;
use crate::teeth::{Rim, State};

/// Longest side of the picture underneath, in pixels.
const LONGEST: usize = 1400;

const INK: &str = "#1f5fa8";
const WRONG: &str = "#c0392b";

/// How the legend writes a length of so many mm.
pub type Says<'a> = &'a dyn Fn(f64) -> String;

/// The overlay as SVG text.
pub fn svg(picture: &Picture, scan: &Scan, says: Says<'_>) -> String {
    let (width, height) = (picture.width() as f64 * scan.scale.x_mm, picture.height() as f64 * scan.scale.y_mm);
    // a stroke or letter of one unit is easily seen whatever the picture's size
    let unit = width.max(height) / 400.0;
    let mut out = String::new();
    let legend = 22.0 * unit;
    let _ = writeln!(
        out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width:.3} {:.3}\" width=\"{width:.3}mm\" height=\"{:.3}mm\" font-family=\"sans-serif\" font-size=\"{:.3}\">",
        height + legend,
        height + legend,
        7.0 * unit
    );
    let _ = writeln!(
        out,
        "<rect width=\"{width:.3}\" height=\"{:.3}\" fill=\"#fdfcf8\"/>\n<image width=\"{width:.3}\" height=\"{height:.3}\" preserveAspectRatio=\"none\" href=\"data:image/png;base64,{}\"/>",
        height + legend,
        base64(&thinned(picture))
    );
    let _ = writeln!(
        out,
        "<clipPath id=\"bed\"><rect width=\"{width:.3}\" height=\"{height:.3}\"/></clipPath>\n<g clip-path=\"url(#bed)\">"
    );
    boundary(&mut out, &scan.boundary, unit);
    for hole in &scan.holes {
        let (x, y) = hole.on_bed;
        circle(&mut out, (x, -y), 0.5 * hole.diameter.value, INK, unit);
        cross(&mut out, (x, -y), if hole.kind == HoleKind::Bore { 8.0 } else { 4.0 } * unit, unit);
    }
    if let Some(gauge) = &scan.gauge {
        circle(&mut out, (gauge.x, -gauge.y), gauge.radius, "#2e8b57", unit);
        label(&mut out, (gauge.x, -gauge.y), "gauge", "#2e8b57");
    }
    if let Some(rim) = &scan.rim {
        teeth(&mut out, rim, unit);
    }
    if let Some(profile) = &scan.profile {
        let points: Vec<(f64, f64)> = profile
            .outline
            .flatten(0.02)
            .iter()
            .map(|point| scan.frame.to_bed(point.x, point.y))
            .map(|(x, y)| (x, -y))
            .collect();
        line(&mut out, &points, profile.closed, "#d17a00", 1.2 * unit, "");
        for saw in &profile.saw {
            let points: Vec<(f64, f64)> =
                saw.flatten(0.02).iter().map(|p| scan.frame.to_bed(p.x, p.y)).map(|(x, y)| (x, -y)).collect();
            line(
                &mut out,
                &points,
                profile.closed,
                "#d17a00",
                0.6 * unit,
                &format!("{:.2} {:.2}", 4.0 * unit, 3.0 * unit),
            );
        }
    }
    out.push_str("</g>\n");
    footer(&mut out, scan, height, unit, says);
    out.push_str("</svg>\n");
    out
}

fn boundary(out: &mut String, places: &[Place], unit: f64) {
    let every = (places.len() / 4000).max(1);
    let points: Vec<(f64, f64)> = places.iter().step_by(every).map(|place| (place.x, -place.y)).collect();
    line(out, &points, true, INK, 0.4 * unit, "");
}

/// Tip and root circles, numbers and states, and each flank in the colour of what it has lost.
fn teeth(out: &mut String, rim: &Rim, unit: f64) {
    let (Some(first), Some(last)) = (rim.slots.first(), rim.slots.last()) else { return };
    let from = rim.phase.value + rim.pitch * (f64::from(first.number) - 0.5);
    let sweep = rim.pitch * f64::from(last.number - first.number + 1);
    for radius in [rim.tip_radius.value, rim.root_radius.value] {
        let points: Vec<(f64, f64)> = (0..=360)
            .map(|step| from + sweep * f64::from(step) / 360.0)
            .map(|angle| (rim.x + radius * angle.cos(), -(rim.y + radius * angle.sin())))
            .collect();
        line(out, &points, false, INK, 0.5 * unit, &format!("{:.2} {:.2}", 5.0 * unit, 3.0 * unit));
    }
    cross(out, (rim.x, -rim.y), 5.0 * unit, unit);
    let worst = worst(rim);
    let height = rim.tip_radius.value - rim.root_radius.value;
    for (index, slot) in rim.slots.iter().enumerate() {
        let middle = rim.phase.value + rim.pitch * f64::from(slot.number);
        let at = |radius: f64, angle: f64| (rim.x + radius * angle.cos(), -(rim.y + radius * angle.sin()));
        let colour = if slot.state == State::Whole { INK } else { WRONG };
        if rim.slots.len() <= 80 {
            label(out, at(rim.root_radius.value - 1.2 * height, middle), &(index + 1).to_string(), colour);
        }
        if slot.state != State::Whole {
            let (x, y) = at(0.5 * (rim.tip_radius.value + rim.root_radius.value), middle);
            let reach = 0.35 * height;
            for way in [1.0, -1.0] {
                let _ = writeln!(
                    out,
                    "<path d=\"M{:.3} {:.3}L{:.3} {:.3}\" stroke=\"{WRONG}\" stroke-width=\"{:.3}\"/>",
                    x - reach,
                    y - way * reach,
                    x + reach,
                    y + way * reach,
                    1.2 * unit
                );
            }
        }
        let Some(flanks) = rim.involute() else { continue };
        for (side, state) in slot.flanks.iter().enumerate() {
            let Some(state) = state else { continue };
            let sign = if side == 1 { 1.0 } else { -1.0 };
            for (bin, off) in state.heights.iter().enumerate() {
                let Some(off) = off else { continue };
                let points: Vec<(f64, f64)> = (0..=4)
                    .filter_map(|step| {
                        let part = 0.3 + 0.57 * (bin as f64 + f64::from(step) / 4.0) / state.heights.len() as f64;
                        let radius = rim.root_radius.value + part * height;
                        let alpha = (flanks.base_radius / radius).min(1.0).acos();
                        let half = flanks.half_angle - inv(alpha);
                        (radius > flanks.base_radius).then(|| at(radius, middle + sign * half))
                    })
                    .collect();
                line(out, &points, false, &colour_of(*off, worst), 2.6 * unit, "");
            }
        }
    }
}

/// Flanks are coloured up to this much, in mm: what the worst of them shows, and never less than can be seen at all.
fn worst(rim: &Rim) -> f64 {
    let all = rim.slots.iter().flat_map(|slot| slot.flanks.iter().flatten()).flat_map(|flank| flank.heights);
    all.flatten().map(f64::abs).fold(0.01, f64::max)
}

/// Metal lost towards red, metal left over towards blue, the mean flank grey.
fn colour_of(off: f64, worst: f64) -> String {
    let part = (off / worst).clamp(-1.0, 1.0);
    let mix = |from: f64, to: f64| (from + (to - from) * part.abs()).round() as u8;
    let (r, g, b) = if part < 0.0 {
        (mix(190.0, 200.0), mix(190.0, 40.0), mix(180.0, 30.0))
    } else {
        (mix(190.0, 20.0), mix(190.0, 90.0), mix(180.0, 190.0))
    };
    format!("#{r:02x}{g:02x}{b:02x}")
}

fn footer(out: &mut String, scan: &Scan, height: f64, unit: f64, says: Says<'_>) {
    let mut words = Vec::new();
    if let Some(rim) = &scan.rim {
        words.push(format!(
            "{:.0} teeth in the circle, {} places here, {} broken",
            rim.teeth.value,
            rim.present(),
            rim.broken()
        ));
    }
    if let Some(bore) = scan.holes.iter().find(|hole| hole.kind == HoleKind::Bore) {
        words.push(format!("bore {}", says(bore.diameter.value)));
    }
    let _ = writeln!(
        out,
        "<text x=\"{:.3}\" y=\"{:.3}\" fill=\"#222\">{}</text>",
        4.0 * unit,
        height + 9.0 * unit,
        words.join(" · ")
    );
    let Some(rim) = scan.rim.as_ref().filter(|rim| rim.involute().is_some()) else { return };
    let worst = worst(rim);
    let y = height + 13.0 * unit;
    let _ = writeln!(
        out,
        "<text x=\"{:.3}\" y=\"{:.3}\" fill=\"#222\">flanks against their mean: −{}, metal lost</text>",
        4.0 * unit,
        y + 6.0 * unit,
        says(worst)
    );
    let left = 195.0 * unit;
    for step in 0..20 {
        let part = f64::from(step) / 19.0 * 2.0 - 1.0;
        let _ = writeln!(
            out,
            "<rect x=\"{:.3}\" y=\"{y:.3}\" width=\"{:.3}\" height=\"{:.3}\" fill=\"{}\"/>",
            left + f64::from(step) * 5.0 * unit,
            5.2 * unit,
            6.0 * unit,
            colour_of(part * worst, worst)
        );
    }
    let _ = writeln!(
        out,
        "<text x=\"{:.3}\" y=\"{:.3}\" fill=\"#222\">+{}</text>",
        left + 103.0 * unit,
        y + 6.0 * unit,
        says(worst)
    );
}

fn line(out: &mut String, points: &[(f64, f64)], closed: bool, colour: &str, width: f64, dashes: &str) {
    if points.len() < 2 {
        return;
    }
    let mut path = String::new();
    for (index, (x, y)) in points.iter().enumerate() {
        let _ = write!(path, "{}{x:.3} {y:.3}", if index == 0 { 'M' } else { 'L' });
    }
    if closed {
        path.push('Z');
    }
    let dashes = if dashes.is_empty() { String::new() } else { format!(" stroke-dasharray=\"{dashes}\"") };
    let _ = writeln!(out, "<path d=\"{path}\" fill=\"none\" stroke=\"{colour}\" stroke-width=\"{width:.3}\"{dashes}/>");
}

fn circle(out: &mut String, (x, y): (f64, f64), radius: f64, colour: &str, unit: f64) {
    let _ = writeln!(
        out,
        "<circle cx=\"{x:.3}\" cy=\"{y:.3}\" r=\"{radius:.3}\" fill=\"none\" stroke=\"{colour}\" stroke-width=\"{:.3}\"/>",
        1.2 * unit
    );
}

fn cross(out: &mut String, (x, y): (f64, f64), reach: f64, unit: f64) {
    let _ = writeln!(
        out,
        "<path d=\"M{:.3} {y:.3}H{:.3}M{x:.3} {:.3}V{:.3}\" stroke=\"{INK}\" stroke-width=\"{:.3}\"/>",
        x - reach,
        x + reach,
        y - reach,
        y + reach,
        0.7 * unit
    );
}

/// White behind the letters, so that they read on light and dark.
fn label(out: &mut String, (x, y): (f64, f64), text: &str, colour: &str) {
    let _ = writeln!(
        out,
        "<text x=\"{x:.3}\" y=\"{y:.3}\" text-anchor=\"middle\" dominant-baseline=\"central\" fill=\"{colour}\" stroke=\"#fff\" stroke-width=\"0.25em\" paint-order=\"stroke\">{text}</text>"
    );
}

/// The picture as a PNG of at most [`LONGEST`] pixels, each the mean of those it stands for.
fn thinned(picture: &Picture) -> Vec<u8> {
    let step = picture.width().max(picture.height()).div_ceil(LONGEST).max(1);
    let (width, height) = (picture.width() / step, picture.height() / step);
    let (width, height) = (width.max(1), height.max(1));
    let mut greys = Vec::with_capacity(width * height);
    for y in 0..height {
        for x in 0..width {
            let (mut sum, mut count) = (0u32, 0u32);
            for row in y * step..((y + 1) * step).min(picture.height()) {
                for &grey in &picture.row(row)[x * step..((x + 1) * step).min(picture.width())] {
                    sum += u32::from(grey);
                    count += 1;
                }
            }
            greys.push((sum / count.max(1)) as u8);
        }
    }
    png_of(width, &greys).unwrap_or_default()
}

/// An eight-bit grey PNG.
pub fn png_of(width: usize, greys: &[u8]) -> Option<Vec<u8>> {
    let mut out = Vec::new();
    let mut encoder = png::Encoder::new(&mut out, u32::try_from(width).ok()?, u32::try_from(greys.len() / width).ok()?);
    encoder.set_color(png::ColorType::Grayscale);
    encoder.set_depth(png::BitDepth::Eight);
    let mut writer = encoder.write_header().ok()?;
    writer.write_image_data(greys).ok()?;
    writer.finish().ok()?;
    Some(out)
}

/// RFC 4648, section 4.
fn base64(bytes: &[u8]) -> String {
    const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut out = String::with_capacity(bytes.len().div_ceil(3) * 4);
    for three in bytes.chunks(3) {
        let word = three.iter().enumerate().fold(0u32, |word, (at, byte)| word | u32::from(*byte) << (16 - 8 * at));
        for at in 0..4 {
            let letter = LETTERS[(word >> (18 - 6 * at) & 63) as usize];
            out.push(if at > three.len() { '=' } else { char::from(letter) });
        }
    }
    out
}

#[cfg(test)]
mod tests {
    /// RFC 4648, section 10.
    #[test]
    fn base64_by_its_test_vectors() {
        for (plain, coded) in [("", ""), ("f", "Zg=="), ("fo", "Zm8="), ("foo", "Zm9v"), ("foob", "Zm9vYg==")] {
            assert_eq!(super::base64(plain.as_bytes()), coded);
        }
    }
}
