//! A recovered bore: its size, limits, bush and keyway.

use std::f64::consts::PI;

use geometry::outline::{Outline, Segment};
use kurbo::Point;
use part::{
    Beyond, Bush, Characteristic, Cut, DataLine, Design, Detail, Dimensioned, Drawn, Gauging, HoleFinish, HoleWork,
    KeywayWork, Member, Place, Probe, Says, Seat, Shape, Stuff, Surface, Wall, Work,
};
use quantity::{Angle, Length, Line, Measured, Unit, print};
use serde_json::{Map, Value, json};
use standards::fits::{Limits, limits};
use standards::{Key, KeySystem, key_for_bore, keys};

use super::{Bore, FORMS, Measurand};
use crate::joint::{Half, Joint};
use crate::nominal::{Nominal, opened_from};

#[derive(Clone, Debug)]
pub struct BoreDesign {
    feature: String,
    nominal: Nominal,
    /// The bore as it is now.
    found: Length,
    joint: Joint,
    length: Option<Length>,
    bush: Option<PressedBush>,
    keyway: Option<Keyway>,
    /// What goes into the bore is a bush, and is there already.
    bush_stays: bool,
    /// In contact with what is in it.
    seat_length: Option<Length>,
    /// Outside of the metal round the bore, where it was read.
    boss: Option<Length>,
    /// The far side of what goes into the bore: a hollow shaft's or a standing bush's own bore.
    mate_wall: Wall,
}

#[derive(Clone, Debug)]
struct PressedBush {
    outside: Length,
    outside_limits: Limits,
    inside: Length,
    /// Whether the inside was measured, or a usual wall was supposed.
    inside_known: bool,
    material: String,
}

#[derive(Clone, Debug)]
struct Keyway {
    system: KeySystem,
    width: Length,
    depth: Length,
    source: String,
}

/// A bush whose inside nobody measured gets a wall of this part of its outside (common practice: about one eighth).
const USUAL_WALL: f64 = 0.125;
/// How much deeper a hub's keyway may be than its table says; never shallower, or the key binds at its back.
/// Metric: 0.1 mm to 6 wide, 0.2 to 32, 0.3 beyond (DIN 6885-1); inch: 0.010 in (ANSI B17.1-1967). Both from memory.
fn keyway_depth_limits(keyway: &Keyway) -> Limits {
    let upper = match keyway.system {
        KeySystem::Inch => Length::from_inches(0.010),
        KeySystem::Metric if keyway.width <= Length::from_mm(6.01) => Length::from_mm(0.1),
        KeySystem::Metric if keyway.width <= Length::from_mm(32.01) => Length::from_mm(0.2),
        KeySystem::Metric => Length::from_mm(0.3),
    };
    Limits { lower: Length::ZERO, upper }
}
/// Class of a keyway's width for a normal fit of the key (ISO 2491 / DIN 6885-1, from memory).
const KEYWAY_WIDTH_CLASS: &str = "JS9";
/// A bush runs oiled on its shaft.
const BUSH_INSIDE_CLASS: &str = "H8";

fn bush_inside_limits(inside: Length) -> Limits {
    limits(BUSH_INSIDE_CLASS, inside).unwrap_or(BEYOND_TABLES)
}

/// Beyond the tables of ISO 286-2 (500 mm): wide, and only so that there is a limit.
const BEYOND_TABLES: Limits = Limits { lower: Length::ZERO, upper: Length::from_mm(0.1) };

/// Reamers above this are seldom in a small shop's drawers; larger bores are bored.
const LARGEST_REAMED: Length = Length::from_mm(26.0);

