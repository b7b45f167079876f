//! Holes that stand off the centre: by coordinates, or through the mating part.

use part::{Cut, HoleFinish, HoleWork};
use quantity::{Length, print};
use standards::fits::Limits;

use super::bore::Boring;
use super::{FeedOf, Need, Planner, Side, is_bore};
use crate::order::Step;
use crate::plan::Pieces;
use crate::shop::{MachineKind, SmallTool};
use crate::speeds::Doing;
use crate::tools::{ToolKind, ToolPick};
use standards::cutting::Pass;

/// What the distance of a drilled hole from the bore is held to; common practice by coordinates on a mill.
const PLACE_LIMITS: Limits = Limits { lower: Length::from_mm(-0.1), upper: Length::from_mm(0.1) };
/// An alignment plug slides in by hand without shake; common practice for small bores.
const PLUG_LIMITS: Limits = Limits { lower: Length::from_mm(-0.02), upper: Length::from_mm(-0.005) };

impl Planner<'_> {
    pub(super) fn holes(&mut self) {
        let mut plugged = false;
        for (cut, hole) in self.hole_cuts() {
            if is_bore(cut, hole) {
                continue;
            }
            if cut.match_made {
                if !plugged {
                    self.make_plug();
                    plugged = true;
                }
                self.match_drill(cut, hole);
            } else {
                self.drill_by_coordinates(cut, hole);
            }
        }
    }

    fn drill_by_coordinates(&mut self, cut: &Cut, hole: &HoleWork) {
        let title = format!("{} {} {} ({})", verb(hole.finish), count(hole), self.fine(hole.diameter), cut.feature);
        let placed = hole.places.iter().all(|place| place.radius.is_some() && place.angle.is_some());
        // on a mill the places are set by its dials; a drill press follows punch marks
        let mill = self.shop.machines_of(MachineKind::Mill).next().is_some();
        let kind = if mill && placed { MachineKind::Mill } else { MachineKind::DrillPress };
        let need = Need { drill: Some(hole.diameter), ..Need::default() };
        let (machine, spindle) = self.machine(kind, need, &title);
        let set_up = match self.datum() {
            Some(_) => "Flat on parallels, clamped; zero at the bore's centre, by an indicator in the spindle.",
            None => "Flat on parallels, clamped; zero at the scribed centre.",
        };
        let mut draft = self.draft(Step::Drill, &title, machine, set_up);
        draft.operation.features.push(cut.feature.clone());
        if self.datum().is_some() {
            let indicator = self.small(SmallTool::Indicator, &title);
            draft.operation.tools.push(indicator);
        }
        if kind == MachineKind::DrillPress {
            let scriber = self.small(SmallTool::Scriber, &title);
            draft.operation.tools.push(scriber);
        }
        for (number, place) in hole.places.iter().enumerate() {
            draft.operation.instructions.push(self.place_sentence(number + 1, place));
        }
        let boring = Boring { spindle: &spindle, material: self.material, on_lathe: false };
        // a boring bar needs the part turning about this hole; off the centre it is reamed or drilled
        let finish = if hole.finish == HoleFinish::Bored { HoleFinish::Reamed } else { hole.finish };
        self.make_hole(&mut draft, hole.diameter, hole.limits, finish, &boring);
        let size = self.check(&cut.feature, "hole diameter", hole.diameter, Some(hole.limits), Side::Inside, &title);
        draft.operation.checks.push(size);
        let mut radii: Vec<Length> = hole.places.iter().filter_map(|place| place.radius).collect();
        radii.dedup_by(|a, b| (*a - *b).abs() < Length::from_mm(1e-6));
        for radius in radii {
            let check = self.check(
                &cut.feature,
                "distance from the bore's centre",
                radius,
                Some(PLACE_LIMITS),
                Side::Outside,
                &title,
            );
            draft.operation.checks.push(check);
        }
        self.push(draft);
    }

    fn place_sentence(&self, number: usize, place: &part::Place) -> String {
        match (place.radius, place.angle) {
            (Some(radius), Some(angle)) => {
                // anticlockwise from the top, as the outline is drawn
                let (across, up) = (-(radius * angle.sin()), radius * angle.cos());
                let sign = self.shop.unit.sign();
                format!(
                    "Hole {number}: {} from the bore's centre at {}; that is {} {sign} across and {} {sign} up from it.",
                    self.len(radius),
                    print::angle(angle),
                    print::signed(across, self.shop.unit, 3),
                    print::signed(up, self.shop.unit, 3),
                )
            }
            (Some(radius), None) => format!(
                "Hole {number}: {} from the bore's centre, its direction is not known: scribe it from the original before drilling.",
                self.len(radius)
            ),
            (None, _) => {
                format!("Hole {number}: its place is not known: transfer it from the original.")
            }
        }
    }

    fn make_plug(&mut self) {
        let Some(bore) = self.datum() else {
            self.notes.push(
                "There is no bore to line the part up on its mate: clamp it where it ran, by its teeth or edges."
                    .into(),
            );
            return;
        };
        let title = "Make the alignment plug";
        let (machine, spindle) = self.machine(MachineKind::Lathe, Need::default(), title);
        let mut draft = self.draft(Step::MakePlug, title, machine, "Mild steel in the chuck, all in one gripping.");
        let tool = self.small(SmallTool::TurningTool, title);
        let steel = standards::material("mild steel");
        draft.operation.running =
            self.running(&tool.label, Doing::Turning, bore, &spindle, steel, FeedOf::Turning(Pass::Finish));
        draft.operation.tools.push(tool);
        draft.operation.pieces = Pieces::Once;
        draft.operation.instructions.push(
            "Turn a plug that slides into both bores without shake, the part's and its mate's: if they differ, step it. Keep it with the job for the spares."
                .into(),
        );
        let check = self.check("part", "plug, the part's end", bore, Some(PLUG_LIMITS), Side::Outside, title);
        draft.operation.checks.push(check);
        self.push(draft);
    }

    fn match_drill(&mut self, cut: &Cut, hole: &HoleWork) {
        let title = format!(
            "Match-drill {} {} through the mating part ({})",
            count(hole),
            self.fine(hole.diameter),
            cut.feature
        );
        let need = Need { drill: Some(hole.diameter), ..Need::default() };
        let kind = match self.shop.machines_of(MachineKind::DrillPress).next() {
            None if self.shop.machines_of(MachineKind::Mill).next().is_some() => MachineKind::Mill,
            _ => MachineKind::DrillPress,
        };
        let (machine, spindle) = self.machine(kind, need, &title);
        let set_up = match self.datum() {
            Some(_) => "Part and mate on the alignment plug, turned to where they ran, clamped together on the table.",
            None => "Part and mate clamped together on the table where they ran.",
        };
        let mut draft = self.draft(Step::MatchDrill, &title, machine, set_up);
        let mate = match self.brief.has_mate {
            true => ToolPick::owned(ToolKind::Mate, "the mating part"),
            false => ToolPick::missing(ToolKind::Mate, "the mating part"),
        };
        self.lack(
            &mate,
            &title,
            vec![
                "These holes are located by it alone: leave them undone, as in the spares, until it is at hand.".into(),
            ],
        );
        let punch = self.small(SmallTool::TransferPunch, &title);
        draft.operation.tools.extend([mate, punch]);
        draft.operation.features.push(cut.feature.clone());
        draft.operation.pieces = Pieces::Fitted;
        draft.operation.instructions.push(
            "Spot through the mate's holes with the transfer punch, so that no drill cuts the mate's metal.".into(),
        );
        if hole.places.len() > 1 {
            draft
                .operation
                .instructions
                .push("Make one hole, put a pin through both parts, then the next: nothing can shift any more.".into());
        }
        let boring = Boring { spindle: &spindle, material: self.material, on_lathe: false };
        let finish = if hole.finish == HoleFinish::Bored { HoleFinish::Reamed } else { hole.finish };
        self.make_hole(&mut draft, hole.diameter, hole.limits, finish, &boring);
        if self.brief.spares > 0 {
            draft
                .operation
                .notes
                .push("Left undone in the spares: each is drilled through the mate it is fitted to.".into());
        }
        let size = self.check(&cut.feature, "hole diameter", hole.diameter, Some(hole.limits), Side::Inside, &title);
        draft.operation.checks.push(size);
        self.push(draft);
    }
}

fn verb(finish: HoleFinish) -> &'static str {
    match finish {
        HoleFinish::Drilled => "Drill",
        HoleFinish::Reamed | HoleFinish::Bored => "Drill and ream",
    }
}

fn count(hole: &HoleWork) -> String {
    match hole.places.len() {
        0 | 1 => "one hole".to_string(),
        several => format!("{several} holes"),
    }
}
