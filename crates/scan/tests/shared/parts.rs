//! Parts to lay on the rendered bed, and what is true of them.
#![allow(dead_code)] // each test uses its part

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use geometry::Point;
use geometry::generate::{self, SectorEnd};
use geometry::outline::Outline;
use geometry::toothing::{Rack, Toothing, ToothingSpec};
use quantity::{Angle, Length};

use super::render::{Bed, Random, Thing, hole, points, turned};

#[derive(Clone, Debug)]
pub struct Gear {
    pub teeth: u32,
    pub module: f64,
    pub angle_deg: f64,
    /// Teeth on the piece, for a sector.
    pub sector: Option<u32>,
    /// Places, counted clockwise to counter-clockwise from 0, of broken teeth.
    pub broken: Vec<u32>,
    pub bore: f64,
    pub keyway: Option<(f64, f64)>,
    /// Diameter and distance from the bore's centre and direction from the top, anticlockwise.
    pub holes: Vec<(f64, f64, f64)>,
    pub thinning: f64,
    pub addendum: f64,
    pub dedendum: f64,
}

impl Gear {
    pub fn new(teeth: u32, module: f64, angle_deg: f64) -> Gear {
        Gear {
            teeth,
            module,
            angle_deg,
            sector: None,
            broken: Vec::new(),
            bore: 0.3 * module * f64::from(teeth),
            keyway: None,
            holes: Vec::new(),
            thinning: 0.03 * module,
            addendum: 1.0,
            dedendum: 1.25,
        }
    }

    pub fn toothing(&self) -> Toothing {
        Toothing::new(ToothingSpec {
            teeth: self.teeth,
            module: Length::from_mm(self.module),
            rack: Rack {
                pressure_angle: Angle::from_degrees(self.angle_deg),
                addendum: self.addendum,
                dedendum: self.dedendum,
                tip_radius: 0.25,
            },
            profile_shift: 0.0,
            thinning: Length::from_mm(self.thinning),
            tip_diameter: None,
            helix: None,
        })
        .expect("a gear that can be made")
    }

    /// As it lies on the bed, turned and moved.
    pub fn thing(&self, angle: f64, to: Point, grey: f64, chamfer: Option<(f64, f64)>) -> Thing {
        let toothing = self.toothing();
        let fine = Length::from_mm(2e-5);
        let outer = match self.sector {
            None => generate::rim(&toothing, fine),
            Some(teeth) => {
                let teeth = generate::sector(&toothing, teeth, fine, SectorEnd::MiddleOfSpace);
                self.back(teeth)
            }
        };
        let mut outer = points(&outer, true);
        self.break_teeth(&mut outer, &toothing);
        let mut outlines = vec![outer];
        if self.bore > 0.0 {
            outlines.push(self.bored());
        }
        for (diameter, radius, turn) in &self.holes {
            let centre = Point::new(-radius * turn.sin(), radius * turn.cos());
            outlines.push(hole(centre, 0.5 * diameter));
        }
        Thing { outlines: outlines.iter().map(|outline| turned(outline, angle, to)).collect(), grey, chamfer }
    }

    /// The arms of a sector down to a hub.
    fn back(&self, teeth: Outline) -> Outline {
        let (Some(right), Some(left)) = (teeth.start(), teeth.end()) else { return teeth };
        let hub = 0.5 * self.bore + 0.16 * self.module * f64::from(self.teeth);
        let shrink = |point: Point, to: f64| (point.to_vec2() / point.to_vec2().hypot() * to).to_point();
        let (inner_left, inner_right) = (
            shrink(left, left.to_vec2().hypot() - 1.2 * self.module),
            shrink(right, right.to_vec2().hypot() - 1.2 * self.module),
        );
        let low = |side: f64| Point::new(side * hub * 0.95, hub * (1.0f64 - 0.95 * 0.95).sqrt());
        let start = low(-1.0).to_vec2().atan2();
        let sweep = (low(1.0).to_vec2().atan2() - start).rem_euclid(TAU);
        let back = Outline::new(vec![
            geometry::outline::Segment::Line { from: left, to: inner_left },
            geometry::outline::Segment::Line { from: inner_left, to: low(-1.0) },
            geometry::outline::Segment::Arc { centre: Point::ORIGIN, radius: hub, start, sweep },
            geometry::outline::Segment::Line { from: low(1.0), to: inner_right },
            geometry::outline::Segment::Line { from: inner_right, to: right },
        ]);
        teeth.then(back).close()
    }

