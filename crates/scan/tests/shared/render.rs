//! A flatbed that is known to the last digit: outlines drawn by the exact area they cover of each pixel, blurred, lit
//! unevenly, dusted and made noisy. Nothing here is shared with what reads the picture.
#![allow(dead_code)] // each test uses its part

use std::f64::consts::{PI, TAU};

use geometry::Point;
use geometry::outline::Outline;
use scan::picture::Picture;

/// What lies on the glass and how the scanner sees it.
#[derive(Clone, Debug)]
pub struct Bed {
    pub dpi: f64,
    /// Size of the picture in mm, its middle the origin of what lies on it, y up.
    pub size: (f64, f64),
    pub ground: f64,
    /// What the scanner's scale is off by, along and across: 1.002 draws everything larger.
    pub axes: (f64, f64),
    /// Standard deviation of the lens, in pixels; the pixel's own square comes on top.
    pub blur: f64,
    /// Standard deviation of each pixel's noise, in greys.
    pub noise: f64,
    /// Light lost from the upper left to the lower right corner, as a part.
    pub fall_off: f64,
    /// Shadow of the lid on the right of what lies there: part of the light taken, and its reach in mm.
    pub shadow: Option<(f64, f64)>,
    /// Specks on a square centimetre.
    pub dust: f64,
    pub seed: u64,
    pub things: Vec<Thing>,
}

/// A plate on the glass: its outer boundary and its holes, in mm.
#[derive(Clone, Debug)]
pub struct Thing {
    pub outlines: Vec<Vec<Point>>,
    pub grey: f64,
    /// Width in mm and grey of a chamfer all round.
    pub chamfer: Option<(f64, f64)>,
}

impl Bed {
    pub fn new(dpi: f64, size: (f64, f64)) -> Bed {
        Bed {
            dpi,
            size,
            ground: 30.0,
            axes: (1.0, 1.0),
            blur: 0.8,
            noise: 1.5,
            fall_off: 0.0,
            shadow: None,
            dust: 0.0,
            seed: 1,
            things: Vec::new(),
        }
    }

    pub fn per_mm(&self) -> (f64, f64) {
        (self.dpi / 25.4 * self.axes.0, self.dpi / 25.4 * self.axes.1)
    }

    /// A point of the bed in pixels from the picture's upper left corner.
    pub fn pixel(&self, point: Point) -> (f64, f64) {
        let (kx, ky) = self.per_mm();
        let (width, height) = self.pixels();
        (0.5 * width as f64 + point.x * kx, 0.5 * height as f64 - point.y * ky)
    }

    pub fn pixels(&self) -> (usize, usize) {
        let per_mm = self.dpi / 25.4;
        ((self.size.0 * per_mm).round() as usize, (self.size.1 * per_mm).round() as usize)
    }

    pub fn scanned(&self) -> Picture {
        let (width, _) = self.pixels();
        Picture::new(width, self.greys()).expect("a bed of sensible size").with_resolution(self.dpi, self.dpi)
    }

