//! A recovered design: what a feature was made to be, and what the later stages need of it.

use std::fmt::Debug;

use quantity::{Length, Line, Unit};

use crate::characteristic::Characteristic;
use crate::cut::Cut;
use crate::drawn::Drawn;
use crate::probe::Probe;
use crate::seat::Seat;
use crate::shape::Shape;
use crate::toothed::Toothed;

pub trait Design: Debug + Send + Sync {
    /// What it is, as a sentence without the full stop: "44-tooth, 10 DP, 14½° full-depth sector of 11 teeth".
    fn sentence(&self, unit: Unit) -> String;

    /// What the readings say of its condition or of how it was made, as whole sentences; may be empty.
    fn remarks(&self, unit: Unit) -> Vec<String>;

    /// The fields it contributes to a finding in the machine-readable result; lengths in mm, angles in degrees.
    fn record(&self) -> serde_json::Map<String, serde_json::Value>;

    /// The lines of its data block on the drawing.
    fn data(&self, unit: Unit) -> Vec<DataLine>;

    /// What it adds to the outline of the part, in mm, the bore centre at the origin.
    fn shapes(&self) -> Vec<Shape>;

    /// The same with its curves drawn no further than `within` from the true ones; lines and arcs are true anyway.
    fn shapes_within(&self, _within: Length) -> Vec<Shape> {
        self.shapes()
    }

    /// By how much its outline turns for each millimetre along the axis, radians, counter-clockwise as seen from where it runs to:
    /// of helical teeth. None where it is not said which way they lean.
    fn twist(&self) -> Option<f64> {
        Some(0.0)
    }

    /// Whether its outline is the same in every place along the axis, so that it can be cut straight through.
    fn is_straight(&self) -> bool {
        self.twist() == Some(0.0)
    }

    /// Readings that cannot have been taken on this, by index, and why.
    fn objections(&self) -> Vec<(usize, String)> {
        Vec::new()
    }

    /// Tools of other names that would cut it too, nearest first.
    fn cut_too(&self) -> Vec<CutsToo> {
        Vec::new()
    }

    /// How it is drawn; without a convention of its own, by its outline.
    fn drawn(&self, unit: Unit) -> Drawn;

    /// What is measured on the new part, with limits.
    fn characteristics(&self, unit: Unit) -> Vec<Characteristic>;

    /// What a reading of the new part is held to: one of the characteristics, or one like them reckoned for just this reading.
    fn characteristic_read(&self, line: &Line, unit: Unit) -> Option<Characteristic> {
        let all = self.characteristics(unit);
        let exact = line.lead().and_then(|lead| all.iter().find(|one| one.name == lead));
        exact.or_else(|| all.iter().find(|one| one.is_read_by(line))).cloned()
    }

    /// By how much what is read of a characteristic grows for each unit that the pin it is taken over is larger.
    fn pin_influence(&self, _characteristic: &Characteristic) -> f64 {
        1.0
    }

    /// Whether measuring the one of two characteristics spares measuring the other.
    fn says_the_same(&self, one: &Characteristic, other: &Characteristic) -> bool {
        one.name == other.name
    }

    /// What has to be cut.
    fn cuts(&self) -> Vec<Cut>;

    /// Its teeth, if it has any: to run with others and to carry load.
    fn toothed(&self) -> Option<Toothed> {
        None
    }

    /// Where it sits in or on another part.
    fn seats(&self) -> Vec<Seat> {
        Vec::new()
    }

    /// The virtual instrument that takes such a reading on this design's own outline; none where the reading looks at
    /// something that is not in the outline: a face width, the mating part.
    fn probe(&self, _line: &Line) -> Option<Probe> {
        None
    }
}

/// A tool of another name that cuts the same surface, nearly.
#[derive(Clone, Debug, PartialEq)]
pub struct CutsToo {
    /// "module 1.75, 20°"
    pub label: String,
    /// How far what it cuts departs from what is wanted, at most.
    pub error: Length,
    pub owned: bool,
    /// Profile shift to cut with.
    pub profile_shift: f64,
}

/// A name and its value in a data block.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DataLine {
    pub name: String,
    pub value: String,
}

impl DataLine {
    pub fn new(name: impl Into<String>, value: impl Into<String>) -> DataLine {
        DataLine { name: name.into(), value: value.into() }
    }
}
