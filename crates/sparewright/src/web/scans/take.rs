//! A feature takes its readings from a scan, or leaves them out again.

use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::IntoResponse;
use axum::{Extension, Form};
use maud::{Markup, html};
use quantity::Line;
use serde::Deserialize;

use crate::job::edit::Edit;
use crate::job::forms;
use crate::scanned;
use crate::shop::bench;
use crate::web::answer::{Answer, see, shown};
use crate::web::frame::{Frame, Tab, page};
use crate::web::guard::Who;
use crate::web::jobs::{Target, changed, urlencoded};
use crate::web::state::App;
use crate::worked::{Entry, Worked, kind};

#[derive(Debug, Deserialize)]
pub struct Take {
    at: Target,
    take: bool,
    /// It was asked whether counts that differ may stand beside one another.
    #[serde(default)]
    sure: bool,
}

pub async fn take(
    State(app): State<App>,
    Path((id, name)): Path<(i64, String)>,
    Extension(who): Extension<Who>,
    Form(take): Form<Take>,
) -> Answer {
    if take.take && !take.sure {
        let kept = app.job(id).await?;
        let worked = app.worked(&kept).await?;
        let scan = app.scan(&kept, &name).await?;
        let shop = app.shop()?;
        if let (Some(entry), Ok((scan, _))) = (worked.entry(take.at.0), &scan) {
            let given = scanned::readings(scan, &entry.kind, None, worked.unit);
            let clashes =
                clashes(entry, &given.map(|given| given.lines).unwrap_or_default(), &worked, &shop.instruments);
            if !clashes.is_empty() {
                let page = asked(id, &name, &worked, entry, &take, &clashes);
                return Ok((StatusCode::UNPROCESSABLE_ENTITY, shown(page)).into_response());
            }
        }
    }
    let value = take.take.then(|| name.as_str().into());
    changed(&app, id, &who, Edit::SetField { at: take.at.0, field: "scan".into(), value }).await?;
    Ok(see(&format!("/jobs/{id}/pictures/{}", urlencoded(&name))))
}

/// Counts of one thing that differ: what the scan shows, and what is written.
fn clashes(
    entry: &Entry,
    given: &[String],
    worked: &Worked,
    instruments: &[quantity::Instrument],
) -> Vec<(String, String)> {
    let Some(kind) = kind(&entry.kind) else { return Vec::new() };
    let (forms, bench) = (forms(kind), bench(worked.unit, instruments));
    // a count, and not a size over so many
    let counted = |text: &str| {
        Line::read(text, &forms, &bench).ok().filter(|line| line.count().is_some() && line.value().is_none())
    };
    let written: Vec<Line> =
        entry.lines.iter().filter(|line| line.written.is_some()).filter_map(|line| counted(&line.text)).collect();
    let shown = given.iter().filter_map(|text| counted(text));
    let differ = shown.filter_map(|shows| {
        let other = written.iter().find(|line| line.pattern == shows.pattern && line.count() != shows.count())?;
        Some((shows.text.clone(), other.text.clone()))
    });
    differ.collect()
}

fn asked(id: i64, name: &str, worked: &Worked, entry: &Entry, take: &Take, clashes: &[(String, String)]) -> Markup {
    let scan = format!("/jobs/{id}/pictures/{}", urlencoded(name));
    let body = html! {
        header.head { div.grow { h1 { "Another count" } p.sub { a href={ "/jobs/" (id) } { (worked.title) } ", " (entry.name) } } }
        div.refused role="alert" { @for (shows, written) in clashes { p { "The scan shows " b { (shows) } ", you wrote " b { (written) } "." } } }
        p { "If both stand in the job they contradict each other, and no design will fit. Count again; then mend the line that is wrong, or leave the scan out." }
        div.row {
            a.act href={ "/jobs/" (id) "#" (take.at) } { "Mend the line" }
            form method="post" action={ (scan) "/take" } {
                input type="hidden" name="at" value=(take.at);
                input type="hidden" name="take" value="true";
                input type="hidden" name="sure" value="true";
                button.act.quiet type="submit" { "Take them over all the same" }
            }
            a.act.quiet href=(scan) { "Back to the scan" }
        }
    };
    page(&Frame { title: "Another count", at: Tab::Records, ..Frame::default() }, &body)
}
