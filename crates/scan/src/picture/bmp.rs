//! BMP without compression: the file head, the information head of 40 bytes or more, a palette, rows mostly from the bottom.

use std::io::{BufRead, Seek, SeekFrom};

use super::{Picture, PictureError, Pixel, Rows, Wide, grey};

const MM_PER_METRE: f64 = 1000.0;
const MM_PER_INCH: f64 = 25.4;

pub fn read(mut from: impl BufRead + Seek) -> Result<Picture, PictureError> {
    let mut head = [0; 54];
    from.read_exact(&mut head).map_err(broken)?;
    let u32_at = |at: usize| u32::from_le_bytes([head[at], head[at + 1], head[at + 2], head[at + 3]]);
    let i32_at = |at: usize| u32_at(at) as i32;
    let (start, head_size) = (u32_at(10), u32_at(14));
    let (width, height) = (i32_at(18), i32_at(22));
    let bits = u16::from_le_bytes([head[28], head[29]]);
    let compression = u32_at(30);
    if head_size < 40 || width <= 0 || height == 0 {
        return Err(PictureError::Broken("its head makes no sense".into()));
    }
    // 3: bit masks, which for 32 bits are as usual in every file met
    if !(compression == 0 || compression == 3 && bits == 32) || ![1, 4, 8, 24, 32].contains(&bits) {
        return Err(PictureError::Unsupported(format!("A BMP of {bits} bits and compression {compression}")));
    }
    let mut rows = Rows::new(width as u64, u64::from(height.unsigned_abs()))?;
    let palette = match bits {
        1 | 4 | 8 => palette(&mut from, u64::from(head_size) + 14, u32_at(46), bits)?,
        _ => Vec::new(),
    };
    from.seek(SeekFrom::Start(start.into())).map_err(broken)?;
    let stride = (rows.width * usize::from(bits)).div_ceil(32) * 4;
    let mut row = vec![0; stride];
    let mut plain = Vec::with_capacity(rows.width);
    for _ in 0..rows.height {
        from.read_exact(&mut row).map_err(broken)?;
        plain.clear();
        match bits {
            24 | 32 => {
                let step = usize::from(bits) / 8;
                plain.extend(row.chunks_exact(step).take(rows.width).map(|pixel| grey(pixel[2], pixel[1], pixel[0])));
            }
            _ => {
                let per_byte = 8 / usize::from(bits);
                let mask = ((1u16 << bits) - 1) as u8;
                plain.extend((0..rows.width).map(|x| {
                    let shift = (per_byte - 1 - x % per_byte) * usize::from(bits);
                    palette.get(usize::from(row[x / per_byte] >> shift & mask)).copied().unwrap_or(0)
                }));
            }
        }
        rows.push(&plain, Pixel { samples: 1, wide: Wide::Byte, alpha: false })?;
    }
    if height > 0 {
        let (width, count) = (rows.width, rows.height);
        for y in 0..count / 2 {
            let (above, below) = rows.greys.split_at_mut((count - 1 - y) * width);
            above[y * width..(y + 1) * width].swap_with_slice(&mut below[..width]);
        }
    }
    let per_inch = |at: usize| f64::from(i32_at(at)) / MM_PER_METRE * MM_PER_INCH;
    rows.picture(Some((per_inch(38), per_inch(42))))
}

fn palette(from: &mut (impl BufRead + Seek), at: u64, used: u32, bits: u16) -> Result<Vec<u8>, PictureError> {
    let most = 1u32 << bits;
    let count = if used == 0 { most } else { used.min(most) };
    from.seek(SeekFrom::Start(at)).map_err(broken)?;
    let mut bytes = vec![0; 4 * count as usize];
    from.read_exact(&mut bytes).map_err(broken)?;
    Ok(bytes.chunks_exact(4).map(|entry| grey(entry[2], entry[1], entry[0])).collect())
}

fn broken(error: std::io::Error) -> PictureError {
    PictureError::Broken(error.to_string())
}
