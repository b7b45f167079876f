//! A reading as it is typed: which feature it is of, how it is understood, what is wrong with it, how it may go on.

use quantity::{Form, Instrument, Line, Problem, Unit, print};

use crate::job::forms;
use crate::shop::bench;
use crate::worked::{Entry, Worked, kind};

/// What was made of it.
#[derive(Debug)]
pub struct Typed<'a> {
    pub entry: &'a Entry,
    /// The line itself, without the feature's name that may have stood before it.
    pub text: String,
    /// It is taken for another feature than the one chosen.
    pub moved: bool,
    pub read: Result<Line, Vec<Problem>>,
}

/// Reads a line for the chosen feature. One that begins with a feature's name belongs to that; one that means nothing to the
/// chosen feature and something to just one other belongs to the other.
pub fn typed<'a>(worked: &'a Worked, chosen: usize, text: &str, instruments: &[Instrument]) -> Option<Typed<'a>> {
    let text = text.trim();
    let bench = bench(worked.unit, instruments);
    let read = |entry: &Entry, text: &str| kind(&entry.kind).map(|kind| Line::read(text, &forms(kind), &bench));
    let entry = worked.entries.get(chosen).or(worked.entries.first())?;
    let named = worked.entries.iter().filter_map(|named| {
        let rest = strip_name(text, &named.name)?;
        let line = read(named, rest)?.ok()?;
        Some(Typed { entry: named, text: rest.to_string(), moved: named.at != entry.at, read: Ok(line) })
    });
    if let Some(found) = named.max_by_key(|found| found.entry.name.len()) {
        return Some(found);
    }
    let own = read(entry, text).unwrap_or_else(|| {
        let problem =
            Problem::new(0..text.len(), "The kind of this feature is not known here.", "expected a known kind");
        Err(vec![problem.help("mend the kind in the job's text")])
    });
    if own.is_err() {
        let others = worked.entries.iter().filter(|other| other.at != entry.at);
        let mut taken = others.filter_map(|other| Some((other, read(other, text)?.ok()?)));
        if let (Some((other, line)), None) = (taken.next(), taken.next()) {
            return Some(Typed { entry: other, text: text.to_string(), moved: true, read: Ok(line) });
        }
    }
    Some(Typed { entry, text: text.to_string(), moved: false, read: own })
}

/// `bore: diameter …`, `bore diameter …`
fn strip_name<'t>(text: &'t str, name: &str) -> Option<&'t str> {
    let head = text.get(..name.len()).filter(|head| !name.is_empty() && head.eq_ignore_ascii_case(name))?;
    let rest = &text[head.len()..];
    rest.starts_with([' ', ':', ',']).then(|| rest.trim_start_matches([' ', ':', ',']))
}

/// A line in strict form, and in the other unit with what it is good to.
pub fn understood(line: &Line, unit: Unit, instruments: &[Instrument]) -> String {
    let bench = bench(unit, instruments);
    let measured = line.value().and_then(|value| value.length(&bench, line.instrument.as_deref()));
    let Some(measured) = measured else { return line.to_string() };
    let written = line.value().and_then(|value| value.unit()).unwrap_or(unit);
    let other = if written == Unit::Inch { Unit::Millimetre } else { Unit::Inch };
    format!(
        "{line}: {}, good to ± {}",
        print::length(measured.value, other, 3),
        print::length(measured.sigma * 2.0, written, 3)
    )
}

/// A way the line may go on: what is shown, and the whole line with it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Onward {
    pub says: String,
    pub fill: String,
}

/// More would not be read.
const MOST_ONWARD: usize = 8;

/// How a line that has been begun may go on, by the forms of its feature and the instruments of the bench.
pub fn onward(entry: &Entry, text: &str, complete: bool, instruments: &[Instrument]) -> Vec<Onward> {
    let Some(kind) = kind(&entry.kind) else { return Vec::new() };
    let text = text.trim_start();
    let fitting = |line: &str| -> Vec<Instrument> {
        let read = Line::read(line, &forms(kind), &bench(Unit::Inch, instruments)).ok();
        let angle = read.is_some_and(|line| line.pattern.0.contains("{angle}"));
        instruments.iter().filter(|one| !angle || one.angle_uncertainty.is_some()).cloned().collect()
    };
    if let Some((line, begun)) = text.rsplit_once(',') {
        return with_instrument(line, begun, &fitting(line));
    }
    if complete && text.trim_end().ends_with(|c: char| c.is_ascii_digit() || c == '"') {
        return with_instrument(text.trim_end(), "", &fitting(text));
    }
    let ways = forms(kind).into_iter().filter_map(|form| way(form, text));
    ways.filter(|way| way.fill.trim() != text.trim()).take(MOST_ONWARD).collect()
}

