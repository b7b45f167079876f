//! A seat: the cylinder on which one part sits in another. What stands on either side of it is said without naming a kind.

use quantity::{Length, Measured};
use standards::fits::Clearance;

/// A cylinder joint: a hole, a shaft in it, and the ways their sizes can be chosen.
#[derive(Clone, Debug, PartialEq)]
pub struct Seat {
    /// The feature of this part that is one half of it.
    pub feature: String,
    /// "press bush", "H7/p6", "RC4"; none where no fit was named.
    pub fit: Option<String>,
    /// Its classes with their standard: "H7/p6, ISO 286-2".
    pub classes: String,
    pub hole: Member,
    pub shaft: Member,
    /// Of contact, along the axis.
    pub length: Option<Length>,
    /// How the sizes are chosen; the first is the one taken, the other is offered beside it.
    pub ways: Vec<Way>,
}

/// What is round the hole, or what is the shaft.
#[derive(Clone, Debug, PartialEq)]
pub struct Member {
    /// "this part", "the bush", "the housing"
    pub called: &'static str,
    pub material: Stuff,
    pub wall: Wall,
    /// Its surface, from which its roughness is supposed.
    pub surface: Surface,
}

#[derive(Clone, Debug, PartialEq)]
pub enum Stuff {
    /// What the part is made of.
    OfPart,
    Named(String),
    Unknown,
}

/// Where the metal ends on the far side of the seat: the outside of what has the hole, the bore of the shaft.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Wall {
    Ends(Length),
    /// To be read off the part's own shape.
    OfPart,
    /// A solid shaft.
    Solid,
    /// Nobody said.
    Unknown,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Surface {
    Turned,
    Bored,
    Reamed,
    /// It stays in the machine, smoothed by use.
    Used,
}

/// One way of choosing the sizes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Way {
    pub to: MadeTo,
    /// The size the limits are counted from.
    pub basic: Length,
    pub hole: Extent,
    pub shaft: Extent,
}

/// What a half is made to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MadeTo {
    /// The size the maker meant.
    Nominal,
    /// The measured mate, as it is now.
    Mate,
}

/// The sizes that one half can have.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Extent {
    /// Made, or supposed to have been made, within limits.
    Within { smallest: Length, largest: Length },
    /// Measured.
    Read(Measured<Length>),
}

/// Coverage factor of a reading's expanded uncertainty: nearly sure (JCGM 100:2008, 6.3.3).
const COVERAGE: f64 = 2.0;

impl Extent {
    /// The smallest and the largest it can be, a reading's uncertainty (k = 2) counted.
    pub fn ends(&self) -> (Length, Length) {
        match *self {
            Extent::Within { smallest, largest } => (smallest, largest),
            Extent::Read(Measured { value, sigma }) => (value - sigma * COVERAGE, value + sigma * COVERAGE),
        }
    }

    /// Expanded uncertainty of the reading, k = 2; none of what is made.
    pub fn reading(&self) -> Option<Length> {
        match *self {
            Extent::Within { .. } => None,
            Extent::Read(measured) => Some(measured.sigma * COVERAGE),
        }
    }
}

impl Way {
    /// What is left between the two: every making tolerance and the uncertainty of what was read are counted in full, so
    /// that no piece within its limits falls outside.
    pub fn clearance(&self) -> Clearance {
        Clearance::between(self.hole.ends(), self.shaft.ends())
    }

    /// The half that was read, of the two.
    pub fn read(&self) -> Option<Measured<Length>> {
        [self.hole, self.shaft].into_iter().find_map(|extent| match extent {
            Extent::Read(measured) => Some(measured),
            Extent::Within { .. } => None,
        })
    }
}

impl MadeTo {
    pub fn name(self) -> &'static str {
        match self {
            MadeTo::Nominal => "nominal",
            MadeTo::Mate => "mate",
        }
    }
}
