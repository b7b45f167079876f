//! The backups there are.

use axum::extract::State;
use maud::{Markup, html};
use record::Backup;

use crate::web::answer::{Answer, shown};
use crate::web::frame::{Frame, Tab, page};
use crate::web::history::time;
use crate::web::state::App;

pub async fn show(State(app): State<App>) -> Answer {
    let backups = super::of(&app)?;
    let folder = backups.folder().display().to_string();
    let list = all(&app).await?;
    let body = html! {
        header.head {
            div.grow { h1 { "Backups" } p.sub { "whole copies of the records, made while they are in use and looked through page by page" } }
            form.acts method="post" action="/backups" { button.act type="submit" { "Make one now" } }
        }
        p { "One is made each day the notebook is open. The last ten stay, and of each of the last thirty days the last one. They lie in " span.num { (folder) } "; a copy of one on another disk, in another house, is the one that survives a fire." }
        @if list.is_empty() { p.soft { "There is none yet." } }
        ul.records { @for backup in &list { (row(backup)) } }
    };
    Ok(shown(page(&Frame { title: "Backups", at: Tab::Records, ..Frame::default() }, &body)))
}

/// The newest first.
pub async fn all(app: &App) -> Answer<Vec<Backup>> {
    let backups = super::of(app)?;
    app.kept(move |_| backups.list()).await
}

fn row(backup: &Backup) -> Markup {
    let name = super::name(backup);
    html! {
        li {
            div.grow {
                b { (time(backup.at)) }
                p.soft { @if backup.before_restoring { "kept because an older state took its place; " } (megabytes(backup.bytes)) }
            }
            details {
                summary { "Go back to it" }
                p { "All jobs and the shop become what they were then. What they are now is kept as a backup first, and can be gone back to in the same way. Devices stay let in or sent away as they are now." }
                form method="post" action={ "/backups/" (name) "/restore" } { button.act type="submit" { "Go back to " (time(backup.at)) } }
            }
        }
    }
}

fn megabytes(bytes: u64) -> String {
    format!("{:.1} MB", bytes as f64 / 1e6)
}
