//! What is looked for, as it is typed: `44 teeth 10 dp`, `bore 7/8 apple mill`, `module 2.5 ± 0.1`.
//!
//! Nothing typed is wrong: what is no number or size of anything is a word to be found.

use std::fmt;

use crate::cursor::Cursor;
use crate::instrument::Bench;
use crate::number::Number;
use crate::pitch::Pitch;
use crate::size::{SizeForm, Unit};
use crate::token::{Token, tokens};
use crate::value::Value;

/// One thing that is asked for.
#[derive(Clone, Debug, PartialEq)]
pub enum Asked {
    /// The beginning of a word.
    Word(String),
    /// So many of something: 44 teeth.
    Count { what: String, count: u32 },
    /// A length, of something if it is named. A bare number is in inches or in millimetres: either will do.
    Length { what: Option<String>, values: Vec<Value> },
    /// A gear size.
    Pitch(Pitch),
}

/// What numbers can be asked of by name.
#[derive(Clone, Copy, Debug)]
pub struct Askable<'a> {
    pub lengths: &'a [&'a str],
    pub counts: &'a [&'a str],
}

/// A longer text is no question.
const MOST_ASKED: usize = 40;

/// Reads a question. Words that are still being typed are taken for what they may become.
pub fn asked(text: &str, askable: Askable<'_>, bench: &Bench<'_>) -> Vec<Asked> {
    let tokens = tokens(text);
    let mut tokens = &tokens[..tokens.len().min(MOST_ASKED)];
    // `7/` is going to be a fraction, and 7 is not what is looked for
    if let [before @ .., number, sign] = tokens
        && ["/", "-"].contains(&sign.text)
        && sign.at.start == number.at.end
        && Number::parse(number.text).is_some()
    {
        tokens = before;
    }
    let mut out = Vec::new();
    let mut next = 0;
    while next < tokens.len() {
        let rest = &tokens[next..];
        let read = count(rest, askable.counts)
            .or_else(|| pitch(text, rest, askable.counts))
            .or_else(|| named_length(text, rest, askable.lengths, bench))
            .or_else(|| size(text, rest, bench));
        let (asked, taken) = read.map_or_else(|| (word(rest[0].text), 1), |(asked, taken)| (Some(asked), taken));
        out.extend(asked);
        next += taken;
    }
    out
}

