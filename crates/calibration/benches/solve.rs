//! How long a solve takes: from readings already understood to probabilities, over all standard series.

use calibration::{Case, Sort, shop, trial};

fn main() {
    divan::main();
}

/// Rims with six readings; among the first dozen invented ones are wholes and sectors, counted and not.
#[divan::bench(args = 0..12)]
fn six_readings(bencher: divan::Bencher<'_, '_>, number: u64) {
    let case = Case::invent(Sort { of_no_standard: 0.0, readings: (6, 6), slips: 0.0 }, 7, number);
    let circumstances = shop::circumstances(&case.rim, case.page.unit);
    if let Some(feature) = trial::feature(&case.rim, &case.page) {
        bencher.bench(|| trial::solve(feature.as_ref(), &circumstances));
    }
}
