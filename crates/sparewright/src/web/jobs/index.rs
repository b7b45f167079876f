//! The records: all jobs.

use axum::extract::State;
use maud::html;

use crate::web::answer::{Answer, shown};
use crate::web::frame::{Frame, Tab, page};
use crate::web::state::App;

pub async fn index(State(app): State<App>) -> Answer {
    let ids = app.kept(|store| store.jobs()).await?;
    let mut rows = Vec::new();
    for id in ids {
        let kept = app.job(id.number()).await?;
        let worked = app.worked(&kept).await?;
        rows.push((id, worked.title.clone(), worked.subtitle.clone()));
    }
    let body = html! {
        header.head { h1 { "Records" } p.sub { "every job, and what it was" } }
        @if rows.is_empty() { (super::create::first()) }
        ul.records {
            @for (id, title, subtitle) in &rows {
                li { a href={ "/jobs/" (id) } { (title) } span.soft { (subtitle) } }
            }
        }
        (super::create::form())
    };
    Ok(shown(page(&Frame { title: "Records", at: Tab::Records, measure: "", ..Frame::default() }, &body)))
}
