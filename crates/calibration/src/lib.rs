//! Do the probabilities mean what they say? Invented worn rims with a fixed seed, measured with shop instruments, weighed
//! as a user's readings are, and counted.

mod ask;
mod notebook;
mod plain;
pub mod plot;
mod random;
pub mod report;
pub mod shop;
pub mod trial;
mod world;

pub use trial::{Case, NextOutcome, Outcome, Sort};

use std::thread;

/// As rims come to a bench: mostly of a standard, mostly without a slip.
pub const MIXED: Sort = Sort { of_no_standard: 0.04, readings: (2, 8), slips: 0.015 };
/// One reading of five or more is wrong, and would show.
pub const SLIPPED: Sort = Sort { of_no_standard: 0.0, readings: (5, 8), slips: 1.0 };
/// Nothing wrong, but no standard either.
pub const UNSTANDARD: Sort = Sort { of_no_standard: 1.0, readings: (5, 8), slips: 0.0 };

/// So many cases, in order, worked on all cores; none where nothing was found at all.
pub fn run(sort: Sort, seed: u64, count: u64) -> Vec<Option<Outcome>> {
    over(count, |number| trial::run(&Case::invent(sort, seed, number)))
}

/// Before and after one more reading, where the first few leave room for doubt.
pub fn run_next(seed: u64, count: u64) -> Vec<NextOutcome> {
    let sort = Sort { of_no_standard: 0.0, readings: (2, 4), slips: 0.0 };
    let outcomes = over(count, |number| trial::next(&mut Case::invent(sort, seed, number)));
    outcomes.into_iter().flatten().filter(|outcome| outcome.before < 0.95).collect()
}

fn over<T: Send>(count: u64, work: impl Fn(u64) -> T + Sync) -> Vec<T> {
    let threads = thread::available_parallelism().map_or(1, usize::from) as u64;
    let part = |thread: u64| {
        let numbers = (thread..count).step_by(threads as usize);
        numbers.map(|number| (number, work(number))).collect::<Vec<(u64, T)>>()
    };
    let mut done: Vec<(u64, T)> = thread::scope(|scope| {
        let handles: Vec<_> = (0..threads)
            .map(|thread| {
                let part = &part;
                scope.spawn(move || part(thread))
            })
            .collect();
        handles.into_iter().flat_map(|handle| handle.join().unwrap_or_default()).collect()
    });
    done.sort_by_key(|(number, _)| *number);
    done.into_iter().map(|(_, outcome)| outcome).collect()
}
