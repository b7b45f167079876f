//! Every kind of feature, a folder each. Kinds never import one another; what round kinds share stands in [`nominal`]
//! and [`joint`].

mod bore;
mod holes;
mod joint;
mod nominal;
mod outline;
mod shaft;
mod toothed_rim;

use part::Kind;

/// The visible list: a new kind is a folder and a line here.
pub fn kinds() -> &'static [&'static dyn Kind] {
    &[&toothed_rim::ToothedRimKind, &bore::BoreKind, &shaft::ShaftKind, &holes::HolesKind, &outline::OutlineKind]
}
