//! Circles and upright ellipses through edge points: geometric distances, weighted, with outliers left out.

use std::f64::consts::TAU;

use crate::solve::Normal;

/// A point with its standard uncertainty, in any one unit of length.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spot {
    pub x: f64,
    pub y: f64,
    pub sigma: f64,
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Round {
    pub x: f64,
    pub y: f64,
    pub radius: f64,
    /// Standard uncertainty of the centre along each axis, and of the radius.
    pub sigma_centre: f64,
    pub sigma_radius: f64,
    /// Largest less smallest radius, both smoothed over a tenth of a turn.
    pub roundness: f64,
    /// The part of the points that lie on it.
    pub share: f64,
    /// Standard deviation of those points from it.
    pub rest: f64,
}

/// Triples of points tried for the first circle. Half of the points may be on something else: twenty triples would miss a
/// good one in 7 of 100 tries, eighty in one of 20,000.
const TRIPLES: usize = 80;

/// In standard deviations; Tukey's weight is nothing beyond (95 % efficient for normal errors).
const TUKEY: f64 = 4.685;
pub const CUT: f64 = TUKEY;

pub fn circle(spots: &[Spot]) -> Option<Round> {
    let mut fit = first_circle(spots)?;
    let mut scale = spread(spots, &fit);
    let mut normal = Normal::<3>::default();
    for _ in 0..12 {
        normal = Normal::default();
        for spot in spots {
            let (dx, dy) = (spot.x - fit.0, spot.y - fit.1);
            let distance = dx.hypot(dy);
            if distance == 0.0 {
                continue;
            }
            let off = distance - fit.2;
            let weight = tukey(off / (scale * spot.sigma)) / (spot.sigma * spot.sigma);
            normal.add([dx / distance, dy / distance, 1.0], off, weight);
        }
        let [dx, dy, dr] = normal.solve()?;
        fit = (fit.0 + dx, fit.1 + dy, fit.2 + dr);
        scale = spread(spots, &fit);
        if dx.abs().max(dy.abs()).max(dr.abs()) < 1e-7 * fit.2 {
            break;
        }
    }
    if fit.2 <= 0.0 || !(fit.0 + fit.1 + fit.2).is_finite() {
        return None;
    }
    let covariance = normal.inverse()?;
    let mut on = 0usize;
    let mut rest = 0.0;
    for spot in spots {
        let off = (spot.x - fit.0).hypot(spot.y - fit.1) - fit.2;
        if (off / (scale * spot.sigma)).abs() < TUKEY {
            on += 1;
            rest += off * off;
        }
    }
    let (x, y, radius) = fit;
    Some(Round {
        x,
        y,
        radius,
        sigma_centre: scale * covariance[0][0].max(covariance[1][1]).sqrt(),
        sigma_radius: scale * covariance[2][2].sqrt(),
        roundness: roundness(spots, fit, scale),
        share: on as f64 / spots.len() as f64,
        rest: (rest / on.max(1) as f64).sqrt(),
    })
}

/// Half axes along x and y of an upright ellipse, as the mean radius and the logarithm of their ratio with its uncertainty.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Oval {
    pub radius: f64,
    /// ln(half axis along x / half axis along y).
    pub stretch: f64,
    pub sigma_radius: f64,
    pub sigma_stretch: f64,
}

/// An upright ellipse, nearly round, through points of which some may stray.
pub fn oval(spots: &[Spot], round: &Round) -> Option<Oval> {
    let (mut x, mut y, mut radius, mut stretch) = (round.x, round.y, round.radius, 0.0f64);
    let mut scale = 1.0;
    let mut normal = Normal::<4>::default();
    for _ in 0..12 {
        let off = |spot: &Spot| {
            let (dx, dy) = ((spot.x - x) * (-0.5 * stretch).exp(), (spot.y - y) * (0.5 * stretch).exp());
            (dx, dy, dx.hypot(dy) - radius)
        };
        let mut sizes: Vec<f64> = spots.iter().map(|spot| off(spot).2.abs() / spot.sigma).collect();
        scale = (1.4826 * crate::ground::median(&mut sizes)).max(1.0);
        normal = Normal::default();
        for spot in spots {
            let (dx, dy, off) = off(spot);
            let distance = dx.hypot(dy).max(1e-12);
            let (c, s) = (dx / distance, dy / distance);
            let weight = tukey(off / (scale * spot.sigma)) / (spot.sigma * spot.sigma);
            normal.add([c, s, 1.0, 0.5 * radius * (c * c - s * s)], off, weight);
        }
        let step = normal.solve()?;
        x += step[0];
        y += step[1];
        radius += step[2];
        stretch += step[3];
        if step[2].abs() < 1e-8 * radius && step[3].abs() < 1e-9 {
            break;
        }
    }
    let covariance = normal.inverse()?;
    Some(Oval {
        radius,
        stretch,
        sigma_radius: scale * covariance[2][2].sqrt(),
        sigma_stretch: scale * covariance[3][3].sqrt(),
    })
}

