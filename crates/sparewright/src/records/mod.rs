//! The shop's records as a person asks for them: where they are kept, what a job is found by, what a question means.

mod facts;
mod query;

use std::path::PathBuf;

pub use facts::{SCHEME, facts};
pub use query::{query, understood};

/// Where the records are kept if nothing else is said: the user's data folder, as the XDG base directory specification
/// (freedesktop.org, version 0.8) has it, or what stands for it elsewhere.
pub fn usual_place() -> Option<PathBuf> {
    let set = |name: &str| std::env::var_os(name).filter(|value| !value.is_empty()).map(PathBuf::from);
    // the specification has a relative path passed over
    let folder = set("XDG_DATA_HOME").filter(|path| path.is_absolute()).or_else(|| match cfg!(windows) {
        true => set("LOCALAPPDATA"),
        false => set("HOME").map(|home| home.join(".local").join("share")),
    });
    folder.map(|folder| folder.join("sparewright").join("records.db"))
}