/// `44 teeth`, `44 t`, `teeth 44`.
fn count(rest: &[Token<'_>], names: &[&str]) -> Option<(Asked, usize)> {
    let whole = |token: &Token<'_>| token.text.parse::<u32>().ok().filter(|count| *count > 0);
    let [first, second, behind @ ..] = rest else { return None };
    let asked = |name: &str, count| Some((Asked::Count { what: name.to_string(), count }, 2));
    match (whole(first), whole(second)) {
        (Some(count), None) => {
            let typing = behind.is_empty();
            let name = names.iter().find(|name| same(second.text, name) || (typing && begins(second.text, name)))?;
            asked(name, count)
        }
        // `teeth 10 dp` asks for no ten teeth
        (None, Some(count)) if behind.first().is_none_or(|token| !is_pitch_word(token.text)) => {
            let name = names.iter().find(|name| same(first.text, name))?;
            asked(name, count)
        }
        _ => None,
    }
}

fn same(typed: &str, name: &str) -> bool {
    typed.eq_ignore_ascii_case(name)
}

fn begins(typed: &str, name: &str) -> bool {
    name.get(..typed.len()).is_some_and(|beginning| same(typed, beginning))
}

fn is_pitch_word(text: &str) -> bool {
    ["dp", "cp", "diametral", "circular", "module", "mod"].iter().any(|word| same(text, word))
}

/// `bore 7/8`, `tip diameter of 4.6 in`, `bore goes 0.875, not 0.876`.
fn named_length(text: &str, rest: &[Token<'_>], names: &[&str], bench: &Bench<'_>) -> Option<(Asked, usize)> {
    let fits = |name: &&&str| {
        let mut words = 0;
        let all = name.split(' ').all(|word| {
            words += 1;
            rest.get(words - 1).is_some_and(|token| same(token.text, word))
        });
        all && !name.is_empty()
    };
    let name = names.iter().filter(fits).max_by_key(|name| name.len())?;
    let mut passed = name.split(' ').count();
    passed += usize::from(rest.get(passed).is_some_and(|token| ["of", "="].contains(&token.text)));
    let (values, taken) = values(text, &rest[passed..], bench)?;
    Some((Asked::Length { what: Some(name.to_string()), values }, passed + taken))
}

/// `10 dp`, `10 dp 14.5`, `m2.5`: as much as makes one gear size.
fn pitch(text: &str, rest: &[Token<'_>], counts: &[&str]) -> Option<(Asked, usize)> {
    (1..=rest.len().min(LONGEST_PITCH)).rev().find_map(|taken| {
        // in `10 dp 44 teeth` the 44 is no pressure angle
        let counted = rest.get(taken).is_some_and(|token| counts.iter().any(|name| same(token.text, name)));
        let mut cursor = Cursor::new(text, &rest[..taken]);
        let pitch = Pitch::read(&mut cursor).ok()?;
        (cursor.peek().is_none() && !(counted && pitch.pressure_angle.is_some()))
            .then_some((Asked::Pitch(pitch), taken))
    })
}

/// `1 1/8 in circular pitch 14 1/2 deg`
const LONGEST_PITCH: usize = 8;

/// A size that nothing names: a fraction, a drill, a decimal, or anything with its unit. A bare whole number is a word.
fn size(text: &str, rest: &[Token<'_>], bench: &Bench<'_>) -> Option<(Asked, usize)> {
    let (values, taken) = values(text, rest, bench)?;
    let bare = values.len() > 1;
    let whole = matches!(
        values.first(),
        Some(Value::Plain { size, half_width: None }) if matches!(size.form, SizeForm::Decimal { places: 0, .. })
    );
    (!(bare && whole)).then_some((Asked::Length { what: None, values }, taken))
}

/// What stands here in inches and in millimetres; one value where that is the same.
fn values(text: &str, rest: &[Token<'_>], bench: &Bench<'_>) -> Option<(Vec<Value>, usize)> {
    let read = |unit| {
        let mut cursor = Cursor::new(text, rest);
        let value = Value::read_length(&mut cursor, &Bench { unit, ..*bench }).ok()?;
        Some((value, cursor.passed()))
    };
    match (read(Unit::Inch), read(Unit::Millimetre)) {
        (Some((inches, taken)), Some((millimetres, _))) if inches == millimetres => Some((vec![inches], taken)),
        (Some((inches, taken)), Some((millimetres, _))) => Some((vec![inches, millimetres], taken)),
        (Some((one, taken)), None) | (None, Some((one, taken))) => Some((vec![one], taken)),
        (None, None) => None,
    }
}

/// Signs are not looked for.
fn word(text: &str) -> Option<Asked> {
    text.chars().any(char::is_alphanumeric).then(|| Asked::Word(text.to_string()))
}

impl fmt::Display for Asked {
    /// As it was understood.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Asked::Word(word) => f.write_str(word),
            Asked::Count { what, count } => write!(f, "{count} {what}"),
            Asked::Length { what, values } => {
                if let Some(what) = what {
                    write!(f, "{what} ")?;
                }
                for (index, value) in values.iter().enumerate() {
                    write!(f, "{}{value}", if index > 0 { " or " } else { "" })?;
                }
                Ok(())
            }
            Asked::Pitch(pitch) => {
                f.write_str(&pitch.label())?;
                match pitch.pressure_angle {
                    Some(angle) => write!(f, ", {}°", crate::print::number(angle.angle.degrees())),
                    None => Ok(()),
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Length;

    fn told(text: &str) -> String {
        let bench = Bench { unit: Unit::Inch, drills: |_, _| None, instruments: &[], gauge_tolerance: Length::ZERO };
        let askable = Askable {
            lengths: &["bore", "tip diameter", "diameter", "module", "shaft", "tip radius"],
            counts: &["teeth", "holes"],
        };
        asked(text, askable, &bench).iter().map(Asked::to_string).collect::<Vec<_>>().join(" · ")
    }

    #[test]
    fn questions_are_read_as_they_are_meant() {
        for (text, meant) in [
            ("44 teeth 10 dp", "44 teeth · 10 DP"),
            ("10 dp 44 teeth", "10 DP · 44 teeth"),
            ("10 dp 14.5 44 teeth", "10 DP, 14.5° · 44 teeth"),
            ("teeth 44 10 DP", "44 teeth · 10 DP"),
            ("module 2.5", "module 2.5"),
            ("m2.5 30 teeth", "module 2.5 · 30 teeth"),
            ("1/4 cp", "1/4 in circular pitch"),
            ("bore 7/8 apple mill", "bore 7/8 in · apple · mill"),
            ("bore 0.875 in", "bore 0.875 in"),
            ("bore 22.2", "bore 22.2 in or 22.2 mm"),
            ("bore of 22.2 mm ± 0.1", "bore 22.2 mm ± 0.1 mm"),
            ("Bore goes 0.875, not 0.876 in", "bore goes 0.875 in, not 0.876 in"),
            ("tip diameter 4.6 in", "tip diameter 4.6 in"),
            ("7/8 bush", "7/8 in · bush"),
            ("1 3/8\" shaft", "1 3/8 in · shaft"),
            ("pin 3.5 mm", "pin · 3.5 mm"),
            ("2.301", "2.301 in or 2.301 mm"),
            ("2 holes", "2 holes"),
            ("apple mill, feed (old)", "apple · mill · feed · old"),
            ("job 17", "job · 17"),
            ("", ""),
            ("  ± , \"", ""),
        ] {
            assert_eq!(told(text), meant, "{text}");
        }
    }

    /// Each further letter of a question narrows it, and none in between asks for something else.
    #[test]
    fn what_is_still_being_typed_is_taken_for_what_it_may_become() {
        for (text, meant) in [
            ("44 t", "44 teeth"),
            ("44 tee", "44 teeth"),
            ("44 tin", "44 · tin"),
            ("bore", "bore"),
            ("bore 7/", "bore"),
            ("bore 2.", "bore 2 in or 2 mm"),
            ("bore o", "bore · o"),
            ("goes", "goes"),
            ("module", "module"),
        ] {
            assert_eq!(told(text), meant, "{text}");
        }
    }

    proptest::proptest! {
        /// Whatever is typed is a question, and what was understood of it is understood the same again.
        #[test]
        fn anything_may_be_asked(text in "([a-z]{1,5} |[0-9]{1,3}[/.-]?[0-9]{0,3} ?|teeth |bore |dp |mm |± |\\PC){0,12}") {
            let once = told(&text);
            proptest::prop_assert!(!once.split(" · ").any(|part| part.trim().is_empty()) || once.is_empty(), "{once:?}");
        }
    }
}
