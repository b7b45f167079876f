//! Limits of a hole or a shaft from what the joint does, to a nominal size or to the measured mate.

use part::{Entry, Reading};
use quantity::{Length, Problem, Unit, Value, nearest, print};
use standards::fits::{Clearance, Fit, Limits, fit, fit_names, fits, limits};

/// Which of the two is made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Half {
    Hole,
    Shaft,
}

/// One half of a joint, with its limits.
#[derive(Clone, Debug)]
pub struct Joint {
    /// The size the limits are counted from.
    pub basic: Length,
    pub limits: Limits,
    /// "H7/p6, ISO 286-2"
    pub source: String,
    pub fit: Option<&'static Fit>,
    /// What results between the two halves, where both are known.
    pub clearance: Option<Clearance>,
    /// Made to the measured mate, not to a nominal size.
    pub to_mate: bool,
}

/// A hole nobody named a fit for is reamed.
const PLAIN_HOLE: &str = "H7";
/// A shaft nobody named a fit for is turned to size.
const PLAIN_SHAFT: &str = "h7";
/// Beyond the tables of ISO 286 (500 mm) a hole or shaft gets this, each way: a loud sign that it was not looked up.
const BEYOND_TABLES: Length = Length::from_mm(0.1);

impl Joint {
    /// To the nominal size; or, where the mate was measured, so that with the mate as it is the clearance is that of the
    /// fit: the basic size is then the mate's less the middle of its own class's limits.
    pub fn new(half: Half, nominal: Length, fit_name: Option<&str>, mate: Option<Length>) -> Joint {
        let fit = fit_name.and_then(fit);
        let hole = fit.map_or(PLAIN_HOLE, |fit| &fit.hole);
        let shaft = fit.and_then(|fit| fit.shaft.as_deref()).unwrap_or(PLAIN_SHAFT);
        let (own, mates) = match half {
            Half::Hole => (hole, shaft),
            Half::Shaft => (shaft, hole),
        };
        let mate = mate.filter(|_| fit.is_some_and(|fit| fit.shaft.is_some()));
        let basic = match mate {
            Some(size) => {
                let deviation = limits(mates, size).map_or(Length::ZERO, |limits| (limits.lower + limits.upper) / 2.0);
                Length::from_mm(((size - deviation).mm() * 1000.0).round() / 1000.0)
            }
            None => nominal,
        };
        let own_limits = limits(own, basic);
        let clearance = match (mate, own_limits, half) {
            (Some(mate), Some(limits), Half::Hole) => {
                Some(Clearance { least: basic + limits.lower - mate, most: basic + limits.upper - mate })
            }
            (Some(mate), Some(limits), Half::Shaft) => {
                Some(Clearance { least: mate - basic - limits.upper, most: mate - basic - limits.lower })
            }
            _ => fit.and_then(|fit| fit.clearance(basic)),
        };
        Joint {
            basic,
            limits: own_limits.unwrap_or(Limits { lower: -BEYOND_TABLES, upper: BEYOND_TABLES }),
            source: match (fit, own_limits) {
                (_, None) => "beyond the tables of ISO 286-2; limits are a guess".into(),
                (Some(fit), _) => format!("{}, ISO 286-2", fit.classes()),
                (None, _) => format!("{own}, ISO 286-2; no fit was named"),
            },
            fit,
            clearance,
            to_mate: mate.is_some(),
        }
    }

    pub fn smallest(&self) -> Length {
        self.basic + self.limits.lower
    }

    pub fn largest(&self) -> Length {
        self.basic + self.limits.upper
    }

    /// What the joint does and how it comes out, as whole sentences.
    pub fn remarks(&self, unit: Unit) -> Vec<String> {
        let to_mate = format!("Made to the measured mate: basic size {}.", print::length(self.basic, unit, 3));
        self.to_mate
            .then_some(to_mate)
            .into_iter()
            .chain(self.fit.map(|fit| fit.says.clone()))
            .chain(self.clearance_says(unit))
            .collect()
    }

    /// "Clearance 0.0008 to 0.0025 in, H8/f7"
    fn clearance_says(&self, unit: Unit) -> Option<String> {
        let clearance = self.clearance?;
        let size = |length: Length| print::figures(length, unit, 3);
        let zero = Length::ZERO;
        Some(if clearance.most <= zero {
            format!("Interference {} to {} {}.", size(-clearance.most), size(-clearance.least), unit.sign())
        } else if clearance.least >= zero {
            format!("Clearance {} to {} {}.", size(clearance.least), size(clearance.most), unit.sign())
        } else {
            format!(
                "From {} interference to {} {} clearance.",
                size(-clearance.least),
                size(clearance.most),
                unit.sign()
            )
        })
    }
}

/// A problem with the entry's `fit`, if it names none that is known.
pub fn unknown_fit(entry: &Entry) -> Option<Problem> {
    let name = entry.text("fit").filter(|name| fit(name).is_none())?;
    let problem =
        Problem::new(entry.at("fit"), format!("`{name}` is not a fit known here."), "expected what the joint does");
    Some(match nearest(name, fit_names()) {
        Some(meant) => problem.help(format!("did you mean `{meant}`?")),
        None => {
            let names: Vec<&str> = fits().iter().map(|fit| fit.name.as_str()).collect();
            problem.help(format!("known here: {}", names.join(", ")))
        }
    })
}

/// A problem with a bracket whose gauges stand the wrong way round.
pub fn gauges_swapped<M>(half: Half, reading: &Reading<M>) -> Option<Problem> {
    let Some(Value::Between { goes, not }) = reading.line.value() else { return None };
    let message = match half {
        Half::Hole if goes.length > not.length => "In a hole the pin that goes is the smaller one.",
        Half::Shaft if goes.length < not.length => "On a shaft the ring that goes is the larger one.",
        Half::Hole | Half::Shaft => return None,
    };
    let problem = reading.problem(message, "expected the two the other way round");
    Some(problem.help(format!("write: diameter goes {not}, not {goes}")))
}

/// A mate differs from what it goes with by fit and wear, by no more than this part of its size, nor by less than the length.
const MATE_WITHIN: f64 = 0.04;
const MATE_WITHIN_AT_LEAST: Length = Length::from_mm(0.8);

/// A mate that is no mate of this.
pub fn is_no_mate(own: Length, mate: Length) -> bool {
    (own - mate).abs() > (own * MATE_WITHIN).max(MATE_WITHIN_AT_LEAST)
}
