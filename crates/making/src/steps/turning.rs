//! Outside cylinders, turned.

use quantity::Length;
use standards::cutting::Pass;
use standards::fits::Limits;

use super::{FeedOf, Need, Planner, Side, Turned};
use crate::order::Step;
use crate::plan::Passes;
use crate::shop::{MachineKind, SmallTool};
use crate::speeds::Doing;
use crate::tools::{ToolKind, ToolPick};

/// The last cut on the diameter's radius, and the deepest roughing cut of a light lathe; common practice.
pub(super) const FINISHING_CUT: Length = Length::from_mm(0.25);
pub(super) const DEEPEST_TURNING_CUT: Length = Length::from_mm(1.5);
/// What a shoulder length without limits is held to; common practice for repair work.
const SHOULDER_LIMITS: Limits = Limits { lower: Length::from_mm(-0.1), upper: Length::from_mm(0.1) };

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
        let title = format!("Turn {} ({})", self.fine(turned.diameter), turned.cut.feature);
        let need = Need { swing: Some(stands_at), travel: Some(turned.length), ..Need::default() };
        let (machine, spindle) = self.machine(MachineKind::Lathe, need, &title);
        let (set_up, arbor) = self.round_holding(&title);
        let mut draft = self.draft(Step::TurnOutside, &title, machine, set_up);
        let tool = self.small(SmallTool::TurningTool, &title);
        let operation = &mut draft.operation;
        operation.features.push(turned.cut.feature.clone());
        operation.pieces = self.pieces_for(turned.cut);
        operation.running = self.running(
            &tool.label,
            Doing::Turning,
            turned.diameter,
            &spindle,
            self.material,
            FeedOf::Turning(Pass::Finish),
        );
        operation.passes = cuts_to(stands_at, turned.diameter);
        operation.instructions.push(format!(
            "Rough to within {} of the diameter, measure, then finish to size over {}.",
            self.len(FINISHING_CUT * 2.0),
            self.len(turned.length)
        ));
        operation.tools.push(tool);
        operation.tools.extend(arbor);
        let size =
            self.check(&turned.cut.feature, "diameter", turned.diameter, Some(turned.limits), Side::Outside, &title);
        let length =
            self.check(&turned.cut.feature, "length", turned.length, Some(SHOULDER_LIMITS), Side::Outside, &title);
        draft.operation.checks.extend([size, length]);
        self.push(draft);
    }

    /// How a round part is held true: on an arbor through its bore, between centres where it is long, else in the chuck.
    pub(super) fn round_holding(&mut self, wanted_for: &str) -> (String, Option<ToolPick>) {
        match self.datum() {
            Some(bore) => {
                let arbor = self.arbor(bore, wanted_for);
                (
                    format!("On an arbor through the {} bore, between centres: true to the bore.", self.fine(bore)),
                    Some(arbor),
                )
            }
            None if self.is_long() => ("Between centres, driven by a carrier.".to_string(), None),
            None => ("In the chuck, all in one gripping; parted off last.".to_string(), None),
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
        self.lack(
            &pick,
            wanted_for,
            vec![
                format!(
                    "Turn one from mild steel between centres: {} with a taper of 0.5 in 1000, pressed into the bore, or a plain one with shoulder and nut.",
                    self.fine(bore)
                ),
                "Or turn a stub in the chuck and leave it there until the last piece is done.".into(),
            ],
        );
        pick
    }
}

/// The cuts that take a diameter down.
pub(super) fn cuts_to(stands_at: Length, diameter: Length) -> Option<Passes> {
    let depth = (stands_at - diameter) / 2.0;
    (depth > Length::ZERO).then(|| Passes::new(depth, FINISHING_CUT, DEEPEST_TURNING_CUT))
}
