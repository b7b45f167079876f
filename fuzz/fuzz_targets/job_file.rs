//! A job file; a right one reads the same when it is printed.
#![no_main]

use libfuzzer_sys::fuzz_target;
use sparewright_fuzz::{check_places, job, shop, text_of};

fuzz_target!(|bytes: &[u8]| {
    let Ok(text) = text_of(bytes) else { return };
    let instruments = shop::built_in_instruments();
    let (job, problems) = job::read(text, features::kinds(), &instruments);
    check_places(text, &problems);
    let (Some(job), true) = (job, problems.is_empty()) else { return };
    let printed = job::print(&job);
    let (again, problems) = job::read(&printed, features::kinds(), &instruments);
    assert!(problems.is_empty(), "{printed}\n{problems:?}");
    assert_eq!(again.map(|job| job::print(&job)), Some(printed));
});
