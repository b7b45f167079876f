//! Indexing tooth by tooth: the move to the next space, and "done" under the thumb. The place is kept in the store; the page
//! itself holds every move, so that a lost network does not stop the work.

use axum::extract::{Path, Query, State};
use axum::{Extension, Form};
use making::indexing::{IndexLine, IndexSheet};
use maud::{Markup, html};
use record::JobId;
use serde::Deserialize;

use super::operation::made;
use super::place::{self, marks, of_spaces};
use super::rounds::{Rounds, Run};
use crate::web::answer::{Answer, Refused, see, shown};
use crate::web::frame::{Frame, Tab, page};
use crate::web::guard::Who;
use crate::web::state::App;
use crate::worked::Worked;

#[derive(Debug, Deserialize)]
pub struct Asked {
    piece: Option<u32>,
    /// Each blank by itself, though several could be clamped together.
    #[serde(default)]
    alone: bool,
}

pub async fn show(State(app): State<App>, Path(id): Path<i64>, Query(asked): Query<Asked>) -> Answer {
    let kept = app.job(id).await?;
    let worked = app.worked(&kept).await?;
    let rounds = rounds(&worked, asked.alone)?;
    let marks = marks(&app, kept.id).await?;
    let steps = rounds.steps();
    let at = |run: &Run| marks.get(&of_spaces(&rounds, *run)).and_then(|place| place.parse().ok()).unwrap_or(0u32);
    let runs = rounds.runs();
    let asked_for = runs.iter().find(|run| asked.piece.is_some_and(|piece| run.has(piece)));
    let unfinished = runs.iter().find(|run| at(run) < steps);
    let run = *asked_for.or(unfinished).or(runs.last()).ok_or(Refused::missing("piece"))?;
    let done = at(&run).min(steps);
    let alone = if asked.alone { "&alone=true" } else { "" };
    let body = html! {
        header.head {
            p.sub { a href={ "/jobs/" (id) "/machine" } { (worked.title) } }
            @if runs.len() > 1 {
                nav.steps-nav aria-label="Pieces" {
                    @for one in &runs {
                        a href={ "/jobs/" (id) "/spaces?piece=" (one.first) (alone) } .done[at(one) >= steps] aria-current=[(*one == run).then_some("step")] {
                            (one.name()) @if at(one) >= steps { span.hidden { ", done" } }
                        }
                    }
                }
            }
        }
        (spaces(kept.id, &rounds, run, done, asked.alone))
        (set_up(kept.id, &rounds, &worked, run, asked.alone))
    };
    Ok(shown(page(
        &Frame { title: "Indexing", at: Tab::Records, measure: "machine", script: Some("spaces.js") },
        &body,
    )))
}

fn rounds(worked: &Worked, alone: bool) -> Answer<Rounds<'_>> {
    Rounds::of(&made(worked)?.plan, worked.unit, alone).ok_or(Refused::wrong("Nothing of this part is divided."))
}

/// The space that is cut now, and all moves for the script to go on by.
fn spaces(id: JobId, rounds: &Rounds<'_>, run: Run, done: u32, alone: bool) -> Markup {
    let index = rounds.index;
    let (cut, steps) = (index.cut.max(1), rounds.steps());
    let line = |space: u32| index.lines.iter().find(|line| line.space == space);
    let over = done >= steps;
    let round = (done / cut).min(steps / cut - 1);
    let space = if over { cut } else { done % cut + 1 };
    let (here, next) = (line(space).filter(|_| !over), line(space + 1).filter(|_| !over));
    let again = space == 1 && round > 0;
    let check =
        |space: u32| index.checks.iter().find(|check| check.space == space).map(|check| check.sentence.as_str());
    html! {
        article.space #space data-job=(id) data-key-of=(of_spaces(rounds, run)) data-done=(done) data-cut=(cut) data-steps=(steps) {
            h1 { (run.name()) @if run.first != run.last { ", clamped together" } ": space " span #number { (space) } " of " (cut) }
            p.round #round { (round_says(rounds, round)) }
            p.move role="status" aria-live="polite" #move {
                @match here { Some(line) => { @if again { (first_again(rounds)) } @else { (line.sentence(&index.setting, index.ratio)) } } None => { "All spaces are cut." } }
            }
            p.pin.num #pin { @if let Some(line) = here { (line.reading(&index.setting)) } }
            p.soft #after { @if let Some(line) = next { (then(index, line)) } }
            p.wrong #stop-here { @if let Some(check) = check(space).filter(|_| !over && (space > 1 || again)) { (check) } }
            p.soft #kept role="status" {}
            div #over hidden[!over] {
                p { (closing(rounds)) }
                @if let Some((at, operation)) = rounds.operation {
                    p { a.act href={ "/jobs/" (id) "/machine/" (at + 1) } { "Back to operation " (operation.number) } }
                }
            }
            ol.hidden #moves {
                @for line in &index.lines {
                    li data-then=(then(index, line)) data-move=(line.sentence(&index.setting, index.ratio)) data-pin=(line.reading(&index.setting)) data-check=[check(line.space)] {}
                }
            }
            ol.hidden #rounds { @for at in 0..steps / cut { li data-says=(round_says(rounds, at)) data-first=[(at > 0).then(|| first_again(rounds))] {} } }
        }
        div.thumb {
            form method="post" action={ "/jobs/" (id) "/spaces" } data-step="back" {
                (hidden(run, alone, done, done.saturating_sub(1)))
                button.act.quiet type="submit" data-key="b" disabled[done == 0] { "One back" }
            }
            form.grow method="post" action={ "/jobs/" (id) "/spaces" } data-step="on" {
                (hidden(run, alone, done, done + 1))
                button.act.done type="submit" data-key=" " disabled[over] { "Cut: next space" }
            }
        }
    }
}

