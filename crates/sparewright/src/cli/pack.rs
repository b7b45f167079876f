//! `sparewright pack JOB.toml --into DIR`

use std::path::{Path, PathBuf};

use making::shop::Shop;

use super::{Opened, Outcome, Refusal, ShopChoice, open, say};
use crate::job::Job;
use crate::packed::packed;
use crate::solve::solve;
use crate::trades::{CHECK_PIECE, CUTTER, PROFILE, SOLID};

#[derive(Debug, clap::Args)]
pub struct Arguments {
    #[command(flatten)]
    files: Files,
}

/// What every verb that writes files takes.
#[derive(Debug, clap::Args)]
pub struct Files {
    /// The job file
    pub job: PathBuf,
    /// The folder to write into; it is made if it is not there
    #[arg(long, value_name = "DIR", default_value = ".")]
    pub into: PathBuf,
    /// Print what was written, and the result, as JSON
    #[arg(long)]
    pub json: bool,
    #[command(flatten)]
    shop: ShopChoice,
}

/// A pack is metal's last word: with a mistake in the job nothing is written.
pub fn run(arguments: &Arguments) -> Outcome {
    let (job, shop) = faultless(&arguments.files, "pack")?;
    let packed = packed(&job, &shop, &jiff::ZonedDateTime::now().date()).map_err(Refusal)?;
    let stem = stem(&arguments.files.job);
    let written = write(&packed.files(&stem), &arguments.files.into)?;
    if !packed.unprintable.is_empty() {
        let signs: String = packed.unprintable.iter().map(|sign| format!(" {sign}")).collect();
        eprintln!("The sheets have no letters for{signs}: they print as empty boxes.");
    }
    for why in &packed.trades.not_made {
        eprintln!("Files for other trades are missing. {why}");
    }
    if packed.quote.is_none() {
        eprintln!("No quote was written, for the price is not known. {}", packed.unpriced.join(" "));
    }
    for stale in stale(&written, &arguments.files.into, &stem) {
        eprintln!("{} is of an earlier pack and does not belong to this one.", stale.display());
    }
    if arguments.files.json {
        super::say_json(&packed.result)
    } else {
        say(&written.iter().map(|path| format!("{}\n", path.display())).collect::<String>())
    }
}

/// A job without a mistake and without a reading that cannot be, and the shop; `what` is what else would be written.
pub fn faultless(files: &Files, what: &str) -> Result<(Job, Shop), Refusal> {
    let opened = open(&files.job, &files.shop)?;
    let objections = opened.job.as_ref().map(|job| opened.objections(&solve(job, &opened.shop))).unwrap_or_default();
    let Opened { job, shop, problems, .. } = opened;
    let problems = problems + &objections;
    match job {
        Some(job) if problems.is_empty() => Ok((job, shop)),
        _ => Err(Refusal(format!(
            "{problems}\nNo {what} was written. Mend the job file first; `sparewright solve` shows what the rest gives."
        ))),
    }
}

/// Files that a pack may hold, that this one does not, and that stand there all the same.
fn stale(written: &[PathBuf], folder: &Path, stem: &str) -> Vec<PathBuf> {
    let all = ["-quote.pdf", "-template.svg", SOLID, CHECK_PIECE, PROFILE, CUTTER[0]];
    let paths = all.iter().map(|suffix| folder.join(format!("{stem}{suffix}")));
    paths.filter(|path| !written.contains(path) && path.exists()).collect()
}

/// Ends a verb that wrote files: their names, or the result with them.
pub fn told(written: &[PathBuf], result: &serde_json::Value, json: bool) -> Outcome {
    let names: Vec<String> = written.iter().map(|path| path.display().to_string()).collect();
    if !json {
        return say(&names.iter().map(|name| format!("{name}\n")).collect::<String>());
    }
    let mut result = result.clone();
    result["files"] = serde_json::json!(names);
    super::say_json(&result)
}

/// What the files of a job are called.
pub fn stem(job: &Path) -> String {
    job.file_stem().map_or_else(|| "job".into(), |stem| stem.to_string_lossy().into_owned())
}

/// Writes every file beside its place first and moves them all when all are whole, so that nothing is left half-written.
pub fn write(files: &[(String, Vec<u8>)], folder: &Path) -> Result<Vec<PathBuf>, Refusal> {
    let fail = |path: &Path, error: std::io::Error| {
        Refusal(format!(
            "{} cannot be written: {error}. Nothing was changed; choose another folder with --into.",
            path.display()
        ))
    };
    if folder.is_file() {
        return Err(fail(folder, std::io::Error::other("it is a file and no folder")));
    }
    std::fs::create_dir_all(folder).map_err(|error| fail(folder, error))?;
    // a rename that fails half-way would leave some files new and some old
    if let Some((name, _)) = files.iter().find(|(name, _)| folder.join(name).is_dir()) {
        let why = std::io::Error::other("a folder of that name is in the way");
        return Err(fail(&folder.join(name), why));
    }
    let mut waiting: Vec<(PathBuf, PathBuf)> = Vec::new();
    let tidy = |waiting: &[(PathBuf, PathBuf)]| waiting.iter().for_each(|(draft, _)| drop(std::fs::remove_file(draft)));
    for (name, bytes) in files {
        let (draft, path) = (folder.join(format!(".{name}.part")), folder.join(name));
        waiting.push((draft.clone(), path.clone()));
        if let Err(error) = std::fs::write(&draft, bytes) {
            tidy(&waiting);
            return Err(fail(&path, error));
        }
    }
    for (draft, path) in &waiting {
        if let Err(error) = std::fs::rename(draft, path) {
            tidy(&waiting);
            return Err(fail(path, error));
        }
    }
    Ok(waiting.into_iter().map(|(_, path)| path).collect())
}
