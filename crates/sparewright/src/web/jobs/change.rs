//! A change to a job: read, edited, written, each against the text it was made on.

use quantity::quoted;
use serde::Deserialize;

use crate::job::edit::{Edit, Place, edited};
use crate::web::answer::{Answer, Refused};
use crate::web::guard::Who;
use crate::web::state::App;

/// A feature as forms name it: `feature-0`, `mate-1`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(try_from = "String")]
pub struct Target(pub Place);

impl TryFrom<String> for Target {
    type Error = String;

    fn try_from(text: String) -> Result<Target, String> {
        let (what, index) = text.split_once('-').ok_or("no feature is named so")?;
        let index = index.parse().map_err(|_| "no feature is numbered so")?;
        match what {
            "feature" => Ok(Target(Place { mate: false, index })),
            "mate" => Ok(Target(Place { mate: true, index })),
            _ => Err("no feature is named so".into()),
        }
    }
}

impl std::fmt::Display for Target {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}-{}", if self.0.mate { "mate" } else { "feature" }, self.0.index)
    }
}

/// Times a change is made anew on a text that a program has just saved.
const TRIES: u32 = 4;

/// Makes a change on the job as it is now. What another device has written meanwhile is the text it is made on.
pub async fn changed(app: &App, id: i64, who: &Who, edit: Edit) -> Answer<()> {
    let _turn = app.editing().await;
    for _ in 1..TRIES {
        match once(app, id, who, &edit).await {
            Err(refused) if refused.status == axum::http::StatusCode::CONFLICT => {}
            done => return done,
        }
    }
    once(app, id, who, &edit).await
}

async fn once(app: &App, id: i64, who: &Who, edit: &Edit) -> Answer<()> {
    let kept = app.job(id).await?;
    let text = edited(&kept.text, edit).map_err(Refused::wrong)?;
    if text.len() > crate::LARGEST_FILE {
        return Err(Refused::wrong("The job would become longer than a job can be; nothing was added."));
    }
    if text == kept.text {
        return Ok(());
    }
    app.save(&kept, text, what(edit), who).await
}

/// For the history.
fn what(edit: &Edit) -> String {
    match edit {
        Edit::AddLine { text, .. } => format!("wrote {}", quoted(text)),
        Edit::SetLine { was, text, .. } => format!("changed {} to {}", quoted(was), quoted(text)),
        Edit::RemoveLine { was, .. } => format!("took out {}", quoted(was)),
        Edit::AddFeature { name, kind } => {
            format!("put in {}", quoted(if name.trim().is_empty() { kind } else { name }))
        }
        Edit::Rename { to, .. } => format!("gave a feature the name {}", quoted(to)),
        Edit::RemoveFeature { name, .. } => format!("took out {}", quoted(name)),
        Edit::AddPieceLine { piece, text, .. } => format!("wrote {} of piece {piece}", quoted(text)),
        Edit::RemovePieceLine { piece, was, .. } => format!("took out {} of piece {piece}", quoted(was)),
        Edit::SetPieceField { piece, field, .. } => format!("filled in {field} of piece {piece}"),
        Edit::SetField { field, .. } | Edit::SetHead { field, .. } => format!("filled in {field}"),
    }
}
