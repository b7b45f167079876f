//! Two cylinders that sit in one another: clearance, or interference and what it does.
//!
//! A [`Seat`] says where a part sits; [`Joint::of`] fills in what is left open from the part itself or by supposition, says
//! what it supposed, and reckons every way of choosing the sizes alike.

mod grip;
mod lame;
mod limit;

use part::{MadeTo, Member, Seat, Stuff, Surface, Wall, Way};
use quantity::Length;
use standards::Material;
use standards::fits::Clearance;
use standards::joints::roughness;

pub use grip::{BENCH_C, Grip, Side, Slide, Span, along_axis, turning, warmth};
pub use lame::{Elastic, Pair, Pressed, Ring};
pub use limit::{Criterion, Margin, Strained};

/// What the part itself says of its seats.
#[derive(Clone, Copy, Debug)]
pub struct Own {
    pub material: &'static Material,
    /// The largest circle about the axis that lies within the part.
    pub outside: Option<Length>,
    /// The bore through it, on the same axis; none where it is solid.
    pub bore: Option<Length>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct Joint {
    pub feature: String,
    pub fit: Option<String>,
    pub classes: String,
    pub length: Option<Length>,
    pub hub: Body,
    pub shaft: Body,
    /// The way that is taken, and the other where there are two.
    pub ways: Vec<Reckoned>,
}

/// One side of a joint, as it was told or supposed.
#[derive(Clone, Debug, PartialEq)]
pub struct Body {
    /// "this part", "the bush", "the housing"
    pub called: &'static str,
    pub material: &'static Material,
    pub is_part: bool,
    pub material_supposed: bool,
    /// Outside of the hub, infinite where nobody said and it is taken as wide; bore of the shaft, zero where it is solid.
    pub ends: Length,
    pub surface: Surface,
    pub rz: Length,
}

/// One way of choosing the sizes, and what comes of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Reckoned {
    pub way: Way,
    pub clearance: Clearance,
    /// None where the two never touch.
    pub grip: Option<Grip>,
}

/// What a shaft, and what holds one, is supposed to be made of where nobody said.
const USUAL_SHAFT: &str = "mild steel";
const USUAL_HUB: &str = "grey cast iron";

impl Joint {
    /// None where the seat has no way of choosing its sizes.
    pub fn of(seat: &Seat, own: Own) -> Option<Joint> {
        let hub = Body::of(&seat.hole, own, USUAL_HUB, |wall| match wall {
            Wall::Ends(outside) => outside,
            Wall::OfPart => own.outside.unwrap_or(ENDLESS),
            Wall::Solid | Wall::Unknown => ENDLESS,
        })?;
        let shaft = Body::of(&seat.shaft, own, USUAL_SHAFT, |wall| match wall {
            Wall::Ends(bore) => bore,
            Wall::OfPart => own.bore.unwrap_or(Length::ZERO),
            Wall::Solid | Wall::Unknown => Length::ZERO,
        })?;
        let reckoned = |way: &Way| reckoned(*way, seat.length, &hub, &shaft);
        let ways: Vec<Reckoned> = seat.ways.iter().map(reckoned).collect();
        (!ways.is_empty()).then(|| Joint {
            feature: seat.feature.clone(),
            fit: seat.fit.clone(),
            classes: seat.classes.clone(),
            length: seat.length,
            hub,
            shaft,
            ways,
        })
    }

    /// The way that is taken.
    pub fn taken(&self) -> &Reckoned {
        &self.ways[0]
    }

    pub fn to_mate(&self) -> bool {
        self.taken().way.to == MadeTo::Mate
    }
}

/// The far side of a hub nobody measured.
const ENDLESS: Length = Length::from_mm(f64::INFINITY);

impl Body {
    fn of(member: &Member, own: Own, usual: &str, ends: impl Fn(Wall) -> Length) -> Option<Body> {
        let told = match &member.material {
            Stuff::OfPart => Some(own.material),
            Stuff::Named(name) => standards::material(name),
            Stuff::Unknown => None,
        };
        let surface = match member.surface {
            Surface::Turned => "turned",
            Surface::Bored => "bored",
            Surface::Reamed => "reamed",
            Surface::Used => "used",
        };
        Some(Body {
            called: member.called,
            material: told.or_else(|| standards::material(usual))?,
            is_part: member.material == Stuff::OfPart,
            material_supposed: told.is_none(),
            ends: ends(member.wall),
            surface: member.surface,
            rz: roughness(surface)?.rz,
        })
    }

    /// Made in this job; what stays in the machine is not.
    pub fn is_made(&self) -> bool {
        self.surface != Surface::Used
    }

    fn side(&self) -> Side<'_> {
        Side { material: self.material, ends: self.ends, rz: self.rz }
    }
}

fn reckoned(way: Way, length: Option<Length>, hub: &Body, shaft: &Body) -> Reckoned {
    let clearance = way.clearance();
    let interference = Span { least: -clearance.most, most: -clearance.least };
    // walls that do not leave metal on either side of the seat say nothing
    let sound = hub.ends > way.basic && shaft.ends < way.basic;
    let touches = interference.most > Length::ZERO && sound;
    let grip = touches.then(|| Grip::of(way.basic, interference, length, hub.side(), shaft.side()));
    Reckoned { way, clearance, grip }
}
