//! A shop file.
#![no_main]

use libfuzzer_sys::fuzz_target;
use sparewright_fuzz::{check_places, shop, text_of};

fuzz_target!(|bytes: &[u8]| {
    let Ok(text) = text_of(bytes) else { return };
    check_places(text, &shop::read(text).1);
});
