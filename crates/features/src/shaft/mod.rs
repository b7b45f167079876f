//! A shaft, pin or other outside cylinder.

use geometry::outline::Outline;
use kurbo::Point;
use part::{
    Beyond, Characteristic, Circumstances, Cut, DataLine, Design, Dimensioned, Drawn, Entry, Feature, Field, Gauging,
    Kind, Member, Probe, Reading, ReadingForm, Recovery, Says, Seat, Shape, Stuff, Surface, Wall, Work,
};
use quantity::{Bench, Form, Length, Line, Measured, Problem, Unit, print};
use serde_json::{Map, json};

use crate::joint::{self, Half, Joint, Wanted};
use crate::nominal::{Nominal, NominalRecovery, Round, Side, diameters};

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Measurand {
    Diameter,
    Length,
    SeatLength,
    MateDiameter,
    MateOutside,
}

const FORMS: &[ReadingForm<Measurand>] = &[
    ReadingForm::new("diameter {reading}", |_| Measurand::Diameter),
    ReadingForm::new("length {reading}", |_| Measurand::Length),
    ReadingForm::new("seat length {reading}", |_| Measurand::SeatLength),
    ReadingForm::new("mate diameter {reading}", |_| Measurand::MateDiameter),
    ReadingForm::new("mate outside diameter {reading}", |_| Measurand::MateOutside),
];

#[derive(Debug)]
pub struct ShaftKind;

impl Kind for ShaftKind {
    fn name(&self) -> &'static str {
        "shaft"
    }

    fn fields(&self) -> &'static [Field] {
        &joint::FIELDS
    }

    fn forms(&self) -> Vec<Form> {
        FORMS.iter().map(|form| form.form).collect()
    }

    fn help(&self) -> &'static str {
        include_str!("help.md")
    }

    fn read(&self, entry: &Entry, bench: &Bench<'_>, problems: &mut Vec<Problem>) -> Option<Box<dyn Feature>> {
        let shaft = Shaft {
            name: entry.name.clone(),
            wanted: Wanted::read(entry),
            readings: part::read_lines(entry, FORMS, bench),
            entry: entry.clone(),
        };
        let mate_read = shaft.measured(Measurand::MateDiameter).is_some();
        problems.extend(joint::problems(entry, Half::Shaft, mate_read));
        let own = shaft.value(Measurand::Diameter);
        for reading in &shaft.readings {
            problems.extend(match (reading.means, own, reading.length) {
                (Some(Measurand::Diameter), ..) => joint::gauges_swapped(Half::Shaft, reading),
                (Some(Measurand::MateDiameter), Some(own), Some(mate)) if joint::is_no_mate(own, mate.value) => {
                    Some(reading.problem(
                        "That is too far from the diameter of the shaft to be what it goes into.",
                        "expected nearly the shaft's diameter",
                    ))
                }
                // the mate of a shaft is felt with pins
                (Some(Measurand::MateDiameter), ..) => joint::gauges_swapped(Half::Hole, reading),
                (Some(Measurand::MateOutside), Some(own), Some(mate)) if mate.value <= own => {
                    Some(reading.problem("What is round a shaft is larger than the shaft.", "expected a larger size"))
                }
                (Some(Measurand::MateOutside | Measurand::Length | Measurand::SeatLength) | None, ..) => None,
            });
        }
        Some(Box::new(shaft))
    }
}

#[derive(Debug)]
pub struct Shaft {
    name: String,
    wanted: Wanted,
    readings: Vec<Reading<Option<Measurand>>>,
    entry: Entry,
}

impl Shaft {
    fn value(&self, measurand: Measurand) -> Option<Length> {
        self.measured(measurand).map(|length| length.value)
    }

    fn measured(&self, measurand: Measurand) -> Option<Measured<Length>> {
        self.readings.iter().find(|reading| reading.means == Some(measurand))?.length
    }
}

impl Feature for Shaft {
    fn recover(&self, circumstances: &Circumstances) -> Result<Box<dyn Recovery + '_>, String> {
        let thickness = circumstances.thickness.map(|thickness| thickness.value);
        let offered = circumstances.mate;
        let build = move |nominal: &Nominal, found: Length| -> Box<dyn Design> {
            let offered = offered.filter(|mate| !joint::is_no_mate(found, mate.value));
            let mate = self.measured(Measurand::MateDiameter).or(offered);
            Box::new(ShaftDesign {
                feature: self.name.clone(),
                nominal: nominal.clone(),
                found,
                joint: Joint::new(Half::Shaft, nominal.size, &self.wanted, mate),
                mate_wall: self.value(Measurand::MateOutside).map_or(Wall::Unknown, Wall::Ends),
                length: self.value(Measurand::Length).or(thickness),
                seat_length: self.value(Measurand::SeatLength).or(self.value(Measurand::Length)).or(thickness),
            })
        };
        let diameters = diameters(&self.readings, Measurand::Diameter);
        let round =
            Round { diameters: &diameters, side: Side::Outside, with_drills: false, fit: self.wanted.fit.as_ref() };
        Ok(Box::new(NominalRecovery::new(round, circumstances, Box::new(build))?))
    }

    fn offers(&self) -> Option<Measured<Length>> {
        self.measured(Measurand::Diameter)
    }

    fn entry(&self) -> Entry {
        self.entry.clone()
    }
}

