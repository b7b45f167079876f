//! A scan for a person.

use std::fmt::Write;

use quantity::{Length, Unit, print};
use scan::scale::Source;
use scan::teeth::{State, Uncertain};
use scan::{HoleKind, Scan};

use super::readings::{readings, with_all};

/// What was found, then the lines a job takes.
pub fn tell(scan: &Scan, unit: Unit) -> String {
    let mut out = String::new();
    let source = match scan.scale.source {
        Source::Dpi => "as the file says, unchecked",
        Source::Gauge => "by the gauge",
        Source::Known => "by the size given",
    };
    let _ = writeln!(
        out,
        "{} part, {:.5} mm a pixel along and {:.5} mm across, {source}; edges blurred by {:.2} pixels, noise {:.1} greys\n",
        if scan.light { "Light" } else { "Dark" },
        scan.scale.x_mm,
        scan.scale.y_mm,
        scan.sharpness.blur,
        scan.sharpness.noise
    );
    let says = |found: Uncertain, edges: f64| {
        let all = with_all(scan, found, edges);
        let of = |mm: f64| print::figures(Length::from_mm(mm), unit, 3);
        format!("{} ± {} {}", of(all.value), of(2.0 * all.sigma), unit.sign())
    };
    for (number, hole) in scan.holes.iter().enumerate() {
        let name = if hole.kind == HoleKind::Bore { "bore".to_string() } else { format!("hole {number}") };
        let _ = write!(out, "  {name:<8} {}", says(hole.diameter, 2.0));
        if hole.kind == HoleKind::Hole {
            let from = Uncertain::new(hole.x.hypot(hole.y), hole.sigma_place);
            let turn = (-hole.x).atan2(hole.y).to_degrees();
            let _ = write!(out, ", {} from the centre at {turn:.2}°", says(from, 0.0));
        }
        let _ = write!(out, ", round within {}", print::length(Length::from_mm(hole.roundness), unit, 3));
        if hole.share < 0.95 {
            let _ = write!(out, " over {:.0} % of its edge", 100.0 * hole.share);
        }
        out.push('\n');
    }
    if let Some(rim) = &scan.rim {
        teeth(&mut out, rim, &says);
    }
    if let Some(profile) = &scan.profile {
        let _ = writeln!(
            out,
            "  outline  {} pieces, none further than {} off the edge",
            profile.outline.segments().len(),
            print::length(Length::from_mm(profile.deviation), unit, 3)
        );
    }
    for note in &scan.notes {
        let _ = write!(out, "\n{note}");
    }
    out.push_str("\n\nAs readings for a job:\n");
    for kind in ["toothed rim", "bore", "holes", "outline"] {
        let Ok(found) = readings(scan, kind, None, unit) else { continue };
        let _ = writeln!(out, "\n  {kind}");
        for line in found.lines.iter().chain(&found.path) {
            let _ = writeln!(out, "    \"{line}\",");
        }
    }
    out
}

fn teeth(out: &mut String, rim: &scan::teeth::Rim, says: &dyn Fn(Uncertain, f64) -> String) {
    let around = if rim.whole { "all the way round" } else { "on the piece" };
    let _ = writeln!(
        out,
        "  teeth    {:.0} in the circle, {} places {around}, {} broken",
        rim.teeth.value,
        rim.present(),
        rim.broken()
    );
    let broken: Vec<String> = rim
        .slots
        .iter()
        .enumerate()
        .filter(|(_, slot)| slot.state != State::Whole)
        .map(|(index, _)| (index + 1).to_string())
        .collect();
    if !broken.is_empty() {
        let _ = writeln!(out, "           broken, counted anticlockwise: {}", broken.join(", "));
    }
    let _ = writeln!(out, "           tip diameter {}", says(rim.tip_radius.times(2.0), 2.0));
    let _ = writeln!(out, "           root diameter {}", says(rim.root_radius.times(2.0), 2.0));
    if let (Some(pitch), Some(thickness)) = (rim.base_pitch(), rim.base_thickness()) {
        let _ = writeln!(out, "           base pitch {}", says(pitch, 0.0));
        let _ = writeln!(out, "           thickness on the base circle {}", says(thickness, 2.0));
    }
    if let Some(off) = rim.off_bore {
        let _ = writeln!(
            out,
            "           their centre {} from the bore's",
            says(Uncertain::new(off, rim.sigma_centre), 0.0)
        );
    }
}
