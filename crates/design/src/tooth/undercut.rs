//! What shifting the profile out of an undercut would do.

use geometry::mesh::Pair;
use geometry::toothing::{Toothing, ToothingSpec};
use part::Toothed;
use quantity::Length;

#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Undercut {
    /// Of the original's teeth, unworn.
    pub was: bool,
    /// Of the teeth to make.
    pub is: bool,
    /// The least shift at which these teeth are whole; modules.
    pub cure: f64,
    /// What that shift adds to the one recovered.
    pub change: f64,
    /// How much of the involute, in radius, the rack's tips took.
    pub lost: Length,
    /// How much further apart the axes would have to stand with the mate as it is; nothing where there is no undercut to cure.
    pub centres: Length,
}

impl Undercut {
    /// `mate`: its teeth as they were made, if they are known.
    pub fn new(made: &Toothed, mate: Option<&Toothing>) -> Undercut {
        let with = |shift: f64| {
            Toothing::new(ToothingSpec { profile_shift: shift, tip_diameter: None, ..*made.full.spec() }).ok()
        };
        let original = with(made.shift_found).unwrap_or(made.full);
        let cure = original.least_shift_without_undercut();
        let change = (cure - made.shift_found).max(0.0);
        let base = original.base_diameter() / 2.0;
        Undercut {
            was: original.is_undercut(),
            is: made.full.is_undercut(),
            cure,
            change,
            lost: (original.form_radius() - base).max(Length::ZERO),
            centres: mate
                .filter(|_| change > 0.0)
                .and_then(|mate| further_apart(&original, &with(cure)?, mate))
                .unwrap_or(made.full.module() * change),
        }
    }
}

/// Between the distances at which each of two toothings runs with the mate without backlash.
fn further_apart(original: &Toothing, cured: &Toothing, mate: &Toothing) -> Option<Length> {
    let distance = |own: &Toothing| Pair::new(*own, *mate).ok()?.centre_distance().ok();
    Some(distance(cured)? - distance(original)?)
}
