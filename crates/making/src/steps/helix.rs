//! Helical teeth: the table swung to the helix and the head geared to its screw.

use part::{Hand, HelixWork, TeethWork};
use quantity::{Length, print};

use super::Planner;
use crate::indexing::lead::{LeadGears, lead_gears};
use crate::order::Draft;
use crate::shop::{DividingHead, MachineKind};
use crate::tools::{ToolKind, ToolPick};

impl Planner<'_> {
    /// Straight teeth need nothing of this.
    pub(super) fn lean(&mut self, draft: &mut Draft, teeth: &TeethWork, head: Option<&str>, title: &str) {
        let Some(helix) = teeth.helix else { return };
        draft.operation.instructions.push(format!(
            "Set the cutter over the centre of the work with the table straight, then swing the table by {:.1}°{} and set it over the centre again.",
            helix.angle.degrees(),
            which_way(helix.hand),
        ));
        let head = self.shop.dividing.iter().find(|one| Some(one.name.as_str()) == head);
        let screw = self.shop.machines_of(MachineKind::Mill).find_map(|mill| mill.table_screw);
        let geared = head
            .zip(screw)
            .and_then(|(head, screw)| lead_gears(head.change_gears.as_ref()?, head.ratio, screw, helix.lead));
        match geared {
            Some(gears) => {
                let told = self.geared(&gears, &helix, teeth);
                draft.operation.instructions.push(told);
            }
            None => {
                let label = format!("dividing head geared to the table's screw for a lead of {}", self.len(helix.lead));
                let tool = ToolPick::missing(ToolKind::DividingHead, label);
                let ways = self.without_gears(head, screw, &helix);
                self.lack(&tool, title, ways);
                draft.operation.tools.push(tool);
            }
        }
        draft.operation.instructions.push(
            "Before any depth take a line's cut along the blank and lay the original beside it: it must lean the same way and as much. If it leans the other way, put an idler more or less into the train and swing the table to the other side."
                .into(),
        );
        draft.operation.notes.push(format!(
            "The cutter is chosen for {:.0} teeth, the virtual count z/cos³ β of these {}: so curved are they, seen square to them.",
            helix.virtual_teeth, teeth.teeth
        ));
        draft.operation.notes.push(
            "The work turns as the table travels, back as well as forth: drop the table before each return, and index by the crank's pin alone, in the plate that the gears drive."
                .into(),
        );
        draft.operation.notes.push(
            "A disc cutter rubs a little wider in a space that winds than in a straight one; the span or pins tell, and decide the depth.".into(),
        );
    }

    fn geared(&self, gears: &LeadGears, helix: &HelixWork, teeth: &TeethWork) -> String {
        let off = gears.lead / helix.lead - 1.0;
        // β is off by sin β cos β times as much, and over the width the flank by as much again
        let over_face = teeth.face_width.map(|face| face * (off.abs() * helix.angle.sin()));
        let told = match over_face {
            _ if off.abs() < EXACT => "exactly it".to_string(),
            Some(over) => format!("{}, which is {:.0} µm off over the face", self.len(gears.lead), over.mm() * 1000.0),
            None => format!("{}, which is {:.2} % off", self.len(gears.lead), 100.0 * off.abs()),
        };
        format!(
            "Gear the head to the table's screw for a lead of {}: {}. That gives {told}. Idlers only fill the gap and turn the work the right way.",
            self.len(helix.lead),
            gears.sentence(),
        )
    }

    fn without_gears(&self, head: Option<&DividingHead>, screw: Option<Length>, helix: &HelixWork) -> Vec<String> {
        let lead = print::both(helix.lead, self.shop.unit, 2);
        let ratio = head.map_or("turns of the crank for one of the work".into(), |head| head.ratio.to_string());
        let missing = match (screw, head.is_some_and(|head| head.change_gears.is_some())) {
            (Some(_), true) => "None of the change gears owned come near. ",
            (Some(_), false) => {
                "Write the change gears that are there into the head's change_gears in the shop file, and they are worked out. "
            }
            (None, _) => {
                "If the mill's table swings and its screw can be geared to the head, write the screw's pitch as table_screw of the mill into the shop file, and the gears are worked out. "
            }
        };
        vec![
            format!("{missing}Driven over drivers is the lead, {lead}, over {ratio} times the screw's pitch."),
            format!(
                "Or send the turned blank out to have its teeth generated: exact; name the helix of {:.2}° {}, the lead and the rack, and ask the price.",
                helix.angle.degrees(),
                helix.hand.map_or("and its hand".to_string(), |hand| format!("{} hand", hand.name())),
            ),
        ]
    }
}

/// Ratios of small whole numbers that agree are equal.
const EXACT: f64 = 1e-9;

/// Of the table, for an operator who stands before it. Common practice on horizontal mills.
fn which_way(hand: Option<Hand>) -> &'static str {
    match hand {
        Some(Hand::Right) => ", its right end away from you (right-hand teeth)",
        Some(Hand::Left) => ", its left end away from you (left-hand teeth)",
        None => ", the way the original's teeth lean",
    }
}
