//! `sparewright demo`: the demo jobs as files to read and change, and their packs.

use std::path::Path;

use super::{Opened, Outcome, Refusal, ShopChoice, open, pack::write, say};
use crate::packed::packed;

#[derive(Debug, clap::Args)]
pub struct Arguments {}

const FOLDER: &str = "sparewright-demo";

/// Invented jobs of an orchard museum and a ropewalk.
pub const JOBS: &[(&str, &str)] = &[
    ("apple-mill-sector", include_str!("../../../../demo/apple-mill-sector.toml")),
    ("ropewalk-gear", include_str!("../../../../demo/ropewalk-gear.toml")),
    ("apple-mill-bush", include_str!("../../../../demo/apple-mill-bush.toml")),
    ("apple-mill-shaft", include_str!("../../../../demo/apple-mill-shaft.toml")),
    ("apple-mill-pins", include_str!("../../../../demo/apple-mill-pins.toml")),
];

/// The pictures that the jobs name.
pub const PICTURES: &[(&str, &[u8])] =
    &[("apple-mill-sector.png", include_bytes!("../../../../demo/apple-mill-sector.png"))];

/// A job file that is there already stays as it is, changed or not.
pub fn run(_arguments: &Arguments) -> Outcome {
    let folder = Path::new(FOLDER);
    let fail = |path: &Path, error: std::io::Error| {
        Refusal(format!(
            "{} cannot be written: {error}. Run the demo in a folder that may be written to.",
            path.display()
        ))
    };
    std::fs::create_dir_all(folder).map_err(|error| fail(folder, error))?;
    let today = jiff::ZonedDateTime::now().date();
    for (name, bytes) in PICTURES {
        let path = folder.join(name);
        if !path.exists() {
            std::fs::write(&path, bytes).map_err(|error| fail(&path, error))?;
        }
    }
    for (name, text) in JOBS {
        let path = folder.join(format!("{name}.toml"));
        if !path.exists() {
            std::fs::write(&path, text).map_err(|error| fail(&path, error))?;
        }
        let Opened { job, shop, problems, .. } = open(&path, &ShopChoice { shop: None })?;
        let job = job.filter(|_| problems.is_empty()).ok_or(Refusal(problems))?;
        for path in write(&packed(&job, &shop, &today).map_err(Refusal)?.files(name), folder)? {
            say(&format!("{}\n", path.display()))?;
        }
    }
    Ok(())
}
