//! Teeth: the mesh with the mate, and what they carry, against the original.
//!
//! External teeth. Helical ones run in the transverse section, on parallel axes, and carry load as the spur teeth of their normal
//! section, compared only. Angles, heights and radii come from the teeth as they are generated; formulas of standards only join them.

mod bending;
mod contact;
mod load;
mod running;
mod span;
mod strength;
mod undercut;

use geometry::mesh::PairError;
use geometry::toothing::Toothing;
use part::Toothed;

pub use bending::{Bending, lewis_factor, lewis_factor_square};
pub use contact::{
    contact_ratio_factor, contact_stress, elastic, elasticity_factor, single_contact_factors, zone_factor,
};
pub use load::{Finish, Load, Stresses, tangential_force, torque_of_power, velocity, velocity_factor};
pub use running::{CentresKnown, Mate, PerTenth, Running, USUAL_BACKLASH};
pub use strength::{Compared, LoadAt, MUCH_STRONGER, Metal, Metals, Strength, WEAKER};
pub use undercut::Undercut;

/// The teeth of a part, with all that is asked about them answered.
#[derive(Clone, Debug)]
pub struct Teeth {
    pub made: Toothed,
    pub undercut: Undercut,
    /// None where nothing is known of what it runs with.
    pub running: Option<Result<Running, PairError>>,
    pub strength: Strength,
    /// None where no load is known, or no face width to spread it on, or the teeth are helical.
    pub stresses: Option<Stresses>,
}

/// What is known beside the teeth themselves.
#[derive(Clone, Debug)]
pub struct Known {
    pub mate: Option<Mate>,
    pub metals: Metals,
    pub load: Option<Load>,
}

impl Teeth {
    pub fn new(made: Toothed, known: &Known) -> Teeth {
        // a centre distance names its mate's count: of a mate that was not read, this is all there is
        let supposed = made.centres.first().map(|centres| Mate::Supposed { teeth: centres.mate_teeth });
        let mate = known.mate.clone().or(supposed);
        let running = mate.as_ref().map(|mate| Running::new(&made, mate));
        let meshing = running.as_ref().and_then(|running| running.as_ref().ok());
        let outer = meshing.filter(|running| running.contact_ratio.least >= 1.0);
        let outer = outer.map(|running| running.mesh.outer_single_contact()[0]);
        let straight = made.full.lead().is_none();
        let strength = Strength::new(&made, outer.filter(|_| straight), known.metals);
        let loaded = known.load.zip(made.face_width).filter(|_| straight);
        let stresses = loaded.map(|(load, face)| {
            let Metals { new, mate, .. } = known.metals;
            Stresses::new(&made, &strength.new, meshing, (new, mate), face.value.mm(), load)
        });
        Teeth { undercut: Undercut::new(&made, mate_as_made(mate.as_ref())), running, strength, stresses, made }
    }

    pub fn meshing(&self) -> Option<&Running> {
        self.running.as_ref()?.as_ref().ok()
    }
}

fn mate_as_made(mate: Option<&Mate>) -> Option<&Toothing> {
    match mate? {
        Mate::Found { toothed, .. } => Some(&toothed.full),
        Mate::Supposed { .. } => None,
    }
}
