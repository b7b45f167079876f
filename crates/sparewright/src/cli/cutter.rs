//! `sparewright cutter JOB.toml --into DIR`

use std::path::PathBuf;

use super::pack::{faultless, stem, told, write};
use super::{Outcome, Refusal, ShopChoice};
use crate::solve::solve;
use crate::trades::{CUTTER, WantedCutter, cutter};

#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// The job file
    job: PathBuf,
    /// The folder to write into; it is made if it is not there
    #[arg(long, value_name = "DIR", default_value = ".")]
    into: PathBuf,
    /// The shadow projector's magnification; the largest usual one that fits a page unless given
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=200))]
    times: Option<u32>,
    /// Print what was written, and its sizes, as JSON
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    shop: ShopChoice,
}

pub fn run(arguments: &Arguments) -> Outcome {
    let (job, shop) = faultless(&arguments.job, &arguments.shop, "cutter profile")?;
    let stem = stem(&arguments.job);
    let date = jiff::ZonedDateTime::now().date().strftime("%-d %B %Y").to_string();
    let none = || Refusal("No cutter profile was written. The job has no teeth.".into());
    let made = cutter(&solve(&job, &shop), WantedCutter { times: arguments.times }, &date)
        .ok_or_else(none)?
        .map_err(|why| Refusal(format!("No cutter profile was written. {why}")))?;
    let [svg, pdf] = CUTTER.map(|suffix| format!("{stem}{suffix}"));
    let written = write(&[(svg, made.svg.into_bytes()), (pdf, made.pdf)], &arguments.into)?;
    told(&written, &made.result, arguments.json)
}
