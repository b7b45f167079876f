//! A profile that is not critical: given by points and arcs, sawn and sanded to the template's line.

mod path;

use geometry::outline::Outline;
use part::{
    Characteristic, Circumstances, Cut, DataLine, Design, Drawn, Entry, Feature, Field, FieldShape, Gauging, Kind,
    Recovery, Shape, Work,
};
use quantity::{Bench, Form, Length, Problem, Unit, print};
use serde_json::{Map, Value, json};

#[derive(Debug)]
pub struct OutlineKind;

impl Kind for OutlineKind {
    fn name(&self) -> &'static str {
        "outline"
    }

    fn fields(&self) -> &'static [Field] {
        &[
            Field {
                name: "path",
                shape: FieldShape::Lines,
                about: "start X Y, then line to X Y or arc to X Y about X Y, anticlockwise round the bore",
            },
            Field {
                name: "closed",
                shape: FieldShape::YesNo,
                about: "true where it goes all the way round; otherwise it joins the teeth",
            },
        ]
    }

    fn forms(&self) -> Vec<Form> {
        Vec::new()
    }

    fn help(&self) -> &'static str {
        include_str!("help.md")
    }

    fn read(&self, entry: &Entry, bench: &Bench<'_>, problems: &mut Vec<Problem>) -> Option<Box<dyn Feature>> {
        let lines = entry.lines("path");
        if lines.is_empty() {
            problems.push(Problem::new(
                entry.at.clone(),
                "An outline needs a path.",
                "expected `path = [\"start X Y\", \"line to X Y\", …]`",
            ));
            return None;
        }
        let (mut outline, wrong) = path::read(lines, bench.unit);
        let sound = wrong.is_empty();
        problems.extend(wrong);
        let closed = entry.yes("closed").unwrap_or(false);
        if closed {
            outline = outline.close();
        }
        if sound && outline.segments().is_empty() {
            problems.push(Problem::new(
                entry.at("path"),
                "The path goes nowhere.",
                "expected at least one `line to X Y`",
            ));
        } else if sound && outline.crosses_itself() {
            problems.push(
                Problem::new(entry.at("path"), "The path crosses itself.", "expected a path that goes once round")
                    .help("check the order of the points"),
            );
        } else if sound && closed && outline.area().abs() < SMALLEST_AREA {
            problems.push(Problem::new(
                entry.at("path"),
                "The path comes back on itself and encloses nothing.",
                "expected a path that goes once round",
            ));
        }
        if outline.segments().is_empty() {
            return None;
        }
        Some(Box::new(OutlineFeature { name: entry.name.clone(), outline, closed, entry: entry.clone() }))
    }
}

#[derive(Debug)]
pub struct OutlineFeature {
    name: String,
    outline: Outline,
    closed: bool,
    entry: Entry,
}

impl Feature for OutlineFeature {
    fn recover(&self, _circumstances: &Circumstances) -> Result<Box<dyn Recovery + '_>, String> {
        Err("An outline is given, not found out.".into())
    }

    fn given(&self, _circumstances: &Circumstances) -> Option<Box<dyn Design>> {
        Some(Box::new(OutlineDesign { feature: self.name.clone(), outline: self.outline.clone(), closed: self.closed }))
    }

    fn entry(&self) -> Entry {
        self.entry.clone()
    }
}

#[derive(Clone, Debug)]
struct OutlineDesign {
    feature: String,
    outline: Outline,
    closed: bool,
}

impl Design for OutlineDesign {
    fn sentence(&self, unit: Unit) -> String {
        let length = print::length(Length::from_mm(self.outline.length()), unit, 0);
        match self.outline.segments().len() {
            1 => format!("Outline of one piece, {length} long"),
            count => format!("Outline of {count} pieces, {length} long"),
        }
    }

    fn remarks(&self, _unit: Unit) -> Vec<String> {
        vec!["Not critical: sawn and sanded to the template's line.".into()]
    }

    fn record(&self) -> Map<String, Value> {
        let mut map = Map::new();
        map.insert("length_mm".into(), json!(self.outline.length()));
        map.insert("closed".into(), json!(self.closed));
        map
    }

    fn data(&self, _unit: Unit) -> Vec<DataLine> {
        Vec::new()
    }

    fn shapes(&self) -> Vec<Shape> {
        vec![if self.closed { Shape::Boundary(self.outline.clone()) } else { Shape::Piece(self.outline.clone()) }]
    }

    fn drawn(&self, _unit: Unit) -> Drawn {
        Drawn { shapes: self.shapes(), overall: true, ..Drawn::default() }
    }

    fn characteristics(&self, _unit: Unit) -> Vec<Characteristic> {
        vec![Characteristic {
            name: "outline".into(),
            nominal: Length::ZERO,
            lower: None,
            upper: Some(LINE),
            gauging: Gauging::Template,
            metal_left: None,
            source: "common practice for a sawn and sanded outline".into(),
            how: "Laid on the template: no light wider than the line.".into(),
        }]
    }

    fn cuts(&self) -> Vec<Cut> {
        vec![Cut {
            feature: self.feature.clone(),
            match_made: false,
            work: Work::Profile { length: Length::from_mm(self.outline.length()) },
        }]
    }
}

/// In mm²; a plate of less is a slip.
const SMALLEST_AREA: f64 = 0.01;

/// A careful hand at the sander keeps to the width of the template's line.
const LINE: Length = Length::from_mm(0.5);
