//! The rim of teeth: how many, where, which are broken, tips, roots, flanks, and each flank's wear.

mod comb;
mod flank;

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use geometry::involute::{inv, inverse_inv};

use crate::circle::tukey;
use crate::ground::median;
use crate::place::Place;
use crate::solve::Normal;

pub use comb::{Comb, wrapped};
pub use flank::{Flanks, Optics};
use flank::{Held, on_flank};

/// A number with its standard uncertainty.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Uncertain {
    pub value: f64,
    pub sigma: f64,
}

impl Uncertain {
    pub fn new(value: f64, sigma: f64) -> Uncertain {
        Uncertain { value, sigma }
    }

    #[must_use]
    pub fn times(self, factor: f64) -> Uncertain {
        Uncertain { value: self.value * factor, sigma: self.sigma * factor.abs() }
    }
}

/// Lengths in mm on the bed, angles in radians. The uncertainty of the scale is not in the sigmas.
#[derive(Clone, Debug)]
pub struct Rim {
    /// Teeth in the whole circle, and how sure that is.
    pub teeth: Uncertain,
    /// The teeth go all the way round.
    pub whole: bool,
    /// Each tooth place on the piece, in order counter-clockwise.
    pub slots: Vec<Slot>,
    pub x: f64,
    pub y: f64,
    pub sigma_centre: f64,
    /// How far the teeth's centre stands off the bore's; none where there is no bore.
    pub off_bore: Option<f64>,
    pub tip_radius: Uncertain,
    pub root_radius: Uncertain,
    /// Angle from tooth to tooth.
    pub pitch: f64,
    /// Angle of the middle of tooth 0, counter-clockwise from x.
    pub phase: Uncertain,
    pub flanks: Option<Flanks>,
    /// Why the teeth are not told as involute ones.
    pub not_involute: Option<String>,
}

/// One tooth place.
#[derive(Clone, Debug)]
pub struct Slot {
    pub number: i32,
    pub state: State,
    /// The flank on the clockwise side, then on the other.
    pub flanks: [Option<FlankState>; 2],
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum State {
    Whole,
    Broken,
    Missing,
}

/// Deviation of one flank from the mean flank along its normal, in mm, metal lost negative; by height from the root up.
#[derive(Clone, Copy, Debug)]
pub struct FlankState {
    pub mean: f64,
    pub heights: [Option<f64>; HEIGHTS],
}

pub const HEIGHTS: usize = 5;

/// A bore and the teeth round it were turned and cut in two settings, or the bore has worn: so far apart, in mm, for one
/// standard deviation. Common practice.
const ECCENTRIC: f64 = 0.06;

/// Depth of a tooth in modules, below which it is no gear's: the stubbiest racks have 1.8, belts' teeth about 1.
const LEAST_DEPTH: f64 = 1.45;
const MOST_DEPTH: f64 = 3.2;

/// Flanks whose mean shape differs from the involute by this many modules are something else, whatever they have worn.
const FORM: f64 = 0.02;

/// Thickness taken off an old tooth, in modules, and its spread: thinned when made, worn since. Common practice.
const THINNED: f64 = 0.03;
const THINNED_SPREAD: f64 = 0.03;

/// A boundary this near to the root circle, in parts of a tooth's height, runs along it: there a tooth is missing. A hub may
/// pass not far below.
const FLOOR: f64 = 0.07;

/// What a land's own shape adds to its uncertainty, in pixels; measured on rendered scans.
const LAND: f64 = 0.012;

/// Finds the teeth on a part's outer boundary (counter-clockwise). `bores`: middles of round holes, the likeliest first.
pub fn find(boundary: &[Place], bores: &[(f64, f64)], optics: &Optics) -> Option<Rim> {
    let mut centres: Vec<(f64, f64)> = bores.iter().take(5).copied().collect();
    centres.extend(comb::outer_centre(boundary));
    let comb = comb::find(boundary, &centres)?;
    let by_bore = bores.contains(&(comb.x, comb.y));
    let held = by_bore.then_some(Held { x: comb.x, y: comb.y, sigma: ECCENTRIC });
    let counted = TAU / comb.pitch;
    let sigma_count = counted * comb.sigma_pitch / comb.pitch;
    let nearest = counted.round().max(4.0) as u32;
    let reach = if comb.whole { 0 } else { ((3.0 * sigma_count).ceil() as u32).clamp(1, 3) };
    let fits = (nearest.saturating_sub(reach).max(4)..=nearest + reach)
        .filter_map(|teeth| Flanks::fit(boundary, &comb, teeth, held, optics));
    let flanks = fits.min_by(|a, b| {
        // of two that fit alike, the one whose pitch the tips have
        let cost = |flanks: &Flanks| {
            flanks.rest * (1.0 + 0.5 * ((f64::from(flanks.teeth) - counted) / sigma_count.max(0.15)).powi(2))
        };
        cost(a).total_cmp(&cost(b))
    });
    let teeth = flanks.map_or(nearest, |flanks| flanks.teeth);
    let mut rim = Rim {
        teeth: Uncertain::new(f64::from(teeth), sigma_count),
        whole: comb.whole,
        slots: Vec::new(),
        x: flanks.map_or(comb.x, |flanks| flanks.x),
        y: flanks.map_or(comb.y, |flanks| flanks.y),
        sigma_centre: flanks.map_or(0.05, |flanks| flanks.sigma.centre),
        off_bore: None,
        tip_radius: Uncertain::new(comb.tip, 0.02),
        root_radius: Uncertain::new(comb.root, 0.02),
        pitch: TAU / f64::from(teeth),
        phase: flanks
            .map_or(Uncertain::new(comb.phase, 0.01), |flanks| Uncertain::new(flanks.phase, flanks.sigma.phase)),
        flanks,
        not_involute: None,
    };
    rim.off_bore = by_bore.then(|| (rim.x - comb.x).hypot(rim.y - comb.y));
    rim.slots = slots(&rim, boundary, &comb);
    if rim.slots.iter().filter(|slot| slot.state == State::Whole).count() < 3 {
        // no flank of three teeth fits: not even even teeth
        rim.slots = plain_slots(&comb, teeth);
    }
    // lands are short, and their corners are rounded by wear and blur
    // on a sector, where the centre is, is not balanced by teeth on the other side
    let centre = if rim.whole { 0.0 } else { rim.sigma_centre };
    let own = |found: Uncertain| Uncertain::new(found.value, found.sigma.hypot(LAND * optics.pixel).hypot(centre));
    if let Some(tip) = ends(&rim, boundary, true) {
        rim.tip_radius = own(tip);
    }
    if let Some(root) = ends(&rim, boundary, false) {
        rim.root_radius = own(root);
    }
    rim.not_involute = rim.doubt();
    Some(rim)
}

impl Rim {
    pub fn present(&self) -> usize {
        self.slots.len()
    }

