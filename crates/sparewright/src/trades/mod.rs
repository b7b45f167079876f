//! The part as files that other trades open, from what was found: the plate they are made from, and what is said of it.

mod check_piece;
mod cutter;
mod profile;
mod solid;

use ::solid::plate::{self, Plate, Refused};
use jiff::civil::Date;
use part::{Design, Shape};
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
    let plate = Plate::new(region, thickness, tolerance).map_err(|refused| told(refused, solved))?;
    match leaning(solved)? {
        None => Ok(plate),
        Some(_) if of == Of::Profile => {
            Err("The teeth are helical: a cut straight through would not be the part.".into())
        }
        Some(twist) => plate.twisted(twist).map_err(|refused| refused.to_string()),
    }
}

/// By how much helical teeth turn for each millimetre up; none where nothing leans.
fn leaning(solved: &Solved<'_>) -> Result<Option<f64>, String> {
    let designs = solved.features.iter().filter_map(|feature| Some((&feature.of.name, feature.design()?)));
    let (leaning, straight): (Vec<_>, Vec<_>) = designs.partition(|(_, design)| !design.is_straight());
    let Some((name, design)) = leaning.first() else { return Ok(None) };
    let is_edge = |design: &dyn Design| design.shapes().iter().any(|shape| !matches!(shape, Shape::Hole(_)));
    let whole = design.shapes().iter().all(|shape| matches!(shape, Shape::Boundary(_)));
    if leaning.len() > 1 || !whole || straight.iter().any(|(_, design)| is_edge(*design)) {
        return Err(format!(
            "The teeth of {name} are helical and not the whole edge of the part. Only a wheel with helical teeth all round it is carried into files of the solid; the drawing and the operations have all that is known."
        ));
    }
    let twist = design.twist();
    twist.map(Some).ok_or_else(|| {
        format!("Which way the helical teeth of {name} lean is not said: write hand = \"right\" or \"left\" into the feature.")
    })
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
