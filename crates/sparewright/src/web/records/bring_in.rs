//! Jobs brought in: a job file, or an archive that was taken out here or elsewhere.

use std::io::Cursor;

use axum::Extension;
use axum::body::Bytes;
use axum::extract::{Multipart, State};
use maud::{Markup, html};
use record::{Archive, BroughtIn, By};

use crate::web::answer::{Answer, Refused, see, shown};
use crate::web::frame::{Frame, Tab, page};
use crate::web::guard::Who;
use crate::web::state::App;

pub async fn show() -> Answer {
    Ok(shown(form(None)))
}

pub async fn bring_in(State(app): State<App>, Extension(who): Extension<Who>, sent: Multipart) -> Answer {
    let Some(bytes) = only_file(sent).await? else {
        return Err(Refused::wrong("No file was chosen. Choose a job file or an archive and send it again."));
    };
    let brought = kept(&app, &who, bytes.into()).await?;
    match (brought.added.as_slice(), brought.grown.as_slice()) {
        ([(_, id)], []) => Ok(see(&format!("/jobs/{id}"))),
        _ => Ok(shown(form(Some(&brought)))),
    }
}

/// What came of a file: all of it is kept, or nothing.
pub async fn kept(app: &App, who: &Who, bytes: Bytes) -> Answer<BroughtIn> {
    let who = who.name().to_string();
    // as every ZIP file with something in it begins (APPNOTE.TXT 4.3.7)
    if !bytes.starts_with(b"PK\x03\x04") {
        let text = crate::text_of(&bytes).map_err(Refused::wrong)?.to_string();
        let id = app.kept(move |store| store.add(&text, "brought in", By::now(&who))).await?;
        return Ok(BroughtIn { added: vec![(id.number(), id)], ..BroughtIn::default() });
    }
    let brought =
        app.kept(move |store| store.bring_in(&mut Archive::open(Cursor::new(&bytes[..]))?, By::now(&who))).await?;
    if brought.shop {
        app.kept({
            let app = app.clone();
            move |_| app.reload_shop()
        })
        .await?;
    }
    // their pictures may be others now
    brought.grown.iter().for_each(|id| app.forget(*id));
    app.freshen();
    Ok(brought)
}

/// The content of the file in a form; none where no file was chosen.
pub async fn only_file(mut sent: Multipart) -> Answer<Option<Vec<u8>>> {
    let bad = |_| Refused::wrong("This did not come as a form with a file in it; nothing was taken.");
    while let Some(field) = sent.next_field().await.map_err(bad)? {
        if field.name() == Some("file") {
            let bytes = field.bytes().await.map_err(bad)?;
            return Ok((!bytes.is_empty()).then(|| bytes.to_vec()));
        }
    }
    Ok(None)
}

fn form(brought: Option<&BroughtIn>) -> Markup {
    let body = html! {
        header.head { h1 { "Bring jobs in" } p.sub { "a job file, or an archive that was taken out here or in another shop" } }
        @if let Some(brought) = brought {
            p role="status" {
                (came(brought)) "."
                @if brought.shop { " The shop came with them." }
                " " a href="/" { "To the records" }
            }
        }
        form method="post" action="/import" enctype="multipart/form-data" {
            label for="file" { "Job file (.toml) or archive (.zip)" }
            input #file type="file" name="file" accept=".toml,.zip" required;
            div.row { button.act type="submit" { "Bring it in" } a.act.quiet href="/" { "Leave it" } }
        }
        p.soft { "A job that is here already, by its whole history, is left alone or goes on as it did elsewhere; any other is new. Nothing that is here is overwritten. An archive in which anything is not as it should be is refused as a whole." }
    };
    page(&Frame { title: "Bring jobs in", at: Tab::Records, measure: "narrow", ..Frame::default() }, &body)
}

/// "2 jobs are new here; one has gone on": only of what there was.
fn came(brought: &BroughtIn) -> String {
    let told = [
        count(brought.added.len(), "job is new here", "jobs are new here"),
        count(brought.grown.len(), "has gone on", "have gone on"),
        count(brought.known.len(), "was here already", "were here already"),
    ];
    let told: Vec<String> = told.into_iter().flatten().collect();
    if told.is_empty() { "There was no job in it".into() } else { told.join("; ") }
}

fn count(number: usize, one: &str, many: &str) -> Option<String> {
    match number {
        0 => None,
        1 => Some(format!("one {one}")),
        number => Some(format!("{number} {many}")),
    }
}
