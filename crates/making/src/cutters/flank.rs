//! What a cutter formed for one count of teeth does to the flanks of another.

use geometry::form_cutter::{FormCut, form_deviation};
use part::TeethWork;
use quantity::Length;
use serde::Serialize;
use standards::{Deviation, USUAL_CLASS, class_of};

/// The flank that is cut against the true one, micrometres square to it; positive where metal is left standing.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Flank {
    /// The count the cutter is exact for.
    pub formed_for: u32,
    pub tip_um: f64,
    pub root_um: f64,
    /// The finest class of ISO 1328-1 whose profile deviation covers it; none where it is coarser than all.
    pub class: Option<u32>,
}

impl Flank {
    pub fn of(teeth: &TeethWork, formed_for: u32) -> Option<Flank> {
        let diameter = teeth.pitch_diameter();
        let addendum = (teeth.blank_diameter - diameter) / (teeth.module * 2.0);
        let deviation = form_deviation(
            &FormCut {
                teeth: teeth.formed_as(),
                module: teeth.module,
                pressure_angle: teeth.pressure_angle,
                addendum,
                // the mate's addendum, in a pair without shift
                working_dedendum: addendum - 2.0 * teeth.profile_shift,
                profile_shift: teeth.profile_shift,
            },
            formed_for,
        )?;
        let um = |length: Length| length.mm() * 1000.0;
        Some(Flank {
            formed_for,
            tip_um: um(deviation.tip),
            root_um: um(deviation.root),
            class: class_of(Deviation::Profile, deviation.worst(), teeth.module, diameter),
        })
    }

    pub fn worst_um(&self) -> f64 {
        self.tip_um.abs().max(self.root_um.abs())
    }

    /// Coarser than form-cut teeth are commonly held to.
    pub fn matters(&self) -> bool {
        self.class.is_none_or(|class| class > USUAL_CLASS)
    }

    /// Below this the flank is as good as true: no grinding of cutters keeps less.
    fn is_true(&self) -> bool {
        const GROUND_TO_UM: f64 = 0.5;
        self.worst_um() < GROUND_TO_UM
    }

    /// "takes 29 µm at the tip, 14 µm at the root"
    pub fn short(&self) -> String {
        let one = |um: f64| format!("{} {:.0} µm", if um > 0.0 { "leaves" } else { "takes" }, um.abs());
        match (self.tip_um > 0.0) == (self.root_um > 0.0) {
            true => format!("{} at the tip, {:.0} µm at the root", one(self.tip_um), self.root_um.abs()),
            false => format!("{} at the tip, {} at the root", one(self.tip_um), one(self.root_um)),
        }
    }

    /// "takes 63 µm too much off the flank at the tip and 38 µm at the root, class 11 of ISO 1328-1"
    pub fn sentence(&self) -> String {
        if self.is_true() {
            return "is true to the micrometre".to_string();
        }
        let um = |micrometres: f64| format!("{:.0} µm", micrometres.abs());
        let what = match (self.tip_um <= 0.0, self.root_um <= 0.0) {
            (true, true) => {
                format!(
                    "takes {} too much off the flank at the tip and {} at the root",
                    um(self.tip_um),
                    um(self.root_um)
                )
            }
            (false, false) => {
                format!(
                    "leaves {} too much on the flank at the tip and {} at the root",
                    um(self.tip_um),
                    um(self.root_um)
                )
            }
            (true, false) => format!(
                "takes {} too much off the flank at the tip and leaves {} at the root",
                um(self.tip_um),
                um(self.root_um)
            ),
            (false, true) => format!(
                "leaves {} too much on the flank at the tip and takes {} off at the root",
                um(self.tip_um),
                um(self.root_um)
            ),
        };
        match self.class {
            Some(class) => format!("{what}, class {class} of ISO 1328-1"),
            None => format!("{what}, coarser than any class of ISO 1328-1"),
        }
    }
}
