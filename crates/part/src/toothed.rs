//! Teeth as the stages after the findings see them: to run with others and to carry load.

use geometry::toothing::Toothing;
use quantity::{Length, Measured};
use serde::Serialize;

#[derive(Clone, Debug)]
pub struct Toothed {
    /// "27 teeth, module 2.5, ISO 53 A, 20°"
    pub label: String,
    pub whole: bool,
    /// Really there, and so to be cut: all, or the sector's.
    pub teeth_cut: u32,
    /// As the rack would have them: no backlash, no wear.
    pub full: Toothing,
    /// As they were found, worn.
    pub found: Toothing,
    /// As they are cut: at the thick and at the thin end of their limits.
    pub cut: [Toothing; 2],
    /// How much smaller in radius than the full tips the new tips may be.
    pub tip_tolerance: Length,
    /// The radius that rounds the edge of the new tips; zero where they are left as turned.
    pub tip_rounding: Length,
    /// What the readings say the profile shift was; the new teeth may have another.
    pub shift_found: f64,
    pub face_width: Option<Measured<Length>>,
    /// Which way helical teeth lean; none of spur teeth, or where it was not said.
    pub hand: Option<Hand>,
    /// Centre distances that were read.
    pub centres: Vec<Centres>,
}

/// Which way helical teeth lean: right-hand ones run like the thread of an ordinary screw.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Hand {
    Left,
    Right,
}

impl Hand {
    pub fn name(self) -> &'static str {
        match self {
            Hand::Left => "left",
            Hand::Right => "right",
        }
    }
}

/// The distance of two axes, with the count of the wheel on the other.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Centres {
    pub distance: Measured<Length>,
    pub mate_teeth: u32,
}

impl Toothed {
    /// How much deeper than the rack's depth a cutter is fed, for the thick (0) and for the thin end of the limits.
    pub fn fed_deeper(&self, end: usize) -> Length {
        let cut = &self.cut[end.min(1)];
        (self.full.root_diameter() - cut.root_diameter()) / 2.0
    }
}
