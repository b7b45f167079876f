//! The teeth in sentences, for the terminal and the sheet.

use design::tooth::{CentresKnown, Compared, LoadAt, Metal, Range, Running};
use quantity::{Length, print};

use super::DesignedTeeth;

impl DesignedTeeth<'_> {
    /// What the terminal tells.
    pub fn in_short(&self) -> Vec<String> {
        let mut out = vec![self.mesh_in_short(), self.strength_in_short()];
        out.extend(self.warnings());
        out
    }

    pub fn mesh_in_short(&self) -> String {
        match &self.teeth.running {
            None => {
                "What it runs with is not known: give `centre distance V with a mate of N teeth`, or what was read on the mate as [[mate]].".into()
            }
            Some(Err(why)) => format!("It cannot be set in mesh: {why}"),
            Some(Ok(running)) => format!(
                "In mesh with {} at {}: contact ratio {}, backlash {}, working pressure angle {:.2}.",
                running.mate_label,
                self.centres(running),
                figures(running.contact_ratio),
                self.lengths(running.backlash),
                running.working_angle,
            ),
        }
    }

    fn strength_in_short(&self) -> String {
        let strength = &self.teeth.strength;
        let Metal { repeated, once, set, contact, .. } = &strength.chosen;
        let mut told = Vec::new();
        told.extend(repeated.map(|it| format!("{} load after load", compared(it))));
        told.push(format!("{} by one blow", compared(*once)));
        told.extend(set.map(|it| format!("{} until they stay bent", compared(it))));
        told.extend(contact.map(|it| format!("{} on the flanks", compared(it))));
        format!("For each 1 that the original's teeth carried, the new ones carry {}.", told.join(", "))
    }

    /// What needs a decision before metal is cut, as sentences.
    pub fn warnings(&self) -> Vec<String> {
        let mut out = Vec::new();
        if let Some(running) = self.teeth.meshing() {
            out.extend(self.mesh_warnings(running));
        }
        let strength = &self.teeth.strength;
        let (new, old) = (&strength.chosen.material.name, &strength.original.name);
        if strength.is_much_stronger() {
            out.push(format!(
                "Teeth of {new} are much stronger than those of {old}. Something may have been meant to break first: find out what breaks next, key, shaft or the mate's teeth, before this part is fitted."
            ));
        }
        if strength.is_weaker() {
            out.push(format!(
                "Teeth of {new} bear less in one way than those of {old} did: see the sheet Design before choosing it."
            ));
        }
        out.extend(self.no_stresses.map(str::to_string));
        out
    }

    fn mesh_warnings(&self, running: &Running) -> Vec<String> {
        let mut out = Vec::new();
        let size = |length: Length| print::length(length, self.unit, 2);
        if running.interferes() {
            out.push(
                "Tips run where there is no involute, or strike the bottom of the space: see the sheet Design.".into(),
            );
        }
        if running.contact_ratio.least < 1.0 {
            out.push("The contact ratio may be under 1: one pair of teeth lets go before the next has met, and the drive knocks.".into());
        }
        if let Some(thinning) = running.better_thinning {
            let why = if running.may_bind() { "The teeth may bind" } else { "The teeth would run loose" };
            let feed = running
                .better_feed
                .map_or_else(String::new, |feed| format!(", the cutter fed {} deeper than the rack", size(feed)));
            out.push(format!(
                "{why} at {}. Write thinning = \"{}\" into the feature to cut them thinner than full by so much{feed}.",
                self.centres(running),
                print::length(thinning, self.unit, 3),
            ));
        } else if running.may_bind() {
            out.push(format!(
                "The teeth may bind at {}: try them on the mate before the wheel is fixed.",
                self.centres(running)
            ));
        }
        out
    }

    pub fn centres(&self, running: &Running) -> String {
        match running.centres {
            CentresKnown::Read(read) => {
                format!("the centre distance read, {}", print::length(read.value, self.unit, 2))
            }
            CentresKnown::Reckoned(distance) => {
                format!("a centre distance of {}, reckoned from both", print::length(distance, self.unit, 2))
            }
        }
    }

    pub fn lengths(&self, range: Range<Length>) -> String {
        let figures = |length| print::figures(length, self.unit, 2).replace('-', "−");
        format!("{} to {} {}", figures(range.least), figures(range.most), self.unit.sign())
    }

    /// Why the form of the new teeth carries what it carries.
    pub fn form_in_words(&self) -> String {
        let strength = &self.teeth.strength;
        let where_loaded = match strength.load_at {
            LoadAt::OuterSingleContact => "the outer point where one tooth has the whole load",
            LoadAt::Tip => "the tip",
        };
        format!(
            "Form alone, loaded at {where_loaded}: {} of the original's (ISO 6336-3, at the 30° tangent of the root as it is generated), {} by Lewis's plain rule.",
            figures(strength.form),
            figures(strength.lewis)
        )
    }
}

/// "1.23 to 1.31", or one figure where there is no more to tell.
pub fn figures(range: Range<f64>) -> String {
    let (least, most) = (format!("{:.2}", range.least), format!("{:.2}", range.most));
    if least == most { least } else { format!("{least} to {most}") }
}

/// "1.9 (1.6 to 2.3)"
pub fn compared(compared: Compared) -> String {
    let (least, most) = (format!("{:.2}", compared.within.least), format!("{:.2}", compared.within.most));
    let likely = format!("{:.2}", compared.likely);
    if least == likely && most == likely { likely } else { format!("{likely} ({least} to {most})") }
}
