//! What cannot be so, whatever the rim is.

use part::Reading;
use quantity::Problem;

use super::readings::Measurand;
use super::recover::STEEPEST;
use super::{FEWEST_TEETH, ToothedRim};

pub fn problems(rim: &ToothedRim) -> Vec<Problem> {
    let mut problems: Vec<Problem> = rim
        .readings
        .iter()
        .enumerate()
        .filter_map(|(index, reading)| problem(rim, index, reading, reading.means.as_ref()?))
        .collect();
    if !rim.whole && rim.teeth_present().is_none() {
        problems.push(
            Problem::new(
                rim.entry.at("whole"),
                "This is a sector, but not how many teeth it has.",
                "expected a line `N teeth present`",
            )
            .help("count the tooth places on the piece, broken ones too"),
        );
    }
    if rim.hand().is_some() && rim.helix().is_none() {
        problems.push(
            Problem::new(rim.entry.at("hand"), "Only helical teeth have a hand.", "expected a line `helix angle A`")
                .help("give the angle between tooth and axis, or leave the hand out"),
        );
    }
    problems
}

fn problem(rim: &ToothedRim, index: usize, reading: &Reading<Option<Measurand>>, means: &Measurand) -> Option<Problem> {
    let earlier = |same: fn(&Measurand) -> Option<u32>| {
        rim.readings[..index].iter().find_map(|reading| same(reading.means.as_ref()?))
    };
    let all = rim.teeth();
    let present = rim.teeth_present();
    // on a sector, how many there are to lay an instrument on
    let there = if rim.whole { None } else { present };
    match means {
        Measurand::Teeth(count) if *count < FEWEST_TEETH => Some(
            reading
                .problem(
                    format!("A toothed rim has at least {FEWEST_TEETH} teeth, not {count}."),
                    "expected the number of teeth in the whole circle",
                )
                .help("for the teeth on a broken piece write: N teeth present"),
        ),
        Measurand::Teeth(count) => {
            let other = earlier(counted).filter(|other| other != count)?;
            Some(reading.problem(format!("The teeth were counted as {other} already."), "expected one count"))
        }
        Measurand::TeethPresent(count) => {
            if let Some(other) = earlier(count_present).filter(|other| other != count) {
                let message = format!("The teeth present were counted as {other} already.");
                return Some(reading.problem(message, "expected one count"));
            }
            let all = all.filter(|all| count > all)?;
            let message = format!("More teeth are present than the {all} of the whole circle.");
            Some(reading.problem(message, "expected no more than the whole circle has"))
        }
        Measurand::TeethBroken(count) => {
            let places = present.or(all).filter(|places| count > places)?;
            Some(
                reading
                    .problem(format!("There are only {places} tooth places to be broken."), "expected fewer teeth")
                    .help("the teeth present are counted with the broken ones"),
            )
        }
        Measurand::Span { teeth } => span(reading, *teeth, all, there),
        Measurand::ChordAcross { pitches } => {
            if all.is_some_and(|all| *pitches >= all) {
                let message = "A chord goes across fewer pitches than there are teeth.";
                return Some(reading.problem(message, "expected fewer pitches"));
            }
            let there = there.filter(|there| pitches >= there)?;
            let message = format!("From the first to the last of {there} tips there are {} pitches.", there - 1);
            Some(reading.problem(message, "expected no more pitches"))
        }
        Measurand::OverPins { .. } if has_no_opposite(all, there) => Some(
            reading
                .problem("This piece has no two opposite spaces to lay pins in.", "expected a reading from the bore")
                .help("write: centre to outside of D pin V"),
        ),
        Measurand::OverTheTips if has_no_opposite(all, there) => Some(
            reading
                .problem("This piece has no opposite tips to lay a caliper on.", "expected a reading from the bore")
                .help("write: tip radius V"),
        ),
        Measurand::RootDiameter | Measurand::RootRadius if is_above_tips(rim, reading, means) => {
            Some(reading.problem("The roots cannot stand further out than the tips.", "expected a smaller size"))
        }
        Measurand::HelixAngle => helix(reading),
        Measurand::OutsideDiameter
        | Measurand::OverTheTips
        | Measurand::TipRadius
        | Measurand::RootDiameter
        | Measurand::RootRadius
        | Measurand::WholeDepth
        | Measurand::OverPins { .. }
        | Measurand::CentreToPin { .. }
        | Measurand::Thickness { .. }
        | Measurand::CentreDistance { .. }
        | Measurand::FaceWidth
        | Measurand::PrintAngle
        | Measurand::Meshes(_)
        | Measurand::DoesNotMesh(_) => None,
    }
}

fn helix(reading: &Reading<Option<Measurand>>) -> Option<Problem> {
    let angle = reading.angle.filter(super::leans)?.value.radians();
    if angle < 0.0 {
        return Some(
            reading
                .problem("Which way the teeth lean is not told by a sign.", "expected an angle from the axis, above 0")
                .help("write the angle without its sign, and hand = \"left\" or \"right\" into the feature"),
        );
    }
    (angle > STEEPEST).then(|| {
        reading
            .problem("Teeth that lean so much are threads of a worm.", "expected at most 60 degrees")
            .help("the helix angle is counted from the axis; teeth along the axis have 0")
    })
}

fn counted(means: &Measurand) -> Option<u32> {
    if let Measurand::Teeth(count) = means { Some(*count) } else { None }
}

fn count_present(means: &Measurand) -> Option<u32> {
    if let Measurand::TeethPresent(count) = means { Some(*count) } else { None }
}

fn span(reading: &Reading<Option<Measurand>>, teeth: u32, all: Option<u32>, there: Option<u32>) -> Option<Problem> {
    if teeth < 2 {
        return Some(
            reading
                .problem("A span goes over two teeth or more.", "expected 2 or more teeth")
                .help("for one tooth write: tooth thickness V at depth H"),
        );
    }
    if let Some(all) = all.filter(|all| teeth > all / 2 + 1) {
        let message = format!("A span over {teeth} of {all} teeth cannot touch two flanks.");
        return Some(reading.problem(message, "expected fewer teeth").help("count the teeth between the jaws again"));
    }
    let there = there.filter(|there| teeth > *there)?;
    let message = format!("There are only {there} teeth on the piece.");
    Some(reading.problem(message, "expected no more teeth than are present"))
}

/// A piece of so few teeth that nothing on it stands opposite to anything; where the whole count is not known, nobody can say.
fn has_no_opposite(all: Option<u32>, there: Option<u32>) -> bool {
    matches!((all, there), (Some(all), Some(there)) if there <= all / 2)
}

/// Clearly deeper than any reading strays.
fn is_above_tips(rim: &ToothedRim, reading: &Reading<Option<Measurand>>, means: &Measurand) -> bool {
    let radius = |reading: &Reading<Option<Measurand>>| {
        let length = reading.length?.value.mm();
        Some(if matches!(reading.means, Some(Measurand::TipRadius | Measurand::RootRadius)) {
            length
        } else {
            length / 2.0
        })
    };
    let same_way = |other: &Measurand| match means {
        Measurand::RootRadius => matches!(other, Measurand::TipRadius),
        _ => matches!(other, Measurand::OutsideDiameter | Measurand::OverTheTips),
    };
    let tips = rim.readings.iter().find(|other| other.means.as_ref().is_some_and(same_way)).and_then(radius);
    matches!((radius(reading), tips), (Some(root), Some(tip)) if root >= tip)
}