#[derive(Clone, Debug)]
struct ShaftDesign {
    feature: String,
    nominal: Nominal,
    /// As it is now.
    found: Length,
    joint: Joint,
    /// The outside of what it sits in.
    mate_wall: Wall,
    length: Option<Length>,
    /// In contact with what it sits in.
    seat_length: Option<Length>,
}

impl Design for ShaftDesign {
    fn sentence(&self, unit: Unit) -> String {
        let size = self
            .nominal
            .name
            .clone()
            .unwrap_or_else(|| format!("{} (no standard size)", print::length(self.nominal.size, unit, 3)));
        let mut out = format!("Diameter {size}");
        if let Some(fit) = &self.joint.fit {
            out.push_str(&format!(", {}", fit.name));
        }
        out
    }

    fn remarks(&self, unit: Unit) -> Vec<String> {
        let mut out = Vec::new();
        let lost = self.nominal.size - self.found;
        if self.nominal.name.is_some() && lost > Length::from_mm(0.02) {
            out.push(format!(
                "The original is {} smaller than it was made, from fit and wear.",
                print::length(lost, unit, 3)
            ));
        }
        out.extend(self.joint.remarks(unit));
        if self.length.is_none() {
            out.push("The length was not measured: give it as a reading before metal is sawn.".into());
        }
        out
    }

    fn record(&self) -> Map<String, serde_json::Value> {
        let mut map = Map::new();
        map.insert("diameter_mm".into(), json!(self.nominal.size.mm()));
        map.insert("name".into(), json!(self.nominal.name));
        map.insert("length_mm".into(), json!(self.length.map(Length::mm)));
        self.joint.record(&mut map);
        map
    }

    fn data(&self, unit: Unit) -> Vec<DataLine> {
        let size = format!(
            "{} to {}",
            print::figures(self.joint.smallest(), unit, 3),
            print::length(self.joint.largest(), unit, 3)
        );
        let length = self.length.map_or("not known".into(), |length| print::length(length, unit, 2));
        vec![DataLine::new("Diameter", size), DataLine::new("Length", length)]
    }

    fn shapes(&self) -> Vec<Shape> {
        vec![Shape::Boundary(Outline::circle(Point::ZERO, self.joint.basic.mm() / 2.0))]
    }

    fn drawn(&self, unit: Unit) -> Drawn {
        let radius = self.joint.basic.mm() / 2.0;
        let limits = format!(
            "{} {}",
            print::signed(self.joint.limits.upper, unit, 3),
            print::signed(self.joint.limits.lower, unit, 3)
        );
        let says = Says::new(print::figures(self.joint.basic, unit, 3)).below(limits);
        Drawn {
            shapes: self.shapes(),
            centres: vec![(Point::ZERO, radius)],
            dimensions: vec![Dimensioned::Diameter { centre: Point::ZERO, radius, says }],
            length: self.length.map(Length::mm),
            ..Drawn::default()
        }
    }

    fn characteristics(&self, _unit: Unit) -> Vec<Characteristic> {
        let mut out = vec![Characteristic {
            name: "diameter".into(),
            nominal: self.joint.basic,
            lower: Some(self.joint.smallest()),
            upper: Some(self.joint.largest()),
            gauging: Gauging::Micrometer,
            metal_left: Some(Beyond::Upper),
            source: self.joint.source.clone(),
            how: "At both ends and in the middle.".into(),
        }];
        if let Some(length) = self.length {
            out.push(Characteristic {
                name: "length".into(),
                nominal: length,
                lower: Some(length - LENGTH_TOLERANCE),
                upper: Some(length + LENGTH_TOLERANCE),
                gauging: Gauging::Caliper,
                metal_left: Some(Beyond::Upper),
                source: "common practice for an unfitted length".into(),
                how: "Over the faced ends.".into(),
            });
        }
        out
    }

    fn cuts(&self) -> Vec<Cut> {
        vec![Cut {
            feature: self.feature.clone(),
            match_made: false,
            work: Work::Turn {
                diameter: self.joint.basic,
                limits: self.joint.limits,
                length: self.length,
                pressed: self.joint.grips(),
            },
        }]
    }

    fn seats(&self) -> Vec<Seat> {
        let shaft =
            Member { called: "this part", material: Stuff::OfPart, wall: Wall::OfPart, surface: Surface::Turned };
        self.joint
            .seat(&self.feature, self.joint.mate("the housing", self.mate_wall), shaft, self.seat_length)
            .into_iter()
            .collect()
    }

    fn probe(&self, line: &Line) -> Option<Probe> {
        match part::meaning(line, FORMS)? {
            Measurand::Diameter => Some(Probe::AcrossJaws),
            // the length and the mate are not in the outline
            Measurand::Length | Measurand::SeatLength | Measurand::MateDiameter | Measurand::MateOutside => None,
        }
    }
}

/// Lengths that meet nothing.
const LENGTH_TOLERANCE: Length = Length::from_mm(0.2);
