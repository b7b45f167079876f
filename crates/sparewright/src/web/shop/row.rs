//! A row of the shop is changed, added or taken out.

use std::collections::BTreeMap;

use axum::extract::State;
use axum::http::StatusCode;
use axum::response::IntoResponse;
use axum::{Extension, Form};
use record::Saved;
use toml_edit::DocumentMut;

use super::edit::{Row, rows, taken_out, written};
use super::sections::{Section, Shape, section};
use super::show::{Open, shop_page};
use crate::shop;
use crate::web::answer::{Answer, Refused, see, shown};
use crate::web::guard::Who;
use crate::web::state::App;

pub async fn keep(
    State(app): State<App>,
    Extension(who): Extension<Who>,
    Form(sent): Form<BTreeMap<String, String>>,
) -> Answer {
    let said = |name: &str| sent.get(name).map(String::as_str).unwrap_or_default();
    let section = section(said("section")).ok_or(Refused::missing("table"))?;
    let version: u32 =
        said("version").parse().map_err(|_| Refused::wrong("Which state this was made from is not said."))?;
    let row = said("row").parse().map_or(Row::New, Row::At);
    let cells: Vec<String> =
        (0..section.columns().len()).map(|at| said(&format!("c{at}")).replace("\r\n", "\n")).collect();
    let (now, text) = match version {
        0 => super::kept(&app).await?,
        version => {
            let kept = app.kept(move |store| store.shop_at(version)).await?;
            (version, kept.text)
        }
    };
    let out = said("out") == "true";
    let edited = match (out, row) {
        (true, Row::At(index)) => taken_out(&text, section, index),
        _ => written(&text, section, row, &cells),
    };
    let edited = edited.and_then(|edited| sound(&edited).map(|()| edited));
    let edited = match edited {
        Ok(edited) => edited,
        Err(why) => {
            let document = text.parse::<DocumentMut>().unwrap_or_default();
            let at_fault = at_fault(&text, section, row, &cells).filter(|_| !out);
            let open = Open { section, row, cells: Some(cells), why: Some(why), at_fault };
            let page = shown(shop_page(now, &document, Some(&open)));
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
        }
    };
    let did = did(section, row, out, &cells, &text);
    match super::keep(&app, version, edited, did, who.name().to_string()).await? {
        Saved::Done { .. } | Saved::Merged { .. } => Ok(see(&format!("/shop#{}", section.anchor()))),
        Saved::Conflict { .. } => Err(Refused::new(
            StatusCode::CONFLICT,
            "Another device has changed the same row meanwhile. Nothing of yours was written, nothing of theirs is lost: look at the table again.",
        )),
    }
}

/// The cell without whose change nothing would be wrong: each is set back to what it was, and the row tried again.
fn at_fault(text: &str, section: &Section, row: Row, cells: &[String]) -> Option<usize> {
    let document = text.parse::<DocumentMut>().ok()?;
    let was = match row {
        Row::At(index) => rows(&document, section).get(index).cloned()?,
        Row::New => vec![String::new(); cells.len()],
    };
    let changed = (0..cells.len()).filter(|at| was.get(*at).map(|was| was.trim()) != Some(cells[*at].trim()));
    let mends = |at: &usize| {
        let mut without = cells.to_vec();
        without[*at] = was.get(*at).cloned().unwrap_or_default();
        written(text, section, row, &without).and_then(|edited| sound(&edited)).is_ok()
    };
    let all: Vec<usize> = changed.collect();
    all.iter().copied().find(mends).or(if let [one] = all.as_slice() { Some(*one) } else { None })
}

/// For the history: "machines, knee mill: travel 30".
fn did(section: &Section, row: Row, out: bool, cells: &[String], before: &str) -> String {
    let table = section.title.to_lowercase();
    let was = before.parse::<DocumentMut>().map(|document| rows(&document, section)).unwrap_or_default();
    let was = match row {
        Row::At(index) => was.get(index).cloned().unwrap_or_default(),
        Row::New => Vec::new(),
    };
    let name = |cells: &[String]| cells.iter().find(|cell| !cell.is_empty()).cloned().unwrap_or_default();
    match (out, row) {
        (true, _) => format!("{table}: took out {}", name(&was)),
        (false, Row::New) => format!("{table}: put in {}", name(cells)),
        (false, Row::At(_)) => {
            let changed =
                section.columns().iter().zip(cells).zip(&was).filter(|((_, now), was)| now.trim() != was.as_str());
            let changed: Vec<String> = changed
                .map(|((column, now), _)| match now.trim() {
                    "" => format!("no {}", column.label()),
                    now => format!("{} {}", column.label(), now.replace('\n', " ")),
                })
                .collect();
            let of =
                if matches!(section.shape, Shape::Fields(_)) { String::new() } else { format!(", {}", name(&was)) };
            format!("{table}{of}: {}", changed.join(", "))
        }
    }
}

/// Only what the program can work with is kept.
pub fn sound(text: &str) -> Result<(), String> {
    let (_, problems) = shop::read(text);
    match problems.first() {
        None => Ok(()),
        Some(problem) => {
            let help = problem.help.as_ref().map(|help| format!(" ({help})")).unwrap_or_default();
            Err(format!("{} Here is {}{help}.", problem.message, problem.expected))
        }
    }
}
