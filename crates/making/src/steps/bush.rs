//! A bush: made, pressed into its hole, its bore finished there.

use part::{Bush, Cut, Pressing};
use standards::cutting::Pass;
use standards::fits::Limits;
use standards::times::Allowance;

use super::bore::{Boring, LEFT_FOR_BORING, LEFT_IN_BUSH};
use super::turning::{cuts_from, cuts_to};
use super::{FeedOf, Need, Planner, Side, aim};
use crate::blank::{Blank, Body};
use crate::mass::Metal;
use crate::order::Step;
use crate::plan::{Passes, Pieces};
use crate::safety::lower_first;
use crate::shop::{MachineKind, SmallTool};
use crate::speeds::Doing;
use crate::time::{Per, Travel};
use crate::tools::{ToolKind, ToolPick, kinded, reamer_within};
use quantity::{Length, print};

const AFTER_PRESSING: &str = "bush inside diameter, after pressing";

impl Planner<'_> {
    pub(super) fn bushes(&mut self) {
        for (cut, bush) in self.bush_cuts() {
            self.make_bush(cut, bush);
            self.press_bush(cut, bush);
        }
    }

    fn make_bush(&mut self, cut: &Cut, bush: &Bush) {
        let title = format!("Make the bush ({})", cut.feature);
        let (stock, blank) = self.bush_stock(bush, &title);
        let stands_at = blank.stands_at.unwrap_or(bush.outside);
        let (machine, spindle) =
            self.machine(MachineKind::Lathe, Need { swing: Some(stands_at), ..Need::default() }, &title);
        let metal = standards::material(&bush.material);
        let set_up = "Bush stock in the chuck, all in one gripping.";
        let mut draft = self.draft_in(metal, Step::MakeBush, &title, machine, set_up);
        let turning = self.small(SmallTool::TurningTool, &title);
        let parting = self.small(SmallTool::PartingTool, &title);
        let outside_limits = self.limits_of(&["bush outside diameter"], bush.outside, bush.outside_limits);
        let outside = aim(bush.outside, outside_limits);
        draft.operation.features.push(cut.feature.clone());
        draft.operation.pieces = self.pieces_for(cut);
        draft.operation.running = self.turning_runs(&turning.label, stands_at, outside, &spindle, metal);
        let centre = self.small(SmallTool::CentreDrill, &title);
        draft.operation.tools.extend([stock, turning, parting, centre]);
        draft.operation.instructions.push(format!(
            "Turn the outside of {} to {} for the press fit, with a short lead of 1° at one end.",
            bush.material,
            self.range(bush.outside, outside_limits)
        ));
        let length = bush.length.or(self.thickness());
        draft.operation.passes = cuts_to(stands_at, outside, spindle.stiffness);
        if let Some(length) = length {
            let running = std::mem::take(&mut draft.operation.running);
            draft.operation.running = Self::travelled(running, draft.operation.passes.as_ref(), length);
        }
        draft.operation.timing.tasks.push(self.task(Allowance::PartOff, 1.0, Per::Blank));
        let boring = Boring { spindle: &spindle, material: metal, on_lathe: true, depth: length, holes: 1 };
        if length.is_none() {
            self.untimed_thickness();
        }
        let bored = bush.inside - LEFT_IN_BUSH;
        let drilled = self.drill_under(&mut draft, bored - LEFT_FOR_BORING, &boring);
        let passes = cuts_from(drilled, bored, spindle.stiffness);
        self.run_boring_bar(&mut draft, bored, passes.as_ref().map_or(1, |passes| passes.each.len() as u32), &boring);
        let cuts =
            passes.map_or_else(String::new, |passes: Passes| format!(" in {}", lower_first(&passes.count_sentence())));
        draft.operation.instructions.push(format!(
            "Bore from {} to {}{cuts}, {} under: the bush closes in when it is pressed, and is finished then. Part off.",
            self.fine(drilled),
            self.fine(bored),
            self.fine(LEFT_IN_BUSH)
        ));
        if metal.is_none() {
            self.untimed_metal(&bush.material);
            draft.operation.notes.push(format!("No cutting speeds are known for {}.", bush.material));
        }
        let check =
            self.check(&cut.feature, "bush outside diameter", bush.outside, outside_limits, Side::Outside, &title);
        draft.operation.checks.push(check);
        if let Some(length) = bush.length.or(self.thickness()) {
            let limits = self.length_limits(length);
            let check = self.check(&cut.feature, "bush length", length, limits, Side::Outside, &title);
            draft.operation.checks.push(check);
        }
        self.push(draft);
    }

    fn bush_stock(&mut self, bush: &Bush, title: &str) -> (ToolPick, Blank) {
        let unit = self.shop.unit;
        let body =
            Body::Round { diameter: bush.outside, length: bush.length.or(self.thickness()).or(Some(bush.outside)) };
        let blank = crate::blank::choose(body, Length::ZERO, &bush.material, self.how_many(), &self.shop.rack, unit);
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
        self.metals.push(Metal::of("bush", &blank, Pieces::All, blank.from_rack.is_some()));
        (pick, blank)
    }

    fn press_bush(&mut self, cut: &Cut, bush: &Bush) {
        let limits = self.limits_of(&["bush inside diameter"], bush.inside, bush.inside_limits);
        let (smallest, largest) = limits.sizes(bush.inside);
        let reamer = reamer_within(&self.shop.drawers.reamers, &self.shop.drawers.drills, smallest, largest)
            .map(|pick| kinded("reamer", &pick.reamer.label));
        let bored = reamer.is_none() && self.owns(MachineKind::Lathe);
        let title = match bored {
            true => format!("Press in the bush ({})", cut.feature),
            false => format!("Press in the bush and finish its bore ({})", cut.feature),
        };
        let (machine, _) = self.machine(MachineKind::ArborPress, Need::default(), &title);
        let mut draft =
            self.draft(Step::PressBush, &title, machine, "Part flat on the press plate, hole over the slot.");
        // the bush's metal makes the chips
        draft.operation.cautions.extend(standards::material(&bush.material).and_then(|metal| metal.caution.clone()));
        draft.operation.features.push(cut.feature.clone());
        draft.operation.pieces = self.pieces_for(cut);
        draft.operation.timing.tasks.push(self.task(Allowance::PressBush, 1.0, Per::Blank));
        draft.operation.instructions.push(
            "Oil the bush, start it square by its lead with a stub mandrel through it, press home in one stroke. If it cocks, press it out and begin again."
                .into(),
        );
        draft.operation.instructions.extend(bush.pressing.as_ref().map(|pressing| self.pressing(pressing)));
        if bored {
            self.push(draft);
            return self.bore_the_bush(cut, bush, limits);
        }
        let pick = match reamer {
            Some(label) => ToolPick::owned(ToolKind::Reamer, label),
            None => ToolPick::missing(ToolKind::Reamer, format!("reamer {}", self.fine(aim(bush.inside, limits)))),
        };
        let way = format!("Buy or borrow one that cuts within {}.", self.between(smallest, largest));
        self.lack(&pick, &title, vec![way]);
        draft.operation.timing.tasks.push(self.task(Allowance::ReamByHand, 1.0, Per::Blank));
        draft.operation.tools.push(pick);
        draft.operation.instructions.push(format!(
            "Then ream the bush through, to {}, slowly, the reamer kept square and never turned backwards.",
            self.between(smallest, largest)
        ));
        let inside = self.check(&cut.feature, AFTER_PRESSING, bush.inside, limits, Side::Inside, &title);
        draft.operation.checks.push(inside);
        self.push(draft);
    }

    /// What the press pushes with and what the bush then leaves to be reamed.
    fn pressing(&self, pressing: &Pressing) -> String {
        let (least, most) = pressing.closes;
        let left = self.between(least + LEFT_IN_BUSH, most + LEFT_IN_BUSH);
        let closes = format!("Its bore closes by up to {}: {left} is left in it.", self.fine(most));
        match pressing.push_n {
            Some((_, push)) => {
                format!("Up to {} is needed; more means that it binds. {closes}", print::force(push, self.shop.unit))
            }
            None => closes,
        }
    }

    /// In the lathe, where no reamer of the size is owned.
    fn bore_the_bush(&mut self, cut: &Cut, bush: &Bush, limits: Limits) {
        let title = format!("Bore the bush to size ({})", cut.feature);
        let across = self.blank.stands_at.unwrap_or(bush.outside);
        let swing = Some(across).filter(|_| self.is_turned());
        let (machine, spindle) = self.machine(MachineKind::Lathe, Need { swing, ..Need::default() }, &title);
        let metal = standards::material(&bush.material);
        let set_up = "On the faceplate or in the chuck, set true by the bush's own bore and the faced side.";
        let mut draft = self.draft_in(metal, Step::FinishBush, &title, machine, set_up);
        let bar = self.small(SmallTool::BoringBar, &title);
        let indicator = self.small(SmallTool::Indicator, &title);
        draft.operation.features.push(cut.feature.clone());
        draft.operation.pieces = self.pieces_for(cut);
        let depth = bush.length.or(self.thickness());
        let boring = Boring { spindle: &spindle, material: metal, on_lathe: true, depth, holes: 1 };
        let running =
            self.running(&bar.label, Doing::Turning, bush.inside, &spindle, metal, FeedOf::Turning(Pass::Finish));
        draft.operation.running = boring.timed(running, Travel::along, 2);
        draft.operation.tools.extend([bar, indicator]);
        draft.operation.instructions.push(format!(
            "Bore to {} in one cut, and let the bar go through once more without moving it in: no reamer of the size is owned.",
            self.range(bush.inside, limits)
        ));
        let inside = self.check(&cut.feature, AFTER_PRESSING, bush.inside, limits, Side::Inside, &title);
        draft.operation.checks.push(inside);
        self.push(draft);
    }
}
