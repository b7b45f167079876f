//! The profile for wire, water or laser, alone or laid out on a plate.

use quantity::{Length, print};
use serde_json::{Value, json};
use solid::plate::TOLERANCE;
use solid::profile::{self as cut, Drawing, Room, Side};

use super::{Of, plate};
use crate::solve::Solved;

/// What is asked of a profile.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Wanted {
    /// Width of the cut.
    pub kerf: Length,
    pub side: Side,
    /// Length and width of the plate, and the bare metal wanted beside each cut.
    pub plate: Option<[Length; 3]>,
    /// How many on the plate; as many as the job makes unless given.
    pub pieces: Option<u32>,
}

#[derive(Clone, Debug)]
pub struct Profile {
    pub svg: String,
    /// What whoever cuts it must know, as sentences.
    pub remarks: Vec<String>,
    /// Sizes, lengths in mm.
    pub result: Value,
}

/// Behind the job's name.
pub const SUFFIX: &str = "-profile.svg";

/// More than this on one plate is a slip of the pen.
pub const MOST_PIECES: u32 = 500;

pub fn profile(solved: &Solved<'_>, wanted: &Wanted) -> Result<Profile, String> {
    let refused = |refused: solid::plate::Refused| refused.to_string();
    let unit = solved.job.unit;
    let plate = plate(solved, TOLERANCE, Of::Profile)?;
    let path = cut::profile(&plate, wanted.kerf, wanted.side).map_err(refused)?;
    let make = &solved.job.make;
    let pieces = wanted.pieces.unwrap_or(make.pieces + make.spares).clamp(1, MOST_PIECES) as usize;
    let room = wanted.plate.map(|[length, width, gap]| Room { length: length.mm(), width: width.mm(), gap: gap.mm() });
    let layout = room.map(|room| cut::lay_out(&path, pieces, room)).transpose().map_err(refused)?;
    let size = |length: Length| print::length(length, unit, 3);
    let mut remarks = Vec::new();
    if wanted.kerf > Length::ZERO {
        remarks.push(format!("Set off for a cut {} wide.", size(wanted.kerf)));
    }
    if solved.features.iter().any(|feature| feature.is_match_made()) {
        remarks.push("Match-made holes are left out: they are drilled through the mating part.".to_string());
    }
    if path.too_small > 0 {
        let holes = if path.too_small == 1 { "1 hole is" } else { &format!("{} holes are", path.too_small) };
        remarks.push(format!("{holes} too small for a cut {} wide: drill instead.", size(wanted.kerf)));
    }
    if path.left_standing > Length::ZERO {
        remarks.push(format!(
            "A cut {} wide does not reach into every corner: up to {} is left standing and is taken off afterwards.",
            size(wanted.kerf),
            size(path.left_standing)
        ));
    }
    if let Some(layout) = &layout {
        let placed = layout.places.len();
        if layout.left_over > 0 {
            remarks.push(format!("{} of {pieces} pieces find no room on this plate.", layout.left_over));
        }
        if placed == 0 {
            return Err(format!(
                "The part finds no room on a plate of {} by {} with {} left bare at its edges: give a larger one.",
                size(Length::from_mm(layout.room.length)),
                size(Length::from_mm(layout.room.width)),
                size(Length::from_mm(layout.room.gap))
            ));
        }
        remarks.push(format!(
            "{placed} {} on {} of the length of a plate {} by {}, {:.0} in 100 of that metal used. Found by trial; there may be a closer layout.",
            if placed == 1 { "piece" } else { "pieces" },
            size(Length::from_mm(layout.used)),
            size(Length::from_mm(layout.room.length)),
            size(Length::from_mm(layout.room.width)),
            100.0 * layout.share(plate.area())
        ));
    }
    let description = format!(
        "Unit 1 mm. Path of the middle of a cut {} wide, {}; arcs within {} mm of the true curves. {}",
        size(wanted.kerf),
        match wanted.side {
            Side::Waste => "in the waste, so that the part comes out to size",
            Side::Part => "in the part, so that the opening comes out to size",
        },
        path.tolerance.mm(),
        remarks.join(" ")
    );
    let drawing = Drawing { title: solved.job.title.clone(), description };
    let result = json!({
        "kerf_mm": wanted.kerf.mm(),
        "side": match wanted.side { Side::Waste => "waste", Side::Part => "part" },
        "face_area_mm2": plate.area(),
        "perimeter_mm": plate.perimeter(),
        "cut_length_mm": path.length(),
        "cuts": path.inner.len() + 1,
        "holes_too_small": path.too_small,
        "left_standing_mm": path.left_standing.mm(),
        "tolerance_mm": path.tolerance.mm(),
        "plate": layout.as_ref().map(|layout| json!({
            "length_mm": layout.room.length,
            "width_mm": layout.room.width,
            "bare_mm": layout.room.gap,
            "pieces": layout.places.len(),
            "left_over": layout.left_over,
            "used_length_mm": layout.used,
            "used_share": layout.share(plate.area()),
            "places": layout.places.iter().map(|place| json!({
                "x_mm": place.at.x, "y_mm": place.at.y, "turn_deg": place.turn.to_degrees(),
            })).collect::<Vec<_>>(),
        })),
        "remarks": remarks,
    });
    Ok(Profile { svg: cut::svg(&path, layout.as_ref(), &drawing), remarks, result })
}
