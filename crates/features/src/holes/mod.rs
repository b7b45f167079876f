//! Round holes beside the bore: dowel, pin and screw holes, placed by a dimension or from the mating part.

mod tapped;

use std::f64::consts::TAU;

use geometry::outline::{Outline, Segment};
use kurbo::Point;
use part::{
    Beyond, Characteristic, Circumstances, Cut, DataLine, Design, Dimensioned, Drawn, Entry, Feature, Field,
    FieldShape, Gauging, HoleFinish, HoleWork, Kind, Place, Probe, Reading, ReadingForm, Recovery, Says, Shape, Work,
};
use quantity::{Angle, Bench, Form, Length, Line, Problem, Unit, Value, print};
use serde_json::{Map, json};
use standards::fits::{Limits, limits};
use standards::{MOST_PERCENT, Thread, USUAL_PERCENT, usual_threads};

use crate::joint::{self, Half};
use crate::nominal::{Nominal, NominalRecovery, Round, Side, diameters};
use tapped::TappedRecovery;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Measurand {
    Diameter,
    /// From crest to crest of its thread.
    Pitch,
    ThreadsPerInch,
    /// Over the thread of the screw that belongs in it.
    Screw,
    FromBoreCentre,
    BetweenCentres,
    At,
}

const FORMS: &[ReadingForm<Measurand>] = &[
    ReadingForm::new("diameter {reading}", |_| Measurand::Diameter),
    ReadingForm::new("pitch {reading}", |_| Measurand::Pitch),
    ReadingForm::new("{count} threads per inch", |_| Measurand::ThreadsPerInch),
    ReadingForm::new("screw diameter {reading}", |_| Measurand::Screw),
    ReadingForm::new("from bore centre|center {reading}", |_| Measurand::FromBoreCentre),
    ReadingForm::new("between centres|centers {reading}", |_| Measurand::BetweenCentres),
    ReadingForm::new("at {angle}", |_| Measurand::At),
];

#[derive(Debug)]
pub struct HolesKind;

impl Kind for HolesKind {
    fn name(&self) -> &'static str {
        "holes"
    }

    fn fields(&self) -> &'static [Field] {
        &[
            Field { name: "count", shape: FieldShape::Count, about: "how many; 1 is the default" },
            Field {
                name: "match_made",
                shape: FieldShape::YesNo,
                about: "true where they are drilled through the mating part; spares are left undrilled",
            },
            Field { name: "tapped", shape: FieldShape::YesNo, about: "true where there is a thread in them" },
            Field { name: "reamed", shape: FieldShape::YesNo, about: "true for dowel holes that are reamed to size" },
        ]
    }

    fn forms(&self) -> Vec<Form> {
        FORMS.iter().map(|form| form.form).collect()
    }

    fn piece_forms(&self) -> Vec<Form> {
        vec![Form("thread core {reading}")]
    }

    fn help(&self) -> &'static str {
        include_str!("help.md")
    }

    fn read(&self, entry: &Entry, bench: &Bench<'_>, problems: &mut Vec<Problem>) -> Option<Box<dyn Feature>> {
        let holes = Holes {
            name: entry.name.clone(),
            count: entry.count("count").unwrap_or(1),
            match_made: entry.yes("match_made").unwrap_or(false),
            reamed: entry.yes("reamed").unwrap_or(false),
            tapped: entry.yes("tapped").unwrap_or(false),
            readings: part::read_lines(entry, FORMS, bench),
            entry: entry.clone(),
        };
        if holes.count > MOST {
            problems.push(Problem::new(
                entry.at("count"),
                format!("{} holes in one feature are more than can be meant.", holes.count),
                format!("expected up to {MOST}"),
            ));
            return None;
        }
        problems.extend(holes.problems());
        Some(Box::new(holes))
    }
}

/// Per cent of the thread that a new hole keeps where no standard's limits are known; a drill may leave less where there is no other.
const LEAST_LEFT: f64 = 60.0;
const MOST: u32 = 200;
const THREADS_PER_INCH: std::ops::RangeInclusive<u32> = 2..=200;

#[derive(Debug)]
pub struct Holes {
    name: String,
    count: u32,
    match_made: bool,
    reamed: bool,
    tapped: bool,
    readings: Vec<Reading<Option<Measurand>>>,
    entry: Entry,
}

impl Holes {
    fn value(&self, measurand: Measurand) -> Option<Length> {
        let reading = self.readings.iter().find(|reading| reading.means == Some(measurand))?;
        reading.length.map(|length| length.value)
    }

