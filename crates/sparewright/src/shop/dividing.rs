//! Dividing heads and rotary tables: plates, direct rings, stop pin, change gears, dial.

use making::indexing::{SECONDS_PER_TURN, arc as arc_of, read_arc};
use making::shop::{ChangeGears, DividingHead, IndexPlate};
use quantity::{Bench, Problem, quoted, read_pitch};
use standards::indexing::{change_gear_set, change_gears as change_gear_sets, plate_set, plate_sets};

use super::read::unknown;
use crate::written::{Section, Text, Value, or_note};

/// A ratio beyond these is no dividing head's.
const LARGEST_RATIO: u32 = 1_000;
const MOST_HOLES: u32 = 1_000;

pub(super) fn read(root: &mut Section<'_>, bench: &Bench<'_>, problems: &mut Vec<Problem>) -> Vec<DividingHead> {
    let sections = root.sections("dividing", "a dividing head", problems);
    sections.into_iter().filter_map(|section| dividing_head(section, bench, problems)).collect()
}

fn dividing_head(mut section: Section<'_>, bench: &Bench<'_>, problems: &mut Vec<Problem>) -> Option<DividingHead> {
    section.need("ratio", problems);
    let ratio = section.count("ratio", 1, LARGEST_RATIO, problems);
    let name = section.text("name", problems);
    let plates = section.get("plates").and_then(|value| or_note(plates(&value), problems)).unwrap_or_default();
    let direct_holes =
        section.get("direct_holes").and_then(|value| or_note(rings(&value), problems)).unwrap_or_default();
    let stop_pin = section.get("stop_pin").and_then(|value| or_note(value.yes(), problems)).unwrap_or(false);
    let change_gears = change_gears(&mut section, bench, problems);
    let reads_to = section.text("reads_to", problems);
    let swing = section.size("swing", bench, problems).map(|size| size.length);
    section.finish(problems);
    let ratio = ratio?;
    let head = DividingHead {
        name: name.map_or_else(|| format!("dividing head, {ratio} to 1"), |name| name.value.trim().to_string()),
        ratio,
        plates,
        direct_holes,
        stop_pin,
        change_gears,
        reads_to: None,
        swing,
    };
    let reads_to = reads_to.and_then(|text| or_note(dial(&text, &head), problems));
    Some(DividingHead { reads_to, ..head })
}

/// `direct_holes = 24`, or `direct_holes = [24, 30, 36]` where the plate has several rings.
fn rings(value: &Value<'_>) -> Result<Vec<u32>, Problem> {
    match value.is_list() {
        true => value.list()?.iter().map(|ring| ring.count(2, MOST_HOLES)).collect(),
        false => Ok(vec![value.count(2, MOST_HOLES)?]),
    }
}

/// More gears than any head comes with; it keeps the search for trains short.
const MOST_GEARS: usize = 30;
const FEWEST_TEETH: u32 = 12;
const MOST_TEETH: u32 = 200;

/// `change_gears = "universal-head"` or the teeth of each, with their `gear_size` and the distance `gear_centres` they span.
fn change_gears(section: &mut Section<'_>, bench: &Bench<'_>, problems: &mut Vec<Problem>) -> Option<ChangeGears> {
    let teeth = section.get("change_gears").map(|value| (value.at(), or_note(gear_teeth(&value), problems)));
    let module = section.get("gear_size").and_then(|value| {
        let text = or_note(value.text(), problems)?;
        let pitch = read_pitch(text.value).map_err(|problem| text.problem(problem));
        Some((value.at(), or_note(pitch, problems)?.module()))
    });
    let centres = section.get("gear_centres").map(|value| (value.at(), or_note(value.size(bench), problems)));
    let lone = match (&teeth, &module, &centres) {
        (None, Some((at, _)), _) | (None, None, Some((at, _))) => Some((at, "change_gears, the teeth of each")),
        (Some(_), None, Some((at, _))) => Some((at, "gear_size as well, as \"module 1.5\"")),
        (Some(_), Some((at, _)), None) => Some((at, "gear_centres as well, from the spindle's gear to the plate's")),
        (Some(_), None, None) | (Some(_), Some(_), Some(_)) | (None, None, None) => None,
    };
    if let Some((at, wanted)) = lone {
        problems.push(Problem::new(
            at.clone(),
            "This says nothing by itself about what the gears span.",
            format!("expected {wanted}"),
        ));
    }
    Some(ChangeGears {
        teeth: teeth?.1?,
        module: module.map(|(_, module)| module),
        centres: centres.and_then(|(_, size)| size).map(|size| size.length),
    })
}

fn gear_teeth(value: &Value<'_>) -> Result<Vec<u32>, Problem> {
    if value.is_text() {
        let text = value.text()?;
        let known: Vec<&str> = change_gear_sets().iter().map(|set| set.id.as_str()).collect();
        let set = change_gear_set(text.value.trim())
            .ok_or_else(|| unknown(text.value.trim(), text.at(), "a set of change gears known here", &known))?;
        return Ok(set.teeth.clone());
    }
    let list = value.list()?;
    if list.len() > MOST_GEARS {
        return Err(Problem::new(
            value.at(),
            format!("{} change gears are more than a head comes with.", list.len()),
            format!("expected up to {MOST_GEARS}, the teeth of each"),
        ));
    }
    list.iter().map(|gear| gear.count(FEWEST_TEETH, MOST_TEETH)).collect()
}

/// `reads_to = "10 s"`: what the dial at the crank is read to, in the angle of the work.
fn dial(text: &Text<'_>, head: &DividingHead) -> Result<u32, Problem> {
    const EXPECTED: &str = "expected an angle of the work, as \"1 min\" or \"10 sec\"";
    let arc = read_arc(text.value).map_err(|why| Problem::new(text.at(), why, EXPECTED))?;
    let seconds = arc.whole_seconds().and_then(|seconds| u32::try_from(seconds).ok());
    let marked =
        seconds.filter(|seconds| DividingHead { reads_to: Some(*seconds), ..head.clone() }.marks_per_turn().is_some());
    marked.ok_or_else(|| {
        Problem::new(
            text.at(),
            format!(
                "A dial that reads to {} does not come round evenly in a turn of the crank, which is {} of the work.",
                quoted(text.value.trim()),
                arc_of(f64::from(SECONDS_PER_TURN) / f64::from(head.ratio))
            ),
            EXPECTED,
        )
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
