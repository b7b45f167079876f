//! The drawers: drills by their sets, round tools and pins by their sizes, gear cutters by their numbers.

use making::shop::{Arbor, CutterNumbering, CutterSet, Drawers, OwnedDrill, Purchase, RoundTool, SmallTool};
use quantity::{Bench, Length, Money, Pitch, PitchSystem, Problem, print, quoted, read_pitch};
use standards::{Drill, DrillSeries, Thread, drill_in, drills, thread};

use super::MOST_MONEY;
use super::read::unknown;
use super::run::{Owned, sizes};
use crate::written::{Section, Value, or_note};

pub(super) fn read(root: &mut Section<'_>, bench: &Bench<'_>, problems: &mut Vec<Problem>) -> Drawers {
    let tools = |owned: Vec<Owned>| {
        owned.into_iter().map(|tool| RoundTool { label: tool.label, diameter: tool.size }).collect()
    };
    let lengths = |owned: Vec<Owned>| owned.into_iter().map(|tool| tool.size).collect();
    let mut drawer = |name: &'static str, problems: &mut Vec<Problem>| {
        let sections = root.sections(name, "a drawer", problems);
        sizes(sections, bench, problems)
    };
    let reamers = tools(drawer("reamers", problems));
    let pins = lengths(drawer("pins", problems));
    let end_mills = tools(drawer("end_mills", problems));
    let slot_cutters = lengths(drawer("slot_cutters", problems));
    let broaches = lengths(drawer("broaches", problems));
    Drawers {
        drills: read_drills(root.sections("drills", "a set of drills", problems), problems),
        reamers,
        taps: taps(root.list("taps", problems), problems),
        pins,
        gear_cutters: gear_cutters(root.sections("gear_cutters", "a set of gear cutters", problems), bench, problems),
        end_mills,
        slot_cutters,
        broaches,
        arbors: arbors(root.sections("arbors", "an arbor", problems), bench, problems),
        small_tools: small_tools(root.list("small_tools", problems), problems),
        carbide: small_tools(root.list("carbide", problems), problems),
        bought_at: root
            .section("buying", "the table `buying`", problems)
            .map(|s| prices(s, problems))
            .unwrap_or_default(),
    }
}

const SERIES: [(&str, DrillSeries); 4] = [
    ("number", DrillSeries::Number),
    ("letter", DrillSeries::Letter),
    ("fraction", DrillSeries::Fraction),
    ("metric", DrillSeries::Metric),
];

/// All the sets together, smallest drill first, each drill once.
fn read_drills(sections: Vec<Section<'_>>, problems: &mut Vec<Problem>) -> Vec<OwnedDrill> {
    let mut owned: Vec<&Drill> = Vec::new();
    for section in sections {
        owned.extend(drill_set(section, problems));
    }
    owned.sort_by(|a, b| a.diameter.mm().total_cmp(&b.diameter.mm()).then(a.series.cmp(&b.series)));
    owned.dedup_by(|a, b| a.series == b.series && a.name == b.name);
    owned
        .into_iter()
        .map(|drill| OwnedDrill { label: drill.label(), diameter: drill.diameter, series: drill.series })
        .collect()
}

