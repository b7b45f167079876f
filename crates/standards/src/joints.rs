//! What press and shrink joints are reckoned with beside the materials: friction and roughness.

use std::sync::LazyLock;

use quantity::Length;
use serde::Deserialize;

use crate::materials::Group;
use crate::table::{self, DataFile, Source, data_file};

const FRICTION: DataFile = data_file!("joints/friction.csv");
const ROUGHNESS: DataFile = data_file!("joints/roughness.csv");
pub(crate) const FILES: [DataFile; 2] = [FRICTION, ROUGHNESS];

/// How the two are put together.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Assembly {
    /// Pushed together cold, oiled.
    Pressed,
    /// Slid together by heat or cold, dry.
    Shrunk,
}

/// Least and most, by books that differ.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Friction {
    pub least: f64,
    pub most: f64,
    pub source: Source,
}

/// The height of a surface's ridges, Rz.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Roughness {
    pub rz: Length,
    pub source: Source,
}

/// Of two groups of materials, in either order; a wide range where the pair is not in the table.
pub fn friction(one: Group, other: Group, how: Assembly) -> Friction {
    let pair = |row: &&FrictionRow| {
        row.how == how
            && ((row.one, row.other) == (Some(one), Some(other)) || (row.one, row.other) == (Some(other), Some(one)))
    };
    let any = |row: &&FrictionRow| row.how == how && row.one.is_none();
    let row = FRICTIONS.iter().find(pair).or_else(|| FRICTIONS.iter().find(any));
    row.expect("each way of joining has a row for any pair").friction
}

/// Of a surface by how it was made: "turned", "bored", "reamed", or "used".
pub fn roughness(surface: &str) -> Option<Roughness> {
    ROUGHNESSES.iter().find(|(name, _)| name == surface).map(|(_, roughness)| *roughness)
}

struct FrictionRow {
    /// None for any.
    one: Option<Group>,
    other: Option<Group>,
    how: Assembly,
    friction: Friction,
}

static FRICTIONS: LazyLock<Vec<FrictionRow>> = LazyLock::new(|| {
    let row = |raw: RawFriction, source| {
        let group = |name: &str| match name {
            "any" => Ok(None),
            name => Group::named(name).map(Some).ok_or_else(|| format!("`{name}` is no group of materials")),
        };
        let friction = Friction { least: raw.least, most: raw.most, source };
        Ok(FrictionRow { one: group(&raw.one)?, other: group(&raw.other)?, how: raw.how, friction })
    };
    table::csv_rows(&[FRICTION], row).expect(table::WELL_FORMED)
});

static ROUGHNESSES: LazyLock<Vec<(String, Roughness)>> = LazyLock::new(|| {
    let row =
        |raw: RawRoughness, source| Ok((raw.surface, Roughness { rz: Length::from_micrometres(raw.rz_um), source }));
    table::csv_rows(&[ROUGHNESS], row).expect(table::WELL_FORMED)
});

#[derive(Deserialize)]
struct RawFriction {
    one: String,
    other: String,
    how: Assembly,
    least: f64,
    most: f64,
}

#[derive(Deserialize)]
struct RawRoughness {
    surface: String,
    rz_um: f64,
}
