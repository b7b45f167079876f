//! The file as TOML: what can be made out of it, and where its grammar is broken.

use std::collections::BTreeSet;

use quantity::{Problem, quoted};
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
    let result = use_it(Section::new(file, root.get_ref(), 0..0, what), &mut problems);
    let broken: Vec<Problem> = errors.iter().map(|error| problem(file, error)).collect();
    let lines = Lines::of(file);
    let broken_lines: BTreeSet<usize> = broken.iter().map(|problem| lines.holding(problem.at.start)).collect();
    problems.retain(|problem| !broken_lines.contains(&lines.holding(problem.at.start)));
    problems.extend(broken);
    problems.sort_by_key(|problem| (problem.at.start, problem.at.end));
    problems.dedup();
    (result, problems)
}

/// Where each line of a file begins.
struct Lines(Vec<usize>);

impl Lines {
    fn of(file: &str) -> Lines {
        Lines(file.bytes().enumerate().filter(|(_, byte)| *byte == b'\n').map(|(at, _)| at + 1).collect())
    }

    /// The line that holds a place, from 0.
    fn holding(&self, at: usize) -> usize {
        self.0.partition_point(|start| *start <= at)
    }
}

/// The parser says "what is wrong, expected this"; people are told the same in sentences.
fn problem(file: &str, error: &Error) -> Problem {
    let at = error.span().unwrap_or(0..0);
    let said = error.message().trim_end_matches('.');
    let (wrong, expected) = said.split_once(", expected ").unwrap_or((said, ""));
    let typed = file.get(at.clone()).unwrap_or_default();
    match wrong {
        "string values must be quoted" => {
            Problem::new(at.clone(), "Text that is not in quotes.", "expected a value; text stands in quotes").help(
                match typed {
                    "" => "write \"…\"".to_string(),
                    typed => format!("write \"{typed}\""),
                },
            )
        }
        "duplicate key" => Problem::new(
            at.clone(),
            format!("{} stands here for the second time.", quoted(typed)),
            "expected each name once",
        ),
        "invalid basic string" | "invalid literal string" if expected.contains(['"', '\'']) => {
            Problem::new(at, "This text in quotes does not end.", "expected the closing quote")
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
