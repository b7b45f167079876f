//! Keyways: broached or slotted in a bore, milled in a shaft.

use part::{Cut, KeywayWork};
use quantity::Length;
use standards::cutting::MillingCutter;
use standards::times::Allowance;

use super::{FeedOf, Need, Planner, Side};
use crate::order::Step;
use crate::shop::{MachineKind, SmallTool};
use crate::speeds::Doing;
use crate::time::{Per, Travel};
use crate::tools::{ToolKind, ToolPick, kinded};

/// Tools are called by the keyway's nominal width.
const SAME_WIDTH: Length = Length::from_mm(0.03);
/// What a carriage planes off at a stroke, and what a keyway broach takes between two shims; common practice.
const PLANED_AT_A_STROKE: Length = Length::from_mm(0.05);
const DEEPEST_BROACH: Length = Length::from_mm(1.2);

impl Planner<'_> {
    pub(super) fn keyways(&mut self) {
        for (cut, keyway) in self.keyway_cuts() {
            let same = |diameter: Length| is_same_bore(diameter, keyway.bore);
            let in_bore = self.bores_of().iter().any(|(_, bore)| same(bore.diameter))
                || self.bush_cuts().iter().any(|(_, bush)| same(bush.inside));
            let on_shaft = !in_bore && self.turns().iter().any(|turned| same(turned.diameter));
            match on_shaft {
                true => self.mill_keyway(cut, keyway),
                false => self.broach_keyway(cut, keyway),
            }
        }
    }

    fn broach_keyway(&mut self, cut: &Cut, keyway: &KeywayWork) {
        let title = format!("Cut the keyway {} wide ({})", self.fine(keyway.width), cut.feature);
        let broach =
            self.shop.drawers.broaches.iter().copied().find(|width| (*width - keyway.width).abs() < SAME_WIDTH);
        let label = format!("keyway broach {}", self.fine(broach.unwrap_or(keyway.width)));
        // without a broach it is planed in the lathe, if there is something to grind the tool from
        let in_lathe = broach.is_none() && self.shop.owns(SmallTool::BoringBar) && self.owns(MachineKind::Lathe);
        let kind = if in_lathe { MachineKind::Lathe } else { MachineKind::ArborPress };
        let (machine, _) = self.machine(kind, Need::default(), &title);
        let set_up = match in_lathe {
            true => "In the chuck, set true by the bore, spindle locked and unplugged.",
            false => "Part flat on the press plate, guide bush in the bore.",
        };
        let mut draft = self.draft(Step::Keyway, &title, machine, set_up);
        let under = self.left_under(keyway.bore);
        let deep = keyway.depth + under / 2.0;
        let tools = if in_lathe {
            draft
                .operation
                .notes
                .push(format!("No broach of {} is owned: planed in the lathe instead.", self.fine(keyway.width)));
            draft.operation.instructions.push(format!(
                "Grind a tool to {} wide, set it on centre in the bar, and plane the keyway with the carriage, {} at a stroke.",
                self.range(keyway.width, keyway.width_limits),
                self.fine(PLANED_AT_A_STROKE)
            ));
            let strokes = (deep / PLANED_AT_A_STROKE).ceil().clamp(1.0, 1e4);
            draft.operation.timing.tasks.push(self.task(Allowance::PlaneStroke, strokes, Per::Blank));
            vec![self.small(SmallTool::BoringBar, &title)]
        } else {
            let passes = (deep / DEEPEST_BROACH).ceil().clamp(1.0, 1e4);
            draft.operation.timing.tasks.push(self.task(Allowance::PushBroach, passes, Per::Blank));
            let tool = match broach {
                Some(_) => ToolPick::owned(ToolKind::Broach, label),
                None => ToolPick::missing(ToolKind::Broach, label),
            };
            let mut ways =
                vec!["File it to a scribed line, tried with the key.".to_string(), "Or have it slotted.".into()];
            if self.owns(MachineKind::Lathe) {
                ways.push("Or plane it in the lathe with a bar and a ground tool.".into());
            }
            self.lack(&tool, &title, ways);
            draft
                .operation
                .instructions
                .push("Oil the broach; press it through, add a shim, press again until the depth is reached.".into());
            vec![tool, self.small(SmallTool::GuideBushes, &title)]
        };
        draft.operation.tools.extend(tools);
        if !self.teeth_cuts().is_empty() {
            draft.operation.notes.push(
                "Where the keyway stands to the teeth matters only if the original shows it: scribe it from there."
                    .into(),
            );
        }
        let full_depth = self.full_depth(keyway, under);
        draft.operation.instructions.extend(full_depth);
        self.keyway_checks(&mut draft, cut, keyway, under, &title);
        self.push(draft);
    }

    /// By how much the bore stands under size while its keyway is cut.
    fn left_under(&self, bore: Length) -> Length {
        let of_part = self.bores_of().into_iter().find(|(_, hole)| is_same_bore(hole.diameter, bore));
        of_part.map_or(Length::ZERO, |(_, hole)| hole.diameter - self.bored_to(hole))
    }

    /// The depth as it is measured when the keyway is cut. In a bore that is still under size its opposite side stands half of
    /// that nearer to the floor than it will.
    fn full_depth(&self, keyway: &KeywayWork, under: Length) -> Vec<String> {
        let floor = keyway.bore + keyway.depth;
        let limits = self.limits_of(&["across bore and keyway"], floor, keyway.depth_limits);
        if under <= Length::ZERO {
            let size = self.range(floor, limits);
            return vec![format!("Full depth is {size} from the opposite side of the bore to the floor.")];
        }
        vec![
            format!(
                "Full depth is {} from the opposite side of the bore as it now stands, {}, to the floor: half of what it is still under less than the {} of the finished bore.",
                self.range(floor - under / 2.0, limits),
                self.fine(keyway.bore - under),
                self.range(floor, limits)
            ),
            "Half of what the bore measures over or under that goes on or off. Pressing closes bush and keyway a little: keep to the upper half of the limits."
                .to_string(),
        ]
    }

    fn mill_keyway(&mut self, cut: &Cut, keyway: &KeywayWork) {
        let title = format!("Mill the keyway {} wide ({})", self.fine(keyway.width), cut.feature);
        let (machine, spindle) = self.machine(MachineKind::Mill, Need::default(), &title);
        let mut draft = self.draft(
            Step::Keyway,
            &title,
            machine,
            "In the vice on V-blocks, cutter set over the middle of the shaft.",
        );
        let near = |width: Length| (width - keyway.width).abs() < SAME_WIDTH;
        let end_mill = self.shop.drawers.end_mills.iter().find(|tool| near(tool.diameter));
        let slotting = self.shop.drawers.slot_cutters.iter().copied().find(|width| near(*width));
        let tool = match (end_mill, slotting) {
            (Some(mill), _) => ToolPick::owned(ToolKind::EndMill, kinded("end mill", &mill.label)),
            (None, Some(width)) => {
                ToolPick::owned(ToolKind::SlotCutter, format!("slotting cutter {}", self.fine(width)))
            }
            (None, None) => ToolPick::missing(ToolKind::EndMill, format!("end mill {}", self.fine(keyway.width))),
        };
        self.lack(
            &tool,
            &title,
            vec!["A smaller end mill, one side after the other.".into(), "Or a fly cutter ground to the width.".into()],
        );
        if tool.kind == ToolKind::EndMill {
            draft.operation.running = self.running(
                &tool.label,
                Doing::Milling,
                keyway.width,
                &spindle,
                self.material,
                FeedOf::Teeth(MillingCutter::End, 2),
            );
        }
        draft.operation.tools.push(tool);
        let cuts = (keyway.depth / (keyway.width / 4.0) - 1e-9).ceil().clamp(1.0, 1e3) as u32;
        match self.thickness().or(self.turns().iter().find_map(|turned| turned.length)) {
            Some(length) => {
                for running in &mut draft.operation.running {
                    running.travel = Some(Travel::along(length, cuts));
                }
            }
            None => self.untimed_thickness(),
        }
        draft.operation.instructions.push(format!(
            "Touch the top of the shaft, then feed down {} in cuts of not more than a quarter of the width.",
            self.range(keyway.depth, keyway.depth_limits)
        ));
        self.keyway_checks(&mut draft, cut, keyway, Length::ZERO, &title);
        self.push(draft);
    }

    fn keyway_checks(
        &mut self,
        draft: &mut crate::order::Draft,
        cut: &Cut,
        keyway: &KeywayWork,
        under: Length,
        title: &str,
    ) {
        draft.operation.features.push(cut.feature.clone());
        draft.operation.pieces = self.pieces_for(cut);
        let width_limits = self.limits_of(&["keyway width"], keyway.width, keyway.width_limits);
        let width = self.check(&cut.feature, "keyway width", keyway.width, width_limits, Side::Slot, title);
        let what = if under > Length::ZERO { "keyway depth, before the bore is finished" } else { "keyway depth" };
        let deep = keyway.depth + under / 2.0;
        let depth = self.check(&cut.feature, what, deep, keyway.depth_limits, Side::Depth, title);
        draft.operation.checks.extend([width, depth]);
    }
}

/// Two features that name one bore.
fn is_same_bore(a: Length, b: Length) -> bool {
    (a - b).abs() < Length::from_mm(0.01)
}