/// "Round 1 of 3: to 0.1078 in"
fn round_says(rounds: &Rounds<'_>, round: u32) -> String {
    let says = rounds.says.get(round as usize).map(String::as_str).unwrap_or_default();
    match rounds.says.len() {
        0 | 1 => format!("One round, {says}"),
        all => format!("Round {} of {all}: {says}", round + 1),
    }
}

/// The move from the last space of a round to the first of the next.
fn first_again(rounds: &Rounds<'_>) -> String {
    match usual_move(rounds) {
        Some(usual) => format!("{usual}: the first space again"),
        None => "Back past the first space, and up to it again".into(),
    }
}

/// The move that leads from the last space of a whole wheel to its first; none where it is another than between the others.
fn usual_move(rounds: &Rounds<'_>) -> Option<String> {
    let index = rounds.index;
    let usual = index.lines.get(1).filter(|_| rounds.whole() && index.error.is_none())?;
    Some(usual.sentence(&index.setting, index.ratio))
}

/// What shows at the end that no move was missed.
fn closing(rounds: &Rounds<'_>) -> String {
    match usual_move(rounds) {
        Some(usual) => format!(
            "Try it, without cutting: one more move, {usual}, must bring the first space back under the cutter, the pin where it began. If it does not, a move was missed."
        ),
        None => "Try it, without cutting: go back past the first space and come up to it the way it was indexed. The cutter must stand in it freely. If it does not, a move was missed.".into(),
    }
}

/// What comes after.
fn then(index: &IndexSheet, line: &IndexLine) -> String {
    format!("Then {}, {}", line.sentence(&index.setting, index.ratio), line.reading(&index.setting))
}

fn hidden(run: Run, alone: bool, seen: u32, to: u32) -> Markup {
    html! {
        input type="hidden" name="piece" value=(run.first);
        @if alone { input type="hidden" name="alone" value="true"; }
        input type="hidden" name="seen" value=(seen);
        input type="hidden" name="to" value=(to);
    }
}

fn set_up(id: JobId, rounds: &Rounds<'_>, worked: &Worked, run: Run, alone: bool) -> Markup {
    let index = rounds.index;
    html! {
        section {
            h2 { "Set-up " small { (worked.title) } }
            p { b { (index.sentence()) } }
            p { (index.why) }
            @if let Some(caution) = index.caution() { p.wrong { (caution) } }
            p.soft { "Take up the backlash the same way every time: never turn back to a hole, go round again." }
            @if run.first != run.last {
                p { "Where the arbor is too short for all of them, " a href={ "/jobs/" (id) "/spaces?piece=1&alone=true" } { "index each by itself" } "." }
            } @else if alone {
                p { a href={ "/jobs/" (id) "/spaces?piece=1" } { "Index them clamped together" } }
            }
            @if let Some((at, operation)) = rounds.operation {
                h2 { "Before the first round " small { "what operation " (operation.number) " says" } }
                p { "The spaces here are counted from when the depth is known. Those on which it was found are cut already: the cutter passes through them." }
                @for instruction in &operation.instructions { p { (instruction) } }
                p { a href={ "/jobs/" (id) "/machine/" (at + 1) } { "All of operation " (operation.number) } }
            }
        }
    }
}

#[derive(Debug, Deserialize)]
pub struct Step {
    piece: u32,
    #[serde(default)]
    alone: bool,
    seen: u32,
    to: u32,
}

/// The same by a plain form.
pub async fn step(
    State(app): State<App>,
    Path(id): Path<i64>,
    Extension(who): Extension<Who>,
    Form(step): Form<Step>,
) -> Answer {
    let kept = app.job(id).await?;
    let worked = app.worked(&kept).await?;
    let rounds = rounds(&worked, step.alone)?;
    let steps = rounds.steps();
    let run = rounds.runs().into_iter().find(|run| run.has(step.piece)).ok_or(Refused::missing("piece"))?;
    let written = |count: u32| if count == 0 { String::new() } else { count.min(steps).to_string() };
    let wanted = place::Step { key: of_spaces(&rounds, run), seen: Some(written(step.seen)), value: written(step.to) };
    // where another device has moved on, or the same step was sent twice, the page shows where it stands
    let _ = place::write(&app, id, &who, wanted).await?;
    let alone = if step.alone { "&alone=true" } else { "" };
    Ok(see(&format!("/jobs/{id}/spaces?piece={}{alone}", step.piece)))
}
