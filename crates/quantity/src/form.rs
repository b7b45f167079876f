//! The pattern of a line: `span over {count} teeth {reading}`.

use std::ops::Range;

use crate::problem::{Problem, nearest, quoted};

/// Words stand for themselves, `a|b` for either, `[of]` may be left out, and the slots in braces take a value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Form(pub &'static str);

impl Form {
    /// As a person would be told it: `span over N teeth V`.
    pub fn spoken(self) -> String {
        let words: Vec<&str> = self.items().map(spoken).collect();
        words.join(" ")
    }

    pub(crate) fn items(self) -> impl Iterator<Item = &'static str> {
        self.0.split(' ')
    }

    /// The words before the first slot, by which a line is known.
    fn lead(self) -> String {
        let words: Vec<&str> = self.items().take_while(|item| !item.starts_with('{')).map(spoken).collect();
        words.join(" ")
    }
}

/// What a slot stands for in a sentence, or the first of the words that may stand here.
pub(crate) fn spoken(item: &'static str) -> &'static str {
    match item {
        "{count}" => "N",
        "{size}" => "D",
        "{reading}" => "V",
        "{angle}" => "A",
        "{pitch}" => "10 dp",
        "{text}" => "…",
        words => {
            let words = words.trim_matches(['[', ']']);
            words.split('|').next().unwrap_or(words)
        }
    }
}

/// No form begins like this line: says so over the words before the first number, and names the nearest form.
pub(crate) fn unknown_line(text: &str, forms: &[Form]) -> Problem {
    let at = lead_of(text);
    let words = &text[at.clone()];
    let leads: Vec<String> = forms.iter().map(|form| form.lead()).collect();
    let meant =
        nearest(words, leads.iter().map(String::as_str)).and_then(|meant| leads.iter().position(|lead| lead == meant));
    // the beginning of a word is how it is cut short: `dia`
    let begun = |lead: &String| words.len() >= 3 && lead.to_lowercase().starts_with(&words.to_lowercase());
    let meant = meant.or_else(|| leads.iter().position(begun));
    let problem =
        Problem::new(at.clone(), format!("{} is not a reading of this feature.", quoted(words)), "expected a reading");
    match meant {
        Some(index) => problem.help(format!("did you mean: {}", forms[index].spoken())),
        None => {
            let all: Vec<String> = forms.iter().map(|form| form.spoken()).collect();
            problem.help(format!("readings taken here: {}", all.join(" · ")))
        }
    }
}

/// Where the words before the first number stand; a line that begins with a number, all of it.
fn lead_of(text: &str) -> Range<usize> {
    let start = text.len() - text.trim_start().len();
    let end = text.find(|c: char| c.is_ascii_digit() || c == '#').map_or(text, |at| &text[..at]).trim_end().len();
    start..if end > start { end } else { text.trim_end().len() }
}
