//! What a job says about itself: title, units, material, what is to be made.

use std::collections::BTreeMap;

use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::IntoResponse;
use axum::{Extension, Form};
use maud::{Markup, html};

use super::about::Filled;
use super::features::value;
use super::units::Bare;
use super::{Entered, changed, job_page};
use crate::job;
use crate::job::edit::{Edit, edited};
use crate::web::answer::{Answer, Refused, see, shown};
use crate::web::frame::{Frame, Tab, page};
use crate::web::guard::Who;
use crate::web::state::App;
use crate::worked::{Field, Worked};

pub async fn fill(
    State(app): State<App>,
    Path(id): Path<i64>,
    Extension(who): Extension<Who>,
    Form(typed): Form<BTreeMap<String, String>>,
) -> Answer {
    let kept = app.job(id).await?;
    let worked = app.worked(&kept).await?;
    let filled: Vec<(&Field, &String)> = worked
        .head
        .iter()
        .filter_map(|field| Some((field, typed.get(field.name)?)))
        .filter(|(field, text)| text.trim() != field.value.trim())
        .collect();
    let edit = |field: &Field, text: &str| Edit::SetHead { field: field.name.into(), value: value(field.shape, text) };
    let shop = app.shop()?;
    let edits: Vec<(&str, Edit)> = filled.iter().map(|(field, text)| (field.name, edit(field, text))).collect();
    let faults = faults(&kept.text, &edits, &shop.instruments)?;
    if !faults.is_empty() {
        let entered = Entered { about: Some(Filled { typed, faults }), ..Entered::default() };
        let page = job_page(&app, &kept, &worked, &entered).await?;
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, shown(page)).into_response());
    }
    let units = filled.iter().find(|(field, _)| field.name == "units").map(|(field, text)| (&field.value, text.trim()));
    if let Some((was, to)) = units.filter(|_| typed.get("sure").map(String::as_str) != Some("units")) {
        let bare = Bare::of(&worked, &shop.instruments);
        if !bare.is_none() {
            let page = units_asked(id, &worked, &typed, bare, (was, to));
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, shown(page)).into_response());
        }
    }
    for (_, edit) in edits {
        changed(&app, id, &who, edit).await?;
    }
    // back to where it was filled in, which is a page of this job
    let then = typed.get("then").filter(|then| then.starts_with(&format!("/jobs/{id}/")) && !then.contains(".."));
    Ok(see(then.unwrap_or(&format!("/jobs/{id}"))))
}

/// What is wrong with a job once a field is filled in that was not wrong before, by the field.
fn faults(
    text: &str,
    edits: &[(&str, Edit)],
    instruments: &[quantity::Instrument],
) -> Answer<BTreeMap<String, String>> {
    let messages = |text: &str| -> Vec<(String, String)> {
        let (_, problems) = job::read(text, features::kinds(), instruments);
        problems.into_iter().map(|problem| (problem.message, problem.help.unwrap_or(problem.expected))).collect()
    };
    let mut faults = BTreeMap::new();
    for (field, edit) in edits {
        // another unit may make readings wrong: those are told where they stand
        if *field == "units" {
            continue;
        }
        let before = messages(text);
        let after = messages(&edited(text, edit).map_err(Refused::wrong)?);
        if let Some((message, help)) = after.into_iter().find(|one| !before.contains(one)) {
            faults.insert((*field).to_string(), format!("{message} {}", super::sentence(&help)));
        }
    }
    Ok(faults)
}

/// The same figures would be other sizes: that is asked for.
fn units_asked(
    id: i64,
    worked: &Worked,
    typed: &BTreeMap<String, String>,
    bare: Bare,
    (was, to): (&str, &str),
) -> Markup {
    let said = |unit: &str| match unit {
        "mm" => "millimetres",
        "in" | "" => "inches",
        _ => "another unit",
    };
    let body = html! {
        header.head { div.grow { h1 { "Other units?" } p.sub { a href={ "/jobs/" (id) } { (worked.title) } } } }
        p.refused { "In this job there are figures without a unit: " (bare.says()) ". They mean " (said(was)) " now. If the job’s unit is changed, the same figures will mean " (said(to)) ": they are not converted." }
        div.row {
            form method="post" action={ "/jobs/" (id) "/head" } {
                @for (name, value) in typed { input type="hidden" name=(name) value=(value); }
                input type="hidden" name="sure" value="units";
                button.act type="submit" { "They were meant as " (said(to)) }
            }
            a.act.quiet href={ "/jobs/" (id) } { "Leave it at " (said(was)) }
        }
        p.soft { "A single figure of the other unit is written with its unit: 2.301 in, 58.45 mm." }
    };
    page(&Frame { title: "Other units?", at: Tab::Records, ..Frame::default() }, &body)
}
