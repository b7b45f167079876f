//! Teeth as a comb: a boundary that rises above a circle and falls below it again at even angles.

use std::f64::consts::{PI, TAU};

use crate::circle::{self, Spot};
use crate::ground::median;
use crate::place::Place;

/// A run of even teeth round a centre.
#[derive(Clone, Debug)]
pub struct Comb {
    pub x: f64,
    pub y: f64,
    /// Angle of one pitch and of the middle of tooth 0.
    pub pitch: f64,
    pub phase: f64,
    /// Standard uncertainty of the pitch.
    pub sigma_pitch: f64,
    /// Radii that most teeth reach out and spaces reach in to.
    pub tip: f64,
    pub root: f64,
    /// Numbers of the teeth that fit the comb.
    pub teeth: Vec<i32>,
    pub score: f64,
    /// The boundary goes once round the centre and stays between roots and tips.
    pub whole: bool,
}

/// Fewer make no comb: three lobes stand evenly on many a casting.
const FEWEST: usize = 4;

/// A tooth belongs to the comb that stands within this part of a pitch of its place.
const NEAR: f64 = 0.15;

/// Points of the boundary that are looked at; a tooth of two hundred has twenty.
const ENOUGH: usize = 8000;

/// Circles tried as the level that teeth rise above.
const LEVELS: usize = 110;

/// The best comb round any of these centres; the boundary counter-clockwise.
pub fn find(boundary: &[Place], centres: &[(f64, f64)]) -> Option<Comb> {
    let every = boundary.len().div_ceil(ENOUGH).max(1);
    let thinned: Vec<Place> = boundary.iter().step_by(every).copied().collect();
    let mut best: Option<Comb> = None;
    for &(x, y) in centres {
        if let Some(comb) = round(&thinned, x, y)
            // the first centres are the likelier ones
            && best.as_ref().is_none_or(|best| comb.score > 1.05 * best.score)
        {
            best = Some(comb);
        }
    }
    best
}

/// The middle of the circle that most of the boundary's outermost points lie on.
pub fn outer_centre(boundary: &[Place]) -> Option<(f64, f64)> {
    let hull = hull(boundary);
    // resampled, so that long straight edges do not count by their two ends
    let spots: Vec<Spot> = hull.iter().map(|&(x, y)| Spot { x, y, sigma: 0.05 }).collect();
    let round = circle::circle(&spots)?;
    (round.share > 0.4).then_some((round.x, round.y))
}

/// Convex hull, counter-clockwise (Andrew's monotone chain).
fn hull(points: &[Place]) -> Vec<(f64, f64)> {
    let mut sorted: Vec<(f64, f64)> = points.iter().map(|place| (place.x, place.y)).collect();
    sorted.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let half = |points: &mut dyn Iterator<Item = (f64, f64)>| {
        let mut out: Vec<(f64, f64)> = Vec::new();
        for p in points {
            while let [.., a, b] = out.as_slice() {
                if (b.0 - a.0) * (p.1 - a.1) - (b.1 - a.1) * (p.0 - a.0) > 0.0 {
                    break;
                }
                out.pop();
            }
            out.push(p);
        }
        out.pop();
        out
    };
    let mut out = half(&mut sorted.iter().copied());
    out.extend(half(&mut sorted.iter().rev().copied()));
    out
}

fn round(boundary: &[Place], x: f64, y: f64) -> Option<Comb> {
    let radii: Vec<f64> = boundary.iter().map(|place| (place.x - x).hypot(place.y - y)).collect();
    let mut turned = Vec::with_capacity(boundary.len());
    let mut last = None;
    for place in boundary {
        let angle = (place.y - y).atan2(place.x - x);
        let unwrapped = match last {
            None => angle,
            Some(before) => before + wrapped(angle - before),
        };
        last = Some(unwrapped);
        turned.push(unwrapped);
    }
    let first = *turned.first()?;
    let closing = wrapped(first - last?);
    let encloses = ((last? + closing - first) / TAU).round() as i32 == 1;
    let most = radii.iter().copied().fold(0.0, f64::max);
    let levels = (0..LEVELS).map(|level| most * (0.3 + 0.695 * level as f64 / (LEVELS - 1) as f64));
    let best =
        levels.filter_map(|level| Found::at(&radii, &turned, level)).max_by(|a, b| a.score.total_cmp(&b.score))?;
    let (tip, root) = best.depths(&radii, &turned)?;
    let height = tip - root;
    let between = |radius: &&f64| **radius > root - 0.4 * height && **radius < tip + 0.2 * height;
    let inside = radii.iter().filter(between).count();
    Some(Comb {
        x,
        y,
        pitch: best.pitch,
        phase: best.phase,
        sigma_pitch: best.sigma_pitch,
        tip,
        root,
        teeth: best.teeth.iter().map(|tooth| tooth.number).collect(),
        score: best.score,
        whole: encloses && inside as f64 > 0.97 * radii.len() as f64,
    })
}

pub fn wrapped(angle: f64) -> f64 {
    angle - TAU * (angle / TAU).round()
}

#[derive(Clone, Debug)]
struct Tooth {
    number: i32,
    middle: f64,
    width: f64,
    /// First and last point, as they lie in the boundary.
    points: (usize, usize),
}

#[derive(Clone, Debug)]
struct Found {
    teeth: Vec<Tooth>,
    pitch: f64,
    phase: f64,
    sigma_pitch: f64,
    score: f64,
}

