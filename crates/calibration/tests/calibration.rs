//! A small run of what `cargo run --release -p calibration` does at length; the bounds are as loose as the run is short.

use calibration::report::{Figures, bands, calibration_error};
use calibration::{MIXED, Outcome, SLIPPED, UNSTANDARD, run, run_next};

#[test]
fn probabilities_mean_what_they_say() {
    let found = |outcomes: Vec<Option<Outcome>>| outcomes.into_iter().flatten().collect::<Vec<Outcome>>();
    let figures = Figures {
        mixed: found(run(MIXED, 11, 500)),
        slipped: found(run(SLIPPED, 12, 100)),
        unstandard: found(run(UNSTANDARD, 13, 60)),
        next: run_next(14, 300),
        nothing: 0,
    };
    let tables = figures.markdown();
    assert!(figures.mixed.len() >= 497, "{tables}");
    assert!(calibration_error(&bands(&figures.leaders())) < 0.04, "{tables}");
    // what is said to be all but sure is
    let sure: Vec<bool> = figures.leaders().iter().filter(|(said, _)| *said > 0.98).map(|(_, right)| *right).collect();
    assert!(sure.len() > 250 && sure.iter().filter(|right| !**right).count() <= 2, "{tables}");
    assert!(figures.right(5, 8).part() > 0.94, "{tables}");
    assert!(figures.cried_on_sound().part() < 0.03, "{tables}");
    assert!(figures.right_despite_slip().part() > 0.9 && figures.slip_found().part() > 0.9, "{tables}");
    assert!(figures.said_unstandard().part() > 0.8 && figures.median_base_pitch_error() < 0.002, "{tables}");
    let gain = |pick: fn(&calibration::NextOutcome) -> f64| figures.next.iter().map(pick).sum::<f64>();
    assert!(gain(|next| next.proposed) > gain(|next| next.random), "{tables}");
}
