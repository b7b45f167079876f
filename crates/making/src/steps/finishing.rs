//! Edges broken, and everything measured once more.

use part::{Characteristic, Gauging};
use quantity::Length;
use standards::times::Allowance;

use super::gauging::measured;
use super::{Need, Planner, SAME_DIMENSION, SAME_LENGTH, Side};
use crate::order::Step;
use crate::plan::Check;
use crate::shop::{MachineKind, SmallTool};
use crate::time::Per;
use crate::tools::{ToolKind, ToolPick};

impl Planner<'_> {
    pub(super) fn finish(&mut self) {
        self.deburr();
        self.final_check();
        self.pack();
    }

    fn pack(&mut self) {
        let title = "Mark, oil and pack";
        let (machine, _) = self.machine(MachineKind::Bench, Need::default(), title);
        let mut draft = self.draft(Step::Pack, title, machine, "Clean and dry, on paper.");
        draft.operation.timing.tasks.push(self.task(Allowance::MarkAndPack, 1.0, Per::Blank));
        draft.operation.instructions.push(match self.how_many() {
            1 => "Mark the piece with the job's name and the date where nothing runs on it: a tag, or letters on a face that meets nothing.".into(),
            _ => "Mark each piece with its number, the job's name and the date where nothing runs on it: a tag, or letters on a face that meets nothing.".to_string(),
        });
        draft.operation.instructions.push(
            "Oil it against rust, wrap it, and lay the checking sheet with it; the other sheets stay in the shop, to make it again.".into(),
        );
        if self.brief.spares > 0 && self.brief.cuts.iter().any(|cut| cut.match_made) {
            draft
                .operation
                .instructions
                .push("Tie a label to each spare that says what is still to be done when it is fitted.".into());
        }
        self.push(draft);
    }

    fn deburr(&mut self) {
        let title = "Break the edges";
        let (machine, _) = self.machine(MachineKind::Bench, Need::default(), title);
        let mut draft = self.draft(Step::Deburr, title, machine, self.at_the_bench());
        let files = self.small(SmallTool::Files, title);
        draft.operation.tools.push(files);
        let teeth = self.teeth_cuts().iter().map(|(_, teeth)| f64::from(teeth.teeth_cut)).sum();
        let holes = self.hole_cuts().iter().map(|(_, hole)| hole.places.len().max(1) as f64).sum();
        draft.operation.timing.tasks.extend([
            self.task(Allowance::BreakEdges, 1.0, Per::Blank),
            self.task(Allowance::DressTooth, teeth, Per::Blank),
            self.task(Allowance::CountersinkHole, holes, Per::Blank),
        ]);
        draft.operation.instructions.push(format!(
            "Break all edges about {}; no burr may stand up to hold a face off.",
            self.len(Length::from_mm(0.25))
        ));
        if !self.teeth_cuts().is_empty() {
            draft
                .operation
                .instructions
                .push("Draw a fine file along the ends of the teeth; leave the flanks alone.".into());
        }
        if !self.hole_cuts().is_empty() {
            let countersink = self.small(SmallTool::Countersink, title);
            draft.operation.tools.push(countersink);
            draft.operation.instructions.push("Turn a countersink by hand in each hole's mouth.".into());
        }
        self.push(draft);
    }

    fn final_check(&mut self) {
        let title = "Check the finished part";
        let (machine, _) = self.machine(MachineKind::Bench, Need::default(), title);
        let mut draft = self.draft(
            Step::FinalCheck,
            title,
            machine,
            "Clean, and left an hour with the instruments at the same warmth.",
        );
        let brief = self.brief;
        let thickness = brief.characteristics.iter().find(|one| one.name == "thickness");
        for characteristic in &brief.characteristics {
            // a length that is the thickness over again is measured once, to the limits it was made to
            let again = |thickness: &Characteristic| (thickness.nominal - characteristic.nominal).abs() <= SAME_LENGTH;
            if characteristic.name == "length" && thickness.is_some_and(again) {
                continue;
            }
            let check = self.characteristic(characteristic, title);
            draft.operation.checks.push(check);
        }
        draft.operation.instructions.push("Measure and write down each size below, piece by piece; a piece outside its limits is marked and set aside.".into());
        if self.brief.has_mate {
            draft
                .operation
                .instructions
                .push("Try it on its mate by hand, all the way round, before any power is put to it.".into());
        }
        self.push(draft);
    }

    pub(super) fn characteristic(&mut self, characteristic: &Characteristic, title: &str) -> Check {
        let settled = self.brief.gauged.iter().find(|one| {
            one.name == characteristic.name && (one.nominal - characteristic.nominal).abs() < SAME_DIMENSION
        });
        let instrument = match settled {
            Some(settled) => settled.instrument.clone(),
            None => self.usual_instrument(characteristic, title),
        };
        if !instrument.owned {
            let way = "Borrow one, or have it measured where one is: without it this size is taken on trust.";
            self.lack(&instrument, title, vec![way.into()]);
        }
        if instrument.kind == ToolKind::Mate {
            self.lack(&instrument, title, vec!["Without its mate the fit is taken on trust.".into()]);
        }
        let limits = match (characteristic.lower, characteristic.upper) {
            (Some(lower), Some(upper)) => self.between(lower, upper),
            (Some(lower), None) => format!("not under {}", self.fine(lower)),
            (None, Some(upper)) => format!("not over {}", self.fine(upper)),
            (None, None) => self.fine(characteristic.nominal),
        };
        // a bush is bored to size where it is pressed in
        let what = match self.is_bush() && characteristic.name == "bore diameter" {
            true => "bore diameter, after pressing".to_string(),
            false => characteristic.name.clone(),
        };
        Check {
            feature: "part".into(),
            nominal: Some(characteristic.nominal),
            lower: characteristic.lower,
            upper: characteristic.upper,
            sentence: measured(&what, &limits, &instrument, &characteristic.how),
            what,
            instrument,
        }
    }

    /// What is meant for it, whatever its limits.
    fn usual_instrument(&mut self, characteristic: &Characteristic, title: &str) -> ToolPick {
        match &characteristic.gauging {
            Gauging::Caliper => self.instrument("caliper", title),
            Gauging::Micrometer => self.instrument("micrometer", title),
            Gauging::DepthMicrometer => self.instrument("depth micrometer", title),
            Gauging::Rule => self.instrument("rule", title),
            Gauging::Indicator => self.instrument("indicator", title),
            Gauging::Template => ToolPick::owned(ToolKind::Mate, "the true-scale template"),
            Gauging::Mate => match self.brief.has_mate {
                true => ToolPick::owned(ToolKind::Mate, "the mating part"),
                false => ToolPick::missing(ToolKind::Mate, "the mating part"),
            },
            Gauging::OverPins { pin } => self.pins_of(*pin, title),
            Gauging::PlainGauges => {
                let nominal = characteristic.nominal;
                let (lower, upper) = (characteristic.lower.unwrap_or(nominal), characteristic.upper.unwrap_or(nominal));
                let side = if characteristic.name == "keyway width" { Side::Slot } else { Side::Inside };
                self.gauge(side, lower, upper, title)
            }
        }
    }

    fn pins_of(&mut self, pin: Length, title: &str) -> ToolPick {
        // a pin's own making is finer than this; it only bridges inch and metric names
        let same = Length::from_mm(0.003);
        let owned = self.shop.drawers.pins.iter().copied().find(|owned| (*owned - pin).abs() < same);
        let label = format!("micrometer over pins of {}", self.fine(owned.unwrap_or(pin)));
        let pick = match owned {
            Some(_) => ToolPick::owned(ToolKind::Pin, label),
            None => ToolPick::missing(ToolKind::Pin, label),
        };
        self.lack(
            &pick,
            title,
            vec![
                "Buy a pair and measure them; any pin near it serves once the size over it is worked out anew.".into(),
                "A drill shank of that size, measured, does at a pinch.".into(),
            ],
        );
        pick
    }
}
