//! What has changed from one text to another, line by line.

use similar::{Algorithm, ChangeTag, TextDiff};

use crate::merge::DEADLINE;

/// A line of either text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Compared {
    Same(String),
    Gone(String),
    New(String),
}

/// The lines of both texts in order, without their ends.
pub fn compare(old: &str, new: &str) -> Vec<Compared> {
    let diff = TextDiff::configure().algorithm(Algorithm::Patience).timeout(DEADLINE).diff_lines(old, new);
    diff.iter_all_changes()
        .map(|change| {
            let line = change.value().trim_end_matches(['\r', '\n']).to_string();
            match change.tag() {
                ChangeTag::Equal => Compared::Same(line),
                ChangeTag::Delete => Compared::Gone(line),
                ChangeTag::Insert => Compared::New(line),
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_are_the_same_gone_or_new() {
        let lines = compare("a\nb\nc", "a\nB\nc\r\nd\n");
        let told: Vec<String> = lines
            .iter()
            .map(|line| match line {
                Compared::Same(line) => format!(" {line}"),
                Compared::Gone(line) => format!("-{line}"),
                Compared::New(line) => format!("+{line}"),
            })
            .collect();
        assert_eq!(told, [" a", "-b", "-c", "+B", "+c", "+d"]);
    }
}
