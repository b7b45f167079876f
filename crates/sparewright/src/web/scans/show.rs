//! One scan: measured, its overlay to look at near to, its readings to take over, its outline to mend.

use axum::extract::{Path, State};
use maud::{Markup, html};
use record::JobId;
use scan::{Scan, Stage};

use crate::job::{self, Bed};
use crate::scanned;
use crate::web::answer::{Answer, Refused, aside, shown};
use crate::web::frame::{Frame, Tab, page};
use crate::web::jobs::{Target, urlencoded};
use crate::web::state::{App, Kept};
use crate::worked::{Entry, Worked};

pub async fn show(State(app): State<App>, Path((id, name)): Path<(i64, String)>) -> Answer {
    let kept = app.job(id).await?;
    let job = kept.id;
    let asked = name.clone();
    let stage = app.clone();
    let stage = aside(move || stage.with_pictures(job, |pictures| pictures.stage(&asked))).await?;
    let stage = stage.map_err(|why| Refused::new(axum::http::StatusCode::NOT_FOUND, why))?;
    let inner = match stage {
        Some(None) => measured(&app, &kept, &name).await?,
        doing => {
            if doing.is_none() {
                begin(&app, &kept, &name);
            }
            waiting(id, &name, doing.flatten())
        }
    };
    let body = html! {
        header.head { div.grow { h1 { (name) } p.sub { a href={ "/jobs/" (id) "/pictures" } { "Scans" } } } }
        (inner)
    };
    Ok(shown(page(&Frame { title: &name, at: Tab::Records, measure: "job", script: Some("scan.js") }, &body)))
}

/// Measures it meanwhile; the page asks again.
fn begin(app: &App, kept: &Kept, name: &str) {
    let (app, kept, name) = (app.clone(), kept.clone(), name.to_string());
    tokio::spawn(async move { app.scan(&kept, &name).await });
}

fn waiting(id: i64, name: &str, stage: Option<Stage>) -> Markup {
    let stages =
        ["telling the part from its ground", "following its borders", "placing its edges", "finding circles and teeth"];
    let at = stage.map_or(0, |stage| match stage {
        Stage::Ground => 0,
        Stage::Borders => 1,
        Stage::Edges => 2,
        Stage::Shapes => 3,
    });
    html! {
        div #measuring hx-get={ "/jobs/" (id) "/pictures/" (urlencoded(name)) } hx-trigger="load delay:400ms" hx-select="#page" hx-target="#page" hx-swap="outerHTML" {
            p role="status" { "Measuring: " (stages[at]) " …" }
            progress max="4" value=(at + 1) aria-label="How far the measuring has come" {}
            noscript { p { a href="" { "Look again" } } }
        }
    }
}

async fn measured(app: &App, kept: &Kept, name: &str) -> Answer<Markup> {
    let worked = app.worked(kept).await?;
    let scan = app.scan(kept, name).await?;
    let file = urlencoded(name);
    Ok(html! {
        (gauge(kept.id, &worked, name))
        @match &scan {
            Err(why) => {
                p.refused role="alert" { (why) }
                img.plain src={ "/jobs/" (kept.id) "/pictures/" (file) "/file" } alt="The picture as it was put in";
            }
            Ok((scan, size)) => {
                div.bench {
                    (pane(kept.id, &worked, name, scan, *size))
                    div {
                        h2 { "What it shows" }
                        pre.num.tell tabindex="0" { (scanned::tell(scan, worked.unit)) }
                        (take_over(kept.id, &worked, name))
                    }
                }
            }
        }
    })
}

