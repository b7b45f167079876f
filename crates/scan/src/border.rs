//! Borders between part and ground, followed from pixel corner to pixel corner.

use crate::ScanError;
use crate::ground::{BLOCK, Ground};
use crate::picture::Picture;

/// One side of a pixel that parts the two; the part lies to the right of the way it is run through.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Crack {
    /// The corner it starts from.
    pub x: u16,
    pub y: u16,
    /// 0 right, 1 down, 2 left, 3 up.
    pub way: u8,
}

/// A closed border. Run through with the part to the right, an outer border encloses positive area, a hole's negative.
#[derive(Clone, Debug)]
pub struct Border {
    pub cracks: Vec<Crack>,
    /// In pixels, exact.
    pub area: f64,
    /// It runs along the rim of the picture: the part is cut off there.
    pub cut_off: bool,
}

/// Shorter borders are dust; a hole or gauge measured here is longer.
const SHORTEST: usize = 36;

/// All borders that are kept may have this many cracks together: some six times what a full A4 of parts shows. More is
/// texture or a photograph, and would take memory without bound.
const MOST_CRACKS: usize = 6_000_000;

const STEPS: [(i32, i32); 4] = [(1, 0), (0, 1), (-1, 0), (0, -1)];
/// The pixels ahead of a corner to the right and to the left, for each way.
const RIGHT: [(i32, i32); 4] = [(0, 0), (-1, 0), (-1, -1), (0, -1)];
const LEFT: [(i32, i32); 4] = [(0, -1), (0, 0), (-1, 0), (-1, -1)];

pub fn borders(picture: &Picture, ground: &Ground) -> Result<Vec<Border>, ScanError> {
    let mut seen = Seen::new(picture.width(), picture.height());
    let mut out: Vec<Border> = Vec::new();
    let mut held = 0;
    let mut walked: u64 = 0;
    for by in 0..ground.down {
        let mut left = Some(false);
        for bx in 0..ground.across {
            let index = by * ground.across + bx;
            let own = ground.whole_block(index);
            if own.is_some() && own == left {
                continue;
            }
            for y in by * BLOCK..((by + 1) * BLOCK).min(picture.height()) {
                for x in bx * BLOCK..((bx + 1) * BLOCK).min(picture.width()) {
                    let (px, py) = (x as i32, y as i32);
                    if !ground.inside(picture, px, py) || ground.inside(picture, px - 1, py) || seen.is(x, y) {
                        continue;
                    }
                    let border = follow(picture, ground, px, py, &mut seen)?;
                    walked += border.cracks.len() as u64;
                    if border.cracks.len() >= SHORTEST {
                        held += border.cracks.len();
                        out.push(border);
                    }
                    if held > MOST_CRACKS || walked > 8 * MOST_CRACKS as u64 {
                        return Err(ScanError::TooRough);
                    }
                }
            }
            left = own;
        }
    }
    Ok(out)
}

fn follow(picture: &Picture, ground: &Ground, x: i32, y: i32, seen: &mut Seen) -> Result<Border, ScanError> {
    let start = (x, y + 1, 3u8);
    let (mut cx, mut cy, mut way) = start;
    let mut cracks = Vec::new();
    let mut doubled: i64 = 0;
    let mut cut_off = false;
    let (width, height) = (picture.width() as i32, picture.height() as i32);
    loop {
        cracks.push(Crack { x: cx as u16, y: cy as u16, way });
        if cracks.len() > MOST_CRACKS {
            return Err(ScanError::TooRough);
        }
        if way == 3 {
            seen.mark(cx as usize, (cy - 1) as usize);
        }
        let (dx, dy) = STEPS[usize::from(way)];
        doubled += i64::from(cx) * i64::from(dy) - i64::from(cy) * i64::from(dx);
        cut_off |= match way {
            0 => cy == 0,
            1 => cx == width,
            2 => cy == height,
            _ => cx == 0,
        };
        cx += dx;
        cy += dy;
        let ahead = |offsets: [(i32, i32); 4], way: u8| {
            let (ox, oy) = offsets[usize::from(way)];
            ground.inside(picture, cx + ox, cy + oy)
        };
        // parts that touch by a corner alone are apart
        way = if !ahead(RIGHT, way) {
            (way + 1) % 4
        } else if ahead(LEFT, way) {
            (way + 3) % 4
        } else {
            way
        };
        if (cx, cy, way) == start {
            break;
        }
    }
    Ok(Border { cracks, area: 0.5 * doubled as f64, cut_off })
}

/// Which pixels' left sides have been followed upward.
struct Seen {
    width: usize,
    bits: Vec<u64>,
}

impl Seen {
    fn new(width: usize, height: usize) -> Seen {
        Seen { width, bits: vec![0; (width * height).div_ceil(64)] }
    }

    fn is(&self, x: usize, y: usize) -> bool {
        let bit = y * self.width + x;
        self.bits[bit / 64] >> (bit % 64) & 1 == 1
    }

    fn mark(&mut self, x: usize, y: usize) {
        let bit = y * self.width + x;
        self.bits[bit / 64] |= 1 << (bit % 64);
    }
}