    /// Each hole has its own angle; or they stand `between centres` apart, symmetric about the middle; or evenly round.
    fn places(&self) -> Vec<Place> {
        let radius = self.value(Measurand::FromBoreCentre);
        let angles: Vec<Angle> = self
            .readings
            .iter()
            .filter(|reading| reading.means == Some(Measurand::At))
            .filter_map(|reading| Some(reading.angle?.value))
            .collect();
        let count = self.count as usize;
        (0..count)
            .map(|index| {
                let angle = match (angles.get(index), radius, self.value(Measurand::BetweenCentres)) {
                    (Some(angle), _, _) => Some(*angle),
                    (None, Some(radius), Some(between)) if angles.is_empty() && between <= radius * 2.0 => {
                        let step = 2.0 * (between / radius / 2.0).asin();
                        Some(Angle::from_radians((index as f64 - (count as f64 - 1.0) / 2.0) * step))
                    }
                    (None, Some(_), None) if angles.is_empty() && !self.match_made => {
                        Some(Angle::TURN * (index as f64 / count as f64))
                    }
                    _ => None,
                };
                Place { radius, angle }
            })
            .collect()
    }
}

impl Holes {
    fn problems(&self) -> Vec<Problem> {
        let mut problems: Vec<Problem> = self.of(Measurand::Diameter).filter_map(gauges_swapped).collect();
        let whole = |message: String, expected: &str| Problem::new(self.entry.at.clone(), message, expected);
        problems.extend(self.thread_problems());
        let angles = self.of(Measurand::At).count();
        let count = self.count as usize;
        if angles > count {
            let last = self.of(Measurand::At).next_back().map_or(self.entry.at.clone(), |reading| reading.at.clone());
            let expected = format!("expected as many as there are holes, {count}");
            problems.push(Problem::new(
                last,
                match count {
                    1 => format!("{angles} angles are given for one hole."),
                    _ => format!("{angles} angles are given for {count} holes."),
                },
                expected,
            ));
        } else if angles > 0 && angles < count && !self.match_made {
            problems.push(whole(
                format!("{angles} of {count} holes have an angle."),
                "expected a line `at A degrees` for each",
            ));
        }
        let Some(radius) = self.value(Measurand::FromBoreCentre) else {
            if !self.match_made {
                problems.push(
                    whole("Where these holes stand is not said.".into(), "expected a line `from bore centre V`")
                        .help("or write match_made = true, if they are drilled through the mating part"),
                );
            }
            return problems;
        };
        if let Some(between) = self.value(Measurand::BetweenCentres).filter(|_| count > 1) {
            let step = 2.0 * (between / radius / 2.0).asin();
            if between > radius * 2.0 {
                problems.push(whole(
                    "Two holes on one circle cannot stand further apart than its diameter.".into(),
                    "expected a smaller distance between centres",
                ));
                return problems;
            }
            // the last may not come round to the first
            if step * count as f64 > TAU + step * 0.5 {
                problems.push(whole(
                    format!("{count} holes this far apart go more than once round their circle."),
                    "expected fewer holes, or a smaller distance between centres",
                ));
                return problems;
            }
        }
        problems.extend(self.overlap().map(|message| whole(message, "expected places further apart")));
        problems
    }

    fn thread_problems(&self) -> Vec<Problem> {
        let of_thread = [Measurand::Pitch, Measurand::ThreadsPerInch, Measurand::Screw];
        let mut out = Vec::new();
        if self.tapped && self.reamed {
            let message = "A hole is tapped or it is reamed.";
            out.push(Problem::new(self.entry.at("reamed"), message, "expected one of the two"));
        }
        for reading in &self.readings {
            if !self.tapped && reading.means.is_some_and(|means| of_thread.contains(&means)) {
                out.push(
                    reading
                        .problem(
                            "This tells of a thread, and these holes are said to have none.",
                            "expected a plain hole's reading",
                        )
                        .help("write tapped = true, if there is a thread in them"),
                );
            }
            let count = reading.line.count();
            if reading.means == Some(Measurand::ThreadsPerInch)
                && !count.is_some_and(|count| THREADS_PER_INCH.contains(&count))
            {
                out.push(
                    reading.problem("No screw has so many threads to the inch.", "expected a count from 2 to 200"),
                );
            }
        }
        out
    }

    /// Holes that run into each other; the diameter as measured.
    fn overlap(&self) -> Option<String> {
        let diameter = self.value(Measurand::Diameter)?.mm();
        let centres: Vec<Point> = self.places().iter().filter_map(centre).collect();
        let near = |a: &Point, b: &Point| a.distance(*b) < diameter;
        let pair = centres.iter().enumerate().any(|(index, a)| centres[..index].iter().any(|b| near(a, b)));
        pair.then(|| "These holes run into each other.".into())
    }

