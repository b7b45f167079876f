//! What is being typed, as it is understood.

use axum::Form;
use axum::extract::{Path, State};
use maud::{Markup, html};
use quantity::Problem;
use serde::Deserialize;

use super::typed::{onward, typed, understood};
use super::{Target, sentence};
use crate::web::answer::{Answer, shown};
use crate::web::state::App;
use crate::worked::Worked;

#[derive(Debug, Deserialize)]
pub struct Typing {
    at: Target,
    #[serde(default)]
    text: String,
}

pub async fn show(State(app): State<App>, Path(id): Path<i64>, Form(typing): Form<Typing>) -> Answer {
    let kept = app.job(id).await?;
    let worked = app.worked(&kept).await?;
    let chosen = worked.entries.iter().position(|entry| entry.at == typing.at.0).unwrap_or(0);
    Ok(shown(echo(&worked, chosen, &typing.text, &app.shop()?.instruments)))
}

/// How a line is understood, where it is wrong, and how it may go on.
pub fn echo(worked: &Worked, chosen: usize, text: &str, instruments: &[quantity::Instrument]) -> Markup {
    let Some(found) = typed(worked, chosen, text, instruments) else { return html! {} };
    let begun = text.trim().is_empty();
    let ways = onward(found.entry, &found.text, found.read.is_ok(), instruments);
    html! {
        @match &found.read {
            _ if begun => {}
            Ok(line) => {
                p.understood { @if found.moved { b { "of " (found.entry.name) } ": " } span.num { (understood(line, worked.unit, instruments)) } }
            }
            Err(problems) => {
                p.num.typed { (marked(&found.text, problems)) }
                @for problem in problems { p.wrong { (said(problem, !ways.is_empty())) } }
            }
        }
        @if let Some(point) = with_point(&found.text).filter(|_| found.read.is_err()) {
            p { button.way.num type="button" data-fill=(point) { (point) } }
        }
        @if !ways.is_empty() {
            p.ways { @for way in &ways { button.way.num type="button" data-fill=(way.fill) { (way.says) } " " } }
        }
    }
}

/// The text with points where it has commas inside numbers; none where it has none.
pub fn with_point(text: &str) -> Option<String> {
    let bytes = text.as_bytes();
    let digit = |at: Option<usize>| at.and_then(|at| bytes.get(at)).is_some_and(u8::is_ascii_digit);
    let inside = |at: usize| digit(at.checked_sub(1)) && digit(Some(at + 1));
    let changed: String = text.char_indices().map(|(at, c)| if c == ',' && inside(at) { '.' } else { c }).collect();
    (changed != text).then_some(changed)
}

/// What is wrong, as one or two sentences. A list of all forms is left out where they stand below anyway.
fn said(problem: &Problem, ways_shown: bool) -> String {
    let help = problem.help.as_deref().filter(|help| !(ways_shown && help.starts_with("readings taken here")));
    format!("{} {}", problem.message, sentence(help.unwrap_or(&problem.expected)))
}

/// A text with the characters marked that are wrong.
pub fn marked(text: &str, problems: &[Problem]) -> Markup {
    let mut places: Vec<(usize, usize)> = problems
        .iter()
        .map(|problem| (floor(text, problem.at.start), ceil(text, problem.at.end.max(problem.at.start + 1))))
        .collect();
    places.sort_unstable();
    let mut pieces: Vec<(bool, &str)> = Vec::new();
    let mut here = 0;
    for (start, end) in places {
        let start = start.max(here);
        if start > here {
            pieces.push((false, &text[here..start]));
        }
        if end > start {
            pieces.push((true, &text[start..end]));
        }
        here = here.max(end);
    }
    let rest = &text[here.min(text.len())..];
    // where the line ends too early there is nothing to mark but the place itself
    let cut_short = problems.iter().any(|problem| problem.at.start >= text.len());
    html! {
        @for (wrong, piece) in pieces { @if wrong { u { (piece) } } @else { (piece) } }
        (rest)
        @if cut_short { u.gap { " …" } }
    }
}

fn floor(text: &str, at: usize) -> usize {
    let mut at = at.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

fn ceil(text: &str, at: usize) -> usize {
    let mut at = at.min(text.len());
    while !text.is_char_boundary(at) {
        at += 1;
    }
    at
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_comma_inside_a_number_is_a_point() {
        assert_eq!(with_point("tip radius 2,301, caliper").as_deref(), Some("tip radius 2.301, caliper"));
        assert_eq!(with_point("diameter goes 0.8750, not 0.8760"), None);
    }

    #[test]
    fn the_characters_that_are_wrong_are_marked() {
        let wrong = |at| Problem::new(at, "Wrong.", "expected right");
        let mark = |text, at| marked(text, &[wrong(at)]).into_string();
        assert_eq!(mark("tip radius 2.3im", 11..16), "tip radius <u>2.3im</u>");
        assert_eq!(mark("½ <b>", 3..6), "½ <u>&lt;b&gt;</u>");
        assert_eq!(mark("½x", 1..2), "<u>½</u>x");
        assert!(mark("ends", 4..4).ends_with("<u class=\"gap\"> …</u>"));
        assert_eq!(marked("abc", &[wrong(0..2), wrong(1..3)]).into_string(), "<u>ab</u><u>c</u>");
    }
}
