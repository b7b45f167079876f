//! The pictures of a job, and where to put in another.

use axum::extract::{Path, State};
use maud::html;

use crate::web::answer::{Answer, shown};
use crate::web::frame::{Frame, Tab, page};
use crate::web::jobs::urlencoded;
use crate::web::state::App;

pub async fn list(State(app): State<App>, Path(id): Path<i64>) -> Answer {
    let kept = app.job(id).await?;
    let worked = app.worked(&kept).await?;
    let pictures = app.kept(move |store| store.attachments(kept.id)).await?;
    let body = html! {
        header.head { div.grow { h1 { "Scans" } p.sub { a href={ "/jobs/" (id) } { (worked.title) } } } }
        p { "Lay the part on the glass, its flat face down, on a plain sheet clearly lighter or darker than it, with a round gauge of known diameter beside it. Scan at 300 to 600 dots to the inch without sharpening. A photograph shows the shape too, but a camera’s perspective is no scale: trust only what a gauge in the same plane bears out." }
        form.put #put data-to={ "/api/jobs/" (id) "/pictures/" } data-then={ "/jobs/" (id) "/pictures/" } {
            label for="picture" { "A scan or photograph: PNG, JPEG, TIFF or BMP" }
            input #picture type="file" accept="image/png,image/jpeg,image/tiff,image/bmp" data-key="n";
            label for="camera" { "Or take one now" }
            input #camera type="file" accept="image/*" capture="environment";
            progress #sent max="1" value="0" aria-label="How much of the picture is sent" hidden {}
            p #put-says role="status" {}
            noscript { p { "Putting pictures in needs this page’s script." } }
        }
        @if !pictures.is_empty() {
            ul.records {
                @for picture in &pictures {
                    li { a href={ "/jobs/" (id) "/pictures/" (urlencoded(&picture.name)) } { (picture.name) }
                        span.soft { (format!("{:.1} MB", picture.bytes as f64 / 1e6)) } }
                }
            }
        }
    };
    Ok(shown(page(&Frame { title: "Scans", at: Tab::Records, measure: "", script: Some("scan.js") }, &body)))
}
