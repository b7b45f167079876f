//! The whole way from a picture to what lies in it.

use std::f64::consts::PI;

use crate::ScanError;
use crate::border::borders;
use crate::circle::{self, Round, Spot};
use crate::edge::{Contour, Sharpness, edges};
use crate::ground::Ground;
use crate::picture::Picture;
use crate::place::{Place, places};
use crate::profile::{self, Profile};
use crate::scale::{self, Scale, Source};
use crate::teeth::{self, Rim, Uncertain};

/// What is known beside the picture.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Options {
    /// Pixels to the inch, instead of what the file says.
    pub dpi: Option<f64>,
    pub gauge: Option<Gauge>,
    pub known: Option<Known>,
    /// How far the simplified outline may lie from the true one, in mm.
    pub deviation: f64,
    /// How far outside the outline to saw, in mm.
    pub saw: f64,
}

impl Default for Options {
    fn default() -> Options {
        Options { dpi: None, gauge: None, known: None, deviation: 0.15, saw: 1.0 }
    }
}

/// A round thing of known diameter that lies in the picture. Millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gauge {
    pub diameter: f64,
    pub sigma: f64,
}

/// A size of the part that was measured otherwise. Millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Known {
    pub what: KnownSize,
    pub size: f64,
    pub sigma: f64,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum KnownSize {
    Bore,
    TipDiameter,
    RootDiameter,
}

/// Where long work has got to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stage {
    Ground,
    Borders,
    Edges,
    Shapes,
}

/// The edges of a picture, before anything is made of them.
#[derive(Clone, Debug)]
pub struct Seen {
    pub contours: Vec<Contour>,
    pub sharpness: Sharpness,
    pub light: bool,
    /// Width and height in pixels.
    pub size: (usize, usize),
    pub resolution: Option<(f64, f64)>,
}

/// What lies in the picture.
#[derive(Clone, Debug)]
pub struct Scan {
    pub scale: Scale,
    pub sharpness: Sharpness,
    pub light: bool,
    /// The bore first, then the holes counter-clockwise from the top.
    pub holes: Vec<Hole>,
    pub gauge: Option<Round>,
    pub rim: Option<Rim>,
    pub profile: Option<Profile>,
    /// Where the part's own axes lie on the bed.
    pub frame: Frame,
    /// The part's outer boundary, counter-clockwise on the bed.
    pub boundary: Vec<Place>,
    /// What a person should know before believing it, as whole sentences.
    pub notes: Vec<String>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HoleKind {
    Bore,
    Hole,
}

/// A round hole. Its place in the part's own frame.
#[derive(Clone, Copy, Debug)]
pub struct Hole {
    pub kind: HoleKind,
    pub x: f64,
    pub y: f64,
    pub diameter: Uncertain,
    /// Standard uncertainty of its place, the bore's own counted in.
    pub sigma_place: f64,
    pub roundness: f64,
    /// The part of its edge that lies on the circle: less than one with a keyway.
    pub share: f64,
    /// As it lies on the bed.
    pub on_bed: (f64, f64),
}

/// The part's own axes: the bore's centre (or the teeth's) the origin, the middle of the teeth upward.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frame {
    pub x: f64,
    pub y: f64,
    /// Direction on the bed of the part's upward axis.
    pub up: f64,
    /// The origin is the centre of the teeth for want of a bore.
    pub by_teeth: bool,
}

impl Frame {
    /// From the bed to the part.
    pub fn of_bed(&self, x: f64, y: f64) -> (f64, f64) {
        let (sin, cos) = (PI / 2.0 - self.up).sin_cos();
        let (dx, dy) = (x - self.x, y - self.y);
        (dx * cos - dy * sin, dx * sin + dy * cos)
    }

    /// From the part to the bed.
    pub fn to_bed(&self, x: f64, y: f64) -> (f64, f64) {
        let (sin, cos) = (self.up - PI / 2.0).sin_cos();
        (self.x + x * cos - y * sin, self.y + x * sin + y * cos)
    }
}

/// A hole is round if this part of its edge lies on one circle; a keyway of a quarter of the bore takes an eighth.
const ROUND_SHARE: f64 = 0.6;

