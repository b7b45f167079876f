//! A profile that is not critical: sawn outside the template's line, sanded down to it.

use part::{Cut, Work};
use quantity::Length;
use standards::times::Allowance;

use super::{Need, Planner};
use crate::order::Step;
use crate::plan::Check;
use crate::shop::{MachineKind, SmallTool};
use crate::time::Per;
use crate::tools::{ToolKind, ToolPick};

impl Planner<'_> {
    pub(super) fn outline(&mut self) {
        let brief = self.brief;
        for cut in &brief.cuts {
            if let Work::Profile { length } = cut.work {
                self.saw_outline(cut, length);
                self.sand_outline(cut, length);
            }
        }
    }

    fn saw_outline(&mut self, cut: &Cut, length: Length) {
        let title = format!("Saw the outline ({})", cut.feature);
        let throat = self.brief.extent.map(|(width, height)| width.min(height));
        let (machine, _) = self.machine(MachineKind::Saw, Need { throat, ..Need::default() }, &title);
        let mut draft = self.draft(
            Step::SawOutline,
            &title,
            machine,
            match self.datum() {
                Some(_) => "Template glued on, lined up by the bore; part clamped to a board.",
                None => "Template glued on, lined up by the teeth; part clamped to a board.",
            },
        );
        let scriber = self.small(SmallTool::Scriber, &title);
        draft.operation.features.push(cut.feature.clone());
        draft.operation.pieces = self.pieces_for(cut);
        draft.operation.tools.push(scriber);
        draft.operation.timing.tasks.push(self.task(Allowance::GlueTemplate, 1.0, Per::Blank));
        if let Some(thickness) = self.thickness() {
            let section = length.mm() * thickness.mm();
            draft.operation.timing.tasks.extend(self.sawing(section, self.material));
        }
        if self.blank.gives > 1 {
            draft.operation.instructions.push("Saw the ring apart first, midway between the pieces.".into());
        }
        draft.operation.instructions.push(format!(
            "Check the template's printed scale bar with a rule. Glue it on and saw {} of line, leaving about 1 mm outside it.",
            self.len(length)
        ));
        draft
            .operation
            .instructions
            .push("Drill a relief hole at the foot of each inside corner before sawing into it.".into());
        self.push(draft);
    }

    fn sand_outline(&mut self, cut: &Cut, length: Length) {
        let title = format!("Sand to the line ({})", cut.feature);
        let (machine, _) = self.machine(MachineKind::Sander, Need::default(), &title);
        let mut draft =
            self.draft(Step::SandOutline, &title, machine, "Flat on the sander's table, held by a clamp or a jig.");
        let files = self.small(SmallTool::Files, &title);
        draft.operation.features.push(cut.feature.clone());
        draft.operation.pieces = self.pieces_for(cut);
        draft.operation.tools.push(files);
        match self.thickness() {
            Some(thickness) => draft.operation.timing.tasks.extend(self.sanding(length.mm() * thickness.mm())),
            None => self.untimed_thickness(),
        }
        draft.operation.instructions.push("Sand until half the line is left; file the inside corners.".into());
        draft.operation.checks.push(Check {
            feature: cut.feature.clone(),
            what: "outline".into(),
            nominal: None,
            lower: None,
            upper: None,
            instrument: ToolPick::owned(ToolKind::Mate, "the true-scale template"),
            sentence: "Outline: half the template's line still to be seen all round.".into(),
        });
        self.push(draft);
    }
}
