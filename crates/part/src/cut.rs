//! A cut: one thing that has to be done to the metal, said without a tool or a machine.

use quantity::{Angle, Length};
use standards::Thread;
use standards::fits::Limits;

use crate::toothed::Hand;

#[derive(Clone, Debug, PartialEq)]
pub struct Cut {
    /// The feature it makes.
    pub feature: String,
    pub work: Work,
    /// Located from the mating part: left undone in the spares.
    pub match_made: bool,
}

#[derive(Clone, Debug, PartialEq)]
pub enum Work {
    /// An outside cylinder turned to size.
    Turn {
        diameter: Length,
        limits: Limits,
        /// None where nobody has measured it.
        length: Option<Length>,
        /// It is a press fit in its hole: a bore through it closes in and is finished afterwards.
        pressed: bool,
    },
    /// A toothed rim: its blank turned, its teeth indexed and cut.
    Teeth(TeethWork),
    /// Round holes.
    Hole(HoleWork),
    /// A bush made, and pressed into a hole that is cut as [`Work::Hole`].
    Bush(Bush),
    Keyway(KeywayWork),
    /// A profile that is not critical: sawn and sanded to the template's line.
    Profile {
        length: Length,
    },
}

#[derive(Clone, Debug, PartialEq)]
pub struct TeethWork {
    /// Teeth in the whole circle, which the dividing is made for.
    pub teeth: u32,
    /// Teeth really cut: all, or the sector's.
    pub teeth_cut: u32,
    pub whole: bool,
    /// Of helical teeth, module and angle are those of the normal section: the cutter's.
    pub module: Length,
    pub helix: Option<HelixWork>,
    /// "10 DP", as a cutter is called for.
    pub size_label: String,
    pub pressure_angle: Angle,
    /// The rack's name, and its dedendum and addendum in modules, which the cutter must have.
    pub rack: String,
    pub blank_diameter: Length,
    pub blank_limits: Limits,
    /// The rack's; its limits lie below it, for the cutter is fed deeper.
    pub root_diameter: Length,
    /// The rack's whole depth, from the blank's outside: so deep, the teeth have no backlash.
    pub depth: Length,
    /// How much deeper the cutter is fed, by reckoning, to thin the teeth for backlash.
    pub extra_depth: Length,
    /// Of the rack's depth and root diameter, both beyond them.
    pub depth_limits: Limits,
    pub root_limits: Limits,
    pub face_width: Option<Length>,
    /// For the wide equal of an undercut or shifted tooth: the count whose standard form the space is nearest to.
    pub profile_shift: f64,
    /// Half of one tooth space, from the root that is fed to (planned depth) outward, as a cutter fed straight in must be ground;
    /// empty where it cannot be drawn.
    pub space: Vec<SpacePoint>,
}

/// How teeth that lean are cut.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HelixWork {
    /// On the pitch cylinder.
    pub angle: Angle,
    /// None where it was not said.
    pub hand: Option<Hand>,
    /// How far the table goes for one turn of the work.
    pub lead: Length,
    /// The count by which the form cutter is chosen, z/cos³ β.
    pub virtual_teeth: f64,
}

/// A point of a tooth space's side.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SpacePoint {
    /// Above the root, along the middle of the space.
    pub height: Length,
    pub half_width: Length,
}

impl TeethWork {
    /// d = m z/cos β (ISO 21771:2007).
    pub fn pitch_diameter(&self) -> Length {
        self.module * (f64::from(self.teeth) / self.helix.map_or(1.0, |helix| helix.angle.cos()))
    }

    /// The count whose form the cutter must have.
    pub fn formed_as(&self) -> f64 {
        self.helix.map_or(f64::from(self.teeth), |helix| helix.virtual_teeth)
    }

    /// How deep the cutter is fed in the end, before the teeth themselves have been measured.
    pub fn planned_depth(&self) -> Length {
        self.depth + self.extra_depth
    }

    /// Spaces that bound the teeth: a sector ends in the middle of a space at both ends, so it has one more than teeth.
    pub fn spaces(&self) -> u32 {
        if self.whole { self.teeth } else { self.teeth_cut.saturating_add(1).min(self.teeth) }
    }
}

#[derive(Clone, Debug, PartialEq)]
pub struct HoleWork {
    pub diameter: Length,
    pub limits: Limits,
    pub finish: HoleFinish,
    /// Through the part's thickness where none is given.
    pub depth: Option<Length>,
    pub places: Vec<Place>,
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub enum HoleFinish {
    Drilled,
    Reamed,
    /// The hole's own size is the thread's core.
    Tapped(&'static Thread),
    /// On the lathe, with the part held true.
    Bored,
}

/// Where a hole stands from the bore's centre; what is not known is left to the mating part.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    pub radius: Option<Length>,
    /// Anticlockwise from the middle of the teeth or, without teeth, from the top.
    pub angle: Option<Angle>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct Bush {
    pub outside: Length,
    pub outside_limits: Limits,
    /// After pressing.
    pub inside: Length,
    pub inside_limits: Limits,
    pub length: Option<Length>,
    pub material: String,
    /// What pressing it in takes and does; none where that is not known.
    pub pressing: Option<Pressing>,
}

/// Each from least to most.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pressing {
    /// By how much the bush's bore closes, on the diameter.
    pub closes: (Length, Length),
    /// What the press pushes with at the end of the stroke, N; none where the length is not known.
    pub push_n: Option<(f64, f64)>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct KeywayWork {
    pub bore: Length,
    pub width: Length,
    pub width_limits: Limits,
    /// From the bore's surface, at the middle of the keyway.
    pub depth: Length,
    pub depth_limits: Limits,
}
