//! The sizes in a drawer: a run from one size to another by a step, with gaps, and single ones beside it.

use quantity::{Bench, Length, Problem, Size, SizeForm, Unit, print};

use crate::written::{Section, or_note};

/// A size in a drawer, and how the trade asks for it.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Owned {
    pub(super) label: String,
    pub(super) size: Length,
}

/// A set of pins from 0.061 to 1 inch by thousandths has 940; nobody owns more in one run.
const LONGEST_RUN: f64 = 2_000.0;
/// Steps between two sizes may be off a whole number by this much and still be meant as one.
const OFF_STEP: f64 = 0.01;

/// What the sections of a drawer hold, smallest first, each size once.
pub(super) fn sizes(sections: Vec<Section<'_>>, bench: &Bench<'_>, problems: &mut Vec<Problem>) -> Vec<Owned> {
    let mut owned = Vec::new();
    for mut section in sections {
        owned.extend(run(&mut section, bench, problems));
        for value in section.list("sizes", problems) {
            owned.extend(
                or_note(value.size(bench), problems).map(|size| Owned { label: size.to_string(), size: size.length }),
            );
        }
        section.finish(problems);
    }
    owned.sort_by(|a, b| a.size.mm().total_cmp(&b.size.mm()));
    owned.dedup_by(|a, b| same(a.size, b.size));
    owned
}

/// `from = 0.061, to = 0.250, step = 0.001, missing = [0.100]`
fn run(section: &mut Section<'_>, bench: &Bench<'_>, problems: &mut Vec<Problem>) -> Vec<Owned> {
    let from_at = section.get("from").map(|value| value.at());
    let from = section.size("from", bench, problems);
    let to = section.size("to", bench, problems);
    let step = section.size("step", bench, problems);
    let missing = section.list("missing", problems);
    let (Some(from), Some(to), Some(step)) = (from, to, step) else {
        let said = ["from", "to", "step", "missing"].into_iter().find(|name| section.has(name));
        let all = ["from", "to", "step"].iter().all(|name| section.has(name));
        if let (Some(said), false) = (said, all) {
            problems.push(Problem::new(
                section.at.clone(),
                format!("`{said}` is said here, but a run of sizes needs from, to and step."),
                "expected from, to and step, or sizes",
            ));
        }
        return Vec::new();
    };
    let at = from_at.unwrap_or_else(|| section.at.clone());
    let steps = (to.length - from.length) / step.length;
    if !(0.0..=LONGEST_RUN).contains(&steps) || (steps - steps.round()).abs() > OFF_STEP {
        problems.push(
            Problem::new(
                at,
                format!("From {from} to {to} there is no whole number of steps of {step}."),
                "expected a run of sizes",
            )
            .help(format!("the first must be the smallest, and there are up to {LONGEST_RUN} steps")),
        );
        return Vec::new();
    }
    let mut owned: Vec<Owned> = (0..=steps.round() as u32).map(|index| nth(&from, &step, index)).collect();
    for value in missing {
        let Some(size) = or_note(value.size(bench), problems) else {
            continue;
        };
        let before = owned.len();
        owned.retain(|tool| !same(tool.size, size.length));
        if owned.len() == before {
            problems.push(Problem::new(
                value.at(),
                format!("{size} is not in this run, so it cannot be missing."),
                format!("expected a size from {from} to {to} by {step}"),
            ));
        }
    }
    owned
}

fn same(a: Length, b: Length) -> bool {
    (a - b).abs() < Length::from_micrometres(0.5)
}

fn nth(from: &Size, step: &Size, index: u32) -> Owned {
    let size = from.length + step.length * f64::from(index);
    let label = match (&from.form, &step.form) {
        (SizeForm::Decimal { unit, places }, SizeForm::Decimal { places: of_step, .. }) => {
            let places = usize::from(*places.max(of_step));
            format!("{:.places$} {}", size / unit.one(), unit.sign())
        }
        (_, SizeForm::Fraction { denominator, .. }) => {
            format!("{} in", print::fraction(size, (*denominator).max(64)))
        }
        (SizeForm::Fraction { .. } | SizeForm::Thou { .. } | SizeForm::Drill { .. }, _)
        | (SizeForm::Decimal { .. }, _) => {
            let unit: Unit = from.unit();
            print::length(size, unit, 3)
        }
    };
    Owned { label, size }
}
