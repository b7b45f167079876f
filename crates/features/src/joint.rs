//! Limits of a hole or a shaft from what the joint does, to a nominal size or to the measured mate.

use part::{Entry, Extent, Field, FieldShape, MadeTo, Member, Reading, Seat, Stuff, Surface, Wall, Way};
use quantity::{Length, Measured, Problem, Unit, Value, nearest, print};
use standards::fits::{Clearance, Fit, Limits, fit, fit_names, fits, inch_classes, limits};

/// Which of the two is made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Half {
    Hole,
    Shaft,
}

/// What an entry says of its joint.
#[derive(Clone, Debug, Default)]
pub struct Wanted {
    pub fit: Option<Fit>,
    pub made_to: Option<MadeTo>,
    /// The material of what it goes with.
    pub mate_material: Option<String>,
}

/// One half of a joint, with its limits.
#[derive(Clone, Debug)]
pub struct Joint {
    /// The size the limits are counted from.
    pub basic: Length,
    pub limits: Limits,
    /// "H7/p6, ISO 286-2"
    pub source: String,
    pub fit: Option<Fit>,
    /// The size lies beyond the tables, and the limits are no more than a sign of that.
    pub is_beyond: bool,
    /// How the sizes can be chosen, the way that is taken first; none where only one half is known.
    pub ways: Vec<Way>,
    mate_material: Option<String>,
}

/// The fields of an entry that [`Wanted`] is read from.
pub const FIELDS: [Field; 3] = [
    Field {
        name: "fit",
        shape: FieldShape::Text,
        about: "what the joint does: press bush, running, push, keyed, …; or its classes, H7/p6 or RC4",
    },
    Field {
        name: "made_to",
        shape: FieldShape::OneOf(&["mate", "nominal"]),
        about: "the measured mate or the nominal size; where neither is said, the mate if it is no longer within its own limits",
    },
    Field { name: "mate_material", shape: FieldShape::Text, about: "of what it goes with" },
];

/// A hole nobody named a fit for is reamed.
const PLAIN_HOLE: &str = "H7";
/// A shaft nobody named a fit for is turned to size.
const PLAIN_SHAFT: &str = "h7";
/// Beyond the tables a hole or shaft gets this, each way: a loud sign that it was not looked up.
const BEYOND_TABLES: Length = Length::from_mm(0.1);

impl Wanted {
    pub fn read(entry: &Entry) -> Wanted {
        Wanted {
            fit: entry.text("fit").and_then(fit),
            made_to: entry.text("made_to").map(|word| if word == "mate" { MadeTo::Mate } else { MadeTo::Nominal }),
            mate_material: entry.text("mate_material").map(str::to_string),
        }
    }
}

impl Joint {
    /// To the nominal size; or, where the mate was measured, so that with the mate as it is the clearance is that of the
    /// fit: the basic size is then the mate's less the middle of its own class's limits.
    ///
    /// Where the entry leaves it open, a mate still within its own limits lets the part be made to the nominal size, which
    /// the reamers and gauges in the drawer are for; a worn one asks to be followed (common practice).
    pub fn new(half: Half, nominal: Length, wanted: &Wanted, mate: Option<Measured<Length>>) -> Joint {
        let fit = wanted.fit.clone();
        let sides = Sides { half, fit: fit.as_ref() };
        let mate = mate.filter(|_| fit.as_ref().is_some_and(|fit| fit.clearance(nominal).is_some()));
        let mut ways: Vec<Way> = [mate.and_then(|mate| sides.to_mate(mate)), sides.to_nominal(nominal, mate)]
            .into_iter()
            .flatten()
            .collect();
        let still_good = mate.is_some_and(|mate| {
            sides
                .mates_limits(nominal)
                .is_some_and(|(smallest, largest)| (nominal + smallest..=nominal + largest).contains(&mate.value))
        });
        let taken = wanted.made_to.unwrap_or(if still_good { MadeTo::Nominal } else { MadeTo::Mate });
        ways.sort_by_key(|way| way.to != taken);
        // limits are written to the micrometre: where both come to the same there is nothing to choose
        ways.dedup_by(|other, first| (other.basic - first.basic).abs() < Length::from_micrometres(0.5));
        let basic = ways.first().map_or(nominal, |way| way.basic);
        let own = sides.own(basic);
        Joint {
            basic,
            limits: own.unwrap_or(Limits { lower: -BEYOND_TABLES, upper: BEYOND_TABLES }),
            source: sides.source(own.is_some()),
            is_beyond: own.is_none(),
            mate_material: wanted.mate_material.clone(),
            fit,
            ways,
        }
    }

    pub fn smallest(&self) -> Length {
        self.basic + self.limits.lower
    }

    pub fn largest(&self) -> Length {
        self.basic + self.limits.upper
    }

    /// The way that is taken.
    pub fn way(&self) -> Option<&Way> {
        self.ways.first()
    }

    pub fn is_to_mate(&self) -> bool {
        self.way().is_some_and(|way| way.to == MadeTo::Mate)
    }

