//! A rim to run with its mate and to carry load.

use geometry::toothing::{Toothing, ToothingSpec};
use part::Toothed;
use quantity::Length;

use super::checking::TIP_TOLERANCE;
use super::design::RimDesign;

/// ", helix 21.0° right hand"
fn leaning(design: &RimDesign) -> String {
    design.helix.map_or(String::new(), |helix| format!(", {}", design.leaning(helix)))
}

/// None where such teeth cannot be generated.
pub fn toothed(design: &RimDesign) -> Option<Toothed> {
    let with = |profile_shift: f64, thinning: Length, tip_loss: Length| {
        let spec = ToothingSpec {
            teeth: design.teeth,
            module: design.module,
            rack: design.rack,
            profile_shift,
            thinning,
            tip_diameter: None,
            helix: design.toothing.as_ref().ok()?.spec().helix,
        };
        let full = Toothing::new(spec).ok()?;
        if tip_loss == Length::ZERO {
            return Some(full);
        }
        Toothing::new(ToothingSpec { tip_diameter: Some(full.tip_diameter() - 2.0 * tip_loss), ..spec }).ok()
    };
    let full = with(design.profile_shift, Length::ZERO, Length::ZERO)?;
    // thickness and tips were read; a rim so worn that no such teeth can be drawn is taken as it was when new
    let found = with(design.shift_found, design.thinning_found.max(Length::ZERO), design.tip_loss_found)
        .or_else(|| with(design.shift_found, Length::ZERO, Length::ZERO))?;
    let [thick, thin] = design.thinnings();
    Some(Toothed {
        label: format!("{} teeth, {}, {}{}", design.teeth, design.size_label(), design.rack_name(), leaning(design)),
        whole: design.whole,
        teeth_cut: design.teeth_cut,
        full,
        found,
        cut: [full.fed_deeper(thick).ok()?, full.fed_deeper(thin).ok()?],
        tip_tolerance: design.module * (TIP_TOLERANCE / 2.0),
        tip_rounding: design.tip_rounding,
        shift_found: design.shift_found,
        face_width: design.face_width,
        hand: design.hand,
        centres: design.centres.clone(),
    })
}