impl BoreDesign {
    /// `mate`: the size of what goes into the bore.
    pub fn new(
        of: &Bore,
        nominal: &Nominal,
        found: Length,
        mate: Option<Measured<Length>>,
        thickness: Option<Length>,
        inch: bool,
    ) -> BoreDesign {
        let value = |measurand| of.length_of(measurand).map(|length| length.value);
        let joint = Joint::new(Half::Hole, nominal.size, &of.wanted(), mate);
        // a bush that stays is the mate, and none is made
        let is_bushed = joint.fit.as_ref().is_some_and(|fit| fit.name == "press bush")
            || joint.grips() && value(Measurand::BushInside).is_some();
        let bush_stays = is_bushed && joint.is_mate_read();
        let bush = (is_bushed && !bush_stays).then(|| {
            let of_fit = joint.fit.as_ref().and_then(|fit| fit.shaft(joint.basic));
            let outside_limits = of_fit.unwrap_or(Limits { lower: Length::ZERO, upper: Length::ZERO });
            let inside = value(Measurand::BushInside).map(|read| opened_from(read, inch));
            PressedBush {
                outside: joint.basic,
                outside_limits,
                inside: inside.unwrap_or(joint.basic * (1.0 - 2.0 * USUAL_WALL)),
                inside_known: inside.is_some(),
                material: of.bush_material.clone(),
            }
        });
        let keyed = joint.fit.as_ref().is_some_and(|fit| fit.name.starts_with("keyed"))
            || value(Measurand::KeywayWidth).is_some();
        BoreDesign {
            feature: of.name.clone(),
            found,
            length: value(Measurand::Length).or(thickness),
            seat_length: value(Measurand::SeatLength).or(value(Measurand::Length)).or(thickness),
            keyway: if keyed {
                keyway(joint.basic, value(Measurand::KeywayWidth), value(Measurand::KeywayHeight), inch)
            } else {
                None
            },
            bush_stays,
            boss: value(Measurand::BossDiameter),
            mate_wall: value(Measurand::MateInside).or(value(Measurand::BushInside)).map_or(Wall::Solid, Wall::Ends),
            bush,
            joint,
            nominal: nominal.clone(),
        }
    }

    /// The keyway enlarged, where its figures have room.
    fn keyway_detail(&self, keyway: &Keyway, unit: Unit) -> Detail {
        let radius = self.joint.basic.mm() / 2.0;
        let (half, top) = (keyway.width.mm() / 2.0, radius + keyway.depth.mm());
        let says = |size: Length| Says::new(print::figures(size, unit, 3));
        Detail {
            title: "Bore and keyway".into(),
            outline: with_keyway(radius, half, keyway.depth.mm()),
            metal_below: false,
            centre_lines: Vec::new(),
            thin: Vec::new(),
            dimensions: vec![
                Dimensioned::Between {
                    from: Point::new(-half, top),
                    to: Point::new(half, top),
                    says: says(keyway.width).below(KEYWAY_WIDTH_CLASS),
                },
                Dimensioned::Between {
                    from: Point::new(-radius, top),
                    to: Point::new(-radius, -radius),
                    says: says(self.joint.basic + keyway.depth),
                },
            ],
        }
    }

    fn finish(&self) -> HoleFinish {
        let reamed = self.joint.basic <= LARGEST_REAMED && self.nominal.name.is_some() && !self.joint.is_to_mate();
        if reamed { HoleFinish::Reamed } else { HoleFinish::Bored }
    }

    /// The bush in the bore, or whatever else the bore turns on or is held by.
    fn in_it(&self) -> Member {
        if let Some(bush) = &self.bush {
            return Member {
                called: "the bush",
                material: Stuff::Named(bush.material.clone()),
                wall: Wall::Ends(bush.inside),
                surface: Surface::Turned,
            };
        }
        self.joint.mate(if self.bush_stays { "the bush" } else { "the shaft" }, self.mate_wall)
    }

    fn size_says(&self, unit: Unit) -> String {
        self.nominal
            .name
            .clone()
            .unwrap_or_else(|| format!("{} (no standard size)", print::length(self.nominal.size, unit, 3)))
    }
}

/// The keyway: measured where it was, else by the table for this bore. The width is a standard one wherever one is near.
fn keyway(bore: Length, width: Option<Length>, across: Option<Length>, inch: bool) -> Option<Keyway> {
    let system = if inch { KeySystem::Inch } else { KeySystem::Metric };
    let usual = key_for_bore(bore, system);
    let (width, table) = match width {
        Some(measured) => {
            let standard = keys()
                .iter()
                .filter(|key| key.system == system)
                .min_by(|a, b| (a.width - measured).abs().mm().total_cmp(&(b.width - measured).abs().mm()));
            match standard.filter(|key| (key.width - measured).abs() < Length::from_mm(0.15)) {
                Some(key) => (key.width, Some(key)),
                None => (measured, None),
            }
        }
        None => (usual?.width, usual),
    };
    let depth = across
        .map(|across| across - bore)
        .filter(|depth| *depth > Length::ZERO)
        .or(table.map(|key| depth_at_middle(bore, key)))?;
    let source = match (table, across) {
        (Some(key), None) => key.source.citation.to_string(),
        (Some(key), Some(_)) => format!("width {}; depth as measured", key.source.citation),
        (None, _) => "as measured".into(),
    };
    Some(Keyway { system, width, depth, source })
}

