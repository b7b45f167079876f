//! A bench to read lines at, and forms like those of the kinds of feature.
#![allow(dead_code)] // each test file uses its part

use std::sync::LazyLock;

use quantity::{Angle, Bench, DrillSeries, Form, Instrument, Length, Line, Problem, Unit};

pub const FORMS: &[Form] = &[
    Form("{count} teeth"),
    Form("{count} teeth present"),
    Form("outside diameter {reading}"),
    Form("over the tips {reading}"),
    Form("tip radius {reading}"),
    Form("root diameter {reading}"),
    Form("root radius {reading}"),
    Form("whole depth {reading}"),
    Form("span over {count} teeth {reading}"),
    Form("over {size} pins|pin|wires {reading}"),
    Form("centre|center to outside of {size} pin {reading}"),
    Form("chord across {count} pitches at tips {reading}"),
    Form("tooth thickness {reading} at depth {size}"),
    Form("centre|center distance {reading} with a mate of {count} teeth"),
    Form("face width {reading}"),
    Form("helix angle {angle}"),
    Form("rolled print angle {angle}"),
    Form("meshes with {pitch}"),
    Form("does not mesh with {pitch}"),
    Form("diameter {reading}"),
    Form("length {reading}"),
    Form("mate diameter {reading}"),
    Form("from bore [centre|center] {reading}"),
    Form("between [hole] centres|centers {reading}"),
    Form("at {angle}"),
    Form("thickness {reading}"),
    Form("note {text}"),
];

/// Standard uncertainties, chosen round for these tests.
pub static INSTRUMENTS: LazyLock<Vec<Instrument>> = LazyLock::new(|| {
    let lengths = [
        ("rule", 0.2),
        ("caliper", 0.02),
        ("micrometer", 0.004),
        ("pin gauge", 0.003),
        ("depth micrometer", 0.006),
        ("scan", 0.05),
    ];
    let mut instruments: Vec<Instrument> = lengths
        .iter()
        .map(|(name, mm)| Instrument {
            name: (*name).to_string(),
            aliases: aliases(name),
            uncertainty: Some(Length::from_mm(*mm)),
            angle_uncertainty: None,
            measures: Vec::new(),
        })
        .collect();
    instruments.push(Instrument {
        name: "protractor".to_string(),
        aliases: Vec::new(),
        uncertainty: None,
        angle_uncertainty: Some(Angle::from_degrees(0.25)),
        measures: Vec::new(),
    });
    instruments
});

fn aliases(name: &str) -> Vec<String> {
    match name {
        "micrometer" => vec!["mic".to_string()],
        "pin gauge" => vec!["plug gauge".to_string()],
        _ => Vec::new(),
    }
}

pub fn bench(unit: Unit) -> Bench<'static> {
    Bench { unit, drills, instruments: &INSTRUMENTS, gauge_tolerance: Length::from_mm(0.002) }
}

/// #40 and F: ASME B94.11M.
fn drills(series: DrillSeries, name: &str) -> Option<(String, Length)> {
    match (series, name) {
        (DrillSeries::Number, "40") => Some(("#40".to_string(), Length::from_inches(0.098))),
        (DrillSeries::Number, "41") => Some(("#41".to_string(), Length::from_inches(0.096))),
        (DrillSeries::Letter, "F") => Some(("letter F".to_string(), Length::from_inches(0.257))),
        _ => None,
    }
}

pub fn read(text: &str) -> Result<Line, Vec<Problem>> {
    Line::read(text, FORMS, &bench(Unit::Inch))
}
