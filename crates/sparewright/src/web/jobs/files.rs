//! What leaves a job as a file: pack, quote, template, result, the job file.

use axum::extract::{Path, State};
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};

use maud::html;

use crate::job;
use crate::packed::{Packed, packed};
use crate::web::answer::{Answer, Refused, aside, shown};
use crate::web::frame::{Frame, Tab, page};
use crate::web::jobs::urlencoded;
use crate::web::state::App;

pub async fn pack(State(app): State<App>, Path(id): Path<i64>) -> Answer {
    let (stem, packed) = made(&app, id).await?;
    Ok(file("application/pdf", &format!("{stem}.pdf"), packed.pdf))
}

pub async fn quote(State(app): State<App>, Path(id): Path<i64>) -> Answer {
    let (stem, packed) = made(&app, id).await?;
    let quote = packed.quote.ok_or_else(|| {
        Refused::wrong(format!("There is no quote, for the price is not known. {}", packed.unpriced.join(" ")))
    })?;
    Ok(file("application/pdf", &format!("{stem}-quote.pdf"), quote))
}

pub async fn template(State(app): State<App>, Path(id): Path<i64>) -> Answer {
    let (stem, packed) = made(&app, id).await?;
    let svg =
        packed.template_svg.ok_or(Refused::wrong("This part needs no template, or nothing of it can be drawn yet."))?;
    Ok(file("image/svg+xml", &format!("{stem}-template.svg"), svg.into_bytes()))
}

/// Every file of the pack: sheets, labels, template, solid and the rest.
pub async fn list(State(app): State<App>, Path(id): Path<i64>) -> Answer {
    let (stem, packed) = made(&app, id).await?;
    let body = html! {
        header.head { div.grow { h1 { "Files" } p.sub { a href={ "/jobs/" (id) } { (stem) } } } }
        p { "What leaves the job: for the bench, for the customer, for other trades." }
        ul.records {
            @for (name, bytes) in packed.files(&stem) {
                li { a href={ "/jobs/" (id) "/files/" (urlencoded(&name)) } target="_blank" { (name) }
                    span.soft.num { (format!("{:.0} kB", bytes.len() as f64 / 1e3)) } }
            }
        }
    };
    Ok(shown(page(&Frame { title: "Files", at: Tab::Records, ..Frame::default() }, &body)))
}

/// One of them, by its name in that list.
pub async fn one(State(app): State<App>, Path((id, name)): Path<(i64, String)>) -> Answer {
    let (stem, packed) = made(&app, id).await?;
    let found = packed.files(&stem).into_iter().find(|(known, _)| *known == name).ok_or(Refused::missing("file"))?;
    let kind = match name.rsplit('.').next().unwrap_or_default() {
        "pdf" => "application/pdf",
        "svg" => "image/svg+xml",
        "json" => "application/json",
        "3mf" => "model/3mf",
        "stp" => "model/step",
        _ => "application/octet-stream",
    };
    Ok(file(kind, &name, found.1))
}

pub async fn result(State(app): State<App>, Path(id): Path<i64>) -> Answer {
    let kept = app.job(id).await?;
    let worked = app.worked(&kept).await?;
    Ok(axum::Json(worked.result.clone()).into_response())
}

pub async fn text(State(app): State<App>, Path(id): Path<i64>) -> Answer {
    let kept = app.job(id).await?;
    let worked = app.worked(&kept).await?;
    Ok(file("application/toml; charset=utf-8", &format!("{}.toml", stem(&worked.title)), kept.text.into_bytes()))
}

async fn made(app: &App, id: i64) -> Answer<(String, Packed)> {
    let kept = app.job(id).await?;
    let worked = app.worked(&kept).await?;
    if !worked.is_sound() {
        return Err(Refused::wrong(
            "Something in this job is wrong, and a pack is metal's last word: mend what is marked on its page first.",
        ));
    }
    let shop = app.shop()?;
    let (app, stem) = (app.clone(), stem(&worked.title));
    let packed = aside(move || {
        app.with_pictures(kept.id, |pictures| {
            let (job, _) = job::read_with(&kept.text, features::kinds(), &shop.instruments, pictures);
            let job = job.ok_or("There is nothing in this job yet.")?;
            packed(&job, &shop, &jiff::ZonedDateTime::now().date())
        })
    })
    .await?
    .map_err(Refused::wrong)?;
    Ok((stem, packed))
}

/// A file name out of a title: its letters and figures.
pub fn stem(title: &str) -> String {
    let words: Vec<String> =
        title.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).map(str::to_lowercase).collect();
    let stem: String = words.join("-").chars().take(60).collect();
    if stem.is_empty() { "job".into() } else { stem }
}

/// Shown in the browser, kept under this name.
pub fn file(kind: &'static str, name: &str, bytes: Vec<u8>) -> Response {
    let encoded: String = name
        .bytes()
        .map(|byte| match byte {
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'-' | b'.' => char::from(byte).to_string(),
            byte => format!("%{byte:02X}"),
        })
        .collect();
    ([(CONTENT_TYPE, kind.to_string()), (CONTENT_DISPOSITION, format!("inline; filename*=UTF-8''{encoded}"))], bytes)
        .into_response()
}
