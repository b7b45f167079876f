//! From a place inside a string's value to the place in the file, across quotes and escapes.

use std::ops::Range;

/// Where each character of a TOML string's value stands in the file.
#[derive(Debug)]
pub(crate) struct Places {
    /// For each character of the value, its first byte there and its bytes in the file.
    characters: Vec<(usize, Range<usize>)>,
    /// Where the value ends, in the value and in the file.
    end: (usize, usize),
}

impl Places {
    /// `at` is the place of the whole string in the file, quotes and all. `None` where value and file do not agree,
    /// as in a string that has no end.
    pub(crate) fn of(file: &str, at: Range<usize>, value: &str) -> Option<Places> {
        let raw = file.get(at.clone())?;
        let quotes = ["\"\"\"", "'''", "\"", "'"]
            .into_iter()
            .find(|quotes| raw.len() >= 2 * quotes.len() && raw.starts_with(quotes) && raw.ends_with(quotes))
            .unwrap_or("");
        let mut inside = &raw[quotes.len()..raw.len() - quotes.len()];
        let mut start = at.start + quotes.len();
        if quotes.len() == 3 {
            // a line end right behind the opening quotes does not count
            let skipped = ["\r\n", "\n"].into_iter().find(|end| inside.starts_with(end)).map_or(0, str::len);
            inside = &inside[skipped..];
            start += skipped;
        }
        let mut characters = Vec::new();
        let (mut here, mut in_value) = (0, 0);
        while here < inside.len() {
            let (character, length) = match quotes.starts_with('"') && inside[here..].starts_with('\\') {
                true => escaped(&inside[here..])?,
                false => inside[here..].chars().next().map(|c| (Some(c), c.len_utf8()))?,
            };
            if let Some(character) = character {
                characters.push((in_value, start + here..start + here + length));
                in_value += character.len_utf8();
            }
            here += length;
        }
        (in_value == value.len()).then_some(Places { characters, end: (in_value, start + here) })
    }

    /// The place in the file of a place in the value.
    pub(crate) fn place(&self, within: Range<usize>) -> Range<usize> {
        let index = self.characters.partition_point(|(offset, _)| *offset < within.start);
        let start = self.characters.get(index).map_or(self.end.1, |(_, raw)| raw.start);
        if within.end <= within.start {
            return start..start;
        }
        let beyond = self.characters.partition_point(|(offset, _)| *offset < within.end);
        let end = self.characters[..beyond].last().map_or(start, |(_, raw)| raw.end);
        start..end.max(start)
    }

    pub(crate) fn whole(&self) -> Range<usize> {
        self.place(0..self.end.0)
    }
}

/// The character an escape stands for, none for a line end that is escaped, and how long it is in the file.
fn escaped(text: &str) -> Option<(Option<char>, usize)> {
    let code = |digits: usize| {
        let hex = text.get(2..2 + digits)?;
        let character = u32::from_str_radix(hex, 16).ok().and_then(char::from_u32)?;
        Some((Some(character), 2 + digits))
    };
    match text.chars().nth(1)? {
        'x' => code(2),
        'u' => code(4),
        'U' => code(8),
        'b' | 't' | 'n' | 'f' | 'r' | 'e' | '"' | '\\' => Some((Some('\\'), 2)),
        ' ' | '\t' | '\r' | '\n' => {
            let rest = text[1..].trim_start_matches([' ', '\t', '\r', '\n']);
            Some((None, text.len() - rest.len()))
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The character at each place of the value, found again in the file.
    fn found(file: &str, value: &str, sought: &str) -> Option<String> {
        let places = Places::of(file, 0..file.len(), value)?;
        let at = value.find(sought).expect("it is in the value");
        Some(file[places.place(at..at + sought.len())].to_string())
    }

    #[test]
    fn places_are_found_across_quotes_and_escapes() {
        for (file, value, sought, raw) in [
            (r#""a bad line""#, "a bad line", "bad", "bad"),
            (r#""2.301\" bad""#, "2.301\" bad", "bad", "bad"),
            (r#""2.301\" bad""#, "2.301\" bad", "\" b", r#"\" b"#),
            (r#""\u00bd bad""#, "½ bad", "bad", "bad"),
            (r#""\u00bd bad""#, "½ bad", "½", r"\u00bd"),
            (r#""\U0001F527 bad""#, "🔧 bad", "bad", "bad"),
            (r#""\x41 bad""#, "A bad", "bad", "bad"),
            (r"'2.301\ bad'", r"2.301\ bad", "bad", "bad"),
            ("'''\r\na\nbad'''", "a\nbad", "bad", "bad"),
            ("\"\"\"\nthe \\\n   bad\"\"\"", "the bad", "bad", "bad"),
            ("\"\"\"\nthe \\\n   bad\"\"\"", "the bad", "e b", "e \\\n   b"),
            ("bare", "bare", "are", "are"),
            ("\"\"", "", "", ""),
        ] {
            assert_eq!(found(file, value, sought).as_deref(), Some(raw), "{file}");
        }
    }

    #[test]
    fn a_string_that_is_not_understood_has_no_places_inside() {
        assert!(Places::of("\"ab", 0..3, "something else").is_none());
    }
}
