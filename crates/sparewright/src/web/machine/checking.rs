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
use crate::web::jobs::echo::{marked, with_point};
use crate::web::jobs::pictures::Attached;
use crate::web::state::{App, Kept};
use crate::worked::{Piece, PieceLine, ToMeasure, Verdict, Worked, judged};

#[derive(Debug, Deserialize)]
pub struct Asked {
    piece: Option<u32>,
    /// The size a reading of which was just written.
    wrote: Option<usize>,
}

/// What stands on the page beside the piece itself.
#[derive(Debug, Default)]
struct Beside<'a> {
    refused: Option<(&'a Typed, &'a Result<Verdict, Vec<Problem>>)>,
    wrote: Option<usize>,
    instruments: Vec<String>,
}

pub async fn show(State(app): State<App>, Path(id): Path<i64>, Query(asked): Query<Asked>) -> Answer {
    let kept = app.job(id).await?;
    let worked = app.worked(&kept).await?;
    let piece = chosen(&worked, asked.piece)?;
    let beside = Beside { wrote: asked.wrote, instruments: instruments(&app)?, refused: None };
    Ok(shown(sheet(&kept, &worked, piece, &beside)))
}

fn instruments(app: &App) -> Answer<Vec<String>> {
    Ok(app.shop()?.instruments.iter().map(|instrument| instrument.name.clone()).collect())
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
    /// The whole line, where a figure does not say it: "diameter goes 0.8750, not 0.8760".
    #[serde(default)]
    words: String,
}

/// What is written of a size that no figure decides.
const NOTE: &str = "note";

impl Typed {
    /// The reading as it is written in the job.
    fn line(&self) -> String {
        let (text, lead, words) = (self.text.trim(), self.lead.trim(), self.words.trim());
        if !words.is_empty() {
            return words.to_string();
        }
        if !lead.is_empty() && text.starts_with(lead) {
            return text.to_string();
        }
        // another instrument than the one proposed is named behind a comma
        let tail = if text.contains(',') { "" } else { self.tail.trim_end() };
        format!("{lead} {text}{tail}")
    }

    fn is_empty(&self) -> bool {
        self.text.trim().is_empty() && self.words.trim().is_empty()
    }

    fn is_note(&self) -> bool {
        self.line().split_whitespace().next() == Some(NOTE) && self.line().trim().len() > NOTE.len()
    }

    /// Whether it was typed at this size.
    fn is_at(&self, one: &ToMeasure) -> bool {
        self.feature == one.written_in && self.lead.trim() == lead(one)
    }
}

/// What stands before the box of a size.
fn lead(one: &ToMeasure) -> &str {
    one.lead.as_ref().map_or(NOTE, |lead| lead.words.as_str())
}

/// What a reading that is being typed would prove.
pub async fn echo(State(app): State<App>, Path(id): Path<i64>, Form(typed): Form<Typed>) -> Answer {
    if typed.is_empty() || typed.is_note() {
        return Ok(shown(html! {}));
    }
    let kept = app.job(id).await?;
    let verdict = judge(&app, &kept, &typed).await?;
    Ok(shown(told(&typed, &verdict)))
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
    if verdict.is_err() && !typed.is_note() {
        let worked = app.worked(&kept).await?;
        let piece = chosen(&worked, Some(typed.piece))?;
        let beside = Beside { refused: Some((&typed, &verdict)), instruments: instruments(&app)?, wrote: None };
        let page = sheet(&kept, &worked, piece, &beside);
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, shown(page)).into_response());
    }
    let (piece, feature, text) = (typed.piece, typed.feature.clone(), typed.line());
    changed(&app, id, &who, Edit::AddPieceLine { piece, feature, text }).await?;
    Ok(see(&onward(&app, id, &typed).await?))
}

