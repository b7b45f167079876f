//! Every change, the latest first.

use axum::extract::{Path, State};
use maud::{Markup, html};
use record::Change;

use super::{Of, time};
use crate::web::answer::{Answer, shown};
use crate::web::frame::{Frame, Tab, page};
use crate::web::state::App;

pub async fn of_job(State(app): State<App>, Path(id): Path<i64>) -> Answer {
    let kept = app.job(id).await?;
    let worked = app.worked(&kept).await?;
    let changes = app.kept(move |store| Of::Job(kept.id).changes(store)).await?;
    let off = changes.first().is_some_and(|change| change.removed);
    let body = html! {
        header.head {
            h1 { a href={ "/jobs/" (id) } { (worked.title) } }
            p.sub { "everything that was done to job " (id) "; nothing is ever lost" }
            div.acts {
                form method="post" action={ "/jobs/" (id) "/copy" } { button.act.quiet type="submit" { "Copy for a repeat order" } }
                a.act.quiet href={ "/jobs/" (id) "/job.zip" } download { "Take it out as a file" }
                @if !off { form method="post" action={ "/jobs/" (id) "/remove" } { button.act.quiet type="submit" { "Take it off the list" } } }
            }
        }
        @if off { p.refused { "This job is off the list. Bring back any state of it to put it on again." } }
        (list(Of::Job(kept.id), &changes))
    };
    Ok(shown(page(&Frame { title: "History", at: Tab::Records, ..Frame::default() }, &body)))
}

pub async fn of_shop(State(app): State<App>) -> Answer {
    let changes = app.kept(|store| Of::Shop.changes(store)).await?;
    let body = html! {
        header.head { h1 { a href="/shop" { "Shop" } } p.sub { "everything that was changed in it" } }
        @if changes.is_empty() { p.soft { "This is still the small shop that came with the program; nothing was changed in it." } }
        (list(Of::Shop, &changes))
    };
    Ok(shown(page(&Frame { title: "History of the shop", at: Tab::Shop, ..Frame::default() }, &body)))
}

fn list(of: Of, changes: &[Change]) -> Markup {
    let place = of.place();
    html! {
        ol.changes reversed start=(changes.first().map_or(0, |change| change.version)) {
            @for change in changes {
                li {
                    div.grow {
                        a href={ (place) "/history/" (change.version) } { (time(change.at)) }
                        p { (change.what) span.soft { ", " (change.who) } }
                    }
                    span.soft.num { (change.version) }
                }
            }
        }
    }
}
