//! The cutter's profile: the tooth space at true scale and magnified, to grind a fly cutter or trace a form by.

use pack::Pack;
use serde_json::{Value, json};

use crate::sheets::fly_cutter::{PROJECTED, grinding, projected, rims, size, times_that_fit};
use crate::solve::Solved;

/// What is asked of a cutter's profile.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Wanted {
    /// The shadow projector's magnification; the largest usual one that fits a page unless given.
    pub times: Option<u32>,
}

#[derive(Clone, Debug)]
pub struct Cutter {
    pub svg: String,
    pub pdf: Vec<u8>,
    pub result: Value,
}

/// Behind the job's name.
pub const SUFFIXES: [&str; 2] = ["-cutter.svg", "-cutter.pdf"];

/// Of the job's first rim; none where it has no teeth.
pub fn cutter(solved: &Solved<'_>, wanted: Wanted, date: &str) -> Option<Result<Cutter, String>> {
    let teeth = rims(solved).into_iter().next()?;
    Some(made(solved, wanted, date, &teeth))
}

fn made(solved: &Solved<'_>, wanted: Wanted, date: &str, teeth: &part::TeethWork) -> Result<Cutter, String> {
    let unknown = || "The space between the teeth is not known well enough to draw a cutter by.".to_string();
    let space = size(teeth).ok_or_else(unknown)?;
    let least = PROJECTED[PROJECTED.len() - 1];
    let times = wanted.times.or(times_that_fit(teeth)).unwrap_or(least);
    let template = projected(teeth, times).ok_or_else(unknown)?;
    let sheet = template
        .sheet()
        .map_err(|too_large| format!("At {times} times, {too_large}: ask for a smaller magnification."))?;
    let by_widths = grinding(teeth, solved.job.unit).and_then(|template| template.sheet().ok());
    let paper = Pack {
        title: solved.job.title.clone(),
        subtitle: format!("cutter profile, {}", teeth.size_label),
        date: date.into(),
        reference: String::new(),
        shop: String::new(),
        footer: String::new(),
        sheets: std::iter::once(sheet).chain(by_widths).collect(),
    };
    let pdf = pack::to_pdf(&paper).map_err(|error| format!("The sheet could not be set: {error}"))?;
    let result = json!({
        "magnification": times,
        "space_width_mm": space.width,
        "space_depth_mm": space.height,
        "teeth": teeth.teeth,
        "size": teeth.size_label,
    });
    Ok(Cutter { svg: template.whole().to_svg(), pdf, result })
}