/// Spread of the points of a round hole, as a part of its radius.
const ROUND_REST: f64 = 0.02;

/// Measures what lies in a picture.
pub fn measure(picture: &Picture, options: &Options, progress: &dyn Fn(Stage)) -> Result<Scan, ScanError> {
    let seen = look(picture, progress)?;
    progress(Stage::Shapes);
    measure_seen(&seen, options, None)
}

/// Finds the edges in a picture.
pub fn look(picture: &Picture, progress: &dyn Fn(Stage)) -> Result<Seen, ScanError> {
    progress(Stage::Ground);
    let ground = Ground::of(picture)?;
    progress(Stage::Borders);
    let borders = borders(picture, &ground)?;
    progress(Stage::Edges);
    let (contours, sharpness) = edges(picture, &ground, &borders).ok_or(ScanError::TooSmall)?;
    Ok(Seen {
        contours,
        sharpness,
        light: ground.light,
        size: (picture.width(), picture.height()),
        resolution: picture.resolution(),
    })
}

/// Makes a scan of edges; `turned` is a second picture of the part, turned by a quarter, by which the axes are separated.
pub fn measure_seen(seen: &Seen, options: &Options, turned: Option<&Seen>) -> Result<Scan, ScanError> {
    let claimed = match options.dpi {
        Some(dpi) => Some(Scale::of_dpi(dpi, dpi)),
        None => seen.resolution.map(|(x, y)| Scale::of_dpi(x, y)),
    };
    let gauged = match options.gauge {
        Some(gauge) => Some(scale::by_gauge(&seen.contours, &seen.sharpness, claimed, gauge.diameter, gauge.sigma)?),
        None => None,
    };
    let mut scale = gauged.map(|gauged| gauged.scale).or(claimed).ok_or(ScanError::NoScale)?;
    let gauge = gauged.map(|gauged| gauged.contour);
    let mut notes = Vec::new();
    if let Some(turned) = turned {
        let (stretch, sigma) = stretch_by_turning(seen, turned, &scale).ok_or(ScanError::NoBoreInBoth)?;
        scale = scale.evened(stretch, sigma);
        notes.push(format!("The axes differ by {:.3} %, as the two scans show.", 100.0 * stretch));
    }
    let mut shapes = Shapes::of(seen, &scale, gauge)?;
    // a whole rim is round: it shows how the axes differ where nothing better does
    if scale.source == Source::Dpi
        && turned.is_none()
        && let Some(flanks) = shapes.rim.as_ref().filter(|rim| rim.whole).and_then(Rim::involute)
        && flanks.sigma.stretch < 0.5 * scale.sigma_axes
    {
        let (stretch, sigma) = (flanks.stretch, flanks.sigma.stretch);
        scale = scale.evened(stretch, sigma);
        if stretch.abs() > 3.0 * sigma {
            notes.push(format!("The axes differ by {:.3} %, as the roundness of the rim shows.", 100.0 * stretch));
        }
        shapes = Shapes::of(seen, &scale, gauge)?;
    }
    if let Some(known) = options.known {
        let (name, found) = match known.what {
            KnownSize::Bore => {
                ("bore", shapes.bore().map(|bore| Uncertain::new(bore.radius, bore.sigma_radius).times(2.0)))
            }
            KnownSize::TipDiameter => ("tip diameter", shapes.rim.as_ref().map(|rim| rim.tip_radius.times(2.0))),
            KnownSize::RootDiameter => ("root diameter", shapes.rim.as_ref().map(|rim| rim.root_radius.times(2.0))),
        };
        let found = found.filter(|found| found.value > 0.0).ok_or(ScanError::NoSuchSize(name))?;
        let sigma = (known.sigma / known.size).hypot(found.sigma / found.value);
        scale = scale.corrected(known.size / found.value, Source::Known, sigma);
        shapes = Shapes::of(seen, &scale, gauge)?;
    }
    shapes.scan(seen, scale, options, notes)
}

/// What the contours are, on the bed.
struct Shapes {
    boundary: Vec<Place>,
    cut_off: bool,
    rounds: Vec<Round>,
    bore: Option<usize>,
    rim: Option<Rim>,
    gauge: Option<Round>,
    odd_holes: usize,
}

