//! The toothed rim: blank turned to the tip circle, spaces indexed and cut.

use part::{Cut, TeethWork};
use quantity::{Length, print};
use standards::cutting::{MillingCutter, Pass};
use standards::fits::Limits;

use super::turning::cuts_to;
use super::{FeedOf, Need, Planner, Side};
use crate::blank::ON_DIAMETER;
use crate::cutters::{USUAL_CUTTER_DIAMETER, USUAL_CUTTER_TEETH, form_cutter};
use crate::indexing::{IndexSheet, index_on_any};
use crate::order::Step;
use crate::plan::Passes;
use crate::shop::{DividingHead, MachineKind, SmallTool};
use crate::speeds::Doing;
use crate::tools::{ToolKind, ToolPick};

/// The last cut of a space, and the deepest roughing cut that a light mill takes with a form cutter; common practice.
const FINISHING_CUT: Length = Length::from_mm(0.25);
const DEEPEST_CUT: Length = Length::from_mm(2.5);

impl Planner<'_> {
    pub(super) fn teeth(&mut self) {
        for (cut, teeth) in self.teeth_cuts() {
            self.turn_blank(cut, teeth);
            self.cut_teeth(cut, teeth);
        }
    }

    fn turn_blank(&mut self, cut: &Cut, teeth: &TeethWork) {
        let title = format!("Turn the blank to the tip circle ({})", cut.feature);
        let stands_at = self.blank.stands_at.unwrap_or(teeth.blank_diameter + ON_DIAMETER);
        let (machine, spindle) =
            self.machine(MachineKind::Lathe, Need { swing: Some(stands_at), ..Need::default() }, &title);
        let (set_up, arbor) = self.round_holding(&title);
        let mut draft = self.draft(Step::TurnBlank, &title, machine, set_up);
        let tool = self.small(SmallTool::TurningTool, &title);
        draft.operation.features.push(cut.feature.clone());
        draft.operation.pieces = self.pieces_for(cut);
        draft.operation.running = self.running(
            &tool.label,
            Doing::Turning,
            teeth.blank_diameter,
            &spindle,
            self.material,
            FeedOf::Turning(Pass::Finish),
        );
        draft.operation.passes = cuts_to(stands_at, teeth.blank_diameter);
        draft.operation.tools.push(tool);
        draft.operation.tools.extend(arbor);
        if self.datum().is_none() {
            draft.operation.notes.push(
                "There is no bore to hold by: leave a spigot on the blank, and cut the teeth before it is parted off."
                    .into(),
            );
        }
        if !teeth.whole {
            draft.operation.notes.push(format!(
                "A whole disc for {} teeth of {}: it turns in balance and holds well; what is not wanted is sawn off after the teeth are cut.",
                teeth.teeth_cut, teeth.teeth
            ));
        }
        draft
            .operation
            .instructions
            .push("The depth of the teeth is fed from this surface: its size and truth decide theirs.".into());
        let check = self.check(
            &cut.feature,
            "tip diameter of the blank",
            teeth.blank_diameter,
            Some(teeth.blank_limits),
            Side::Outside,
            &title,
        );
        draft.operation.checks.push(check);
        self.push(draft);
    }

    fn cut_teeth(&mut self, cut: &Cut, teeth: &TeethWork) {
        let title = match teeth.whole {
            true => format!("Cut {} teeth ({})", teeth.teeth, cut.feature),
            false => format!("Cut {} teeth of {} ({})", teeth.teeth_cut, teeth.teeth, cut.feature),
        };
        let (machine, spindle) =
            self.machine(MachineKind::Mill, Need { travel: teeth.face_width, ..Need::default() }, &title);
        let set_up = match self.datum() {
            Some(_) => "On the arbor in the dividing head, tailstock up; cutter set over the centre of the work.",
            None => {
                "By its spigot or journal in the dividing head, tailstock up; cutter set over the centre of the work."
            }
        };
        let mut draft = self.draft(Step::CutTeeth, &title, machine, set_up);
        draft.operation.features.push(cut.feature.clone());
        draft.operation.pieces = self.pieces_for(cut);
        if let Some(bore) = self.datum() {
            let arbor = self.arbor(bore, &title);
            draft.operation.tools.push(arbor);
        }

        let cutter = form_cutter(&self.shop.drawers.gear_cutters, teeth, self.shop.unit);
        let tool = ToolPick {
            kind: ToolKind::GearCutter,
            label: cutter.label,
            owned: cutter.owned,
            note: cutter.note.clone(),
        };
        self.lack(&tool, &title, cutter.ways);
        draft.operation.notes.extend(cutter.note);
        let across = cutter.diameter.unwrap_or(USUAL_CUTTER_DIAMETER);
        draft.operation.running = self.running(
            &tool.label,
            Doing::GearCutting,
            across,
            &spindle,
            self.material,
            FeedOf::Teeth(MillingCutter::Form, USUAL_CUTTER_TEETH),
        );
        if cutter.diameter.is_none() {
            draft.operation.notes.push(format!(
                "Speed and feed are reckoned for a cutter {} across with {USUAL_CUTTER_TEETH} teeth; measure and count yours.",
                self.len(across)
            ));
        }
        draft.operation.tools.push(tool);

        if let Some(bore) = cutter.bore {
            draft
                .operation
                .notes
                .push(format!("The cutter's bore is {}: the mill's arbor must be of that size.", self.len(bore)));
        }

        self.divide(&mut draft, teeth, &title);
        let passes = Passes::new(teeth.depth, FINISHING_CUT, DEEPEST_CUT);
        draft.operation.instructions.push(format!(
            "Touch the blank with the turning cutter, set the dial to zero, clear the work, then {}",
            lower_first(&passes.sentence(self.shop.unit))
        ));
        draft.operation.notes.push("A blank that came out under size is fed half of what it is under less, so that the root stays where it belongs.".into());
        if passes.each.len() > 1 {
            draft.operation.instructions.push("Go all the way round at one depth before the next.".into());
        }
        draft.operation.passes = Some(passes);
        draft.operation.instructions.push(
            "Cut two spaces to depth first and measure the tooth between them; then the rest, reading the pin's hole from the indexing sheet after every move."
                .into(),
        );
        draft.operation.instructions.push("Turn the crank one way only; if it overruns, back half a turn and come up again. Lock the spindle for each cut.".into());
        if self.how_many() > 1 && self.datum().is_some() {
            draft.operation.notes.push(format!(
                "Clamp all {} blanks side by side on the arbor where it is long enough: they are then indexed once.",
                self.how_many()
            ));
        }
        let depth_limits = teeth.depth_limits;
        let depth =
            self.check(&cut.feature, "depth of the spaces", teeth.depth, Some(depth_limits), Side::Depth, &title);
        // a deeper cut takes twice as much from the diameter
        let root_limits = Limits { lower: -(depth_limits.upper * 2.0), upper: Length::ZERO };
        let root =
            self.check(&cut.feature, "root diameter", teeth.root_diameter, Some(root_limits), Side::Outside, &title);
        draft.operation.checks.extend([depth, root]);
        let count = self.count_check(cut, teeth);
        draft.operation.checks.push(count);
        self.push(draft);
    }

    fn divide(&mut self, draft: &mut crate::order::Draft, teeth: &TeethWork, title: &str) {
        let large_enough = |head: &&DividingHead| head.swing.is_none_or(|swing| swing >= teeth.blank_diameter);
        let heads: Vec<DividingHead> = self.shop.dividing.iter().filter(large_enough).cloned().collect();
        let too_small = self.shop.dividing.len() - heads.len();
        match index_on_any(teeth.teeth, teeth.teeth_cut, &heads) {
            Ok(sheet) => {
                draft.operation.tools.push(ToolPick::owned(ToolKind::DividingHead, sheet.head.clone()));
                draft.operation.instructions.push(sheet.sentence());
                draft.operation.notes.push(sheet.why.clone());
                if let Some(caution) = sheet.caution() {
                    let plate = ToolPick::missing(ToolKind::DividingHead, needed_circle(&sheet));
                    let arc = at_the_tips(&sheet, teeth.blank_diameter);
                    self.lack(
                        &plate,
                        title,
                        vec![
                            format!(
                                "The nearest setting as given: its error is {} at the tips over the teeth cut.",
                                print::both(arc, self.shop.unit, 3)
                            ),
                            "Drill such a plate on the mill by coordinates: the worm divides its errors.".into(),
                            "Or divide with change gears between spindle and plate, if the head takes them.".into(),
                        ],
                    );
                    draft.operation.tools.push(plate);
                    draft.operation.notes.push(caution);
                }
                self.indexing.get_or_insert(sheet);
            }
            Err(why) => {
                let label = match (too_small, self.shop.dividing.is_empty()) {
                    (0, true) => "dividing head".to_string(),
                    (0, false) => "index plates for the dividing head".to_string(),
                    _ => format!("dividing head that swings {}", self.len(teeth.blank_diameter)),
                };
                let head = ToolPick::missing(ToolKind::DividingHead, label);
                let mut ways = match too_small {
                    0 => vec![why],
                    _ => vec![format!(
                        "The heads owned swing less than the blank's {}: raise one on parallels, or hold the work on its end.",
                        self.len(teeth.blank_diameter)
                    )],
                };
                ways.push(format!("A lathe's change wheel of {} teeth, or a multiple, on the work's own spindle with a detent divides as well.", teeth.teeth));
                self.lack(&head, title, ways);
                draft.operation.tools.push(head);
            }
        }
    }

    fn count_check(&mut self, cut: &Cut, teeth: &TeethWork) -> crate::plan::Check {
        crate::plan::Check {
            feature: cut.feature.clone(),
            what: "count of teeth".into(),
            nominal: None,
            lower: None,
            upper: None,
            instrument: ToolPick { kind: ToolKind::Mate, label: "by eye".into(), owned: true, note: None },
            sentence: format!("Count: {} teeth, the last space as wide as the first.", teeth.teeth_cut),
        }
    }
}

fn needed_circle(sheet: &IndexSheet) -> String {
    let circle = sheet.error.map_or(sheet.setting.circle, |error| error.circle_needed);
    format!("plate with a circle of {circle} holes or a multiple")
}

/// The length of arc at the tips that the dividing is off by over the teeth cut: r φ.
fn at_the_tips(sheet: &IndexSheet, tip_diameter: Length) -> Length {
    let seconds = sheet.error.map_or(0.0, |error| error.seconds_over_cut.abs());
    tip_diameter / 2.0 * (seconds / 3600.0).to_radians()
}

fn lower_first(text: &str) -> String {
    let mut chars = text.chars();
    match chars.next() {
        Some(first) => first.to_lowercase().chain(chars).collect(),
        None => String::new(),
    }
}