    pub fn broken(&self) -> usize {
        self.slots.iter().filter(|slot| slot.state != State::Whole).count()
    }

    /// The involute flanks, if that is what they are.
    pub fn involute(&self) -> Option<&Flanks> {
        self.flanks.as_ref().filter(|_| self.not_involute.is_none())
    }

    /// The direction, from the centre, of the middle of the teeth; on a whole rim, of the tooth that stands highest.
    pub fn upright(&self) -> f64 {
        match (self.slots.first(), self.slots.last()) {
            (Some(first), Some(last)) if !self.whole => {
                self.phase.value + 0.5 * self.pitch * f64::from(first.number + last.number)
            }
            _ => {
                let turns = (FRAC_PI_2 - self.phase.value) / self.pitch;
                self.phase.value + self.pitch * turns.round()
            }
        }
    }

    /// p_b = 2π r_b / z (ISO 21771:2007).
    pub fn base_pitch(&self) -> Option<Uncertain> {
        let flanks = self.involute()?;
        Some(Uncertain::new(flanks.base_radius, flanks.sigma.base_radius).times(TAU / f64::from(flanks.teeth)))
    }

    /// Tooth thickness on the base circle: s_b = 2 r_b ψ_b (ISO 21771:2007).
    pub fn base_thickness(&self) -> Option<Uncertain> {
        let flanks = self.involute()?;
        let parts = (flanks.sigma.half_angle * flanks.base_radius).hypot(flanks.sigma.base_radius * flanks.half_angle);
        Some(Uncertain::new(2.0 * flanks.base_radius * flanks.half_angle, 2.0 * parts))
    }

    /// Pressure angle at the circle on which a tooth is as thick as an old, unshifted one would be:
    /// inv α = ψ_b − (π/2 − t)/z, t the thinning in modules.
    pub fn pressure_angle(&self) -> Option<Uncertain> {
        let flanks = self.involute()?;
        let teeth = f64::from(flanks.teeth);
        let alpha = inverse_inv(flanks.half_angle - (FRAC_PI_2 - THINNED) / teeth)?;
        let sigma = flanks.sigma.half_angle.hypot(THINNED_SPREAD / teeth) / alpha.tan().powi(2);
        Some(Uncertain::new(alpha, sigma))
    }

    /// m = 2 r_b / (z cos α), at that angle.
    pub fn module(&self) -> Option<Uncertain> {
        let flanks = self.involute()?;
        let alpha = self.pressure_angle()?;
        let module = 2.0 * flanks.base_radius / (f64::from(flanks.teeth) * alpha.value.cos());
        let relative = (flanks.sigma.base_radius / flanks.base_radius).hypot(alpha.sigma * alpha.value.tan());
        Some(Uncertain::new(module, module * relative))
    }

