//! How true teeth are cut: the classes of ISO 1328-1:1995, from 0, the finest, to 12.

use std::ops::RangeInclusive;

use quantity::Length;

pub const CLASSES: RangeInclusive<u32> = 0..=12;

/// The class that form-cut teeth are commonly held to; common practice.
pub const USUAL_CLASS: u32 = 10;

/// A deviation that the standard limits class by class.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Deviation {
    /// From one tooth to the next, f_pt.
    SinglePitch,
    /// Over all teeth, F_p.
    TotalPitch,
    /// Of the flank from the involute, F_α.
    Profile,
    /// Of a ball or pin laid into one space after the other, F_r; a matter of ISO 1328-2.
    Runout,
}

/// What a class allows.
///
/// Equations, for class 5: f_pt = 0.3 (m + 0.4 √d) + 4; F_p = 0.3 m + 1.25 √d + 7; F_α = 3.2 √m + 0.22 √d + 0.7;
/// F_r = 0.8 F_p = 0.24 m + √d + 5.6; each class
/// coarser multiplies by √2. Units: m and d in mm, the result in µm. Range: m 0.5 to 70, d 5 to 10000; the standard's tables take the
/// geometric means of ranges and round. Source: ISO 1328-1:1995, clause 6 and annexes, and
/// for F_r ISO 1328-2:1997, annex B; from memory.
///
/// ```
/// use quantity::Length;
/// use standards::{Deviation, class_allows};
/// let mean = |low: f64, high: f64| Length::from_mm((low * high).sqrt());
/// // table for m over 2 to 3.5 and d over 50 to 125, class 5: 6.0, 19 and 8.0 µm (from memory)
/// let um = |what| class_allows(what, 5, mean(2.0, 3.5), mean(50.0, 125.0)).mm() * 1000.0;
/// assert!((um(Deviation::SinglePitch) - 6.0).abs() < 0.25);
/// assert!((um(Deviation::TotalPitch) - 19.0).abs() < 0.5);
/// assert!((um(Deviation::Profile) - 8.0).abs() < 0.25);
/// assert!((um(Deviation::Runout) - 15.0).abs() < 0.5);
/// ```
pub fn class_allows(what: Deviation, class: u32, module: Length, diameter: Length) -> Length {
    let (m, root_d) = (module.mm(), diameter.mm().max(0.0).sqrt());
    let of_class_5 = match what {
        Deviation::SinglePitch => 0.3 * (m + 0.4 * root_d) + 4.0,
        Deviation::TotalPitch => 0.3 * m + 1.25 * root_d + 7.0,
        Deviation::Profile => 3.2 * m.max(0.0).sqrt() + 0.22 * root_d + 0.7,
        Deviation::Runout => 0.24 * m + root_d + 5.6,
    };
    Length::from_micrometres(of_class_5 * 2.0_f64.powf((f64::from(class) - 5.0) / 2.0))
}

/// The finest class that allows a deviation; none where it is beyond them all.
pub fn class_of(what: Deviation, deviation: Length, module: Length, diameter: Length) -> Option<u32> {
    CLASSES.into_iter().find(|class| class_allows(what, *class, module, diameter) >= deviation.abs())
}
