//! Limits and fits: the tables of ISO 286 and of ANSI B4.1, and fits by what they are for.

mod deviations;
mod inch;
mod purposes;

pub use deviations::{Class, Grade, Limits, it, limits};
pub use inch::{InchClass, InchLimits, inch_class, inch_classes, inch_limits};
pub use purposes::{Classes, Clearance, Fit, fit, fit_names, fits};

use crate::table::DataFile;

pub(crate) fn files() -> Vec<DataFile> {
    let mut files = vec![purposes::FILE];
    files.extend(deviations::FILES);
    files.extend(inch::FILES);
    files
}