/// The page at the size that is to be measured next: the one after this that has no reading yet.
async fn onward(app: &App, id: i64, typed: &Typed) -> Answer<String> {
    let worked = app.worked(&app.job(id).await?).await?;
    let piece = chosen(&worked, Some(typed.piece))?;
    let here = worked.to_measure.iter().position(|one| typed.is_at(one));
    let next = next_open(&worked, piece, here);
    let (page, wrote) =
        (format!("/jobs/{id}/checking?piece={}", piece.number), here.map(|here| format!("&wrote={here}")));
    let place = next.or(here).map_or(String::new(), |index| format!("#size-{index}-text"));
    Ok(format!("{page}{}{place}", wrote.unwrap_or_default()))
}

/// The first size after this one that no figure was read for yet; those before it come last.
fn next_open(worked: &Worked, piece: &Piece, here: Option<usize>) -> Option<usize> {
    let count = worked.to_measure.len();
    let after = here.map_or(0, |here| here + 1).min(count);
    (after..count).chain(0..after).find(|index| is_open(piece, &worked.to_measure[*index]))
}

/// Whether a figure is still to be read for this size.
fn is_open(piece: &Piece, one: &ToMeasure) -> bool {
    one.lead.is_some()
        && !piece.verdicts.iter().any(|verdict| verdict.feature == one.feature && verdict.name == one.name)
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

fn sheet(kept: &Kept, worked: &Worked, piece: &Piece, beside: &Beside<'_>) -> Markup {
    let id = kept.id;
    let shown_at = |line: &&PieceLine| worked.to_measure.iter().any(|one| stands_at(line, one));
    let others: Vec<&PieceLine> = piece.lines.iter().filter(|line| !shown_at(line)).collect();
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
            (size(kept, piece, one, index, worked, beside))
        }
        @if !others.is_empty() {
            section.size {
                h2 { "Written besides" }
                @for line in others { (taken(kept, piece, line)) }
            }
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

/// Whether a line is shown at this size: a reading of it, or a note where notes are all there is.
fn stands_at(line: &PieceLine, one: &ToMeasure) -> bool {
    match &line.size {
        Some((feature, name)) => *feature == one.feature && *name == one.name,
        None => one.lead.is_none() && line.feature == one.written_in,
    }
}

fn taken(kept: &Kept, piece: &Piece, line: &PieceLine) -> Markup {
    html! {
        form.taken method="post" action={ "/jobs/" (kept.id) "/checking/remove" } {
            input type="hidden" name="piece" value=(piece.number);
            input type="hidden" name="feature" value=(line.feature);
            input type="hidden" name="was" value=(line.text);
            span.num.grow { (line.text) }
            button.act.quiet type="submit" { "Take it out" span.hidden { ": " (line.text) } }
        }
    }
}

fn size(kept: &Kept, piece: &Piece, one: &ToMeasure, index: usize, worked: &Worked, beside: &Beside<'_>) -> Markup {
    let id = kept.id;
    let place = format!("size-{index}");
    let of = |index: usize| worked.to_measure.get(index);
    let verdict = |one: &ToMeasure| piece.verdicts.iter().find(|is| is.feature == one.feature && is.name == one.name);
    let refused = beside.refused.filter(|(typed, _)| typed.is_at(one));
    let typed = |field: fn(&Typed) -> &str| refused.map_or("", |(typed, _)| field(typed));
    // the page comes at the size that is to be measured next, and says there what has just been written
    let after = beside.wrote.filter(|wrote| next_open(worked, piece, Some(*wrote)).unwrap_or(*wrote) == index);
    let wrote = after.and_then(of).and_then(|wrote| Some((wrote, verdict(wrote)?)));
    html! {
        section.size #(place) {
            @if let Some((wrote, verdict)) = wrote {
                p.wrote role="status" { "Written: " (wrote.name) ". " (word(verdict)) " " span.num { (verdict.sentence) } }
            }
            h2 { (crate::sheets::findings::capital(&one.name)) " " small { (one.feature) } }
            p { span.num { (one.limits) } ", " (one.with) "." @if !one.how.is_empty() { " " span.soft { (one.how) } } }
            @if let Some(cannot) = &one.cannot { p.wrong { (cannot) } }
            @if let Some(verdict) = verdict(one) { (proved(verdict)) }
            @for line in piece.lines.iter().filter(|line| stands_at(line, one)) { (taken(kept, piece, line)) }
            form method="post" action={ "/jobs/" (id) "/checking" } #{ (place) "-form" }
                hx-post={ "/jobs/" (id) "/checking/echo" } hx-trigger="input delay:250ms" hx-target={ "#" (place) "-echo" } hx-sync="this:replace" {
                input type="hidden" name="piece" value=(piece.number);
                input type="hidden" name="feature" value=(one.written_in);
                input type="hidden" name="lead" value=(lead(one));
                div.row.figure-row {
                    label.num for={ (place) "-text" } { (lead(one)) span.hidden { ", " (one.name) " (" (one.feature) ")" } }
                    @if one.lead.is_some() {
                        input.num id={ (place) "-text" } name="text" value=(typed(|typed| &typed.text)) inputmode="decimal"
                            autocomplete="off" autocapitalize="off" spellcheck="false" enterkeyhint="done" aria-describedby={ (place) "-echo" };
                        (taken_with(&place, one, beside, refused.map(|(typed, _)| typed.tail.trim_start_matches([',', ' ']).trim())))
                    } @else {
                        input.grow id={ (place) "-text" } name="text" value=(typed(|typed| &typed.text)) maxlength="200" autocomplete="off" placeholder="laid on the template: within the line";
                    }
                    button.act type="submit" { "Write" }
                }
                @if one.lead.is_some() {
                    details.in-words open[!typed(|typed| &typed.words).is_empty()] {
                        summary { "In words" }
                        label.hidden for={ (place) "-words" } { "The whole line" }
                        input.num id={ (place) "-words" } name="words" value=(typed(|typed| &typed.words)) maxlength="200" placeholder={ (lead(one)) " goes …, not …" } autocomplete="off" autocapitalize="off" spellcheck="false";
                    }
                }
                div.echo id={ (place) "-echo" } role="status" aria-live="polite" {
                    @if let Some((typed, verdict)) = refused { (told(typed, verdict)) }
                }
            }
        }
    }
}

/// What the figure is read with: what was proposed stands first.
fn taken_with(place: &str, one: &ToMeasure, beside: &Beside<'_>, chosen: Option<&str>) -> Markup {
    let proposed = one.instrument.as_deref().unwrap_or_default();
    let chosen = chosen.unwrap_or(proposed);
    html! {
        label.hidden for={ (place) "-with" } { "Read with" }
        select id={ (place) "-with" } name="tail" {
            @if !proposed.is_empty() && !beside.instruments.iter().any(|name| name == proposed) { option value={ ", " (proposed) } selected[chosen == proposed] { (proposed) } }
            @for name in &beside.instruments { option value={ ", " (name) } selected[chosen == name] { (name) } }
            option value="" selected[chosen.is_empty()] { "not said" }
        }
    }
}

fn told(typed: &Typed, verdict: &Result<Verdict, Vec<Problem>>) -> Markup {
    let line = typed.line();
    match verdict {
        Ok(verdict) => proved(verdict),
        Err(problems) => html! {
            p.num.typed { (marked(line.trim(), problems)) }
            @for problem in problems { p.wrong { (problem.message) @if let Some(help) = &problem.help { " " (crate::web::jobs::sentence(help)) } } }
            @if let Some(point) = with_point(&typed.text) { p { button.way.num type="button" data-put=(point) { (point) } } }
        },
    }
}

fn word(verdict: &Verdict) -> Markup {
    let (tone, word) = tone_of(verdict);
    html! { b.(tone) { (word) } }
}

fn tone_of(verdict: &Verdict) -> (&'static str, &'static str) {
    match verdict.decision {
        Decision::Accept => ("good", "Good."),
        Decision::Doubtful => ("soft", "In doubt."),
        Decision::Reject => ("wrong", "Not good."),
    }
}

/// A verdict in large type, its grounds beside it.
fn proved(verdict: &Verdict) -> Markup {
    let (tone, word) = tone_of(verdict);
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
