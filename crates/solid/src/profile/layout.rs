//! Several blanks on one plate.
//!
//! A search by trial, not a proof: pieces are set one after another at the leftmost, then lowest free place, all at one turn,
//! or at one turn and its opposite, or each at whichever turn reaches least far; the best layout of all these is kept. There
//! may be a better one.

use std::f64::consts::TAU;

use kurbo::{Point, Vec2};

use crate::plate::Refused;
use crate::ring::Ring;

use super::Profile;

/// A plate to cut from, and the bare metal wanted between the cuts and along its edges, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Room {
    pub length: f64,
    pub width: f64,
    pub gap: f64,
}

/// Where a piece stands: turned counter-clockwise, its origin then put at a point of the plate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    pub turn: f64,
    pub at: Point,
}

#[derive(Clone, Debug, PartialEq)]
pub struct Layout {
    pub room: Room,
    pub places: Vec<Place>,
    /// Pieces that found no place.
    pub left_over: usize,
    /// How far along the plate the pieces reach, mm; the plate beyond is whole.
    pub used: f64,
}

/// Cells along the plate's longer side. A piece wastes up to a cell beside it.
const CELLS: f64 = 400.0;
/// Turns tried in a whole circle.
const TURNS: usize = 24;
/// Half the diagonal of a cell: a cell is taken if its middle is this near a piece, so that no corner of a piece is missed.
const HALF_DIAGONAL: f64 = 0.7072;
/// How far the chords of a stamp may lie inside its true edge, in cells; made up for.
const CHORD: f64 = 0.02;

pub fn lay_out(profile: &Profile, pieces: usize, room: Room) -> Result<Layout, Refused> {
    let grid = Grid::of(room);
    let taken = profile.outer.offset(-(0.5 * room.gap + (HALF_DIAGONAL + CHORD) * grid.cell));
    let taken = taken.into_iter().max_by(|a, b| a.area().total_cmp(&b.area())).ok_or(Refused::KerfTooWide)?;
    let corners = taken.flatten(CHORD * grid.cell);
    let stamps: Vec<Stamp> = (0..TURNS).map(|turn| Stamp::of(&corners, turn, grid.cell)).collect();
    let all: Vec<usize> = (0..TURNS).collect();
    let single = (0..TURNS).map(|turn| vec![turn]);
    let opposite = (0..TURNS / 2).map(|turn| vec![turn, turn + TURNS / 2]);
    let tries = single.chain(opposite).chain([all]);
    let best = tries.map(|turns| grid.filled(&stamps, &turns, pieces)).min_by(|a, b| {
        let missing = |layout: &Filled| pieces - layout.places.len();
        missing(a).cmp(&missing(b)).then(a.reach.cmp(&b.reach))
    });
    let best = best.unwrap_or_default();
    let mut layout = Layout {
        room,
        left_over: pieces - best.places.len(),
        places: best.places.iter().map(|(turn, column, row)| stamps[*turn].place(*column, *row, &grid)).collect(),
        used: 0.0,
    };
    layout.used =
        layout.places.iter().map(|place| place.put(&profile.outer)).fold(0.0, |most, ring| ring.bounds().x1.max(most));
    Ok(layout)
}

impl Place {
    pub fn put(&self, ring: &Ring) -> Ring {
        ring.turned(self.turn, self.at.to_vec2())
    }
}

impl Layout {
    /// Area of the pieces over the plate used for them.
    pub fn share(&self, piece: f64) -> f64 {
        if self.used > 0.0 { piece * self.places.len() as f64 / (self.used * self.room.width) } else { 0.0 }
    }
}

/// The plate in cells, inside its bare margin.
struct Grid {
    cell: f64,
    columns: usize,
    rows: usize,
    /// Where the first cell's corner stands on the plate.
    from: f64,
}

/// Pieces set, each with its turn, column and row, and the columns they reach over.
#[derive(Default)]
struct Filled {
    places: Vec<(usize, usize, usize)>,
    reach: usize,
}

/// The cells a piece takes at one turn; a column of cells is a run of bits.
struct Stamp {
    turn: f64,
    /// Of its lowest cell, from the piece's origin, mm.
    from: Vec2,
    columns: Vec<Vec<u64>>,
    rows: usize,
}

impl Grid {
    fn of(room: Room) -> Grid {
        let cell = room.length.max(room.width) / CELLS;
        // the stamps are wider than the pieces by half the gap and half a diagonal: that much may hang over the edge
        let from = 0.5 * room.gap - HALF_DIAGONAL * cell;
        let count = |size: f64| ((size - 2.0 * from) / cell).floor().max(0.0) as usize;
        Grid { cell, columns: count(room.length), rows: count(room.width), from }
    }

