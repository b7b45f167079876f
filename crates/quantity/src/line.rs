//! A reading line against the forms a kind of feature takes.
//!
//! A form is written as it reads: `span over {count} teeth {reading}`. Words stand for themselves, `a|b` for either,
//! `[of]` may be left out but is printed, and the slots in braces take a value. Behind the form may stand an instrument, the word
//! `worn`, and a remark in parentheses. The same code parses, explains, completes and prints.

use std::fmt;

use crate::attempt::Attempt;
use crate::cursor::Cursor;
use crate::form::{Form, spoken, unknown_line};
use crate::instrument::{Bench, Instrument};
use crate::pitch::Pitch;
use crate::problem::{Problem, nearest, quoted};
use crate::size::Size;
use crate::token::tokens;
use crate::value::{Value, WrittenAngle};

/// What stood in a slot.
#[derive(Clone, Debug, PartialEq)]
pub enum Slot {
    /// `{count}`: a whole number from 1 up.
    Count(u32),
    /// `{size}`: a size that is given, not measured, such as a pin.
    Size(Size),
    /// `{reading}` or `{angle}`: what was measured.
    Value(Value),
    /// `{pitch}`: a gear size.
    Pitch(Pitch),
    /// `{text}`: the rest of the line as it stands.
    Text(String),
}

/// A line as understood.
#[derive(Clone, Debug)]
pub struct Line {
    /// Which of the forms it matched.
    pub form: usize,
    pub pattern: Form,
    pub slots: Vec<Slot>,
    pub instrument: Option<String>,
    pub worn: bool,
    pub remark: Option<String>,
    /// As it was written.
    pub text: String,
}

/// More than anybody writes beside a reading; a pasted page would be tried against every form.
const LONGEST_LINE: usize = 1_000;

impl Line {
    /// Reads a line; all that is wrong with it comes back at once, each at its place.
    pub fn read(text: &str, forms: &[Form], bench: &Bench<'_>) -> Result<Line, Vec<Problem>> {
        let tokens = tokens(text);
        if tokens.is_empty() {
            let problem = Problem::new(0..text.len(), "The line is empty.", "expected a reading");
            return Err(vec![problem]);
        }
        if text.chars().count() > LONGEST_LINE {
            let message = format!("A reading is one short line; this one is longer than {LONGEST_LINE} characters.");
            return Err(vec![Problem::new(0..text.len(), message, "expected a reading")]);
        }
        let best = forms
            .iter()
            .enumerate()
            .map(|(index, form)| Attempt::make(index, *form, Cursor::new(text, &tokens), bench))
            .max_by_key(|attempt| attempt.score());
        let Some(mut attempt) = best else {
            return Err(vec![Problem::new(0..text.len(), "No readings are taken here.", "expected no line")]);
        };
        if !attempt.is_likely() {
            return Err(vec![unknown_line(text, forms)]);
        }
        let mut line = Line {
            form: attempt.form,
            pattern: forms[attempt.form],
            slots: std::mem::take(&mut attempt.slots),
            instrument: None,
            worn: false,
            remark: None,
            text: text.to_string(),
        };
        let failure = attempt.failure().or_else(|| line.read_tail(&mut attempt.cursor, bench).err());
        attempt.problems.extend(failure);
        if attempt.problems.is_empty() { Ok(line) } else { Err(attempt.problems) }
    }

    /// What stands before the value, in its strict form: `span over 4 teeth`; none for a line without a value.
    pub fn lead(&self) -> Option<String> {
        self.value()?;
        let mut slots = self.slots.iter();
        let mut words = Vec::new();
        for item in self.pattern.items() {
            match item.starts_with('{').then(|| slots.next()).flatten() {
                Some(Slot::Value(_)) => break,
                Some(slot) => words.push(slot.to_string()),
                None => words.push(spoken(item).to_string()),
            }
        }
        Some(words.join(" "))
    }

    pub fn value(&self) -> Option<&Value> {
        self.slots.iter().find_map(|slot| match slot {
            Slot::Value(value) => Some(value),
            Slot::Count(_) | Slot::Size(_) | Slot::Pitch(_) | Slot::Text(_) => None,
        })
    }

    pub fn count(&self) -> Option<u32> {
        self.slots.iter().find_map(|slot| match slot {
            Slot::Count(count) => Some(*count),
            Slot::Size(_) | Slot::Value(_) | Slot::Pitch(_) | Slot::Text(_) => None,
        })
    }

    pub fn size(&self) -> Option<&Size> {
        self.slots.iter().find_map(|slot| match slot {
            Slot::Size(size) => Some(size),
            Slot::Count(_) | Slot::Value(_) | Slot::Pitch(_) | Slot::Text(_) => None,
        })
    }

    pub fn pitch(&self) -> Option<&Pitch> {
        self.slots.iter().find_map(|slot| match slot {
            Slot::Pitch(pitch) => Some(pitch),
            Slot::Count(_) | Slot::Value(_) | Slot::Size(_) | Slot::Text(_) => None,
        })
    }

