//! A label in raised letters, where the part's face has room for it.

use kurbo::{Affine, BezPath, PathEl, Point, Shape, Size, Vec2};
use ttf_parser::{Face, OutlineBuilder};

use crate::plate::Plate;

static FONT: &[u8] = include_bytes!("../../../data/fonts/SourceSans3-Semibold.otf");

/// Heights of capitals that are tried, largest first, mm. Below the last a nozzle of 0.4 mm draws no letters.
const HEIGHTS: [f64; 6] = [8.0, 6.0, 5.0, 4.0, 3.2, 2.5];
/// Directions of writing tried, degrees.
const TURNS: [f64; 8] = [0.0, 90.0, 45.0, -45.0, 22.5, -22.5, 67.5, -67.5];
/// Bare face left round the letters, mm.
const AIR: f64 = 0.8;
/// Places tried across the part, each way.
const PLACES: u32 = 28;
/// Edges of the part are looked at in steps of this, mm: well below the air.
const STEP: f64 = 0.4;
/// Capitals over the font size, and added space between letters, so that they never touch. In font sizes.
const CAP_HEIGHT: f64 = 0.66;
const SPACING: f64 = 0.04;
/// From line to line, in font sizes.
const LEADING: f64 = 1.1;
/// Chords of the part's edges as they are looked at, mm.
const CHORDS: f64 = 0.1;
/// Chords of the letters' curves, mm.
const CHORD: f64 = 0.02;

/// Letters placed on a face.
#[derive(Clone, Debug, PartialEq)]
pub struct Label {
    pub outlines: Vec<Vec<Point>>,
    /// Of the capitals, mm.
    pub height: f64,
    pub lines: usize,
}

/// The largest label that finds room, on one line or two; none where there is no room, or nothing to write.
pub fn label(plate: &Plate, text: &str) -> Option<Label> {
    let settings: Vec<BezPath> = settings(text);
    let plate = &plate.seen_from_above();
    let edges: Vec<Point> = plate.rings().flat_map(|ring| stepped(&ring.flatten(CHORDS))).collect();
    let inside = Places::of(plate, &edges);
    for height in HEIGHTS {
        for (lines, letters) in settings.iter().enumerate() {
            let letters = Affine::scale(height / CAP_HEIGHT) * letters;
            let room = letters.bounding_box().inflate(AIR, AIR);
            let place = TURNS.iter().find_map(|turn| inside.roomiest(&edges, room.size(), turn.to_radians()));
            if let Some((centre, turn)) = place {
                let put = Affine::translate(centre.to_vec2())
                    * Affine::rotate(turn)
                    * Affine::translate(-room.center().to_vec2());
                return Some(Label { outlines: flat(&(put * letters)), height, lines: lines + 1 });
            }
        }
    }
    None
}

/// The text on one line and, where it can be parted, on two; in font sizes, y upwards.
fn settings(text: &str) -> Vec<BezPath> {
    let Ok(face) = Face::parse(FONT, 0) else { return Vec::new() };
    let whole = set(&face, text);
    let places: Vec<usize> =
        text.char_indices().filter(|(_, c)| matches!(c, '-' | ' ' | '_')).map(|(i, _)| i).collect();
    let middle = places.into_iter().min_by_key(|place| place.abs_diff(text.len() / 2));
    let mut out = vec![whole];
    if let Some(place) = middle {
        let (first, second) = text.split_at(place);
        let (above, below) = (set(&face, first.trim()), set(&face, second.trim_matches(['-', ' ', '_'])));
        let middle = |path: &BezPath| path.bounding_box().center().x;
        let mut both = Affine::translate((-middle(&above), 0.0)) * above;
        both.extend(Affine::translate((-middle(&below), -LEADING)) * &below);
        out.push(both);
    }
    out.retain(|path| !path.is_empty() && path.bounding_box().width() > 0.0);
    out
}

fn set(face: &Face<'_>, text: &str) -> BezPath {
    let scale = 1.0 / f64::from(face.units_per_em());
    let mut out = BezPath::new();
    let mut pen = 0.0;
    for glyph in text.chars().filter_map(|c| face.glyph_index(c)) {
        let mut outline = Outline(BezPath::new());
        if face.outline_glyph(glyph, &mut outline).is_some() {
            out.extend(Affine::translate((pen, 0.0)) * Affine::scale(scale) * outline.0);
        }
        pen += f64::from(face.glyph_hor_advance(glyph).unwrap_or_default()) * scale + SPACING;
    }
    out
}

struct Outline(BezPath);

