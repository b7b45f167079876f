//! The blank: sawn from the rack, its faces cleaned to thickness.

use part::Work;
use quantity::Length;
use standards::cutting::Pass;
use standards::times::Allowance;

use super::turning::cuts_to;
use super::{FeedOf, Need, Planner, Side};
use crate::blank::{self, Blank, Body};
use crate::order::{Draft, Step};
use crate::plan::Brief;
use crate::ring;
use crate::shop::{MachineKind, Shop, SmallTool, StockForm};
use crate::speeds::Doing;
use crate::time::{Per, Travel};
use crate::tools::{ToolKind, ToolPick};

/// The deepest facing cut of a light machine; common practice.
const DEEPEST_FACING_CUT: Length = Length::from_mm(1.5);
/// Less than this is skimmed off in one cut on one side.
const NOTHING_TO_FACE: Length = Length::from_mm(0.06);

/// The blank for everything the cuts call for.
pub(super) fn blank(brief: &Brief, shop: &Shop) -> Blank {
    let pieces = brief.pieces.saturating_add(brief.spares).max(1);
    let body = body(brief);
    let gives = ring::pieces_in_a_ring(brief).map_or(1, |ring| ring.pieces);
    let round = matches!(body, Body::Round { .. });
    let has = |wanted: fn(&Work) -> bool| brief.cuts.iter().any(|cut| wanted(&cut.work));
    let bored = brief.cuts.iter().any(|cut| matches!(&cut.work, Work::Hole(hole) if super::is_bore(cut, hole)));
    let held_by_spigot = round
        && !bored
        && has(|work| matches!(work, Work::Teeth(_)))
        && !has(|work| matches!(work, Work::Turn { .. } | Work::Bush(_)));
    let holding = if held_by_spigot { blank::SPIGOT } else { Length::ZERO };
    let blank = blank::choose(body, holding, &brief.material, pieces.div_ceil(gives), &shop.rack, shop.unit);
    Blank { gives, ..blank }
}

fn body(brief: &Brief) -> Body {
    let (mut across, mut along, mut teeth_face) = (Length::ZERO, Length::ZERO, None);
    // each step of a shaft is part of its length: where one is not known, neither is what they make together
    let mut all_known = true;
    // a bore goes through what it is turned with
    let mut through = None;
    for cut in &brief.cuts {
        match &cut.work {
            Work::Turn { diameter, length, .. } => {
                across = across.max(*diameter);
                along += length.unwrap_or_default();
                all_known &= length.is_some();
            }
            Work::Hole(hole) if super::is_bore(cut, hole) => through = through.or(hole.depth),
            Work::Teeth(teeth) => {
                across = across.max(teeth.blank_diameter);
                teeth_face = teeth.face_width;
            }
            Work::Hole(_) | Work::Bush(_) | Work::Keyway(_) | Work::Profile { .. } => {}
        }
    }
    let face = brief.face_width.or(teeth_face);
    let thickness = brief.thickness.or(face);
    if across > Length::ZERO {
        // a shaft with teeth on it is as long as its journals and its face together
        let stepped = if teeth_face.is_some() { along + face.unwrap_or_default() } else { along };
        let measured = thickness.or(through);
        let length = match along > Length::ZERO && all_known {
            true => Some(thickness.unwrap_or_default().max(stepped)),
            false => measured,
        };
        return Body::Round { diameter: across, length };
    }
    match brief.extent {
        Some((width, height)) => Body::Flat { width, height, thickness },
        None => Body::Unknown,
    }
}

