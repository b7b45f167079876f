//! The bore that everything is made true to, and the bush that is pressed into it.

use part::{Cut, HoleFinish, HoleWork};
use quantity::Length;
use standards::cutting::{Pass, WayRound};
use standards::fits::Limits;
use standards::times::Allowance;
use standards::{Material, Thread, USUAL_PERCENT};

use super::turning::cuts_from;
use super::{FeedOf, Need, Planner, Side, Spindle, aim};
use crate::blank::Body;
use crate::order::{Draft, Step};
use crate::plan::Running;
use crate::shop::{MachineKind, OwnedDrill, RoundTool, SmallTool};
use crate::speeds::Doing;
use crate::tapping::tap_drill;
use crate::time::{Per, Travel};
use crate::tools::{AT_THE_LIMIT, ToolKind, ToolPick, drill_below, drill_near, kinded, ream_allowance, reamer_within};

/// Left for the boring bar, which cuts true what the drill left crooked; common practice.
pub(super) const LEFT_FOR_BORING: Length = Length::from_mm(1.0);
/// What drills the way for a large one; common practice.
const PILOT_ABOVE: Length = Length::from_mm(13.0);
/// A bush's bore is left this much under until it is pressed, for it closes in; common practice.
pub(super) const LEFT_IN_BUSH: Length = Length::from_mm(0.25);
/// What such a bore is held to until then; common practice.
const UNDER_SIZE_LIMITS: Limits = Limits { lower: Length::from_mm(-0.05), upper: Length::from_mm(0.05) };

/// What a round hole is made in.
pub(super) struct Boring<'s> {
    pub spindle: &'s Spindle,
    pub material: Option<&'static Material>,
    /// The work turns in a lathe: a boring bar can finish the hole.
    pub on_lathe: bool,
    /// How deep; none where nobody has measured it.
    pub depth: Option<Length>,
    /// How many alike.
    pub holes: u32,
}

impl Boring<'_> {
    /// Through every hole so many times.
    pub(super) fn timed(
        &self,
        mut running: Vec<Running>,
        travel: impl Fn(Length, u32) -> Travel,
        times: u32,
    ) -> Vec<Running> {
        for run in &mut running {
            run.travel = self.depth.map(|depth| travel(depth, times.saturating_mul(self.holes)));
        }
        running
    }
}

/// How a hole is brought to size.
#[derive(Clone)]
pub(super) enum HoleWay {
    Drill,
    /// By an owned reamer, or one that must be had; and whether a boring bar goes before it.
    Ream {
        reamer: Option<RoundTool>,
        drill: Option<OwnedDrill>,
        bored: bool,
    },
    /// The core drilled, the thread cut by hand.
    Tap(&'static Thread),
    /// And why no reamer does it, where one was meant to.
    Bore {
        no_reamer: bool,
    },
}

impl HoleWay {
    pub(super) fn verb(&self) -> &'static str {
        match self {
            HoleWay::Drill => "Drill",
            HoleWay::Ream { bored: false, .. } => "Drill and ream",
            HoleWay::Ream { bored: true, .. } => "Drill, bore and ream",
            HoleWay::Tap(_) => "Drill and tap",
            HoleWay::Bore { .. } => "Drill and bore",
        }
    }
}

