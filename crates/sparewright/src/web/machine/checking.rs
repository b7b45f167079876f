//! Checking a piece at the machine: one line for each size, the verdict as soon as it is typed.

use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::IntoResponse;
use axum::{Extension, Form};
use checking::Decision;
use maud::{Markup, html};
use quantity::Problem;
use serde::Deserialize;

use super::operation::made;
use crate::job::edit::Edit;
use crate::web::answer::{Answer, Refused, aside, see, shown};
use crate::web::frame::{Frame, Tab, page};
use crate::web::guard::Who;
use crate::web::jobs::changed;
use crate::web::jobs::echo::marked;
use crate::web::jobs::pictures::Attached;
use crate::web::state::{App, Kept};
use crate::worked::{Piece, ToMeasure, Verdict, Worked, judged};

#[derive(Debug, Deserialize)]
pub struct Asked {
    piece: Option<u32>,
}

pub async fn show(State(app): State<App>, Path(id): Path<i64>, Query(asked): Query<Asked>) -> Answer {
    let kept = app.job(id).await?;
    let worked = app.worked(&kept).await?;
    let piece = chosen(&worked, asked.piece)?;
    Ok(shown(sheet(&kept, &worked, piece, None)))
}

/// The piece that was asked for, or the first that is not measured throughout.
fn chosen(worked: &Worked, asked: Option<u32>) -> Answer<&Piece> {
    made(worked)?;
    let unfinished = || worked.pieces.iter().find(|piece| !piece.unread.is_empty()).or(worked.pieces.first());
    let found = match asked {
        Some(number) => worked.pieces.iter().find(|piece| piece.number == number),
        None => unfinished(),
    };
    found.ok_or(Refused::missing("piece"))
}

#[derive(Debug, Deserialize)]
pub struct Typed {
    piece: u32,
    feature: String,
    /// The figure, or the whole line.
    text: String,
    /// What stands before and behind the figure: "span over 4 teeth", ", micrometer".
    #[serde(default)]
    lead: String,
    #[serde(default)]
    tail: String,
}

impl Typed {
    /// The reading as it is written in the job.
    fn line(&self) -> String {
        let (text, lead) = (self.text.trim(), self.lead.trim());
        if text.starts_with(lead) {
            return text.to_string();
        }
        // another instrument than the one proposed is named behind a comma
        let tail = if text.contains(',') { "" } else { self.tail.trim_end() };
        format!("{lead} {text}{tail}")
    }
}

/// What a reading that is being typed would prove.
pub async fn echo(State(app): State<App>, Path(id): Path<i64>, Form(typed): Form<Typed>) -> Answer {
    if typed.text.trim().is_empty() {
        return Ok(shown(html! {}));
    }
    let kept = app.job(id).await?;
    let verdict = judge(&app, &kept, &typed).await?;
    Ok(shown(told(&typed.line(), &verdict)))
}

/// Writes a reading of a piece down, with its verdict; what is not understood stays in its line.
pub async fn add(
    State(app): State<App>,
    Path(id): Path<i64>,
    Extension(who): Extension<Who>,
    Form(typed): Form<Typed>,
) -> Answer {
    let kept = app.job(id).await?;
    let verdict = judge(&app, &kept, &typed).await?;
    if verdict.is_err() {
        let worked = app.worked(&kept).await?;
        let piece = chosen(&worked, Some(typed.piece))?;
        let page = sheet(&kept, &worked, piece, Some((&typed, &verdict)));
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, shown(page)).into_response());
    }
    let text = typed.line();
    let Typed { piece, feature, .. } = typed;
    changed(&app, id, &who, Edit::AddPieceLine { piece, feature, text }).await?;
    Ok(see(&format!("/jobs/{id}/checking?piece={piece}")))
}

#[derive(Debug, Deserialize)]
pub struct Gone {
    piece: u32,
    feature: String,
    was: String,
}

