//! External spur teeth on a rim, whole or a sector.

mod checking;
mod design;
mod drawing;
mod geometry;
mod making;
mod readings;
mod recover;

use part::{Circumstances, Entry, Feature, Field, FieldShape, Kind, Reading, Recovery};
use quantity::{Bench, Form, Length, Measured, Problem};

use readings::{FORMS, Measurand};

#[derive(Debug)]
pub struct ToothedRimKind;

impl Kind for ToothedRimKind {
    fn name(&self) -> &'static str {
        "toothed rim"
    }

    fn fields(&self) -> &'static [Field] {
        &[Field { name: "whole", shape: FieldShape::YesNo, about: "false for a sector; true is the default" }]
    }

    fn forms(&self) -> Vec<Form> {
        FORMS.iter().map(|form| form.form).collect()
    }

    fn help(&self) -> &'static str {
        include_str!("help.md")
    }

    fn read(&self, entry: &Entry, bench: &Bench<'_>, problems: &mut Vec<Problem>) -> Option<Box<dyn Feature>> {
        let rim = ToothedRim {
            name: entry.name.clone(),
            whole: entry.yes("whole").unwrap_or(true),
            readings: part::read_lines(entry, FORMS, bench),
            entry: entry.clone(),
        };
        problems.extend(rim.problems());
        Some(Box::new(rim))
    }
}

/// A toothed rim of a job.
#[derive(Debug)]
pub struct ToothedRim {
    pub name: String,
    pub whole: bool,
    pub readings: Vec<Reading<Option<Measurand>>>,
    entry: Entry,
}

impl ToothedRim {
    fn find<T>(&self, pick: impl Fn(&Measurand) -> Option<T>) -> Option<T> {
        self.readings.iter().find_map(|reading| pick(reading.means.as_ref()?))
    }

    /// Teeth in the whole circle, if they were counted.
    pub fn teeth(&self) -> Option<u32> {
        let counted = self.find(|means| match means {
            Measurand::Teeth(count) => Some(*count),
            _ => None,
        });
        counted.filter(|&count| count >= FEWEST_TEETH)
    }

    /// Tooth places on the piece, broken ones counted.
    pub fn teeth_present(&self) -> Option<u32> {
        self.find(|means| match means {
            Measurand::TeethPresent(count) => Some(*count),
            _ => None,
        })
    }

    pub fn face_width(&self) -> Option<Measured<Length>> {
        self.readings.iter().find_map(|reading| match reading.means {
            Some(Measurand::FaceWidth) => reading.length,
            _ => None,
        })
    }

    /// What cannot be so, whatever the rim is.
    fn problems(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        for reading in &self.readings {
            let Some(means) = &reading.means else {
                continue;
            };
            match means {
                Measurand::Teeth(count) if *count < FEWEST_TEETH => problems.push(
                    reading
                        .problem(
                            format!("A toothed rim has at least {FEWEST_TEETH} teeth, not {count}."),
                            "expected the number of teeth in the whole circle",
                        )
                        .help("for the teeth on a broken piece write: N teeth present"),
                ),
                Measurand::Span { teeth } if *teeth < 2 => problems.push(
                    reading
                        .problem("A span goes over two teeth or more.", "expected 2 or more teeth")
                        .help("for one tooth write: tooth thickness V at depth H"),
                ),
                Measurand::Span { teeth } if self.teeth().is_some_and(|all| *teeth > all / 2 + 1) => problems.push(
                    reading
                        .problem(
                            format!(
                                "A span over {teeth} of {} teeth cannot touch two flanks.",
                                self.teeth().unwrap_or(0)
                            ),
                            "expected fewer teeth",
                        )
                        .help("count the teeth between the jaws again"),
                ),
                Measurand::Span { teeth }
                    if !self.whole && self.teeth_present().is_some_and(|present| *teeth > present) =>
                {
                    problems.push(reading.problem(
                        format!("There are only {} teeth on the piece.", self.teeth_present().unwrap_or(0)),
                        "expected no more teeth than are present",
                    ));
                }
                Measurand::ChordAcross { pitches } if self.teeth().is_some_and(|all| *pitches >= all) => {
                    problems.push(
                        reading.problem(
                            "A chord goes across fewer pitches than there are teeth.",
                            "expected fewer pitches",
                        ),
                    );
                }
                Measurand::HelixAngle
                    if reading.angle.is_some_and(|angle| angle.value.radians().abs() > 3.0 * angle.sigma.radians()) =>
                {
                    problems.push(
                        reading
                            .problem(
                                "These teeth are helical; only straight (spur) teeth are worked out so far.",
                                "expected 0 degrees",
                            )
                            .help("recover helical teeth by another way, and keep this line as a note"),
                    )
                }
                _ => {}
            }
        }
        if !self.whole && self.teeth_present().is_none() {
            problems.push(
                Problem::new(
                    self.entry.at("whole"),
                    "This is a sector, but not how many teeth it has.",
                    "expected a line `N teeth present`",
                )
                .help("count the tooth places on the piece, broken ones too"),
            );
        }
        problems
    }
}

/// With fewer, rack-generated teeth neither run nor mesh.
const FEWEST_TEETH: u32 = 4;

impl Feature for ToothedRim {
    fn recover(&self, circumstances: &Circumstances) -> Result<Box<dyn Recovery + '_>, String> {
        Ok(Box::new(recover::RimRecovery::new(self, circumstances)?))
    }

    fn entry(&self) -> Entry {
        self.entry.clone()
    }
}
