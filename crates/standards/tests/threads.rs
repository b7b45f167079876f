//! Cores of tapped holes against printed limits.

#![allow(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use quantity::Length;
use standards::{USUAL_PERCENT, thread, usual_threads};

/// Minor diameters of internal threads as handbooks print them, from memory: metric 6H in mm (ISO 965-2, coarse and two fine
/// pitches), unified 2B in inches (ASME B1.1).
const PRINTED: [(&str, f64, f64); 31] = [
    ("M2", 1.567, 1.679),
    ("M2.5", 2.013, 2.138),
    ("M3", 2.459, 2.599),
    ("M4", 3.242, 3.422),
    ("M5", 4.134, 4.334),
    ("M6", 4.917, 5.153),
    ("M8", 6.647, 6.912),
    ("M8 x 1", 6.917, 7.153),
    ("M10", 8.376, 8.676),
    ("M10 x 1.25", 8.647, 8.912),
    ("M12", 10.106, 10.441),
    ("M16", 13.835, 14.210),
    ("M20", 17.294, 17.744),
    ("M24", 20.752, 21.252),
    ("#2-56", 0.0667, 0.0737),
    ("#4-40", 0.0849, 0.0939),
    ("#6-32", 0.104, 0.114),
    ("#8-32", 0.130, 0.139),
    ("#10-24", 0.145, 0.156),
    ("#10-32", 0.156, 0.164),
    ("1/4-20", 0.196, 0.207),
    ("1/4-28", 0.211, 0.220),
    ("5/16-18", 0.252, 0.265),
    ("5/16-24", 0.267, 0.277),
    ("3/8-16", 0.307, 0.321),
    ("3/8-24", 0.330, 0.340),
    ("7/16-14", 0.360, 0.376),
    ("1/2-13", 0.417, 0.434),
    ("1/2-20", 0.446, 0.457),
    ("5/8-11", 0.527, 0.546),
    ("3/4-10", 0.642, 0.663),
];

#[test]
fn cores_are_held_to_the_printed_limits() {
    for (name, least, most) in PRINTED {
        let limits = thread(name).unwrap().core_limits().unwrap();
        let size = |length: Length| if name.starts_with('M') { length.mm() } else { length.inches() };
        assert!((size(limits.least) - least).abs() < 1e-6, "{name}: {} for {least}", size(limits.least));
        assert!((size(limits.most) - most).abs() < 1e-6, "{name}: {} for {most}", size(limits.most));
    }
}

/// The core that is drilled for three quarters of the thread is one that passes, in every thread that has limits.
#[test]
fn the_usual_core_lies_within_its_limits() {
    let mut looked_at = 0;
    for usual in usual_threads() {
        let Some(limits) = usual.thread.core_limits() else { continue };
        let core = usual.thread.hole(USUAL_PERCENT);
        assert!(limits.least < core && core < limits.most, "{}: {limits:?}", usual.thread.name);
        looked_at += 1;
    }
    assert!(looked_at > 50, "{looked_at}");
}
