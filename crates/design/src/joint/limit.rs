//! How near a ring's stresses come to what its material stands.

use standards::Material;

/// What a stress is held against.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Criterion {
    /// Gives way first: the equivalent stress of von Mises against the yield point.
    Yields,
    /// Breaks without giving way: the greatest tension against the tensile strength.
    BreaksInTension,
    /// The greatest pressure against the compressive strength.
    CrushesInCompression,
}

/// The worst stress of a ring against its limit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Strained {
    pub criterion: Criterion,
    /// Hoop stress where it is greatest, MPa; tension positive.
    pub hoop_mpa: f64,
    /// What is compared, MPa.
    pub stress_mpa: f64,
    pub limit_mpa: f64,
}

/// How safe that is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Margin {
    Ample,
    /// Nearer to the limit than a careful shop goes.
    Thin,
    /// At or beyond the limit.
    None,
}

/// A brittle material is kept below this part of its strength: castings hide pores, and books differ by tens of per cent
/// from the iron of an old foundry (common practice: a factor of 3 or more).
const CAREFUL_BRITTLE: f64 = 1.0 / 3.0;
/// One that yields first only loses some grip when it does (common practice).
const CAREFUL_DUCTILE: f64 = 0.8;
/// Grey iron stands this many times its tensile strength in compression, where the table gives none: handbooks give 3 to 4.
const CRUSHES_AT: f64 = 3.0;

impl Strained {
    /// Of principal stresses in the plane, hoop and radial; the third is zero.
    ///
    /// Ductile: σ = √(σt² − σtσr + σr²) ≤ yield (von Mises). Brittle: in tension σt ≤ tensile strength, which is the modified
    /// Mohr criterion while no pressure is greater than the tension, as at the bore of a hub; in compression by its own strength.
    /// Source: Budynas and Nisbett, Shigley's Mechanical Engineering Design, ch. 5, from memory.
    pub fn of(material: &Material, hoop: f64, radial: f64) -> Strained {
        let greatest = hoop.max(radial);
        let (criterion, stress_mpa, limit_mpa) = match material.yield_mpa {
            Some(limit) => (Criterion::Yields, (hoop * hoop - hoop * radial + radial * radial).max(0.0).sqrt(), limit),
            None if greatest > 0.0 => (Criterion::BreaksInTension, greatest, material.uts_mpa),
            None => {
                let limit = material.compressive_mpa.unwrap_or(CRUSHES_AT * material.uts_mpa);
                (Criterion::CrushesInCompression, -hoop.min(radial), limit)
            }
        };
        Strained { criterion, hoop_mpa: hoop, stress_mpa, limit_mpa }
    }

    /// The part of the limit that is used, 1 at the limit.
    pub fn used(&self) -> f64 {
        self.stress_mpa / self.limit_mpa
    }

    pub fn margin(&self) -> Margin {
        let careful = match self.criterion {
            Criterion::Yields => CAREFUL_DUCTILE,
            Criterion::BreaksInTension | Criterion::CrushesInCompression => CAREFUL_BRITTLE,
        };
        match self.used() {
            used if used <= careful => Margin::Ample,
            used if used < 1.0 => Margin::Thin,
            _ => Margin::None,
        }
    }
}
