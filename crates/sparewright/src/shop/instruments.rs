//! Instruments whose owner knows them better than the built-in table does.

use quantity::{Angle, Bench, Instrument, Measures, Problem, quoted, read_angle};

use super::built_in_instruments;
use crate::written::{Section, Value, or_note};

/// The built-in instruments, with what this shop says of its own.
///
/// `within` is the half width that a careful reading is nearly surely within, as behind `±` in a reading: two
/// standard uncertainties (JCGM 100:2008, 6.3.3).
pub(super) fn read(root: &mut Section<'_>, bench: &Bench<'_>, problems: &mut Vec<Problem>) -> Vec<Instrument> {
    let mut instruments = built_in_instruments();
    let mut said: Vec<String> = Vec::new();
    for mut section in root.sections("instruments", "an instrument", problems) {
        let name = section.need_text("name", problems);
        let within = section.need("within", problems);
        let measures = section.get("measures").and_then(|value| or_note(measures(&value), problems));
        section.finish(problems);
        let (Some(name), Some(within)) = (name, within) else {
            continue;
        };
        let typed = name.value.trim();
        let known = instruments.iter().position(|known| known.names().any(|name| name.eq_ignore_ascii_case(typed)));
        let angular = known.is_some_and(|index| instruments[index].angle_uncertainty.is_some());
        let Some(own) = or_note(uncertainty(&within, angular, bench), problems) else {
            continue;
        };
        let own = Instrument { name: typed.to_string(), measures: measures.unwrap_or_default(), ..own };
        if said.iter().any(|other| other.eq_ignore_ascii_case(typed)) {
            problems.push(Problem::new(
                name.at(),
                format!("{} stands here for the second time.", quoted(typed)),
                "expected each instrument once",
            ));
            continue;
        }
        said.push(typed.to_string());
        match known {
            Some(index) => {
                let Instrument { name, aliases, .. } = instruments[index].clone();
                instruments[index] = Instrument { name, aliases, ..own };
            }
            None => instruments.push(own),
        }
    }
    instruments
}

/// `measures = "holes"`, or several in a list: for which sizes an instrument of one's own is taken.
fn measures(value: &Value<'_>) -> Result<Vec<Measures>, Problem> {
    match value.is_list() {
        true => value.list()?.iter().map(|one| one.text()?.one_of(Measures::ALL)).collect(),
        false => Ok(vec![value.text()?.one_of(Measures::ALL)?]),
    }
}

/// `within = "0.02 mm"`, `within = "0.5 degrees"`; a protractor's bare number is in degrees.
fn uncertainty(within: &Value<'_>, angular: bool, bench: &Bench<'_>) -> Result<Instrument, Problem> {
    let typed = within.as_typed()?;
    let mut instrument = Instrument {
        name: String::new(),
        aliases: Vec::new(),
        uncertainty: None,
        angle_uncertainty: None,
        measures: Vec::new(),
    };
    if angular || typed.contains("deg") || typed.contains('°') {
        let wrong = |message: String| Problem::new(within.at(), message, "expected an angle greater than zero");
        let angle = read_angle(typed).map_err(|problem| wrong(problem.message))?.angle;
        if angle <= Angle::ZERO {
            return Err(wrong("An instrument is never exact.".to_string()));
        }
        instrument.angle_uncertainty = Some(angle / 2.0);
    } else {
        instrument.uncertainty = Some(within.size(bench)?.length / 2.0);
    }
    Ok(instrument)
}
