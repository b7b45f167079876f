//! The bore that everything is made true to, and the bush that is pressed into it.

use part::{Bush, Cut, HoleFinish, HoleWork};
use quantity::Length;
use standards::Material;
use standards::cutting::Pass;
use standards::fits::Limits;

use super::turning::cuts_to;
use super::{FeedOf, Need, Planner, Side};
use crate::blank::{Body, ON_DIAMETER};
use crate::order::{Draft, Step};
use crate::shop::{MachineKind, SmallTool, Speeds};
use crate::speeds::Doing;
use crate::tools::{ToolKind, ToolPick, drill_below, drill_near, reamer_within};

/// Left for the boring bar, which cuts true what the drill left crooked; common practice.
const LEFT_FOR_BORING: Length = Length::from_mm(1.0);
/// What drills the way for a large one; common practice.
const PILOT_ABOVE: Length = Length::from_mm(13.0);
/// A bush's bore is left this much under until it is pressed, for it closes in; common practice.
const LEFT_IN_BUSH: Length = Length::from_mm(0.25);
/// What a bush's length is held to; common practice.
const BUSH_LENGTH_LIMITS: Limits = Limits { lower: Length::from_mm(-0.1), upper: Length::from_mm(0.1) };

/// What a round hole is made in.
pub(super) struct Boring<'s> {
    pub spindle: &'s Speeds,
    pub material: Option<&'static Material>,
    /// The work turns in a lathe: a boring bar can finish the hole.
    pub on_lathe: bool,
}

