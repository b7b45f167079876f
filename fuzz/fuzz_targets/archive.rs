//! An archive of records. Whatever it is: it is brought in whole, or nothing of it is.
#![no_main]

use std::io::Cursor;

use libfuzzer_sys::fuzz_target;
use record::{Archive, By, Store};

fuzz_target!(|bytes: &[u8]| {
    let store = Store::in_memory().expect("a store");
    let brought = Archive::open(Cursor::new(bytes)).and_then(|mut archive| store.bring_in(&mut archive, By::now("fuzz")));
    let jobs = store.jobs().expect("listed").len();
    match brought {
        Ok(brought) => assert_eq!(brought.added.len(), jobs),
        Err(why) => assert!(jobs == 0 && !why.to_string().is_empty()),
    }
});