/// `series = "number", from = 1, to = 60, missing = [19, 43]`
fn drill_set(mut section: Section<'_>, problems: &mut Vec<Problem>) -> Vec<&'static Drill> {
    let series = section.need_text("series", problems).and_then(|text| or_note(text.one_of(SERIES), problems));
    let (from, to) = (section.get("from"), section.get("to"));
    let (step, sizes) = (section.get("step"), section.list("sizes", problems));
    let missing = section.list("missing", problems);
    let at = section.at.clone();
    section.finish(problems);
    let Some(series) = series else {
        return Vec::new();
    };
    let mut named = |value: &Value<'_>| or_note(drill_named(series, value), problems);
    let (first, last) = (from.as_ref().map(&mut named), to.as_ref().map(&mut named));
    let single: Vec<&Drill> = sizes.iter().filter_map(&mut named).collect();
    let missing: Vec<(&Drill, std::ops::Range<usize>)> =
        missing.iter().filter_map(|value| Some((named(value)?, value.at()))).collect();
    let step = step.and_then(|value| or_note(step_of(series, &value), problems));
    let mut set = match (first, last) {
        (Some(Some(first)), Some(Some(last))) => between(series, first, last, step),
        // said already, where the one that was written is no drill
        (Some(_), Some(_)) => return single,
        (None, None) if !single.is_empty() => Vec::new(),
        (None, None) | (Some(_), None) | (None, Some(_)) => {
            problems.push(Problem::new(
                at,
                "A set of drills runs from one to another, or lists them.",
                "expected from and to, or sizes",
            ));
            return single;
        }
    };
    for (drill, at) in missing {
        let before = set.len();
        set.retain(|owned| owned.name != drill.name);
        if set.len() == before {
            problems.push(Problem::new(
                at,
                format!("{} is not in this set, so it cannot be missing.", drill.label()),
                "expected a drill of the set",
            ));
        }
    }
    set.extend(single);
    set
}

/// By its name in the series: 40 or "40", "F", "13/64", 2.5.
fn drill_named(series: DrillSeries, value: &Value<'_>) -> Result<&'static Drill, Problem> {
    let typed = value.as_typed()?;
    let name = match series {
        DrillSeries::Number => typed.trim_start_matches(['#', ' ']),
        DrillSeries::Letter => typed.strip_prefix("letter ").unwrap_or(typed),
        DrillSeries::Fraction => typed.trim_end_matches("in").trim_end_matches('"').trim(),
        DrillSeries::Metric => typed.trim_end_matches("mm").trim(),
    };
    drill_in(series, name).ok_or_else(|| {
        let of_series: Vec<&Drill> = drills().iter().filter(|drill| drill.series == series).collect();
        let ends = match of_series.as_slice() {
            [first, .., last] => format!("expected a drill from {} to {}", first.label(), last.label()),
            [] | [_] => "expected a drill".to_string(),
        };
        Problem::new(value.at(), format!("There is no drill {} in that series.", quoted(typed)), ends)
    })
}

/// A step of a fractional or metric set, as a length.
fn step_of(series: DrillSeries, value: &Value<'_>) -> Result<Length, Problem> {
    let typed = value.as_typed()?;
    let unit = match series {
        DrillSeries::Fraction => quantity::Unit::Inch,
        DrillSeries::Metric => quantity::Unit::Millimetre,
        DrillSeries::Number | DrillSeries::Letter => {
            return Err(Problem::new(value.at(), "Number and letter drills have no step.", "expected no step"));
        }
    };
    quantity::read_size(typed, &super::bench(unit, &[])).map(|size| size.length).map_err(|problem| {
        Problem::new(value.at(), problem.message, "expected a step between sizes, as \"1/64\" or 0.5")
    })
}

/// The drills of a series from one to another, in either order; with a step, those on it.
fn between(series: DrillSeries, first: &Drill, last: &Drill, step: Option<Length>) -> Vec<&'static Drill> {
    /// Sizes lie on their step to within rounding, and next to it by far more.
    const ON_STEP: f64 = 0.02;
    let (low, high) = (first.diameter.min(last.diameter), first.diameter.max(last.diameter));
    let on_step = |drill: &Drill| {
        step.is_none_or(|step| {
            let steps = (drill.diameter - low) / step;
            (steps - steps.round()).abs() < ON_STEP
        })
    };
    drills()
        .iter()
        .filter(|drill| drill.series == series && drill.diameter >= low && drill.diameter <= high && on_step(drill))
        .collect()
}

fn gear_cutters(sections: Vec<Section<'_>>, bench: &Bench<'_>, problems: &mut Vec<Problem>) -> Vec<CutterSet> {
    sections.into_iter().filter_map(|section| cutter_set(section, bench, problems)).collect()
}

const NUMBERINGS: [(&str, CutterNumbering); 2] =
    [("rack", CutterNumbering::RackIsOne), ("12 teeth", CutterNumbering::TwelveIsOne)];
/// Cutter numbers run from 1 to 8, with or without halves.
const NUMBERS: std::ops::RangeInclusive<f64> = 1.0..=8.0;

/// `size = "10 dp 14.5", numbers = [2, 3, "3 1/2"]`
fn cutter_set(mut section: Section<'_>, bench: &Bench<'_>, problems: &mut Vec<Problem>) -> Option<CutterSet> {
    let size = section.need_text("size", problems).and_then(|text| {
        let read = read_pitch(text.value).map_err(|problem| text.problem(problem));
        let pitch: Pitch = or_note(read, problems)?;
        match pitch.pressure_angle {
            Some(angle) => Some((pitch, angle)),
            None => {
                problems.push(
                    Problem::new(
                        text.at(),
                        "The pressure angle of these cutters is not said.",
                        "expected the size and the pressure angle",
                    )
                    .help(format!(
                        "write \"{} 14.5\" or \"{} 20\"",
                        text.value.trim(),
                        text.value.trim()
                    )),
                );
                None
            }
        }
    });
    let numbers =
        section.need("numbers", problems).and_then(|value| or_note(value.list(), problems)).unwrap_or_default();
    let numbers = numbers.iter().filter_map(|value| or_note(cutter_number(value), problems)).collect();
    let numbering = section.text("number_1", problems).and_then(|text| or_note(text.one_of(NUMBERINGS), problems));
    let stub = section.get("stub").and_then(|value| or_note(value.yes(), problems)).unwrap_or(false);
    let bore = section.size("bore", bench, problems).map(|size| size.length);
    let diameter = section.size("diameter", bench, problems).map(|size| size.length);
    section.finish(problems);
    let (pitch, angle) = size?;
    let usual = match pitch.system {
        PitchSystem::DiametralPitch | PitchSystem::CircularPitch => CutterNumbering::RackIsOne,
        PitchSystem::Module => CutterNumbering::TwelveIsOne,
    };
    let name = pitch.label();
    Some(CutterSet {
        size_label: if stub { format!("{name} stub") } else { name },
        module: pitch.module(),
        pressure_angle_degrees: angle.degrees(),
        numbering: numbering.unwrap_or(usual),
        numbers,
        bore,
        diameter,
    })
}

/// 3, 3.5 or "3 1/2".
fn cutter_number(value: &Value<'_>) -> Result<f64, Problem> {
    let typed = value.as_typed()?;
    let number = match typed.strip_suffix("1/2").or_else(|| typed.strip_suffix('½')) {
        Some(whole) => whole.trim_end_matches([' ', '-']).parse::<f64>().ok().map(|whole| whole + 0.5),
        None => typed.parse::<f64>().ok(),
    };
    number.filter(|number| NUMBERS.contains(number) && (number * 2.0).fract() == 0.0).ok_or_else(|| {
        Problem::new(
            value.at(),
            format!("{} is not the number of a gear cutter.", quoted(typed)),
            "expected a number from 1 to 8, or a half number as 3.5",
        )
    })
}

/// `name = "1/2 in mandrel", takes = "1/2"`, or `takes = ["1/2", "9/16"]` for one that expands.
fn arbors(sections: Vec<Section<'_>>, bench: &Bench<'_>, problems: &mut Vec<Problem>) -> Vec<Arbor> {
    let mut arbors = Vec::new();
    for mut section in sections {
        let name = section.text("name", problems);
        let takes = section.need("takes", problems).and_then(|value| or_note(range(&value, bench), problems));
        section.finish(problems);
        if let Some((low, high)) = takes {
            let label = name.map_or_else(
                || format!("arbor for {}", print::length(low, bench.unit, 3)),
                |name| name.value.trim().to_string(),
            );
            arbors.push(Arbor { label, takes: (low, high) });
        }
    }
    arbors
}

fn range(value: &Value<'_>, bench: &Bench<'_>) -> Result<(Length, Length), Problem> {
    if !value.is_list() {
        let size = value.size(bench)?.length;
        return Ok((size, size));
    }
    let list = value.list()?;
    let [low, high] = list.as_slice() else {
        return Err(Problem::new(
            value.at(),
            "An arbor takes one size, or from one to another.",
            "expected one size, or two in brackets",
        ));
    };
    let (low, high) = (low.size(bench)?.length, high.size(bench)?.length);
    Ok((low.min(high), low.max(high)))
}

fn small_tools(values: Vec<Value<'_>>, problems: &mut Vec<Problem>) -> Vec<SmallTool> {
    let names = SmallTool::ALL.map(SmallTool::name);
    let mut tools = Vec::new();
    for value in values {
        let Some(text) = or_note(value.text(), problems) else {
            continue;
        };
        match SmallTool::named(text.value) {
            Some(tool) => tools.push(tool),
            None => problems.push(unknown(text.value.trim(), text.at(), "a small tool known here", &names)),
        }
    }
    tools.sort_unstable();
    tools.dedup();
    tools
}

/// `taps = ["1/4-20", "M6"]`
fn taps(values: Vec<Value<'_>>, problems: &mut Vec<Problem>) -> Vec<Thread> {
    let named = |value: &Value<'_>| {
        let text = value.text()?;
        thread(text.value).ok_or_else(|| {
            Problem::new(
                text.at(),
                format!("{} is not a thread known here.", quoted(text.value.trim())),
                "expected a thread as M6, \"M6 x 0.75\", 1/4-20, \"#10-32\", \"1/4 BSW\" or \"2 BA\"",
            )
        })
    };
    values.iter().filter_map(|value| or_note(named(value), problems)).collect()
}

/// `"gear cutter" = 55`
fn prices(section: Section<'_>, problems: &mut Vec<Problem>) -> Vec<(Purchase, Money)> {
    let names = Purchase::ALL.map(Purchase::name);
    let mut prices = Vec::new();
    for (name, value) in section.entries() {
        match Purchase::named(name.value) {
            Some(tool) => {
                prices.extend(or_note(value.money(Money::ZERO, MOST_MONEY), problems).map(|price| (tool, price)))
            }
            None => problems.push(unknown(name.value.trim(), name.at(), "a tool that is bought", &names)),
        }
    }
    prices
}