    fn bored(&self) -> Vec<Point> {
        let radius = 0.5 * self.bore;
        let Some((width, depth)) = self.keyway else { return hole(Point::ORIGIN, radius) };
        let half = (0.5 * width / radius).asin();
        let mut out = vec![Point::new(-0.5 * width, radius + depth), Point::new(0.5 * width, radius + depth)];
        let steps = 4000;
        out.extend((0..=steps).map(|step| {
            // clockwise from the keyway's right side to its left
            let angle = FRAC_PI_2 - half - (TAU - 2.0 * half) * f64::from(step) / f64::from(steps);
            Point::new(radius * angle.cos(), radius * angle.sin())
        }));
        out
    }

    pub fn break_teeth(&self, outline: &mut [Point], toothing: &Toothing) {
        let pitch = TAU / f64::from(self.teeth);
        let first = match self.sector {
            Some(teeth) => FRAC_PI_2 - 0.5 * (f64::from(teeth) - 1.0) * pitch,
            None => FRAC_PI_2,
        };
        let (tip, root) = (0.5 * toothing.tip_diameter().mm(), 0.5 * toothing.root_diameter().mm());
        for point in outline.iter_mut() {
            let turn = ((point.y.atan2(point.x) - first) / pitch).rem_euclid(f64::from(self.teeth));
            let place = turn.round();
            if !self.broken.contains(&(place as u32 % self.teeth)) {
                continue;
            }
            let along = turn - place;
            let stump = root + (tip - root) * (0.25 + 0.3 * along + 0.05 * (40.0 * along).sin());
            let radius = point.to_vec2().hypot();
            if radius > stump {
                *point = (point.to_vec2() * (stump / radius)).to_point();
            }
        }
    }

    pub fn reach(&self) -> f64 {
        0.5 * self.toothing().tip_diameter().mm()
    }

    /// A bed with this gear turned and off the middle, room all round and for a gauge.
    pub fn bed(&self, dpi: f64, random: &mut Random) -> Bed {
        let side = 2.0 * self.reach() + 12.0;
        let mut bed = Bed::new(dpi, (side, side));
        bed.seed = random.next();
        let to = Point::new(random.between(-2.0, 2.0), random.between(-2.0, 2.0));
        bed.things.push(self.thing(random.between(-PI, PI), to, 185.0, None));
        bed
    }
}

/// A belt pulley: straight-sided grooves with rounded tips, 50° between their sides.
pub fn pulley(teeth: u32, pitch_mm: f64) -> Vec<Point> {
    let tip = pitch_mm * f64::from(teeth) / TAU - 0.1 * pitch_mm;
    let depth = 0.36 * pitch_mm;
    let half_floor = 0.18 * pitch_mm;
    let slope = 25f64.to_radians().tan();
    let mut out = Vec::new();
    for tooth in 0..teeth {
        let middle = TAU * f64::from(tooth) / f64::from(teeth);
        let at = |along: f64, radius: f64| {
            let (sin, cos) = middle.sin_cos();
            Point::new(radius * cos - along * sin, radius * sin + along * cos)
        };
        let top = half_floor + depth * slope;
        out.extend([at(-top, tip), at(-half_floor, tip - depth), at(half_floor, tip - depth), at(top, tip)]);
        // along the tip circle to the next groove
        let from = (top / tip).atan();
        let to = TAU / f64::from(teeth) - from;
        out.extend((1..12).map(|step| {
            let angle = middle + from + (to - from) * f64::from(step) / 12.0;
            let radius = (tip * tip + top * top).sqrt();
            Point::new(radius * angle.cos(), radius * angle.sin())
        }));
    }
    out
}
