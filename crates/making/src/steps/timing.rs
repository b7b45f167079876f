//! What an operation's time is reckoned from, written down while its steps are planned.

use part::TeethWork;
use quantity::{Length, Minutes};
use standards::Material;
use standards::times::{self, Allowance};

use super::Planner;
use crate::order::Draft;
use crate::plan::{Passes, Running};
use crate::shop::MachineKind;
use crate::time::{Per, Task, Travel};

impl Planner<'_> {
    pub(super) fn task(&self, what: Allowance, count: f64, per: Per) -> Task {
        Task { what: what.name().to_string(), minutes: self.shop.allowed(what), count, per, cutting: false }
    }

    /// A section sawn through; nothing where the metal is not in the tables, which is said once for the whole job.
    pub(super) fn sawing(&self, section_mm2: f64, metal: Option<&Material>) -> Option<Task> {
        let per_minute = times::sawn_per_minute(metal?)?;
        Some(by_area("saw 1 cm²", section_mm2, per_minute))
    }

    /// An edge sanded to its line.
    pub(super) fn sanding(&self, edge_mm2: f64) -> Option<Task> {
        let per_minute = times::sanded_per_minute(self.material?)?;
        Some(by_area("sand 1 cm² of edge", edge_mm2, per_minute))
    }

    /// Roughing cuts with the first tool and the last one with the second, where there are two.
    pub(super) fn travelled(mut running: Vec<Running>, passes: Option<&Passes>, length: Length) -> Vec<Running> {
        let cuts = passes.map_or(1, |passes| passes.each.len() as u32);
        match running.as_mut_slice() {
            [roughing, finishing] => {
                roughing.travel = Some(Travel::along(length, cuts.saturating_sub(1).max(1)));
                finishing.travel = Some(Travel::along(length, 1));
            }
            others => others.iter_mut().for_each(|run| run.travel = Some(Travel::along(length, cuts))),
        }
        running
    }

    /// The blank turned over its whole face; several on one arbor where the part allows.
    pub(super) fn time_turned_blank(&mut self, draft: &mut Draft) {
        let Some(face) = self.thickness() else { return self.untimed_thickness() };
        let running = std::mem::take(&mut draft.operation.running);
        draft.operation.running = Self::travelled(running, draft.operation.passes.as_ref(), face);
        draft.operation.timing.out_of_one = self.blank.gives;
        let travel = self.shop.machines_of(MachineKind::Lathe).find_map(|lathe| lathe.travel);
        if let Some(sentence) = self.stack(draft, travel) {
            draft.operation.notes.push(format!("{sentence}: they are turned as one."));
        }
    }

    /// Every space cut as often as there are depths, the head moved on each time.
    pub(super) fn time_teeth(&mut self, draft: &mut Draft, teeth: &TeethWork, cutter: Length) {
        let Some(face) = teeth.face_width.or(self.thickness()) else { return self.untimed_thickness() };
        // helical spaces are longer than the face is wide
        let face = face / teeth.helix.map_or(1.0, |helix| helix.angle.cos());
        let depths = draft.operation.passes.as_ref().map_or(1, |passes| passes.each.len() as u32);
        let deepest = draft.operation.passes.as_ref().and_then(|passes| passes.each.first().copied());
        let cuts = teeth.spaces().saturating_mul(depths);
        for running in &mut draft.operation.running {
            running.travel = Some(Travel::milled(face, cutter, deepest.unwrap_or(teeth.depth), cuts));
        }
        let in_a_ring = self.blank.gives > 1;
        draft.operation.timing.out_of_one = self.blank.gives;
        draft.operation.timing.piece_by_piece = in_a_ring;
        let per = if in_a_ring { Per::Piece } else { Per::Load };
        draft.operation.timing.tasks.push(self.task(Allowance::IndexSpace, f64::from(cuts), per));
        let travel = self.shop.machines_of(MachineKind::Mill).find_map(|mill| mill.travel);
        if let Some(sentence) = self.stack(draft, travel) {
            draft.operation.notes.push(format!("{sentence}: they are then indexed once."));
        }
    }

    /// Pieces that are cut in one ring: as many as it gives, or as are wanted.
    fn in_one_ring(&self) -> u32 {
        self.blank.gives.min(self.how_many())
    }

    /// Spaces from the first one cut to the last, round the ring.
    pub(super) fn spaces_reached(&self, teeth: &TeethWork) -> u32 {
        let apart = teeth.teeth / self.blank.gives.max(1);
        apart.saturating_mul(self.in_one_ring().saturating_sub(1)).saturating_add(teeth.spaces()).min(teeth.teeth)
    }

    /// As many blanks side by side as arbor and travel carry; the sentence says how many of those wanted.
    fn stack(&self, draft: &mut Draft, travel: Option<Length>) -> Option<String> {
        let bore = self.datum().filter(|bore| self.is_flat() && !self.is_slender(*bore))?;
        let room = self.at_a_time(bore, travel);
        draft.operation.timing.at_once = room;
        let at_once = room.min(self.blanks());
        let of = if at_once == self.blanks() { String::new() } else { format!(" of the {}", self.blanks()) };
        (at_once > 1).then(|| format!("Clamp {at_once}{of} blanks side by side on the arbor, if it is long enough"))
    }

    /// Blanks that are sawn for all pieces.
    pub(super) fn blanks(&self) -> u32 {
        self.how_many().div_ceil(self.blank.gives.max(1))
    }

    /// Is the part no thicker at its hub than at its rim, so that blanks lie face to face?
    fn is_flat(&self) -> bool {
        let hair = Length::from_mm(0.2);
        match (self.brief.thickness, self.brief.face_width) {
            (Some(thickness), Some(face)) => (thickness - face).abs() <= hair,
            (None, _) | (_, None) => true,
        }
    }

    pub(super) fn untimed_thickness(&mut self) {
        let why = "The thickness is not given, so it is not known how long cutting takes: measure the original's.";
        if !self.untimed.iter().any(|said| said == why) {
            self.untimed.push(why.into());
        }
    }

    /// Said once for each metal that has no speeds or feeds in the tables.
    pub(super) fn untimed_metal(&mut self, metal: &str) {
        let why = format!("No speeds and feeds are known for {metal}, so it is not known how long cutting it takes.");
        if !self.untimed.contains(&why) {
            self.untimed.push(why);
        }
    }

    /// Whether more than one sector comes out of a disc, and why not.
    pub(super) fn note_ring(&mut self) {
        let sector = self.teeth_cuts().into_iter().any(|(_, teeth)| !teeth.whole);
        let wanted = self.how_many();
        if !sector || wanted < 2 {
            return;
        }
        self.notes.push(match (self.blank.gives, self.brief.sweep) {
            (1, None) => {
                "One piece to a disc: the part reaches over the disc's middle, so no second one fits beside it.".into()
            }
            (1, Some(_)) => "One piece to a disc: with a saw cut between them no two fit side by side.".to_string(),
            (gives, _) => format!(
                "{gives} pieces come out of one disc, side by side round it: {} for the {wanted} wanted.",
                match self.blanks() {
                    1 => "one disc".to_string(),
                    several => format!("{several} discs"),
                }
            ),
        });
    }

    /// Where several pieces come out of one blank: which spaces are theirs.
    pub(super) fn ring_sentence(&self, teeth: &TeethWork) -> Option<String> {
        let pieces = self.in_one_ring();
        if pieces < 2 || teeth.whole {
            return None;
        }
        let apart = teeth.teeth / self.blank.gives;
        let spaces = teeth.spaces();
        let of_each: Vec<String> =
            (0..pieces).map(|piece| format!("{} to {}", piece * apart + 1, piece * apart + spaces)).collect();
        Some(format!(
            "{pieces} pieces come out of this ring: cut spaces {} of the circle, and go past the others without cutting.",
            and(&of_each)
        ))
    }
}

fn by_area(what: &str, mm2: f64, cm2_per_minute: f64) -> Task {
    Task {
        what: what.to_string(),
        minutes: Minutes::new(1.0 / cm2_per_minute),
        count: mm2 / 100.0,
        per: Per::Blank,
        cutting: true,
    }
}

/// "a", "a and b", "a, b and c"
fn and(all: &[String]) -> String {
    match all {
        [] => String::new(),
        [one] => one.clone(),
        [rest @ .., last] => format!("{} and {last}", rest.join(", ")),
    }
}
