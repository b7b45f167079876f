//! `sparewright profile JOB.toml --kerf "0.3 mm" --plate "300 x 200 mm"`

use clap::ValueEnum;
use quantity::Length;
use solid::profile::Side;

use super::pack::{Files, faultless, stem, told, write};
use super::sizes::{size, two_sizes};
use super::{Outcome, Refusal};
use crate::solve::solve;
use crate::trades::{PROFILE, WantedProfile, profile};

#[derive(Debug, clap::Args)]
#[command(allow_negative_numbers = true)]
pub struct Arguments {
    #[command(flatten)]
    files: Files,
    /// Width of the cut, in the job's unit or with its own: 0.3, "0.012 in"; the edges themselves unless given
    #[arg(long, value_name = "SIZE")]
    kerf: Option<String>,
    /// Where the cut lies: in the waste, so that the part comes out to size, or in the part, so that the opening does
    #[arg(long, value_name = "SIDE", default_value = "waste")]
    side: CutSide,
    /// Lay the pieces out on a plate, in the job's unit or with its own: 300x200, "12 in x 8 in"
    #[arg(long, value_name = "LENGTH x WIDTH")]
    plate: Option<String>,
    /// Bare metal between the cuts and along the plate's edges: "2 mm" unless given
    #[arg(long, value_name = "SIZE", requires = "plate")]
    bare: Option<String>,
    /// How many on the plate: as many as the job makes unless given
    #[arg(long, value_name = "N", requires = "plate", value_parser = clap::value_parser!(u32).range(1..=500))]
    pieces: Option<u32>,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum CutSide {
    Waste,
    Part,
}

/// A slip of the pen beyond.
const WIDEST: Length = Length::from_mm(25.0);
/// Enough for plates up to a finger thick, by jet or by beam (common practice: a few millimetres).
const BARE: Length = Length::from_mm(2.0);

pub fn run(arguments: &Arguments) -> Outcome {
    let (job, shop) = faultless(&arguments.files, "profile")?;
    let unit = job.unit;
    let kerf = arguments.kerf.as_deref().map(|typed| size("--kerf", typed, unit)).transpose()?;
    if kerf.is_some_and(|kerf| kerf > WIDEST) {
        return Err(Refusal("--kerf: no wire, jet or beam cuts wider than 25 mm.".into()));
    }
    let bare = arguments.bare.as_deref().map(|typed| size("--bare", typed, unit)).transpose()?;
    let plate = arguments.plate.as_deref().map(|typed| two_sizes("--plate", typed, unit)).transpose()?;
    let wanted = WantedProfile {
        kerf: kerf.unwrap_or(Length::ZERO),
        side: match arguments.side {
            CutSide::Waste => Side::Waste,
            CutSide::Part => Side::Part,
        },
        plate: plate.map(|[length, width]| [length, width, bare.unwrap_or(BARE)]),
        pieces: arguments.pieces,
    };
    let stem = stem(&arguments.files.job);
    let made =
        profile(&solve(&job, &shop), &wanted).map_err(|why| Refusal(format!("No profile was written. {why}")))?;
    let written = write(&[(format!("{stem}{PROFILE}"), made.svg.into_bytes())], &arguments.files.into)?;
    if !arguments.files.json {
        made.remarks.iter().for_each(|remark| eprintln!("{remark}"));
    }
    told(&written, &made.result, arguments.files.json)
}