impl Planner<'_> {
    pub(super) fn bores(&mut self) {
        for (cut, bore) in self.bores_of() {
            self.bore(cut, bore);
        }
    }

    fn bore(&mut self, cut: &Cut, bore: &HoleWork) {
        let swing = match self.blank.sawn {
            Body::Round { diameter, .. } => Some(self.stands_at(diameter)),
            Body::Flat { width, height, .. } => Some(Length::from_mm(width.mm().hypot(height.mm()))),
            Body::Unknown => None,
        };
        let is_bush = self.is_bush();
        let final_limits = self.limits_of(&["bore diameter"], bore.diameter, bore.limits);
        // a bush is finished where it is pressed in: here it is bored under
        let (diameter, limits) = match is_bush {
            true => (self.bored_to(bore), UNDER_SIZE_LIMITS),
            false => (bore.diameter, final_limits),
        };
        let finish = if is_bush { HoleFinish::Bored } else { bore.finish };
        // the lathe is looked up before its operation has a title: the title says what its drills leave to be bored
        let drills_to = self.shop.machines_of(MachineKind::Lathe).find_map(|lathe| lathe.largest_drill);
        let way = self.hole_way(diameter, limits, finish, Some(drills_to));
        let under = if is_bush { ", under size" } else { "" };
        let title = format!("{} the bore {}{under} ({})", way.verb(), self.named(diameter, limits), cut.feature);
        let (machine, spindle) = self.machine(MachineKind::Lathe, Need { swing, ..Need::default() }, &title);
        let set_up = match self.is_turned() {
            true => self.chucked(swing.unwrap_or_default()),
            false => "On the faceplate, the bore's scribed centre set true, counterweighted.",
        };
        let mut draft = self.draft(Step::Bore, &title, machine, set_up);
        draft.operation.features.push(cut.feature.clone());
        draft
            .operation
            .instructions
            .push("The bore is made in one setting with a faced side: it is the datum for all that follows.".into());
        let depth = bore.depth.or(self.thickness());
        let boring = Boring { spindle: &spindle, material: self.material, on_lathe: true, depth, holes: 1 };
        self.make_hole(&mut draft, diameter, limits, way, &boring);
        if is_bush {
            let (smallest, largest) = final_limits.sizes(bore.diameter);
            self.in_place.push(format!("press it in, then finish its bore to {}", self.between(smallest, largest)));
            let note = self.finish_in_place(bore.diameter, final_limits);
            draft.operation.notes.push(note);
        }
        let what = if is_bush { "bore diameter, before pressing" } else { "bore diameter" };
        let check = self.check(&cut.feature, what, diameter, limits, Side::Inside, &title);
        draft.operation.checks.push(check);
        self.push(draft);
    }

    fn finish_in_place(&self, diameter: Length, limits: Limits) -> String {
        let (smallest, largest) = limits.sizes(diameter);
        let with = match reamer_within(&self.shop.drawers.reamers, &self.shop.drawers.drills, smallest, largest) {
            Some(pick) => format!("ream it there with {}", kinded("reamer", &pick.reamer.label)),
            None => "bore or ream it there".to_string(),
        };
        format!(
            "Left {} under: a bush closes in when it is pressed. When it is in its place, {with}, to {}; a spare is left under size until then.",
            self.fine(LEFT_IN_BUSH),
            self.between(smallest, largest)
        )
    }

    /// How a hole is brought to size with what is owned; `lathe` where it turns in one, with the largest drill that takes.
    pub(super) fn hole_way(
        &self,
        diameter: Length,
        limits: Limits,
        finish: HoleFinish,
        lathe: Option<Option<Length>>,
    ) -> HoleWay {
        let drawers = &self.shop.drawers;
        let (smallest, largest) = limits.sizes(diameter);
        let takes = |size: Length| lathe.flatten().is_none_or(|limit| size <= limit);
        let can_bore = lathe.is_some() && self.shop.owns(SmallTool::BoringBar);
        match finish {
            HoleFinish::Tapped(thread) => HoleWay::Tap(thread),
            HoleFinish::Bored if lathe.is_some() => HoleWay::Bore { no_reamer: false },
            HoleFinish::Drilled => {
                let drill = self.drill_for(diameter, limits);
                match drill {
                    Some(drill) if takes(drill.diameter) => HoleWay::Drill,
                    Some(_) | None if can_bore || !takes(diameter) => HoleWay::Bore { no_reamer: false },
                    Some(_) | None => HoleWay::Drill,
                }
            }
            // a boring bar needs the part turning about this hole; off the centre it is reamed
            HoleFinish::Reamed | HoleFinish::Bored => {
                match reamer_within(&drawers.reamers, &drawers.drills, smallest, largest) {
                    Some(pick) => {
                        let drill = pick.drill.map(|(drill, _)| drill.clone()).filter(|drill| takes(drill.diameter));
                        let bored = drill.is_none() && lathe.is_some();
                        HoleWay::Ream { reamer: Some(pick.reamer.clone()), drill, bored }
                    }
                    None if can_bore => HoleWay::Bore { no_reamer: true },
                    None => HoleWay::Ream { reamer: None, drill: None, bored: lathe.is_some() },
                }
            }
        }
    }

    /// The owned drill for a hole that is simply drilled: within its limits, or a shade under, for drills cut over size.
    fn drill_for(&self, diameter: Length, limits: Limits) -> Option<OwnedDrill> {
        let (smallest, largest) = limits.sizes(diameter);
        let off = |drill: &&OwnedDrill| (drill.diameter - diameter).abs();
        let nearest = |least: Length| {
            let passes = |drill: &&OwnedDrill| {
                drill.diameter >= least - AT_THE_LIMIT && drill.diameter <= largest + AT_THE_LIMIT
            };
            let drills = self.shop.drawers.drills.iter().filter(passes);
            drills.min_by(|a, b| off(a).mm().total_cmp(&off(b).mm())).cloned()
        };
        nearest(smallest).or_else(|| nearest(smallest - allowed_under(diameter)))
    }

    /// Drill, then reamer or boring bar as it is to be finished and as the drawers allow.
    pub(super) fn make_hole(
        &mut self,
        draft: &mut Draft,
        diameter: Length,
        limits: Limits,
        way: HoleWay,
        boring: &Boring<'_>,
    ) {
        if boring.depth.is_none() {
            self.untimed_thickness();
        }
        let title = draft.operation.title.clone();
        let centre = self.small(SmallTool::CentreDrill, &title);
        draft.operation.tools.push(centre);
        match way {
            HoleWay::Drill => self.drill_to_size(draft, diameter, limits, boring),
            HoleWay::Ream { reamer, drill, .. } => self.ream(draft, diameter, limits, (reamer, drill), boring),
            HoleWay::Tap(thread) => self.tap(draft, thread, boring),
            HoleWay::Bore { no_reamer } => {
                if no_reamer {
                    draft
                        .operation
                        .notes
                        .push(format!("No reamer owned lies within {}: bored instead.", self.range(diameter, limits)));
                }
                self.bore_out(draft, diameter, limits, boring);
            }
        }
    }

    fn drill_to_size(&mut self, draft: &mut Draft, diameter: Length, limits: Limits, boring: &Boring<'_>) {
        let title = draft.operation.title.clone();
        let near = drill_near(&self.shop.drawers.drills, diameter).map(|pick| pick.sentence(self.shop.unit));
        if let Some(drill) = self.drill_for(diameter, limits) {
            draft.operation.notes.extend(near);
            self.run_drill(draft, &drill_pick(&drill), drill.diameter, boring);
            return;
        }
        let target = aim(diameter, limits);
        let tool = ToolPick::missing(ToolKind::Drill, format!("drill {}", self.fine(target)));
        let mut ways: Vec<String> = near.into_iter().collect();
        ways.push(match self.owns(MachineKind::Lathe) {
            true => "Buy the drill; or drill under and bore to size on the lathe.".into(),
            false => "Buy the drill; or drill under and open it up with a reamer.".into(),
        });
        self.lack(&tool, &title, ways);
        self.run_drill(draft, &tool, target, boring);
    }

    fn ream(
        &mut self,
        draft: &mut Draft,
        diameter: Length,
        limits: Limits,
        (reamer, drill): (Option<RoundTool>, Option<OwnedDrill>),
        boring: &Boring<'_>,
    ) {
        let title = draft.operation.title.clone();
        let size = reamer.as_ref().map_or(aim(diameter, limits), |reamer| reamer.diameter);
        let tool = match &reamer {
            Some(reamer) => ToolPick::owned(ToolKind::Reamer, kinded("reamer", &reamer.label)),
            None => ToolPick::missing(ToolKind::Reamer, format!("reamer {}", self.fine(size))),
        };
        let mut ways = vec![format!("Buy or borrow one that cuts within {}.", self.range(diameter, limits))];
        if self.owns(MachineKind::Lathe) {
            ways.push(format!(
                "Or drill under, and bore it on the lathe to size: {} more.",
                self.shop.time_sentence(WayRound::BoreInsteadOfReam)
            ));
        }
        self.lack(&tool, &title, ways);
        let left = match drill {
            Some(drill) => {
                self.run_drill(draft, &drill_pick(&drill), drill.diameter, boring);
                size - drill.diameter
            }
            None => self.open_up_for_reamer(draft, size, ream_allowance(size), boring),
        };
        draft.operation.instructions.push(format!(
            "Ream, taking {} off the diameter, to {}: slowly, straight in and out without stopping or turning backwards.",
            self.fine(left),
            self.range(diameter, limits)
        ));
        let reaming = self.running(&tool.label, Doing::Reaming, size, boring.spindle, boring.material, FeedOf::Reamer);
        draft.operation.running.extend(boring.timed(reaming, Travel::along, 1));
        draft.operation.tools.push(tool);
    }

    fn tap(&mut self, draft: &mut Draft, thread: &Thread, boring: &Boring<'_>) {
        let title = draft.operation.title.clone();
        let drawers = &self.shop.drawers;
        let owned = drawers.taps.iter().any(|owned| owned.is(thread));
        let picked = tap_drill(thread, USUAL_PERCENT, &drawers.drills, self.shop.unit);
        draft.operation.notes.push(picked.sentence.clone());
        match &picked.drill {
            Some(drill) => {
                let pick = ToolPick::owned(ToolKind::Drill, kinded("drill", &drill.label));
                self.run_drill(draft, &pick, Length::from_mm(drill.diameter_mm), boring);
            }
            None => {
                let core = thread.hole(USUAL_PERCENT);
                let pick = ToolPick::missing(ToolKind::Drill, format!("drill {}", self.fine(core)));
                self.lack(&pick, &title, vec![picked.sentence.clone()]);
                self.run_drill(draft, &pick, core, boring);
            }
        }
        let label = kinded("tap", &thread.name);
        let tap = match owned {
            true => ToolPick::owned(ToolKind::Tap, label),
            false => ToolPick::missing(ToolKind::Tap, label),
        };
        self.lack(&tap, &title, vec!["Buy or borrow taper and plug; no other thread holds the old screw.".into()]);
        let countersink = self.small(SmallTool::Countersink, &title);
        draft.operation.tools.extend([countersink, tap]);
        draft.operation.instructions.push(format!(
            "Countersink to {}, then tap {} by hand, square to the face: taper, then plug, back half a turn at every turn. Cast iron and \
             brass dry, steel with oil. Wear no gloves, and brush the chips away.",
            self.fine(thread.major),
            thread.name
        ));
        draft.operation.timing.tasks.push(self.task(Allowance::TapHole, f64::from(boring.holes), Per::Blank));
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
            let drilled = self.drill_under(draft, size - LEFT_FOR_BORING, boring);
            let bored = size - left;
            let passes = cuts_from(drilled, bored, boring.spindle.stiffness);
            draft.operation.instructions.push(format!(
                "Bore from {} to {}, which leaves the reamer its due.",
                self.fine(drilled),
                self.fine(bored)
            ));
            let cuts = passes.as_ref().map_or(1, |passes| passes.each.len() as u32);
            self.run_boring_bar(draft, bored, cuts, boring);
            draft.operation.passes = passes;
        } else {
            let (from, to) = (size - allowance.1, size - allowance.0);
            let tool = ToolPick::missing(ToolKind::Drill, format!("drill {}", self.between(from, to)));
            let ways = match drill_below(&self.shop.drawers.drills, from) {
                Some(below) => vec![format!(
                    "The {} leaves more than a reamer likes; ream it in two goes, by hand.",
                    kinded("drill", &below.label)
                )],
                None => vec!["Buy it: nothing smaller is owned either.".into()],
            };
            self.lack(&tool, &title, ways);
            self.run_drill(draft, &tool, size - left, boring);
        }
        left
    }

    fn bore_out(&mut self, draft: &mut Draft, diameter: Length, limits: Limits, boring: &Boring<'_>) {
        let target = aim(diameter, limits);
        let drilled = self.drill_under(draft, target - LEFT_FOR_BORING, boring);
        let passes = cuts_from(drilled, target, boring.spindle.stiffness);
        // and once more through without moving it in
        let cuts = passes.as_ref().map_or(1, |passes| passes.each.len() as u32) + 1;
        self.run_boring_bar(draft, target, cuts, boring);
        draft.operation.passes = passes;
        draft.operation.instructions.push(format!(
            "Bore from {} to {}, gauge before the last cut, and let the bar go through once more without moving it in.",
            self.fine(drilled),
            self.range(diameter, limits)
        ));
    }

    pub(super) fn run_boring_bar(&mut self, draft: &mut Draft, to: Length, cuts: u32, boring: &Boring<'_>) {
        let bar = self.small(SmallTool::BoringBar, &draft.operation.title.clone());
        // the last cut is the largest, and so the quickest at the edge
        let running = self.running(
            &bar.label,
            Doing::Turning,
            to,
            boring.spindle,
            boring.material,
            FeedOf::Turning(Pass::Finish),
        );
        draft.operation.running.extend(boring.timed(running, Travel::along, cuts));
        draft.operation.tools.push(bar);
    }

    /// Drills with the largest owned drill not above a size that the machine takes, and says how large that is.
    pub(super) fn drill_under(&mut self, draft: &mut Draft, size: Length, boring: &Boring<'_>) -> Length {
        let title = draft.operation.title.clone();
        let hair = Length::from_mm(0.001);
        let limit = boring.spindle.largest_drill;
        let largest = limit.map_or(size, |limit| size.min(limit));
        if let Some(limit) = limit.filter(|limit| *limit < size) {
            draft
                .operation
                .notes
                .push(format!("The machine takes drills to {}: beyond that it is bored.", self.fine(limit)));
        }
        match drill_below(&self.shop.drawers.drills, largest + hair).cloned() {
            Some(drill) => {
                self.run_drill(draft, &drill_pick(&drill), drill.diameter, boring);
                drill.diameter
            }
            None => {
                let largest = largest.max(Length::from_mm(0.5));
                let pick = ToolPick::missing(ToolKind::Drill, format!("drill up to {}", self.fine(largest)));
                self.lack(&pick, &title, vec!["Any drill below that size serves; the drawer has none.".into()]);
                self.run_drill(draft, &pick, largest, boring);
                largest
            }
        }
    }

    fn run_drill(&mut self, draft: &mut Draft, tool: &ToolPick, diameter: Length, boring: &Boring<'_>) {
        if diameter > PILOT_ABOVE {
            let pilot = drill_below(&self.shop.drawers.drills, diameter / 2.0)
                .filter(|pilot| pilot.diameter > diameter / 6.0)
                .cloned();
            if let Some(pilot) = pilot {
                self.drill_through(draft, &drill_pick(&pilot), pilot.diameter, "Drill a pilot with", boring);
            }
        }
        self.drill_through(draft, tool, diameter, "Drill with", boring);
    }

    fn drill_through(&mut self, draft: &mut Draft, tool: &ToolPick, diameter: Length, what: &str, boring: &Boring<'_>) {
        let size = tool.label.strip_prefix("drill ").unwrap_or(&tool.label);
        draft.operation.instructions.push(format!("{what} {size}."));
        let (spindle, metal) = (boring.spindle, boring.material);
        let drilling = self.running(&tool.label, Doing::Drilling, diameter, spindle, metal, FeedOf::Drill);
        let travel = |depth, times| Travel::drilled(depth, diameter, times);
        draft.operation.running.extend(boring.timed(drilling, travel, 1));
        draft.operation.tools.push(tool.clone());
    }
}

/// How far a drill may be under a hole that is simply drilled: holes come out over size by as much. Common practice.
fn allowed_under(diameter: Length) -> Length {
    Length::from_mm(0.05).max(diameter * 0.01)
}

fn drill_pick(drill: &OwnedDrill) -> ToolPick {
    ToolPick::owned(ToolKind::Drill, kinded("drill", &drill.label))
}
