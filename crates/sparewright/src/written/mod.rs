//! A TOML file read so that everything in it knows its place, down to the characters inside a string.

mod raw;
mod section;
mod syntax;
mod value;

pub(crate) use section::Section;
pub(crate) use syntax::read;
pub(crate) use value::{Text, Value, or_note};

/// A job or a shop is a page or two; a larger file is something else.
pub const LARGEST_FILE: usize = 1_000_000;

/// The text of a file, or a sentence that says why it is none.
pub fn text_of(bytes: &[u8]) -> Result<&str, String> {
    if bytes.len() > LARGEST_FILE {
        return Err(format!(
            "The file is {:.1} MB long; a job or shop file is a page or two, and more than {} MB is not read.",
            bytes.len() as f64 / 1e6,
            LARGEST_FILE / 1_000_000
        ));
    }
    std::str::from_utf8(bytes).map_err(|error| {
        let line = bytes[..error.valid_up_to()].iter().filter(|byte| **byte == b'\n').count() + 1;
        format!("The file is not text in UTF-8: line {line} holds a byte that is no character. Save it as UTF-8 and try again.")
    })
}

/// A TOML 1.0 basic string.
pub(crate) fn basic_string(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' => out.push_str("\\n"),
            '\t' => out.push_str("\\t"),
            '\r' => out.push_str("\\r"),
            c if c.is_control() => out.push_str(&format!("\\u{:04X}", u32::from(c))),
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| first.to_uppercase().chain(chars).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_no_text_is_refused_in_a_sentence() {
        assert_eq!(text_of(b"title = \"x\""), Ok("title = \"x\""));
        let latin = text_of(b"title = \"x\"\nunits = \"\xe9\"").expect_err("not UTF-8");
        assert!(latin.contains("line 2"), "{latin}");
        let long = text_of(&vec![b' '; LARGEST_FILE + 1]).expect_err("too long");
        assert!(long.contains("1.0 MB"), "{long}");
    }
}
