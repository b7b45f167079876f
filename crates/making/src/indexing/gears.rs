//! Trains of change gears from the spindle to the index plate: of the gears owned, those that give a ratio, turn the plate
//! the right way and can be put in mesh.

use quantity::Length;
use serde::Serialize;

use super::{Fraction, gcd};
use crate::shop::ChangeGears;

/// On one stud a gear beside a smaller one must pass the next shaft and its nut: that takes about so many teeth.
/// A rule of textbooks on lathe change gears, a + b ≥ c + 15; from memory.
pub(super) const TO_PASS_A_SHAFT: u32 = 15;
/// A train that drives the plate faster than this strains the head; a treatise's limit, from memory.
const FASTEST_PLATE: u64 = 6;

/// Gears from the spindle to the plate.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Train {
    /// On the spindle; it drives.
    pub spindle: u32,
    /// Two gears on one stud, in a compound train.
    pub stud: Option<Stud>,
    /// On the shaft that turns the plate.
    pub plate: u32,
    /// They turn the plate the right way and fill the gap; in a compound train, between stud and plate or spindle and stud.
    pub idlers: Vec<u32>,
    /// The idler of a compound train lies between spindle and stud.
    pub idler_before_stud: bool,
    /// The plate turns the way the crank is turned, or the other way.
    pub with_crank: bool,
    /// Turns of the plate for a turn of the spindle.
    pub ratio: Fraction,
}

/// The first is driven by the spindle's gear, the second drives on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Stud {
    pub first: u32,
    pub second: u32,
}

/// What is owned, arranged for searching.
pub(super) struct Gears {
    /// Sizes and how many of each.
    owned: Vec<(u32, u32)>,
    /// Every two gears that are owned together, by product.
    pairs: Vec<(u64, u32, u32)>,
    module: Option<Length>,
    centres: Option<Length>,
}

impl Gears {
    pub fn of(kit: &ChangeGears) -> Gears {
        let mut teeth: Vec<u32> = kit.teeth.iter().copied().filter(|teeth| *teeth > 0).collect();
        teeth.sort_unstable();
        let owned: Vec<(u32, u32)> =
            teeth.chunk_by(|a, b| a == b).map(|alike| (alike[0], u32::try_from(alike.len()).unwrap_or(1))).collect();
        let mut pairs = Vec::new();
        for (place, &(a, count)) in owned.iter().enumerate() {
            if count > 1 {
                pairs.push((u64::from(a) * u64::from(a), a, a));
            }
            pairs.extend(owned[place + 1..].iter().map(|&(b, _)| (u64::from(a) * u64::from(b), a, b)));
        }
        pairs.sort_unstable();
        Gears { owned, pairs, module: kit.module, centres: kit.centres }
    }

    /// Two gears and as many idlers as the direction asks.
    pub fn simple(&self, ratio: Fraction, with_crank: bool) -> Option<Train> {
        if ratio.numerator > FASTEST_PLATE * ratio.denominator {
            return None;
        }
        self.owned.iter().find_map(|&(spindle, _)| {
            let plate = u64::from(spindle) * ratio.denominator;
            let plate = plate.is_multiple_of(ratio.numerator).then(|| plate / ratio.numerator)?;
            let plate = u32::try_from(plate).ok()?;
            self.in_mesh(spindle, None, plate, with_crank)
        })
    }

    /// Four gears, two of them on one stud.
    pub fn compound(&self, ratio: Fraction, with_crank: bool) -> Option<Train> {
        if ratio.numerator > FASTEST_PLATE * ratio.denominator {
            return None;
        }
        self.pairs.iter().find_map(|&(product, a, b)| {
            let driven = product * ratio.denominator;
            let driven = driven.is_multiple_of(ratio.numerator).then(|| driven / ratio.numerator)?;
            let from = self.pairs.partition_point(|pair| pair.0 < driven);
            let with = self.pairs[from..].iter().take_while(|pair| pair.0 == driven);
            with.copied().find_map(|(_, c, d)| self.arranged((a, b), (c, d), with_crank))
        })
    }

    /// Every ratio of two or four gears, slowest plate first, with the gears that give it; not yet looked at for mesh.
    pub fn ratios(&self) -> Vec<(f64, Pairing)> {
        let of = |drivers: u64, driven: u64| drivers as f64 / driven as f64;
        let two = self.owned.iter().flat_map(|&(a, _)| {
            self.owned.iter().map(move |&(b, _)| (of(u64::from(a), u64::from(b)), Pairing::Two(a, b)))
        });
        let four = self.pairs.iter().flat_map(|&(drivers, a, b)| {
            self.pairs.iter().map(move |&(driven, c, d)| (of(drivers, driven), Pairing::Four([a, b], [c, d])))
        });
        let mut all: Vec<(f64, Pairing)> =
            two.chain(four).filter(|(ratio, _)| *ratio <= FASTEST_PLATE as f64).collect();
        all.sort_by(|a, b| a.0.total_cmp(&b.0));
        all
    }

    pub fn paired(&self, pairing: Pairing, with_crank: bool) -> Option<Train> {
        match pairing {
            Pairing::Two(spindle, plate) => self.in_mesh(spindle, None, plate, with_crank),
            Pairing::Four([a, b], [c, d]) => self.arranged((a, b), (c, d), with_crank),
        }
    }

    /// Which of the drivers goes on the spindle, and which of the driven on the stud, is free: the first that can be put in mesh.
    fn arranged(&self, drivers: (u32, u32), driven: (u32, u32), with_crank: bool) -> Option<Train> {
        let turned = |(a, b): (u32, u32)| [(a, b), (b, a)];
        turned(drivers).into_iter().find_map(|(spindle, second)| {
            turned(driven)
                .into_iter()
                .find_map(|(first, plate)| self.in_mesh(spindle, Some(Stud { first, second }), plate, with_crank))
        })
    }