impl Found {
    fn at(radii: &[f64], turned: &[f64], level: f64) -> Option<Found> {
        let count = radii.len();
        let start = radii.iter().position(|radius| *radius < level)?;
        let mut teeth: Vec<Tooth> = Vec::new();
        let mut up: Option<(usize, f64)> = None;
        // angles go on growing behind the start of the list
        let angle = |index: usize| turned[index % count] + if index >= count { turned_once(turned) } else { 0.0 };
        for index in start..start + count {
            let (a, b) = (radii[index % count], radii[(index + 1) % count]);
            if (a < level) == (b < level) {
                continue;
            }
            let part = (level - a) / (b - a);
            let crossing = angle(index) + part * (angle(index + 1) - angle(index));
            match (a < level, up.take()) {
                (true, _) => up = Some((index + 1, crossing)),
                (false, Some((from, angle))) if crossing > angle => teeth.push(Tooth {
                    number: 0,
                    middle: 0.5 * (angle + crossing),
                    width: crossing - angle,
                    points: (from, index),
                }),
                (false, _) => {}
            }
        }
        if teeth.len() < FEWEST {
            return None;
        }
        begin_behind_gap(&mut teeth, turned_once(turned));
        let mut widths: Vec<f64> = teeth.iter().map(|tooth| tooth.width).collect();
        let usual = median(&mut widths);
        teeth.retain(|tooth| (0.45 * usual..1.8 * usual).contains(&tooth.width));
        let mut steps: Vec<f64> = teeth.windows(2).map(|pair| pair[1].middle - pair[0].middle).collect();
        steps.retain(|step| *step > 0.0);
        if steps.len() + 1 < FEWEST {
            return None;
        }
        // broken teeth make some steps longer and none shorter
        let mut pitch = {
            let place = steps.len() * 2 / 5;
            *steps.select_nth_unstable_by(place, f64::total_cmp).1
        };
        if !(0.001..2.0 * PI / 3.0).contains(&pitch) || usual > 0.95 * pitch {
            return None;
        }
        let mut number = 0;
        let middles: Vec<f64> = teeth.iter().map(|tooth| tooth.middle).collect();
        for (index, tooth) in teeth.iter_mut().enumerate() {
            if index > 0 {
                number += ((middles[index] - middles[index - 1]) / pitch).round().clamp(0.0, 1e6) as i32;
            }
            tooth.number = number;
        }
        let mut phase = middles[0];
        let mut rest = 0.0;
        let mut spread = 1.0;
        for _ in 0..6 {
            let mut normal = crate::solve::Normal::<2>::default();
            let mut on = 0.0;
            rest = 0.0;
            for tooth in &teeth {
                let off = tooth.middle - phase - pitch * f64::from(tooth.number);
                if on == 0.0 && rest == 0.0 || off.abs() < 2.0 * NEAR * pitch {
                    normal.add([1.0, f64::from(tooth.number)], off, 1.0);
                    on += 1.0;
                    rest += off * off;
                }
            }
            let [shift, stretch] = normal.solve()?;
            phase += shift;
            pitch += stretch;
            spread = normal.inverse()?[1][1].sqrt();
            rest = (rest / on).sqrt();
        }
        let off = |tooth: &Tooth| (tooth.middle - phase - pitch * f64::from(tooth.number)).abs() / pitch;
        let all = teeth.len();
        teeth.retain(|tooth| off(tooth) < NEAR);
        teeth.dedup_by_key(|tooth| tooth.number);
        if teeth.len() < FEWEST {
            return None;
        }
        let strays = (all - teeth.len()) as f64;
        let rms = (teeth.iter().map(|tooth| off(tooth).powi(2)).sum::<f64>() / teeth.len() as f64).sqrt();
        let score = teeth.len() as f64 * (1.0 - rms / NEAR).max(0.0).powi(2) - 0.5 * strays;
        (score > 2.0).then_some(Found { teeth, pitch, phase, sigma_pitch: rest * spread, score })
    }

    /// Where most teeth end and most spaces begin.
    fn depths(&self, radii: &[f64], _turned: &[f64]) -> Option<(f64, f64)> {
        let count = radii.len();
        let range = |from: usize, to: usize| (from..=to).map(|index| radii[index % count]);
        let mut tips: Vec<f64> =
            self.teeth.iter().map(|tooth| range(tooth.points.0, tooth.points.1).fold(0.0, f64::max)).collect();
        let mut roots: Vec<f64> = self
            .teeth
            .windows(2)
            .filter(|pair| pair[1].number == pair[0].number + 1)
            .map(|pair| range(pair[0].points.1, pair[1].points.0).fold(f64::INFINITY, f64::min))
            .collect();
        if roots.is_empty() {
            return None;
        }
        Some((median(&mut tips), median(&mut roots)))
    }
}

/// The boundary may have been begun among the teeth: begin behind the widest gap instead.
fn begin_behind_gap(teeth: &mut [Tooth], once: f64) {
    if (once - TAU).abs() > 0.1 {
        return;
    }
    let count = teeth.len();
    let gap = |index: usize| match index {
        0 => teeth[0].middle + TAU - teeth[count - 1].middle,
        _ => teeth[index].middle - teeth[index - 1].middle,
    };
    let Some(first) = (0..count).max_by(|a, b| gap(*a).total_cmp(&gap(*b))) else { return };
    for tooth in &mut teeth[..first] {
        tooth.middle += TAU;
    }
    teeth.rotate_left(first);
}

/// How far the whole boundary turns: once, or not at all where the centre lies outside.
fn turned_once(turned: &[f64]) -> f64 {
    let (Some(first), Some(last)) = (turned.first(), turned.last()) else { return 0.0 };
    let closing = wrapped(first - last);
    last + closing - first
}