    pub fn greys(&self) -> Vec<u8> {
        let (width, height) = self.pixels();
        let mut light = vec![self.ground as f32; width * height];
        let mut covered = vec![0f32; width * height];
        let drawn: Vec<Vec<f32>> = self.things.iter().map(|thing| self.coverage(&thing.outlines)).collect();
        for (all, own) in drawn.iter().flat_map(|drawn| drawn.iter().enumerate()).map(|(at, own)| (at, *own)) {
            covered[all] = covered[all].max(own);
        }
        if let Some((taken, reach)) = self.shadow {
            let per_mm = self.dpi / 25.4;
            let mut shade = shade(&covered, width, reach * per_mm);
            // the lamp is long and the lid far from the glass: no sharp shadow
            blurred(&mut shade, width, 0.2 * reach * per_mm);
            for (light, shade) in light.iter_mut().zip(shade) {
                *light *= 1.0 - taken as f32 * shade;
            }
        }
        for (thing, drawn) in self.things.iter().zip(&drawn) {
            lay(&mut light, drawn, thing.chamfer.map_or(thing.grey, |(_, grey)| grey));
            if let Some((inset, _)) = thing.chamfer {
                let face: Vec<Vec<Point>> = thing.outlines.iter().map(|outline| inset_by(outline, inset)).collect();
                lay(&mut light, &self.coverage(&face), thing.grey);
            }
        }
        let mut random = Random(self.seed.wrapping_mul(0x9e37_79b9_7f4a_7c15));
        let cm = self.dpi / 2.54;
        let specks = (self.dust * (width * height) as f64 / (cm * cm)) as usize;
        for _ in 0..specks {
            let (x, y) = (random.unit() * width as f64, random.unit() * height as f64);
            let (radius, grey) = ((0.02 + 0.1 * random.unit()) * self.dpi / 25.4, 40.0 + 170.0 * random.unit());
            let reach = radius.ceil() as i64 + 1;
            for py in (y as i64 - reach).max(0)..(y as i64 + reach).min(height as i64) {
                for px in (x as i64 - reach).max(0)..(x as i64 + reach).min(width as i64) {
                    let far = (px as f64 + 0.5 - x).hypot(py as f64 + 0.5 - y);
                    let part = (radius - far + 0.5).clamp(0.0, 1.0) as f32;
                    let at = &mut light[py as usize * width + px as usize];
                    *at += part * (grey as f32 - *at);
                }
            }
        }
        blurred(&mut light, width, self.blur);
        light
            .iter()
            .enumerate()
            .map(|(index, grey)| {
                let (u, v) = ((index % width) as f64 / width as f64, (index / width) as f64 / height as f64);
                let lit = f64::from(*grey) * (1.0 - self.fall_off * 0.5 * (u + v));
                (lit + self.noise * random.normal()).round().clamp(0.0, 255.0) as u8
            })
            .collect()
    }

    /// The exact part of each pixel inside the outlines, outer ones counter-clockwise, holes clockwise.
    fn coverage(&self, outlines: &[Vec<Point>]) -> Vec<f32> {
        let (width, height) = self.pixels();
        let mut area = vec![0f32; width * height];
        for outline in outlines {
            let points: Vec<(f64, f64)> = outline.iter().map(|point| self.pixel(*point)).collect();
            for (a, b) in points.iter().zip(points.iter().cycle().skip(1)) {
                edge(&mut area, width, height, *a, *b);
            }
        }
        for row in area.chunks_exact_mut(width) {
            let mut sum = 0.0;
            for at in row {
                sum += *at;
                *at = sum.abs().min(1.0);
            }
        }
        area
    }
}

/// Adds the area to the right of one edge, row by row, as changes along the row.
fn edge(area: &mut [f32], width: usize, height: usize, a: (f64, f64), b: (f64, f64)) {
    if a.1 == b.1 {
        return;
    }
    let (sign, (x0, y0), (x1, y1)) = if a.1 < b.1 { (1.0, a, b) } else { (-1.0, b, a) };
    let slope = (x1 - x0) / (y1 - y0);
    let most = width as f64 - 1e-9;
    let from = y0.max(0.0);
    let to = y1.min(height as f64);
    let mut y = from;
    while y < to {
        let row = y as usize;
        let below = ((row + 1) as f64).min(to);
        let (mut left, mut right) = (x0 + (y - y0) * slope, x0 + (below - y0) * slope);
        let tall = sign * (below - y);
        if left > right {
            std::mem::swap(&mut left, &mut right);
        }
        let (left, right) = (left.clamp(0.0, most), right.clamp(0.0, most));
        let line = &mut area[row * width..(row + 1) * width];
        let (first, last) = (left as usize, right as usize);
        let mut put = |at: usize, value: f64| {
            if at < width {
                line[at] += value as f32;
            }
        };
        if first == last {
            // mean distance from the edge to the pixel's right side
            let mean = (first + 1) as f64 - 0.5 * (left + right);
            put(first, tall * mean);
            put(first + 1, tall * (1.0 - mean));
        } else {
            let steep = tall / (right - left);
            let mut given = 0.0;
            for at in first..=last {
                let (from, to) = (left.max(at as f64), right.min((at + 1) as f64));
                // covered in this pixel: what has been passed, and the triangle of this one
                let passed = steep * (from - left);
                let here = steep * (to - from);
                let covered = passed + here * ((at + 1) as f64 - 0.5 * (from + to));
                put(at, covered - given);
                given = covered;
            }
            put(last + 1, tall - given);
        }
        y = below;
    }
}

fn lay(light: &mut [f32], covered: &[f32], grey: f64) {
    for (light, covered) in light.iter_mut().zip(covered) {
        *light += covered * (grey as f32 - *light);
    }
}

