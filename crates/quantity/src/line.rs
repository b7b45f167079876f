//! A reading line against the forms a kind of feature takes.
//!
//! A form is written as it reads: `span over {count} teeth {reading}`. Words stand for themselves, `a|b` for either,
//! `[of]` may be left out, and the slots in braces take a value. Behind the form may stand an instrument, the word
//! `worn`, and a remark in parentheses. The same code parses, explains, completes and prints.

use std::fmt;

use crate::cursor::Cursor;
use crate::instrument::Bench;
use crate::problem::{Problem, nearest};
use crate::size::Size;
use crate::token::tokens;
use crate::value::{Pitch, Value, WrittenAngle};

/// The pattern of a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Form(pub &'static str);

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

impl Line {
    /// Reads a line; all that is wrong with it comes back at once, each at its place.
    pub fn read(text: &str, forms: &[Form], bench: &Bench<'_>) -> Result<Line, Vec<Problem>> {
        let tokens = tokens(text);
        if tokens.is_empty() {
            return Err(vec![Problem::new(
                0..text.len(),
                "The line is empty.",
                "expected a reading",
            )]);
        }
        let best = forms
            .iter()
            .enumerate()
            .map(|(index, form)| Attempt::make(index, *form, Cursor::new(text, &tokens), bench))
            .max_by_key(|attempt| attempt.score());
        let Some(mut attempt) = best else {
            return Err(vec![Problem::new(
                0..text.len(),
                "No readings are taken here.",
                "expected no line",
            )]);
        };
        if attempt.words_met == 0 {
            return Err(vec![unknown_line(text, tokens[0].at.clone(), forms)]);
        }
        let mut line = Line {
            form: attempt.form,
            pattern: forms[attempt.form],
            slots: attempt.slots,
            instrument: None,
            worn: false,
            remark: None,
            text: text.to_string(),
        };
        if attempt.failed.is_none() {
            attempt.failed = line.read_tail(&mut attempt.cursor, bench).err();
        }
        attempt.problems.extend(attempt.failed);
        if attempt.problems.is_empty() {
            Ok(line)
        } else {
            Err(attempt.problems)
        }
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
                return Err(
                    cursor.expected("an instrument or `worn`", "The line ends behind a comma.")
                );
            } else if cursor.take("worn") {
                self.worn = true;
            } else if cursor.peek().is_some_and(|token| token.text == "(") {
                let rest = cursor.rest();
                let Some(remark) = rest
                    .strip_prefix('(')
                    .and_then(|rest| rest.strip_suffix(')'))
                else {
                    return Err(cursor.expected("a closing parenthesis", "The remark has no end."));
                };
                self.remark = Some(remark.trim().to_string());
                cursor.finish();
            } else {
                let name = read_instrument(cursor, bench)?;
                if let Some(first) = &self.instrument {
                    return Err(cursor.expected(
                        "the end of the line",
                        &format!("Two instruments for one reading: {first} and {name}."),
                    ));
                }
                self.instrument = Some(name);
            }
        }
        Ok(())
    }
}

fn read_instrument(cursor: &mut Cursor<'_>, bench: &Bench<'_>) -> Result<String, Problem> {
    let start = cursor.clone();
    let longest = bench
        .instruments
        .iter()
        .filter_map(|instrument| {
            let mut trial = start.clone();
            instrument
                .name
                .split(' ')
                .all(|word| trial.take(word))
                .then_some((trial, instrument))
        })
        .max_by_key(|(trial, _)| trial.passed());
    if let Some((after, instrument)) = longest {
        *cursor = after;
        return Ok(instrument.name.clone());
    }
    let typed = cursor
        .rest()
        .split([',', '('])
        .next()
        .unwrap_or_default()
        .trim();
    let at = cursor.here().start..cursor.here().start + typed.len().max(1).min(cursor.rest().len());
    if typed.starts_with(|c: char| c.is_ascii_digit()) {
        let problem = Problem::new(
            at,
            format!("`{typed}` stands where the line should end."),
            "expected an instrument, `worn` or a remark in parentheses",
        );
        return Err(problem.help("decimals are written with a point: 2.301"));
    }
    let names = || {
        bench
            .instruments
            .iter()
            .map(|instrument| instrument.name.as_str())
            .chain(["worn"])
    };
    let problem = Problem::new(
        at,
        format!("`{typed}` is not an instrument on this bench."),
        "expected an instrument, `worn` or a remark in parentheses",
    );
    Err(match nearest(typed, names()) {
        Some(meant) => problem.help(format!("did you mean `{meant}`?")),
        None => problem.help(format!(
            "known here: {}",
            names().collect::<Vec<_>>().join(", ")
        )),
    })
}

/// No form begins like this: say so over the words before the first number, and name the nearest form.
fn unknown_line(text: &str, first: std::ops::Range<usize>, forms: &[Form]) -> Problem {
    let words = text
        .find(|c: char| c.is_ascii_digit() || c == '#')
        .map_or(text, |at| &text[..at])
        .trim();
    let end = first.end.max(text.find(words).unwrap_or(0) + words.len());
    let lead = |form: &Form| {
        form.0
            .split('{')
            .next()
            .unwrap_or_default()
            .replace(['[', ']'], "")
            .trim()
            .to_string()
    };
    let leads: Vec<String> = forms.iter().map(lead).collect();
    let problem = Problem::new(
        first.start..end,
        format!(
            "`{}` is not a reading of this feature.",
            if words.is_empty() { text } else { words }
        ),
        "expected a reading",
    );
    match nearest(words, leads.iter().map(String::as_str)) {
        Some(meant) => {
            let form = leads
                .iter()
                .position(|lead| lead == meant)
                .map_or("", |index| forms[index].0);
            problem.help(format!("did you mean: {}", spoken(form)))
        }
        None => problem.help(format!(
            "readings taken here: {}",
            forms
                .iter()
                .map(|form| spoken(form.0))
                .collect::<Vec<_>>()
                .join(" · ")
        )),
    }
}