    /// Whether it is pressed in: the fit grips whatever pieces within its limits meet.
    pub fn grips(&self) -> bool {
        self.fit.as_ref().is_some_and(|fit| fit.grips(self.basic))
    }

    pub fn is_mate_read(&self) -> bool {
        self.way().is_some_and(|way| way.read().is_some())
    }

    /// What the joint does and how it comes out, as whole sentences.
    pub fn remarks(&self, unit: Unit) -> Vec<String> {
        let mut out = Vec::new();
        if self.is_beyond {
            out.push(format!(
                "This size is {}: take them from the standard before anything is cut.",
                self.source.replace("limits are", "its limits here are")
            ));
        }
        if let Some(way) = self.way().filter(|_| self.is_mate_read()) {
            let basic = print::length(self.basic, unit, 3);
            out.push(match (way.to, self.ways.len()) {
                (_, 1) => format!("Made to {basic}, nominal size and measured mate alike."),
                (MadeTo::Mate, _) => format!("Made to the measured mate: basic size {basic}."),
                (MadeTo::Nominal, _) => format!("Made to the nominal size {basic}, with the mate as measured."),
            });
        }
        out.extend(self.fit.as_ref().map(|fit| fit.says.clone()).filter(|says| !says.is_empty()));
        out.extend(self.way().map(|way| format!("{}.", capital(&clearance_says(way.clearance(), unit)))));
        for other in self.ways.iter().skip(1) {
            let says = clearance_says(other.clearance(), unit);
            out.push(match other.to {
                MadeTo::Mate => format!("Made to the mate it would be {says}."),
                MadeTo::Nominal => format!("Made to the nominal size it would be {says}."),
            });
        }
        out
    }

    /// The fields of the joint in the machine-readable result.
    pub fn record(&self, map: &mut serde_json::Map<String, serde_json::Value>) {
        use serde_json::json;
        map.insert("smallest_mm".into(), json!(self.smallest().mm()));
        map.insert("largest_mm".into(), json!(self.largest().mm()));
        map.insert("fit".into(), json!(self.fit.as_ref().map(|fit| &fit.name)));
        map.insert("made_to".into(), json!(self.way().map(|way| way.to.name())));
    }

    /// What it goes with, whose far side is `wall`.
    pub fn mate(&self, called: &'static str, wall: Wall) -> Member {
        let material = self.mate_material.clone().map_or(Stuff::Unknown, Stuff::Named);
        Member { called, material, wall, surface: Surface::Used }
    }

    /// The joint for the later stages; none where only one half of it is known.
    pub fn seat(&self, feature: &str, hole: Member, shaft: Member, length: Option<Length>) -> Option<Seat> {
        (!self.ways.is_empty()).then(|| Seat {
            feature: feature.into(),
            fit: self.fit.as_ref().map(|fit| fit.name.clone()),
            classes: self.source.clone(),
            hole,
            shaft,
            length,
            ways: self.ways.clone(),
        })
    }
}

/// "clearance 0.0008 to 0.0025 in", "from 0.0003 interference to 0.0004 in clearance"
fn clearance_says(clearance: Clearance, unit: Unit) -> String {
    let size = |length: Length| print::figures(length, unit, 3);
    let (least, most, sign) = (clearance.least, clearance.most, unit.sign());
    if most <= Length::ZERO {
        format!("interference {} to {} {sign}", size(-most), size(-least))
    } else if least >= Length::ZERO {
        format!("clearance {} to {} {sign}", size(least), size(most))
    } else {
        format!("from {} interference to {} {sign} clearance", size(-least), size(most))
    }
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| first.to_uppercase().chain(chars).collect())
}

/// The two halves of a fit, seen from the one that is made.
struct Sides<'a> {
    half: Half,
    fit: Option<&'a Fit>,
}

