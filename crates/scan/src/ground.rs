//! The ground the part lies on: how bright it is everywhere, how bright the part is, and the grey between them.
//!
//! Worked on blocks of eight by eight pixels; only this pass looks at every pixel.

use rayon::prelude::*;

use crate::ScanError;
use crate::picture::Picture;

pub const BLOCK: usize = 8;

/// The ground and the part must differ by this many greys; below, noise and texture draw the outline.
const LEAST_CONTRAST: f64 = 14.0;

/// Where between ground and part the boundary is traced. The traced line is only where the exact edge is looked for.
const TRACED: f64 = 0.5;

/// Side, in blocks, of the tiles that slow changes of brightness are followed by.
const TILE: usize = 12;

#[derive(Clone, Copy, Debug, Default)]
pub struct Block {
    pub least: u8,
    pub most: u8,
    pub mean: u8,
}

#[derive(Debug)]
pub struct Ground {
    pub across: usize,
    pub down: usize,
    pub blocks: Vec<Block>,
    /// For each block the grey at which part and ground are parted.
    pub threshold: Vec<u8>,
    /// The part is brighter than the ground.
    pub light: bool,
    /// How far part and ground differ, in the middle.
    pub contrast: f64,
}

impl Ground {
    pub fn of(picture: &Picture) -> Result<Ground, ScanError> {
        let (across, down) = (picture.width().div_ceil(BLOCK), picture.height().div_ceil(BLOCK));
        let mut blocks = vec![Block::default(); across * down];
        blocks.par_chunks_mut(across).enumerate().for_each(|(by, row)| summarise(picture, by, row));
        let surface = Surface::fit(&blocks, across, down);
        let off: Vec<f32> = blocks
            .par_iter()
            .enumerate()
            .map(|(index, block)| f32::from(block.mean) - surface.at(index % across, index / across) as f32)
            .collect();
        let (light, split) = part_side(&off)?;
        let sign = if light { 1.0 } else { -1.0 };
        // blocks that lie wholly on one side
        let flat = |block: &Block| f32::from(block.most - block.least) < 1.2 * split;
        let is_part = |index: usize| sign * off[index] > split;
        let ground = tiles(across, down, |index| {
            (!is_part(index) && flat(&blocks[index]) && sign * off[index] < 0.6 * split)
                .then(|| f64::from(blocks[index].mean))
        });
        let part = tiles(across, down, |index| {
            (is_part(index) && flat(&blocks[index])).then(|| f64::from(blocks[index].mean))
        });
        let (Some(ground), Some(part)) = (ground, part) else {
            return Err(ScanError::NothingStandsOut);
        };
        let mut differences: Vec<f64> =
            part.cells.iter().zip(&ground.cells).map(|(p, g)| (p - g) * f64::from(sign)).collect();
        let middle = differences.len() / 2;
        let contrast = *differences.select_nth_unstable_by(middle, f64::total_cmp).1;
        if contrast < LEAST_CONTRAST {
            return Err(ScanError::NothingStandsOut);
        }
        let threshold = (0..across * down)
            .into_par_iter()
            .map(|index| {
                let (x, y) = (index % across, index / across);
                let (low, high) = (ground.at(x, y), part.at(x, y));
                // where the two maps meet, as far from the part as a fill can stray, keep off the ground's own noise
                let step = f64::from(sign) * (f64::from(sign) * (high - low)).max(0.5 * contrast);
                (low + TRACED * step).clamp(1.0, 254.0).round() as u8
            })
            .collect();
        Ok(Ground { across, down, blocks, threshold, light, contrast })
    }

    /// Is this pixel part of the part? Outside the picture nothing is.
    #[inline]
    pub fn inside(&self, picture: &Picture, x: i32, y: i32) -> bool {
        if x < 0 || y < 0 || x as usize >= picture.width() || y as usize >= picture.height() {
            return false;
        }
        let (x, y) = (x as usize, y as usize);
        let threshold = self.threshold[y / BLOCK * self.across + x / BLOCK];
        let grey = picture.at(x, y);
        if self.light { grey > threshold } else { grey < threshold }
    }

    /// Every pixel of the block on one side: which.
    pub fn whole_block(&self, index: usize) -> Option<bool> {
        let Block { least, most, .. } = self.blocks[index];
        let threshold = self.threshold[index];
        match self.light {
            true if least > threshold => Some(true),
            true if most <= threshold => Some(false),
            false if most < threshold => Some(true),
            false if least >= threshold => Some(false),
            _ => None,
        }
    }
}

