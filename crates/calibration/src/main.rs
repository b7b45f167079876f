//! `cargo run --release -p calibration`: the figures of docs/calibration.md, and its plot.
//!
//! Arguments: how many mixed cases (6000), the seed (1965), and the folder to write into (docs). With `--stories` nothing is
//! written, and the cases that went wrong are told.

use std::path::Path;
use std::process::ExitCode;
use std::time::Instant;

use calibration::report::{Figures, bands};
use calibration::{MIXED, Outcome, SLIPPED, UNSTANDARD, plot, run, run_next};

const ABOUT: &str = include_str!("about.md");

fn main() -> ExitCode {
    let mut arguments: Vec<String> = std::env::args().skip(1).collect();
    let stories = arguments.iter().any(|argument| argument == "--stories");
    arguments.retain(|argument| argument != "--stories");
    let number = |at: usize, usual: u64| arguments.get(at).map_or(Ok(usual), |text| text.parse::<u64>());
    let (Ok(count), Ok(seed)) = (number(0, 6000), number(1, 1965)) else {
        eprintln!("usage: calibration [cases [seed [folder]]] [--stories]");
        return ExitCode::from(2);
    };
    let folder = arguments.get(2).map_or("docs", String::as_str);
    let start = Instant::now();
    let figures = work_out(seed, count);
    let tables = figures.markdown();
    if stories {
        tell(&figures);
    }
    println!("{tables}");
    println!(
        "A solve takes {:.1} ms in the mean, {:.0} ms at most; all of it took {:.0} s.",
        figures.mean_milliseconds(),
        figures.slowest_milliseconds(),
        start.elapsed().as_secs_f64()
    );
    if stories {
        return ExitCode::SUCCESS;
    }
    match write(Path::new(folder), &figures, &tables, seed) {
        Ok(()) => ExitCode::SUCCESS,
        Err(problem) => {
            eprintln!("{folder}: {problem}");
            ExitCode::FAILURE
        }
    }
}

fn work_out(seed: u64, count: u64) -> Figures {
    let mut nothing = 0;
    let mut found = |outcomes: Vec<Option<Outcome>>| {
        nothing += outcomes.iter().filter(|outcome| outcome.is_none()).count();
        outcomes.into_iter().flatten().collect()
    };
    let mixed = found(run(MIXED, seed, count));
    let slipped = found(run(SLIPPED, seed + 1, count / 4));
    let unstandard = found(run(UNSTANDARD, seed + 2, count / 6));
    Figures { mixed, slipped, unstandard, next: run_next(seed + 3, count / 4), nothing }
}

fn write(folder: &Path, figures: &Figures, tables: &str, seed: u64) -> std::io::Result<()> {
    std::fs::create_dir_all(folder)?;
    let made = format!("Made with seed {seed} by `cargo run --release -p calibration`.\n\n");
    std::fs::write(folder.join("calibration.md"), format!("{ABOUT}\n## Figures\n\n{made}{tables}"))?;
    std::fs::write(folder.join("calibration.csv"), figures.csv())?;
    let plot = plot::reliability(&bands(&figures.leaders()), &bands(&figures.stated()));
    std::fs::write(folder.join("calibration.svg"), plot)
}

fn tell(figures: &Figures) {
    let groups = [("mixed", &figures.mixed), ("slipped", &figures.slipped), ("of no standard", &figures.unstandard)];
    for (name, outcomes) in groups {
        for outcome in outcomes {
            let missed = outcome.slip.as_ref().is_some_and(|slip| !slip.named);
            let slow = outcome.took.as_secs_f64() > 0.1;
            if !outcome.right || outcome.false_alarms > 0 || missed || slow {
                let verdict = if outcome.right { "right" } else { "WRONG" };
                let verdict = if slow { format!("{verdict}, {:?}", outcome.took) } else { verdict.to_string() };
                let Outcome { readings, truth, story, .. } = outcome;
                println!("== {name}, {readings} readings, {verdict}, truth {truth:.4}\n{story}");
            }
        }
    }
}
