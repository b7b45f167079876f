//! A bore: the datum of a part that turns, plain, bushed or keyed.

mod design;

use part::{Circumstances, Entry, Feature, Field, FieldShape, Heritage, Kind, Reading, ReadingForm, Recovery};
use quantity::{Bench, Form, Length, Measured, Problem, Unit};

use crate::joint::{self, Half, Wanted};
use crate::nominal::{NominalRecovery, Round, Side, diameters};

use design::BoreDesign;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Measurand {
    Diameter,
    Length,
    SeatLength,
    MateDiameter,
    MateInside,
    BossDiameter,
    BushInside,
    KeywayWidth,
    KeywayHeight,
}

const FORMS: &[ReadingForm<Measurand>] = &[
    ReadingForm::new("diameter {reading}", |_| Measurand::Diameter),
    ReadingForm::new("length {reading}", |_| Measurand::Length),
    ReadingForm::new("seat length {reading}", |_| Measurand::SeatLength),
    ReadingForm::new("mate diameter {reading}", |_| Measurand::MateDiameter),
    ReadingForm::new("mate inside diameter {reading}", |_| Measurand::MateInside),
    ReadingForm::new("boss diameter {reading}", |_| Measurand::BossDiameter),
    ReadingForm::new("bush inside diameter {reading}", |_| Measurand::BushInside),
    ReadingForm::new("keyway width {reading}", |_| Measurand::KeywayWidth),
    ReadingForm::new("across bore and keyway {reading}", |_| Measurand::KeywayHeight),
];

#[derive(Debug)]
pub struct BoreKind;

impl Kind for BoreKind {
    fn name(&self) -> &'static str {
        "bore"
    }

    fn fields(&self) -> &'static [Field] {
        const BUSH_MATERIAL: Field = Field {
            name: "bush_material",
            shape: FieldShape::Text,
            about: "of the bush, where one is pressed in; bronze unless told otherwise",
        };
        &[joint::FIELDS[0], BUSH_MATERIAL, joint::FIELDS[1], joint::FIELDS[2]]
    }

    fn forms(&self) -> Vec<Form> {
        FORMS.iter().map(|form| form.form).collect()
    }

    fn piece_forms(&self) -> Vec<Form> {
        vec![Form("bush outside diameter {reading}")]
    }

    fn help(&self) -> &'static str {
        include_str!("help.md")
    }

    fn read(&self, entry: &Entry, bench: &Bench<'_>, problems: &mut Vec<Problem>) -> Option<Box<dyn Feature>> {
        let bore = Bore {
            name: entry.name.clone(),
            wanted: Wanted::read(entry),
            bush_material: entry.text("bush_material").unwrap_or("bronze").to_string(),
            readings: part::read_lines(entry, FORMS, bench),
            entry: entry.clone(),
        };
        problems.extend(bore.problems());
        Some(Box::new(bore))
    }
}

#[derive(Debug)]
pub struct Bore {
    pub name: String,
    pub wanted: Wanted,
    pub bush_material: String,
    pub readings: Vec<Reading<Option<Measurand>>>,
    entry: Entry,
}

impl Bore {
    /// Where a bush is pressed in, the mate is the bush.
    pub fn wanted(&self) -> Wanted {
        let bush = self.is_bushed().then(|| self.bush_material.clone());
        let mate_material = self.wanted.mate_material.clone().or(bush);
        Wanted { mate_material, ..self.wanted.clone() }
    }

    fn is_bushed(&self) -> bool {
        self.wanted.fit.as_ref().is_some_and(|fit| fit.name == "press bush")
    }

    pub fn length_of(&self, measurand: Measurand) -> Option<Measured<Length>> {
        self.readings.iter().find(|reading| reading.means == Some(measurand))?.length
    }

    fn problems(&self) -> Vec<Problem> {
        let of_line = |reading: &Reading<Option<Measurand>>| self.problem(reading, reading.means?);
        let mate_read = self.length_of(Measurand::MateDiameter).is_some();
        let of_joint = joint::problems(&self.entry, Half::Hole, mate_read);
        of_joint.into_iter().chain(self.readings.iter().filter_map(of_line)).collect()
    }

    fn problem(&self, reading: &Reading<Option<Measurand>>, means: Measurand) -> Option<Problem> {
        let value = reading.length?.value;
        let bore = self.length_of(Measurand::Diameter).map(|length| length.value);
        match means {
            Measurand::Diameter => joint::gauges_swapped(Half::Hole, reading),
            // the mate of a bore is felt with rings
            Measurand::MateDiameter if joint::gauges_swapped(Half::Shaft, reading).is_some() => {
                joint::gauges_swapped(Half::Shaft, reading)
            }
            Measurand::MateDiameter if joint::is_no_mate(bore?, value) => Some(
                reading
                    .problem(
                        "That is too far from the diameter of the bore to be what goes into it.",
                        "expected nearly the bore's diameter",
                    )
                    .help("for what runs inside a bush write: bush inside diameter V"),
            ),
            Measurand::BushInside if value >= bore? => Some(
                reading
                    .problem("The inside of a bush is smaller than the bore it sits in.", "expected a smaller size")
                    .help("for what goes into the bore itself write: mate diameter V"),
            ),
            Measurand::KeywayWidth if value >= bore? => {
                Some(reading.problem("A keyway is narrower than its bore.", "expected a smaller size"))
            }
            Measurand::KeywayHeight if value <= bore? => Some(
                reading
                    .problem("Across bore and keyway is more than the bore alone.", "expected a larger size")
                    .help("measured from the bore's far side to the bottom of the keyway"),
            ),
            Measurand::MateInside if value >= bore? => Some(
                reading
                    .problem("A shaft's own bore is smaller than the shaft.", "expected a smaller size")
                    .help("for what goes into the bore itself write: mate diameter V"),
            ),
            Measurand::BossDiameter if value <= bore? => {
                Some(reading.problem("A boss is larger than its bore.", "expected a larger size"))
            }
            Measurand::MateDiameter
            | Measurand::MateInside
            | Measurand::BossDiameter
            | Measurand::Length
            | Measurand::SeatLength
            | Measurand::BushInside
            | Measurand::KeywayWidth
            | Measurand::KeywayHeight => None,
        }
    }
}

impl Feature for Bore {
    fn recover(&self, circumstances: &Circumstances) -> Result<Box<dyn Recovery + '_>, String> {
        // keys follow the maker's units, and only where those are not known the bench's
        let inch = match circumstances.heritage {
            Heritage::Inch => true,
            Heritage::Metric => false,
            Heritage::Unknown => circumstances.unit == Unit::Inch,
        };
        let thickness = circumstances.thickness.map(|thickness| thickness.value);
        // what runs in a pressed bush is no mate of the bore
        let offered = circumstances.mate.filter(|_| !self.is_bushed());
        let build = move |nominal: &crate::nominal::Nominal, now: Length| -> Box<dyn part::Design> {
            let offered = offered.filter(|mate| !joint::is_no_mate(now, mate.value));
            let mate = self.length_of(Measurand::MateDiameter).or(offered);
            Box::new(BoreDesign::new(self, nominal, now, mate, thickness, inch))
        };
        let diameters = diameters(&self.readings, Measurand::Diameter);
        let round =
            Round { diameters: &diameters, side: Side::Inside, with_drills: false, fit: self.wanted.fit.as_ref() };
        Ok(Box::new(NominalRecovery::new(round, circumstances, Box::new(build))?))
    }

    fn offers(&self) -> Option<Measured<Length>> {
        self.length_of(Measurand::Diameter)
    }

    fn entry(&self) -> Entry {
        self.entry.clone()
    }
}
