//! The teeth in sentences, for the terminal and the sheet.

use design::joint::Span;
use design::tooth::{CentresKnown, Compared, LoadAt, Metal, Running, WEAKER};
use quantity::{Length, print};

use super::DesignedTeeth;

impl DesignedTeeth {
    /// What the terminal tells.
    pub fn in_short(&self) -> Vec<String> {
        let mut out = vec![self.mesh_in_short(), self.strength_in_short()];
        out.extend(self.undercut_in_words());
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
                self.contact_in_words(running),
                self.lengths(running.backlash),
                running.working_angle,
            ),
        }
    }

    /// "1.52 to 1.60", of helical teeth with what their slant adds and on which axes that holds.
    pub fn contact_in_words(&self, running: &Running) -> String {
        let ratio = figures(running.contact_ratio);
        match (self.is_helical(), running.overlap_ratio) {
            (false, _) => ratio,
            (true, Some(overlap)) => {
                format!("{ratio} and {overlap:.2} from the slant, on parallel axes, the mate of the other hand")
            }
            (true, None) => format!("{ratio} beside what the slant adds, on parallel axes, the mate of the other hand"),
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
        if let Some(stresses) = self.teeth.stresses {
            let lasts = stresses.reserve_repeated.is_none_or(|reserve| reserve >= 1.0);
            let what = match (stresses.reserve_once < 1.0, lasts) {
                (true, _) => Some("breaks or bends the new teeth at once"),
                (false, false) => Some("breaks the new teeth in time"),
                (false, true) => None,
            };
            out.extend(what.map(|what| {
                format!("The load given, {}, {what}: see the sheet Design.", self.load_in_words().unwrap_or_default())
            }));
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
        if running.may_bind() && self.teeth.undercut.was && !self.teeth.undercut.is {
            out.push(format!(
                "Cured of their undercut the teeth are too thick for the mate at {}: move the axes, or cut the mate anew, as the sheet Design says.",
                self.centres(running)
            ));
        } else if let Some(thinning) = running.better_thinning {
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

    pub fn lengths(&self, range: Span<Length>) -> String {
        let figures = |length| print::figures(length, self.unit, 2).replace('-', "−");
        format!("{} to {} {}", figures(range.least), figures(range.most), self.unit.sign())
    }

    /// What follows from the new metal being the old one, as far as anybody has said what it was and what became of it.
    fn same_metal(&self) -> String {
        const WORN: &str = "worn";
        let name = &self.teeth.strength.chosen.material.name;
        if self.metal_supposed {
            return format!("What the original was made of is not said: it is reckoned as {name} too.");
        }
        let again = match self.broke {
            Some(sign) if sign.id == WORN => ": what wore the old teeth will wear the new ones",
            Some(_) => ": what broke the old teeth will break the new ones",
            None => "",
        };
        format!("It is the same metal{again}.")
    }

    /// What the ratios mean, as whole sentences.
    pub fn strength_in_words(&self) -> Vec<String> {
        let strength = &self.teeth.strength;
        let (new, old) = (&strength.chosen.material.name, &strength.original.name);
        let mut out = vec![format!(
            "By form alone the new tooth carries {} of what the original's did, loaded at {}; by Lewis's plain rule {}.",
            figures(strength.form),
            self.load_place(),
            figures(strength.lewis),
        )];
        if new == old {
            out.push(format!(
                "{} What the form lacks is the thinning for backlash. Cut teeth in sound {new} bear along the whole face from the first day, where rough cast ones touch on high spots; that is in hand, and not counted.",
                self.same_metal()
            ));
            return out;
        }
        let Metal { repeated, once, set, contact, .. } = &strength.chosen;
        let mut told = format!("{} for {old}: ", capital(new));
        if let Some(repeated) = repeated {
            told.push_str(&format!("load after load its teeth bear {} times as much. ", times(repeated.likely)));
        }
        told.push_str(&format!(
            "One blow breaks a tooth off at {} times the load that did so before",
            times(once.likely)
        ));
        match set {
            Some(set) => told.push_str(&format!(
                ", but from {} times on it stays bent: it gives way before it breaks.",
                times(set.likely)
            )),
            None => told.push_str(", and without bending first."),
        }
        if let Some(contact) = contact {
            let which = match contact.likely {
                low if low < WEAKER => "Its flanks wear sooner: oil it, and look at them after the first days.",
                _ => "Its flanks last as long or longer; look at the mate's instead.",
            };
            told.push_str(&format!(" {which}"));
        }
        out.push(told);
        out
    }

    fn is_helical(&self) -> bool {
        self.teeth.made.full.lead().is_some()
    }

    fn load_place(&self) -> &'static str {
        match self.teeth.strength.load_at {
            LoadAt::OuterSingleContact => "the outer point of single contact",
            LoadAt::Tip if self.is_helical() => "the tip, as helical teeth are compared",
            LoadAt::Tip => "the tip, since its mate is not known",
        }
    }

    /// Where the figures come from and what they are good for.
    pub fn strength_from(&self) -> String {
        let strength = &self.teeth.strength;
        let sources = [strength.chosen.material, strength.original].into_iter().filter_map(standards::tooth_strength);
        let mut sources: Vec<&str> = sources.map(|strength| strength.source.citation).collect();
        sources.dedup();
        format!(
            "Ratios, for loads are seldom known: in brackets what hardness and limits leave open; an old casting may be a third weaker than the book. Form and notch after ISO 6336-3 method B at the 30° tangent of the root as it is generated; flanks after ISO 6336-2. Metals: {}.",
            sources.join("; ")
        )
    }

    pub fn shift_known(&self) -> String {
        let (made, undercut) = (&self.teeth.made, &self.teeth.undercut);
        match (undercut.was, undercut.is) {
            (false, _) => "as found; no undercut".into(),
            (true, true) => "as found; the roots are undercut, as they were".into(),
            (true, false) => format!("was {}; the undercut is cured", shift(made.shift_found)),
        }
    }

    /// What a shift does, or would do, about an undercut.
    pub fn undercut_in_words(&self) -> Option<String> {
        let undercut = self.teeth.undercut;
        if !undercut.was {
            return None;
        }
        let (told, must) = if undercut.is { ("would need", "would have to") } else { ("needs", "must") };
        let took = print::length(undercut.lost, self.unit, 2);
        // less than the last figure is no loss
        if took == print::length(Length::ZERO, self.unit, 2) {
            return None;
        }
        Some(format!(
            "The rack that cut the original's teeth took {took} of flank off their roots. To cure it {told} a shift of {}{}. With the mate as it is the axes {must} stand {} further apart; on fixed axes the mate {must} be cut anew, shifted by {}.",
            shift(undercut.cure),
            if undercut.is { " (undercut = \"cure\")" } else { "" },
            print::length(undercut.centres, self.unit, 2),
            shift(-undercut.change)
        ))
    }

    pub fn backlash_in_words(&self, running: &Running) -> &'static str {
        match running.supposed {
            true => "along the pitch circles, the mate not worn",
            false => "along the pitch circles, the mate as found",
        }
    }

    /// "the pinion as it was found: 17 teeth, module 2.5, ISO 53 A, 20°"
    pub fn mate_in_words(&self, running: &Running) -> String {
        match (&self.mate, running.supposed) {
            (Some(name), false) => format!("the {name} as it was found: {}", running.mate_label),
            (_, true) | (None, false) => format!("the mate, {}", running.mate_label),
        }
    }

    pub fn distance(&self, running: &Running) -> String {
        print::length(running.mesh.centre_distance(), self.unit, 2)
    }

    pub fn distance_known(&self, running: &Running) -> String {
        match running.centres {
            CentresKnown::Read(read) => {
                format!("as read, ± {} (k = 2)", print::length(2.0 * read.sigma, self.unit, 2))
            }
            CentresKnown::Reckoned(_) => "reckoned from both: measure it on the machine".into(),
        }
    }

    pub fn fillets_in_words(&self, running: &Running) -> &'static str {
        let short = running.flank_room.iter().any(|room| *room < Length::ZERO);
        match (running.strikes.contains(&true), short) {
            (true, _) => "new, mate: tips dig into a fillet; shorten them",
            (false, true) => "new, mate: tips reach into the undercut",
            (false, false) => "in radius, on the new teeth and on the mate's",
        }
    }

    pub fn load_in_words(&self) -> Option<String> {
        let load = self.load?;
        let torque = print::torque(load.torque_nm, self.unit);
        Some(match load.speed_rpm {
            Some(speed) => format!("{torque} at {} turns a minute", print::number(speed)),
            None => format!("{torque}, turned slowly"),
        })
    }

    pub fn stress(&self, mpa: f64) -> String {
        format!("{} {}", print::stress(mpa, self.unit), print::stress_sign(self.unit))
    }
}