/// A pattern as a person would be told it: `span over 4 teeth V`.
fn spoken(pattern: &str) -> String {
    let plain = pattern
        .replace("{count}", "N")
        .replace("{size}", "D")
        .replace("{reading}", "V")
        .replace("{angle}", "A")
        .replace("{pitch}", "10 dp")
        .replace("{text}", "…");
    plain
        .split(' ')
        .filter(|word| !word.starts_with('['))
        .map(|word| word.split('|').next().unwrap_or(word))
        .collect::<Vec<_>>()
        .join(" ")
}

/// One form laid on a line: how far it carries.
struct Attempt<'a> {
    form: usize,
    cursor: Cursor<'a>,
    slots: Vec<Slot>,
    words_met: usize,
    /// Words misspelt but near enough to go on.
    problems: Vec<Problem>,
    failed: Option<Problem>,
}

impl<'a> Attempt<'a> {
    fn make(index: usize, form: Form, cursor: Cursor<'a>, bench: &Bench<'_>) -> Attempt<'a> {
        let mut attempt = Attempt {
            form: index,
            cursor,
            slots: Vec::new(),
            words_met: 0,
            problems: Vec::new(),
            failed: None,
        };
        for item in form.0.split(' ') {
            if let Err(problem) = attempt.take(item, bench) {
                attempt.failed = Some(problem);
                break;
            }
        }
        attempt
    }

    /// A whole match beats a part of one; then the one that goes furthest, then the one with the fewest misspellings.
    fn score(&self) -> (bool, usize, std::cmp::Reverse<usize>) {
        let matched = self.failed.is_none() && self.words_met > 0;
        let ends = self
            .cursor
            .peek()
            .is_none_or(|token| [",", "("].contains(&token.text));
        (
            matched && ends && self.problems.is_empty(),
            self.cursor.passed() + usize::from(matched),
            std::cmp::Reverse(self.problems.len()),
        )
    }

    fn take(&mut self, item: &str, bench: &Bench<'_>) -> Result<(), Problem> {
        match item {
            "{count}" => {
                let (count, places) = match self
                    .cursor
                    .peek()
                    .and_then(|token| crate::size::Number::parse(token.text))
                {
                    Some(crate::size::Number::Decimal { value, places }) => (value, places),
                    _ => {
                        return Err(self
                            .cursor
                            .expected("a whole number", "A count was expected."));
                    }
                };
                if !(1.0..=10_000.0).contains(&count) || places > 0 {
                    return Err(self.cursor.expected(
                        "a whole number from 1 up",
                        &format!("{count} is not a count."),
                    ));
                }
                self.cursor.advance();
                self.slots.push(Slot::Count(count as u32));
            }
            "{size}" => self
                .slots
                .push(Slot::Size(Size::read(&mut self.cursor, bench)?)),
            "{reading}" => self
                .slots
                .push(Slot::Value(Value::read_length(&mut self.cursor, bench)?)),
            "{angle}" => self
                .slots
                .push(Slot::Value(Value::read_angle(&mut self.cursor)?)),
            "{pitch}" => self.slots.push(Slot::Pitch(Pitch::read(&mut self.cursor)?)),
            "{text}" => {
                self.slots.push(Slot::Text(self.cursor.rest().to_string()));
                self.cursor.finish();
            }
            words => self.take_word(words)?,
        }
        Ok(())
    }

    fn take_word(&mut self, item: &str) -> Result<(), Problem> {
        let optional = item.starts_with('[');
        let words = item.trim_matches(['[', ']']);
        if words.split('|').any(|word| self.cursor.take(word)) {
            self.words_met += usize::from(!optional);
            return Ok(());
        }
        if optional {
            return Ok(());
        }
        let wanted = words.split('|').next().unwrap_or(words);
        let problem = |cursor: &Cursor<'_>| {
            cursor.expected(
                &format!("`{wanted}`"),
                &format!("The word `{wanted}` was expected."),
            )
        };
        let Some(token) = self.cursor.peek() else {
            return Err(problem(&self.cursor));
        };
        if token.text.len() > 2 && nearest(token.text, words.split('|')).is_some() {
            self.problems
                .push(problem(&self.cursor).help(format!("did you mean `{wanted}`?")));
            self.words_met += 1;
            self.cursor.advance();
            return Ok(());
        }
        Err(problem(&self.cursor))
    }
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
        for (index, item) in self
            .pattern
            .0
            .split(' ')
            .filter(|item| !item.starts_with('['))
            .enumerate()
        {
            if index > 0 {
                f.write_str(" ")?;
            }
            match slots.next_if_slot(item) {
                Some(slot) => write!(f, "{slot}")?,
                None => f.write_str(item.split('|').next().unwrap_or(item))?,
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

trait NextIfSlot<'a> {
    fn next_if_slot(&mut self, item: &str) -> Option<&'a Slot>;
}

impl<'a> NextIfSlot<'a> for std::slice::Iter<'a, Slot> {
    fn next_if_slot(&mut self, item: &str) -> Option<&'a Slot> {
        if item.starts_with('{') {
            self.next()
        } else {
            None
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
        Some(token) => Err(cursor.expected(
            "nothing more",
            &format!("`{}` stands behind the value.", token.text),
        )),
    }
}