impl Shapes {
    fn of(seen: &Seen, scale: &Scale, gauge: Option<usize>) -> Result<Shapes, ScanError> {
        let outer = seen
            .contours
            .iter()
            .enumerate()
            .filter(|(index, contour)| Some(*index) != gauge && contour.area > 0.0 && contour.points.len() >= 24)
            .max_by(|a, b| a.1.area.total_cmp(&b.1.area));
        let (_, part) = outer.ok_or(ScanError::TooSmall)?;
        let boundary = places(part, scale);
        let bend = |radius: f64| seen.sharpness.bend(radius / scale.mean()) * scale.mean();
        let round = |contour: &Contour| -> Option<Round> {
            let spots: Vec<Spot> =
                places(contour, scale).iter().map(|p| Spot { x: p.x, y: p.y, sigma: p.sigma }).collect();
            let mut round = circle::circle(&spots)?;
            round.radius += bend(round.radius);
            Some(round)
        };
        let within = Bounds::of(&boundary);
        let mut rounds = Vec::new();
        let mut odd_holes = 0;
        for contour in seen.contours.iter().filter(|contour| contour.area < 0.0 && contour.points.len() >= 16) {
            let Some(found) = round(contour) else { continue };
            if !within.holds(found.x, found.y) || !encloses(&boundary, found.x, found.y) {
                continue;
            }
            let covered = -contour.area * scale.x_mm * scale.y_mm / (PI * found.radius * found.radius);
            // a circle through a crooked hole covers something else
            if found.share >= ROUND_SHARE && found.rest < ROUND_REST * found.radius && (0.9..1.35).contains(&covered) {
                rounds.push(found);
            } else {
                odd_holes += 1;
            }
        }
        rounds.sort_by(|a, b| b.radius.total_cmp(&a.radius));
        let middles: Vec<(f64, f64)> = rounds.iter().map(|round| (round.x, round.y)).collect();
        let optics = teeth::Optics { bend: bend(1.0), sigma_stretch: scale.sigma_axes.max(1e-5), pixel: scale.mean() };
        let rim = teeth::find(&boundary, &middles, &optics);
        let bore = match &rim {
            Some(rim) => {
                let far = |round: &Round| (round.x - rim.x).hypot(round.y - rim.y);
                let near = |index: &usize| far(&rounds[*index]) < 0.03 * rim.tip_radius.value;
                (0..rounds.len()).find(near)
            }
            None => (!rounds.is_empty()).then_some(0),
        };
        let gauge = gauge.and_then(|index| round(&seen.contours[index]));
        Ok(Shapes { boundary, cut_off: part.cut_off, rounds, bore, rim, gauge, odd_holes })
    }

    fn bore(&self) -> Option<&Round> {
        self.bore.map(|index| &self.rounds[index])
    }