fn first_circle(spots: &[Spot]) -> Option<(f64, f64, f64)> {
    let count = spots.len();
    if count < 8 {
        return None;
    }
    let every = (count / 200).max(1);
    let mut best: Option<(f64, (f64, f64, f64))> = None;
    // the same triples every time: steps by the golden ratio reach all round
    let mut turn = 0.0f64;
    for _ in 0..TRIPLES {
        turn = (turn + 0.618_033_988_749_895).fract();
        let spread = 0.18 + 0.15 * (turn * 7.0).fract();
        let pick = |part: f64| spots[((turn + part).fract() * count as f64) as usize % count];
        let Some(circle) = through(pick(0.0), pick(spread), pick(2.0 * spread)) else { continue };
        let mut sizes: Vec<f64> = spots
            .iter()
            .step_by(every)
            .map(|spot| ((spot.x - circle.0).hypot(spot.y - circle.1) - circle.2).abs())
            .collect();
        let middle = crate::ground::median(&mut sizes);
        if best.is_none_or(|(least, _)| middle < least) {
            best = Some((middle, circle));
        }
    }
    best.map(|(_, circle)| circle)
}

/// The circle through three points.
pub fn through(a: Spot, b: Spot, c: Spot) -> Option<(f64, f64, f64)> {
    let (bx, by, cx, cy) = (b.x - a.x, b.y - a.y, c.x - a.x, c.y - a.y);
    let cross = 2.0 * (bx * cy - by * cx);
    let (bb, cc) = (bx * bx + by * by, cx * cx + cy * cy);
    if cross.abs() < 1e-9 * (bb + cc) {
        return None;
    }
    let (x, y) = ((cy * bb - by * cc) / cross, (bx * cc - cx * bb) / cross);
    Some((a.x + x, a.y + y, x.hypot(y)))
}

/// By how much the points spread more than they say, never less than they say.
fn spread(spots: &[Spot], fit: &(f64, f64, f64)) -> f64 {
    let mut sizes: Vec<f64> =
        spots.iter().map(|spot| ((spot.x - fit.0).hypot(spot.y - fit.1) - fit.2).abs() / spot.sigma).collect();
    (1.4826 * crate::ground::median(&mut sizes)).max(1.0)
}

pub fn tukey(off: f64) -> f64 {
    let part = off / TUKEY;
    if part.abs() < 1.0 { (1.0 - part * part).powi(2) } else { 0.0 }
}

fn roundness(spots: &[Spot], fit: (f64, f64, f64), scale: f64) -> f64 {
    const PARTS: usize = 36;
    let mut sums = [(0.0, 0usize); PARTS];
    for spot in spots {
        let (dx, dy) = (spot.x - fit.0, spot.y - fit.1);
        let off = dx.hypot(dy) - fit.2;
        if (off / (scale * spot.sigma)).abs() < TUKEY {
            let part = (dy.atan2(dx) / TAU).rem_euclid(1.0) * PARTS as f64;
            let sum = &mut sums[(part as usize).min(PARTS - 1)];
            sum.0 += off;
            sum.1 += 1;
        }
    }
    let (mut least, mut most) = (f64::INFINITY, f64::NEG_INFINITY);
    for at in 0..PARTS {
        let (sum, count) = (0..4).fold((0.0, 0), |(sum, count), next| {
            let other = sums[(at + next) % PARTS];
            (sum + other.0, count + other.1)
        });
        if count > 3 {
            least = f64::min(least, sum / count as f64);
            most = f64::max(most, sum / count as f64);
        }
    }
    (most - least).max(0.0)
}
