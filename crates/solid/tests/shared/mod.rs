//! Invented parts: rims and sectors of many sizes, discs and plates, with bores, keyways and holes.

#![allow(dead_code, clippy::unwrap_used, clippy::panic)] // each test takes some; a helper that fails is a test that fails

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use geometry::generate::{SectorEnd, rim, sector};
use geometry::outline::{Outline, Region, Segment};
use geometry::toothing::{Helix, Rack, Toothing, ToothingSpec};
use geometry::{Point, Vec2};
use quantity::{Angle, Length};
use solid::chamfer::Chamfers;
use solid::plate::{Plate, TOLERANCE, drawn};

/// Numbers that look random and are the same each time (S. Vigna's splitmix64, public domain).
pub struct Numbers(pub u64);

impl Numbers {
    pub fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    pub fn below(&mut self, count: u64) -> u64 {
        self.next() % count
    }
}

pub struct Part {
    pub plate: Plate,
    pub chamfers: Chamfers,
}

pub fn toothing(teeth: u32, module: f64, angle_deg: f64, shift: f64) -> Option<Toothing> {
    Toothing::new(ToothingSpec {
        teeth,
        module: Length::from_mm(module),
        rack: Rack { pressure_angle: Angle::from_degrees(angle_deg), addendum: 1.0, dedendum: 1.25, tip_radius: 0.3 },
        profile_shift: shift,
        thinning: Length::from_mm(0.03 * module),
        tip_diameter: None,
        helix: None,
    })
    .ok()
}

pub fn plate(region: &Region, thickness: f64) -> Plate {
    Plate::new(region, Length::from_mm(thickness), TOLERANCE).unwrap()
}

/// A wheel of `teeth` with a bore and some holes round it.
pub fn wheel(teeth: u32, module: f64, holes: u32, thickness: f64) -> Plate {
    let toothing = toothing(teeth, module, 20.0, 0.0).unwrap();
    let root = toothing.root_diameter().mm() / 2.0;
    let at = |i: u32| Point::ZERO + 0.65 * root * Vec2::from_angle(TAU * f64::from(i) / f64::from(holes));
    let mut rings = vec![Outline::circle(Point::ZERO, 0.3 * root)];
    rings.extend((0..holes).map(|i| Outline::circle(at(i), 0.1 * root)));
    plate(&Region { outer: rim(&toothing, drawn(TOLERANCE)), holes: rings }, thickness)
}

/// A wheel with helical teeth all round it, of either hand, with a keyed bore and three holes.
pub fn leaning(numbers: &mut Numbers) -> Plate {
    loop {
        let helix = Helix { angle: Angle::from_degrees(numbers.between(5.0, 40.0)), face: None };
        let spec = ToothingSpec {
            teeth: 12 + numbers.below(40) as u32,
            module: Length::from_mm(numbers.between(1.0, 4.0)),
            rack: Rack { pressure_angle: Angle::from_degrees(20.0), addendum: 1.0, dedendum: 1.25, tip_radius: 0.3 },
            profile_shift: numbers.between(-0.1, 0.4),
            thinning: Length::from_mm(0.05),
            tip_diameter: None,
            helix: Some(helix),
        };
        let Ok(toothing) = Toothing::new(spec) else { continue };
        let (Some(lead), root) = (toothing.lead(), toothing.root_diameter().mm() / 2.0) else { continue };
        let mut holes = vec![keyway(0.3 * root)];
        holes.extend(
            (0..3)
                .map(|i| Outline::circle(Point::ZERO + 0.7 * root * Vec2::from_angle(2.0 * f64::from(i)), 0.1 * root)),
        );
        let region = Region { outer: rim(&toothing, drawn(TOLERANCE)), holes };
        let hand = if numbers.below(2) == 0 { 1.0 } else { -1.0 };
        return plate(&region, numbers.between(5.0, 40.0)).twisted(hand * TAU / lead.mm()).unwrap();
    }
}

pub fn part(numbers: &mut Numbers) -> Part {
    loop {
        if let Some(part) = tried(numbers) {
            return part;
        }
    }
}