/// The overlay with its outline on top; both move together.
fn pane(id: JobId, worked: &Worked, name: &str, scan: &Scan, [width, height]: [f64; 2]) -> Markup {
    let outline = worked.entries.iter().find(|entry| entry.scan.as_deref() == Some(name) && entry.kind == "outline");
    let path = outline.map(|entry| path(entry, scan, worked)).unwrap_or_default();
    let frame = format!("{} {} {} {}", scan.frame.x, scan.frame.y, scan.frame.up, worked.unit.one().mm());
    html! {
        div {
            div.pane #pane tabindex="0" role="group" aria-label="The scan with what was found; plus, minus and arrow keys move it" {
                div.sheet #sheet {
                    img src={ "/jobs/" (id) "/pictures/" (urlencoded(name)) "/overlay.svg" } alt="The scan with what was found drawn over it" draggable="false";
                    svg #mend data-frame=(frame) viewBox={ "0 0 " (width) " " (height) } aria-label="The outline’s points" role="group" {}
                }
            }
            div.row {
                button.act.quiet type="button" data-zoom="1.5" data-key="+" { "Nearer" }
                button.act.quiet type="button" data-zoom="0.667" data-key="-" { "Further" }
                button.act.quiet type="button" data-zoom="0" data-key="0" { "All of it" }
            }
            @if let Some(entry) = outline.filter(|_| !path.is_empty()) {
                form.mend method="post" action={ "/jobs/" (id) "/features/fill" } {
                    input type="hidden" name="at" value=(Target(entry.at));
                    p { "Drag a point of the outline to where it should be, or move it with the arrow keys; arcs keep their bend." }
                    details { summary { "The path in figures" }
                        label for="path" { "Steps of the path, from the bore’s centre" }
                        textarea.num #path name="path" rows=(path.lines().count().clamp(4, 16)) spellcheck="false" { "\n" (path) } }
                    button.act type="submit" { "Keep the outline so" }
                }
            }
        }
    }
}

/// The path as it was mended, else as the scan gives it.
fn path(entry: &Entry, scan: &Scan, worked: &Worked) -> String {
    let typed =
        entry.fields.iter().find(|field| field.name == "path").map(|field| field.value.clone()).unwrap_or_default();
    if !typed.is_empty() {
        return typed;
    }
    let found = scanned::readings(scan, "outline", None, worked.unit);
    found.map(|found| found.path.join("\n")).unwrap_or_default()
}

/// The gauge beside the part, which all scans of a job share.
fn gauge(id: JobId, worked: &Worked, name: &str) -> Markup {
    let field = worked.head.iter().find(|field| field.name == "scan.gauge");
    html! {
        form.row method="post" action={ "/jobs/" (id) "/head" } {
            input type="hidden" name="then" value={ "/jobs/" (id) "/pictures/" (urlencoded(name)) };
            div { label for="gauge" { "Diameter of the round gauge beside the part" }
                input.num #gauge name="scan.gauge" value=(field.map(|field| field.value.as_str()).unwrap_or_default()) placeholder="0.7500 in"; }
            button.act.quiet type="submit" { "Measure by it" }
        }
    }
}

/// Which features take their readings from this scan.
fn take_over(id: JobId, worked: &Worked, name: &str) -> Markup {
    html! {
        h2 { "Take the readings over" }
        @if worked.entries.is_empty() { p { "Put the job’s features in first: a toothed rim, a bore, holes, an outline." } }
        @for entry in worked.entries.iter().filter(|entry| !entry.at.mate && entry.kind != "shaft") {
            @let taken = entry.scan.as_deref() == Some(name);
            form.take method="post" action={ "/jobs/" (id) "/pictures/" (urlencoded(name)) "/take" } {
                input type="hidden" name="at" value=(Target(entry.at));
                input type="hidden" name="take" value=(!taken);
                span.grow { (entry.name) " " span.soft { @if taken { "takes its readings from this scan" } @else if let Some(other) = &entry.scan { "takes them from " (other) } } }
                button.act.quiet[taken] type="submit" { @if taken { "Leave them out" } @else { "Take them into " (entry.name) } }
            }
        }
    }
}

impl App {
    /// A scan of a job by its gauge, measured off the threads that answer; inside, why it cannot be measured.
    pub async fn scan(&self, kept: &Kept, name: &str) -> Answer<Result<(Scan, [f64; 2]), String>> {
        let turn = self.solving().await?;
        let (app, kept, name) = (self.clone(), kept.clone(), name.to_string());
        let shop = self.shop()?;
        let scan = aside(move || {
            let (job, _) = job::read(&kept.text, features::kinds(), &shop.instruments);
            let bed = job.map_or_else(Bed::default, |job| job.bed);
            app.with_pictures(kept.id, |pictures| pictures.scan_and_size(&name, &bed))
        })
        .await;
        drop(turn);
        scan
    }
}