    fn of(&self, measurand: Measurand) -> impl DoubleEndedIterator<Item = &Reading<Option<Measurand>>> {
        self.readings.iter().filter(move |reading| reading.means == Some(measurand))
    }
}

fn gauges_swapped(reading: &Reading<Option<Measurand>>) -> Option<Problem> {
    joint::gauges_swapped(Half::Hole, reading)
}

impl Feature for Holes {
    fn recover(&self, circumstances: &Circumstances) -> Result<Box<dyn Recovery + '_>, String> {
        if self.tapped {
            let build = move |thread: Option<&'static Thread>, core: Length| -> Box<dyn Design> {
                Box::new(self.threaded(thread, core))
            };
            return Ok(Box::new(TappedRecovery::new(&self.readings, circumstances, Box::new(build))?));
        }
        let build = move |nominal: &Nominal, found: Length| -> Box<dyn Design> { Box::new(self.plain(nominal, found)) };
        let diameters = diameters(&self.readings, Measurand::Diameter);
        let round = Round { diameters: &diameters, side: Side::Inside, with_drills: true, fit: None };
        Ok(Box::new(NominalRecovery::new(round, circumstances, Box::new(build))?))
    }

    fn entry(&self) -> Entry {
        self.entry.clone()
    }
}

impl Holes {
    fn plain(&self, nominal: &Nominal, found: Length) -> HolesDesign {
        let class = if self.reamed { "H7" } else { "H12" };
        HolesDesign {
            feature: self.name.clone(),
            nominal: nominal.clone(),
            found,
            limits: limits(class, nominal.size).unwrap_or(Limits { lower: Length::ZERO, upper: Length::from_mm(0.1) }),
            held_to: format!("{class}, ISO 286-2"),
            finish: if self.reamed { HoleFinish::Reamed } else { HoleFinish::Drilled },
            match_made: self.match_made,
            places: self.places(),
        }
    }

    /// Made with the core a tap wants; without a thread that can be named, as it was found.
    fn threaded(&self, thread: Option<&'static Thread>, core: Length) -> HolesDesign {
        let Some(thread) = thread else {
            return self.plain(&Nominal { size: core, name: None }, core);
        };
        let (least, most, held_to) = match thread.core_limits() {
            Some(core) => (core.least, core.most, core.source.to_string()),
            None => (
                thread.hole(MOST_PERCENT),
                thread.hole(LEAST_LEFT),
                format!(
                    "{LEAST_LEFT:.0} to {MOST_PERCENT:.0} per cent of the thread, common practice of tap-drill charts"
                ),
            ),
        };
        let size = thread.hole(USUAL_PERCENT).max(least).min(most);
        HolesDesign {
            nominal: Nominal { size, name: Some(thread.name.clone()) },
            limits: Limits { lower: least - size, upper: most - size },
            held_to,
            finish: HoleFinish::Tapped(thread),
            ..self.plain(&Nominal { size, name: None }, core)
        }
    }
}

#[derive(Clone, Debug)]
struct HolesDesign {
    feature: String,
    nominal: Nominal,
    /// As they are now.
    found: Length,
    limits: Limits,
    /// What the limits are, and who says so.
    held_to: String,
    finish: HoleFinish,
    match_made: bool,
    places: Vec<Place>,
}

impl HolesDesign {
    fn thread(&self) -> Option<&'static Thread> {
        match self.finish {
            HoleFinish::Tapped(thread) => Some(thread),
            HoleFinish::Drilled | HoleFinish::Reamed | HoleFinish::Bored => None,
        }
    }

    /// Radius of the hole with its thread, mm.
    fn outside(&self) -> f64 {
        self.thread().map_or(self.nominal.size, |thread| thread.major).mm() / 2.0
    }

    fn size_name(&self) -> &'static str {
        if self.thread().is_some() { "thread core" } else { "hole diameter" }
    }

    fn plain_data(&self, unit: Unit, made: &str) -> DataLine {
        let value = format!("{} × {}", self.places.len(), print::length(self.nominal.size, unit, 3));
        let named = self.nominal.name.as_ref().map_or_else(String::new, |name| format!(", {name}"));
        DataLine::new(format!("Holes{named}{made}"), value)
    }

    fn count_says(&self) -> String {
        match self.places.len() {
            1 => "One hole".into(),
            count => format!("{count} holes"),
        }
    }
}

