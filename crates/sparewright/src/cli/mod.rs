//! The command line: one file a verb. Results go to standard output, problems to standard error with exit code 2.

mod check;
mod check_piece;
mod cutter;
mod demo;
mod explain;
mod index;
mod near;
mod pack;
mod profile;
mod records;
mod scan;
mod serve;
mod sizes;
mod solid;
mod solve;
mod tap;

pub(crate) use demo::{JOBS, PICTURES};

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use clap::{Parser, Subcommand};
use making::shop::Shop;

use crate::job::{self, Job};
use crate::problems::{self, Dress};
use crate::scanned::Folder;
use crate::solve::Solved;
use crate::{shop, text_of};

/// Remake a broken part of an old machine: from worn readings to what it was made to be, and to a job pack on paper.
#[derive(Debug, Parser)]
#[command(name = "sparewright", version, about, disable_help_subcommand = true)]
struct Arguments {
    #[command(subcommand)]
    verb: Verb,
}

#[derive(Debug, Subcommand)]
enum Verb {
    /// Say what the parts of a job were made to be
    Solve(solve::Arguments),
    /// Write the job pack: the sheets as one PDF, the template as SVG, the result as JSON
    Pack(pack::Arguments),
    /// Say of each piece made whether it passes, and what is to be measured with what
    Check(check::Arguments),
    /// Write the part as a solid for whoever draws or mills it (ISO 10303-21)
    Solid(solid::Arguments),
    /// Write a check piece to be printed and tried in the machine (ISO/IEC 25422)
    CheckPiece(check_piece::Arguments),
    /// Write the profile for wire, water or laser as SVG, with the width of the cut, laid out on a plate
    Profile(profile::Arguments),
    /// Write the cutter's profile at true scale and magnified, as SVG and PDF
    Cutter(cutter::Arguments),
    /// Measure a part in a flatbed scan
    Scan(scan::Arguments),
    /// Find a dividing set-up
    Index(index::Arguments),
    /// List the standard and owned sizes near a size
    Near(near::Arguments),
    /// Pick the drill before a tap, with the per cent of thread it leaves
    Tap(tap::Arguments),
    /// Write the demo jobs and make their packs
    Demo(demo::Arguments),
    /// Print the shop file in use: what the shop owns and charges
    Shop(explain::ShopArguments),
    /// Open the bench notebook in the browser
    Serve(serve::Arguments),
    /// Find jobs in the records, put them in and take them out, look at their history, make and restore backups
    #[command(subcommand)]
    Records(records::Verb),
    /// Explain a kind of feature and the readings it takes
    Explain(explain::Arguments),
}

/// Which shop the work is done in.
#[derive(Clone, Debug, clap::Args)]
struct ShopChoice {
    /// The shop file; without it `shop.toml` beside the job or, failing that, the built-in small shop
    #[arg(long, value_name = "SHOP.toml")]
    shop: Option<PathBuf>,
}

/// What a verb ends with: done, or refused with everything that was wrong already in words.
type Outcome = Result<(), Refusal>;

/// Why a verb was not carried out, ready to be printed.
#[derive(Debug)]
struct Refusal(String);

/// Bad input or a file that cannot be read or written.
const REFUSED: u8 = 2;

pub fn run() -> ExitCode {
    let outcome = match Arguments::parse().verb {
        Verb::Solve(arguments) => solve::run(&arguments),
        Verb::Pack(arguments) => pack::run(&arguments),
        Verb::Check(arguments) => check::run(&arguments),
        Verb::Solid(arguments) => solid::run(&arguments),
        Verb::CheckPiece(arguments) => check_piece::run(&arguments),
        Verb::Profile(arguments) => profile::run(&arguments),
        Verb::Cutter(arguments) => cutter::run(&arguments),
        Verb::Scan(arguments) => scan::run(&arguments),
        Verb::Index(arguments) => index::run(&arguments),
        Verb::Near(arguments) => near::run(&arguments),
        Verb::Tap(arguments) => tap::run(&arguments),
        Verb::Demo(arguments) => demo::run(&arguments),
        Verb::Shop(arguments) => explain::shop(&arguments),
        Verb::Serve(arguments) => serve::run(&arguments),
        Verb::Records(verb) => records::run(&verb),
        Verb::Explain(arguments) => explain::run(&arguments),
    };
    match outcome {
        Ok(()) => ExitCode::SUCCESS,
        Err(Refusal(why)) => {
            eprintln!("{}", why.trim_end());
            ExitCode::from(REFUSED)
        }
    }
}

/// Prints to standard output. A reader that has gone away, as `head` does, is no error of ours.
fn say(text: &str) -> Outcome {
    use std::io::Write;
    let mut out = std::io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() != std::io::ErrorKind::BrokenPipe => {
            Err(Refusal(format!("The result could not be written: {error}.")))
        }
        _ => Ok(()),
    }
}

fn say_json(value: &serde_json::Value) -> Outcome {
    say(&format!("{value:#}\n"))
}

impl ShopChoice {
    /// The shop for work in `folder`.
    fn open(&self, folder: Option<&Path>) -> Result<Shop, Refusal> {
        let beside = folder.map(|folder| folder.join("shop.toml")).filter(|path| path.is_file());
        let Some(path) = self.shop.clone().or(beside) else {
            return Ok(shop::built_in());
        };
        let text = read_file(&path)?;
        let (shop, problems) = shop::read(&text);
        match shop {
            Some(shop) if problems.is_empty() => Ok(shop),
            _ => Err(Refusal(problems::render(&path.display().to_string(), &text, &problems, Dress::of_stderr()))),
        }
    }
}

/// A job file, its text, what could be read of it, and what is wrong, in words.
struct Opened {
    job: Option<Job>,
    shop: Shop,
    /// All problems, rendered; empty where there are none.
    problems: String,
    name: String,
    text: String,
}

impl Opened {
    /// What the findings show to be impossible, rendered; empty where nothing is.
    fn objections(&self, solved: &Solved<'_>) -> String {
        match solved.objections().as_slice() {
            [] => String::new(),
            some => problems::render(&self.name, &self.text, some, Dress::of_stderr()),
        }
    }
}

fn open(path: &Path, choice: &ShopChoice) -> Result<Opened, Refusal> {
    let text = read_file(path)?;
    let shop = choice.open(path.parent())?;
    let pictures = Folder::new(path.parent().unwrap_or(Path::new("")));
    let (job, problems) = job::read_with(&text, features::kinds(), &shop.instruments, &pictures);
    let problems = match problems.as_slice() {
        [] => String::new(),
        some => problems::render(&path.display().to_string(), &text, some, Dress::of_stderr()),
    };
    Ok(Opened { job, shop, problems, name: path.display().to_string(), text })
}

fn read_file(path: &Path) -> Result<String, Refusal> {
    let name = path.display();
    let size = std::fs::metadata(path).map(|data| data.len());
    if size.as_ref().is_ok_and(|size| *size > crate::LARGEST_FILE as u64) {
        return Err(Refusal(format!("{name} is too long to be a job or shop file.")));
    }
    let bytes = std::fs::read(path).map_err(|error| {
        Refusal(format!("{name} cannot be read: {error}. Check the name and whether the file may be read."))
    })?;
    let text = text_of(&bytes).map_err(|why| Refusal(format!("{name}: {why}")))?;
    Ok(text.to_string())
}