/// Column by column first, which runs over whole rows at once, then eight columns to a block.
fn summarise(picture: &Picture, by: usize, row: &mut [Block]) {
    let width = picture.width();
    let rows = by * BLOCK..((by + 1) * BLOCK).min(picture.height());
    let count = rows.len() as u32;
    let (mut least, mut most, mut sums) = (vec![u8::MAX; width], vec![0u8; width], vec![0u16; width]);
    for y in rows {
        let greys = picture.row(y);
        for (least, grey) in least.iter_mut().zip(greys) {
            *least = (*least).min(*grey);
        }
        for (most, grey) in most.iter_mut().zip(greys) {
            *most = (*most).max(*grey);
        }
        for (sum, grey) in sums.iter_mut().zip(greys) {
            *sum += u16::from(*grey);
        }
    }
    let columns = least.chunks(BLOCK).zip(most.chunks(BLOCK)).zip(sums.chunks(BLOCK));
    for (block, ((least, most), sums)) in row.iter_mut().zip(columns) {
        let pixels = count * sums.len() as u32;
        let sum: u32 = sums.iter().map(|sum| u32::from(*sum)).sum();
        *block = Block {
            least: least.iter().copied().min().unwrap_or(0),
            most: most.iter().copied().max().unwrap_or(0),
            mean: ((sum + pixels / 2) / pixels) as u8,
        };
    }
}

/// The ground's brightness as a surface of second order: a lid and a lamp change it slowly.
#[derive(Debug)]
struct Surface {
    terms: [f64; 6],
    across: f64,
    down: f64,
}

impl Surface {
    /// Begins with the picture's rim, which is mostly ground, and takes in what agrees with it.
    fn fit(blocks: &[Block], across: usize, down: usize) -> Surface {
        let mut surface = Surface { terms: [0.0; 6], across: across as f64, down: down as f64 };
        let rim = (across.min(down) / 25).max(1);
        let step = (blocks.len() / 60_000).max(1);
        let on_rim = |x: usize, y: usize| x < rim || y < rim || x + rim >= across || y + rim >= down;
        let sample: Vec<(usize, usize, f64)> = (0..blocks.len())
            .step_by(step)
            .map(|index| (index % across, index / across, f64::from(blocks[index].mean)))
            .collect();
        let mut of_rim: Vec<f64> = sample.iter().filter(|(x, y, _)| on_rim(*x, *y)).map(|at| at.2).collect();
        if of_rim.is_empty() {
            of_rim = sample.iter().map(|at| at.2).collect();
        }
        surface.terms[0] = median(&mut of_rim);
        let mut deviations: Vec<f64> = of_rim.iter().map(|grey| (grey - surface.terms[0]).abs()).collect();
        let mut reach = (5.0 * median(&mut deviations)).clamp(12.0, 60.0);
        for round in 0..10 {
            let near = sample.iter().filter(|(x, y, _)| round >= 4 || on_rim(*x, *y));
            let mut normal = crate::solve::Normal::<6>::default();
            for &(x, y, grey) in near {
                let off = (grey - surface.at(x, y)) / reach;
                if off.abs() < 1.0 {
                    normal.add(surface.shape(x, y), grey, (1.0 - off * off).powi(2));
                }
            }
            match normal.solve() {
                Some(terms) => surface.terms = terms,
                None => break,
            }
            reach = (reach * 0.85).max(12.0);
        }
        surface
    }

    fn shape(&self, x: usize, y: usize) -> [f64; 6] {
        let (u, v) = (2.0 * x as f64 / self.across - 1.0, 2.0 * y as f64 / self.down - 1.0);
        [1.0, u, v, u * u, u * v, v * v]
    }

    fn at(&self, x: usize, y: usize) -> f64 {
        self.shape(x, y).iter().zip(&self.terms).map(|(shape, term)| shape * term).sum()
    }
}

