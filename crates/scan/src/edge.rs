//! Borders moved to the exact edge: at each row or column that a border crosses, the blurred step is fitted to the pixels
//! as they are, so that no interpolation smears their noise.

use rayon::prelude::*;

use crate::border::{Border, Crack};
use crate::ground::{BLOCK, Ground, median};
use crate::picture::Picture;
use crate::step;

/// A point on an edge, in pixels from the picture's upper left corner.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EdgePoint {
    pub x: f64,
    pub y: f64,
    /// Unit normal, from the part to the ground.
    pub nx: f64,
    pub ny: f64,
    /// Standard uncertainty along the normal.
    pub sigma: f64,
}

/// A closed line of edge points, the part to the right as it is run through.
#[derive(Clone, Debug, PartialEq)]
pub struct Contour {
    pub points: Vec<EdgePoint>,
    /// Enclosed pixels; negative for a hole.
    pub area: f64,
    pub cut_off: bool,
}

/// What the edges of a picture are like.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sharpness {
    /// Standard deviation of the blur across an edge, in pixels, the sensor's own square counted in.
    pub blur: f64,
    /// Standard deviation of a pixel's noise, in greys.
    pub noise: f64,
    /// Greys between ground and part.
    pub contrast: f64,
}

impl Sharpness {
    /// By how much blur draws a curved edge towards its middle of curvature: s²/(2R), and a little more because rows
    /// cross it aslant. Pixels.
    pub fn bend(&self, radius: f64) -> f64 {
        if radius > 0.0 { 1.07 * self.blur * self.blur / (2.0 * radius) } else { 0.0 }
    }
}

/// Edges looked at for blur and noise.
const SAMPLE: usize = 400;

/// Cracks on each side of one that tell which way the border runs.
/// An even number in all: of a staircase at 45° the treads and the risers then count alike.
const ALONG: usize = 6;

/// How far on each side of a border, in pixels, a sharper step is looked for: a chamfer of half a millimetre at 600 to the inch.
const DEEP: i32 = 14;

/// A step is sharp that rises by this part of the contrast within the blur.
const SHARP: f64 = 0.12;

/// The sharpest edge: a pixel's own square, 1/√12, and hardly any lens.
const LEAST_BLUR: f64 = 0.29;
const MOST_BLUR: f64 = 6.0;

/// Rounding to whole greys: 1/√12.
const LEAST_NOISE: f64 = 0.29;

/// Fitted points are correlated a little and the step's shape is never quite right; measured on rendered scans.
const SHAPE_ERROR: f64 = 0.01;

pub fn edges(picture: &Picture, ground: &Ground, borders: &[Border]) -> Option<(Vec<Contour>, Sharpness)> {
    let sharpness = sharpness(picture, ground, borders)?;
    let contours = borders
        .iter()
        .map(|border| {
            let count = border.cracks.len();
            let points = (0..count)
                .into_par_iter()
                .with_min_len(512)
                .filter_map(|index| {
                    let crossing = Crossing::at(picture, ground, &border.cracks, index, sharpness.blur)?;
                    crossing.point(&sharpness)
                })
                .collect();
            Contour { points, area: border.area, cut_off: border.cut_off }
        })
        .collect();
    Some((contours, sharpness))
}

