//! Paper for the bench: sheets of text, tables, operations and drawings, as one PDF or as SVG.
//!
//! A [`Pack`] says what stands on paper and nothing about how; [`to_pdf`] sets it. A [`Drawing`] is put together from
//! [`Trace`]s and dimensions, at true scale or at a scale of the recommended series, and [`Drawing::to_svg`] writes it at
//! exact size. Nothing here knows what is drawn or listed.

mod dimension;
mod drawing;
pub mod fonts;
mod letters;
mod pdf;
mod place;
mod scale;
mod sheet;
mod svg;
mod tag;
mod template;
mod trace;

pub use dimension::{Aim, Along, Label};
pub use drawing::{Anchor, Drawing, Face, Fill, Height, Ink, Line, Text, View};
pub use pdf::{PackError, to_pdf, unprintable};
pub use scale::Scale;
pub use sheet::{
    Align, Block, Column, KeyValue, Orientation, Pack, Paper, Rich, Row, Run, Sheet, Step, Style, Table, Tick, Tone,
    Width,
};
pub use tag::{TAG, Tag, Tags};
pub use template::{BAR_INCH, BAR_METRIC, Template, TooLarge};
pub use trace::{Piece, Trace};
