//! `sparewright solid JOB.toml --into DIR`

use quantity::Length;

use super::pack::{Files, faultless, stem, told, write};
use super::sizes::size;
use super::{Outcome, Refusal};
use crate::solve::solve;
use crate::trades::{SOLID, WantedSolid, solid};

#[derive(Debug, clap::Args)]
pub struct Arguments {
    #[command(flatten)]
    files: Files,
    /// How far a flank or root may lie from the true curve: "0.0005 mm" unless given
    #[arg(long, value_name = "SIZE")]
    tolerance: Option<String>,
    /// Chamfer on both ends of the bore, along its leg, at 45 degrees
    #[arg(long, value_name = "SIZE")]
    bore_chamfer: Option<String>,
    /// Chamfer on both ends of a round part, or of the tooth tips
    #[arg(long, value_name = "SIZE")]
    outside_chamfer: Option<String>,
}

pub fn run(arguments: &Arguments) -> Outcome {
    let (job, shop) = faultless(&arguments.files, "solid")?;
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
    let (solved, stem) = (solve(&job, &shop), stem(&arguments.files.job));
    let made = solid(&solved, wanted, &shop.name, &jiff::ZonedDateTime::now().date())
        .map_err(|why| Refusal(format!("No solid was written. {why}")))?;
    let written = write(&[(format!("{stem}{SOLID}"), made.text.into_bytes())], &arguments.files.into)?;
    told(&written, &made.result, arguments.files.json)
}

const FINEST: Length = Length::from_mm(1e-5);
const COARSEST: Length = Length::from_mm(0.1);