impl Design for HolesDesign {
    fn sentence(&self, unit: Unit) -> String {
        let size = self
            .nominal
            .name
            .clone()
            .unwrap_or_else(|| format!("{} (no standard size)", print::length(self.nominal.size, unit, 3)));
        let made = if self.match_made { ", match-made" } else { "" };
        let tapped = if self.thread().is_some() { " tapped" } else { "" };
        format!("{}{tapped} {size}{made}", self.count_says())
    }

    fn remarks(&self, unit: Unit) -> Vec<String> {
        let mut out = Vec::new();
        if self.match_made {
            out.push("Drilled through the mating part; left undrilled in the spares.".into());
        }
        if let Some(thread) = self.thread() {
            let (core, left) = (print::length(self.found, unit, 3), thread.percent(self.found));
            out.push(format!("The core is {core} now: {left:.0} per cent of the thread is left."));
            return out;
        }
        let cored: Vec<String> = cored(self.nominal.size).map(|thread| thread.name.clone()).collect();
        if !self.match_made && self.finish == HoleFinish::Drilled && !cored.is_empty() {
            out.push(format!(
                "Such a hole is drilled before tapping {} too: if there is a thread in it, write tapped = true.",
                cored.join(" or ")
            ));
        }
        let opened = self.found - self.nominal.size;
        if self.nominal.name.is_some() && opened > Length::from_mm(0.03) {
            out.push(format!("The holes are {} larger than that now.", print::length(opened, unit, 3)));
        }
        out
    }

    fn record(&self) -> Map<String, serde_json::Value> {
        let mut map = Map::new();
        map.insert("diameter_mm".into(), json!(self.nominal.size.mm()));
        map.insert("name".into(), json!(self.nominal.name));
        map.insert("thread".into(), json!(self.thread().map(|thread| &thread.name)));
        map.insert("thread_diameter_mm".into(), json!(self.thread().map(|thread| thread.major.mm())));
        map.insert("count".into(), json!(self.places.len()));
        map.insert("match_made".into(), json!(self.match_made));
        map
    }

    fn data(&self, unit: Unit) -> Vec<DataLine> {
        let made = if self.match_made { ", match-made" } else { "" };
        let mut out = match self.thread() {
            Some(thread) => {
                vec![DataLine::new(format!("Holes, tapped{made}"), format!("{} × {}", self.places.len(), thread.name))]
            }
            None => vec![self.plain_data(unit, made)],
        };
        if let Some(radius) = self.places.first().and_then(|place| place.radius) {
            out.push(DataLine::new("From bore centre", print::length(radius, unit, 3)));
        }
        out
    }

    fn shapes(&self) -> Vec<Shape> {
        self.places
            .iter()
            .filter_map(|place| {
                let (radius, angle) = (place.radius?.mm(), place.angle?);
                // anticlockwise from the top
                let centre = Point::new(-radius * angle.sin(), radius * angle.cos());
                Some(Shape::Hole(Outline::circle(centre, self.nominal.size.mm() / 2.0)))
            })
            .collect()
    }

    fn drawn(&self, unit: Unit) -> Drawn {
        let radius = self.nominal.size.mm() / 2.0;
        let centres: Vec<Point> = self.places.iter().filter_map(centre).collect();
        let mut out = Drawn {
            shapes: self.shapes(),
            centres: centres.iter().map(|centre| (*centre, self.outside())).collect(),
            thin: self
                .thread()
                .map_or_else(Vec::new, |_| centres.iter().map(|at| three_quarters(*at, self.outside())).collect()),
            ..Drawn::default()
        };
        if let Some(first) = centres.first() {
            let count = if centres.len() > 1 { format!("{} × ", centres.len()) } else { String::new() };
            let remark = if self.match_made { "match-made" } else { "" };
            let limits = [self.limits.upper, self.limits.lower].map(|limit| print::signed(limit, unit, 3)).join(" ");
            // drilled holes are within what holds for sizes without limits
            let below = if self.finish == HoleFinish::Reamed && !self.match_made { &limits } else { remark };
            out.dimensions.push(match self.thread() {
                Some(thread) => Dimensioned::Thread {
                    centre: *first,
                    radius,
                    says: Says::new(format!("{count}{}", thread.name)).below(remark),
                },
                None => {
                    let size = format!("{count}⌀{}", print::figures(self.nominal.size, unit, 3));
                    Dimensioned::Diameter { centre: *first, radius, says: Says::new(size).below(below) }
                }
            });
            let from_bore = first.to_vec2().hypot();
            if from_bore > 1e-6 {
                out.centre_lines.push(arc_through(&centres, from_bore));
                let size = print::figures(Length::from_mm(from_bore), unit, 3);
                // located from the mating part, the radius is only a remark: in parentheses (ISO 129-1)
                let says = if self.match_made { format!("(R {size})") } else { format!("R {size}") };
                // between the first hole and the next, where the arc is clear
                let round = |centre: &Point| centre.to_vec2().atan2();
                let at = match centres.get(1) {
                    Some(second) => round(first) + 0.5 * (round(second) - round(first)).rem_euclid(TAU),
                    None => round(first) + 0.1,
                };
                out.dimensions.push(Dimensioned::Radius {
                    centre: Point::ZERO,
                    radius: from_bore,
                    at,
                    says: Says::new(says),
                });
            }
        }
        out
    }