/// The hub's depth at the middle of the keyway: the inch tables give it at the side, which lies lower by the bore's
/// arch over the keyway's width, r − √(r² − b²/4).
fn depth_at_middle(bore: Length, key: &Key) -> Length {
    match key.system {
        KeySystem::Metric => key.hub_depth,
        KeySystem::Inch => {
            let (radius, half) = (bore.mm() / 2.0, key.width.mm() / 2.0);
            key.hub_depth - Length::from_mm(radius - (radius * radius - half * half).max(0.0).sqrt())
        }
    }
}

impl Design for BoreDesign {
    fn sentence(&self, unit: Unit) -> String {
        let mut out = format!("Bore {}", self.size_says(unit));
        if let Some(fit) = &self.joint.fit {
            out.push_str(&format!(", {}", fit.name));
        }
        if let Some(keyway) = &self.keyway {
            out.push_str(&format!(", keyway {} wide", print::length(keyway.width, unit, 2)));
        }
        out
    }

    fn remarks(&self, unit: Unit) -> Vec<String> {
        let mut out = Vec::new();
        let opened = self.found - self.nominal.size;
        if self.nominal.name.is_some() && opened > Length::from_mm(0.02) {
            out.push(format!(
                "The bore is {} larger than it was made, from fit and wear.",
                print::length(opened, unit, 3)
            ));
        }
        out.extend(self.joint.remarks(unit));
        if let Some(bush) = self.bush.as_ref().filter(|bush| !bush.inside_known) {
            out.push(format!(
                "The inside of the bush is not known; {} is a usual wall. Measure the shaft before reaming.",
                print::length(bush.inside, unit, 2)
            ));
        }
        out
    }

    fn record(&self) -> Map<String, Value> {
        let mut map = Map::new();
        map.insert("diameter_mm".into(), json!(self.nominal.size.mm()));
        map.insert("name".into(), json!(self.nominal.name));
        self.joint.record(&mut map);
        if let Some(keyway) = &self.keyway {
            map.insert("keyway_width_mm".into(), json!(keyway.width.mm()));
            map.insert("keyway_depth_mm".into(), json!(keyway.depth.mm()));
        }
        map
    }

    fn data(&self, unit: Unit) -> Vec<DataLine> {
        let mut out = vec![DataLine::new("Bore", sizes(self.joint.smallest(), self.joint.largest(), unit))];
        if let Some(bush) = &self.bush {
            out.push(DataLine::new(
                "Bush outside",
                sizes(bush.outside + bush.outside_limits.lower, bush.outside + bush.outside_limits.upper, unit),
            ));
            out.push(DataLine::new("Bush inside, after pressing", print::length(bush.inside, unit, 3)));
        }
        if let Some(keyway) = &self.keyway {
            out.push(DataLine::new(
                "Keyway",
                format!("{} wide, {} deep", print::length(keyway.width, unit, 2), print::length(keyway.depth, unit, 2)),
            ));
        }
        out
    }