    /// The train with its idlers, where the gears are there, clear each other and reach.
    fn in_mesh(&self, spindle: u32, stud: Option<Stud>, plate: u32, with_crank: bool) -> Option<Train> {
        // gears that are equal on the stud would be an idler
        if stud.is_some_and(|stud| stud.first == stud.second) {
            return None;
        }
        let mut used = vec![spindle, plate];
        used.extend(stud.iter().flat_map(|stud| [stud.first, stud.second]));
        let left = self.left_after(&used)?;
        let (drivers, driven) = match stud {
            None => (u64::from(spindle), u64::from(plate)),
            Some(stud) => (u64::from(spindle) * u64::from(stud.second), u64::from(stud.first) * u64::from(plate)),
        };
        let with = |idlers: Vec<u32>, idler_before_stud: bool| {
            let common = gcd(drivers, driven);
            let ratio = Fraction { numerator: drivers / common, denominator: driven / common };
            Train { spindle, stud, plate, idlers, idler_before_stud, with_crank, ratio }
        };
        // a wheel more turns the direction round: two meshes drive the plate with the crank, three against it
        let wanted = usize::from(stud.is_none()) + usize::from(!with_crank);
        let idlers = choices(&left, wanted);
        idlers
            .into_iter()
            .flat_map(|idlers| [with(idlers.clone(), false), with(idlers, true)])
            .find(|train| self.clears(train) && self.reaches(train))
    }

    /// The gears that are left when some are used; none where one of them is not there.
    fn left_after(&self, used: &[u32]) -> Option<Vec<u32>> {
        let counted =
            |teeth: u32| u32::try_from(used.iter().filter(|used| **used == teeth).count()).unwrap_or(u32::MAX);
        let there = |teeth: &u32| self.owned.iter().any(|(owned, count)| owned == teeth && *count >= counted(*teeth));
        used.iter().all(there).then(|| {
            let rest = self
                .owned
                .iter()
                .flat_map(|&(teeth, count)| std::iter::repeat_n(teeth, count.saturating_sub(counted(teeth)) as usize));
            rest.collect()
        })
    }

    /// On a stud, each gear must pass the shaft that its neighbour is in mesh with.
    fn clears(&self, train: &Train) -> bool {
        let Some(Stud { first, second }) = train.stud else { return true };
        let (before, after) = match (train.idlers.first(), train.idler_before_stud) {
            (Some(idler), true) => (*idler, train.plate),
            (Some(idler), false) => (train.spindle, *idler),
            (None, _) => (train.spindle, train.plate),
        };
        before + first >= second + TO_PASS_A_SHAFT && second + after >= first + TO_PASS_A_SHAFT
    }

    /// Whether the chain spans the shafts, where their distance is known, and the outer gears of a simple train miss each other.
    fn reaches(&self, train: &Train) -> bool {
        let Some((module, centres)) = self.module.zip(self.centres) else { return true };
        let halves = |sum: u32| module * (f64::from(sum) / 2.0);
        let chain = match train.stud {
            None => train.spindle + 2 * train.idlers.iter().sum::<u32>() + train.plate,
            Some(stud) => train.spindle + stud.first + stud.second + train.plate + 2 * train.idlers.iter().sum::<u32>(),
        };
        // both in one plane: the tips, one module beyond the pitch circles, must not touch
        let apart = train.stud.is_some() || halves(train.spindle + train.plate + 4) < centres;
        halves(chain) >= centres && apart
    }
}

/// Gears that give a ratio, drivers first.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Pairing {
    Two(u32, u32),
    Four([u32; 2], [u32; 2]),
}

/// Every choice of so many idlers, none, one or two, smallest first.
fn choices(left: &[u32], wanted: usize) -> Vec<Vec<u32>> {
    let mut distinct = left.to_vec();
    distinct.dedup();
    match wanted {
        0 => vec![Vec::new()],
        1 => distinct.into_iter().map(|idler| vec![idler]).collect(),
        _ => {
            let pairs = left.iter().enumerate().flat_map(|(at, &a)| left[at + 1..].iter().map(move |&b| vec![a, b]));
            pairs.collect()
        }
    }
}

impl Train {
    /// Gears that are mounted.
    pub fn count(&self) -> u32 {
        let idlers = u32::try_from(self.idlers.len()).unwrap_or(u32::MAX);
        idlers.saturating_add(if self.stud.is_some() { 4 } else { 2 })
    }

    /// "40 on the spindle, idlers 24 and 28, 56 on the plate's shaft"
    pub fn sentence(&self) -> String {
        let idlers = match self.idlers.as_slice() {
            [] => None,
            [one] => Some(format!("idler {one}")),
            several => {
                let names: Vec<String> = several.iter().map(u32::to_string).collect();
                Some(format!("idlers {}", names.join(" and ")))
            }
        };
        let stud = self.stud.map(|stud| {
            format!(
                "{} and {} together on the stud, the {} in mesh towards the spindle",
                stud.first, stud.second, stud.first
            )
        });
        let between = match self.idler_before_stud {
            true => [idlers, stud],
            false => [stud, idlers],
        };
        let all = std::iter::once(Some(format!("{} on the spindle", self.spindle)))
            .chain(between)
            .chain([Some(format!("{} on the plate's shaft", self.plate))]);
        all.flatten().collect::<Vec<_>>().join(", then ")
    }
}
