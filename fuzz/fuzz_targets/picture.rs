//! A picture's file: read or refused, and what is read is measured or refused.
#![no_main]

use std::io::Cursor;

use libfuzzer_sys::fuzz_target;
use scan::picture::Picture;
use scan::{Options, measure};

/// A mutated head may claim any size; what a second of fuzzing can do stays small.
const MOST: usize = 1_000_000;

fuzz_target!(|bytes: &[u8]| {
    let Ok(picture) = Picture::read(Cursor::new(bytes)) else { return };
    assert_eq!(picture.greys().len(), picture.width() * picture.height());
    if picture.greys().len() > MOST {
        return;
    }
    let options = Options { dpi: Some(600.0), ..Options::default() };
    if let Ok(scan) = measure(&picture, &options, &|_| ()) {
        assert!(scan::overlay::svg(&picture, &scan, &|mm| format!("{mm} mm")).ends_with("</svg>\n"));
    }
});
