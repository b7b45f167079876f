//! The toothed rim: blank turned to the tip circle, spaces indexed and cut.

use part::{Characteristic, Cut, Gauging, TeethWork};
use quantity::{Length, print};
use standards::cutting::{DeepCut, MillingCutter, WayRound, deepest_cut};
use standards::{Deviation, USUAL_CLASS, class_of};

use super::turning::cuts_to;
use super::{FeedOf, Need, Planner, Side, aim};
use crate::cutters::{USUAL_CUTTER_DIAMETER, USUAL_CUTTER_TEETH, form_cutter};
use crate::indexing::{Division, IndexError, IndexSheet, index_between_centres, index_geared};
use crate::order::{Draft, Step};
use crate::plan::{Check, Passes};
use crate::shop::{DividingHead, MachineKind, Purchase, SmallTool};
use crate::speeds::Doing;
use crate::tools::{ToolKind, ToolPick};

/// As the checking sheet names it.
const WHOLE_DEPTH: &str = "whole depth";

impl<'a> Planner<'a> {
    pub(super) fn teeth(&mut self) {
        for (cut, teeth) in self.teeth_cuts() {
            self.turn_blank(cut, teeth);
            self.cut_teeth(cut, teeth);
        }
    }

    fn turn_blank(&mut self, cut: &Cut, teeth: &TeethWork) {
        let title = format!("Turn the blank to the tip circle ({})", cut.feature);
        let stands_at = self.stands_at(teeth.blank_diameter);
        let (machine, spindle) =
            self.machine(MachineKind::Lathe, Need { swing: Some(stands_at), ..Need::default() }, &title);
        let (set_up, arbor) = self.round_holding(&title);
        let mut draft = self.draft(Step::TurnBlank, &title, machine, set_up);
        let tool = self.small(SmallTool::TurningTool, &title);
        draft.operation.features.push(cut.feature.clone());
        draft.operation.pieces = self.pieces_for(cut);
        let limits = self.limits_of(&["tip diameter"], teeth.blank_diameter, teeth.blank_limits);
        let target = aim(teeth.blank_diameter, limits);
        draft.operation.running = self.turning_runs(&tool.label, stands_at, target, &spindle, self.material);
        draft.operation.passes = cuts_to(stands_at, target, spindle.stiffness);
        draft.operation.tools.push(tool);
        draft.operation.tools.extend(arbor);
        if self.datum().is_none() {
            draft.operation.notes.push(
                "There is no bore to hold by: the spigot is cut off when the teeth are done, and that side faced."
                    .into(),
            );
        }
        if !teeth.whole {
            draft.operation.notes.push(format!(
                "A whole disc for {} teeth of {}: it turns in balance and holds well; what is not wanted is sawn off after the teeth are cut.",
                teeth.teeth_cut, teeth.teeth
            ));
        }
        draft.operation.instructions.push(format!(
            "Turn to {}: the depth of the teeth is fed from this surface, its size and truth decide theirs.",
            self.range(teeth.blank_diameter, limits)
        ));
        let check =
            self.check(&cut.feature, "tip diameter of the blank", teeth.blank_diameter, limits, Side::Outside, &title);
        draft.operation.checks.push(check);
        self.time_turned_blank(&mut draft);
        self.push(draft);
    }

    fn cut_teeth(&mut self, cut: &Cut, teeth: &TeethWork) {
        let title = match teeth.whole {
            true => format!("Cut {} teeth ({})", teeth.teeth, cut.feature),
            false => format!("Cut {} teeth of {} ({})", teeth.teeth_cut, teeth.teeth, cut.feature),
        };
        let (machine, spindle) =
            self.machine(MachineKind::Mill, Need { travel: teeth.face_width, ..Need::default() }, &title);
        let divider = self.divider(teeth);
        let datum = self.datum();
        let set_up = self.set_up_of_teeth(datum, divider.as_ref().ok());
        let mut draft = self.draft(Step::CutTeeth, &title, machine, set_up);
        draft.operation.features.push(cut.feature.clone());
        draft.operation.pieces = self.pieces_for(cut);
        if let Some(bore) = datum {
            let held_by = match self.is_slender(bore) {
                true => self.small(SmallTool::Indicator, &title),
                false => self.arbor(bore, &title),
            };
            draft.operation.tools.push(held_by);
        }

        let cutter = form_cutter(teeth, self.shop);
        let tool =
            ToolPick { kind: ToolKind::GearCutter, label: cutter.label.clone(), owned: cutter.owned, note: None };
        self.lack(&tool, &title, cutter.ways.clone());
        draft.operation.notes.extend(cutter.note.clone());
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

        let cutter_bore = cutter.bore;
        self.cutters.push(cutter);
        if let Some(bore) = cutter_bore {
            draft
                .operation
                .notes
                .push(format!("The cutter's bore is {}: the mill's arbor must be of that size.", self.len(bore)));
        }

        let head = divider.as_ref().ok().map(|sheet| sheet.head.clone());
        let has_sheet = self.divide(&mut draft, teeth, divider, &title);
        self.lean(&mut draft, teeth, head.as_deref(), &title);
        self.feed_to_depth(&mut draft, teeth, deepest_cut(spindle.stiffness, DeepCut::Form));
        if has_sheet {
            draft.operation.instructions.push(
                "After every move read the pin's hole from the indexing sheet. Turn the crank one way only; if it overruns, back half a turn and come up again. Lock the spindle for each cut."
                    .into(),
            );
        }
        draft.operation.instructions.extend(self.ring_sentence(teeth));
        self.time_teeth(&mut draft, teeth, across);
        for deciding in self.thickness_characteristics() {
            let check = self.characteristic(deciding, &title);
            draft.operation.checks.push(Check { feature: cut.feature.clone(), ..check });
        }
        let brief = self.brief;
        let depth = match brief.characteristics.iter().find(|one| one.name == WHOLE_DEPTH) {
            Some(one) => Check { feature: cut.feature.clone(), ..self.characteristic(one, &title) },
            None => self.check(&cut.feature, WHOLE_DEPTH, teeth.depth, teeth.depth_limits, Side::Depth, &title),
        };
        let root =
            self.check(&cut.feature, "root diameter", teeth.root_diameter, teeth.root_limits, Side::Outside, &title);
        draft.operation.checks.extend([depth, root]);
        let count = self.count_check(cut, teeth);
        draft.operation.checks.push(count);
        self.push(draft);
    }

