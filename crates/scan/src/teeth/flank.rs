//! Both flanks of all teeth fitted together as involutes of one base circle.
//!
//! Round the centre a flank point at radius r stands at the angle θ_k ± (ψ_b − inv α), cos α = r_b/r (ISO 21771:2007). Turning an
//! involute about the base circle's centre moves it along its own normals by r_b to the radian, so that
//! e = r_b (±(θ − θ_k) − ψ_b + inv α) is the normal distance itself, outward positive.

use std::f64::consts::TAU;

use geometry::involute::inv;

use super::comb::{Comb, wrapped};
use crate::circle::tukey;
use crate::ground::median;
use crate::place::Place;
use crate::solve::Normal;

/// What the flanks say.
#[derive(Clone, Copy, Debug)]
pub struct Flanks {
    pub teeth: u32,
    pub x: f64,
    pub y: f64,
    pub base_radius: f64,
    /// Half the angle of a tooth on the base circle.
    pub half_angle: f64,
    /// Angle of the middle of tooth 0, counter-clockwise from x.
    pub phase: f64,
    /// Half the square of the blur, in mm²: over the radius of curvature it is how far blur has drawn the flank inward.
    pub bend: f64,
    /// ln of the stretch along x against y that is left in the scale.
    pub stretch: f64,
    pub sigma: Sigmas,
    /// Standard deviation of the points on the flanks.
    pub rest: f64,
    /// Rms of the mean deviation at each height: what is not involute about all flanks together.
    pub form: f64,
    /// Points used.
    pub points: usize,
}

#[derive(Clone, Copy, Debug)]
pub struct Sigmas {
    pub centre: f64,
    pub base_radius: f64,
    pub half_angle: f64,
    pub phase: f64,
    pub stretch: f64,
}

/// What the scanner does to what it sees.
#[derive(Clone, Copy, Debug)]
pub struct Optics {
    /// See [`Flanks::bend`].
    pub bend: f64,
    /// Standard uncertainty of the logarithm of the axes' ratio.
    pub sigma_stretch: f64,
    /// Millimetres to a pixel.
    pub pixel: f64,
}

/// Where the centre is held and how firmly, in mm: teeth were cut concentric with their bore to within this, or the bore
/// has worn since. Common practice.
#[derive(Clone, Copy, Debug)]
pub struct Held {
    pub x: f64,
    pub y: f64,
    pub sigma: f64,
}

/// Flank points lie between these parts of the tooth's height above the root: clear of fillets below and rounded tips above.
const FROM: f64 = 0.36;
const TO: f64 = 0.86;

/// A flank point with the tooth and side it belongs to.
#[derive(Clone, Copy, Debug)]
pub struct OnFlank {
    pub tooth: i32,
    /// 1 where θ grows from the tooth's middle, −1 on the other side.
    pub side: f64,
    pub place: Place,
}

/// The tooth and side of a point, if it stands at the height of flanks.
pub fn on_flank(place: &Place, x: f64, y: f64, phase: f64, pitch: f64, radii: (f64, f64)) -> Option<OnFlank> {
    let (dx, dy) = (place.x - x, place.y - y);
    let radius = dx.hypot(dy);
    if !(radii.0..radii.1).contains(&radius) {
        return None;
    }
    let turn = wrapped(dy.atan2(dx) - phase) / pitch;
    let tooth = turn.round();
    let side = if turn >= tooth { 1.0 } else { -1.0 };
    Some(OnFlank { tooth: tooth as i32, side, place: *place })
}

impl Flanks {
    /// Distance of a point from its flank along the normal, and its derivatives by x, y of the centre and by r_b.
    fn deviation(&self, point: &OnFlank) -> Option<([f64; 6], f64)> {
        let (sx, sy) = ((-0.5 * self.stretch).exp(), (0.5 * self.stretch).exp());
        let (dx, dy) = ((point.place.x - self.x) * sx, (point.place.y - self.y) * sy);
        let radius = dx.hypot(dy);
        if radius < 1.0005 * self.base_radius {
            return None;
        }
        let angle = dy.atan2(dx);
        let turn = wrapped(angle - self.phase - TAU / f64::from(self.teeth) * f64::from(point.tooth));
        let cos = self.base_radius / radius;
        let alpha = cos.acos();
        let (sin, tan) = (alpha.sin(), alpha.tan());
        let turned = point.side * turn - self.half_angle + inv(alpha);
        let off = self.base_radius * turned + self.bend / (radius * sin);
        let (c, s) = (dx / radius, dy / radius);
        // the normal: sin α outward and ± cos α along the circle
        let (nx, ny) = (sin * c - point.side * cos * s, sin * s + point.side * cos * c);
        // by how much a growing value brings the model towards the point
        let row = [nx, ny, tan - turned, point.side * self.base_radius, self.base_radius, 0.5 * (nx * dx - ny * dy)];
        Some((row, off))
    }

