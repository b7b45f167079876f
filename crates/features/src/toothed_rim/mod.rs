//! External teeth on a rim, spur or helical, whole or a sector.

mod checking;
mod cutters;
mod design;
mod drawing;
mod geometry;
mod making;
mod readings;
mod recover;
mod running;
mod sense;

use part::{Centres, Circumstances, Entry, Feature, Field, FieldShape, Hand, Kind, Reading, Recovery};
use quantity::{Angle, Bench, Form, Length, Measured, Problem};
use standards::{CLASSES, USUAL_CLASS};

use readings::{FORMS, Measurand};

#[derive(Debug)]
pub struct ToothedRimKind;

/// What may be done about undercut.
const LEAVE: &str = "leave";
const CURE: &str = "cure";

const LEFT: &str = "left";
const RIGHT: &str = "right";

impl Kind for ToothedRimKind {
    fn name(&self) -> &'static str {
        "toothed rim"
    }

    fn fields(&self) -> &'static [Field] {
        &[
            Field { name: "whole", shape: FieldShape::YesNo, about: "false for a sector; true is the default" },
            Field {
                name: "accuracy",
                shape: FieldShape::Count,
                about: "class of ISO 1328-1 that is asked, 1 (finest) to 12; 10 is the default",
            },
            Field {
                name: "undercut",
                shape: FieldShape::OneOf(&[LEAVE, CURE]),
                about: "\"cure\" shifts the profile of the new teeth until their roots are whole; \"leave\" is the default",
            },
            Field {
                name: "thinning",
                shape: FieldShape::Size,
                about: "the least that the new teeth are thinner than full, as an arc of the pitch circle; 0.02 of the module by default",
            },
            Field {
                name: "tip_rounding",
                shape: FieldShape::Size,
                about: "the radius that rounds the edge of the new tips; none by default, a broken edge only",
            },
            Field {
                name: "hand",
                shape: FieldShape::OneOf(&[LEFT, RIGHT]),
                about: "of helical teeth: \"right\" if they run like the thread of an ordinary screw, \"left\" if the other way",
            },
        ]
    }

    fn forms(&self) -> Vec<Form> {
        FORMS.iter().map(|form| form.form).collect()
    }

    fn piece_forms(&self) -> Vec<Form> {
        vec![checking::TIP_DIAMETER, checking::RUNOUT]
    }

    fn help(&self) -> &'static str {
        include_str!("help.md")
    }

    fn read(&self, entry: &Entry, bench: &Bench<'_>, problems: &mut Vec<Problem>) -> Option<Box<dyn Feature>> {
        let rim = ToothedRim {
            name: entry.name.clone(),
            whole: entry.yes("whole").unwrap_or(true),
            accuracy: entry.count("accuracy").filter(|class| CLASSES.contains(class)).unwrap_or(USUAL_CLASS),
            readings: part::read_lines(entry, FORMS, bench),
            entry: entry.clone(),
        };
        if let Some(class) = entry.count("accuracy").filter(|class| !CLASSES.contains(class)) {
            problems.push(Problem::new(
                entry.at("accuracy"),
                format!("ISO 1328-1 has no class {class}."),
                format!("expected a class from 1 to {}", CLASSES.end()),
            ));
        }
        problems.extend(sense::problems(&rim));
        Some(Box::new(rim))
    }
}

/// A toothed rim of a job.
#[derive(Debug)]
pub struct ToothedRim {
    pub name: String,
    pub whole: bool,
    /// Class of ISO 1328-1 that is asked of the new teeth.
    pub accuracy: u32,
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

    /// Whether the new teeth are shifted out of their undercut.
    pub fn cures_undercut(&self) -> bool {
        self.entry.text("undercut") == Some(CURE)
    }

    /// What the new teeth are to be thinner by, at least.
    pub fn thinning(&self) -> Option<Length> {
        self.entry.size("thinning").map(|size| size.length)
    }

    pub fn tip_rounding(&self) -> Option<Length> {
        self.entry.size("tip_rounding").map(|size| size.length)
    }

    /// Centre distances that were read, each with its mate's count.
    pub fn centres(&self) -> Vec<Centres> {
        let centres = self.readings.iter().filter_map(|reading| match reading.means {
            Some(Measurand::CentreDistance { mate }) => Some(Centres { distance: reading.length?, mate_teeth: mate }),
            _ => None,
        });
        centres.collect()
    }

    /// The helix angle as it was read, if the teeth lean at all.
    pub fn helix(&self) -> Option<Measured<Angle>> {
        self.readings.iter().find_map(|reading| match reading.means {
            Some(Measurand::HelixAngle) => reading.angle.filter(leans),
            _ => None,
        })
    }

    pub fn hand(&self) -> Option<Hand> {
        match self.entry.text("hand")? {
            LEFT => Some(Hand::Left),
            RIGHT => Some(Hand::Right),
            _ => None,
        }
    }

    pub fn face_width(&self) -> Option<Measured<Length>> {
        self.readings.iter().find_map(|reading| match reading.means {
            Some(Measurand::FaceWidth) => reading.length,
            _ => None,
        })
    }
}

/// An angle nearer to nothing than its own uncertainty is that of spur teeth.
fn leans(angle: &Measured<Angle>) -> bool {
    angle.value.radians().abs() > 3.0 * angle.sigma.radians()
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
