//! The part as files that other trades open, from what was found: the plate they are made from, and what is said of it.

mod check_piece;
mod cutter;
mod profile;
mod solid;

use ::solid::plate::{self, Plate, Refused};
use jiff::civil::Date;
use quantity::Length;
use serde_json::{Map, Value};

use crate::report::in_100;
use crate::shape::PartShape;
use crate::sheets::template::needs_template;
use crate::solve::{Outcome, Solved, SolvedFeature};

pub use check_piece::{CheckPiece, SUFFIX as CHECK_PIECE, Wanted as WantedCheckPiece, check_piece};
pub use cutter::{Cutter, SUFFIXES as CUTTER, Wanted as WantedCutter, cutter};
pub use profile::{Profile, SUFFIX as PROFILE, Wanted as WantedProfile, profile};
pub use solid::{SUFFIX as SOLID, Solid, Wanted as WantedSolid, solid};

/// The part as a plate, or why there is none, as a sentence.
fn plate(solved: &Solved<'_>, tolerance: Length, of: Of) -> Result<Plate, String> {
    let wanted = |feature: &SolvedFeature<'_>| of == Of::Body || !feature.is_match_made();
    let shape = PartShape::within(solved, plate::drawn(tolerance), wanted);
    if let Some(leaning) =
        solved.features.iter().find(|feature| feature.design().is_some_and(|design| !design.is_straight()))
    {
        return Err(format!(
            "The teeth of {} are helical: a cut straight through, or a solid drawn straight up, would not be the part. Helical solids are not written yet; the drawing and the operations have all that is known.",
            leaning.of.name
        ));
    }
    let region = match &shape {
        Some(PartShape::Whole(region)) => region,
        Some(open @ PartShape::Open { .. }) => return Err(open.gap().unwrap_or_default().into()),
        None => {
            return Err("Nothing is known yet that could be drawn: measure the part first. `sparewright solve` says what is missing.".into());
        }
    };
    let thickness = match of {
        Of::Body => thickness(solved)?,
        // what is cut out of a plate is as thick as the plate
        Of::Profile => thickness(solved).unwrap_or(Length::from_mm(1.0)),
    };
    Plate::new(region, thickness, tolerance).map_err(|refused| told(refused, solved))
}

/// All files of a job for other trades, as they go into its pack.
#[derive(Clone, Debug, Default)]
pub struct Files {
    /// What stands behind the job's name, and the contents.
    pub files: Vec<(&'static str, Vec<u8>)>,
    /// What could not be made and why, as sentences.
    pub not_made: Vec<String>,
    pub result: Map<String, Value>,
}

pub fn files(solved: &Solved<'_>, shop: &str, date: &Date) -> Files {
    let mut out = Files::default();
    out.add("solid", solid(solved, WantedSolid::default(), shop, date), |made| {
        (made.result, vec![(SOLID, made.text.into_bytes())])
    });
    let usual = WantedCheckPiece::usual(solved);
    out.add("check_piece", check_piece(solved, &usual), |made| (made.result, vec![(CHECK_PIECE, made.bytes)]));
    if needs_template(solved) {
        let edges = WantedProfile::default();
        out.add("profile", profile(solved, &edges), |made| (made.result, vec![(PROFILE, made.svg.into_bytes())]));
    }
    // its sheet is in the pack where it is wanted
    let printed = date.strftime("%-d %B %Y").to_string();
    if let Some(made) = cutter(solved, WantedCutter::default(), &printed) {
        out.add("cutter", made, |made| (made.result, vec![(CUTTER[0], made.svg.into_bytes())]));
    }
    out.not_made.dedup();
    out
}

impl Files {
    fn add<T>(
        &mut self,
        name: &str,
        made: Result<T, String>,
        take: impl Fn(T) -> (Value, Vec<(&'static str, Vec<u8>)>),
    ) {
        match made.map(take) {
            Ok((result, files)) => {
                self.result.insert(name.into(), result);
                self.files.extend(files);
            }
            Err(why) => {
                self.result.insert(name.into(), Value::Null);
                self.not_made.push(why);
            }
        }
    }
}

/// What is asked of a plate.
#[derive(Clone, Copy, Debug, Eq, PartialEq)]
enum Of {
    /// All of it.
    Body,
    /// Its edges alone, without what is drilled through the mating part.
    Profile,
}

/// Along the axis: a turned part's own length, else the part's thickness.
fn thickness(solved: &Solved<'_>) -> Result<Length, String> {
    let unit = solved.job.unit;
    let designs = solved.features.iter().filter_map(|feature| feature.design());
    let lengths: Vec<f64> = designs.filter_map(|design| design.drawn(unit).length).collect();
    match lengths.as_slice() {
        [] => solved.thickness.map(|thickness| thickness.value).ok_or_else(|| {
            "The thickness is not known: measure it and give `thickness V` or `face width V` in any feature.".into()
        }),
        [length] => Ok(Length::from_mm(*length)),
        _ => Err("The part has several steps, and it is not known in which order they stand along its axis: give each step a job of its own.".into()),
    }
}

fn told(refused: Refused, solved: &Solved<'_>) -> String {
    match refused {
        // a turned part's thickness is its length
        Refused::NoThickness if solved.thickness.is_none() => {
            "The part has no length: give `length V`, larger than nothing.".into()
        }
        other => other.to_string(),
    }
}

/// What each feature was found to be and how sure that is, a sentence each.
fn finding(solved: &Solved<'_>) -> Vec<String> {
    let unit = solved.job.unit;
    solved
        .features
        .iter()
        .filter_map(|feature| {
            let sentence = feature.design()?.sentence(unit);
            let name = &feature.of.name;
            Some(match &*feature.outcome {
                Outcome::Found(found) => {
                    let probability = found.weighed.findings.first().map_or(0.0, |first| first.probability);
                    format!("{name}: {sentence}, probability {} in 100.", in_100(probability))
                }
                Outcome::Given(_) | Outcome::Nothing(_) => format!("{name}: {sentence}, as given."),
            })
        })
        .collect()
}
