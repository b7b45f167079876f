//! A new job: begun with its title, brought in as a job file, or the demo's.

use axum::extract::State;
use axum::{Extension, Form};
use maud::{Markup, html};
use record::By;
use serde::Deserialize;

use crate::cli::{JOBS, PICTURES};
use crate::job::edit::{Edit, edited};
use crate::web::answer::{Answer, Refused, see};
use crate::web::guard::Who;
use crate::web::state::App;

#[derive(Debug, Deserialize)]
pub struct Begun {
    title: String,
    #[serde(default)]
    units: String,
}

/// An empty job in the unit it will be measured in.
pub async fn create(State(app): State<App>, Extension(who): Extension<Who>, Form(begun): Form<Begun>) -> Answer {
    let title = begun.title.trim();
    if title.is_empty() {
        return Err(Refused::wrong("A job needs a title: what the part is, and what it belongs to."));
    }
    let (units, heritage) = if begun.units == "mm" { ("mm", "metric") } else { ("in", "inch") };
    let start = format!("title    = \"\"\nunits    = \"{units}\"\nheritage = \"{heritage}\"\n");
    let text =
        edited(&start, &Edit::SetHead { field: "title".into(), value: Some(title.into()) }).map_err(Refused::wrong)?;
    let id = app.kept(move |store| store.add(&text, "began it", By::now(who.name()))).await?;
    Ok(see(&format!("/jobs/{id}")))
}

/// The demo's jobs, to look round in.
pub async fn demo(State(app): State<App>, Extension(who): Extension<Who>) -> Answer {
    app.kept(move |store| {
        for (_, text) in JOBS {
            let id = store.add(text, "put in with the demo", By::now(who.name()))?;
            for (name, bytes) in PICTURES.iter().filter(|(name, _)| text.contains(name)) {
                store.attach(id, name, bytes, By::now(who.name()))?;
            }
        }
        Ok(())
    })
    .await?;
    Ok(see("/"))
}

pub fn form() -> Markup {
    html! {
        form.new method="post" action="/jobs" {
            h2 { "Begin a job" }
            div.row {
                div.grow {
                    label for="title" { "What is the part, and what does it belong to?" }
                    input #title name="title" maxlength="200" required placeholder="Feed sector for the apple mill" autocomplete="off";
                }
                div {
                    label for="units" { "Measured in" }
                    select #units name="units" { option value="in" { "inches" } option value="mm" { "millimetres" } }
                }
                button.act type="submit" { "Begin" }
            }
        }
    }
}

/// For a notebook with nothing in it yet.
pub fn first() -> Markup {
    html! {
        p { "Nothing is written here yet. Begin with the part that lies on the bench, or look round first in the demo’s jobs: an orchard museum’s apple mill and a ropewalk’s gear." }
        form method="post" action="/demo" { button.act.quiet type="submit" { "Put in the demo’s jobs" } }
    }
}
