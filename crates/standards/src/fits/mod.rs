//! Limits and fits: the tables of ISO 286, and fits by what they are for.

mod deviations;
mod purposes;

pub use deviations::{Class, Grade, Limits, it, limits};
pub use purposes::{Clearance, Fit, fit, fit_names, fits};

use crate::table::DataFile;

pub(crate) fn files() -> Vec<DataFile> {
    let mut files = vec![purposes::FILE];
    files.extend(deviations::FILES);
    files
}
