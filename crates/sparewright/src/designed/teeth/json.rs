//! The teeth in the machine-readable result. Lengths in mm, angles in degrees, stresses in MPa.

use design::joint::Span;
use design::tooth::{CentresKnown, Compared, LoadAt, Metal, Running, Strength, Stresses};
use quantity::Length;
use serde_json::{Value, json};

use super::DesignedTeeth;

impl DesignedTeeth {
    pub fn json(&self) -> Value {
        let teeth = &self.teeth;
        let made = &teeth.made;
        let running = teeth.running.as_ref();
        json!({
            "name": self.feature,
            "profile_shift": made.full.spec().profile_shift,
            "profile_shift_found": made.shift_found,
            "tip_rounding_mm": made.tip_rounding.mm(),
            "pitch_thickness_mm": lengths(made.cut.iter().map(|cut| cut.pitch_thickness())),
            "undercut": {
                "was": teeth.undercut.was,
                "is": teeth.undercut.is,
                "cured_by_shift": teeth.undercut.cure,
                "centres_further_apart_mm": teeth.undercut.centres.mm(),
            },
            "mesh": running.and_then(|running| running.as_ref().ok()).map(mesh),
            "why_no_mesh": running.and_then(|running| running.as_ref().err()).map(ToString::to_string),
            "strength": strength(&teeth.strength),
            "stresses": teeth.stresses.as_ref().map(stresses),
            "broke": self.broke.map(|sign| &sign.id),
            "warnings": self.warnings(),
        })
    }
}

fn mesh(running: &Running) -> Value {
    let (distance, sigma) = match running.centres {
        CentresKnown::Read(read) => (read.value, Some(read.sigma.mm())),
        CentresKnown::Reckoned(distance) => (distance, None),
    };
    json!({
        "mate": running.mate_label,
        "mate_supposed": running.supposed,
        "centre_distance_mm": distance.mm(),
        "centre_distance_sigma_mm": sigma,
        "working_pressure_angle_deg": running.working_angle.degrees(),
        "contact_ratio": range(running.contact_ratio),
        "overlap_ratio": running.overlap_ratio,
        "backlash_mm": {"least": running.backlash.least.mm(), "most": running.backlash.most.mm()},
        "bottom_clearance_mm": running.clearance.map(Length::mm),
        "flank_room_mm": running.flank_room.map(Length::mm),
        "interferes": running.interferes(),
        "per_0_1_mm_of_centre_distance": {
            "backlash_mm": running.per_tenth.backlash.mm(),
            "working_pressure_angle_deg": running.per_tenth.working_angle.degrees(),
            "contact_ratio": running.per_tenth.contact_ratio,
        },
        "better_thinning_mm": running.better_thinning.map(Length::mm),
    })
}

fn strength(strength: &Strength) -> Value {
    json!({
        "load_at": match strength.load_at {
            LoadAt::OuterSingleContact => "outer point of single contact",
            LoadAt::Tip => "tip",
        },
        "form_factor": {"new": strength.new.form_factor(), "original": strength.old.form_factor()},
        "stress_correction": {"new": strength.new.stress_correction(), "original": strength.old.stress_correction()},
        "form_over_original": range(strength.form),
        "form_over_original_lewis": range(strength.lewis),
        "original": strength.original.name,
        "metal": metal(&strength.chosen),
        "other_metals": strength.others.iter().map(metal).collect::<Vec<_>>(),
    })
}

/// Each for 1 of the original's.
fn metal(metal: &Metal) -> Value {
    let compared = |compared: Compared| json!({"likely": compared.likely, "least": compared.within.least, "most": compared.within.most});
    json!({
        "name": metal.material.name,
        "repeated_bending": metal.repeated.map(compared),
        "one_blow_breaks": compared(metal.once),
        "one_blow_stays_bent": metal.set.map(compared),
        "contact": metal.contact.map(compared),
        "contact_on_the_mate": metal.mates_contact,
    })
}

fn stresses(stresses: &Stresses) -> Value {
    json!({
        "tangential_force_n": stresses.force_n,
        "velocity_m_s": stresses.velocity_m_s,
        "velocity_factor": stresses.velocity_factor,
        "bending_mpa": stresses.bending_mpa,
        "lewis_mpa": stresses.lewis_mpa,
        "contact_mpa": stresses.contact_mpa,
        "reserve_repeated": stresses.reserve_repeated,
        "reserve_once": stresses.reserve_once,
        "reserve_contact": stresses.reserve_contact,
    })
}

fn range(range: Span<f64>) -> Value {
    json!({"least": range.least, "most": range.most})
}

fn lengths(of: impl Iterator<Item = Length>) -> Value {
    let range = Span::of_lengths(of);
    json!(range.map(|range| json!({"least": range.least.mm(), "most": range.most.mm()})))
}
