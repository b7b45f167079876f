//! Holes that stand off the centre: by coordinates, or through the mating part.

use part::{Cut, HoleFinish, HoleWork};
use quantity::{Length, print};
use standards::fits::Limits;
use standards::times::Allowance;

use super::bore::Boring;
use super::turning::cuts_to;
use super::{Need, Planner, Side, aim, is_bore};
use crate::blank::{Body, ON_DIAMETER, choose, describe, describe_stock, is_far_too_thick};
use crate::mass::Metal;
use crate::order::Step;
use crate::plan::Pieces;
use crate::shop::{MachineKind, SmallTool};
use crate::time::Per;
use crate::tools::{ToolKind, ToolPick};

/// What the distance of a drilled hole from the bore is held to; common practice by coordinates on a mill.
const PLACE_LIMITS: Limits = Limits { lower: Length::from_mm(-0.1), upper: Length::from_mm(0.1) };
/// What an alignment plug is turned from.
const PLUG_METAL: &str = "mild steel";
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
        let limits = self.limits_of(&[size_name(hole)], hole.diameter, hole.limits);
        let way = self.hole_way(hole.diameter, limits, hole.finish, None);
        let title = format!("{} {} {} ({})", way.verb(), count(hole), self.called(hole, limits), cut.feature);
        let placed = hole.places.iter().all(|place| place.radius.is_some() && place.angle.is_some());
        // on a mill the places are set by its dials; a drill press follows punch marks
        let need = Need { drill: Some(hole.diameter), ..Need::default() };
        let first = if placed { MachineKind::Mill } else { MachineKind::DrillPress };
        let kind = self.drilling_machine(first, need);
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
        draft.operation.timing.tasks.push(self.task(Allowance::PlaceHole, hole.places.len().max(1) as f64, Per::Blank));
        let boring = self.boring(&spindle, hole);
        self.make_hole(&mut draft, hole.diameter, limits, way, &boring);
        let size = self.check(&cut.feature, size_name(hole), hole.diameter, limits, Side::Inside, &title);
        draft.operation.checks.push(size);
        let mut radii: Vec<Length> = hole.places.iter().filter_map(|place| place.radius).collect();
        radii.dedup_by(|a, b| (*a - *b).abs() < Length::from_mm(1e-6));
        for radius in radii {
            let what = "hole from bore centre";
            let limits = self.limits_of(&[what], radius, PLACE_LIMITS);
            let check = self.check(&cut.feature, what, radius, limits, Side::Outside, &title);
            draft.operation.checks.push(check);
        }
        self.push(draft);
    }

    fn called(&self, hole: &HoleWork, limits: Limits) -> String {
        match hole.finish {
            HoleFinish::Tapped(thread) => thread.name.clone(),
            HoleFinish::Drilled | HoleFinish::Reamed | HoleFinish::Bored => self.named(hole.diameter, limits),
        }
    }

    /// Drilled where it lies, through the part's thickness unless it is told otherwise.
    fn boring<'s>(&self, spindle: &'s super::Spindle, hole: &HoleWork) -> Boring<'s> {
        Boring {
            spindle,
            material: self.material,
            on_lathe: false,
            depth: hole.depth.or(self.thickness()),
            holes: (hole.places.len() as u32).max(1),
        }
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
        let steel = standards::material(PLUG_METAL);
        let mut draft =
            self.draft_in(steel, Step::MakePlug, title, machine, "Mild steel in the chuck, all in one gripping.");
        let tool = self.small(SmallTool::TurningTool, title);
        let target = aim(bore, PLUG_LIMITS);
        let body = Body::Round { diameter: bore, length: Some(self.thickness().unwrap_or(bore) * 2.0 + bore) };
        let blank = choose(body, Length::ZERO, PLUG_METAL, 1, &self.shop.rack, self.shop.unit);
        // a thick bar is not turned to chips for a plug
        let near = blank.from_rack.filter(|_| blank.stands_at.is_none_or(|bar| !is_far_too_thick(bar, bore)));
        let stock = match near {
            Some(index) => ToolPick::owned(ToolKind::Stock, describe_stock(&self.shop.rack[index], self.shop.unit)),
            None => {
                ToolPick::missing(ToolKind::Stock, format!("{PLUG_METAL}: {}", describe(blank.sawn, self.shop.unit)))
            }
        };
        self.lack(
            &stock,
            title,
            vec!["Any steel end of about that size does, even a bolt; or a thicker bar off the rack.".into()],
        );
        let stands_at = blank.stands_at.filter(|_| near.is_some()).unwrap_or(bore + ON_DIAMETER);
        draft.operation.running = self.turning_runs(&tool.label, stands_at, target, &spindle, steel);
        draft.operation.passes = cuts_to(stands_at, target, spindle.stiffness);
        if let Body::Round { length: Some(length), .. } = blank.body {
            let running = std::mem::take(&mut draft.operation.running);
            draft.operation.running = Self::travelled(running, draft.operation.passes.as_ref(), length);
        }
        draft.operation.timing.tasks.push(self.task(Allowance::PartOff, 1.0, Per::Blank));
        self.metals.push(Metal::of("alignment plug", &blank, Pieces::Once, near.is_some()));
        draft.operation.tools.extend([stock, tool]);
        draft.operation.pieces = Pieces::Once;
        draft.operation.instructions.push(format!(
            "Turn a plug that slides into both bores without shake, {} for the part's own: if the mate's differs, step it. Keep it with the job for the spares.",
            self.range(bore, PLUG_LIMITS)
        ));
        let check = self.check("part", "plug, the part's end", bore, PLUG_LIMITS, Side::Outside, title);
        draft.operation.checks.push(check);
        self.push(draft);
    }

    fn match_drill(&mut self, cut: &Cut, hole: &HoleWork) {
        let limits = self.limits_of(&[size_name(hole)], hole.diameter, hole.limits);
        let way = self.hole_way(hole.diameter, limits, hole.finish, None);
        let title = format!(
            "Match-drill {} {} through the mating part ({})",
            count(hole),
            self.called(hole, limits),
            cut.feature
        );
        let need = Need { drill: Some(hole.diameter), ..Need::default() };
        let kind = self.drilling_machine(MachineKind::DrillPress, need);
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
        draft.operation.timing.tasks.extend([
            self.task(Allowance::LineUpOnMate, 1.0, Per::Blank),
            self.task(Allowance::SpotThroughMate, hole.places.len().max(1) as f64, Per::Blank),
        ]);
        let boring = self.boring(&spindle, hole);
        self.make_hole(&mut draft, hole.diameter, limits, way, &boring);
        if self.brief.spares > 0 {
            draft
                .operation
                .notes
                .push("Left undone in the spares: each is drilled through the mate it is fitted to.".into());
        }
        let size = self.check(&cut.feature, size_name(hole), hole.diameter, limits, Side::Inside, &title);
        draft.operation.checks.push(size);
        self.push(draft);
    }

    /// Mill or drill press, this one first: the one that is owned and takes the drill.
    fn drilling_machine(&self, first: MachineKind, need: Need) -> MachineKind {
        let second = if first == MachineKind::Mill { MachineKind::DrillPress } else { MachineKind::Mill };
        let takes =
            |kind: &MachineKind| self.shop.machines_of(*kind).any(|machine| self.shortfalls(machine, need).is_empty());
        let owned = |kind: &MachineKind| self.owns(*kind);
        [first, second]
            .into_iter()
            .find(takes)
            .or([first, second].into_iter().find(owned))
            .unwrap_or(MachineKind::DrillPress)
    }
}

/// What is measured of it, as its characteristic is named.
fn size_name(hole: &HoleWork) -> &'static str {
    match hole.finish {
        HoleFinish::Tapped(_) => "thread core",
        HoleFinish::Drilled | HoleFinish::Reamed | HoleFinish::Bored => "hole diameter",
    }
}

fn count(hole: &HoleWork) -> String {
    match hole.places.len() {
        0 | 1 => "one hole".to_string(),
        several => format!("{several} holes"),
    }
}
