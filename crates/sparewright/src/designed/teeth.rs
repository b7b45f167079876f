//! The teeth of a job: their mesh, their strength against the original's.

mod json;
pub mod words;

use design::tooth::{Known, Load, Mate, Metals, Teeth};
use quantity::{Length, Unit};
use standards::{Material, Sign};

use crate::planned;
use crate::solve::{Outcome, Solved, SolvedFeature};

/// One toothed feature.
#[derive(Debug)]
pub struct DesignedTeeth {
    pub feature: String,
    pub teeth: Teeth,
    /// What was seen of how the original broke.
    pub broke: Option<&'static Sign>,
    /// Nobody said what the original was made of: it is reckoned as the new part's metal.
    pub metal_supposed: bool,
    /// What runs with it, as the job names it.
    pub mate: Option<String>,
    pub load: Option<Load>,
    /// A load was given that cannot be put on the teeth, and why.
    pub no_stresses: Option<&'static str>,
    pub unit: Unit,
}

pub fn of(solved: &Solved<'_>) -> Vec<DesignedTeeth> {
    solved.features.iter().filter_map(|feature| one(solved, feature)).collect()
}

fn one(solved: &Solved<'_>, feature: &SolvedFeature<'_>) -> Option<DesignedTeeth> {
    let made = feature.design()?.toothed()?;
    let job = solved.job;
    let mate = solved.mates().filter(|(of, _)| *of == feature.of.name).find_map(|(_, mate)| {
        let toothed = Box::new(mate.design()?.toothed()?);
        Some((mate.of.name.as_str(), Mate::Found { toothed, thickness_sigma: thickness_sigma(mate) }))
    });
    let (mate_name, mate) = mate.map_or((None, None), |(name, mate)| (Some(name), Some(mate)));
    let no_stresses = match (made.full.lead(), made.face_width) {
        (Some(_), _) => Some("The load is not told as stress: helical teeth are only compared with the original's."),
        (None, None) => Some("The load cannot be told as stress: give the face width as a reading."),
        (None, Some(_)) => None,
    };
    let known = Known { mate, metals: metals(solved, mate_name)?, load: job.load };
    Some(DesignedTeeth {
        feature: feature.of.name.clone(),
        teeth: Teeth::new(made, &known),
        broke: job.broke,
        metal_supposed: job.material.is_none(),
        load: job.load,
        mate: mate_name.map(str::to_string),
        no_stresses: no_stresses.filter(|_| job.load.is_some()),
        unit: job.unit,
    })
}

/// Of the original, of the new part and of its mate, which is supposed of the original's where nothing is said.
fn metals(solved: &Solved<'_>, mate: Option<&str>) -> Option<Metals> {
    let new: &'static Material = standards::material(planned::material(solved))?;
    let original = solved.job.material.unwrap_or(new);
    let mate = solved.job.mates.iter().find(|one| Some(one.feature.name.as_str()) == mate).and_then(|one| one.material);
    Some(Metals { original, new, mate: mate.unwrap_or(original) })
}

/// Of the arc on the base circle, which differs from that on the pitch circle as little as matters here.
fn thickness_sigma(mate: &SolvedFeature<'_>) -> Length {
    let Outcome::Found(found) = &*mate.outcome else { return Length::ZERO };
    let known = found.weighed.known.iter().find(|known| known.name == "base_thickness_mm");
    known.map_or(Length::ZERO, |known| Length::from_mm(known.sigma))
}
