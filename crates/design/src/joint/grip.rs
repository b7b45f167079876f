//! What an interference does: pressure, stresses, what pushes it together, what it holds, what slides it together.

use std::f64::consts::PI;

use quantity::Length;
use standards::Material;
use standards::joints::{Assembly, Friction, friction};

use super::lame::{Elastic, Pair, Ring};
use super::limit::Strained;

/// From least to most.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Span<T> {
    pub least: T,
    pub most: T,
}

/// One side of the joint, all of it known or supposed.
#[derive(Clone, Copy, Debug)]
pub struct Side<'a> {
    pub material: &'a Material,
    /// Outside of the hub, infinite where it is wide; bore of the shaft, zero where it is solid.
    pub ends: Length,
    /// Height of its surface's ridges.
    pub rz: Length,
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Grip {
    /// Interference on the diameter: the least after the ridges are flattened, zero where nothing is left; the most
    /// without counting on that.
    pub interference: Span<Length>,
    /// What flattened ridges take from it.
    pub loss: Length,
    /// MPa.
    pub pressure: Span<f64>,
    /// At the most pressure.
    pub hub: Strained,
    pub shaft: Strained,
    /// By how much the shaft's bore closes, on the diameter; none of a solid shaft.
    pub closes: Option<Span<Length>>,
    /// By how much the hub grows outside, at the most; none where it is wide.
    pub grows: Option<Length>,
    /// What pushes it together cold, N; none without a length.
    pub push_n: Option<Span<f64>>,
    /// What it holds along the axis, N, and of torque, Nm, from loosest with least friction to tightest with most.
    pub holds_n: Option<Span<f64>>,
    pub torque_nm: Option<Span<f64>>,
    /// The same where it was slid together by heat or cold, dry.
    pub shrunk_torque_nm: Option<Span<f64>>,
    /// Pressed together, oiled.
    pub friction: Friction,
    pub shrunk_friction: Friction,
    pub slide: Slide,
}

/// A free slide: how warm or how cold one of the two must be, from a bench at [`BENCH_C`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slide {
    /// Left all round on the diameter at that temperature, beyond the most interference.
    pub room: Length,
    /// Hub heated to, °C.
    pub hub_c: f64,
    /// Shaft cooled to, °C.
    pub shaft_c: f64,
}

/// Temperature of the shop, °C (ISO 1).
pub const BENCH_C: f64 = 20.0;
/// Flattened ridges take this part of each surface's Rz from the radius.
/// Source: DIN 7190-1, smoothing of 0.8 (Rz + Rz) on the diameter; from memory.
const FLATTENED: f64 = 0.4;
/// Room for the slide, as a part of the diameter (DIN 7190-1: d/1000; from memory).
const ROOM: f64 = 0.001;

impl Grip {
    /// Of an interference on the diameter that lies between two ends, the least of which may be a clearance.
    ///
    /// Stresses, closing and pushing are reckoned from the tightest pair with nothing flattened, what is held from the loosest
    /// with all of it flattened: both err to the careful side. F = μ p π d l, T = F d/2 (elastic, even pressure).
    pub fn of(
        seat: Length,
        interference: Span<Length>,
        length: Option<Length>,
        hub: Side<'_>,
        shaft: Side<'_>,
    ) -> Grip {
        let pair =
            Pair { seat, hub: ring(seat, hub.ends, hub.material), shaft: ring(shaft.ends, seat, shaft.material) };
        let loss = (hub.rz + shaft.rz) * (2.0 * FLATTENED);
        let least = (interference.least - loss).max(Length::ZERO);
        let pressure = Span { least: pair.pressure(least), most: pair.pressure(interference.most) };
        let (round, within) = (pair.hub_under(pressure.most), pair.shaft_under(pressure.most));
        let solid = shaft.ends <= Length::ZERO;
        // the bore of a hollow shaft is worst off, the surface of a solid one no better than the rest
        let worst = if solid { seat } else { shaft.ends };
        let closes = |pressure: f64| Length::ZERO - pair.shaft_under(pressure).grows(shaft.ends);
        let [pressed, shrunk] =
            [Assembly::Pressed, Assembly::Shrunk].map(|how| friction(hub.material.group, shaft.material.group, how));
        let force = |friction, pressure| length.map(|length| along_axis(friction, pressure, seat, length));
        let along = |friction: Friction| {
            let (least, most) = (force(friction.least, pressure.least)?, force(friction.most, pressure.most)?);
            Some(Span { least, most })
        };
        let torque = |friction| {
            along(friction).map(|force| Span { least: turning(force.least, seat), most: turning(force.most, seat) })
        };
        Grip {
            interference: Span { least, most: interference.most.max(Length::ZERO) },
            loss,
            pressure,
            hub: Strained::of(hub.material, round.hoop(seat), round.radial(seat)),
            shaft: Strained::of(shaft.material, within.hoop(worst), within.radial(worst)),
            closes: (!solid).then(|| Span { least: closes(pressure.least), most: closes(pressure.most) }),
            grows: hub.ends.is_finite().then(|| round.grows(hub.ends)),
            push_n: along(pressed),
            holds_n: along(pressed),
            torque_nm: torque(pressed),
            shrunk_torque_nm: torque(shrunk),
            friction: pressed,
            shrunk_friction: shrunk,
            slide: Slide::of(seat, interference.most, hub.material, shaft.material),
        }
    }
}

/// The force along the axis, N, that friction holds or that pushes against it: F = μ p π d l, for an even pressure in MPa.
/// Source: DIN 7190-1; Budynas and Nisbett, Shigley's Mechanical Engineering Design, ch. 7; both from memory.
pub fn along_axis(friction: f64, pressure: f64, seat: Length, length: Length) -> f64 {
    friction * pressure * PI * seat.mm() * length.mm()
}

/// The torque of a force round the seat, Nm: T = F d/2.
pub fn turning(force: f64, seat: Length) -> f64 {
    force * seat.mm() / 2.0 / 1000.0
}

/// By how many kelvin a ring is warmed for its seat to grow by an interference and some room: ΔT = (δ + s)/(α d).
/// Range: α, 10⁻⁶ per kelvin, is taken as at room temperature, good to a few hundred degrees.
pub fn warmth(interference: Length, room: Length, seat: Length, expansion_1e6_per_k: f64) -> f64 {
    (interference + room) / seat / (expansion_1e6_per_k * 1e-6)
}

fn ring(inside: Length, outside: Length, material: &Material) -> Ring {
    let elastic = Elastic { youngs_mpa: material.youngs_modulus_gpa * 1000.0, poisson: material.poisson };
    Ring { inside, outside, elastic }
}

impl Slide {
    fn of(seat: Length, interference: Length, hub: &Material, shaft: &Material) -> Slide {
        let room = seat * ROOM;
        let change =
            |material: &Material| warmth(interference.max(Length::ZERO), room, seat, material.expansion_1e6_per_k);
        Slide { room, hub_c: BENCH_C + change(hub), shaft_c: BENCH_C - change(shaft) }
    }
}