impl Planner<'_> {
    pub(super) fn saw_blank(&mut self) {
        let title = "Saw the blank";
        let throat = match (self.blank.from_rack.map(|index| &self.shop.rack[index].form), self.blank.sawn) {
            // a bar is cut off at its end and passes outside the frame
            (Some(StockForm::Bar { .. }), _) => None,
            (_, Body::Round { diameter, .. }) => Some(diameter),
            (_, Body::Flat { width, height, .. }) => Some(width.min(height)),
            (_, Body::Unknown) => None,
        };
        let (machine, _) = self.machine(MachineKind::Saw, Need { throat, ..Need::default() }, title);
        let mut draft = self.draft(Step::SawBlank, title, machine, "Clamped on the saw table.");
        let unit = self.shop.unit;
        let stock = match self.blank.from_rack {
            Some(index) => ToolPick::owned(ToolKind::Stock, blank::describe_stock(&self.shop.rack[index], unit)),
            None => ToolPick::missing(
                ToolKind::Stock,
                format!("{}: {}", self.brief.material, blank::describe(self.blank.sawn, unit)),
            ),
        };
        self.lack(&stock, title, stock_ways(self.blank.sawn));
        let rule = self.instrument("rule", title);
        draft.operation.instructions.push(self.blank.sentence.clone());
        draft.operation.notes.push(format!("Blanks wanted: {}.", self.blanks()));
        draft.operation.timing.out_of_one = self.blank.gives;
        draft.operation.timing.tasks.extend(self.sawing(self.blank.section_mm2(), self.material));
        if self.blank.from_rack.is_some() && self.blank.yields < self.blanks() {
            let more = ToolPick::missing(
                ToolKind::Stock,
                format!("more {}: {}", self.brief.material, blank::describe(self.blank.sawn, unit)),
            );
            self.lack(&more, title, stock_ways(self.blank.sawn));
            draft.operation.tools.push(more);
        }
        draft.operation.tools.extend([stock, rule]);
        self.too_thick_a_bar(&mut draft);
        if self.is_turned() && self.datum().is_none() && !self.teeth_cuts().is_empty() {
            draft.operation.notes.push(format!(
                "{} of its length is a spigot to hold it by: there is no bore.",
                self.len(blank::SPIGOT)
            ));
        }
        self.push(draft);
    }

    /// A bar that would be turned to chips serves, but the right one is a short walk away.
    fn too_thick_a_bar(&mut self, draft: &mut Draft) {
        let (Body::Round { diameter, .. }, Some(bar)) = (self.blank.body, self.blank.stands_at) else { return };
        let stiffness =
            self.shop.machines_of(MachineKind::Lathe).next().map(|lathe| lathe.stiffness).unwrap_or_default();
        let cuts = cuts_to(bar, diameter, stiffness).map_or(0, |passes| passes.each.len());
        if self.blank.from_rack.is_none() || !blank::is_far_too_thick(bar, diameter) || cuts <= blank::MANY_CUTS {
            return;
        }
        let right = blank::trade_bar(diameter, self.shop.unit);
        let stock = ToolPick::missing(ToolKind::Stock, format!("{} {right}", self.brief.material));
        draft.operation.notes.push(format!(
            "The bar on the rack is far too thick for {}: {cuts} cuts and mostly chips. Buy {right}, the next size of the trade.",
            self.len(diameter)
        ));
        self.lack(
            &stock,
            &draft.operation.title,
            vec![
                "Buy it: cheaper than the time and the metal.".into(),
                format!("Or turn the bar on the rack down in {cuts} cuts, as planned, at the speed of its full diameter first."),
            ],
        );
        draft.operation.tools.push(stock);
    }

    pub(super) fn face(&mut self) {
        if self.is_turned() {
            self.face_in_the_lathe();
        } else if self.thickness().is_some() {
            self.clean_the_faces();
        }
    }

    /// Is the part made true about a centre?
    pub(super) fn is_turned(&self) -> bool {
        matches!(self.blank.body, Body::Round { .. })
    }

    fn face_in_the_lathe(&mut self) {
        let long = self.is_long();
        let title = if long { "Face and centre the ends" } else { "Face both sides" };
        let (diameter, length) = match self.blank.body {
            Body::Round { diameter, length } => (diameter, length),
            Body::Flat { .. } | Body::Unknown => return,
        };
        let stands_at = self.stands_at(diameter);
        let need = Need { swing: Some(stands_at), travel: length.filter(|_| long), ..Need::default() };
        let (machine, spindle) = self.machine(MachineKind::Lathe, need, title);
        let mut draft = self.draft(Step::Face, title, machine, self.chucked(stands_at));
        let tool = self.small(SmallTool::TurningTool, title);
        draft.operation.running =
            self.running(&tool.label, Doing::Turning, stands_at, &spindle, self.material, FeedOf::Turning(Pass::Rough));
        draft.operation.timing.out_of_one = self.blank.gives;
        // from the edge to the middle, on both sides; the feed is counted at the speed of the full diameter
        let cuts = length.map_or(1, |length| self.facing(length).1);
        for running in &mut draft.operation.running {
            running.travel = Some(Travel::along(stands_at / 2.0, cuts.saturating_mul(2)));
        }
        draft.operation.timing.tasks.push(self.task(Allowance::TurnEndForEnd, 1.0, Per::Blank));
        draft.operation.tools.push(tool);
        if long {
            draft.operation.timing.tasks.push(self.task(Allowance::TakeCut, 2.0, Per::Blank));
            draft.operation.tools.push(self.small(SmallTool::CentreDrill, title));
            let centre = if let Some(length) = length {
                let limits = self.length_limits(length);
                format!("Face one end and centre it; turn round, face to {}, centre.", self.range(length, limits))
            } else {
                "Face one end and centre it; turn round, face to length, centre.".into()
            };
            draft.operation.instructions.push(centre);
        } else {
            draft.operation.instructions.push(
                "Face one side until it is clean, turn round against parallel packing, face to thickness.".into(),
            );
            if !self.bores_of().is_empty() {
                draft.operation.instructions.push("Mark the second face: the bore is made from it.".into());
            }
        }
        match length {
            Some(length) => {
                let what = if long { "length over all" } else { "thickness" };
                let limits = self.length_limits(length);
                let check = self.check("part", what, length, limits, Side::Outside, title);
                draft.operation.checks.push(check);
                draft.operation.instructions.push(self.comes_off(length));
            }
            None => draft
                .operation
                .notes
                .push("The thickness is not given: measure the original's before it is faced.".into()),
        }
        self.push(draft);
    }

    /// A flat part is bought to thickness; what is over is milled off.
    fn clean_the_faces(&mut self) {
        let Some(thickness) = self.thickness() else {
            return;
        };
        let title = "Bring to thickness";
        let travel = self.brief.extent.map(|(width, height)| width.max(height));
        let (machine, spindle) = self.machine(MachineKind::Mill, Need { travel, ..Need::default() }, title);
        let mut draft = self.draft(Step::Face, title, machine, self.in_the_machine_vice());
        let holder = self.small(SmallTool::FlyCutterHolder, title);
        let swept = Length::from_mm(50.0);
        draft.operation.running = self.running(
            "fly cutter",
            Doing::Milling,
            swept,
            &spindle,
            self.material,
            FeedOf::Teeth(standards::cutting::MillingCutter::Side, 1),
        );
        draft.operation.tools.push(holder);
        let (off, cuts) = self.facing(thickness);
        if let Some((width, height)) = self.brief.extent.filter(|_| off >= NOTHING_TO_FACE) {
            let rows = (width.min(height) / swept).ceil().clamp(1.0, 1e4) as u32;
            for running in &mut draft.operation.running {
                let along = Travel::along(width.max(height), cuts.saturating_mul(2).saturating_mul(rows));
                running.travel = Some(Travel { approach: along.approach + swept, ..along });
            }
        }
        draft.operation.timing.tasks.push(self.task(Allowance::TurnEndForEnd, 1.0, Per::Blank));
        draft
            .operation
            .instructions
            .push("Fly-cut both faces to thickness. Bright stock of the very thickness is left as it is.".into());
        draft.operation.instructions.push(self.comes_off(thickness));
        let limits = self.length_limits(thickness);
        let check = self.check("part", "thickness", thickness, limits, Side::Outside, title);
        draft.operation.checks.push(check);
        self.push(draft);
    }

    /// How much is faced off in all, and in how many cuts a side.
    fn facing(&self, finished: Length) -> (Length, u32) {
        let stands = match self.blank.from_rack.map(|index| self.shop.rack[index].form) {
            Some(StockForm::Slab { thickness, .. }) => thickness,
            Some(StockForm::Bar { .. }) => finished + blank::ON_LENGTH,
            None if self.is_turned() => finished + blank::ON_LENGTH,
            // bought to thickness
            None => finished,
        };
        let off = stands - finished;
        (off, (off / 2.0 / DEEPEST_FACING_CUT - 1e-9).ceil().clamp(1.0, 1e4) as u32)
    }

    /// The same as a sentence.
    fn comes_off(&self, finished: Length) -> String {
        let (off, cuts) = self.facing(finished);
        if off < NOTHING_TO_FACE {
            return "Nothing need come off: measure it before it is touched.".into();
        }
        let a_side = off / 2.0;
        let each = if cuts > 1 {
            format!("{cuts} cuts of {}", self.len(a_side / f64::from(cuts)))
        } else {
            format!("one cut of {}", self.len(a_side))
        };
        format!("{} comes off in all, half from each side: {each} a side.", self.len(off))
    }

    /// Longer than it is thick: turned between centres where it has no bore.
    pub(super) fn is_long(&self) -> bool {
        match self.blank.body {
            Body::Round { diameter, length } => {
                self.bores_of().is_empty() && length.is_some_and(|length| length > diameter)
            }
            Body::Flat { .. } | Body::Unknown => false,
        }
    }
}

fn stock_ways(sawn: Body) -> Vec<String> {
    let measured = match sawn {
        Body::Round { length: Some(_), .. } | Body::Flat { thickness: Some(_), .. } => {
            "Buy it sawn to that size: merchants of continuous-cast bar and plate cut to length."
        }
        Body::Round { length: None, .. } | Body::Flat { thickness: None, .. } => {
            "Measure the part's thickness, then look on the rack again."
        }
        Body::Unknown => "Give the outline's overall size, then look on the rack again.",
    };
    vec![measured.into(), "A larger piece serves, at the price of the sawing and turning.".into()]
}