impl OutlineBuilder for Outline {
    fn move_to(&mut self, x: f32, y: f32) {
        self.0.move_to((f64::from(x), f64::from(y)));
    }

    fn line_to(&mut self, x: f32, y: f32) {
        self.0.line_to((f64::from(x), f64::from(y)));
    }

    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        self.0.quad_to((f64::from(x1), f64::from(y1)), (f64::from(x), f64::from(y)));
    }

    fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
        let [a, b, to] = [(x1, y1), (x2, y2), (x, y)].map(|(x, y)| (f64::from(x), f64::from(y)));
        self.0.curve_to(a, b, to);
    }

    fn close(&mut self) {
        self.0.close_path();
    }
}

/// The contours as polygons.
fn flat(letters: &BezPath) -> Vec<Vec<Point>> {
    let mut out: Vec<Vec<Point>> = Vec::new();
    kurbo::flatten(letters, CHORD, |element| match element {
        PathEl::MoveTo(at) => out.push(vec![at]),
        PathEl::LineTo(to) => out.iter_mut().last().into_iter().for_each(|contour| contour.push(to)),
        PathEl::QuadTo(..) | PathEl::CurveTo(..) | PathEl::ClosePath => {}
    });
    for contour in &mut out {
        contour.dedup_by(|b, a| a.distance(*b) < 1e-4);
        while contour.len() > 1 && contour[0].distance(contour[contour.len() - 1]) < 1e-4 {
            contour.pop();
        }
    }
    out.retain(|contour| contour.len() > 2);
    out
}

/// Points on a polygon about a step apart, no further.
fn stepped(corners: &[Point]) -> Vec<Point> {
    let next = corners.iter().cycle().skip(1);
    let edge = |(from, to): (&Point, &Point)| {
        let parts = (from.distance(*to) / STEP).ceil().max(1.0) as u32;
        let (from, to) = (*from, *to);
        (0..parts).map(move |part| from.lerp(to, f64::from(part) / f64::from(parts)))
    };
    let mut out: Vec<Point> = corners.iter().zip(next).flat_map(edge).collect();
    out.dedup_by(|b, a| a.distance(*b) < 0.5 * STEP);
    out
}

/// Places on the metal at which a label's middle may stand, each with its distance from the nearest edge.
struct Places(Vec<(Point, f64)>);

impl Places {
    fn of(plate: &Plate, edges: &[Point]) -> Places {
        let bounds = plate.outer.bounds();
        let polygons: Vec<Vec<Point>> = plate.rings().map(|ring| ring.flatten(CHORDS)).collect();
        let at = |i: u32, low: f64, size: f64| low + size * (f64::from(i) + 0.5) / f64::from(PLACES);
        let all = (0..PLACES).flat_map(|i| (0..PLACES).map(move |j| (i, j)));
        let points = all.map(|(i, j)| Point::new(at(i, bounds.x0, bounds.width()), at(j, bounds.y0, bounds.height())));
        let on_metal = points.filter(|point| polygons.iter().filter(|ring| encloses(ring, *point)).count() == 1);
        let nearest = |point: Point| edges.iter().map(|edge| edge.distance(point)).fold(f64::INFINITY, f64::min);
        Places(on_metal.map(|point| (point, nearest(point))).collect())
    }

    /// The place where a box of this size and turn stands furthest from every edge, and the turn.
    fn roomiest(&self, edges: &[Point], room: Size, turn: f64) -> Option<(Point, f64)> {
        let (half_width, half_height) = (room.width / 2.0, room.height / 2.0);
        let along = Vec2::from_angle(turn);
        let clearance = |centre: Point| {
            edges.iter().map(|edge| *edge - centre).try_fold(f64::INFINITY, |least, off| {
                let beyond = (off.dot(along).abs() - half_width).max(along.cross(off).abs() - half_height);
                (beyond > 0.0).then_some(least.min(beyond))
            })
        };
        // where not even the circle within the box has room, the box has none
        let wide = self.0.iter().filter(|(_, nearest)| *nearest > half_width.min(half_height));
        let fits = wide.filter_map(|(centre, _)| Some((*centre, clearance(*centre)?)));
        fits.max_by(|a, b| a.1.total_cmp(&b.1)).map(|(centre, _)| (centre, turn))
    }
}

fn encloses(ring: &[Point], point: Point) -> bool {
    let next = ring.iter().cycle().skip(1);
    let crossed = ring.iter().zip(next).filter(|(a, b)| {
        (a.y > point.y) != (b.y > point.y) && a.x + (point.y - a.y) / (b.y - a.y) * (b.x - a.x) > point.x
    });
    crossed.count() % 2 == 1
}
