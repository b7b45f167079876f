//! From the picture of a part on a flatbed to its scale, edges, circles, rim of teeth and outline.
//!
//! Plain `f64`: pixels from the picture's upper left corner, right and down, until the scale is known; then millimetres on the
//! bed, right and up. The way: [`picture`] reads, [`ground`] tells part from ground, [`border`] follows the boundary between
//! them, [`edge`] moves it to the exact edge, [`scale`] makes millimetres of it, [`circle`], [`teeth`] and [`profile`] say
//! what it is.

pub mod border;
pub mod circle;
pub mod edge;
pub mod ground;
mod measure;
pub mod overlay;
pub mod picture;
pub mod place;
pub mod profile;
pub mod scale;
mod solve;
pub mod step;
pub mod teeth;

use std::fmt;

pub use measure::{
    Frame, Gauge, Hole, HoleKind, Known, KnownSize, Options, Scan, Seen, Stage, look, measure, measure_seen,
};

/// Why a picture could not be measured.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ScanError {
    NothingStandsOut,
    TooRough,
    TooSmall,
    NoScale,
    NoGauge,
    /// The size the scale was to be taken from is not on the part.
    NoSuchSize(&'static str),
    /// The second scan has nothing round in common with the first.
    NoBoreInBoth,
}

impl fmt::Display for ScanError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            ScanError::NothingStandsOut => f.write_str(
                "Nothing stands out from the ground: lay the part on a plain sheet that is clearly lighter or darker than it.",
            ),
            ScanError::TooRough => f.write_str(
                "There are more edges in this picture than parts on a plain sheet have: scan the part alone on a plain ground.",
            ),
            ScanError::TooSmall => {
                f.write_str("What stands out is only specks: scan the part itself, at 300 dots to the inch or more.")
            }
            ScanError::NoScale => f.write_str(
                "The file does not say at how many dots to the inch it was scanned: give --dpi, or lay a round gauge beside the part and give --gauge.",
            ),
            ScanError::NoGauge => f.write_str(
                "No round thing of the gauge's size lies in the picture: check the gauge's diameter, and that it lies clear of the part and of the rim.",
            ),
            ScanError::NoSuchSize(name) => {
                write!(f, "The part shows no {name} to take the scale from: give another size, or a gauge.")
            }
            ScanError::NoBoreInBoth => f.write_str(
                "The two scans have no round hole in common: scan the same part twice, turned by a quarter, with its bore to be seen.",
            ),
        }
    }
}

impl std::error::Error for ScanError {}