    fn characteristics(&self, _unit: Unit) -> Vec<Characteristic> {
        let mut out = vec![Characteristic {
            name: self.size_name().into(),
            nominal: self.nominal.size,
            lower: Some(self.nominal.size + self.limits.lower),
            upper: Some(self.nominal.size + self.limits.upper),
            gauging: if self.match_made && self.thread().is_none() { Gauging::Mate } else { Gauging::PlainGauges },
            metal_left: Some(Beyond::Lower),
            source: self.held_to.clone(),
            how: match (self.thread(), self.match_made) {
                (Some(_), _) => {
                    "Before tapping; then a new screw runs in by hand to its whole depth, without shake.".into()
                }
                (None, true) => "The pins go through both parts without force.".into(),
                (None, false) => String::new(),
            },
        }];
        if !self.match_made
            && let Some(radius) = self.places.first().and_then(|place| place.radius)
        {
            out.push(Characteristic {
                name: "hole from bore centre".into(),
                nominal: radius,
                lower: Some(radius - PLACE_TOLERANCE),
                upper: Some(radius + PLACE_TOLERANCE),
                gauging: Gauging::Caliper,
                metal_left: None,
                source: "common practice for holes marked out or set by the mill's dials".into(),
                how: "Wall to wall, plus half of both diameters.".into(),
            });
        }
        out
    }

    fn cuts(&self) -> Vec<Cut> {
        vec![Cut {
            feature: self.feature.clone(),
            match_made: self.match_made,
            work: Work::Hole(HoleWork {
                diameter: self.nominal.size,
                limits: self.limits,
                finish: self.finish,
                depth: None,
                places: self.places.clone(),
            }),
        }]
    }

    fn probe(&self, line: &Line) -> Option<Probe> {
        Some(match part::meaning(line, FORMS)? {
            Measurand::Diameter => Probe::Hole,
            Measurand::FromBoreCentre => Probe::HoleFromAxis,
            Measurand::BetweenCentres => Probe::HolePitch,
            // a thread is not in the outline
            Measurand::Pitch | Measurand::ThreadsPerInch | Measurand::Screw => return None,
            Measurand::At => match line.value()? {
                Value::Turned { angle, .. } => Probe::HoleBearing { near: angle.angle },
                Value::Plain { .. } | Value::Between { .. } => return None,
            },
        })
    }
}

/// The usual threads that such a hole is drilled for.
fn cored(hole: Length) -> impl Iterator<Item = &'static Thread> {
    /// Charts give three quarters of the thread, as nearly as drills come.
    const CHARTS: std::ops::RangeInclusive<f64> = 71.0..=79.0;
    let usual = usual_threads().iter().filter(|usual| usual.usual_inch.max(usual.usual_metric) > 0.9);
    usual.map(|usual| &usual.thread).filter(move |thread| CHARTS.contains(&thread.percent(hole)))
}

/// An internal thread seen from its end: its outside as three quarters of a narrow circle (ISO 6410-1, 3.2).
fn three_quarters(centre: Point, radius: f64) -> Outline {
    Outline::new(vec![Segment::Arc { centre, radius, start: 0.1, sweep: 0.75 * TAU }])
}

/// A place's point in the plane; anticlockwise from the top.
fn centre(place: &Place) -> Option<Point> {
    let (radius, angle) = (place.radius?.mm(), place.angle?);
    Some(Point::new(-radius * angle.sin(), radius * angle.cos()))
}

/// The hole circle, from a little before the first of the holes to a little behind the last.
fn arc_through(centres: &[Point], radius: f64) -> Outline {
    let first = centres.first().map_or(0.0, |centre| centre.to_vec2().atan2());
    let turn = |centre: &Point| (centre.to_vec2().atan2() - first).rem_euclid(TAU);
    let last = centres.iter().map(turn).fold(0.0, f64::max);
    let over = 0.15;
    let sweep = (last + 2.0 * over).min(TAU);
    Outline::new(vec![Segment::Arc { centre: Point::ZERO, radius, start: first - over, sweep }])
}

const PLACE_TOLERANCE: Length = Length::from_mm(0.1);
