//! The page of one job, read from top to bottom in the order of the work.

use axum::extract::{Path, Query, State};
use jiff::Timestamp;
use maud::{Markup, PreEscaped, html};
use pack::Block;
use record::JobId;
use serde::Deserialize;

use super::about::Filled;
use super::readings::{self, readings};
use super::{Target, about};
use crate::web::answer::{Answer, shown};
use crate::web::blocks::blocks;
use crate::web::frame::{Frame, Tab, page};
use crate::web::history::time;
use crate::web::state::{App, Kept};
use crate::worked::{Entry, Findings, Made, Told, Worked};

/// What stands in the line for readings when the page comes.
#[derive(Debug, Default, Deserialize)]
pub struct Entered {
    #[serde(default)]
    pub at: Option<Target>,
    #[serde(default)]
    pub line: String,
    /// What was filled in about the job and is refused.
    #[serde(skip)]
    pub about: Option<Filled>,
}

pub async fn show(State(app): State<App>, Path(id): Path<i64>, Query(entered): Query<Entered>) -> Answer {
    let kept = app.job(id).await?;
    let worked = app.worked(&kept).await?;
    Ok(shown(job_page(&app, &kept, &worked, &entered).await?))
}

pub async fn job_page(app: &App, kept: &Kept, worked: &Worked, entered: &Entered) -> Answer<Markup> {
    let id = kept.id;
    let shop = app.shop()?;
    let body = html! {
        (head(kept, worked, entered))
        @if let Some(stop) = worked.made.as_ref().and_then(|made| made.stop.as_ref()) { p.refused { b { "Stop. " } (stop) } }
        (wrong(id, worked))
        div.bench {
            div.read {
                (readings(id, worked, entered, &shop.instruments))
                (findings(id, worked))
                (later(id, worked))
            }
            (aside(worked))
        }
    };
    Ok(page(&Frame { title: &worked.title, at: Tab::Records, measure: "job", ..Frame::default() }, &body))
}

/// When it was printed, and from which state; a screen does not show it.
pub fn on_paper(kept: &Kept) -> Markup {
    html! { p.on-paper { "Job " (kept.id) ", version " (kept.version) ", as it was on " (time(Timestamp::now())) } }
}

fn head(kept: &Kept, worked: &Worked, entered: &Entered) -> Markup {
    let id = kept.id;
    let printable = worked.made.as_ref().is_some_and(|made| made.printable) && worked.is_sound();
    let quoted = printable && worked.made.as_ref().is_some_and(|made| made.plan.price.asked.is_some());
    html! {
        header.head {
            div.grow { h1 { (worked.title) } p.sub { (worked.subtitle) } (on_paper(kept)) }
            div.acts {
                @if worked.made.is_some() { a.act.quiet href={ "/jobs/" (id) "/machine" } data-key="w" { "At the machine" } }
                @if printable { a.act href={ "/jobs/" (id) "/pack.pdf" } target="_blank" data-key="p" { "Print the pack" } }
            }
            p.also {
                a href={ "/jobs/" (id) "/pictures" } { "Scans" } " "
                @if quoted { a href={ "/jobs/" (id) "/quote.pdf" } target="_blank" { "Quote" } " " }
                @if printable {
                    a href={ "/jobs/" (id) "/template.svg" } target="_blank" { "Template" } " "
                    a href={ "/jobs/" (id) "/files" } { "All files" } " "
                }
                a href={ "/jobs/" (id) "/result.json" } { "Result as JSON" } " "
                a href={ "/jobs/" (id) "/job.toml" } { "Job file" } " "
                a href={ "/jobs/" (id) "/text" } { "Write in the text" } " "
                a href={ "/jobs/" (id) "/history" } { "History" }
            }
            (about::about(id, worked, entered.about.as_ref()))
            (places(worked))
        }
    }
}

/// The ways down a page that is long on a narrow glass.
fn places(worked: &Worked) -> Markup {
    let later = worked.made.is_some();
    let all = [
        ("readings", "Readings", true),
        ("findings", "Findings", true),
        ("design", "Design", later),
        ("making", "Making", later),
        ("checking", "Checking", later),
        ("price", "Price", later),
        ("pieces", "Pieces", later),
    ];
    html! {
        nav.places aria-label="On this page" {
            @for (place, word, _) in all.iter().filter(|(_, _, there)| *there) { a href={ "#" (place) } { (word) } " " }
        }
    }
}

/// What is wrong and stands at no reading.
fn wrong(id: JobId, worked: &Worked) -> Markup {
    html! {
        @if !worked.problems.is_empty() || !worked.faults.is_empty() {
            div.refused role="alert" {
                @for said in &worked.problems {
                    p { (said.message) @if let Some(help) = &said.help { " " (readings::sentence(help)) }
                        " " a href={ "/jobs/" (id) "/text" } { "Line " (said.line) " of the text" } }
                }
                @for fault in &worked.faults { p { (fault) } }
            }
        }
    }
}

fn findings(id: JobId, worked: &Worked) -> Markup {
    html! {
        section #findings aria-labelledby="findings-head" {
            h2 #findings-head { "Findings " small { "what it was made to be, each in 100" } }
            @if worked.entries.is_empty() { p.soft { "Nothing has been measured yet." } }
            @for entry in &worked.entries { (found(id, entry, worked)) }
        }
    }
}

