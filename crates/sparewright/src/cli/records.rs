//! `sparewright records …`: the shop's records from the command line.

use std::path::{Path, PathBuf};

use jiff::Timestamp;
use jiff::tz::TimeZone;
use record::{Archive, Backup, Backups, By, Edit, JobId, Keep, Saved, Store, restore_closed};

use super::{Outcome, Refusal, ShopChoice, read_file, say};
use crate::records::{facts, query, refresh, understood, usual_place};
use crate::web::jobs::pictures::{Attached, Measured};

/// Where the records are.
#[derive(Clone, Debug, clap::Args)]
pub struct StoreChoice {
    /// The file that all jobs are kept in; without it, one in your own data folder
    #[arg(long, value_name = "FILE")]
    store: Option<PathBuf>,
}

#[derive(Debug, clap::Subcommand)]
pub enum Verb {
    /// List jobs, found by words and by what they are: 44 teeth 10 dp, bore 7/8 apple mill
    Find {
        /// What is looked for; all jobs without it, the latest changed first
        words: Vec<String>,
        /// At most so many
        #[arg(long, default_value_t = 50)]
        most: usize,
        #[command(flatten)]
        store: StoreChoice,
    },
    /// Put job files into the records, with the pictures they name
    Add {
        #[arg(required = true)]
        jobs: Vec<PathBuf>,
        #[command(flatten)]
        store: StoreChoice,
    },
    /// Write a job with its pictures into a folder
    Write {
        job: JobId,
        /// The folder to write into; it is made if it is not there
        #[arg(long, value_name = "DIR")]
        into: PathBuf,
        /// The state it was in at this version, instead of the present one
        #[arg(long)]
        version: Option<u32>,
        #[command(flatten)]
        store: StoreChoice,
    },
    /// Tell everything that was done to a job
    History {
        job: JobId,
        #[command(flatten)]
        store: StoreChoice,
    },
    /// Make an earlier state of a job the present one
    BringBack {
        job: JobId,
        version: u32,
        #[command(flatten)]
        store: StoreChoice,
    },
    /// Write jobs with all that belongs to them into one file
    TakeOut {
        /// The archive to write
        file: PathBuf,
        /// The jobs
        jobs: Vec<JobId>,
        /// Every job, and the shop
        #[arg(long, conflicts_with = "jobs")]
        all: bool,
        #[command(flatten)]
        store: StoreChoice,
    },
    /// Take over jobs from an archive
    BringIn {
        file: PathBuf,
        #[command(flatten)]
        store: StoreChoice,
    },
    /// Make a backup, also while the notebook is open
    BackUp {
        /// The folder the backups are in; without it, one beside the records
        #[arg(long, value_name = "DIR")]
        folder: Option<PathBuf>,
        #[command(flatten)]
        store: StoreChoice,
    },
    /// List the backups
    Backups {
        #[arg(long, value_name = "DIR")]
        folder: Option<PathBuf>,
        #[command(flatten)]
        store: StoreChoice,
    },
    /// Go back to a backup; what the records are now is kept as another
    Restore {
        /// A backup: its name as it is listed, or its file
        backup: PathBuf,
        #[arg(long, value_name = "DIR")]
        folder: Option<PathBuf>,
        #[command(flatten)]
        store: StoreChoice,
    },
}

pub fn run(verb: &Verb) -> Outcome {
    match verb {
        Verb::Find { words, most, store } => find(&open(store)?, &words.join(" "), *most),
        Verb::Add { jobs, store } => add(&open(store)?, jobs),
        Verb::Write { job, into, version, store } => write(&open(store)?, *job, *version, into),
        Verb::History { job, store } => history(&open(store)?, *job),
        Verb::BringBack { job, version, store } => {
            let now = open(store)?.bring_back(*job, *version, by(&who())).map_err(refusal)?;
            say(&format!("Job {job} is again what it was at version {version}; this is its version {now}.\n"))
        }
        Verb::TakeOut { file, jobs, all, store } => take_out(&open(store)?, file, jobs, *all),
        Verb::BringIn { file, store } => bring_in(&open(store)?, file),
        Verb::BackUp { folder, store } => {
            let (store, backups) = with_backups(store, folder)?;
            let made = backups.make(&store, Timestamp::now(), Keep::default()).map_err(refusal)?;
            say(&format!("{}\n", made.path.display()))
        }
        Verb::Backups { folder, store } => {
            let list = of_folder(&place(store.store.as_deref())?, folder).list().map_err(refusal)?;
            say(&list.iter().map(listed).collect::<String>())
        }
        Verb::Restore { backup, folder, store } => restore(backup, &place(store.store.as_deref())?, folder),
    }
}

/// The file of the records, as it is named or where it usually is.
pub fn place(named: Option<&Path>) -> Result<PathBuf, Refusal> {
    named.map(Path::to_path_buf).or_else(usual_place).ok_or_else(|| {
        Refusal("There is no folder of your own to keep the records in: name a file with --store.".into())
    })
}

