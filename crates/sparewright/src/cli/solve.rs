//! `sparewright solve JOB.toml`

use std::path::PathBuf;

use super::{Outcome, Refusal, ShopChoice, open, say, say_json};
use crate::planned::planned;
use crate::shape::PartShape;
use crate::{report, result, solve};

#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// The job file
    job: PathBuf,
    /// Print the result as JSON
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    shop: ShopChoice,
}

/// What is right in a job is shown even where something is wrong; the exit code still says that something was.
pub fn run(arguments: &Arguments) -> Outcome {
    let opened = open(&arguments.job, &arguments.shop)?;
    let mut problems = opened.problems.clone();
    if let Some(job) = &opened.job {
        let solved = solve::solve(job, &opened.shop);
        problems.push_str(&opened.objections(&solved));
        let shape = PartShape::of(&solved);
        let faults = shape.as_ref().map(PartShape::faults).unwrap_or_default();
        problems.extend(faults.iter().map(|fault| format!("{fault}\n")));
        if arguments.json {
            // what cannot be packed is not priced either
            let makeable = faults.is_empty() && solved.features.iter().any(|feature| feature.design().is_some());
            let plan = makeable.then(|| planned(&solved, shape.as_ref(), &opened.shop));
            say_json(&result::result(&solved, plan.as_ref()))?;
        } else {
            say(&report::report(&solved))?;
        }
    }
    if problems.is_empty() { Ok(()) } else { Err(Refusal(problems)) }
}
