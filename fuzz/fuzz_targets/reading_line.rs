//! A reading line against the forms of every kind; what is understood reads the same when it is printed.
#![no_main]

use libfuzzer_sys::fuzz_target;
use quantity::{Askable, Line, Unit, asked, read_angle, read_pitch, read_size};
use sparewright_fuzz::{check_places, shop};

fuzz_target!(|text: &str| {
    let instruments = shop::built_in_instruments();
    for unit in [Unit::Inch, Unit::Millimetre] {
        let bench = shop::bench(unit, &instruments);
        for kind in features::kinds() {
            let forms = kind.forms();
            match Line::read(text, &forms, &bench) {
                Ok(line) => {
                    let printed = line.to_string();
                    assert_eq!(Line::read(&printed, &forms, &bench).as_ref(), Ok(&line), "{printed}");
                }
                Err(problems) => check_places(text, &problems),
            }
        }
        check_places(text, read_size(text, &bench).err().as_slice());
    }
    // a question to the records is never wrong, and what was understood of it is told
    let askable = Askable { lengths: &["bore", "tip diameter"], counts: &["teeth"] };
    for one in asked(text, askable, &shop::bench(Unit::Inch, &[])) {
        assert!(!one.to_string().is_empty());
    }
    check_places(text, read_angle(text).err().as_slice());
    check_places(text, read_pitch(text).err().as_slice());
});