/// Puts the shop file that was named into the records, where it is another than theirs; one that only lies in this folder, where
/// they have none.
pub fn take_over(store: &Path, choice: &ShopChoice) -> Outcome {
    let beside = std::env::current_dir().ok().map(|folder| folder.join("shop.toml")).filter(|path| path.is_file());
    let Some(path) = choice.shop.clone().or(beside) else { return Ok(()) };
    choice.open(std::env::current_dir().ok().as_deref())?;
    let text = read_file(&path)?;
    let store = Store::open(store).map_err(refusal)?;
    let kept = store.shop().map_err(refusal)?;
    if kept.is_some() && choice.shop.is_none() {
        return Ok(());
    }
    let what = format!("put in from {}", file_name(&path));
    let edit = Edit { base: kept.map_or(0, |kept| kept.version), text: &text, what: &what };
    match store.save_shop(edit, by(&who())).map_err(refusal)? {
        Saved::Done { .. } | Saved::Merged { .. } => Ok(()),
        Saved::Conflict { .. } => Err(Refusal("The shop was changed at this very moment; try again.".into())),
    }
}

fn open(choice: &StoreChoice) -> Result<Store, Refusal> {
    Store::open(&place(choice.store.as_deref())?).map_err(refusal)
}

fn refusal(error: record::Error) -> Refusal {
    Refusal(error.to_string())
}

/// Who is at the keyboard, as the system calls them.
fn who() -> String {
    let known = ["USER", "USERNAME"].iter().find_map(|name| std::env::var(name).ok());
    known.filter(|name| !name.trim().is_empty()).unwrap_or_else(|| "the command line".into())
}

fn by(who: &str) -> By<'_> {
    By::now(who)
}

fn find(store: &Store, words: &str, most: usize) -> Outcome {
    let (shop, measured) = (shop(store)?, Measured::default());
    refresh(store, |id, text| facts(text, &shop, &Attached::new(store, &measured, id))).map_err(refusal)?;
    let measures = store.measures().map_err(refusal)?;
    let found = store.search(&query(words, &measures, most)).map_err(refusal)?;
    let mut out = String::new();
    for hit in &found.hits {
        out += &format!("{:>6}  {}\n        {}\n", hit.id.to_string(), plain(&hit.title), plain(&hit.summary));
    }
    let meant = understood(words, &measures).join(" · ");
    let meant = if meant.is_empty() { String::new() } else { format!(" with {meant}") };
    say(&format!("{out}{} of {} jobs{}\n", found.hits.len(), found.total, plain(&meant)))
}

fn shop(store: &Store) -> Result<making::shop::Shop, Refusal> {
    let kept = store.shop().map_err(refusal)?;
    Ok(kept.and_then(|kept| crate::shop::read(&kept.text).0).unwrap_or_else(crate::shop::built_in))
}

/// A text out of the records may hold signs that a terminal would obey.
fn plain(text: &str) -> String {
    text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect()
}

fn add(store: &Store, jobs: &[PathBuf]) -> Outcome {
    // all are read before any is kept
    let mut read = Vec::new();
    for path in jobs {
        let text = read_file(path)?;
        let folder = path.parent().unwrap_or(Path::new(""));
        let mut pictures = Vec::new();
        for name in pictures_of(&text) {
            let name = record::plain_name(&name).map_err(refusal)?.to_string();
            let file = folder.join(&name);
            let bytes = std::fs::read(&file).map_err(|error| {
                Refusal(format!("{} cannot be read: {error}. {} names it.", file.display(), path.display()))
            })?;
            pictures.push((name, bytes));
        }
        read.push((text, pictures));
    }
    let who = who();
    let mut out = String::new();
    for ((text, pictures), path) in read.into_iter().zip(jobs) {
        let id = store.add(&text, &format!("put in from {}", file_name(path)), by(&who)).map_err(refusal)?;
        for (name, bytes) in pictures {
            store.attach(id, &name, &bytes, by(&who)).map_err(refusal)?;
        }
        out += &format!("{} is job {id}.\n", path.display());
    }
    say(&out)
}

/// Where it lay is nobody's affair who reads the history elsewhere.
fn file_name(path: &Path) -> String {
    path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default()
}

/// The pictures that a job's features and mates name, each once; none where it is not TOML.
fn pictures_of(text: &str) -> Vec<String> {
    let table: toml::Table = text.parse().unwrap_or_default();
    let entries = ["feature", "mate"].iter().filter_map(|key| table.get(*key)?.as_array()).flatten();
    let mut names: Vec<String> =
        entries.filter_map(|entry| Some(entry.get("scan")?.as_str()?.trim().to_string())).collect();
    names.sort();
    names.dedup();
    names
}

