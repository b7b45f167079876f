//! Sizes typed on the command line, in the language of the shop.

use quantity::{Length, Unit, read_size};

use super::Refusal;
use crate::shop::bench;

/// The size behind a flag: `0.3`, `0.012 in`, `1/64`. A bare number is in `unit`.
pub fn size(flag: &str, typed: &str, unit: Unit) -> Result<Length, Refusal> {
    read_size(typed, &bench(unit, &[]))
        .map(|size| size.length)
        .map_err(|problem| Refusal(format!("{flag} {typed:?}: {} Write a size, as 0.3 or \"0.012 in\".", problem.message)))
}

/// The same, more than nothing.
pub fn some_size(flag: &str, typed: &str, unit: Unit) -> Result<Length, Refusal> {
    match size(flag, typed, unit)? {
        length if length > Length::ZERO => Ok(length),
        _ => Err(Refusal(format!("{flag} {typed:?}: this must be more than nothing."))),
    }
}
