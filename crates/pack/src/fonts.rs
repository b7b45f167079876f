//! The fonts that sheets and drawings are set in, built in so that text looks the same everywhere.

/// The family of running text.
pub const SANS: &str = "Source Sans 3";
/// The family of figures and of all text in drawings.
pub const MONO: &str = "Source Code Pro";
/// The family for signs and scripts that the others lack, such as ⌀.
pub const SIGNS: &str = "DejaVu Sans Mono";

pub static SANS_REGULAR: &[u8] = include_bytes!("../../../data/fonts/SourceSans3-Regular.otf");
pub static SANS_SEMIBOLD: &[u8] = include_bytes!("../../../data/fonts/SourceSans3-Semibold.otf");
pub static MONO_REGULAR: &[u8] = include_bytes!("../../../data/fonts/SourceCodePro-Regular.otf");
pub static MONO_SEMIBOLD: &[u8] = include_bytes!("../../../data/fonts/SourceCodePro-Semibold.otf");
pub static SIGNS_REGULAR: &[u8] = include_bytes!("../../../data/fonts/DejaVuSansMono.ttf");

pub(crate) const ALL: [&[u8]; 5] = [
    SANS_REGULAR,
    SANS_SEMIBOLD,
    MONO_REGULAR,
    MONO_SEMIBOLD,
    SIGNS_REGULAR,
];

/// Height of capitals and figures over the font size: both Source families, from their `OS/2` tables.
pub(crate) const CAP_HEIGHT: f64 = 0.66;
/// Width of each character of the fixed-width family over the font size, from its `hmtx` table (0.602 for the signs).
pub(crate) const MONO_ADVANCE: f64 = 0.6;
/// A generous mean of the proportional family's advances; only leaves room, sets nothing.
pub(crate) const SANS_ADVANCE: f64 = 0.52;
/// Width of a fraction such as ½ in the proportional family over the font size, from its `hmtx` table.
pub(crate) const FRACTION_ADVANCE: f64 = 0.82;

/// A fraction in one character.
pub(crate) fn is_fraction(c: char) -> bool {
    matches!(c, '¼'..='¾' | '⅐'..='⅞')
}
