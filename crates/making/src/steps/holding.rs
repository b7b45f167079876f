//! How the work is held, and how heavy it is; what a shop does that has not the machine for it.

use quantity::Length;

use super::Planner;
use crate::blank::{Body, ON_DIAMETER};
use crate::mass::{Mass, volume};
use crate::shop::{MachineKind, SmallTool};
use crate::tools::{ToolKind, ToolPick};

/// Heavier than this, a piece is not lifted over a machine by one pair of hands; common practice, local rules come first.
const ONE_PERSON_KG: f64 = 15.0;
/// Where the metal is not in the tables: as of steel, the heaviest usual one but bronze.
const DENSITY_KG_M3: f64 = 7850.0;
/// A wheel this many times its bore, or an arbor this many times its own thickness long, chatters; common practice.
const WHEEL_OVER_BORE: f64 = 12.0;
const ARBOR_SLENDER: f64 = 10.0;
/// An arbor stands out of the work by so many of its diameters at each end, for nut, carrier and centre; common practice.
const ARBOR_ENDS: f64 = 2.0;
/// What a machine vice of a small shop opens to; common practice.
const VICE_OPENS: Length = Length::from_mm(150.0);
/// What is filed in a bench vice and not where it lies; common practice.
const BENCH_VICE_REACH: Length = Length::from_mm(300.0);

