//! Outside cylinders, turned.

use quantity::Length;
use standards::Material;
use standards::cutting::{DeepCut, Pass, Stiffness, deepest_cut};
use standards::times::Allowance;

use super::{FeedOf, Need, Planner, Side, Spindle, Turned, aim};
use crate::blank::Body;
use crate::order::Step;
use crate::plan::{Passes, Running};
use crate::shop::{MachineKind, SmallTool};
use crate::speeds::Doing;
use crate::time::Per;

/// The last cut on the diameter's radius; common practice.
pub(super) const FINISHING_CUT: Length = Length::from_mm(0.25);
/// What the carrier takes of a piece between centres; common practice.
const UNDER_THE_CARRIER: Length = Length::from_mm(20.0);

impl Planner<'_> {
    /// The largest first, so that the piece stays stiff as long as it can.
    pub(super) fn turned_outsides(&mut self) {
        let mut turns = self.turns();
        turns.sort_by(|a, b| b.diameter.mm().total_cmp(&a.diameter.mm()));
        let Some(stands_at) = self.blank.stands_at else {
            return;
        };
        for turned in turns {
            // each over its own length: the next one may lie at the other end, still as thick as the bar
            self.turn(&turned, stands_at);
        }
    }

    fn turn(&mut self, turned: &Turned<'_>, stands_at: Length) {
        let limits = self.limits_of(&["diameter"], turned.diameter, turned.limits);
        let target = aim(turned.diameter, limits);
        let title = format!("Turn {} ({})", self.named(turned.diameter, limits), turned.cut.feature);
        let over_all = [self.length_over_all(), turned.length].into_iter().flatten().reduce(Length::max);
        let need = Need { swing: Some(stands_at), travel: over_all, ..Need::default() };
        let (machine, spindle) = self.machine(MachineKind::Lathe, need, &title);
        let (set_up, held_by) = self.round_holding(&title);
        let mut draft = self.draft(Step::TurnOutside, &title, machine, set_up);
        let tool = self.small(SmallTool::TurningTool, &title);
        let operation = &mut draft.operation;
        operation.features.push(turned.cut.feature.clone());
        operation.pieces = self.pieces_for(turned.cut);
        operation.running = self.turning_runs(&tool.label, stands_at, target, &spindle, self.material);
        operation.passes = cuts_to(stands_at, target, spindle.stiffness);
        if let Some(length) = turned.length {
            operation.running =
                Self::travelled(std::mem::take(&mut operation.running), operation.passes.as_ref(), length);
        }
        operation.instructions.push(format!(
            "Rough to {}, measure, then finish to {} over {}.",
            self.fine(target + FINISHING_CUT * 2.0),
            self.range(turned.diameter, limits),
            match turned.length {
                Some(length) => self.len(length),
                None => "the original's length, still to be measured".to_string(),
            }
        ));
        let whole = turned.length.zip(over_all).is_some_and(|(length, all)| length > all - UNDER_THE_CARRIER);
        if self.datum().is_none() && whole {
            operation.timing.tasks.push(self.task(Allowance::TurnEndForEnd, 1.0, Per::Blank));
            operation.instructions.push(match self.is_long() {
                true => "Turn as far as the carrier allows, then turn the piece end for end, the carrier on the finished end over soft sheet, and turn what it covered.".into(),
                false => "Turn as far as the jaws allow, then turn the piece end for end, set the finished end true over soft sheet, and turn the rest.".to_string(),
            });
        }
        operation.tools.push(tool);
        operation.tools.extend(held_by);
        let size = self.check(&turned.cut.feature, "diameter", turned.diameter, limits, Side::Outside, &title);
        draft.operation.checks.push(size);
        match turned.length {
            Some(length) => {
                let held_to = self.length_limits(length);
                let check = self.check(&turned.cut.feature, "length", length, held_to, Side::Outside, &title);
                draft.operation.checks.push(check);
            }
            None => self.untimed_thickness(),
        }
        self.push(draft);
    }

    fn length_over_all(&self) -> Option<Length> {
        match self.blank.body {
            Body::Round { length, .. } => length,
            Body::Flat { .. } | Body::Unknown => None,
        }
    }

    /// Roughing at the speed of the diameter it starts from; finishing apart where the lathe has another speed for it.
    pub(super) fn turning_runs(
        &self,
        tool: &str,
        from: Length,
        to: Length,
        spindle: &Spindle,
        metal: Option<&'static Material>,
    ) -> Vec<Running> {
        let run = |of: String, at: Length, pass: Pass| {
            self.running(&of, Doing::Turning, at, spindle, metal, FeedOf::Turning(pass))
        };
        if from <= to + FINISHING_CUT * 2.0 {
            return run(tool.to_string(), from.max(to), Pass::Finish);
        }
        let mut out = run(format!("{tool}, roughing from {}", self.len(from)), from, Pass::Rough);
        out.extend(run(format!("{tool}, finishing"), to + FINISHING_CUT * 2.0, Pass::Finish));
        out
    }
}

/// The cuts that take a diameter down.
pub(super) fn cuts_to(stands_at: Length, diameter: Length, on: Stiffness) -> Option<Passes> {
    let depth = (stands_at - diameter) / 2.0;
    (depth > Length::ZERO).then(|| Passes::new(depth, FINISHING_CUT, deepest_cut(on, DeepCut::Turning)))
}

/// The cuts that open a bore.
pub(super) fn cuts_from(drilled: Length, bored: Length, on: Stiffness) -> Option<Passes> {
    let depth = (bored - drilled) / 2.0;
    (depth > Length::ZERO).then(|| Passes::new(depth, FINISHING_CUT, deepest_cut(on, DeepCut::Boring)))
}
