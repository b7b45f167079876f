//! One form laid on a line: how far it carries.

use std::cmp::Reverse;

use crate::cursor::Cursor;
use crate::form::Form;
use crate::instrument::Bench;
use crate::line::Slot;
use crate::number::Number;
use crate::pitch::Pitch;
use crate::problem::{Problem, nearest, quoted};
use crate::size::Size;
use crate::value::Value;

pub(crate) struct Attempt<'a> {
    /// Which of the forms this is.
    pub(crate) form: usize,
    pub(crate) cursor: Cursor<'a>,
    pub(crate) slots: Vec<Slot>,
    words_met: usize,
    /// Words of the form behind the place where it failed that stand in the rest of the line.
    words_ahead: usize,
    /// Words misspelt but near enough to go on.
    pub(crate) problems: Vec<Problem>,
    /// Why the form could not be followed further.
    failed: Option<Failure>,
}

/// Many forms are tried and only what the best of them failed at is told: a missing word is not put into words before.
enum Failure {
    /// This word stands not where the cursor is.
    Word(&'static str),
    Told(Problem),
}

impl From<Problem> for Failure {
    fn from(problem: Problem) -> Failure {
        Failure::Told(problem)
    }
}

/// The most of anything that is counted on a part.
const LARGEST_COUNT: f64 = 10_000.0;

impl<'a> Attempt<'a> {
    pub(crate) fn make(index: usize, form: Form, cursor: Cursor<'a>, bench: &Bench<'_>) -> Attempt<'a> {
        let mut attempt = Attempt {
            form: index,
            cursor,
            slots: Vec::new(),
            words_met: 0,
            words_ahead: 0,
            problems: Vec::new(),
            failed: None,
        };
        let mut items = form.items();
        while let Some(item) = items.next() {
            let before = attempt.cursor.clone();
            if let Err(failure) = attempt.take(item, bench) {
                attempt.failed = Some(failure);
                attempt.words_ahead = items.filter(|item| stands_in(item, before.clone())).count();
                break;
            }
        }
        attempt
    }

    /// Whether anything of the line speaks for this form.
    pub(crate) fn is_likely(&self) -> bool {
        self.words_met + self.words_ahead > 0
    }

    /// A whole match beats a part of one; then the one that goes furthest, then the one more of whose words
    /// are still to come, then the one with the fewest misspellings, then the form that is named first.
    pub(crate) fn score(&self) -> impl Ord + use<> {
        let matched = self.failed.is_none() && self.words_met > 0;
        let ends = self.cursor.peek().is_none_or(|token| [",", "("].contains(&token.text));
        (
            matched && ends && self.problems.is_empty(),
            self.cursor.passed() + usize::from(matched),
            self.words_ahead,
            Reverse(self.problems.len()),
            Reverse(self.form),
        )
    }

    /// What is wrong where it failed.
    pub(crate) fn failure(&self) -> Option<Problem> {
        Some(match self.failed.as_ref()? {
            Failure::Word(wanted) => self.misplaced(wanted),
            Failure::Told(problem) => problem.clone(),
        })
    }

    fn misplaced(&self, wanted: &str) -> Problem {
        let message = match self.cursor.peek() {
            Some(token) => format!("{} stands where `{wanted}` was expected.", quoted(token.text)),
            None => format!("The line ends where `{wanted}` was expected."),
        };
        self.cursor.expected(&format!("`{wanted}`"), &message)
    }

    fn take(&mut self, item: &'static str, bench: &Bench<'_>) -> Result<(), Failure> {
        let cursor = &mut self.cursor;
        let slot = match item {
            "{count}" => Slot::Count(read_count(cursor)?),
            "{size}" => Slot::Size(Size::read(cursor, bench)?),
            "{reading}" => Slot::Value(Value::read_length(cursor, bench)?),
            "{angle}" => Slot::Value(Value::read_angle(cursor)?),
            "{pitch}" => Slot::Pitch(Pitch::read(cursor)?),
            "{text}" => Slot::Text(read_rest(cursor)?),
            words => return self.take_word(words),
        };
        self.slots.push(slot);
        Ok(())
    }

    fn take_word(&mut self, item: &'static str) -> Result<(), Failure> {
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
        let Some(token) = self.cursor.peek() else { return Err(Failure::Word(wanted)) };
        match nearest(token.text, words.split('|')) {
            Some(meant) if token.text.chars().count() > SHORTEST_MISSPELT => {
                self.problems.push(self.misplaced(wanted).help(format!("did you mean `{meant}`?")));
                self.words_met += 1;
                self.cursor.advance();
                Ok(())
            }
            Some(_) | None => Err(Failure::Word(wanted)),
        }
    }
}

fn stands_in(item: &str, mut cursor: Cursor<'_>) -> bool {
    while cursor.peek().is_some() {
        if item.split('|').any(|word| cursor.take(word)) {
            return true;
        }
        cursor.advance();
    }
    false
}

/// Two letters are near to any other two.
const SHORTEST_MISSPELT: usize = 2;

fn read_count(cursor: &mut Cursor<'_>) -> Result<u32, Problem> {
    const EXPECTED: &str = "a whole number from 1 up";
    let Some(number) = Number::peek(cursor) else {
        let message = match cursor.peek() {
            None => "The line ends where a count was expected.".to_string(),
            Some(token) => format!("{} is not a count.", quoted(token.text)),
        };
        return Err(cursor.expected(EXPECTED, &message));
    };
    let here = cursor.clone();
    match Number::read(cursor)? {
        Some(Number::Decimal { value, places: 0 }) if (1.0..=LARGEST_COUNT).contains(&value) => Ok(value as u32),
        Some(_) | None => {
            *cursor = here;
            Err(cursor.expected(EXPECTED, &format!("{} is not a count.", number.value())))
        }
    }
}

fn read_rest(cursor: &mut Cursor<'_>) -> Result<String, Problem> {
    let rest = cursor.rest().to_string();
    if rest.is_empty() {
        return Err(cursor.expected("a few words", "The line ends where a text was expected."));
    }
    cursor.finish();
    Ok(rest)
}