pub async fn remove(
    State(app): State<App>,
    Path(id): Path<i64>,
    Extension(who): Extension<Who>,
    Form(Gone { piece, feature, was }): Form<Gone>,
) -> Answer {
    changed(&app, id, &who, Edit::RemovePieceLine { piece, feature, was }).await?;
    Ok(see(&format!("/jobs/{id}/checking?piece={piece}")))
}

#[derive(Debug, Deserialize)]
pub struct Went {
    piece: u32,
    went: String,
    #[serde(default)]
    to: String,
}

/// Where a piece went.
pub async fn went(
    State(app): State<App>,
    Path(id): Path<i64>,
    Extension(who): Extension<Who>,
    Form(Went { piece, went, to }): Form<Went>,
) -> Answer {
    for (field, text) in [("went", went.trim()), ("to", to.trim())] {
        let value = (!text.is_empty()).then(|| text.into());
        changed(&app, id, &who, Edit::SetPieceField { piece, field: field.into(), value }).await?;
    }
    Ok(see(&format!("/jobs/{id}/checking?piece={piece}")))
}

async fn judge(app: &App, kept: &Kept, typed: &Typed) -> Answer<Result<Verdict, Vec<Problem>>> {
    let turn = app.solving().await?;
    let (app, kept, shop, before) = (app.clone(), kept.clone(), app.shop()?, app.memory(kept.id));
    let (feature, text) = (typed.feature.clone(), typed.line());
    let judge = move |pictures: &Attached<'_>| judged(&kept.text, &shop, pictures, &feature, &text, &before);
    let done = aside(move || app.with_pictures(kept.id, judge)).await;
    drop(turn);
    done
}

fn sheet(
    kept: &Kept,
    worked: &Worked,
    piece: &Piece,
    refused: Option<(&Typed, &Result<Verdict, Vec<Problem>>)>,
) -> Markup {
    let id = kept.id;
    let body = html! {
        header.head {
            p.sub { a href={ "/jobs/" (id) } { (worked.title) } }
            @if worked.pieces.len() > 1 {
                nav.steps-nav aria-label="Pieces" {
                    @for one in worked.pieces.iter().take(MOST_PIECES) {
                        a href={ "/jobs/" (id) "/checking?piece=" (one.number) } aria-current=[(one.number == piece.number).then_some("step")] { "Piece " (one.number) }
                    }
                }
            }
        }
        h1 { "Piece " (piece.number) " " span.(tone(piece)) { (piece.standing.words()) } }
        p.soft { (crate::sheets::findings::capital(&piece.history)) "." }
        @for warning in &piece.warnings { p.wrong { (warning) } }
        @for (index, one) in worked.to_measure.iter().enumerate() {
            (size(kept, worked, piece, one, index, refused))
        }
        @if !piece.open.is_empty() { p { "Left open, done when it is fitted: " (piece.open.join(", ")) "." } }
        (where_to(kept, piece))
    };
    page(&Frame { title: "Checking", at: Tab::Records, measure: "machine", ..Frame::default() }, &body)
}

/// More tabs than this are no help.
const MOST_PIECES: usize = 24;

fn tone(piece: &Piece) -> &'static str {
    match piece.standing {
        crate::checked::Standing::Passes => "good",
        crate::checked::Standing::Fails => "wrong",
        crate::checked::Standing::Unfinished | crate::checked::Standing::InDoubt => "soft",
    }
}