    /// `, micrometer, worn (rusty)`
    fn read_tail(&mut self, cursor: &mut Cursor<'_>, bench: &Bench<'_>) -> Result<(), Problem> {
        while cursor.peek().is_some() {
            cursor.take(",");
            if cursor.peek().is_none() {
                return Err(cursor.expected("an instrument or `worn`", "The line ends behind a comma."));
            } else if cursor.take("worn") {
                self.worn = true;
            } else if cursor.peek().is_some_and(|token| token.text == "(") {
                let start = cursor.here().start;
                let rest = cursor.rest();
                let Some(remark) = rest.strip_prefix('(').and_then(|rest| rest.strip_suffix(')')) else {
                    return Err(unclosed(start, rest));
                };
                self.remark = Some(remark.trim().to_string());
                cursor.finish();
            } else {
                let start = cursor.here().start;
                let name = read_instrument(cursor, bench)?;
                if let Some(first) = &self.instrument {
                    return Err(Problem::new(
                        start..cursor.last_end(),
                        format!("Two instruments for one reading: {first} and {name}."),
                        "expected `worn`, a remark or the end of the line",
                    ));
                }
                self.instrument = Some(name);
            }
        }
        Ok(())
    }
}

/// `(rusty`, or `(rusty) and more`.
fn unclosed(start: usize, rest: &str) -> Problem {
    match rest.rfind(')') {
        Some(close) => Problem::new(
            start + close + 1..start + rest.len(),
            "Something stands behind the remark.",
            "expected the end of the line",
        )
        .help("the remark in parentheses comes last"),
        None => Problem::new(start..start + rest.len(), "The remark has no end.", "expected a closing parenthesis"),
    }
}

fn read_instrument(cursor: &mut Cursor<'_>, bench: &Bench<'_>) -> Result<String, Problem> {
    let start = cursor.clone();
    let longest = bench
        .instruments
        .iter()
        .flat_map(|instrument| instrument.names().map(move |name| (instrument, name)))
        .filter_map(|(instrument, name)| {
            let mut trial = start.clone();
            let all = name.split(' ').all(|word| trial.take(word));
            all.then_some((trial, instrument))
        })
        .max_by_key(|(trial, _)| trial.passed());
    if let Some((after, instrument)) = longest {
        *cursor = after;
        return Ok(instrument.name.clone());
    }
    let typed = cursor.rest().split([',', '(']).next().unwrap_or_default().trim();
    let at = cursor.here().start..cursor.here().start + typed.len().max(1).min(cursor.rest().len());
    if typed.starts_with(|c: char| c.is_ascii_digit()) {
        return Err(Problem::new(
            at,
            format!("{} stands where the line should end.", quoted(typed)),
            "expected an instrument, `worn` or a remark in parentheses",
        ));
    }
    let known = bench.instruments.iter().flat_map(Instrument::names).chain(["worn"]);
    let problem = Problem::new(
        at,
        format!("{} is not an instrument on this bench.", quoted(typed)),
        "expected an instrument, `worn` or a remark in parentheses",
    );
    Err(match nearest(typed, known) {
        Some(meant) => problem.help(format!("did you mean `{meant}`?")),
        None => {
            let names: Vec<&str> = bench.instruments.iter().map(|i| i.name.as_str()).collect();
            problem.help(format!("known here: {}, worn", names.join(", ")))
        }
    })
}

impl fmt::Display for Slot {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Slot::Count(count) => write!(f, "{count}"),
            Slot::Size(size) => write!(f, "{size}"),
            Slot::Value(value) => write!(f, "{value}"),
            Slot::Pitch(pitch) => write!(f, "{pitch}"),
            Slot::Text(text) => f.write_str(text),
        }
    }
}

impl fmt::Display for Line {
    /// The strict form; reading it back gives an equal line.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut slots = self.slots.iter();
        for (index, item) in self.pattern.items().enumerate() {
            if index > 0 {
                f.write_str(" ")?;
            }
            let slot = item.starts_with('{').then(|| slots.next()).flatten();
            match slot {
                Some(slot) => write!(f, "{slot}")?,
                None => f.write_str(spoken(item))?,
            }
        }
        if let Some(instrument) = &self.instrument {
            write!(f, ", {instrument}")?;
        }
        if self.worn {
            f.write_str(", worn")?;
        }
        match &self.remark {
            Some(remark) => write!(f, " ({remark})"),
            None => Ok(()),
        }
    }
}

impl PartialEq for Line {
    /// Two lines are equal if they say the same; the text may differ.
    fn eq(&self, other: &Line) -> bool {
        self.pattern == other.pattern
            && self.slots == other.slots
            && self.instrument == other.instrument
            && self.worn == other.worn
            && self.remark == other.remark
    }
}

/// Reads one angle standing alone.
pub fn read_angle(text: &str) -> Result<WrittenAngle, Problem> {
    let tokens = tokens(text);
    let mut cursor = Cursor::new(text, &tokens);
    let angle = WrittenAngle::read(&mut cursor)?;
    end(&cursor)?;
    Ok(angle)
}

/// Reads one gear size standing alone, with or without its pressure angle.
pub fn read_pitch(text: &str) -> Result<Pitch, Problem> {
    let tokens = tokens(text);
    let mut cursor = Cursor::new(text, &tokens);
    let pitch = Pitch::read(&mut cursor)?;
    end(&cursor)?;
    Ok(pitch)
}

/// Reads one size standing alone, as in a field of the job or shop file.
pub fn read_size(text: &str, bench: &Bench<'_>) -> Result<Size, Problem> {
    let tokens = tokens(text);
    let mut cursor = Cursor::new(text, &tokens);
    let size = Size::read(&mut cursor, bench)?;
    end(&cursor)?;
    Ok(size)
}

fn end(cursor: &Cursor<'_>) -> Result<(), Problem> {
    match cursor.peek() {
        None => Ok(()),
        Some(token) => {
            Err(cursor.expected("nothing more", &format!("{} stands behind the value.", quoted(token.text))))
        }
    }
}