    fn scan(self, seen: &Seen, scale: Scale, options: &Options, mut notes: Vec<String>) -> Result<Scan, ScanError> {
        let up = self.rim.as_ref().map_or(PI / 2.0, Rim::upright);
        let (x, y, by_teeth) = match (self.bore(), &self.rim) {
            (Some(bore), _) => (bore.x, bore.y, false),
            (None, Some(rim)) => (rim.x, rim.y, true),
            (None, None) => {
                let bounds = Bounds::of(&self.boundary);
                (0.5 * (bounds.left + bounds.right), 0.5 * (bounds.below + bounds.above), false)
            }
        };
        let frame = Frame { x, y, up, by_teeth };
        let sigma_origin = match (self.bore(), &self.rim) {
            (Some(bore), _) => bore.sigma_centre,
            (None, Some(rim)) => rim.sigma_centre,
            (None, None) => 0.0,
        };
        let mut holes: Vec<Hole> = self
            .rounds
            .iter()
            .enumerate()
            .map(|(index, round)| {
                let (x, y) = frame.of_bed(round.x, round.y);
                let is_bore = self.bore == Some(index);
                Hole {
                    kind: if is_bore { HoleKind::Bore } else { HoleKind::Hole },
                    x,
                    y,
                    diameter: Uncertain::new(round.radius, round.sigma_radius).times(2.0),
                    sigma_place: if is_bore { 0.0 } else { round.sigma_centre.hypot(sigma_origin) },
                    roundness: round.roundness,
                    share: round.share,
                    on_bed: (round.x, round.y),
                }
            })
            .collect();
        let turn = |hole: &Hole| (-hole.x).atan2(hole.y).rem_euclid(2.0 * PI);
        holes.sort_by(|a, b| {
            (a.kind == HoleKind::Hole).cmp(&(b.kind == HoleKind::Hole)).then(turn(a).total_cmp(&turn(b)))
        });
        if self.cut_off {
            notes.push("The part runs out of the picture: what is cut off is not measured.".into());
        }
        if frame.by_teeth {
            notes.push("There is no round bore: places are counted from the centre of the teeth.".into());
        }
        if self.odd_holes > 0 {
            notes.push(match self.odd_holes {
                1 => "One hole is not round and is left out.".into(),
                count => format!("{count} holes are not round and are left out."),
            });
        }
        if let Some(why) = self.rim.as_ref().and_then(|rim| rim.not_involute.as_ref()) {
            notes.push(format!("The teeth are not told as a gear's: {why}."));
        }
        if scale.source == Source::Dpi {
            notes.push(format!(
                "The scale is the scanner's own and unchecked: sizes may be off by {:.1} %. A round gauge in the picture or one caliper reading settles it.",
                200.0 * scale.sigma
            ));
        }
        let profile = profile::of(&self.boundary, self.rim.as_ref(), &frame, options.deviation, options.saw);
        Ok(Scan {
            scale,
            sharpness: seen.sharpness,
            light: seen.light,
            holes,
            gauge: self.gauge,
            rim: self.rim,
            profile,
            frame,
            boundary: self.boundary,
            notes,
        })
    }
}

struct Bounds {
    left: f64,
    right: f64,
    below: f64,
    above: f64,
}

impl Bounds {
    fn of(places: &[Place]) -> Bounds {
        let none =
            Bounds { left: f64::INFINITY, right: f64::NEG_INFINITY, below: f64::INFINITY, above: f64::NEG_INFINITY };
        places.iter().fold(none, |bounds, place| Bounds {
            left: bounds.left.min(place.x),
            right: bounds.right.max(place.x),
            below: bounds.below.min(place.y),
            above: bounds.above.max(place.y),
        })
    }

    fn holds(&self, x: f64, y: f64) -> bool {
        (self.left..=self.right).contains(&x) && (self.below..=self.above).contains(&y)
    }
}

/// Whether a boundary goes round a point: crossings of the ray to the right.
fn encloses(boundary: &[Place], x: f64, y: f64) -> bool {
    let mut inside = false;
    for (a, b) in boundary.iter().zip(boundary.iter().cycle().skip(1)) {
        if (a.y > y) != (b.y > y) && a.x + (y - a.y) / (b.y - a.y) * (b.x - a.x) > x {
            inside = !inside;
        }
    }
    inside
}

/// The bore's own ovalness turns with the part and the scanner's does not: half the sum of both stretches.
fn stretch_by_turning(first: &Seen, second: &Seen, scale: &Scale) -> Option<(f64, f64)> {
    let stretch = |seen: &Seen| {
        let contour =
            seen.contours.iter().filter(|contour| contour.area < 0.0).min_by(|a, b| a.area.total_cmp(&b.area))?;
        let spots: Vec<Spot> = places(contour, scale).iter().map(|p| Spot { x: p.x, y: p.y, sigma: p.sigma }).collect();
        let round = circle::circle(&spots)?;
        if round.share < ROUND_SHARE || round.rest > ROUND_REST * round.radius {
            return None;
        }
        let oval = circle::oval(&spots, &round)?;
        Some((oval.stretch, oval.sigma_stretch, oval.radius))
    };
    let ((a, sigma_a, radius_a), (b, sigma_b, radius_b)) = (stretch(first)?, stretch(second)?);
    ((radius_a / radius_b).ln().abs() < 0.02).then(|| (0.5 * (a + b), 0.5 * sigma_a.hypot(sigma_b)))
}
