//! Feeds of high-speed steel tools, and what is left for a reamer. Speeds stand with the material.
//!
//! Feeds go by family, [`Material::feeds_like`]: one table serves the materials that cut alike.

use std::sync::LazyLock;

use quantity::Length;
use serde::Deserialize;
use serde::de::DeserializeOwned;

use crate::materials::Material;
use crate::table::{self, DataFile, Malformed, Source, data_file};

const DRILLING: DataFile = data_file!("cutting/drill-feeds.csv");
const TURNING: DataFile = data_file!("cutting/turning-feeds.csv");
const MILLING: DataFile = data_file!("cutting/milling-feeds.csv");
const REAMING: DataFile = data_file!("cutting/reaming.csv");
const WAYS_ROUND: DataFile = data_file!("cutting/ways-round.csv");
const MACHINES: DataFile = data_file!("cutting/machines.csv");
const TOOLS: DataFile = data_file!("cutting/tool-materials.csv");
const FLUIDS: DataFile = data_file!("cutting/fluids.csv");
pub(crate) const FILES: [DataFile; 8] = [DRILLING, TURNING, MILLING, REAMING, WAYS_ROUND, MACHINES, TOOLS, FLUIDS];

/// A range of sizes out of a table, and where it comes from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Span {
    pub lo: Length,
    pub hi: Length,
    pub source: Source,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Pass {
    Rough,
    Finish,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum MillingCutter {
    /// Slab, side and face mills.
    Side,
    /// End mills of 6 to 20 mm.
    End,
    /// Gear cutters and other form-relieved cutters.
    Form,
}

/// How much cut a machine stands.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Stiffness {
    #[default]
    Light,
    Medium,
    Heavy,
}

/// Cuts whose depth the machine limits.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum DeepCut {
    Turning,
    Boring,
    Form,
}

/// The deepest cut on a side that a machine takes.
pub fn deepest_cut(stiffness: Stiffness, cut: DeepCut) -> Length {
    let row = TABLES.machines.iter().find(|row| row.stiffness == stiffness && row.cut == cut);
    row.map_or(Length::from_mm(1.0), |row| Length::from_mm(row.deepest_mm))
}

#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Deserialize)]
pub enum ToolMaterial {
    #[default]
    #[serde(rename = "high-speed steel")]
    HighSpeedSteel,
    #[serde(rename = "carbide")]
    Carbide,
    #[serde(rename = "carbon steel")]
    CarbonSteel,
}

/// Cutting speed of a tool as a multiple of the table's, which is for high-speed steel.
pub fn speed_factor(tool: ToolMaterial) -> f64 {
    TABLES.tools.iter().find(|row| row.tool == tool).map_or(1.0, |row| row.factor)
}

/// What is put on the cut; none where it is cut dry. A metal's own goes before that of the family it is cut like: what cuts as hard
/// as stainless steel may still be stained by its oil.
pub fn fluid(material: &Material) -> Option<&'static str> {
    let of = |name: &str| TABLES.fluids.iter().find(|row| row.family == name);
    let row = of(&material.name).or_else(|| of(&material.feeds_like)).filter(|_| !material.dry)?;
    Some(&row.fluid)
}

/// Feed of a twist drill per turn.
///
/// Between two tabulated diameters in proportion; below the smallest f = f₁ d/d₁; above the largest no more than there.
/// Any d > 0. Sources differ by a factor of two. Source: the table's; the extension below it is common practice.
pub fn drill_feed(material: &Material, diameter: Length) -> Option<Length> {
    let points: Vec<&DrillFeed> = TABLES.drilling.iter().filter(|row| row.family == material.feeds_like).collect();
    let above = points.iter().position(|point| point.diameter_mm >= diameter.mm());
    let d = diameter.mm();
    let feed = match above {
        Some(0) => points[0].feed_mm_per_rev * d / points[0].diameter_mm,
        Some(at) => {
            let (a, b) = (points[at - 1], points[at]);
            let share = (d - a.diameter_mm) / (b.diameter_mm - a.diameter_mm);
            a.feed_mm_per_rev + share * (b.feed_mm_per_rev - a.feed_mm_per_rev)
        }
        None => points.last()?.feed_mm_per_rev,
    };
    (d > 0.0).then_some(Length::from_mm(feed))
}

/// Feed in turning and boring, per turn.
pub fn turning_feed(material: &Material, pass: Pass) -> Option<Span> {
    let row = TABLES.turning.iter().find(|row| row.family == material.feeds_like && row.pass == pass)?;
    Some(row.feed)
}

/// Feed in milling, per tooth.
pub fn tooth_feed(material: &Material, cutter: MillingCutter) -> Option<Span> {
    let row = TABLES.milling.iter().find(|row| row.family == material.feeds_like && row.cutter == cutter)?;
    Some(row.feed)
}

/// Metal left on the diameter for a machine reamer; a hand reamer takes half of it. `None` beyond 50 mm.
pub fn reaming_allowance(diameter: Length) -> Option<Span> {
    Some(reaming(diameter)?.allowance)
}