/// Blur and noise from edges all over the picture.
fn sharpness(picture: &Picture, ground: &Ground, borders: &[Border]) -> Option<Sharpness> {
    let all: usize = borders.iter().map(|border| border.cracks.len()).sum();
    let every = (all / SAMPLE).max(1);
    let places: Vec<(usize, usize)> = borders
        .iter()
        .enumerate()
        .flat_map(|(index, border)| (0..border.cracks.len()).step_by(every).map(move |crack| (index, crack)))
        .collect();
    let ground_noise = noise_of(picture, ground);
    let first = Sharpness { blur: 1.6, noise: ground_noise, contrast: ground.contrast };
    let crossings: Vec<Crossing> = places
        .par_iter()
        .filter_map(|&(border, crack)| Crossing::at(picture, ground, &borders[border].cracks, crack, 1.6))
        .collect();
    let fits = best_blurs(&crossings, |crossing, blur| {
        let (from, samples, begin) = crossing.near(crossing.start, 0);
        if crossing.slopes(crossing.start, 1.6, &first) {
            let (_, longer, begin) = crossing.sloped(from, samples.len(), begin);
            return step::one_on_slope(longer, begin, blur);
        }
        step::one(samples, begin, blur)
    });
    let fair = |fit: &&(f64, step::Step)| fit.1.rest <= 1.4 * ground_noise + 0.01 * fit.1.height;
    let mut plain: Vec<(f64, step::Step)> = fits.iter().filter(fair).copied().collect();
    if plain.len() * 5 < fits.len() {
        // hardly an edge is a plain step: chamfered all round, or under a shadow
        let every = (crossings.len() / 100).max(1);
        let some: Vec<Crossing> = crossings.into_iter().step_by(every).collect();
        let two = best_blurs(&some, |crossing, blur| {
            let (_, samples, begin) = crossing.near(crossing.start - 1.0, DEEP as usize);
            step::first_of_two(samples, begin, blur)
        });
        plain = two.iter().filter(fair).copied().collect();
    }
    if plain.len() < 12 {
        plain = fits;
    }
    if plain.len() < 12 {
        return None;
    }
    let of = |pick: fn(&(f64, step::Step)) -> f64| plain.iter().map(pick).collect::<Vec<f64>>();
    Some(Sharpness {
        blur: median(&mut of(|fit| fit.0)).clamp(LEAST_BLUR, MOST_BLUR),
        noise: median(&mut of(|fit| fit.1.rest)).max(LEAST_NOISE),
        contrast: ground.contrast,
    })
}

/// For each crossing the blur that leaves least, and that fit.
fn best_blurs(
    crossings: &[Crossing],
    fit: impl Fn(&Crossing, f64) -> Option<step::Step> + Sync,
) -> Vec<(f64, step::Step)> {
    crossings
        .par_iter()
        .filter_map(|crossing| {
            let rest = |blur: f64| fit(crossing, blur / crossing.slant).map_or(f64::INFINITY, |fit| fit.rest);
            // the rest has one valley in the blur: a search by thirds of its logarithm
            let (mut low, mut high) = (LEAST_BLUR.ln(), MOST_BLUR.ln());
            for _ in 0..10 {
                let (a, b) = (low + (high - low) / 3.0, high - (high - low) / 3.0);
                if rest(a.exp()) <= rest(b.exp()) { high = b } else { low = a }
            }
            let blur = (0.5 * (low + high)).exp();
            Some((blur, fit(crossing, blur / crossing.slant)?))
        })
        .collect()
}

/// Noise of the ground: half the variance of the difference of neighbours, in blocks that are flat.
fn noise_of(picture: &Picture, ground: &Ground) -> f64 {
    let every = (ground.blocks.len() / 4000).max(1);
    let mut variances: Vec<f64> = (0..ground.blocks.len())
        .step_by(every)
        .filter(|&index| ground.whole_block(index) == Some(false))
        .filter_map(|index| {
            let (x, y) = (index % ground.across * BLOCK, index / ground.across * BLOCK);
            let rows = y..(y + BLOCK).min(picture.height());
            let (mut sum, mut count) = (0.0, 0.0);
            for row in rows {
                let pixels = &picture.row(row)[x..(x + BLOCK).min(picture.width())];
                for pair in pixels.windows(2) {
                    sum += (f64::from(pair[1]) - f64::from(pair[0])).powi(2);
                    count += 1.0;
                }
            }
            (count > 0.0).then(|| 0.5 * sum / count)
        })
        .collect();
    let middle = median(&mut variances);
    if middle.is_finite() { middle.sqrt().max(LEAST_NOISE) } else { LEAST_NOISE }
}