impl Sides<'_> {
    fn own(&self, basic: Length) -> Option<Limits> {
        match self.half {
            Half::Hole => self.fit.map_or_else(|| limits(PLAIN_HOLE, basic), |fit| fit.hole(basic)),
            Half::Shaft => match self.fit {
                // a fit of a plain hole says nothing of the shaft
                Some(fit) if fit.shaft(basic).is_some() || fit.hole(basic).is_none() => fit.shaft(basic),
                _ => limits(PLAIN_SHAFT, basic),
            },
        }
    }

    /// Deviations of the mate's own class.
    fn mates_limits(&self, basic: Length) -> Option<(Length, Length)> {
        let fit = self.fit?;
        let limits = match self.half {
            Half::Hole => fit.shaft(basic)?,
            Half::Shaft => fit.hole(basic)?,
        };
        Some((limits.lower, limits.upper))
    }

    fn to_mate(&self, mate: Measured<Length>) -> Option<Way> {
        let (lower, upper) = self.mates_limits(mate.value)?;
        // limits are written to the micrometre
        let basic = Length::from_mm(((mate.value - (lower + upper) / 2.0).mm() * 1000.0).round() / 1000.0);
        self.way(MadeTo::Mate, basic, Extent::Read(mate))
    }

    fn to_nominal(&self, nominal: Length, mate: Option<Measured<Length>>) -> Option<Way> {
        let (lower, upper) = self.mates_limits(nominal)?;
        let supposed = Extent::Within { smallest: nominal + lower, largest: nominal + upper };
        self.way(MadeTo::Nominal, nominal, mate.map_or(supposed, Extent::Read))
    }

    fn way(&self, to: MadeTo, basic: Length, mate: Extent) -> Option<Way> {
        let (smallest, largest) = self.own(basic)?.sizes(basic);
        let own = Extent::Within { smallest, largest };
        Some(match self.half {
            Half::Hole => Way { to, basic, hole: own, shaft: mate },
            Half::Shaft => Way { to, basic, hole: mate, shaft: own },
        })
    }

    fn source(&self, within_tables: bool) -> String {
        let plain = match self.half {
            Half::Hole => PLAIN_HOLE,
            Half::Shaft => PLAIN_SHAFT,
        };
        match self.fit {
            _ if !within_tables => match self.fit {
                Some(fit) => format!("beyond the tables of {}; limits are a guess", fit.standard()),
                None => "beyond the tables of ISO 286-2; limits are a guess".into(),
            },
            Some(fit) => format!("{}, {}", fit.designation(), fit.standard()),
            None => format!("{plain}, ISO 286-2; no fit was named"),
        }
    }
}

/// Problems with what the entry says of its joint: a fit or a material that is not known, a mate that was not measured.
pub fn problems(entry: &Entry, half: Half, mate_read: bool) -> Vec<Problem> {
    let without_fit = || {
        let wants = entry.text("made_to").is_some() && entry.text("fit").is_none();
        wants.then(|| {
            Problem::new(entry.at("made_to"), "Nothing says how tight it is to be.", "expected a fit beside it")
                .help("add fit = \"running\", or whatever the joint does")
        })
    };
    let to_nothing = || {
        let wants_mate = entry.text("made_to") == Some("mate") && !mate_read;
        wants_mate.then(|| {
            Problem::new(entry.at("made_to"), "The mate was not measured.", "expected a reading of it to make this to")
                .help("add a line: mate diameter V")
        })
    };
    [unknown_fit(entry, half), unknown_material(entry), without_fit(), to_nothing()].into_iter().flatten().collect()
}

/// A problem with the entry's `fit`, if it names none that is known or none of this half.
fn unknown_fit(entry: &Entry, half: Half) -> Option<Problem> {
    let name = entry.text("fit")?;
    // any size within all tables will do
    let size = Length::from_mm(20.0);
    let Some(fit) = fit(name) else {
        let problem =
            Problem::new(entry.at("fit"), format!("`{name}` is not a fit known here."), "expected what the joint does");
        let classes = inch_classes().iter().map(|class| class.name.as_str());
        return Some(match nearest(name, fit_names().chain(classes)) {
            Some(meant) => problem.help(format!("did you mean `{meant}`?")),
            None => {
                let names: Vec<&str> = fits().iter().map(|fit| fit.name.as_str()).collect();
                problem.help(format!(
                    "known here: {}; or classes, the hole first: H7/p6 of ISO 286, RC4 of ANSI B4.1",
                    names.join(", ")
                ))
            }
        });
    };
    let (wrong, problem) = match half {
        Half::Hole => (fit.hole(size).is_none() && fit.shaft(size).is_some(), "is a class of shafts."),
        Half::Shaft => {
            (fit.shaft(size).is_none() && name.parse::<standards::fits::Class>().is_ok(), "is a class of holes.")
        }
    };
    wrong.then(|| {
        Problem::new(entry.at("fit"), format!("`{name}` {problem}"), "expected a class of this half or of both")
            .help("write both, the hole first: H7/p6")
    })
}

fn unknown_material(entry: &Entry) -> Option<Problem> {
    let name = entry.text("mate_material").filter(|name| standards::material(name).is_none())?;
    let problem = Problem::new(
        entry.at("mate_material"),
        format!("`{name}` is not in the table of materials."),
        "expected a material",
    );
    Some(match nearest(name, standards::material_names()) {
        Some(meant) => problem.help(format!("did you mean `{meant}`?")),
        None => {
            let names: Vec<&str> = standards::materials().iter().map(|material| material.name.as_str()).collect();
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
    let before = reading.line.text.split(" goes ").next().filter(|before| !before.contains('"')).unwrap_or("diameter");
    Some(problem.help(format!("write: {before} goes {not}, not {goes}")))
}

/// A mate differs from what it goes with by fit and wear, by no more than this part of its size, nor by less than the length.
const MATE_WITHIN: f64 = 0.04;
const MATE_WITHIN_AT_LEAST: Length = Length::from_mm(0.8);

/// A mate that is no mate of this.
pub fn is_no_mate(own: Length, mate: Length) -> bool {
    (own - mate).abs() > (own * MATE_WITHIN).max(MATE_WITHIN_AT_LEAST)
}
