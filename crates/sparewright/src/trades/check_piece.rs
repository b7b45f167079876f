//! The check piece: ISO/IEC 25422, to be printed and tried in the machine before metal is cut.

use quantity::Length;
use serde_json::{Value, json};
use solid::label::label;
use solid::mesh::{Raised, mesh};
use solid::package::{self, Said};
use solid::plate::TOLERANCE;

use super::{Of, finding, plate};
use crate::solve::Solved;

/// What is asked of a check piece.
#[derive(Clone, Debug, PartialEq)]
pub struct Wanted {
    /// How far a chord may lie from an arc or a flank.
    pub chord: Length,
    /// Every edge stands back by so much: bores opened, flanks thinned, by twice it across.
    pub allowance: Length,
    /// None for a bare face.
    pub label: Option<String>,
}

/// Far below what a nozzle of 0.4 mm shows.
const CHORD: Length = Length::from_mm(0.01);
const NO_LOAD: &str = "A piece to try the fit by hand; it carries no load and does not run under power.";
/// Letters stand this high: three layers of 0.2 mm.
const RAISED: f64 = 0.6;

impl Wanted {
    /// As it goes into the pack.
    pub fn usual(solved: &Solved<'_>) -> Wanted {
        Wanted { chord: CHORD, allowance: Length::ZERO, label: Some(short_name(&solved.job.title)) }
    }
}

#[derive(Clone, Debug)]
pub struct CheckPiece {
    pub bytes: Vec<u8>,
    /// Sizes of the piece, lengths in mm.
    pub result: Value,
}

/// Behind the job's name.
pub const SUFFIX: &str = ".3mf";

pub fn check_piece(solved: &Solved<'_>, wanted: &Wanted) -> Result<CheckPiece, String> {
    let refused = |refused: solid::plate::Refused| refused.to_string();
    let plate = plate(solved, TOLERANCE, Of::Body)?;
    let plate = match wanted.allowance {
        Length::ZERO => plate,
        by => plate.set_back(by).map_err(refused)?,
    };
    let written = wanted.label.as_deref().and_then(|text| label(&plate, text));
    let letters = written
        .as_ref()
        .map_or_else(Raised::default, |label| Raised { outlines: label.outlines.clone(), height: RAISED });
    let mesh = mesh(&plate, wanted.chord.mm(), &letters).map_err(refused)?;
    let description = format!("{} {NO_LOAD}", finding(solved).join(" "));
    let said = Said { title: solved.job.title.clone(), description };
    let bytes = package::write(&mesh, &said)?;
    let result = json!({
        "thickness_mm": plate.thickness.mm(),
        "allowance_mm": wanted.allowance.mm(),
        "chord_mm": wanted.chord.mm(),
        "face_area_mm2": plate.area(),
        "perimeter_mm": plate.perimeter(),
        "volume_mm3": mesh.volume(),
        "volume_without_label_mm3": plate.volume(),
        "label": written.as_ref().and(wanted.label.as_deref()),
        "label_height_mm": written.as_ref().map(|label| label.height),
        "corners": mesh.corners.len(),
        "triangles": mesh.triangles.len(),
        "bytes": bytes.len(),
    });
    Ok(CheckPiece { bytes, result })
}

/// A title up to what the part is for: "Feed sector" of "Feed sector for the apple mill".
fn short_name(title: &str) -> String {
    /// More letters find no room on a part of a hand's breadth.
    const LONGEST: usize = 32;
    let what = [" for ", " of "].iter().filter_map(|word| title.find(word)).min().map_or(title, |at| &title[..at]);
    what.chars().take(LONGEST).collect::<String>().trim().to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_short_name_says_what_it_is() {
        for (title, short) in [
            ("Feed sector for the apple mill", "Feed sector"),
            ("Bush of the mill for spares", "Bush"),
            ("Ratchet", "Ratchet"),
            ("", ""),
            ("Ü".repeat(50).as_str(), "Ü".repeat(32).as_str()),
        ] {
            assert_eq!(short_name(title), short);
        }
    }
}
