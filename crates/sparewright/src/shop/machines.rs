//! Machines, and the metal on the rack.

use making::shop::{Machine, MachineKind, Speeds, Stock, StockForm};
use quantity::{Bench, Problem};
use standards::cutting::Stiffness;

use super::read::unknown;
use crate::job::material;
use crate::written::{Section, Value, or_note};

/// No spindle of a repair shop turns slower or faster.
const SLOWEST: f64 = 1.0;
const FASTEST: f64 = 100_000.0;
const STRONGEST_PRESS: f64 = 10_000.0;
const STIFFNESS: [(&str, Stiffness); 3] =
    [("light", Stiffness::Light), ("medium", Stiffness::Medium), ("heavy", Stiffness::Heavy)];

pub(super) fn machines(root: &mut Section<'_>, bench: &Bench<'_>, problems: &mut Vec<Problem>) -> Vec<Machine> {
    let sections = root.sections("machines", "a machine", problems);
    sections.into_iter().filter_map(|section| machine(section, bench, problems)).collect()
}

fn machine(mut section: Section<'_>, bench: &Bench<'_>, problems: &mut Vec<Problem>) -> Option<Machine> {
    let kind = section.need_text("kind", problems).and_then(|text| {
        let kind = MachineKind::named(text.value);
        if kind.is_none() {
            problems.push(unknown(
                text.value.trim(),
                text.at(),
                "a kind of machine known here",
                &MachineKind::ALL.map(MachineKind::name),
            ));
        }
        kind
    });
    let name = section.text("name", problems);
    let speeds = section.get("speeds").map(|value| speeds(&value, problems));
    let mut size = |name| section.size(name, bench, problems).map(|size| size.length);
    let (swing, travel, throat, largest_drill) = (size("swing"), size("travel"), size("throat"), size("largest_drill"));
    let table_screw = size("table_screw");
    let stiffness = section.text("stiffness", problems).and_then(|text| or_note(text.one_of(STIFFNESS), problems));
    let press_force_kilonewton = section.number("force_kn", 0.0, STRONGEST_PRESS, problems);
    section.finish(problems);
    let kind = kind?;
    Some(Machine {
        name: name.map_or_else(|| kind.name().to_string(), |name| name.value.trim().to_string()),
        kind,
        speeds: speeds.unwrap_or(Speeds::None),
        swing,
        travel,
        throat,
        largest_drill,
        table_screw,
        press_force_kilonewton,
        stiffness: stiffness.unwrap_or_default(),
    })
}

/// `speeds = [60, 110, 200]`, or `speeds = { from = 60, to = 2500 }` where the drive is variable.
fn speeds(value: &Value<'_>, problems: &mut Vec<Problem>) -> Speeds {
    if value.is_list() {
        let steps: Vec<f64> = or_note(value.list(), problems)
            .unwrap_or_default()
            .iter()
            .filter_map(|step| or_note(step.number(SLOWEST, FASTEST), problems))
            .collect();
        return if steps.is_empty() { Speeds::None } else { Speeds::Stepped(steps) };
    }
    let Some(mut section) = or_note(value.section("a variable drive"), problems) else {
        return Speeds::None;
    };
    for end in ["from", "to"] {
        section.need(end, problems);
    }
    let ends = (section.number("from", SLOWEST, FASTEST, problems), section.number("to", SLOWEST, FASTEST, problems));
    let at = section.at.clone();
    section.finish(problems);
    match ends {
        (Some(lowest), Some(highest)) if lowest <= highest => Speeds::Variable { lowest, highest },
        (Some(lowest), Some(highest)) => {
            problems.push(Problem::new(
                at,
                format!("From {lowest} to {highest} turns a minute is upside down."),
                "expected the slowest speed first",
            ));
            Speeds::Variable { lowest: highest, highest: lowest }
        }
        // said already, where one is missing or wrong
        (Some(_), None) | (None, Some(_)) | (None, None) => Speeds::None,
    }
}

const MOST_PIECES: u32 = 1_000;

/// `material = "bronze", diameter = "1 1/4", length = 12`, or thickness and width for a slab.
pub(super) fn rack(root: &mut Section<'_>, bench: &Bench<'_>, problems: &mut Vec<Problem>) -> Vec<Stock> {
    let mut rack = Vec::new();
    for mut section in root.sections("rack", "a piece on the rack", problems) {
        let of = section.need_text("material", problems).and_then(|text| or_note(material(&text), problems));
        let length = section.need_size("length", bench, problems);
        let form = stock_form(&mut section, bench, problems);
        let pieces = section.count("pieces", 1, MOST_PIECES, problems).unwrap_or(1);
        section.finish(problems);
        if let (Some(material), Some(form), Some(length)) = (of, form, length) {
            let stock = Stock { material: material.name.clone(), form, length: length.length };
            rack.extend(std::iter::repeat_n(stock, pieces as usize));
        }
    }
    rack
}

fn stock_form(section: &mut Section<'_>, bench: &Bench<'_>, problems: &mut Vec<Problem>) -> Option<StockForm> {
    let said = (section.has("diameter"), section.has("thickness"), section.has("width"));
    let mut size = |name| section.size(name, bench, problems).map(|size| size.length);
    let (diameter, thickness, width) = (size("diameter"), size("thickness"), size("width"));
    match said {
        (true, false, false) => Some(StockForm::Bar { diameter: diameter? }),
        (false, true, true) => Some(StockForm::Slab { thickness: thickness?, width: width? }),
        (true, _, _) | (false, true, false) | (false, false, _) => {
            problems.push(Problem::new(
                section.at.clone(),
                "A piece is a round bar or a slab.",
                "expected diameter, or thickness and width",
            ));
            None
        }
    }
}