fn write(store: &Store, job: JobId, version: Option<u32>, into: &Path) -> Outcome {
    let version = match version {
        Some(version) => version,
        None => store.job(job).map_err(refusal)?.version,
    };
    let kept = store.at(job, version).map_err(refusal)?;
    let mut files = vec![(format!("job-{job}.toml"), kept.text.into_bytes())];
    for picture in store.attachments_at(job, version).map_err(refusal)? {
        let bytes = store.attachment_at(job, version, &picture.name).map_err(refusal)?;
        files.push((picture.name, bytes));
    }
    let fail = |path: &Path, error: std::io::Error| Refusal(format!("{} cannot be written: {error}.", path.display()));
    std::fs::create_dir_all(into).map_err(|error| fail(into, error))?;
    if let Some((name, _)) = files.iter().find(|(name, _)| into.join(name).exists()) {
        return Err(Refusal(format!("{} is there already, and nothing was written.", into.join(name).display())));
    }
    let mut out = String::new();
    for (name, bytes) in files {
        let path = into.join(name);
        std::fs::write(&path, bytes).map_err(|error| fail(&path, error))?;
        out += &format!("{}\n", path.display());
    }
    say(&out)
}

fn history(store: &Store, job: JobId) -> Outcome {
    let changes = store.history(job).map_err(refusal)?;
    let lines = changes.iter().map(|change| {
        let at = change.at.to_zoned_datetime(TimeZone::system()).strftime("%Y-%m-%d %H:%M").to_string();
        format!("{:>4}  {at}  {}: {}\n", change.version, plain(&change.who), plain(&change.what))
    });
    say(&lines.collect::<String>())
}

fn take_out(store: &Store, path: &Path, jobs: &[JobId], all: bool) -> Outcome {
    if jobs.is_empty() && !all {
        return Err(Refusal("Which jobs? Name them by their numbers, or say --all.".into()));
    }
    let fail = |error: std::io::Error| Refusal(format!("{} cannot be written: {error}.", path.display()));
    let mut draft = path.as_os_str().to_os_string();
    draft.push(".part");
    let draft = PathBuf::from(draft);
    let file = std::fs::File::create(&draft).map_err(fail)?;
    let written = match all {
        true => store.take_out_all(file),
        false => store.take_out(jobs, file),
    };
    let done = written
        .map_err(refusal)
        .and_then(|file| file.sync_all().and_then(|()| std::fs::rename(&draft, path)).map_err(fail));
    if done.is_err() {
        // what is half-written is of no use
        let _ = std::fs::remove_file(&draft);
    }
    done?;
    say(&format!("{}\n", path.display()))
}

fn bring_in(store: &Store, path: &Path) -> Outcome {
    let file =
        std::fs::File::open(path).map_err(|error| Refusal(format!("{} cannot be read: {error}.", path.display())))?;
    let mut archive = Archive::open(std::io::BufReader::new(file)).map_err(refusal)?;
    let brought = store.bring_in(&mut archive, by(&who())).map_err(refusal)?;
    let mut out = String::new();
    for (there, here) in &brought.added {
        out += &match here.number() == *there {
            true => format!("Job {here} is new here.\n"),
            false => format!("Job {there} of the archive is job {here} here.\n"),
        };
    }
    for id in &brought.grown {
        out += &format!("Job {id} has gone on.\n");
    }
    out += &match brought.known.len() {
        0 => String::new(),
        1 => "One was here already.\n".into(),
        known => format!("{known} were here already.\n"),
    };
    if brought.shop {
        out += "The shop came with them.\n";
    }
    say(&out)
}

fn with_backups(choice: &StoreChoice, folder: &Option<PathBuf>) -> Result<(Store, Backups), Refusal> {
    let path = place(choice.store.as_deref())?;
    Ok((Store::open(&path).map_err(refusal)?, of_folder(&path, folder)))
}

fn of_folder(store: &Path, folder: &Option<PathBuf>) -> Backups {
    folder.clone().map_or_else(|| Backups::beside(store), Backups::new)
}

fn listed(backup: &Backup) -> String {
    let name = backup.path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
    format!("{name}  {:.1} MB\n", backup.bytes as f64 / 1e6)
}

fn restore(backup: &Path, store: &Path, folder: &Option<PathBuf>) -> Outcome {
    let backups = of_folder(store, folder);
    let named = backup.to_str().map(|name| backups.named(name)).transpose().map_err(refusal)?.flatten();
    let from = named.map_or_else(|| backup.to_path_buf(), |named| named.path);
    if !from.is_file() {
        return Err(Refusal(format!(
            "There is no backup called {} and no such file. `sparewright records backups` lists those there are.",
            backup.display()
        )));
    }
    let now = Timestamp::now();
    match Store::open(store) {
        Ok(open) => {
            let before = backups.restore(&open, &from, now).map_err(refusal)?;
            say(&format!("The records are what they were. What they were until now is {}.\n", before.path.display()))
        }
        // a store that cannot be opened is put aside whole
        Err(record::Error::NotAStore(_) | record::Error::Damaged(_) | record::Error::Newer { .. }) => {
            let kept = restore_closed(store, &from, now).map_err(refusal)?;
            let kept = kept.map(|kept| format!(" What was there is {}.", kept.display())).unwrap_or_default();
            say(&format!("The records are what they were.{kept}\n"))
        }
        Err(error) => Err(refusal(error)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_pictures_a_job_names_are_found() {
        let sector = include_str!("../../../../demo/apple-mill-sector.toml");
        assert_eq!(pictures_of(sector), ["apple-mill-sector.png"]);
        assert!(pictures_of("no = \"toml").is_empty());
    }
}