fn with_instrument(line: &str, begun: &str, instruments: &[Instrument]) -> Vec<Onward> {
    let begun = begun.trim_start().to_lowercase();
    let names = instruments.iter().map(|instrument| instrument.name.as_str()).chain(["worn"]);
    let fitting = names.filter(|name| name.starts_with(&begun) && *name != begun);
    fitting
        .map(|name| Onward { says: format!(", {name}"), fill: format!("{}, {name}", line.trim_end()) })
        .take(MOST_ONWARD)
        .collect()
}

/// The form as it goes on behind what is typed; none where it does not begin so.
fn way(form: Form, text: &str) -> Option<Onward> {
    let ends_open = !text.is_empty() && !text.ends_with(' ');
    let words: Vec<&str> = text.split_whitespace().collect();
    let items: Vec<&str> = form.0.split(' ').collect();
    let mut fill = String::new();
    let mut next = 0;
    for (at, word) in words.iter().enumerate() {
        let last = at + 1 == words.len() && ends_open;
        // what may be left out is passed over if it does not fit
        while items.get(next).is_some_and(|item| item.starts_with('[') && !fits(item, word, last)) {
            next += 1;
        }
        let item = items.get(next)?;
        if !fits(item, word, last) {
            return None;
        }
        let spelt = if item.starts_with('{') { (*word).to_string() } else { spelling(item, word, last) };
        fill.push_str(&spelt);
        fill.push(' ');
        next += 1;
    }
    // the words up to the next thing to be filled in
    let rest = &items[next.min(items.len())..];
    for item in rest.iter().take_while(|item| !item.starts_with('{')) {
        fill.push_str(first_of(item));
        fill.push(' ');
    }
    if rest.is_empty() {
        fill.truncate(fill.trim_end().len());
    }
    Some(Onward { says: form.spoken(), fill })
}

fn alternatives(item: &str) -> impl Iterator<Item = &str> {
    item.trim_matches(['[', ']']).split('|')
}

fn first_of(item: &str) -> &str {
    alternatives(item).next().unwrap_or(item)
}

fn fits(item: &str, word: &str, last: bool) -> bool {
    match item {
        "{count}" => word.chars().all(|c| c.is_ascii_digit()),
        // a size of one word; what is longer completes nothing any more
        "{size}" | "{pitch}" => word.starts_with(|c: char| c.is_ascii_digit() || ".#".contains(c)),
        "{reading}" | "{angle}" | "{text}" => false,
        item => alternatives(item).any(|known| {
            known.eq_ignore_ascii_case(word) || (last && known.to_lowercase().starts_with(&word.to_lowercase()))
        }),
    }
}

/// A word as it was typed, if that is one of those that may stand here; else the one that was begun.
fn spelling(item: &str, word: &str, last: bool) -> String {
    let whole = alternatives(item).any(|known| known.eq_ignore_ascii_case(word));
    let begun = alternatives(item).find(|known| last && known.to_lowercase().starts_with(&word.to_lowercase()));
    if whole { word.to_string() } else { begun.unwrap_or(word).to_string() }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fill(form: &'static str, text: &str) -> Option<String> {
        way(Form(form), text).map(|way| way.fill)
    }

    #[test]
    fn a_line_goes_on_up_to_the_next_figure() {
        let span = "span over {count} teeth|tooth {reading}";
        assert_eq!(fill(span, "").as_deref(), Some("span over "));
        assert_eq!(fill(span, "sp").as_deref(), Some("span over "));
        assert_eq!(fill(span, "span over 4").as_deref(), Some("span over 4 teeth "));
        assert_eq!(fill(span, "span over 4 t").as_deref(), Some("span over 4 teeth "));
        assert_eq!(fill(span, "span over 1 tooth ").as_deref(), Some("span over 1 tooth "));
        assert_eq!(fill(span, "span under"), None);
        assert_eq!(fill(span, "span over 4 teeth 1.0"), None, "a figure is not guessed");
        assert_eq!(
            fill("centre to outside [of] {size} pin {reading}", "centre to outside 0.1").as_deref(),
            Some("centre to outside 0.1 pin ")
        );
    }

    #[test]
    fn instruments_stand_behind_a_comma() {
        let names = standards::built_in_instruments();
        let ways = with_instrument("tip radius 2.300", " mic", &names);
        assert_eq!(ways.first().map(|way| way.fill.as_str()), Some("tip radius 2.300, micrometer"));
    }

    #[test]
    fn a_name_before_a_line_is_the_features() {
        assert_eq!(strip_name("bore: diameter 1", "bore"), Some("diameter 1"));
        assert_eq!(strip_name("Pin holes diameter 1", "pin holes"), Some("diameter 1"));
        assert_eq!(strip_name("bores 1", "bore"), None);
        assert_eq!(strip_name("börse", "börs"), None);
    }
}