    fn shapes(&self) -> Vec<Shape> {
        let radius = self.joint.basic.mm() / 2.0;
        vec![Shape::Hole(match &self.keyway {
            None => Outline::circle(Point::ZERO, radius),
            Some(keyway) => with_keyway(radius, keyway.width.mm() / 2.0, keyway.depth.mm()),
        })]
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
            details: self.keyway.iter().map(|keyway| self.keyway_detail(keyway, unit)).collect(),
            ..Drawn::default()
        }
    }

    fn characteristics(&self, unit: Unit) -> Vec<Characteristic> {
        let mut out = vec![Characteristic {
            name: "bore diameter".into(),
            nominal: self.joint.basic,
            lower: Some(self.joint.smallest()),
            upper: Some(self.joint.largest()),
            gauging: Gauging::PlainGauges,
            metal_left: Some(Beyond::Lower),
            source: self.joint.source.clone(),
            how: if self.bush.is_some() {
                "Before the bush goes in.".into()
            } else {
                "At both ends and turned a quarter.".into()
            },
        }];
        if let Some(bush) = &self.bush {
            out.push(Characteristic {
                name: "bush outside diameter".into(),
                nominal: bush.outside,
                lower: Some(bush.outside + bush.outside_limits.lower),
                upper: Some(bush.outside + bush.outside_limits.upper),
                gauging: Gauging::Micrometer,
                metal_left: Some(Beyond::Upper),
                source: self.joint.source.clone(),
                how: "Before pressing.".into(),
            });
            let (smallest, largest) = bush_inside_limits(bush.inside).sizes(bush.inside);
            out.push(Characteristic {
                name: "bush inside diameter".into(),
                nominal: bush.inside,
                lower: Some(smallest),
                upper: Some(largest),
                gauging: Gauging::PlainGauges,
                metal_left: Some(Beyond::Lower),
                source: format!("{BUSH_INSIDE_CLASS}, ISO 286-2; an oiled bearing, common practice"),
                how: "After pressing and reaming: the bush closes in when pressed.".into(),
            });
        }
        if let Some(keyway) = &self.keyway {
            let width = limits(KEYWAY_WIDTH_CLASS, keyway.width);
            out.push(Characteristic {
                name: "keyway width".into(),
                nominal: keyway.width,
                lower: width.map(|limits| keyway.width + limits.lower),
                upper: width.map(|limits| keyway.width + limits.upper),
                gauging: Gauging::PlainGauges,
                metal_left: Some(Beyond::Lower),
                source: format!("{KEYWAY_WIDTH_CLASS}, ISO 286-2; {}", keyway.source),
                how: "Try the key itself.".into(),
            });
            let across = self.joint.basic + keyway.depth;
            let depth_limits = keyway_depth_limits(keyway);
            out.push(Characteristic {
                name: "across bore and keyway".into(),
                nominal: across,
                lower: Some(across + depth_limits.lower),
                upper: Some(across + depth_limits.upper),
                gauging: Gauging::Caliper,
                metal_left: Some(Beyond::Lower),
                source: keyway.source.clone(),
                how: format!("{} over the bore's far side.", print::length(keyway.depth, unit, 2)),
            });
        }
        out
    }

    fn cuts(&self) -> Vec<Cut> {
        let cut = |work| Cut { feature: self.feature.clone(), work, match_made: false };
        let mut out = vec![cut(Work::Hole(HoleWork {
            diameter: self.joint.basic,
            limits: self.joint.limits,
            finish: self.finish(),
            depth: self.length,
            places: vec![Place { radius: Some(Length::ZERO), angle: Some(Angle::ZERO) }],
        }))];
        if let Some(bush) = &self.bush {
            out.push(cut(Work::Bush(Bush {
                outside: bush.outside,
                outside_limits: bush.outside_limits,
                inside: bush.inside,
                inside_limits: bush_inside_limits(bush.inside),
                length: self.length,
                material: bush.material.clone(),
                pressing: None,
            })));
        }
        if let Some(keyway) = &self.keyway {
            let width_limits = limits(KEYWAY_WIDTH_CLASS, keyway.width).unwrap_or(BEYOND_TABLES);
            out.push(cut(Work::Keyway(KeywayWork {
                bore: self.joint.basic,
                width: keyway.width,
                width_limits,
                depth: keyway.depth,
                depth_limits: keyway_depth_limits(keyway),
            })));
        }
        out
    }

    fn seats(&self) -> Vec<Seat> {
        let surface = match self.finish() {
            HoleFinish::Reamed => Surface::Reamed,
            HoleFinish::Bored | HoleFinish::Drilled | HoleFinish::Tapped(_) => Surface::Bored,
        };
        let hole = Member {
            called: "this part",
            material: Stuff::OfPart,
            wall: self.boss.map_or(Wall::OfPart, Wall::Ends),
            surface,
        };
        self.joint.seat(&self.feature, hole, self.in_it(), self.seat_length).into_iter().collect()
    }

    fn probe(&self, line: &Line) -> Option<Probe> {
        match part::meaning(line, FORMS)? {
            Measurand::Diameter => Some(Probe::Bore),
            Measurand::KeywayWidth => Some(Probe::KeywayWidth),
            Measurand::KeywayHeight => Some(Probe::AcrossBoreAndKeyway),
            // the depth, the boss, the mate and the bush are not in the outline
            Measurand::Length
            | Measurand::SeatLength
            | Measurand::BossDiameter
            | Measurand::MateDiameter
            | Measurand::MateInside
            | Measurand::BushInside => None,
        }
    }
}

fn sizes(smallest: Length, largest: Length, unit: Unit) -> String {
    format!("{} to {}", print::figures(smallest, unit, 3), print::length(largest, unit, 3))
}

/// The bore with a keyway at the top, anticlockwise.
fn with_keyway(radius: f64, half_width: f64, depth: f64) -> Outline {
    let foot = (radius * radius - half_width * half_width).max(0.0).sqrt();
    let top = radius + depth;
    let corner = (half_width / radius).clamp(-1.0, 1.0).asin();
    let line = |from: (f64, f64), to: (f64, f64)| Segment::Line { from: from.into(), to: to.into() };
    Outline::new(vec![
        Segment::Arc { centre: Point::ZERO, radius, start: PI / 2.0 + corner, sweep: 2.0 * PI - 2.0 * corner },
        line((half_width, foot), (half_width, top)),
        line((half_width, top), (-half_width, top)),
        line((-half_width, top), (-half_width, foot)),
    ])
}
