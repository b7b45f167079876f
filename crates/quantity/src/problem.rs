//! A problem points at a place in what a person wrote, says what was expected and what to type instead.

use std::ops::Range;

/// One mistake in a text. `at` is a byte range of that text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    pub at: Range<usize>,
    /// What was understood and why it is refused, as a sentence.
    pub message: String,
    /// What was expected at this very place, in a few words that begin so: `expected a size`.
    pub expected: String,
    /// What to type instead, where something near is known.
    pub help: Option<String>,
}

impl Problem {
    pub fn new(at: Range<usize>, message: impl Into<String>, expected: impl Into<String>) -> Problem {
        Problem { at, message: message.into(), expected: expected.into(), help: None }
    }

    #[must_use]
    pub fn help(mut self, help: impl Into<String>) -> Problem {
        self.help = Some(help.into());
        self
    }

    /// The same problem in a text where this one stands `by` bytes further on.
    #[must_use]
    pub fn shifted(mut self, by: usize) -> Problem {
        self.at = self.at.start + by..self.at.end + by;
        self
    }
}

/// What was typed, quoted as a message quotes it: on one line, and no more of it than is needed to know it again.
pub fn quoted(typed: &str) -> String {
    let mut words = typed.split_whitespace().collect::<Vec<_>>().join(" ");
    if let Some((end, _)) = words.char_indices().nth(LONGEST_QUOTE) {
        words.truncate(end);
        words.push('…');
    }
    words.retain(|c| !c.is_control());
    format!("`{words}`")
}

/// Characters of a quote; the rest stands in the text that the problem points into.
const LONGEST_QUOTE: usize = 60;

/// The word of `known` nearest to what was typed, if it is near enough to have been meant.
pub fn nearest<'a>(typed: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    // comparing a pasted page with every word would take its square in memory
    if typed.len() > LONGEST_WORD {
        return None;
    }
    let typed = typed.to_lowercase();
    let length = typed.chars().count();
    known
        .into_iter()
        // as many slips as one is longer than the other are there at the least
        .filter(|word| word.chars().count().abs_diff(length) <= slips_in(word))
        .map(|word| (strsim::damerau_levenshtein(&typed, &word.to_lowercase()), word))
        .filter(|(distance, word)| *distance <= slips_in(word))
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, word)| word)
}

/// How many slips of the finger a word of this length is still known through: one up to four letters, two up to seven.
fn slips_in(word: &str) -> usize {
    ((word.chars().count() + 1) / 3).max(1)
}

/// Bytes of what can be a misspelt word or short phrase.
const LONGEST_WORD: usize = 80;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_quote_is_short_and_on_one_line() {
        assert_eq!(quoted("2.3im"), "`2.3im`");
        assert_eq!(quoted("a\n  b\u{7}"), "`a b`");
        assert_eq!(quoted(&"ö".repeat(200)), format!("`{}…`", "ö".repeat(60)));
    }

    #[test]
    fn a_slip_of_the_finger_is_taken_for_what_was_meant() {
        let known = ["caliper", "micrometer", "rule"];
        assert_eq!(nearest("calliper", known), Some("caliper"));
        assert_eq!(nearest("micormeter", known), Some("micrometer"));
        assert_eq!(nearest("laser", known), None);
        assert_eq!(nearest("many", ["mate"]), None);
    }
}