pub const CAUTIONS: [&str; 3] = [
    "A mesh draws in fingers, sleeves, rags and hair: guard it before the machine turns, and lock the drive before reaching in.",
    "Turn the new part through a whole round by hand first. At the first run stand clear of its plane: a tooth that breaks is thrown.",
    "These figures are for choosing, not for approval. Local codes come first, and parts whose failure can injure need a licensed engineer.",
];

/// "+0.250"
pub fn shift(modules: f64) -> String {
    format!("{modules:+.3}").replace('-', "−")
}

/// "1.9", "0.85": as many figures as a ratio of strengths deserves.
fn times(ratio: f64) -> String {
    if ratio < 1.05 { format!("{ratio:.2}") } else { format!("{ratio:.1}") }
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| first.to_uppercase().chain(chars).collect())
}

/// A spread under this says nothing that books on strength would stand by.
const WORTH_A_RANGE: f64 = 1.1;

/// "1.23 to 1.31", or one figure where there is no more to tell.
pub fn figures(range: Span<f64>) -> String {
    between(range, " to ")
}

/// "1.9 (1.6–2.3)"
pub fn compared(compared: Compared) -> String {
    let Compared { likely, within } = compared;
    match within.most < within.least * WORTH_A_RANGE {
        true => times(likely),
        false => format!("{} ({})", times(likely), between_times(within)),
    }
}

fn between(range: Span<f64>, joint: &str) -> String {
    let (least, most) = (format!("{:.2}", range.least), format!("{:.2}", range.most));
    if least == most { least } else { format!("{least}{joint}{most}") }
}

fn between_times(range: Span<f64>) -> String {
    let (least, most) = (times(range.least), times(range.most));
    if least == most { least } else { format!("{least}–{most}") }
}
