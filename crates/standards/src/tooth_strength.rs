//! What the metal of a tooth bears, and the signs of what broke it.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use serde::Deserialize;

use crate::materials::Material;
use crate::table::{self, Cited, DataFile, Malformed, Source, Sources, data_file};

pub(crate) const FILES: [DataFile; 2] = [STRENGTHS, SIGNS];
const STRENGTHS: DataFile = data_file!("gears/tooth-strength.toml");
const SIGNS: DataFile = data_file!("gears/broken-teeth.toml");

/// Nominal stress numbers of a material for teeth, from lo to hi over its usual hardness. MPa.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ToothStrength {
    /// σ_F lim: at the root, pulsating, for ever.
    pub bending: (f64, f64),
    /// σ_H lim: on the flank, for ever.
    pub contact: (f64, f64),
    pub source: Source,
}

/// One way in which teeth break.
#[derive(Clone, Debug, PartialEq)]
pub struct Sign {
    /// As a job names it.
    pub id: String,
    pub name: String,
    /// What is seen on the broken part.
    pub looks: String,
    pub means: String,
    pub follows: Vec<String>,
    pub source: Source,
}

/// The numbers for a material of the table of materials.
///
/// σ = A HB + B over the material's usual hardness, kept within the line's own ends. Source: ISO 6336-5:2003, Table 1.
///
/// ```
/// let iron = standards::tooth_strength(standards::material("grey cast iron").unwrap()).unwrap();
/// assert!((iron.bending.0 - (0.256 * 187.0 + 8.0)).abs() < 1e-9);
/// ```
pub fn tooth_strength(material: &Material) -> Option<ToothStrength> {
    let entry = file().materials.iter().find(|entry| entry.name == material.name)?;
    match &entry.strength {
        Strength::Given(given) => Some(*given),
        Strength::Line(line, source) => {
            let (lo, hi) = material.hardness_hb?;
            let at = |of: &Coefficients, hb: f64| of.a * hb.clamp(line.hb.0, line.hb.1) + of.b;
            Some(ToothStrength {
                bending: (at(&line.bending, lo), at(&line.bending, hi)),
                contact: (at(&line.contact, lo), at(&line.contact, hi)),
                source: *source,
            })
        }
    }
}

pub fn signs_of_breakage() -> &'static [Sign] {
    static SIGNS: LazyLock<Vec<Sign>> = LazyLock::new(|| read_signs().expect(table::WELL_FORMED));
    &SIGNS
}

struct Read {
    materials: Vec<Entry>,
}

struct Entry {
    name: String,
    strength: Strength,
}

enum Strength {
    Given(ToothStrength),
    Line(Line, Source),
}

#[derive(Clone, Copy, Deserialize)]
struct Coefficients {
    a: f64,
    b: f64,
}

#[derive(Clone, Deserialize)]
struct Line {
    id: String,
    bending: Coefficients,
    contact: Coefficients,
    hb: (f64, f64),
}

#[derive(Deserialize)]
struct StrengthFile {
    sources: BTreeMap<String, String>,
    line: Vec<Line>,
    material: Vec<MaterialEntry>,
}

#[derive(Deserialize)]
struct MaterialEntry {
    name: String,
    line: Option<String>,
    bending: Option<(f64, f64)>,
    contact: Option<(f64, f64)>,
    #[serde(flatten)]
    cited: Cited,
}

#[derive(Deserialize)]
struct SignFile {
    sources: BTreeMap<String, String>,
    sign: Vec<SignEntry>,
}

#[derive(Deserialize)]
struct SignEntry {
    id: String,
    name: String,
    looks: String,
    means: String,
    follows: Vec<String>,
    #[serde(flatten)]
    cited: Cited,
}

fn file() -> &'static Read {
    static FILE: LazyLock<Read> = LazyLock::new(|| read_strengths().expect(table::WELL_FORMED));
    &FILE
}

fn read_strengths() -> Result<Read, Malformed> {
    let StrengthFile { sources, line, material } = table::toml_file(&STRENGTHS)?;
    let sources = Sources::from_toml(sources);
    let entry = |entry: MaterialEntry| {
        let source = sources.cite(&entry.cited)?;
        let strength = match (entry.line, entry.bending, entry.contact) {
            (Some(id), None, None) => {
                let line = line.iter().find(|line| line.id == id);
                Strength::Line(line.ok_or_else(|| format!("{}: no line `{id}`", entry.name))?.clone(), source)
            }
            (None, Some(bending), Some(contact)) => Strength::Given(ToothStrength { bending, contact, source }),
            _ => return Err(format!("{}: either a line, or bending and contact", entry.name)),
        };
        Ok(Entry { name: entry.name, strength })
    };
    Ok(Read { materials: material.into_iter().map(entry).collect::<Result<_, Malformed>>()? })
}

fn read_signs() -> Result<Vec<Sign>, Malformed> {
    let SignFile { sources, sign } = table::toml_file(&SIGNS)?;
    let sources = Sources::from_toml(sources);
    let entry = |entry: SignEntry| {
        let SignEntry { id, name, looks, means, follows, cited } = entry;
        Ok(Sign { id, name, looks, means, follows, source: sources.cite(&cited)? })
    };
    sign.into_iter().map(entry).collect()
}