/// None where the numbers make no part: pointed teeth, holes that meet.
fn tried(numbers: &mut Numbers) -> Option<Part> {
    let kind = numbers.below(4);
    let (outer, room) = match kind {
        0 | 1 => {
            let teeth = 10 + numbers.below(45) as u32;
            let angle = [14.5, 20.0, 25.0][numbers.below(3) as usize];
            let toothing = toothing(teeth, numbers.between(1.0, 5.0), angle, numbers.between(-0.2, 0.6))?;
            let root = toothing.root_diameter().mm() / 2.0;
            match kind {
                0 => (rim(&toothing, drawn(TOLERANCE)), root),
                _ => (with_back(&toothing, numbers), 0.4 * root),
            }
        }
        2 => {
            let radius = numbers.between(10.0, 60.0);
            (Outline::circle(Point::ZERO, radius), radius)
        }
        _ => rounded(numbers),
    };
    let bore = numbers.between(0.25, 0.45) * room;
    let keyed = numbers.below(2) == 0;
    let mut holes = vec![if keyed { keyway(bore) } else { Outline::circle(Point::ZERO, bore) }];
    let count = if kind == 1 { 0 } else { numbers.below(5) };
    for i in 0..count {
        let angle = TAU * i as f64 / count as f64 + numbers.between(0.0, 0.2);
        holes.push(Outline::circle(
            Point::ZERO + 0.72 * room * Vec2::from_angle(angle),
            numbers.between(0.03, 0.12) * room,
        ));
    }
    let thickness = numbers.between(3.0, 30.0);
    let plate = Plate::new(&Region { outer, holes }, Length::from_mm(thickness), TOLERANCE).ok()?;
    let leg = |numbers: &mut Numbers, most: f64| if numbers.below(2) == 0 { numbers.between(0.1, most) } else { 0.0 };
    let chamfers =
        Chamfers { bore: leg(numbers, 0.1 * bore), outside: if kind == 3 { 0.0 } else { leg(numbers, 0.5) } };
    solid::chamfer::taken_off(&plate, chamfers).ok()?;
    Some(Part { plate, chamfers })
}

/// A sector: its teeth, and a back that goes straight to a round about the bore.
fn with_back(toothing: &Toothing, numbers: &mut Numbers) -> Outline {
    let most = (toothing.teeth() / 3).max(2);
    let teeth = sector(toothing, 2 + numbers.below(u64::from(most)) as u32, drawn(TOLERANCE), SectorEnd::MiddleOfSpace);
    let hub = 0.4 * toothing.root_diameter().mm() / 2.0;
    let back = Segment::Arc { centre: Point::ZERO, radius: hub, start: PI, sweep: PI };
    teeth.then(Outline::new(vec![back])).close()
}

/// A plate with rounded corners.
fn rounded(numbers: &mut Numbers) -> (Outline, f64) {
    let (half_width, half_height) = (numbers.between(20.0, 60.0), numbers.between(20.0, 60.0));
    let round = numbers.between(1.0, 15.0);
    let mut segments: Vec<Segment> = Vec::new();
    let corners = [(1.0, -1.0), (1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0)];
    for (i, (x, y)) in corners.into_iter().enumerate() {
        let centre = Point::new(x * (half_width - round), y * (half_height - round));
        let arc = Segment::Arc { centre, radius: round, start: (i as f64 - 1.0) * FRAC_PI_2, sweep: FRAC_PI_2 };
        segments.extend(segments.last().map(|last| Segment::Line { from: last.end(), to: arc.start() }));
        segments.push(arc);
    }
    (Outline::new(segments).close(), half_width.min(half_height))
}

/// A bore with a keyway a quarter of its diameter wide at the top.
pub fn keyway(radius: f64) -> Outline {
    let (half, top) = (0.25 * radius, 1.2 * radius);
    let foot = (radius * radius - half * half).sqrt();
    let corner = (half / radius).asin();
    let line = |from: (f64, f64), to: (f64, f64)| Segment::Line { from: from.into(), to: to.into() };
    Outline::new(vec![
        Segment::Arc { centre: Point::ZERO, radius, start: FRAC_PI_2 + corner, sweep: TAU - 2.0 * corner },
        line((half, foot), (half, top)),
        line((half, top), (-half, top)),
        line((-half, top), (-half, foot)),
    ])
}

/// Cylinders that must be found: every arc that runs clockwise, as bores do.
pub fn bores(plate: &Plate) -> Vec<(Point, f64)> {
    let pieces = plate.holes.iter().flat_map(|ring| ring.pieces());
    pieces
        .filter_map(|piece| match piece {
            solid::ring::Piece::Arc { centre, radius, .. } => Some((*centre, *radius)),
            solid::ring::Piece::Line { .. } | solid::ring::Piece::Spline(_) => None,
        })
        .collect()
}
