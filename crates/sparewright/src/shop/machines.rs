//! Machines, dividing heads, and the metal on the rack.

use making::shop::{DividingHead, IndexPlate, Machine, MachineKind, Speeds, Stock, StockForm};
use quantity::{Bench, Problem};
use standards::indexing::{plate_set, plate_sets};

use super::read::unknown;
use crate::job::material;
use crate::written::{Section, Value, or_note};

/// No spindle of a repair shop turns slower or faster.
const SLOWEST: f64 = 1.0;
const FASTEST: f64 = 100_000.0;
const STRONGEST_PRESS: f64 = 10_000.0;

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
        press_force_kilonewton,
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

/// A ratio beyond these is no dividing head's.
const LARGEST_RATIO: u32 = 1_000;
const MOST_HOLES: u32 = 1_000;

pub(super) fn dividing(root: &mut Section<'_>, bench: &Bench<'_>, problems: &mut Vec<Problem>) -> Vec<DividingHead> {
    let sections = root.sections("dividing", "a dividing head", problems);
    sections.into_iter().filter_map(|section| dividing_head(section, bench, problems)).collect()
}

fn dividing_head(mut section: Section<'_>, bench: &Bench<'_>, problems: &mut Vec<Problem>) -> Option<DividingHead> {
    section.need("ratio", problems);
    let ratio = section.count("ratio", 1, LARGEST_RATIO, problems);
    let name = section.text("name", problems);
    let plates = section.get("plates").and_then(|value| or_note(plates(&value), problems)).unwrap_or_default();
    let direct_holes = section.count("direct_holes", 2, MOST_HOLES, problems);
    let swing = section.size("swing", bench, problems).map(|size| size.length);
    section.finish(problems);
    let ratio = ratio?;
    Some(DividingHead {
        name: name.map_or_else(|| format!("dividing head, {ratio} to 1"), |name| name.value.trim().to_string()),
        ratio,
        plates,
        direct_holes,
        swing,
    })
}

/// `plates = "three-plate"`, or `plates = [[15, 16, 17], [21, 23]]` with the hole circles of each.
fn plates(value: &Value<'_>) -> Result<Vec<IndexPlate>, Problem> {
    let circles: Vec<Vec<u32>> = if value.is_text() {
        let text = value.text()?;
        let known: Vec<&str> = plate_sets().iter().map(|set| set.id.as_str()).collect();
        let set = plate_set(text.value.trim())
            .ok_or_else(|| unknown(text.value.trim(), text.at(), "a set of plates known here", &known))?;
        set.plates.clone()
    } else {
        let plate = |plate: Value<'_>| plate.list()?.iter().map(|circle| circle.count(2, MOST_HOLES)).collect();
        value.list()?.into_iter().map(plate).collect::<Result<_, Problem>>()?
    };
    Ok(circles
        .into_iter()
        .zip(1..)
        .map(|(circles, number)| IndexPlate { name: format!("plate {number}"), circles })
        .collect())
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
