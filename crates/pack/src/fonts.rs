//! The fonts that sheets and drawings are set in, built in so that text looks the same everywhere.

use std::sync::LazyLock;

use typst::foundations::Bytes;
use typst::layout::{Abs, Em};
use typst::text::{Font, FontInstance, FontVariations, FontWeight};

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

pub(crate) const ALL: [&[u8]; 5] = [SANS_REGULAR, SANS_SEMIBOLD, MONO_REGULAR, MONO_SEMIBOLD, SIGNS_REGULAR];

pub(crate) static FONTS: LazyLock<Vec<Font>> =
    LazyLock::new(|| ALL.into_iter().filter_map(|font| Font::new(Bytes::new(font), 0)).collect());

pub(crate) fn has(font: &Font, c: char) -> bool {
    font.info().coverage.contains(c as u32)
}

/// The family that `c` is set in within text of `family`: that one if it can be.
pub(crate) fn family_for(family: &'static str, c: char) -> &'static str {
    let covers = |family: &str| regular(family).is_some_and(|font| has(font, c));
    // A fraction squeezed into one fixed width cannot be read.
    let squeezed = family == MONO && is_fraction(c);
    if c.is_whitespace() || (covers(family) && !squeezed) {
        return family;
    }
    [SANS, SIGNS].into_iter().find(|other| covers(other)).unwrap_or(family)
}

/// The width of `c` over the font size, in the family it is set in; kerning is not counted.
pub(crate) fn advance(family: &'static str, strong: bool, c: char) -> f64 {
    cut_for(family, strong, c).and_then(|cut| cut.x_advance(cut.ttf().glyph_index(c)?.0)).map_or(MONO_ADVANCE, Em::get)
}

/// The font that `c` is set in within text of `family`.
pub(crate) fn cut_for(family: &'static str, strong: bool, c: char) -> Option<&'static FontInstance> {
    let own = family_for(family, c);
    let weight = match strong && own == SANS {
        true => FontWeight::SEMIBOLD,
        false => FontWeight::REGULAR,
    };
    METRICS.iter().find(|metrics| {
        let info = metrics.font().info();
        info.family == own && info.variant.weight == weight
    })
}

static METRICS: LazyLock<Vec<FontInstance>> = LazyLock::new(|| {
    FONTS
        .iter()
        .map(|font| {
            let (variant, none) = (font.info().variant, FontVariations::default());
            font.clone().instantiate(variant, Abs::pt(10.0), &none)
        })
        .collect()
});

fn regular(family: &str) -> Option<&'static Font> {
    FONTS.iter().find(|font| font.info().family == family)
}

/// Height of capitals and figures over the font size: both Source families, from their `OS/2` tables.
pub(crate) const CAP_HEIGHT: f64 = 0.66;
/// Width of each character of the fixed-width family over the font size, from its `hmtx` table.
const MONO_ADVANCE: f64 = 0.6;
/// A generous mean of the proportional family's advances; only leaves room, sets nothing.
pub(crate) const SANS_ADVANCE: f64 = 0.5;

/// A fraction in one character.
fn is_fraction(c: char) -> bool {
    matches!(c, '¼'..='¾' | '⅐'..='⅞')
}
