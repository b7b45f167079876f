//! Features of a job: put in, taken out, their fields filled in.

use std::collections::BTreeMap;

use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::IntoResponse;
use axum::{Extension, Form};
use maud::{Markup, html};
use part::FieldShape;
use serde::Deserialize;
use toml_edit::Value;

use super::{Target, changed};
use crate::job::edit::{Edit, lost_without};
use crate::web::answer::{Answer, Refused, see, shown};
use crate::web::frame::{Frame, Tab, page};
use crate::web::guard::Who;
use crate::web::state::App;
use crate::worked::kind;

#[derive(Debug, Deserialize)]
pub struct New {
    #[serde(default)]
    name: String,
    kind: String,
}

pub async fn add(
    State(app): State<App>,
    Path(id): Path<i64>,
    Extension(who): Extension<Who>,
    Form(new): Form<New>,
) -> Answer {
    let kind = kind(&new.kind).ok_or(Refused::wrong("There is no such kind of feature."))?;
    changed(&app, id, &who, Edit::AddFeature { name: new.name, kind: kind.name().into() }).await?;
    let kept = app.job(id).await?;
    let last = app.worked(&kept).await?.entries.iter().filter(|entry| !entry.at.mate).count().saturating_sub(1);
    Ok(see(&format!("/jobs/{id}?at=feature-{last}#line")))
}

#[derive(Debug, Deserialize)]
pub struct Gone {
    at: Target,
    name: String,
    /// It was asked whether what hangs on it may go too.
    #[serde(default)]
    sure: bool,
}

pub async fn remove(
    State(app): State<App>,
    Path(id): Path<i64>,
    Extension(who): Extension<Who>,
    Form(gone): Form<Gone>,
) -> Answer {
    let kept = app.job(id).await?;
    let lost = lost_without(&kept.text, &gone.name);
    if !gone.sure && !gone.at.0.mate && !lost.is_empty() {
        let worked = app.worked(&kept).await?;
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, shown(asked(id, &worked.title, &gone, &lost))).into_response());
    }
    changed(&app, id, &who, Edit::RemoveFeature { at: gone.at.0, name: gone.name, with_all: gone.sure }).await?;
    Ok(see(&format!("/jobs/{id}#readings")))
}

/// What would be lost with a feature, before it is.
fn asked(id: i64, title: &str, gone: &Gone, lost: &[String]) -> Markup {
    let body = html! {
        header.head { div.grow { h1 { "Take " (gone.name) " out?" } p.sub { a href={ "/jobs/" (id) } { (title) } } } }
        p { "This would be lost with it:" }
        ul { @for one in lost { li { (one) } } }
        div.row {
            form method="post" action={ "/jobs/" (id) "/features/remove" } {
                input type="hidden" name="at" value=(gone.at);
                input type="hidden" name="name" value=(gone.name);
                input type="hidden" name="sure" value="true";
                button.act type="submit" { "Take it out with all of that" }
            }
            a.act.quiet href={ "/jobs/" (id) "#" (gone.at) } { "Leave it in" }
        }
        p.soft { "The history of the job brings it back." }
    };
    page(&Frame { title: "Take it out?", at: Tab::Records, ..Frame::default() }, &body)
}

/// The fields of one feature, as they stand in the form; an empty one is taken out.
pub async fn fill(
    State(app): State<App>,
    Path(id): Path<i64>,
    Extension(who): Extension<Who>,
    Form(typed): Form<BTreeMap<String, String>>,
) -> Answer {
    let at = typed.get("at").cloned().ok_or(Refused::wrong("Of which feature?"))?;
    let Target(at) = Target::try_from(at).map_err(Refused::wrong)?;
    let kept = app.job(id).await?;
    let worked = app.worked(&kept).await?;
    let entry = worked.entry(at).ok_or(Refused::missing("feature"))?;
    if let Some(name) = typed.get("name").filter(|name| name.trim() != entry.name) {
        changed(&app, id, &who, Edit::Rename { at, to: name.clone() }).await?;
    }
    for field in &entry.fields {
        let Some(text) = typed.get(field.name).map(|text| text.replace("\r\n", "\n")) else { continue };
        if text.trim() != field.value.trim() {
            let value = value(field.shape, &text);
            changed(&app, id, &who, Edit::SetField { at, field: field.name.into(), value }).await?;
        }
    }
    Ok(see(&format!("/jobs/{id}#{}", Target(at))))
}

/// What is typed for a field, as it is written in the job; none where nothing is. What is wrong with it shows on the page.
pub fn value(shape: FieldShape, text: &str) -> Option<Value> {
    let text = text.trim();
    if text.is_empty() {
        return None;
    }
    Some(match shape {
        FieldShape::YesNo if text == "true" || text == "false" => (text == "true").into(),
        FieldShape::Count => text.parse::<i64>().map_or_else(|_| text.into(), Value::from),
        FieldShape::Lines => text.lines().map(str::trim).filter(|line| !line.is_empty()).map(Value::from).collect(),
        FieldShape::YesNo | FieldShape::Text | FieldShape::Size | FieldShape::OneOf(_) => text.into(),
    })
}
