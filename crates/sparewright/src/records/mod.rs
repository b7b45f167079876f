//! The shop's records as a person asks for them: where they are kept, what a job is found by, what a question means.

mod facts;
mod query;

use std::path::PathBuf;

use record::{Facts, JobId, Store};

pub use facts::{SCHEME, facts, facts_of, facts_of_broken};
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

/// Has every job that has changed found again by what it is now. `facts` are those of a job's text.
pub fn refresh(store: &Store, facts: impl Fn(JobId, &str) -> Facts) -> record::Result<()> {
    store.facts_scheme(SCHEME)?;
    loop {
        let waiting = store.unindexed(AT_ONCE)?;
        for id in &waiting {
            let kept = store.job(*id)?;
            store.index(*id, kept.version, &facts(*id, &kept.text))?;
        }
        if waiting.len() < AT_ONCE {
            return Ok(());
        }
    }
}

/// So many are asked for at once.
const AT_ONCE: usize = 64;
