//! `sparewright check JOB.toml`

use std::path::PathBuf;

use serde_json::json;

use super::{Outcome, Refusal, ShopChoice, open, say, say_json};
use crate::checked::{self, Checked};
use crate::solve::{Solved, solve};

#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// The job file
    job: PathBuf,
    /// The piece of this number alone
    #[arg(long, value_name = "N")]
    piece: Option<u32>,
    /// Print the result as JSON
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    shop: ShopChoice,
}

/// As with `solve`, what is right is shown even where something is wrong in the file.
pub fn run(arguments: &Arguments) -> Outcome {
    let opened = open(&arguments.job, &arguments.shop)?;
    let mut problems = opened.problems.clone();
    if let Some(job) = &opened.job {
        let solved = solve(job, &opened.shop);
        problems.push_str(&opened.objections(&solved));
        let mut checked = checked::checked(&solved);
        // what is only planned has nothing to tell yet
        checked.pieces.retain(|piece| piece.of.is_some());
        if let Some(number) = arguments.piece {
            only(&mut checked, number)?;
        }
        if arguments.json {
            say_json(&json!({
                "title": job.title,
                "checking": checked::result::checking(&checked),
                "pieces": checked::result::pieces(&checked),
            }))?;
        } else {
            say(&text(&solved, &checked, arguments.piece.is_none()))?;
        }
    }
    if problems.is_empty() { Ok(()) } else { Err(Refusal(problems)) }
}

fn only(checked: &mut Checked<'_>, number: u32) -> Outcome {
    let known: Vec<String> = checked.pieces.iter().map(|piece| piece.number.to_string()).collect();
    checked.pieces.retain(|piece| piece.number == number);
    if !checked.pieces.is_empty() {
        return Ok(());
    }
    Err(Refusal(match known.as_slice() {
        [] => format!("--piece {number}: no piece is written in this job yet. Add [[piece]] with number = {number}."),
        known => format!("--piece {number}: there is no such piece in this job; there are {}.", known.join(", ")),
    }))
}

fn text(solved: &Solved<'_>, checked: &Checked<'_>, with_plan: bool) -> String {
    let mut out = format!("{}\n", solved.job.title);
    if with_plan {
        out.push_str(&checked.what_to_measure(solved.job.unit));
    }
    out.push_str(&checked.pieces_in_words(solved.job.unit));
    out
}