    pub fn off(&self, point: &OnFlank) -> Option<f64> {
        self.deviation(point).map(|(_, off)| off)
    }

    /// Fits the involutes of a comb with this many teeth in the full circle.
    pub fn fit(boundary: &[Place], comb: &Comb, teeth: u32, held: Option<Held>, optics: &Optics) -> Option<Flanks> {
        let pitch = TAU / f64::from(teeth);
        let height = comb.tip - comb.root;
        let radii = (comb.root + FROM * height, comb.root + TO * height);
        let gather = |x: f64, y: f64, phase: f64| -> Vec<OnFlank> {
            boundary.iter().filter_map(|place| on_flank(place, x, y, phase, pitch, radii)).collect()
        };
        let mut points = gather(comb.x, comb.y, comb.phase);
        if comb.whole {
            for point in &mut points {
                point.tooth = point.tooth.rem_euclid(teeth as i32);
            }
        } else {
            let (least, most) = (*comb.teeth.iter().min()?, *comb.teeth.iter().max()?);
            points.retain(|point| (least..=most).contains(&point.tooth));
        }
        let mut flanks = start(&points, comb, teeth, radii, optics.bend)?;
        let mut scale = 1.0;
        let mut normal = Normal::<6>::default();
        for round in 0..25 {
            let mut sizes: Vec<f64> = points
                .iter()
                .filter_map(|point| Some((flanks.off(point)?.abs() / point.place.sigma).min(1e6)))
                .collect();
            if sizes.len() < 40 {
                return None;
            }
            // far off at first: nothing is left out before the flanks are nearly met
            let loose = if round < 4 { 4.0 } else { 1.0 };
            scale = loose * (1.4826 * median(&mut sizes)).max(1.0);
            normal = Normal::default();
            for point in &points {
                let Some((row, off)) = flanks.deviation(point) else { continue };
                let sigma = scale * point.place.sigma;
                normal.add(row, off, tukey(off / sigma) / (sigma * sigma));
            }
            hold(&mut normal, &flanks, held, optics.sigma_stretch, comb);
            let step = normal.solve()?;
            flanks.x += step[0];
            flanks.y += step[1];
            flanks.base_radius += step[2];
            flanks.phase += step[3];
            flanks.half_angle += step[4];
            flanks.stretch += step[5];
            let sound = flanks.base_radius > 0.3 * comb.root && flanks.base_radius < comb.tip;
            if !sound || !(0.0..pitch).contains(&flanks.half_angle) {
                return None;
            }
            if round > 5 && step[2].abs() < 1e-7 && step[3].abs() < 1e-9 && step[4].abs() < 1e-9 {
                break;
            }
        }
        flanks.sigma = sigmas(&flanks, &points, &normal, scale)?;
        (flanks.rest, flanks.form, flanks.points) = rests(&flanks, &points, scale, radii);
        Some(flanks)
    }
}

/// Priors as rows of their own.
fn hold(normal: &mut Normal<6>, flanks: &Flanks, held: Option<Held>, sigma_stretch: f64, comb: &Comb) {
    let unit = |index: usize| std::array::from_fn(|at| f64::from(u8::from(at == index)));
    // without a bore, hardly at all
    let held = held.unwrap_or(Held { x: comb.x, y: comb.y, sigma: 0.05 * comb.tip });
    let firm = 1.0 / (held.sigma * held.sigma);
    normal.add(unit(0), held.x - flanks.x, firm);
    normal.add(unit(1), held.y - flanks.y, firm);
    normal.add(unit(5), -flanks.stretch, 1.0 / (sigma_stretch * sigma_stretch));
}