    fn doubt(&self) -> Option<String> {
        let Some(flanks) = &self.flanks else {
            return Some("no involute comes near its flanks".into());
        };
        let height = self.tip_radius.value - self.root_radius.value;
        let rough = (self.tip_radius.value + self.root_radius.value) / f64::from(flanks.teeth);
        if flanks.form > FORM * rough {
            return Some(format!("the flanks stray {:.3} mm from any involute", flanks.form));
        }
        let depth = height / rough;
        if !(LEAST_DEPTH..MOST_DEPTH).contains(&depth) {
            return Some(format!("the teeth are {depth:.2} of a module deep, and a gear's are about 2¼"));
        }
        let alpha = inverse_inv(flanks.half_angle - (FRAC_PI_2 - THINNED) / f64::from(flanks.teeth));
        match alpha.map(f64::to_degrees) {
            Some(degrees) if (9.0..36.0).contains(&degrees) => {}
            _ => return Some("the flanks lean as no gear's do".into()),
        }
        let whole = self.slots.iter().filter(|slot| slot.state == State::Whole).count();
        (whole * 2 < self.slots.len() || whole < 3).then(|| "hardly a tooth of it is whole".into())
    }

    /// Tooth number and angle from its middle.
    fn place(&self, place: &Place) -> (i32, f64, f64) {
        let (dx, dy) = (place.x - self.x, place.y - self.y);
        let turn = wrapped(dy.atan2(dx) - self.phase.value);
        let number = (turn / self.pitch).round();
        (number as i32, turn - number * self.pitch, dx.hypot(dy))
    }

