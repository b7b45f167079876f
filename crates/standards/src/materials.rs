//! Materials of repair work: what they are, how strong, and how fast high-speed steel cuts them.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use serde::Deserialize;

use crate::table::{self, Cited, DataFile, Malformed, Source, Sources, data_file};

pub(crate) const FILE: DataFile = data_file!("materials/handbook.toml");

/// Typical values; books differ by 10 to 15 in a hundred.
#[derive(Clone, Debug, PartialEq)]
pub struct Material {
    pub name: String,
    pub aliases: Vec<String>,
    pub density_kg_m3: f64,
    /// What kind of metal it is, for friction and the like.
    pub group: Group,
    /// Tensile strength.
    pub uts_mpa: f64,
    /// Brittle materials have none.
    pub yield_mpa: Option<f64>,
    /// Compressive strength, where it is another than in tension: of brittle materials.
    pub compressive_mpa: Option<f64>,
    pub youngs_modulus_gpa: f64,
    pub poisson: f64,
    /// Thermal expansion, 10⁻⁶ per kelvin.
    pub expansion_1e6_per_k: f64,
    /// Brinell hardness from lo to hi; plastics have none.
    pub hardness_hb: Option<(f64, f64)>,
    pub speeds: Speeds,
    /// Cut without coolant.
    pub dry: bool,
    pub caution: Option<String>,
    /// The family whose feeds it is cut with; see [`crate::cutting`].
    pub feeds_like: String,
    pub properties_source: Source,
    pub speeds_source: Source,
}

/// What kind of metal a material is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
pub enum Group {
    #[serde(rename = "iron")]
    Iron,
    #[serde(rename = "steel")]
    Steel,
    #[serde(rename = "copper alloy")]
    CopperAlloy,
    #[serde(rename = "aluminium")]
    Aluminium,
    #[serde(rename = "plastic")]
    Plastic,
}

impl Group {
    pub fn named(name: &str) -> Option<Group> {
        Some(match name {
            "iron" => Group::Iron,
            "steel" => Group::Steel,
            "copper alloy" => Group::CopperAlloy,
            "aluminium" => Group::Aluminium,
            "plastic" => Group::Plastic,
            _ => return None,
        })
    }
}

impl Material {
    /// Breaks without giving way first, as grey iron does: in tension it is judged by what it breaks at.
    pub fn is_brittle(&self) -> bool {
        self.yield_mpa.is_none()
    }
}

/// Cutting speeds of high-speed steel tools, m/min, from lo to hi.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
pub struct Speeds {
    pub turning: (f64, f64),
    pub milling: (f64, f64),
    pub drilling: (f64, f64),
    pub reaming: (f64, f64),
    /// With a form cutter.
    pub gear_cutting: (f64, f64),
}

pub fn materials() -> &'static [Material] {
    static MATERIALS: LazyLock<Vec<Material>> = LazyLock::new(|| read().expect(table::WELL_FORMED));
    &MATERIALS
}

/// The material of this name or alias, in any case.
pub fn material(name: &str) -> Option<&'static Material> {
    let name = name.trim();
    materials().iter().find(|material| {
        std::iter::once(&material.name).chain(&material.aliases).any(|known| known.eq_ignore_ascii_case(name))
    })
}

/// Every name and alias, for suggesting the one that was meant.
pub fn material_names() -> impl Iterator<Item = &'static str> {
    materials().iter().flat_map(|material| std::iter::once(&material.name).chain(&material.aliases)).map(String::as_str)
}

#[derive(Deserialize)]
struct File {
    sources: BTreeMap<String, String>,
    material: Vec<Entry>,
}

#[derive(Deserialize)]
struct Entry {
    name: String,
    aliases: Vec<String>,
    group: Group,
    feeds_like: String,
    dry: bool,
    caution: Option<String>,
    properties: Properties,
    speeds: CitedSpeeds,
}

#[derive(Deserialize)]
struct Properties {
    density: f64,
    uts: f64,
    #[serde(rename = "yield")]
    yield_point: Option<f64>,
    compressive: Option<f64>,
    e: f64,
    nu: f64,
    expansion: f64,
    hb: Option<(f64, f64)>,
    #[serde(flatten)]
    cited: Cited,
}

#[derive(Deserialize)]
struct CitedSpeeds {
    #[serde(flatten)]
    speeds: Speeds,
    #[serde(flatten)]
    cited: Cited,
}

fn read() -> Result<Vec<Material>, Malformed> {
    let file: File = table::toml_file(&FILE)?;
    let sources = Sources::from_toml(file.sources);
    let material = |entry: Entry| {
        let Entry { name, aliases, group, feeds_like, dry, caution, properties, speeds } = entry;
        Ok(Material {
            name,
            aliases,
            density_kg_m3: properties.density,
            group,
            uts_mpa: properties.uts,
            yield_mpa: properties.yield_point,
            compressive_mpa: properties.compressive,
            youngs_modulus_gpa: properties.e,
            poisson: properties.nu,
            expansion_1e6_per_k: properties.expansion,
            hardness_hb: properties.hb,
            speeds: speeds.speeds,
            dry,
            caution,
            feeds_like,
            properties_source: sources.cite(&properties.cited)?,
            speeds_source: sources.cite(&speeds.cited)?,
        })
    };
    file.material.into_iter().map(material).collect()
}
