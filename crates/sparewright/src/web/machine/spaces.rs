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
use crate::web::answer::{Answer, Refused, see, shown};
use crate::web::frame::{Frame, Tab, page};
use crate::web::guard::Who;
use crate::web::state::App;
use crate::worked::Worked;

#[derive(Debug, Deserialize)]
pub struct Asked {
    piece: Option<u32>,
}

pub async fn show(State(app): State<App>, Path(id): Path<i64>, Query(asked): Query<Asked>) -> Answer {
    let kept = app.job(id).await?;
    let worked = app.worked(&kept).await?;
    let plan = &made(&worked)?.plan;
    let index = plan.indexing.as_ref().ok_or(Refused::wrong("Nothing of this part is divided."))?;
    let marks = marks(&app, kept.id).await?;
    let pieces = u32::try_from(plan.pieces.len()).unwrap_or(1).max(1);
    let at = |piece: u32| marks.get(&of_spaces(index, piece)).and_then(|place| place.parse().ok()).unwrap_or(0u32);
    let unfinished = (1..=pieces).find(|piece| at(*piece) < index.cut);
    let piece = asked.piece.or(unfinished).unwrap_or(pieces).clamp(1, pieces);
    let done = at(piece).min(index.cut);
    let body = html! {
        header.head {
            p.sub { a href={ "/jobs/" (id) "/machine" } { (worked.title) } }
            @if pieces > 1 {
                nav.steps-nav aria-label="Pieces" {
                    @for number in 1..=pieces {
                        a href={ "/jobs/" (id) "/spaces?piece=" (number) } .done[at(number) >= index.cut] aria-current=[(number == piece).then_some("step")] {
                            "Piece " (number) @if at(number) >= index.cut { span.hidden { ", done" } }
                        }
                    }
                }
            }
        }
        (spaces(kept.id, index, piece, done))
        (set_up(index, &worked))
    };
    Ok(shown(page(
        &Frame { title: "Indexing", at: Tab::Records, measure: "machine", script: Some("spaces.js") },
        &body,
    )))
}

/// The space that is cut now, and all moves for the script to go on by.
fn spaces(id: JobId, index: &IndexSheet, piece: u32, done: u32) -> Markup {
    let at = |space: u32| index.lines.iter().find(|line| line.space == space);
    let (here, next) = (at(done + 1), at(done + 2));
    let check =
        |space: u32| index.checks.iter().find(|check| check.space == space).map(|check| check.sentence.as_str());
    html! {
        article.space #space data-job=(id) data-key-of=(of_spaces(index, piece)) data-done=(done) data-cut=(index.cut) {
            h1 { "Piece " (piece) ": space " span #number { (done.saturating_add(1).min(index.cut)) } " of " (index.cut) }
            p.move role="status" aria-live="polite" #move {
                @match here { Some(line) => { (line.sentence(&index.setting, index.ratio)) } None => { "All spaces are cut." } }
            }
            p.pin.num #pin { @if let Some(line) = here { (line.reading(&index.setting)) } }
            p.soft #after { @if let Some(line) = next { (then(index, line)) } }
            p.wrong #stop-here { @if let Some(check) = check(done + 1) { (check) } }
            p.soft #kept role="status" {}
            ol.hidden #moves {
                @for line in &index.lines {
                    li data-then=(then(index, line)) data-move=(line.sentence(&index.setting, index.ratio)) data-pin=(line.reading(&index.setting)) data-check=[check(line.space)] {}
                }
            }
        }
        div.thumb {
            form method="post" action={ "/jobs/" (id) "/spaces" } data-step="back" {
                (hidden(piece, done, done.saturating_sub(1)))
                button.act.quiet type="submit" data-key="b" disabled[done == 0] { "One back" }
            }
            form.grow method="post" action={ "/jobs/" (id) "/spaces" } data-step="on" {
                (hidden(piece, done, done + 1))
                button.act.done type="submit" data-key=" " disabled[done >= index.cut] { "Cut: next space" }
            }
        }
    }
}

/// What comes after.
fn then(index: &IndexSheet, line: &IndexLine) -> String {
    format!("Then {}, {}", line.sentence(&index.setting, index.ratio), line.reading(&index.setting))
}

fn hidden(piece: u32, seen: u32, to: u32) -> Markup {
    html! {
        input type="hidden" name="piece" value=(piece);
        input type="hidden" name="seen" value=(seen);
        input type="hidden" name="to" value=(to);
    }
}

fn set_up(index: &IndexSheet, worked: &Worked) -> Markup {
    html! {
        section {
            h2 { "Set-up " small { (worked.title) } }
            p { b { (index.sentence()) } }
            p { (index.why) }
            @if let Some(caution) = index.caution() { p.wrong { (caution) } }
            p.soft { "Take up the backlash the same way every time: never turn back to a hole, go round again." }
        }
    }
}

#[derive(Debug, Deserialize)]
pub struct Step {
    piece: u32,
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
    let index = made(&worked)?.plan.indexing.as_ref().ok_or(Refused::wrong("Nothing of this part is divided."))?;
    let written = |count: u32| if count == 0 { String::new() } else { count.min(index.cut).to_string() };
    let wanted =
        place::Step { key: of_spaces(index, step.piece), seen: Some(written(step.seen)), value: written(step.to) };
    // where another device has moved on, the page shows where it stands
    let _ = place::write(&app, id, &who, wanted).await?;
    Ok(see(&format!("/jobs/{id}/spaces?piece={}", step.piece)))
}