impl Planner<'_> {
    /// The blank's mass in kilograms as it is lifted, sawn off its bar.
    pub(super) fn mass(&self) -> Option<f64> {
        let body = match (self.blank.sawn, self.blank.stands_at) {
            (Body::Round { length, .. }, Some(bar)) => Body::Round { diameter: bar, length },
            (body, _) => body,
        };
        let volume = volume(body)?;
        let steel = || Mass::from_kilograms(DENSITY_KG_M3 * volume * 1e-9);
        Some(self.material.map_or_else(steel, |material| Mass::of(material, volume)).kilograms())
    }

    pub(super) fn is_heavy(&self) -> bool {
        self.mass().is_some_and(|mass| mass > ONE_PERSON_KG)
    }

    pub(super) fn heavy_caution(&self) -> Option<String> {
        let mass = self.mass().filter(|_| self.is_heavy())?;
        Some(format!(
            "Heavy, about {mass:.0} kg as sawn: lifting gear, or a second person; nobody under it, no fingers between it and the machine."
        ))
    }

    pub(super) fn note_mass(&mut self) {
        if let Some(mass) = self.mass().filter(|_| self.is_heavy()) {
            self.notes.push(format!(
                "The blank weighs about {mass:.0} kg: see that saw, lathe, table and vice carry it, before metal is bought."
            ));
        }
    }

    /// How far a round body reaches: what must swing.
    pub(super) fn stands_at(&self, finished: Length) -> Length {
        self.blank.stands_at.unwrap_or(finished + ON_DIAMETER)
    }

    /// In the jaws while they reach round it, else on the faceplate.
    pub(super) fn chucked(&self, across: Length) -> &'static str {
        let swing = self
            .shop
            .machines_of(MachineKind::Lathe)
            .filter_map(|lathe| lathe.swing)
            .max_by(|a, b| a.mm().total_cmp(&b.mm()));
        // the jaws of the chuck that goes with a lathe grip to about half its swing from outside; common practice
        match swing.is_some_and(|swing| across > swing / 2.0) || self.is_heavy() {
            true => "On the faceplate, clamped, or in a four-jaw chuck with its jaws reversed.",
            false => "In the chuck, gripped on the outside.",
        }
    }

    pub(super) fn in_the_machine_vice(&self) -> &'static str {
        match self.brief.extent.is_some_and(|(width, height)| width.min(height) > VICE_OPENS) || self.is_heavy() {
            true => "Clamped to the table on parallels, the clamps moved one at a time: it is too large for the vice.",
            false => "In the vice on parallels, the edges gripped.",
        }
    }

    pub(super) fn at_the_bench(&self) -> &'static str {
        let across = match self.blank.body {
            Body::Round { diameter, .. } => Some(diameter),
            Body::Flat { width, height, .. } => Some(width.max(height)),
            Body::Unknown => None,
        };
        match self.is_heavy() || across.is_some_and(|across| across > BENCH_VICE_REACH) {
            true => "Blocked up on the bench or on trestles: too large for the vice.",
            false => "In the vice between soft jaws.",
        }
    }

    /// Is an arbor through this bore too slender to carry the part?
    pub(super) fn is_slender(&self, bore: Length) -> bool {
        let across = match self.blank.body {
            Body::Round { diameter, .. } => diameter,
            Body::Flat { .. } | Body::Unknown => Length::ZERO,
        };
        let arbor = self.thickness().unwrap_or_default() + bore * (2.0 * ARBOR_ENDS);
        across > bore * WHEEL_OVER_BORE || arbor > bore * ARBOR_SLENDER
    }

    /// How many pieces could stand side by side on an arbor through this bore, under a tool that travels so far.
    pub(super) fn at_a_time(&self, bore: Length, travel: Option<Length>) -> u32 {
        let Some(thickness) = self.thickness().filter(|thickness| *thickness > Length::ZERO) else { return 1 };
        let room = bore * (ARBOR_SLENDER - 2.0 * ARBOR_ENDS);
        let room = travel.map_or(room, |travel| room.min(travel));
        (room / thickness).floor().clamp(1.0, 1e6) as u32
    }

    /// How a round part is held true: on an arbor through its bore, between centres where it is long, else in the chuck.
    pub(super) fn round_holding(&mut self, wanted_for: &str) -> (String, Option<ToolPick>) {
        match self.datum() {
            Some(bore) if self.is_slender(bore) => {
                let indicator = self.small(SmallTool::Indicator, wanted_for);
                let set_up = format!(
                    "On the faceplate or a fixture plate, set true by the bore, clamped clear of the cut: an arbor for {} would be too slender.",
                    self.fine(bore)
                );
                (set_up, Some(indicator))
            }
            Some(bore) => {
                let arbor = self.arbor(bore, wanted_for);
                (
                    format!("On an arbor through the {} bore, between centres: true to the bore.", self.fine(bore)),
                    Some(arbor),
                )
            }
            None if self.is_long() => ("Between centres, driven by a carrier.".to_string(), None),
            None if !self.teeth_cuts().is_empty() => ("In the chuck, by its spigot.".to_string(), None),
            None => ("In the chuck, gripped at one end, then turned end for end and set true.".to_string(), None),
        }
    }

    pub(super) fn arbor(&mut self, bore: Length, wanted_for: &str) -> ToolPick {
        // a nominal size marked on an arbor is good for the bore's own limits
        let slack = Length::from_mm(0.05);
        let owned = self
            .shop
            .drawers
            .arbors
            .iter()
            .find(|arbor| bore >= arbor.takes.0 - slack && bore <= arbor.takes.1 + slack);
        let pick = match owned {
            Some(arbor) => ToolPick::owned(ToolKind::Arbor, arbor.label.clone()),
            None => ToolPick::missing(ToolKind::Arbor, format!("arbor for a {} bore", self.fine(bore))),
        };
        let ways = match self.owns(MachineKind::Lathe) {
            true => vec![
                format!(
                    "Turn one from mild steel between centres: {} with a taper of 0.5 in 1000, pressed into the bore, or a plain one with shoulder and nut.",
                    self.fine(bore)
                ),
                "Or turn a stub in the chuck and leave it there until the last piece is done.".into(),
            ],
            false => vec!["Buy or borrow one; an expanding one takes a range of bores.".into()],
        };
        self.lack(&pick, wanted_for, ways);
        pick
    }

    /// What a shop without the machine does, with the machines it has; common practice.
    pub(super) fn instead_of(&self, kind: MachineKind) -> Vec<String> {
        let with = |kind: MachineKind, way: &'static str| self.owns(kind).then_some(way);
        let always = Some;
        let ways = match kind {
            MachineKind::Lathe => [
                always("Have it bored and turned out."),
                with(MachineKind::Mill, "A boring head on the mill does the bore."),
            ],
            MachineKind::Mill => [
                always("Have it milled out."),
                with(
                    MachineKind::Lathe,
                    "Or mill in the lathe, the cutter on an arbor and the dividing on the cross slide.",
                ),
            ],
            MachineKind::DrillPress => [
                with(MachineKind::Mill, "The mill drills as well."),
                match self.owns(MachineKind::Lathe) {
                    true => {
                        Some("The lathe drills it with the part on its faceplate; beyond its drills, bore it there.")
                    }
                    false => {
                        Some("A drill brace or hand drill with a guide does small holes; have large ones drilled out.")
                    }
                },
            ],
            MachineKind::Saw => [always("A hacksaw in the vice, or chain-drill and break out."), None],
            MachineKind::Sander => [always("Files, to the template's line."), None],
            MachineKind::ArborPress => [
                always("A vice with soft jaws, or draw it in with a bolt, nut and washers; never a hammer on iron."),
                None,
            ],
            MachineKind::Bench => [always("A stout vice on anything that does not move."), None],
        };
        ways.into_iter().flatten().map(str::to_string).collect()
    }
}