    fn all(&self) -> i32 {
        self.teeth.value as i32
    }
}

/// What stands at each tooth place.
fn slots(rim: &Rim, boundary: &[Place], comb: &Comb) -> Vec<Slot> {
    let Some(flanks) = &rim.flanks else { return Vec::new() };
    let height = comb.tip - comb.root;
    let all = rim.all();
    let near = 0.1 * height;
    let (least, most) = match (comb.teeth.iter().min(), comb.teeth.iter().max()) {
        (Some(least), Some(most)) => (*least, *most),
        _ => return Vec::new(),
    };
    let mut seen = std::collections::BTreeMap::<i32, Seen>::new();
    for place in boundary {
        let (number, turn, radius) = rim.place(place);
        let number = if comb.whole { number.rem_euclid(all) } else { number };
        let seen = seen.entry(number).or_default();
        let part = (radius - comb.root) / height;
        if turn.abs() < 0.45 * rim.pitch {
            seen.top = seen.top.max(part);
        }
        if part.abs() < FLOOR {
            let bin = ((turn / rim.pitch + 0.5) * 10.0) as usize;
            seen.floor[bin.min(9)] = true;
        }
        if !(0.3..0.87).contains(&part) {
            continue;
        }
        let side = usize::from(turn > 0.0);
        let Some(on) = on_flank(place, rim.x, rim.y, rim.phase.value, rim.pitch, (0.0, f64::INFINITY)) else {
            continue;
        };
        let Some(off) = flanks.off(&on) else { continue };
        if off.abs() < near {
            let bin = ((part - 0.3) / 0.57 * HEIGHTS as f64) as usize;
            seen.flank[side][bin.min(HEIGHTS - 1)].push(off);
        }
    }
    let state = |seen: &Seen| {
        let bins = |side: usize| seen.flank[side].iter().filter(|bin| !bin.is_empty()).count();
        match () {
            // a bin may be empty where a flank lies at 45° to the pixels
            () if seen.top > 0.86 && bins(0) + 2 >= HEIGHTS && bins(1) + 2 >= HEIGHTS => State::Whole,
            () if seen.top > 0.25 => State::Broken,
            () => State::Missing,
        }
    };
    let is_there = |number: i32| {
        seen.get(&number).is_some_and(|seen| {
            let floor = seen.floor.iter().filter(|there| **there).count() >= 8;
            let stump = seen.top > 0.2 && seen.top < 1.1;
            let flank = (0..2).any(|side| seen.flank[side].iter().filter(|bin| !bin.is_empty()).count() >= 2);
            state(seen) == State::Whole || floor || stump && flank
        })
    };
    let range = if comb.whole {
        0..=all - 1
    } else {
        let (mut from, mut to) = (least, most);
        while to - from + 1 < all && is_there(from - 1) {
            from -= 1;
        }
        while to - from + 1 < all && is_there(to + 1) {
            to += 1;
        }
        from..=to
    };
    let none = Seen::default();
    range
        .map(|number| {
            let seen = seen.get(&number).unwrap_or(&none);
            Slot { number, state: state(seen), flanks: [0, 1].map(|side| seen.flank(side)) }
        })
        .collect()
}

/// Tooth places where nothing is known of flanks: the comb's own.
fn plain_slots(comb: &Comb, teeth: u32) -> Vec<Slot> {
    let (Some(least), Some(most)) = (comb.teeth.iter().min(), comb.teeth.iter().max()) else { return Vec::new() };
    let most = if comb.whole { least + teeth as i32 - 1 } else { *most };
    let state = |number| if comb.teeth.contains(&number) { State::Whole } else { State::Broken };
    (*least..=most).map(|number| Slot { number, state: state(number), flanks: [None, None] }).collect()
}

#[derive(Clone, Debug, Default)]
struct Seen {
    /// Height of the highest point, as a part of the tooth's.
    top: f64,
    /// Where the boundary runs along the root circle.
    floor: [bool; 10],
    flank: [[Vec<f64>; HEIGHTS]; 2],
}

impl Seen {
    fn flank(&self, side: usize) -> Option<FlankState> {
        let heights = [0, 1, 2, 3, 4]
            .map(|at| (!self.flank[side][at].is_empty()).then(|| median(&mut self.flank[side][at].clone())));
        let there: Vec<f64> = heights.iter().flatten().copied().collect();
        (there.len() >= 2).then(|| FlankState { mean: there.iter().sum::<f64>() / there.len() as f64, heights })
    }
}

/// The radius of the tips or of the roots: the middle of each land, then the mean of all, strays left out.
fn ends(rim: &Rim, boundary: &[Place], tips: bool) -> Option<Uncertain> {
    let height = rim.tip_radius.value - rim.root_radius.value;
    let all = rim.all();
    let whole = |number: i32| {
        let number = if rim.whole { number.rem_euclid(all) } else { number };
        rim.slots.iter().any(|slot| {
            slot.state == State::Whole && (if rim.whole { slot.number.rem_euclid(all) } else { slot.number }) == number
        })
    };
    // half of the land, seen from the middle
    let reach = match (tips, &rim.flanks) {
        (true, Some(flanks)) => {
            let land = flanks.half_angle - inv((flanks.base_radius / rim.tip_radius.value).min(1.0).acos());
            0.5 * land.clamp(0.06 * rim.pitch, 0.3 * rim.pitch)
        }
        (true, None) => 0.06 * rim.pitch,
        (false, _) => 0.07 * rim.pitch,
    };
    let near = if tips { rim.tip_radius.value } else { rim.root_radius.value };
    let mut lands = std::collections::BTreeMap::<i32, Vec<(f64, f64, f64)>>::new();
    for place in boundary {
        let (number, turn, radius) = rim.place(place);
        let (number, turn) = match tips {
            true => (number, turn),
            // the space behind each tooth
            false if turn > 0.0 => (number, turn - 0.5 * rim.pitch),
            false => (number - 1, turn + 0.5 * rim.pitch),
        };
        if turn.abs() > reach || (radius - near).abs() > 0.25 * height {
            continue;
        }
        if whole(number) && (tips || whole(number + 1)) {
            lands.entry(if rim.whole { number.rem_euclid(all) } else { number }).or_default().push((
                turn / reach,
                radius,
                place.sigma,
            ));
        }
    }
    let each: Vec<(f64, f64)> = lands
        .values()
        .filter(|points| points.len() >= 3)
        .filter_map(|points| {
            if tips {
                let mut radii: Vec<f64> = points.iter().map(|point| point.1).collect();
                let sigma = points[0].2 / (points.len() as f64).sqrt();
                return Some((median(&mut radii), 1.25 * sigma));
            }
            // the floor of a space may be rounded all over: its lowest place by a parabola
            let mut normal = Normal::<2>::default();
            for (turn, radius, sigma) in points {
                normal.add([1.0, turn * turn], *radius, 1.0 / (sigma * sigma));
            }
            normal.solve().zip(normal.inverse()).map(|(terms, inverse)| (terms[0], inverse[0][0].sqrt()))
        })
        .collect();
    if each.len() < 2 {
        return None;
    }
    let mut values: Vec<f64> = each.iter().map(|land| land.0).collect();
    let mut mean = median(&mut values);
    let mut deviations: Vec<f64> = each.iter().map(|land| (land.0 - mean).abs()).collect();
    let own = each.iter().map(|land| land.1).sum::<f64>() / each.len() as f64;
    let spread = (1.4826 * median(&mut deviations)).max(own);
    let mut weight = 0.0;
    for _ in 0..8 {
        let mut sum = 0.0;
        weight = 0.0;
        for (value, _) in &each {
            let own = tukey((value - mean) / spread);
            sum += own * (value - mean);
            weight += own;
        }
        if weight == 0.0 {
            return None;
        }
        mean += sum / weight;
    }
    Some(Uncertain::new(mean, spread / weight.sqrt()))
}

/// Half a turn, for those who count clockings from the top.
pub const UP: f64 = PI / 2.0;
