//! `sparewright cutter JOB.toml --into DIR`

use super::pack::{Files, faultless, stem, told, write};
use super::{Outcome, Refusal};
use crate::solve::solve;
use crate::trades::{CUTTER, WantedCutter, cutter};

#[derive(Debug, clap::Args)]
pub struct Arguments {
    #[command(flatten)]
    files: Files,
    /// The shadow projector's magnification; the largest usual one that fits a page unless given
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=200))]
    times: Option<u32>,
}

pub fn run(arguments: &Arguments) -> Outcome {
    let (job, shop) = faultless(&arguments.files, "cutter profile")?;
    let stem = stem(&arguments.files.job);
    let date = jiff::ZonedDateTime::now().date().strftime("%-d %B %Y").to_string();
    let none = || Refusal("No cutter profile was written. The job has no teeth.".into());
    let made = cutter(&solve(&job, &shop), WantedCutter { times: arguments.times }, &date)
        .ok_or_else(none)?
        .map_err(|why| Refusal(format!("No cutter profile was written. {why}")))?;
    let [svg, pdf] = CUTTER.map(|suffix| format!("{stem}{suffix}"));
    let written = write(&[(svg, made.svg.into_bytes()), (pdf, made.pdf)], &arguments.files.into)?;
    told(&written, &made.result, arguments.files.json)
}