    /// Held in the one device that divides: a rotary table stands upright where a dividing head would be.
    fn set_up_of_teeth(&self, datum: Option<Length>, divider: Option<&IndexSheet>) -> String {
        let device = divider.and_then(|sheet| self.shop.dividing.iter().find(|head| head.name == sheet.head));
        let on = match device {
            Some(head) if head.is_table() => format!("on the {}, stood upright", head.name),
            Some(head) => format!("in the {}", head.name),
            None => "on whatever does the dividing".to_string(),
        };
        match datum {
            Some(bore) if self.is_slender(bore) => format!(
                "Bolted flat to a fixture plate {on}, set true by the bore, backed up near the rim; cutter set over the centre of the work."
            ),
            Some(_) => format!("On the arbor {on}, tailstock up; cutter set over the centre of the work."),
            None => format!("By its spigot or journal {on}, tailstock up; cutter set over the centre of the work."),
        }
    }

    /// What says how thick the teeth are: span first, then pins.
    fn thickness_characteristics(&self) -> Vec<&'a Characteristic> {
        let brief = self.brief;
        let all = || brief.characteristics.iter();
        let spans = all().filter(|one| one.name.starts_with("span over"));
        spans.chain(all().filter(|one| matches!(one.gauging, Gauging::OverPins { .. }))).collect()
    }

    /// The depth is found on the first spaces by measuring, and then used for all.
    fn feed_to_depth(&mut self, draft: &mut Draft, teeth: &TeethWork, deepest: Length) {
        let unit = self.shop.unit;
        let rough = Passes::even(teeth.depth, deepest);
        let sin = teeth.pressure_angle.sin();
        let (spaces, measure) = match self.thickness_characteristics().first() {
            Some(one) => {
                let size = match one.lower.zip(one.upper) {
                    Some((lower, upper)) => self.between(lower, upper),
                    None => self.fine(one.nominal),
                };
                let over =
                    one.name.strip_prefix("span over ").and_then(|rest| rest.split(' ').next()?.parse::<u32>().ok());
                match over {
                    // the outer flanks of k teeth are cut by k + 1 spaces; W moves by t cos α, so the depth by ΔW/(2 sin α)
                    Some(k) => (
                        k + 1,
                        format!(
                            "measure the {}: it must come to {size}. Feed deeper by {:.1} times what it is over",
                            one.name,
                            0.5 / sin
                        ),
                    ),
                    None => (
                        3,
                        format!("measure {}: it must come to {size}. Feed a little deeper while it is over", one.name),
                    ),
                }
            }
            None => (
                3,
                "measure the teeth between them at the pitch circle. Feed deeper while they are too thick".to_string(),
            ),
        };
        let spaces = spaces.min(teeth.spaces());
        draft.operation.instructions.push(format!(
            "Touch the blank with the turning cutter, set the dial to zero, clear the work. On the first {spaces} spaces alone feed to the standard whole depth, {}, in {}: so deep, the teeth have no backlash.",
            self.fine(teeth.depth),
            rough.count_sentence(),
        ));
        draft.operation.instructions.push(format!(
            "Then {measure}, and cut these {spaces} spaces again; about {} more is to be expected, {} in all. That size decides, and not the dial.",
            self.fine(teeth.extra_depth),
            self.fine(teeth.planned_depth())
        ));
        draft.operation.instructions.push(format!(
            "With the depth so found cut the other spaces: {} first{}, last the depth found.",
            match rough.each.first() {
                Some(each) => format!("{} of {}", rough.count_sentence(), print::length(*each, unit, 2)),
                None => rough.count_sentence(),
            },
            if rough.each.len() > 1 { ", all of them at one depth before the next" } else { "" }
        ));
        draft.operation.notes.push("A blank that came out under size is fed half of what it is under less, so that the root stays where it belongs.".into());
        draft.operation.passes = Some(rough.and_last(teeth.extra_depth));
    }

    /// The sheet of the head that divides best, of those that the blank turns over.
    fn divider(&self, teeth: &TeethWork) -> Result<IndexSheet, String> {
        let large_enough = |head: &&DividingHead| head.swing.is_none_or(|swing| swing >= teeth.blank_diameter);
        let heads: Vec<DividingHead> = self.shop.dividing.iter().filter(large_enough).cloned().collect();
        let pitch_circle = teeth.pitch_diameter();
        let division = Division::new(teeth.teeth, self.spaces_reached(teeth)).at_rim(Some(pitch_circle));
        match teeth.helix {
            Some(_) => index_geared(&division, &heads),
            None => index_between_centres(&division, &heads),
        }
    }

    /// Whether there is an indexing sheet to work from.
    fn divide(
        &mut self,
        draft: &mut Draft,
        teeth: &TeethWork,
        divider: Result<IndexSheet, String>,
        title: &str,
    ) -> bool {
        let too_small = self
            .shop
            .dividing
            .iter()
            .filter(|head| head.swing.is_some_and(|swing| swing < teeth.blank_diameter))
            .count();
        match divider {
            Ok(sheet) => {
                draft.operation.tools.push(ToolPick::owned(ToolKind::DividingHead, sheet.head.clone()));
                draft.operation.instructions.push(sheet.sentence());
                draft.operation.notes.push(sheet.why.clone());
                if let (Some(caution), Some(error)) = (sheet.caution(), sheet.error) {
                    let class = pitch_class(teeth, &error);
                    draft.operation.notes.push(match class {
                        Some(class) => format!("{caution} That is class {class} of ISO 1328-1 for the pitch."),
                        None => format!("{caution} That is coarser than any class of ISO 1328-1 for the pitch."),
                    });
                    if class.is_none_or(|class| class > USUAL_CLASS) {
                        let plate = ToolPick::missing(ToolKind::DividingHead, needed_circle(&sheet));
                        self.lack(&plate, title, self.instead_of_a_plate(&error));
                        draft.operation.tools.push(plate);
                    }
                }
                self.indexing.get_or_insert(sheet);
                true
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
                ways.push(format!("A change wheel of {} teeth, or a multiple, on the work's own spindle with a detent divides as well.", teeth.teeth));
                ways.push(format!(
                    "Or scribe the {} spaces from the true-scale template, and set each by its line.",
                    teeth.spaces()
                ));
                self.lack(&head, title, ways);
                draft.operation.tools.push(head);
                draft.operation.instructions.push(format!(
                    "Divide {} to the circle, {} spaces in all, in one of the ways given for what is lacking.",
                    teeth.teeth,
                    teeth.spaces()
                ));
                false
            }
        }
    }

    fn instead_of_a_plate(&self, error: &IndexError) -> Vec<String> {
        let mut ways = vec![match error.at_rim {
            Some(at) => format!(
                "As planned: {:.0} µm from one tooth to the next, {:.0} µm over all that are cut.",
                at.single_um, at.cumulated_um
            ),
            None => "As planned, with the errors given.".to_string(),
        }];
        if self.owns(MachineKind::Mill) {
            ways.push(format!(
                "Drill such a plate on the mill by coordinates, the worm divides its errors: {}.",
                self.shop.time_sentence(WayRound::DrillPlate)
            ));
        }
        ways.push(format!("Buy one: {}.", self.shop.price_sentence(Purchase::IndexPlate)));
        if self.shop.dividing.iter().all(|head| head.change_gears.is_none()) {
            ways.push("Or divide with change gears between spindle and plate, if the head takes them.".into());
        }
        ways
    }

    fn count_check(&mut self, cut: &Cut, teeth: &TeethWork) -> Check {
        Check {
            feature: cut.feature.clone(),
            what: "count of teeth".into(),
            nominal: None,
            lower: None,
            upper: None,
            instrument: ToolPick { kind: ToolKind::Mate, label: "by eye".into(), owned: true, note: None },
            sentence: match teeth.whole {
                true => {
                    format!("Count: {} spaces and as many teeth, the last space as wide as the first.", teeth.spaces())
                }
                false => format!(
                    "Count: {} spaces, with {} whole teeth between them; the last space as wide as the first.",
                    teeth.spaces(),
                    teeth.teeth_cut
                ),
            },
        }
    }
}

fn needed_circle(sheet: &IndexSheet) -> String {
    let circle = sheet.error.map_or(sheet.setting.circle, |error| error.circle_needed);
    format!("plate with a circle of {circle} holes or a multiple")
}

/// The finest class of ISO 1328-1 that allows the pitch errors, of a sector over its own teeth; none beyond them all.
fn pitch_class(teeth: &TeethWork, error: &IndexError) -> Option<u32> {
    let at = error.at_rim?;
    let diameter = teeth.pitch_diameter();
    let of = |what, um| class_of(what, Length::from_micrometres(um), teeth.module, diameter);
    Some(of(Deviation::SinglePitch, at.single_um)?.max(of(Deviation::TotalPitch, at.cumulated_um)?))
}