/// A row or column of pixels across an edge, from the ground to the part.
struct Crossing {
    /// Greys, rising towards the part whatever its side.
    samples: Vec<f64>,
    /// How many on each side of it are used for a plain step.
    reach: usize,
    /// Where the border crosses, in samples.
    start: f64,
    /// The cosine between the row and the edge's normal.
    slant: f64,
    /// From a sample's number to the picture: the first sample's centre, and the step.
    origin: (f64, f64),
    way: (f64, f64),
    normal: (f64, f64),
}

impl Crossing {
    fn at(picture: &Picture, ground: &Ground, cracks: &[Crack], index: usize, blur: f64) -> Option<Crossing> {
        let crack = cracks[index];
        let count = cracks.len();
        let (before, after) = (cracks[(index + count - ALONG % count) % count], cracks[(index + ALONG) % count]);
        let (tx, ty) = (f64::from(after.x) - f64::from(before.x), f64::from(after.y) - f64::from(before.y));
        let length = tx.hypot(ty);
        if length < 1.0 {
            return None;
        }
        // the part lies to the right, so the ground to the left of the way
        let normal = (ty / length, -tx / length);
        let upright = crack.way % 2 == 1;
        let slant = if upright { normal.0.abs() } else { normal.1.abs() };
        // each edge is fitted across rows or columns, whichever cross it more squarely
        let other = if upright { normal.1.abs() } else { normal.0.abs() };
        // near 45° rather twice than not at all: the way is only known roughly
        if upright && slant < 0.95 * other || !upright && slant <= other {
            return None;
        }
        let (x, y) = (i32::from(crack.x), i32::from(crack.y));
        // the first pixel of the part, and the way into it
        let (px, py, dx, dy) = match crack.way {
            0 => (x, y, 0, 1),
            1 => (x - 1, y, -1, 0),
            2 => (x - 1, y - 1, 0, -1),
            _ => (x, y - 1, 1, 0),
        };
        let reach = (2.7 * blur / slant + 1.5).ceil() as i32;
        let inside = |step: i32| ground.inside(picture, px + dx * step, py + dy * step);
        let there = |step: i32| {
            let (x, y) = (px + dx * step, py + dy * step);
            x >= 0 && y >= 0 && (x as usize) < picture.width() && (y as usize) < picture.height()
        };
        // stop two pixels short of the next edge
        let free = |way: i32, most: i32, side: bool| {
            let mut steps = 0;
            while steps < most {
                let step = if way > 0 { steps } else { -1 - steps };
                if !there(step) {
                    return steps;
                }
                if inside(step) != side {
                    return (steps - 2).max(1);
                }
                steps += 1;
            }
            steps
        };
        let out = free(-1, reach + DEEP, false);
        let deep = free(1, reach + 2 * DEEP, true);
        if out < 2 || deep < 2 {
            return None;
        }
        let sign = if ground.light { 1.0 } else { -1.0 };
        let samples = (-out..deep)
            .map(|step| sign * f64::from(picture.at((px + dx * step) as usize, (py + dy * step) as usize)))
            .collect();
        let first = (f64::from(px - dx * out) + 0.5, f64::from(py - dy * out) + 0.5);
        Some(Crossing {
            samples,
            reach: reach as usize,
            start: f64::from(out) - 0.5,
            slant,
            origin: first,
            way: (f64::from(dx), f64::from(dy)),
            normal,
        })
    }

    /// The samples near a place, and the place among them.
    fn near(&self, start: f64, beyond: usize) -> (usize, &[f64], f64) {
        let middle = (start + 0.5) as usize;
        let from = middle.saturating_sub(self.reach);
        let to = (middle + self.reach + beyond).min(self.samples.len());
        (from, &self.samples[from..to], start - from as f64)
    }

