//! The shop file, read with all its problems at once.

use making::shop::Shop;
use quantity::{Bench, Problem, Unit, nearest, quoted};

use super::{bench, charges, dividing, drawers, instruments, machines};
use crate::written::{self, Section, or_note};

/// The shop that is built in: small, invented, and shown to whoever has not described his own.
pub const BUILT_IN: &str = include_str!("../../../../data/shop/small-shop.toml");

/// The built-in shop.
pub fn built_in() -> Shop {
    read(BUILT_IN).0.expect("the built-in shop file is not empty, and the tests read it")
}

/// Reads a shop. Whatever is wrong is among the problems, in the order it stands in the file, each with its place;
/// what is right is used all the same. What the file does not list is not owned, but for the instruments: those of
/// the built-in table are on every bench. There is no shop only where the file is empty.
pub fn read(file: &str) -> (Option<Shop>, Vec<Problem>) {
    written::read(file, "a shop", shop)
}

const UNITS: [(&str, Unit); 2] = [("in", Unit::Inch), ("mm", Unit::Millimetre)];
const UNNAMED: &str = "The shop";

fn shop(mut root: Section<'_>, problems: &mut Vec<Problem>) -> Option<Shop> {
    if root.is_empty() {
        problems.push(Problem::new(
            0..0,
            "There is nothing in this shop file.",
            "expected units, charges, and what the shop owns",
        ));
        return None;
    }
    let name = root.text("name", problems).map_or_else(|| UNNAMED.to_string(), |name| name.value.trim().to_string());
    let unit =
        root.need_text("units", problems).and_then(|text| or_note(text.one_of(UNITS), problems)).unwrap_or(Unit::Inch);
    let bench: Bench<'_> = bench(unit, &[]);
    let charges = charges::charges(&mut root, problems);
    let minutes = charges::minutes(&mut root, problems);
    let shop = Shop {
        name,
        unit,
        charges,
        minutes,
        drawers: drawers::read(&mut root, &bench, problems),
        machines: machines::machines(&mut root, &bench, problems),
        dividing: dividing::read(&mut root, &bench, problems),
        rack: machines::rack(&mut root, &bench, problems),
        instruments: instruments::read(&mut root, &bench, problems),
    };
    root.finish(problems);
    Some(shop)
}

/// A word that is none of those known, with the nearest one.
pub(super) fn unknown(typed: &str, at: std::ops::Range<usize>, what: &str, known: &[&str]) -> Problem {
    let problem =
        Problem::new(at, format!("{} is not {what}.", quoted(typed)), format!("expected {}", known.join(", ")));
    match nearest(typed, known.iter().copied()) {
        Some(meant) => problem.help(format!("did you mean `{meant}`?")),
        None => problem,
    }
}
