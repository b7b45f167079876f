//! `sparewright check-piece JOB.toml --into DIR`

use quantity::Length;

use super::pack::{Files, faultless, stem, told, write};
use super::sizes::size;
use super::{Outcome, Refusal};
use crate::solve::solve;
use crate::trades::{CHECK_PIECE, WantedCheckPiece, check_piece};

#[derive(Debug, clap::Args)]
pub struct Arguments {
    #[command(flatten)]
    files: Files,
    /// How far a straight edge may lie from the curve it stands for: "0.01 mm" unless given
    #[arg(long, value_name = "SIZE")]
    chord: Option<String>,
    /// Set every edge back by so much, for a printer that prints large: bores open and flanks thin by twice it
    #[arg(long, value_name = "SIZE")]
    allowance: Option<String>,
    /// What stands on its face in raised letters: the job's name unless given
    #[arg(long, value_name = "TEXT", conflicts_with = "no_label")]
    label: Option<String>,
    /// Leave the face bare
    #[arg(long)]
    no_label: bool,
}

const FINEST: Length = Length::from_mm(0.001);
const COARSEST: Length = Length::from_mm(1.0);

pub fn run(arguments: &Arguments) -> Outcome {
    let (job, shop) = faultless(&arguments.files, "check piece")?;
    let (solved, stem) = (solve(&job, &shop), stem(&arguments.files.job));
    let mut wanted = WantedCheckPiece::usual(&solved);
    if let Some(typed) = &arguments.chord {
        wanted.chord = size("--chord", typed, job.unit)?;
        if !(FINEST..=COARSEST).contains(&wanted.chord) {
            return Err(Refusal(format!("--chord {typed:?}: between 0.001 mm and 1 mm.")));
        }
    }
    if let Some(typed) = &arguments.allowance {
        wanted.allowance = size("--allowance", typed, job.unit)?;
    }
    if arguments.label.is_some() || arguments.no_label {
        wanted.label.clone_from(&arguments.label);
    }
    let made = check_piece(&solved, &wanted).map_err(|why| Refusal(format!("No check piece was written. {why}")))?;
    let written = write(&[(format!("{stem}{CHECK_PIECE}"), made.bytes)], &arguments.files.into)?;
    if wanted.label.is_some() && made.result["label"].is_null() {
        eprintln!("The label finds no room on the face, or its letters are not in the font; it was left out.");
    }
    told(&written, &made.result, arguments.files.json)
}
