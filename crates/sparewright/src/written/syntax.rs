//! The file as TOML: what can be made out of it, and where its grammar is broken.

use quantity::Problem;
use toml::de::{DeTable, Error};

use super::capital;
use super::section::Section;

/// Hands the file's outermost table to `use_it`, and gives all problems back in the order they stand in the file.
///
/// Where the grammar is broken the rest is still read. What is found wrong on a line with broken grammar follows from
/// that and is not said.
pub(crate) fn read<T>(
    file: &str,
    what: &'static str,
    use_it: impl FnOnce(Section<'_>, &mut Vec<Problem>) -> T,
) -> (T, Vec<Problem>) {
    let (root, errors) = DeTable::parse_recoverable(file);
    let mut problems: Vec<Problem> = Vec::new();
    let result = use_it(
        Section::new(file, root.get_ref(), 0..0, what),
        &mut problems,
    );
    let broken: Vec<Problem> = errors.iter().map(|error| problem(file, error)).collect();
    let lines: Vec<usize> = broken
        .iter()
        .map(|problem| line_of(file, problem.at.start))
        .collect();
    problems.retain(|problem| !lines.contains(&line_of(file, problem.at.start)));
    problems.extend(broken);
    problems.sort_by_key(|problem| (problem.at.start, problem.at.end));
    problems.dedup();
    (result, problems)
}

fn line_of(file: &str, at: usize) -> usize {
    let before = file.len().min(at);
    file.as_bytes()[..before]
        .iter()
        .filter(|byte| **byte == b'\n')
        .count()
}

/// The parser says "what is wrong, expected this"; people are told the same in sentences.
fn problem(file: &str, error: &Error) -> Problem {
    let at = error.span().unwrap_or(0..0);
    let said = error.message().trim_end_matches('.');
    let (wrong, expected) = said.split_once(", expected ").unwrap_or((said, ""));
    let typed = file.get(at.clone()).unwrap_or_default();
    match wrong {
        "string values must be quoted" => Problem::new(
            at.clone(),
            "Text that is not in quotes.",
            "expected a value; text stands in quotes",
        )
        .help(match typed {
            "" => "write \"…\"".to_string(),
            typed => format!("write \"{typed}\""),
        }),
        "duplicate key" => Problem::new(
            at.clone(),
            format!("`{typed}` stands here for the second time."),
            "expected each name once",
        ),
        "invalid basic string" | "invalid literal string" if expected.contains(['"', '\'']) => {
            Problem::new(
                at,
                "This text in quotes does not end.",
                "expected the closing quote",
            )
        }
        wrong => {
            let expected = match expected {
                "" | "nothing" => "expected the line to be written as TOML".to_string(),
                expected => format!("expected {expected}"),
            };
            Problem::new(at, format!("{}.", capital(wrong)), expected)
        }
    }
}
