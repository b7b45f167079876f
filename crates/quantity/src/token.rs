//! A reading line cut into words, numbers and signs, each with its place.

use std::ops::Range;

#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Token<'a> {
    pub text: &'a str,
    pub at: Range<usize>,
}

/// The signs that stand alone even without a space around them.
const SIGNS: &[char] = &[',', '(', ')', '"', '″', '\'', '′', '°', '±', '='];

/// What is typed where the keyboard has no `±`.
const PLUS_MINUS: &[&str] = &["+/-", "+-", "+−"];

/// Cuts a line: at white space, around signs, and between a number and the unit written against it.
pub fn tokens(line: &str) -> Vec<Token<'_>> {
    let mut out = Vec::new();
    let mut rest = 0;
    while let Some(first) = line[rest..].chars().next() {
        let length = if first.is_whitespace() {
            rest += first.len_utf8();
            continue;
        } else if let Some(sign) = PLUS_MINUS.iter().find(|sign| line[rest..].starts_with(**sign)) {
            sign.len()
        } else if SIGNS.contains(&first) {
            first.len_utf8()
        } else {
            number_length(&line[rest..]).unwrap_or_else(|| word_length(&line[rest..]))
        };
        out.push(Token { text: &line[rest..rest + length], at: rest..rest + length });
        rest += length;
    }
    out
}

/// `12`, `.875`, `2.301`, `3/8`, `1-3/8`, `14½`, `-0.25`: as long as it goes on being a number.
fn number_length(text: &str) -> Option<usize> {
    let signed = text.strip_prefix(['-', '−']).unwrap_or(text);
    let figure = |c: char| c.is_ascii_digit() || is_vulgar(c);
    let begins = signed.starts_with(figure)
        || signed.strip_prefix('.').is_some_and(|after| after.starts_with(|c: char| c.is_ascii_digit()));
    if !begins {
        return None;
    }
    let mut length = text.len() - signed.len();
    let mut chars = signed.chars().peekable();
    while let Some(c) = chars.next() {
        let joins = (c == '/' || c == '-') && chars.peek().is_some_and(char::is_ascii_digit);
        if !(c.is_ascii_digit() || c == '.' || is_vulgar(c) || joins) {
            break;
        }
        length += c.len_utf8();
    }
    Some(length)
}

fn word_length(text: &str) -> usize {
    text.find(|c: char| c.is_whitespace() || SIGNS.contains(&c)).unwrap_or(text.len())
}

pub(crate) fn is_vulgar(c: char) -> bool {
    vulgar(c).is_some()
}

/// The fractions that have a character of their own.
pub(crate) fn vulgar(c: char) -> Option<(u32, u32)> {
    match c {
        '½' => Some((1, 2)),
        '¼' => Some((1, 4)),
        '¾' => Some((3, 4)),
        '⅛' => Some((1, 8)),
        '⅜' => Some((3, 8)),
        '⅝' => Some((5, 8)),
        '⅞' => Some((7, 8)),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cuts_between_number_and_unit_and_around_signs() {
        let texts = |line| tokens(line).into_iter().map(|t| t.text).collect::<Vec<_>>();
        assert_eq!(
            texts("span over 4 teeth 1.0843in, micrometer"),
            ["span", "over", "4", "teeth", "1.0843", "in", ",", "micrometer"]
        );
        assert_eq!(texts("1-3/8\" ±.002"), ["1-3/8", "\"", "±", ".002"]);
        assert_eq!(texts("#40 (rusty)"), ["#40", "(", "rusty", ")"]);
        assert_eq!(texts("14½° +/- 0.5"), ["14½", "°", "+/-", "0.5"]);
        assert_eq!(texts("45thou"), ["45", "thou"]);
    }
}
