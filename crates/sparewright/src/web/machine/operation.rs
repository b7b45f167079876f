//! One operation, in large type: what is done, with what, and "done" under the thumb.

use axum::extract::{Path, State};
use axum::{Extension, Form};
use making::{Pieces, Plan};
use maud::{Markup, html};
use pack::{Block, Step};
use record::JobId;
use serde::Deserialize;

use super::place::{self, marks, of_operation};
use crate::web::answer::{Answer, Refused, see, shown};
use crate::web::blocks::{rich, step_body};
use crate::web::frame::{Frame, Tab, page};
use crate::web::guard::Who;
use crate::web::jobs::show::on_paper;
use crate::web::state::{App, Kept};
use crate::worked::{Made, Worked};

/// The first operation that is not done yet; the last where all are.
pub async fn first(State(app): State<App>, Path(id): Path<i64>) -> Answer {
    let kept = app.job(id).await?;
    let worked = app.worked(&kept).await?;
    let plan = &made(&worked)?.plan;
    let marks = marks(&app, kept.id).await?;
    let undone = (0..plan.operations.len()).find(|index| !marks.contains_key(&of_operation(plan, *index)));
    let index = undone.unwrap_or(plan.operations.len().saturating_sub(1));
    Ok(see(&format!("/jobs/{id}/machine/{}", index + 1)))
}

pub async fn show(State(app): State<App>, Path((id, place)): Path<(i64, usize)>) -> Answer {
    let kept = app.job(id).await?;
    let worked = app.worked(&kept).await?;
    let made = made(&worked)?;
    let marks = marks(&app, kept.id).await?;
    let index = place.checked_sub(1).filter(|index| *index < made.plan.operations.len());
    let index = index.ok_or(Refused::missing("operation"))?;
    let done = |index: usize| marks.contains_key(&of_operation(&made.plan, index));
    let body = html! {
        (head(&kept, &worked, &made.plan, index, &done))
        @if let Some(stop) = &made.stop { p.refused { b { "Stop. " } (stop) } }
        (operation(kept.id, made, index))
        (thumb(kept.id, &made.plan, index, done(index)))
    };
    Ok(shown(page(&Frame { title: &worked.title, at: Tab::Records, measure: "machine", ..Frame::default() }, &body)))
}

#[derive(Debug, Deserialize)]
pub struct Done {
    #[serde(default)]
    undo: bool,
}

/// Marks an operation done and goes on to the next; or takes that back.
pub async fn done(
    State(app): State<App>,
    Path((id, place)): Path<(i64, usize)>,
    Extension(who): Extension<Who>,
    Form(Done { undo }): Form<Done>,
) -> Answer {
    let kept = app.job(id).await?;
    let worked = app.worked(&kept).await?;
    let plan = &made(&worked)?.plan;
    let index = place.checked_sub(1).filter(|index| *index < plan.operations.len());
    let key = of_operation(plan, index.ok_or(Refused::missing("operation"))?);
    let value = if undo { "" } else { "done" };
    let step = place::Step { key, seen: None, value: value.into() };
    // whatever stood there, it is done now
    let _ = place::write(&app, id, &who, step).await?;
    let next = if undo { place } else { (place + 1).min(plan.operations.len()) };
    Ok(see(&format!("/jobs/{id}/machine/{next}")))
}

/// The later half of the job, if there is one yet.
pub fn made(worked: &Worked) -> Answer<&Made> {
    worked.made.as_ref().ok_or(Refused::wrong("Nothing is known yet that could be made: measure the part first."))
}

fn head(kept: &Kept, worked: &Worked, plan: &Plan, index: usize, done: &dyn Fn(usize) -> bool) -> Markup {
    html! {
        header.head {
            div { p.sub { a href={ "/jobs/" (kept.id) } { (worked.title) } } (on_paper(kept)) }
            nav.steps-nav aria-label="Operations" {
                @for (at, operation) in plan.operations.iter().enumerate() {
                    a href={ "/jobs/" (kept.id) "/machine/" (at + 1) } .done[done(at)] aria-current=[(at == index).then_some("step")] {
                        span.hidden { "Operation " } (operation.number) @if done(at) { span.hidden { ", done" } }
                    }
                }
            }
        }
    }
}

fn operation(id: JobId, made: &Made, index: usize) -> Markup {
    let plan = &made.plan;
    let operation = &plan.operations[index];
    let steps = made.making.blocks.iter().find_map(|block| match block {
        Block::Steps { steps } => Some(steps),
        _ => None,
    });
    let step: Option<&Step> = steps.and_then(|steps| steps.get(index));
    let divided = plan.indexing.is_some() && operation.step == making::Step::CutTeeth;
    html! {
        article.one {
            h1 { span.num.number { (operation.number) } " " @if let Some(step) = step { (rich(&step.title)) } @else { (operation.title) } }
            @if operation.pieces == Pieces::Fitted { p.soft { "On the pieces that are fitted now, not on the spares." } }
            @if divided { p { a.act href={ "/jobs/" (id) "/spaces" } data-key="i" { "Index tooth by tooth" } } }
            @if let Some(step) = step { (step_body(step)) }
        }
    }
}

fn thumb(id: JobId, plan: &Plan, index: usize, done: bool) -> Markup {
    let last = index + 1 == plan.operations.len();
    html! {
        div.thumb {
            @if index > 0 { a.act.quiet href={ "/jobs/" (id) "/machine/" (index) } data-key="b" { "Back" } }
            @if done {
                p.good { "Done." }
                form method="post" action={ "/jobs/" (id) "/machine/" (index + 1) } {
                    input type="hidden" name="undo" value="true";
                    button.act.quiet type="submit" { "Not done after all" }
                }
                @if last { a.act.grow href={ "/jobs/" (id) "/checking" } data-key=" " { "Check a piece" } }
                @else { a.act.grow href={ "/jobs/" (id) "/machine/" (index + 2) } data-key=" " { "Next" } }
            } @else {
                @if !last { a.act.quiet href={ "/jobs/" (id) "/machine/" (index + 2) } data-key="s" { "Skip" } }
                form.grow method="post" action={ "/jobs/" (id) "/machine/" (index + 1) } {
                    button.act.done type="submit" data-key=" " { "Done" }
                }
            }
        }
    }
}