/// From the slope of the half angle over the radius: dψ/dr = −tan α / r.
fn start(points: &[OnFlank], comb: &Comb, teeth: u32, radii: (f64, f64), bend: f64) -> Option<Flanks> {
    const BINS: usize = 8;
    let pitch = TAU / f64::from(teeth);
    let mut bins: Vec<Vec<f64>> = vec![Vec::new(); BINS];
    for point in points {
        let (dx, dy) = (point.place.x - comb.x, point.place.y - comb.y);
        let part = (dx.hypot(dy) - radii.0) / (radii.1 - radii.0);
        let turn = wrapped(dy.atan2(dx) - comb.phase - pitch * f64::from(point.tooth)).abs();
        bins[((part * BINS as f64) as usize).min(BINS - 1)].push(turn);
    }
    let mut normal = Normal::<2>::default();
    let middle = 0.5 * (radii.0 + radii.1);
    for (index, bin) in bins.iter_mut().enumerate() {
        if bin.len() >= 4 {
            let radius = radii.0 + (index as f64 + 0.5) / BINS as f64 * (radii.1 - radii.0);
            normal.add([1.0, radius - middle], median(bin), 1.0);
        }
    }
    let [half, slope] = normal.solve()?;
    let alpha = (-slope * middle).clamp(0.08, 0.9).atan();
    // the base circle below the flanks, or nothing could be an involute there
    let base_radius = (middle * alpha.cos()).min(0.995 * radii.0.max(0.9 * middle));
    let alpha = (base_radius / middle).acos();
    Some(Flanks {
        teeth,
        x: comb.x,
        y: comb.y,
        base_radius,
        half_angle: half + inv(alpha),
        phase: comb.phase,
        bend,
        stretch: 0.0,
        sigma: Sigmas { centre: 0.0, base_radius: 0.0, half_angle: 0.0, phase: 0.0, stretch: 0.0 },
        rest: 0.0,
        form: 0.0,
        points: 0,
    })
}

/// All flanks of a picture share errors of light and of the blur's shape, which no scatter shows; measured on rendered scans.
const SHARED: f64 = 1.15;

/// Standard uncertainties that allow for flanks that differ as wholes: the points of one flank are one witness
/// (cluster-robust covariance; Liang and Zeger 1986). Never less than the points' own noise gives.
fn sigmas(flanks: &Flanks, points: &[OnFlank], normal: &Normal<6>, scale: f64) -> Option<Sigmas> {
    let inverse = normal.inverse()?;
    let mut groups = std::collections::BTreeMap::<(i32, bool), [f64; 6]>::new();
    for point in points {
        let Some((row, off)) = flanks.deviation(point) else { continue };
        let sigma = scale * point.place.sigma;
        let weighted = off * tukey(off / sigma) / (sigma * sigma);
        let group = groups.entry((point.tooth, point.side > 0.0)).or_default();
        for (sum, value) in group.iter_mut().zip(row) {
            *sum += weighted * value;
        }
    }
    let count = groups.len() as f64;
    // few witnesses underrate their own spread
    let few = count / (count - 3.0).max(1.0);
    let sigma = |index: usize| {
        let robust: f64 = groups
            .values()
            .map(|group| group.iter().zip(inverse[index]).map(|(sum, part)| sum * part).sum::<f64>().powi(2))
            .sum();
        SHARED * (few * robust).max(inverse[index][index]).sqrt()
    };
    Some(Sigmas {
        centre: sigma(0).max(sigma(1)),
        base_radius: sigma(2),
        phase: sigma(3),
        half_angle: sigma(4),
        stretch: sigma(5),
    })
}

/// Spread of the points, and of their means at each height.
fn rests(flanks: &Flanks, points: &[OnFlank], scale: f64, radii: (f64, f64)) -> (f64, f64, usize) {
    const BINS: usize = 10;
    let (mut sum, mut count) = (0.0, 0);
    let mut bins = [(0.0, 0usize); BINS];
    for point in points {
        let Some(off) = flanks.off(point) else { continue };
        if (off / (scale * point.place.sigma)).abs() > crate::circle::CUT {
            continue;
        }
        sum += off * off;
        count += 1;
        let radius = (point.place.x - flanks.x).hypot(point.place.y - flanks.y);
        let part = (radius - radii.0) / (radii.1 - radii.0) * BINS as f64;
        let bin = &mut bins[(part.max(0.0) as usize).min(BINS - 1)];
        bin.0 += off;
        bin.1 += 1;
    }
    let means: Vec<f64> = bins.iter().filter(|bin| bin.1 > 5).map(|bin| bin.0 / bin.1 as f64).collect();
    let form = (means.iter().map(|mean| mean * mean).sum::<f64>() / means.len().max(1) as f64).sqrt();
    ((sum / f64::from(count.max(1))).sqrt(), form, count as usize)
}