impl Planner<'_> {
    pub(super) fn bores(&mut self) {
        for (cut, bore) in self.bores_of() {
            self.bore(cut, bore);
        }
    }

    fn bore(&mut self, cut: &Cut, bore: &HoleWork) {
        let how = match bore.finish {
            HoleFinish::Drilled => "Drill",
            HoleFinish::Reamed => "Drill and ream",
            HoleFinish::Bored => "Bore",
        };
        let title = format!("{how} the bore {} ({})", self.fine(bore.diameter), cut.feature);
        let swing = match self.blank.sawn {
            Body::Round { diameter, .. } => Some(diameter),
            Body::Flat { width, height, .. } => Some(Length::from_mm(width.mm().hypot(height.mm()))),
            Body::Unknown => None,
        };
        let (machine, spindle) = self.machine(MachineKind::Lathe, Need { swing, ..Need::default() }, &title);
        let set_up = match self.is_turned() {
            true => "In the chuck, gripped on the sawn outside.",
            false => "On the faceplate, the bore's scribed centre set true, counterweighted.",
        };
        let mut draft = self.draft(Step::Bore, &title, machine, set_up);
        draft.operation.features.push(cut.feature.clone());
        draft
            .operation
            .instructions
            .push("The bore is made in one setting with a faced side: it is the datum for all that follows.".into());
        let boring = Boring { spindle: &spindle, material: self.material, on_lathe: true };
        self.make_hole(&mut draft, bore.diameter, bore.limits, bore.finish, &boring);
        let check = self.check(&cut.feature, "bore diameter", bore.diameter, Some(bore.limits), Side::Inside, &title);
        draft.operation.checks.push(check);
        self.push(draft);
    }

    /// Drill, then reamer or boring bar as it is to be finished and as the drawers allow.
    pub(super) fn make_hole(
        &mut self,
        draft: &mut Draft,
        diameter: Length,
        limits: Limits,
        finish: HoleFinish,
        boring: &Boring<'_>,
    ) {
        let title = draft.operation.title.clone();
        let centre = self.small(SmallTool::CentreDrill, &title);
        draft.operation.tools.push(centre);
        let (smallest, largest) = limits.sizes(diameter);
        match finish {
            HoleFinish::Drilled => self.drill_to_size(draft, diameter, boring),
            HoleFinish::Reamed => self.ream(draft, diameter, (smallest, largest), boring),
            HoleFinish::Bored => self.bore_out(draft, diameter, boring),
        }
    }

    fn drill_to_size(&mut self, draft: &mut Draft, diameter: Length, boring: &Boring<'_>) {
        let title = draft.operation.title.clone();
        match drill_near(&self.shop.drawers.drills, diameter) {
            Some(pick) if (pick.difference.abs()) <= allowed_off(diameter) => {
                let tool =
                    ToolPick::owned(ToolKind::Drill, pick.nearest.label.clone()).noted(pick.sentence(self.shop.unit));
                draft.operation.notes.push(pick.sentence(self.shop.unit));
                self.run_drill(draft, &tool, pick.nearest.diameter, boring);
            }
            near => {
                let tool = ToolPick::missing(ToolKind::Drill, format!("{} drill", self.fine(diameter)));
                let mut ways = Vec::new();
                if let Some(pick) = near {
                    ways.push(pick.sentence(self.shop.unit));
                }
                ways.push("Buy the drill; or drill under and bore to size on the lathe.".into());
                self.lack(&tool, &title, ways);
                self.run_drill(draft, &tool, diameter, boring);
            }
        }
    }

    fn ream(
        &mut self,
        draft: &mut Draft,
        diameter: Length,
        (smallest, largest): (Length, Length),
        boring: &Boring<'_>,
    ) {
        let title = draft.operation.title.clone();
        let (tool, drill, allowance, size) =
            match reamer_within(&self.shop.drawers.reamers, &self.shop.drawers.drills, smallest, largest) {
                Some(pick) => (
                    ToolPick::owned(ToolKind::Reamer, pick.reamer.label.clone()),
                    pick.drill,
                    pick.allowance,
                    pick.reamer.diameter,
                ),
                None if boring.on_lathe && self.shop.owns(SmallTool::BoringBar) => {
                    draft.operation.notes.push(format!(
                        "No reamer owned lies between {} and {}: bored instead.",
                        self.fine(smallest),
                        self.fine(largest)
                    ));
                    return self.bore_out(draft, diameter, boring);
                }
                None => {
                    let tool = ToolPick::missing(ToolKind::Reamer, format!("{} reamer", self.fine(diameter)));
                    let ways = vec![
                        format!(
                            "Buy or borrow one that cuts between {} and {}.",
                            self.fine(smallest),
                            self.fine(largest)
                        ),
                        "Or drill under, and bore it on the lathe to size.".into(),
                    ];
                    self.lack(&tool, &title, ways);
                    (tool, None, crate::tools::ream_allowance(diameter), diameter)
                }
            };
        let left = match drill {
            Some((drill, left)) => {
                let pick = ToolPick::owned(ToolKind::Drill, drill.label.clone());
                self.run_drill(draft, &pick, drill.diameter, boring);
                left
            }
            None => self.open_up_for_reamer(draft, size, allowance, boring),
        };
        draft.operation.instructions.push(format!(
            "Ream with {} of {}: slowly, straight in and out without stopping or turning backwards.",
            self.fine(left),
            self.fine(size)
        ));
        draft.operation.running.extend(self.running(
            &tool.label,
            Doing::Reaming,
            size,
            boring.spindle,
            boring.material,
            FeedOf::Reamer,
        ));
        draft.operation.tools.push(tool);
    }

    /// Where no drill leaves the right amount: the next one under, then a boring bar; on a drill press a drill must be had.
    fn open_up_for_reamer(
        &mut self,
        draft: &mut Draft,
        size: Length,
        allowance: (Length, Length),
        boring: &Boring<'_>,
    ) -> Length {
        let title = draft.operation.title.clone();
        let left = (allowance.0 + allowance.1) / 2.0;
        if boring.on_lathe {
            self.drill_under(draft, size - LEFT_FOR_BORING, boring);
            let bar = self.small(SmallTool::BoringBar, &title);
            draft
                .operation
                .instructions
                .push(format!("Bore to {}, which leaves the reamer its due.", self.fine(size - left)));
            draft.operation.running.extend(self.running(
                &bar.label,
                Doing::Turning,
                size,
                boring.spindle,
                boring.material,
                FeedOf::Turning(Pass::Finish),
            ));
            draft.operation.tools.push(bar);
        } else {
            let (from, to) = (size - allowance.1, size - allowance.0);
            let tool =
                ToolPick::missing(ToolKind::Drill, format!("drill between {} and {}", self.fine(from), self.fine(to)));
            let ways = match drill_below(&self.shop.drawers.drills, from) {
                Some(below) => {
                    vec![format!("{} leaves more than a reamer likes; ream it in two goes, by hand.", below.label)]
                }
                None => vec!["Buy it: nothing smaller is owned either.".into()],
            };
            self.lack(&tool, &title, ways);
            self.run_drill(draft, &tool, size - left, boring);
        }
        left
    }

    fn bore_out(&mut self, draft: &mut Draft, diameter: Length, boring: &Boring<'_>) {
        let title = draft.operation.title.clone();
        self.drill_under(draft, diameter - LEFT_FOR_BORING, boring);
        let bar = self.small(SmallTool::BoringBar, &title);
        draft.operation.running.extend(self.running(
            &bar.label,
            Doing::Turning,
            diameter,
            boring.spindle,
            boring.material,
            FeedOf::Turning(Pass::Finish),
        ));
        draft.operation.passes = cuts_to(diameter, diameter - LEFT_FOR_BORING);
        draft.operation.instructions.push(format!(
            "Bore to {} in light cuts, the last two alike without moving the tool between them; gauge before the last.",
            self.fine(diameter)
        ));
        draft.operation.tools.push(bar);
    }

    /// The largest owned drill not above a size, with a pilot where it is large.
    fn drill_under(&mut self, draft: &mut Draft, size: Length, boring: &Boring<'_>) {
        let title = draft.operation.title.clone();
        let hair = Length::from_mm(0.001);
        match drill_below(&self.shop.drawers.drills, size + hair) {
            Some(drill) => {
                let pick = ToolPick::owned(ToolKind::Drill, drill.label.clone());
                let (diameter, far_under) = (drill.diameter, size - drill.diameter);
                self.run_drill(draft, &pick, diameter, boring);
                if far_under > Length::from_mm(3.0) {
                    draft
                        .operation
                        .notes
                        .push(format!("The largest drill owned leaves {} to be bored out.", self.len(far_under)));
                }
            }
            None => {
                let largest = size.max(Length::from_mm(0.5));
                let pick = ToolPick::missing(ToolKind::Drill, format!("drill up to {}", self.fine(largest)));
                self.lack(&pick, &title, vec!["Any drill below that size serves; the drawer has none.".into()]);
                self.run_drill(draft, &pick, largest, boring);
            }
        }
    }

    fn run_drill(&mut self, draft: &mut Draft, tool: &ToolPick, diameter: Length, boring: &Boring<'_>) {
        if diameter > PILOT_ABOVE {
            let pilot = drill_below(&self.shop.drawers.drills, diameter / 2.0)
                .filter(|pilot| pilot.label != tool.label && pilot.diameter > diameter / 6.0);
            if let Some(pilot) = pilot {
                draft.operation.tools.push(ToolPick::owned(ToolKind::Drill, pilot.label.clone()));
                draft.operation.instructions.push(format!("Drill a pilot with {}.", pilot.label));
                draft.operation.running.extend(self.running(
                    &pilot.label,
                    Doing::Drilling,
                    pilot.diameter,
                    boring.spindle,
                    boring.material,
                    FeedOf::Drill,
                ));
            }
        }
        draft.operation.instructions.push(format!("Drill with {}.", tool.label));
        draft.operation.running.extend(self.running(
            &tool.label,
            Doing::Drilling,
            diameter,
            boring.spindle,
            boring.material,
            FeedOf::Drill,
        ));
        draft.operation.tools.push(tool.clone());
    }

    pub(super) fn bushes(&mut self) {
        for (cut, bush) in self.bush_cuts() {
            self.make_bush(cut, bush);
            self.press_bush(cut, bush);
        }
    }

    fn make_bush(&mut self, cut: &Cut, bush: &Bush) {
        let title = format!("Make the bush ({})", cut.feature);
        let stands_at = bush.outside + ON_DIAMETER;
        let (machine, spindle) =
            self.machine(MachineKind::Lathe, Need { swing: Some(stands_at), ..Need::default() }, &title);
        let mut draft = self.draft(Step::MakeBush, &title, machine, "Bush stock in the chuck, all in one gripping.");
        let metal = standards::material(&bush.material);
        let stock = self.bush_stock(bush, &title);
        let turning = self.small(SmallTool::TurningTool, &title);
        let parting = self.small(SmallTool::PartingTool, &title);
        draft.operation.features.push(cut.feature.clone());
        draft.operation.pieces = self.pieces_for(cut);
        draft.operation.running =
            self.running(&turning.label, Doing::Turning, bush.outside, &spindle, metal, FeedOf::Turning(Pass::Finish));
        draft.operation.passes = cuts_to(stands_at, bush.outside);
        let centre = self.small(SmallTool::CentreDrill, &title);
        draft.operation.tools.extend([stock, turning, parting, centre]);
        draft.operation.instructions.push(format!(
            "Turn the outside of {} to {} for the press fit, with a short lead of 1° at one end.",
            bush.material,
            self.fine(bush.outside)
        ));
        let boring = Boring { spindle: &spindle, material: metal, on_lathe: true };
        self.drill_under(&mut draft, bush.inside - LEFT_FOR_BORING, &boring);
        let bar = self.small(SmallTool::BoringBar, &title);
        draft.operation.running.extend(self.running(
            &bar.label,
            Doing::Turning,
            bush.inside,
            &spindle,
            metal,
            FeedOf::Turning(Pass::Finish),
        ));
        draft.operation.tools.push(bar);
        draft.operation.instructions.push(format!(
            "Bore to {}, {} under: the bush closes in when it is pressed, and is finished then. Part off.",
            self.fine(bush.inside - LEFT_IN_BUSH),
            self.fine(LEFT_IN_BUSH)
        ));
        if metal.is_none() {
            draft.operation.notes.push(format!("No cutting speeds are known for {}.", bush.material));
        }
        let outside =
            self.check(&cut.feature, "bush outside", bush.outside, Some(bush.outside_limits), Side::Outside, &title);
        draft.operation.checks.push(outside);
        if let Some(length) = bush.length.or(self.thickness()) {
            let check =
                self.check(&cut.feature, "bush length", length, Some(BUSH_LENGTH_LIMITS), Side::Outside, &title);
            draft.operation.checks.push(check);
        }
        self.push(draft);
    }

    fn bush_stock(&mut self, bush: &Bush, title: &str) -> ToolPick {
        let unit = self.shop.unit;
        let body =
            Body::Round { diameter: bush.outside, length: bush.length.or(self.thickness()).or(Some(bush.outside)) };
        let blank = crate::blank::choose(body, &bush.material, self.how_many(), &self.shop.rack, unit);
        let pick = match blank.from_rack {
            Some(index) => ToolPick::owned(ToolKind::Stock, crate::blank::describe_stock(&self.shop.rack[index], unit)),
            None => ToolPick::missing(
                ToolKind::Stock,
                format!("{}: {}", bush.material, crate::blank::describe(blank.sawn, unit)),
            ),
        };
        self.lack(
            &pick,
            title,
            vec!["Buy it as cast or cored bar; a ready-made bush of that outside serves too.".into()],
        );
        pick
    }

    fn press_bush(&mut self, cut: &Cut, bush: &Bush) {
        let title = format!("Press in the bush and finish its bore ({})", cut.feature);
        let (machine, _) = self.machine(MachineKind::ArborPress, Need::default(), &title);
        let mut draft =
            self.draft(Step::PressBush, &title, machine, "Part flat on the press plate, hole over the slot.");
        draft.operation.features.push(cut.feature.clone());
        draft.operation.pieces = self.pieces_for(cut);
        draft.operation.instructions.push(
            "Oil the bush, start it square by its lead with a stub mandrel through it, press home in one stroke. If it cocks, press it out and begin again."
                .into(),
        );
        let (smallest, largest) = bush.inside_limits.sizes(bush.inside);
        match reamer_within(&self.shop.drawers.reamers, &self.shop.drawers.drills, smallest, largest) {
            Some(pick) => {
                draft.operation.tools.push(ToolPick::owned(ToolKind::Reamer, pick.reamer.label.clone()));
                draft.operation.instructions.push(
                    "Then ream the bush through, slowly, the reamer kept square and never turned backwards.".into(),
                );
            }
            None => {
                let bar = self.small(SmallTool::BoringBar, &title);
                draft.operation.tools.push(bar);
                draft.operation.instructions.push(format!(
                    "Then bore the bush to {} in the lathe, the part set true by its faced side: no reamer of the size is owned.",
                    self.fine(bush.inside)
                ));
            }
        }
        let limits = Some(bush.inside_limits);
        let inside = self.check(&cut.feature, "bush bore after pressing", bush.inside, limits, Side::Inside, &title);
        draft.operation.checks.push(inside);
        self.push(draft);
    }
}

/// How far a drill may be off a hole that is simply drilled: holes come out over size by as much anyway. Common practice.
fn allowed_off(diameter: Length) -> Length {
    Length::from_mm(0.05).max(diameter * 0.01)
}