fn found(id: JobId, entry: &Entry, worked: &Worked) -> Markup {
    // what a lone feature is called need not be said again
    let named = worked.entries.len() > 1;
    html! {
        @if named { h3 { (entry.name) @if let Some(of) = &entry.of { " " small { "runs with " (of) "; not made" } } } }
        @match &entry.told {
            Told::Unread => { p.soft { "Nothing is weighed before its mistakes are mended." } }
            Told::Nothing(why) => { p { (why) } }
            Told::Given { sentence, remarks } => { p { b { (sentence) "." } " " span.soft { (remarks) } } }
            Told::Found(findings) => { (told(id, entry, findings)) }
        }
    }
}

fn told(id: JobId, entry: &Entry, findings: &Findings) -> Markup {
    html! {
        @for (index, finding) in findings.told.iter().enumerate() {
            div.finding.weak[index > 0] {
                span.p { (finding.in_100) span.hidden { " in 100: " } }
                p { @if index == 0 { b { (finding.sentence) "." } } @else { (finding.sentence) "." } " " span.soft { (finding.beside) } }
            }
        }
        @if let Some(no_standard) = &findings.no_standard {
            div.finding.weak { span.p { (no_standard) span.hidden { " in 100: " } } p { "No standard design." } }
        }
        @for remark in &findings.remarks { p.soft { (remark) } }
        @match &findings.next {
            Some(next) => {
                div.next {
                    a.act.quiet href={ "/jobs/" (id) "?at=" (Target(entry.at)) "&line=" (urlencoded(&next.line)) "#line" }
                        data-fill={ (next.line) " " } data-at=(Target(entry.at)) data-key="m" { "Measure next: " (next.line) }
                    p.soft { (capital(&next.why)) " (" (next.gain) ")." @if findings.safe { " Safe to cut without it." } }
                }
            }
            None if findings.safe => { p.soft { "Safe to cut: no further reading of this shop would tell more." } }
            None => {}
        }
    }
}

fn later(id: JobId, worked: &Worked) -> Markup {
    let Some(made) = &worked.made else {
        return html! { section { h2 { "Design " small { "what we make" } } p.soft { "Not before something is known of the part." } } };
    };
    html! {
        section #design aria-labelledby="design-head" {
            h2 #design-head { "Design " small { "what we make" } }
            (blocks(&without_view(&made.design.blocks)))
        }
        section #making aria-labelledby="making-head" {
            h2 #making-head { "Making " small { (made.making.kind) } }
            (blocks(&made.making.blocks))
            p { a.act.quiet href={ "/jobs/" (id) "/machine" } { "Go through it at the machine" } }
        }
        section #checking aria-labelledby="checking-head" {
            h2 #checking-head { "Checking " small { (made.checking.kind) } }
            (blocks(&made.checking.blocks))
            p { a.act.quiet href={ "/jobs/" (id) "/checking" } { "Check a piece" } }
        }
        section #price aria-labelledby="price-head" {
            h2 #price-head { "Price " small { (made.price.kind) } }
            (blocks(&made.price.blocks))
        }
        (pieces(id, worked, made))
    }
}

/// The main view stands beside the readings already.
fn without_view(all: &[Block]) -> Vec<Block> {
    let first = all.iter().position(|block| matches!(block, Block::Figure { .. }));
    all.iter().enumerate().filter(|(index, _)| Some(*index) != first).map(|(_, block)| block.clone()).collect()
}

/// What became of each piece; planned ones that are left in the same state are told together by the plan.
fn pieces(id: JobId, worked: &Worked, made: &Made) -> Markup {
    html! {
        section #pieces aria-labelledby="pieces-head" {
            h2 #pieces-head { "Pieces " small { "what became of each" } }
            ul.pieces {
                @for piece in worked.pieces.iter().filter(|piece| piece.written) {
                    li {
                        a href={ "/jobs/" (id) "/checking?piece=" (piece.number) } { "Piece " (piece.number) } " "
                        b { (piece.standing.words()) } ", " (piece.history) "."
                        @if !piece.open.is_empty() { span.soft { " Left open: " (piece.open.join(", ")) "." } }
                    }
                }
                @for state in &made.plan.pieces {
                    @if !worked.pieces.iter().any(|piece| piece.written && piece.number == state.number) { li.soft { (state.sentence) } }
                }
            }
        }
    }
}

fn aside(worked: &Worked) -> Markup {
    html! {
        aside aria-label="The part" {
            figure.part {
                @match &worked.drawing {
                    Some(svg) => { (PreEscaped(svg)) }
                    None => { p.soft { "The part is drawn here as soon as its readings say what it is." } }
                }
                figcaption { @for sentence in &worked.caption { (sentence) " " } }
            }
        }
    }
}

fn capital(text: &str) -> String {
    crate::sheets::findings::capital(text)
}

/// For the query of an address.
pub fn urlencoded(text: &str) -> String {
    text.bytes()
        .map(|byte| match byte {
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'-' | b'.' | b'_' => char::from(byte).to_string(),
            byte => format!("%{byte:02X}"),
        })
        .collect()
}