/// Feed of a machine reamer per turn, from lo to hi: a multiple of a drill's.
pub fn reamer_feed(material: &Material, diameter: Length) -> Option<Span> {
    let row = reaming(diameter)?;
    let drill = drill_feed(material, diameter)?;
    Some(Span { lo: row.feed_factor_lo * drill, hi: row.feed_factor_hi * drill, source: row.allowance.source })
}

/// Doing without a tool that is not owned, as the table names it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Deserialize)]
pub enum WayRound {
    #[serde(rename = "grind fly cutter")]
    GrindFlyCutter,
    /// More than with a stock cutter of many teeth.
    #[serde(rename = "cut with fly cutter")]
    CutWithFlyCutter,
    #[serde(rename = "drill plate")]
    DrillPlate,
    #[serde(rename = "grind turning tool")]
    GrindTurningTool,
    #[serde(rename = "ease tips by file")]
    EaseTips,
    #[serde(rename = "bore instead of ream")]
    BoreInsteadOfReam,
}

/// Minutes of the shop's time that it takes, from lo to hi.
pub fn minutes_round(way: WayRound) -> Option<(f64, f64)> {
    let found = TABLES.ways_round.iter().find(|row| row.way == way)?;
    Some((found.lo_minutes, found.hi_minutes))
}

fn reaming(diameter: Length) -> Option<&'static Reaming> {
    TABLES.reaming.iter().find(|row| diameter > row.over && diameter <= row.upto)
}

struct Tables {
    drilling: Vec<DrillFeed>,
    turning: Vec<Turning>,
    milling: Vec<Milling>,
    reaming: Vec<Reaming>,
    ways_round: Vec<WayRow>,
    machines: Vec<MachineRow>,
    tools: Vec<ToolRow>,
    fluids: Vec<FluidRow>,
}

#[derive(Deserialize)]
struct MachineRow {
    stiffness: Stiffness,
    cut: DeepCut,
    deepest_mm: f64,
}

#[derive(Deserialize)]
struct ToolRow {
    tool: ToolMaterial,
    factor: f64,
}

#[derive(Deserialize)]
struct FluidRow {
    family: String,
    fluid: String,
}

#[derive(Deserialize)]
struct WayRow {
    way: WayRound,
    lo_minutes: f64,
    hi_minutes: f64,
}

struct Turning {
    family: String,
    pass: Pass,
    feed: Span,
}

struct Milling {
    family: String,
    cutter: MillingCutter,
    feed: Span,
}

struct Reaming {
    over: Length,
    upto: Length,
    allowance: Span,
    feed_factor_lo: f64,
    feed_factor_hi: f64,
}

static TABLES: LazyLock<Tables> = LazyLock::new(|| {
    let mut drilling: Vec<DrillFeed> = rows(DRILLING, |row, _| Ok(row));
    drilling.sort_by(|a, b| a.diameter_mm.total_cmp(&b.diameter_mm));
    Tables {
        drilling,
        ways_round: rows(WAYS_ROUND, |row, _| Ok(row)),
        machines: rows(MACHINES, |row, _| Ok(row)),
        tools: rows(TOOLS, |row, _| Ok(row)),
        fluids: rows(FLUIDS, |row, _| Ok(row)),
        turning: rows(TURNING, |row: TurningRow, source| {
            let feed = Span { lo: Length::from_inches(row.lo_in), hi: Length::from_inches(row.hi_in), source };
            Ok(Turning { family: row.family, pass: row.pass, feed })
        }),
        milling: rows(MILLING, |row: MillingRow, source| {
            let feed = Span { lo: Length::from_mm(row.lo_mm), hi: Length::from_mm(row.hi_mm), source };
            Ok(Milling { family: row.family, cutter: row.cutter, feed })
        }),
        reaming: rows(REAMING, |row: ReamingRow, source| {
            Ok(Reaming {
                over: Length::from_mm(row.over_mm),
                upto: Length::from_mm(row.upto_mm),
                allowance: Span {
                    lo: Length::from_mm(row.allowance_lo_mm),
                    hi: Length::from_mm(row.allowance_hi_mm),
                    source,
                },
                feed_factor_lo: row.feed_factor_lo,
                feed_factor_hi: row.feed_factor_hi,
            })
        }),
    }
});

fn rows<R: DeserializeOwned, T>(file: DataFile, row: impl Fn(R, Source) -> Result<T, Malformed>) -> Vec<T> {
    table::csv_rows(&[file], row).expect(table::WELL_FORMED)
}

#[derive(Deserialize)]
struct DrillFeed {
    family: String,
    diameter_mm: f64,
    feed_mm_per_rev: f64,
}

#[derive(Deserialize)]
struct TurningRow {
    family: String,
    pass: Pass,
    lo_in: f64,
    hi_in: f64,
}

#[derive(Deserialize)]
struct MillingRow {
    family: String,
    cutter: MillingCutter,
    lo_mm: f64,
    hi_mm: f64,
}

#[derive(Deserialize)]
struct ReamingRow {
    over_mm: f64,
    upto_mm: f64,
    allowance_lo_mm: f64,
    allowance_hi_mm: f64,
    feed_factor_lo: f64,
    feed_factor_hi: f64,
}