    fn filled(&self, stamps: &[Stamp], turns: &[usize], pieces: usize) -> Filled {
        let words = self.rows.div_ceil(64) + 1;
        let mut plate = vec![vec![0_u64; words]; self.columns];
        let mut out = Filled::default();
        // where each turn found its last place: none before it will ever be free again
        let mut from: Vec<Option<(usize, usize)>> = turns.iter().map(|_| Some((0, 0))).collect();
        while out.places.len() < pieces {
            for (index, turn) in turns.iter().enumerate() {
                from[index] = from[index].and_then(|start| self.free(&plate, &stamps[*turn], start));
            }
            let reach = |index: usize, column: usize| column + stamps[turns[index]].columns.len();
            let found = from.iter().enumerate().filter_map(|(index, place)| place.map(|place| (index, place)));
            let Some((index, (column, row))) = found.min_by_key(|(index, place)| (reach(*index, place.0), *place))
            else {
                break;
            };
            stamps[turns[index]].mark(&mut plate, column, row);
            out.reach = out.reach.max(reach(index, column));
            out.places.push((turns[index], column, row));
        }
        out
    }

    fn free(&self, plate: &[Vec<u64>], stamp: &Stamp, from: (usize, usize)) -> Option<(usize, usize)> {
        let (wide, high) = (stamp.columns.len(), stamp.rows);
        if wide > self.columns || high > self.rows {
            return None;
        }
        (from.0..=self.columns - wide).find_map(|column| {
            let first = if column == from.0 { from.1 } else { 0 };
            (first..=self.rows - high).find(|row| stamp.is_free(plate, column, *row)).map(|row| (column, row))
        })
    }
}

impl Stamp {
    fn of(corners: &[Point], turn: usize, cell: f64) -> Stamp {
        let turn = TAU * turn as f64 / TURNS as f64;
        let along = Vec2::from_angle(turn);
        let turned: Vec<Point> =
            corners.iter().map(|p| Point::new(p.x * along.x - p.y * along.y, p.x * along.y + p.y * along.x)).collect();
        let least = |of: fn(&Point) -> f64| turned.iter().map(of).fold(f64::INFINITY, f64::min);
        let low = Vec2::new(least(|p| p.x), least(|p| p.y));
        let high = Vec2::new(-least(|p| -p.x), -least(|p| -p.y));
        let count = |size: f64| (size / cell).ceil().max(1.0) as usize;
        let (wide, rows) = (count(high.x - low.x), count(high.y - low.y));
        let words = rows.div_ceil(64);
        let columns = (0..wide).map(|column| {
            let x = low.x + (column as f64 + 0.5) * cell;
            let mut crossings: Vec<f64> = turned
                .iter()
                .zip(turned.iter().cycle().skip(1))
                .filter(|(a, b)| (a.x < x) != (b.x < x))
                .map(|(a, b)| a.y + (b.y - a.y) * (x - a.x) / (b.x - a.x))
                .collect();
            crossings.sort_by(f64::total_cmp);
            let mut bits = vec![0_u64; words];
            for pair in crossings.chunks_exact(2) {
                // cells whose middle lies between
                let first = ((pair[0] - low.y) / cell - 0.5).ceil().max(0.0) as usize;
                let last = ((pair[1] - low.y) / cell - 0.5).floor().min(rows as f64 - 1.0);
                if last >= 0.0 {
                    (first..=last as usize).for_each(|row| bits[row / 64] |= 1 << (row % 64));
                }
            }
            bits
        });
        Stamp { turn, from: low, columns: columns.collect(), rows }
    }

    fn is_free(&self, plate: &[Vec<u64>], column: usize, row: usize) -> bool {
        let (word, shift) = (row / 64, row % 64);
        self.columns.iter().zip(&plate[column..]).all(|(stamp, cells)| {
            stamp.iter().enumerate().all(|(i, bits)| {
                let over = if shift == 0 { 0 } else { bits >> (64 - shift) };
                cells[word + i] & (bits << shift) == 0 && (over == 0 || cells[word + i + 1] & over == 0)
            })
        })
    }

    fn mark(&self, plate: &mut [Vec<u64>], column: usize, row: usize) {
        let (word, shift) = (row / 64, row % 64);
        for (stamp, cells) in self.columns.iter().zip(&mut plate[column..]) {
            for (i, bits) in stamp.iter().enumerate() {
                cells[word + i] |= bits << shift;
                if shift > 0 && bits >> (64 - shift) != 0 {
                    cells[word + i + 1] |= bits >> (64 - shift);
                }
            }
        }
    }

    fn place(&self, column: usize, row: usize, grid: &Grid) -> Place {
        let cell = |index: usize| grid.from + index as f64 * grid.cell;
        Place { turn: self.turn, at: Point::new(cell(column) - self.from.x, cell(row) - self.from.y) }
    }
}
