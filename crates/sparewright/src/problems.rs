//! What is wrong with a text, for people: the place in its line, what was understood, what was expected, what to type.

use std::fmt;
use std::sync::Arc;

use miette::{GraphicalReportHandler, GraphicalTheme, LabeledSpan, NamedSource, SourceCode, SourceSpan};
use quantity::Problem;

/// How a list of problems is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Dress {
    /// With colours and lines, on a terminal.
    Fancy,
    /// Characters alone, for a file or a pipe, or where colour is not wanted.
    Plain,
}

impl Dress {
    /// For what is written to standard error. `NO_COLOR`, if it is set to anything, asks for plain (no-color.org).
    pub fn of_stderr() -> Dress {
        use std::io::IsTerminal;
        let no_colour = std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
        match std::io::stderr().is_terminal() && !no_colour {
            true => Dress::Fancy,
            false => Dress::Plain,
        }
    }
}

/// The problems of a text, one below another, and how many they are. `name` is what the text is called, mostly its file.
pub fn render(name: &str, text: &str, problems: &[Problem], dress: Dress) -> String {
    let handler = match dress {
        Dress::Fancy => GraphicalReportHandler::new_themed(GraphicalTheme::unicode()),
        Dress::Plain => GraphicalReportHandler::new_themed(GraphicalTheme::none()),
    };
    let handler = handler.with_width(WIDTH).with_context_lines(1).without_cause_chain();
    let text = Arc::new(text.to_string());
    let mut out = String::new();
    for problem in problems.iter().take(MOST_SHOWN) {
        let report = Report::new(name, &text, problem);
        if !out.is_empty() {
            out.push('\n');
        }
        if handler.render_report(&mut out, &report).is_err() {
            // drawing failed, saying must not
            out.push_str(&format!("{name}: {}\n", problem.message));
        }
    }
    let count = match problems.len() {
        1 => "one problem".to_string(),
        many if many > MOST_SHOWN => {
            format!("{many} problems, the first {MOST_SHOWN} of them above")
        }
        many => format!("{many} problems"),
    };
    out.push_str(&format!("{name}: {count}\n"));
    out
}

/// Columns that every terminal has.
const WIDTH: usize = 100;
/// Nobody reads more before mending the first; a file of something else altogether has thousands.
const MOST_SHOWN: usize = 50;

struct Report<'a> {
    source: NamedSource<Arc<String>>,
    problem: &'a Problem,
    at: SourceSpan,
}

impl<'a> Report<'a> {
    fn new(name: &str, text: &Arc<String>, problem: &'a Problem) -> Report<'a> {
        let start = boundary(text, problem.at.start);
        let end = boundary(text, problem.at.end).max(start);
        Report { source: NamedSource::new(name, Arc::clone(text)), problem, at: (start, end - start).into() }
    }
}

/// The nearest whole character at or before a place.
fn boundary(text: &str, at: usize) -> usize {
    let mut at = at.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

impl fmt::Debug for Report<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Debug::fmt(self.problem, f)
    }
}

impl fmt::Display for Report<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.problem.message)
    }
}

impl std::error::Error for Report<'_> {}

impl miette::Diagnostic for Report<'_> {
    fn severity(&self) -> Option<miette::Severity> {
        Some(miette::Severity::Error)
    }

    fn help<'b>(&'b self) -> Option<Box<dyn fmt::Display + 'b>> {
        self.problem.help.as_ref().map(|help| Box::new(help) as Box<dyn fmt::Display>)
    }

    fn source_code(&self) -> Option<&dyn SourceCode> {
        Some(&self.source)
    }

    fn labels(&self) -> Option<Box<dyn Iterator<Item = LabeledSpan> + '_>> {
        let label = LabeledSpan::new_primary_with_span(Some(self.problem.expected.clone()), self.at);
        Some(Box::new(std::iter::once(label)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "units = \"in\"\ntitle = \"größe\" x\n";

    fn problem(at: std::ops::Range<usize>) -> Problem {
        Problem::new(at, "This is wrong.", "expected right").help("write right")
    }

    #[test]
    fn all_that_a_problem_says_is_shown_and_its_place() {
        let shown = render("job.toml", TEXT, &[problem(22..29)], Dress::Plain);
        for said in [
            "job.toml:2:10",
            "This is wrong.",
            "expected right",
            "help: write right",
            "title = \"größe\" x",
            "^^|^^",
            "job.toml: one problem",
        ] {
            assert!(shown.contains(said), "{said} is missing in\n{shown}");
        }
    }

    #[test]
    fn plain_is_without_colours() {
        let shown = |dress| render("job.toml", TEXT, &[problem(0..5)], dress);
        assert!(!shown(Dress::Plain).contains('\u{1b}'));
        assert!(shown(Dress::Fancy).contains('\u{1b}'));
    }

    /// A place that splits a character, or lies outside, is a mistake of ours; the message must come through.
    #[test]
    fn a_wrong_place_does_not_lose_the_message() {
        for at in [24..25, 1_000..2_000, 5..1_000] {
            assert!(render("job.toml", TEXT, &[problem(at)], Dress::Plain).contains("This is wrong."));
        }
    }

    #[test]
    fn only_the_first_of_very_many_are_shown() {
        let shown = render("job.toml", TEXT, &vec![problem(0..5); 200], Dress::Plain);
        assert_eq!(shown.matches("This is wrong.").count(), MOST_SHOWN);
        assert!(shown.contains("200 problems"));
    }
}
