//! How long hand work takes: what a shop allows for setting up, handling and measuring, and how fast it saws.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use quantity::{Length, Minutes};
use serde::Deserialize;

use crate::materials::Material;
use crate::table::{self, Cited, DataFile, Malformed, Source, Sources, data_file};

pub(crate) const FILE: DataFile = data_file!("times/bench.toml");

/// A piece of hand work that time is allowed for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Allowance {
    BeginJob,
    TakeReading,
    SetUpLathe,
    SetUpMill,
    SetUpDrillPress,
    SetUpSaw,
    SetUpSander,
    SetUpArborPress,
    SetUpBench,
    SetUpDividingHead,
    SetTool,
    LoadLathe,
    LoadMill,
    LoadDrillPress,
    LoadSaw,
    LoadSander,
    LoadArborPress,
    LoadBench,
    AddBlank,
    TurnEndForEnd,
    ChangeTool,
    TakeCut,
    IndexSpace,
    PlaceHole,
    SpotThroughMate,
    LineUpOnMate,
    GlueTemplate,
    PressBush,
    ReamByHand,
    TapHole,
    PushBroach,
    PlaneStroke,
    PartOff,
    BreakEdges,
    DressTooth,
    CountersinkHole,
    MarkAndPack,
    MeasureRoughly,
    MeasureFinely,
    TryGauges,
    MeasureOverPins,
    TryOnMate,
}

/// Every allowance with its name in data and shop files.
const NAMES: [(Allowance, &str); 42] = [
    (Allowance::BeginJob, "begin the job"),
    (Allowance::TakeReading, "take a reading"),
    (Allowance::SetUpLathe, "set up lathe"),
    (Allowance::SetUpMill, "set up mill"),
    (Allowance::SetUpDrillPress, "set up drill press"),
    (Allowance::SetUpSaw, "set up saw"),
    (Allowance::SetUpSander, "set up sander"),
    (Allowance::SetUpArborPress, "set up arbor press"),
    (Allowance::SetUpBench, "set up bench"),
    (Allowance::SetUpDividingHead, "set up dividing head"),
    (Allowance::SetTool, "set a tool"),
    (Allowance::LoadLathe, "load lathe"),
    (Allowance::LoadMill, "load mill"),
    (Allowance::LoadDrillPress, "load drill press"),
    (Allowance::LoadSaw, "load saw"),
    (Allowance::LoadSander, "load sander"),
    (Allowance::LoadArborPress, "load arbor press"),
    (Allowance::LoadBench, "load bench"),
    (Allowance::AddBlank, "add a blank"),
    (Allowance::TurnEndForEnd, "turn end for end"),
    (Allowance::ChangeTool, "change the tool"),
    (Allowance::TakeCut, "take a cut"),
    (Allowance::IndexSpace, "index a space"),
    (Allowance::PlaceHole, "place a hole"),
    (Allowance::SpotThroughMate, "spot through the mate"),
    (Allowance::LineUpOnMate, "line up on the mate"),
    (Allowance::GlueTemplate, "glue a template"),
    (Allowance::PressBush, "press a bush"),
    (Allowance::ReamByHand, "ream by hand"),
    (Allowance::TapHole, "tap a hole"),
    (Allowance::PushBroach, "push a broach"),
    (Allowance::PlaneStroke, "plane a stroke"),
    (Allowance::PartOff, "part off"),
    (Allowance::BreakEdges, "break the edges"),
    (Allowance::DressTooth, "dress a tooth"),
    (Allowance::CountersinkHole, "countersink a hole"),
    (Allowance::MarkAndPack, "mark and pack"),
    (Allowance::MeasureRoughly, "measure roughly"),
    (Allowance::MeasureFinely, "measure finely"),
    (Allowance::TryGauges, "try gauges"),
    (Allowance::MeasureOverPins, "measure over pins"),
    (Allowance::TryOnMate, "try on the mate"),
];

impl Allowance {
    pub fn all() -> impl Iterator<Item = Allowance> {
        NAMES.iter().map(|(allowance, _)| *allowance)
    }

    pub fn name(self) -> &'static str {
        NAMES.iter().find(|(allowance, _)| *allowance == self).map_or("", |(_, name)| name)
    }

    pub fn named(name: &str) -> Option<Allowance> {
        NAMES.iter().find(|(_, known)| known.eq_ignore_ascii_case(name.trim())).map(|(allowance, _)| *allowance)
    }

    /// What is usually allowed for it; common practice.
    pub fn usual(self) -> Minutes {
        TABLES.allowances.get(&self).map_or(Minutes::ZERO, |(minutes, _)| *minutes)
    }
}

/// How far a tool is fed before it touches and after it is through; common practice.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Run {
    pub before: Length,
    pub after: Length,
    /// The length of a drill's point in its diameters.
    pub drill_point: f64,
    pub source: Source,
}

pub fn run() -> Run {
    TABLES.run
}

/// Section that a small bandsaw goes through in a minute, cm²; `None` for a family that is not in the table.
pub fn sawn_per_minute(material: &Material) -> Option<f64> {
    TABLES.sawing.iter().find(|row| row.family == material.feeds_like).map(|row| row.saw)
}

/// Edge that a disc sander takes back to a line in a minute, cm².
pub fn sanded_per_minute(material: &Material) -> Option<f64> {
    TABLES.sawing.iter().find(|row| row.family == material.feeds_like).map(|row| row.sand)
}

struct Tables {
    allowances: BTreeMap<Allowance, (Minutes, Source)>,
    run: Run,
    sawing: Vec<Sawing>,
}

static TABLES: LazyLock<Tables> = LazyLock::new(|| read().expect(table::WELL_FORMED));

#[derive(Deserialize)]
struct File {
    sources: BTreeMap<String, String>,
    allowance: Vec<Entry>,
    run: RunEntry,
    sawing: Vec<Sawing>,
}

#[derive(Deserialize)]
struct Entry {
    name: String,
    /// What is done in that time, for whoever reads the table.
    #[serde(rename = "says")]
    _says: String,
    minutes: f64,
    #[serde(flatten)]
    cited: Cited,
}

#[derive(Deserialize)]
struct RunEntry {
    in_mm: f64,
    out_mm: f64,
    drill_point: f64,
    #[serde(flatten)]
    cited: Cited,
}

#[derive(Deserialize)]
struct Sawing {
    family: String,
    saw: f64,
    sand: f64,
}

fn read() -> Result<Tables, Malformed> {
    let file: File = table::toml_file(&FILE)?;
    let sources = Sources::from_toml(file.sources);
    let mut allowances = BTreeMap::new();
    for Entry { name, minutes, cited, .. } in file.allowance {
        let allowance = Allowance::named(&name).ok_or_else(|| format!("{}: no allowance {name}", FILE.path))?;
        if allowances.insert(allowance, (Minutes::new(minutes), sources.cite(&cited)?)).is_some() {
            return Err(format!("{}: {name} stands twice", FILE.path));
        }
    }
    match Allowance::all().find(|allowance| !allowances.contains_key(allowance)) {
        Some(missing) => Err(format!("{}: nothing for {}", FILE.path, missing.name())),
        None => Ok(Tables {
            allowances,
            run: Run {
                before: Length::from_mm(file.run.in_mm),
                after: Length::from_mm(file.run.out_mm),
                drill_point: file.run.drill_point,
                source: sources.cite(&file.run.cited)?,
            },
            sawing: file.sawing,
        }),
    }
}
