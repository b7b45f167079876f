//! `sparewright solid JOB.toml --into DIR`

use std::path::PathBuf;

use quantity::Length;

use super::pack::{faultless, stem, told, write};
use super::sizes::size;
use super::{Outcome, Refusal, ShopChoice};
use crate::solve::solve;
use crate::trades::{SOLID, WantedSolid, solid};

#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// The job file
    job: PathBuf,
    /// The folder to write into; it is made if it is not there
    #[arg(long, value_name = "DIR", default_value = ".")]
    into: PathBuf,
    /// How far a flank or root may lie from the true curve: "0.0005 mm" unless given
    #[arg(long, value_name = "SIZE")]
    tolerance: Option<String>,
    /// Chamfer on both ends of the bore, along its leg, at 45 degrees
    #[arg(long, value_name = "SIZE")]
    bore_chamfer: Option<String>,
    /// Chamfer on both ends of a round part, or of the tooth tips
    #[arg(long, value_name = "SIZE")]
    outside_chamfer: Option<String>,
    /// Print what was written, and its sizes, as JSON
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    shop: ShopChoice,
}

pub fn run(arguments: &Arguments) -> Outcome {
    let (job, shop) = faultless(&arguments.job, &arguments.shop, "solid")?;
    let unit = job.unit;
    let mut wanted = WantedSolid::default();
    if let Some(typed) = &arguments.tolerance {
        wanted.tolerance = size("--tolerance", typed, unit)?;
        if !(FINEST..=COARSEST).contains(&wanted.tolerance) {
            return Err(Refusal(format!("--tolerance {typed:?}: between 0.00001 mm and 0.1 mm.")));
        }
    }
    let leg = |flag: &str, typed: &Option<String>| match typed {
        Some(typed) => size(flag, typed, unit),
        None => Ok(Length::ZERO),
    };
    wanted.bore_chamfer = leg("--bore-chamfer", &arguments.bore_chamfer)?;
    wanted.outside_chamfer = leg("--outside-chamfer", &arguments.outside_chamfer)?;
    let (solved, stem) = (solve(&job, &shop), stem(&arguments.job));
    let made = solid(&solved, wanted, &shop.name, &jiff::ZonedDateTime::now().date())
        .map_err(|why| Refusal(format!("No solid was written. {why}")))?;
    let written = write(&[(format!("{stem}{SOLID}"), made.text.into_bytes())], &arguments.into)?;
    told(&written, &made.result, arguments.json)
}

const FINEST: Length = Length::from_mm(1e-5);
const COARSEST: Length = Length::from_mm(0.1);