/// How much of the light is kept from the ground: all under something, to the right of it less the further off.
fn shade(covered: &[f32], width: usize, reach: f64) -> Vec<f32> {
    let fade = (1.0 - 1.0 / reach.max(1.0)) as f32;
    let mut out = Vec::with_capacity(covered.len());
    for covered in covered.chunks_exact(width) {
        let mut dark = 0f32;
        for covered in covered {
            dark = (dark * fade).max(*covered);
            out.push(dark);
        }
    }
    out
}

fn blurred(light: &mut [f32], width: usize, sigma: f64) {
    if sigma <= 0.0 {
        return;
    }
    let reach = (4.0 * sigma).ceil() as i64;
    let weights: Vec<f32> = (-reach..=reach).map(|t| (-0.5 * (t as f64 / sigma).powi(2)).exp() as f32).collect();
    let total: f32 = weights.iter().sum();
    let height = light.len() / width;
    let mut out = vec![0f32; light.len()];
    for y in 0..height {
        let row = &light[y * width..(y + 1) * width];
        for x in 0..width {
            let taken = weights.iter().enumerate().map(|(index, weight)| {
                let at = (x as i64 + index as i64 - reach).clamp(0, width as i64 - 1);
                weight * row[at as usize]
            });
            out[y * width + x] = taken.sum::<f32>() / total;
        }
    }
    for line in light.iter_mut() {
        *line = 0.0;
    }
    for y in 0..height {
        for (index, weight) in weights.iter().enumerate() {
            let at = (y as i64 + index as i64 - reach).clamp(0, height as i64 - 1) as usize;
            let weight = weight / total;
            let (from, into) = (at * width, y * width);
            for x in 0..width {
                light[into + x] += weight * out[from + x];
            }
        }
    }
}

/// Each vertex moved to the inside (left of the way) along the mean normal of its two sides.
fn inset_by(points: &[Point], inset: f64) -> Vec<Point> {
    let count = points.len();
    (0..count)
        .map(|index| {
            let (before, here, after) =
                (points[(index + count - 1) % count], points[index], points[(index + 1) % count]);
            let normal = |a: Point, b: Point| {
                let along = b - a;
                let length = along.hypot().max(1e-12);
                (-along.y / length, along.x / length)
            };
            let (a, b) = (normal(before, here), normal(here, after));
            let (nx, ny) = (a.0 + b.0, a.1 + b.1);
            // mitred, but never further than twice the inset
            let scale = 2.0 * inset / (nx * nx + ny * ny).max(1.0);
            Point::new(here.x + nx * scale, here.y + ny * scale)
        })
        .collect()
}

/// Points of a closed outline, without the repeated last one, counter-clockwise or clockwise as asked.
pub fn points(outline: &Outline, anticlockwise: bool) -> Vec<Point> {
    let turned = if (outline.area() > 0.0) == anticlockwise { outline.clone() } else { outline.reversed() };
    let mut points = turned.flatten(1e-5);
    points.dedup_by(|a, b| (*a - *b).hypot() < 1e-9);
    if points.len() > 1 && (points[0] - points[points.len() - 1]).hypot() < 1e-9 {
        points.pop();
    }
    points
}

pub fn disc(centre: Point, radius: f64) -> Vec<Point> {
    points(&Outline::circle(centre, radius), true)
}

pub fn hole(centre: Point, radius: f64) -> Vec<Point> {
    points(&Outline::circle(centre, radius), false)
}

pub fn turned(points: &[Point], angle: f64, to: Point) -> Vec<Point> {
    let (sin, cos) = angle.sin_cos();
    points.iter().map(|p| Point::new(to.x + p.x * cos - p.y * sin, to.y + p.x * sin + p.y * cos)).collect()
}

/// SplitMix64 (Steele, Lea and Flood 2014).
#[derive(Clone, Debug)]
pub struct Random(pub u64);

impl Random {
    pub fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ z >> 30).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ z >> 27).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ z >> 31
    }

    pub fn unit(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1u64 << 53) as f64
    }

    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    pub fn normal(&mut self) -> f64 {
        (-2.0 * (1.0 - self.unit()).ln()).sqrt() * (TAU * self.unit()).cos()
    }
}

/// One full circle, for tests that need the number.
pub const HALF_TURN: f64 = PI;