fn size(
    kept: &Kept,
    worked: &Worked,
    piece: &Piece,
    one: &ToMeasure,
    index: usize,
    refused: Option<(&Typed, &Result<Verdict, Vec<Problem>>)>,
) -> Markup {
    let id = kept.id;
    let place = format!("size-{index}");
    let feature = if one.feature == crate::checked::THE_PART {
        worked.entries.first().map_or("", |entry| entry.name.as_str())
    } else {
        one.feature.as_str()
    };
    let verdict = piece.verdicts.iter().find(|verdict| verdict.feature == one.feature && verdict.name == one.name);
    let refused = refused.filter(|(typed, _)| typed.feature == feature && typed.line().starts_with(one.lead.trim()));
    html! {
        section.size #(place) {
            h2 { (crate::sheets::findings::capital(&one.name)) " " small { (one.feature) } }
            p { span.num { (one.limits) } ", " (one.with) "." @if !one.how.is_empty() { " " span.soft { (one.how) } } }
            @if let Some(cannot) = &one.cannot { p.wrong { (cannot) } }
            @if let Some(verdict) = verdict { (proved(verdict)) }
            @for (feature, line) in piece.lines.iter().filter(|(of, line)| of == feature && line.starts_with(one.lead.trim())) {
                form.taken method="post" action={ "/jobs/" (id) "/checking/remove" } {
                    input type="hidden" name="piece" value=(piece.number);
                    input type="hidden" name="feature" value=(feature);
                    input type="hidden" name="was" value=(line);
                    span.num.grow { (line) }
                    button.act.quiet type="submit" { "Take it out" span.hidden { ": " (line) } }
                }
            }
            form method="post" action={ "/jobs/" (id) "/checking" } #{ (place) "-form" } {
                input type="hidden" name="piece" value=(piece.number);
                input type="hidden" name="feature" value=(feature);
                input type="hidden" name="lead" value=(one.lead);
                input type="hidden" name="tail" value=(one.tail);
                div.row.figure-row {
                    label.num for={ (place) "-text" } { (one.lead.trim()) span.hidden { " of the " (one.feature) } }
                    input.num id={ (place) "-text" } name="text" value=(refused.map_or("", |(typed, _)| typed.text.as_str()))
                        autocomplete="off" autocapitalize="off" spellcheck="false" enterkeyhint="done" aria-describedby={ (place) "-echo" }
                        hx-post={ "/jobs/" (id) "/checking/echo" } hx-trigger="input changed delay:250ms" hx-target={ "#" (place) "-echo" } hx-include={ "#" (place) "-form" } hx-sync="this:replace";
                    span.num { (one.tail) }
                    button.act type="submit" { "Write" }
                }
                div.echo id={ (place) "-echo" } role="status" aria-live="polite" {
                    @if let Some((typed, verdict)) = refused { (told(&typed.line(), verdict)) }
                }
            }
        }
    }
}

fn told(text: &str, verdict: &Result<Verdict, Vec<Problem>>) -> Markup {
    match verdict {
        Ok(verdict) => proved(verdict),
        Err(problems) => html! {
            p.num.typed { (marked(text.trim(), problems)) }
            @for problem in problems { p.wrong { (problem.message) @if let Some(help) = &problem.help { " " (crate::web::jobs::sentence(help)) } } }
        },
    }
}

/// A verdict in large type, its grounds beside it.
fn proved(verdict: &Verdict) -> Markup {
    let (tone, word) = match verdict.decision {
        Decision::Accept => ("good", "Good."),
        Decision::Doubtful => ("soft", "In doubt."),
        Decision::Reject => ("wrong", "Not good."),
    };
    html! {
        p.verdict { b.(tone) { (word) } " " span.num { (verdict.sentence) } }
        @for sentence in &verdict.settling { p.soft { (sentence) } }
    }
}

fn where_to(kept: &Kept, piece: &Piece) -> Markup {
    html! {
        h2 { "Where it goes" }
        form.row method="post" action={ "/jobs/" (kept.id) "/checking/went" } {
            input type="hidden" name="piece" value=(piece.number);
            div { label for="went" { "It was" }
                select #went name="went" { option value="" { "not said" } @for way in crate::job::Went::ALL { option value=(way.word()) { (way.says()) } } } }
            div.grow { label for="to" { "To whom, or where" } input #to name="to" maxlength="120" autocomplete="off"; }
            button.act type="submit" { "Write" }
        }
    }
}