    /// Where the outermost sharp step is. The border lies at a fixed grey: inside the rim of a chamfer, or out in a shadow.
    fn sharp(&self, sharpness: &Sharpness) -> Option<f64> {
        let width = (2.5 * sharpness.blur / self.slant).ceil() as usize;
        let least = (SHARP * sharpness.contrast).max(6.0 * sharpness.noise);
        let samples = &self.samples;
        let rise = |at: usize| samples[at + width] - samples[at];
        let last = samples.len().checked_sub(width + 1)?;
        let here = (self.start + 0.5) as usize;
        let mut at = 0;
        while at <= last {
            let own = rise(at);
            if own < least {
                at += 1;
                continue;
            }
            // up to the steepest place of this step
            while at < last && rise(at + 1) > rise(at) {
                at += 1;
            }
            let middle = at as f64 + 0.5 * width as f64;
            let stays = (at + width..here).all(|next| samples[next] > samples[at] + 0.5 * rise(at));
            if stays {
                return Some(middle);
            }
            while at < last && rise(at) >= least {
                at += 1;
            }
            at += 1;
        }
        None
    }

    /// A little more of the ground, to tell its slope by; not so much that its bend matters.
    fn sloped(&self, from: usize, count: usize, begin: f64) -> (usize, &[f64], f64) {
        let back = from.min(4);
        (from - back, &self.samples[from - back..from + count], begin + back as f64)
    }

    /// The ground before the step grows lighter or darker, as it does under the shadow of a lid.
    fn slopes(&self, start: f64, blur: f64, sharpness: &Sharpness) -> bool {
        let to = (start - 3.2 * blur).max(0.0) as usize;
        let from = to.saturating_sub(DEEP as usize - 2);
        let count = (to - from) as f64;
        if count < 6.0 {
            return false;
        }
        let middle = 0.5 * (count - 1.0);
        let rise: f64 =
            self.samples[from..to].iter().enumerate().map(|(at, sample)| (at as f64 - middle) * sample).sum();
        let square = count * (count * count - 1.0) / 12.0;
        let slope = (rise / square).abs();
        slope > (4.0 * sharpness.noise / square.sqrt()).max(0.003 * sharpness.contrast)
    }

    fn point(&self, sharpness: &Sharpness) -> Option<EdgePoint> {
        let blur = sharpness.blur / self.slant;
        let start = self.sharp(sharpness).unwrap_or(self.start);
        let (from, samples, begin) = self.near(start, 0);
        let fair = |rest: f64, height: f64| rest <= 1.7 * sharpness.noise + 0.012 * height;
        let sloping = self.slopes(start, blur, sharpness);
        let mut best = match sloping {
            true => None,
            false => step::one(samples, begin, blur),
        };
        let (from, begin) = if sloping {
            let (back, longer, begin) = self.sloped(from, samples.len(), begin);
            best = step::one_on_slope(longer, begin, blur);
            (back, begin)
        } else {
            (from, begin)
        };
        if !sloping && !best.is_some_and(|fit| fair(fit.rest, fit.height)) {
            let (_, longer, _) = self.near(start, DEEP as usize);
            if let Some(other) = step::first_of_two(longer, begin, blur) {
                let enough = other.height > 0.08 * sharpness.contrast && other.height > 4.0 * sharpness.noise;
                let better = best.is_none_or(|best| other.rest < 0.75 * best.rest);
                if enough && better && (other.at - begin).abs() < 4.0 + blur {
                    best = Some(other);
                }
            }
        }
        let fit = best?;
        if (fit.at - begin).abs() > 4.0 + blur || fit.height < 0.08 * sharpness.contrast {
            return None;
        }
        let noise = if fair(fit.rest, fit.height) { sharpness.noise } else { fit.rest };
        let sigma = (noise * fit.per_noise * self.slant).hypot(SHAPE_ERROR);
        let at = from as f64 + fit.at;
        Some(EdgePoint {
            x: self.origin.0 + self.way.0 * at,
            y: self.origin.1 + self.way.1 * at,
            nx: self.normal.0,
            ny: self.normal.1,
            sigma,
        })
    }
}