/// Which side of the ground the part lies on, and the difference that splits it off best (Otsu's criterion on each side alone).
fn part_side(off: &[f32]) -> Result<(bool, f32), ScanError> {
    let mut counts = [[0u64; 256]; 2];
    for &value in off {
        let side = usize::from(value < 0.0);
        counts[side][(value.abs() as usize).min(255)] += 1;
    }
    let weight = |side: usize| -> f64 {
        counts[side].iter().enumerate().skip(10).map(|(grey, count)| (grey * grey) as f64 * *count as f64).sum()
    };
    let light = weight(0) >= weight(1);
    let mut counts = counts[usize::from(!light)];
    // what lies on the ground's other side belongs to the ground
    counts[0] = counts[0].max(1);
    let (total, sum) = counts
        .iter()
        .enumerate()
        .fold((0.0, 0.0), |(total, sum), (grey, &count)| (total + count as f64, sum + grey as f64 * count as f64));
    let (mut below, mut sum_below) = (0.0, 0.0);
    let mut best = (0.0, 0);
    for (grey, &count) in counts.iter().enumerate() {
        below += count as f64;
        sum_below += grey as f64 * count as f64;
        let above = total - below;
        if above <= 0.0 {
            break;
        }
        let apart = (sum - sum_below) / above - sum_below / below;
        let criterion = below * above * apart * apart;
        if criterion > best.0 {
            best = (criterion, grey);
        }
    }
    if best.0 <= 0.0 {
        return Err(ScanError::NothingStandsOut);
    }
    Ok((light, (best.1 as f32 + 0.5).max(5.0)))
}

/// A coarse map of brightness, filled where there is nothing of the kind.
#[derive(Debug)]
struct Tiles {
    across: usize,
    down: usize,
    cells: Vec<f64>,
}

/// None where no block at all has a value.
fn tiles(across: usize, down: usize, value: impl Fn(usize) -> Option<f64> + Sync) -> Option<Tiles> {
    let (tiles_across, tiles_down) = (across.div_ceil(TILE), down.div_ceil(TILE));
    let sums: Vec<(f64, f64)> = (0..tiles_across * tiles_down)
        .into_par_iter()
        .map(|tile| {
            let (tx, ty) = (tile % tiles_across * TILE, tile / tiles_across * TILE);
            let mut out = (0.0, 0.0);
            for y in ty..(ty + TILE).min(down) {
                for x in tx..(tx + TILE).min(across) {
                    if let Some(grey) = value(y * across + x) {
                        out.0 += grey;
                        out.1 += 1.0;
                    }
                }
            }
            out
        })
        .collect();
    if sums.iter().all(|(_, count)| *count == 0.0) {
        return None;
    }
    Some(Tiles { across: tiles_across, down: tiles_down, cells: filled(&sums, tiles_across, tiles_down) })
}

/// Values where there are any, elsewhere the mean of the next coarser map.
fn filled(sums: &[(f64, f64)], across: usize, down: usize) -> Vec<f64> {
    if sums.iter().all(|(_, count)| *count > 0.0) || sums.len() == 1 {
        return sums.iter().map(|(sum, count)| sum / count.max(1.0)).collect();
    }
    let (half_across, half_down) = (across.div_ceil(2), down.div_ceil(2));
    let mut halved = vec![(0.0, 0.0); half_across * half_down];
    for (index, (sum, count)) in sums.iter().enumerate() {
        let into = &mut halved[index / across / 2 * half_across + index % across / 2];
        into.0 += sum;
        into.1 += count;
    }
    let coarse = Tiles { across: half_across, down: half_down, cells: filled(&halved, half_across, half_down) };
    sums.iter()
        .enumerate()
        .map(|(index, (sum, count))| {
            let fill = coarse.between((index % across) as f64 / 2.0 - 0.25, (index / across) as f64 / 2.0 - 0.25);
            // a few blocks alone are half trusted
            (sum + fill * 4.0) / (count + 4.0)
        })
        .collect()
}

impl Tiles {
    fn at(&self, x: usize, y: usize) -> f64 {
        let place = |block: usize| (block as f64 + 0.5) / TILE as f64 - 0.5;
        self.between(place(x), place(y))
    }

    fn between(&self, x: f64, y: f64) -> f64 {
        let (x, y) = (x.clamp(0.0, (self.across - 1) as f64), y.clamp(0.0, (self.down - 1) as f64));
        let (left, top) = (x as usize, y as usize);
        let (right, below) = ((left + 1).min(self.across - 1), (top + 1).min(self.down - 1));
        let (u, v) = (x - left as f64, y - top as f64);
        let cell = |x: usize, y: usize| self.cells[y * self.across + x];
        (cell(left, top) * (1.0 - u) + cell(right, top) * u) * (1.0 - v)
            + (cell(left, below) * (1.0 - u) + cell(right, below) * u) * v
    }
}

pub fn median(values: &mut [f64]) -> f64 {
    if values.is_empty() {
        return f64::NAN;
    }
    let middle = values.len() / 2;
    *values.select_nth_unstable_by(middle, f64::total_cmp).1
}
