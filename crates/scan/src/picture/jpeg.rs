//! JPEG: its brightness alone is decoded; the resolution stands in the JFIF or EXIF head.

use std::io::{BufRead, Read, Seek, SeekFrom};

use zune_core::bytestream::ZCursor;
use zune_core::colorspace::ColorSpace;
use zune_core::options::DecoderOptions;
use zune_jpeg::JpegDecoder;

use super::{LONGEST_SIDE, Picture, PictureError, check_size};

/// A progressive file is held as its coefficients, two bytes and more for each sample; scanners write baseline files.
const MOST_PROGRESSIVE: u64 = 40_000_000;

/// A file longer than its pixels would be plain is no JPEG of a scan.
const MOST_BYTES: u64 = 600_000_000;

const CM_PER_INCH: f64 = 2.54;

pub fn read(mut from: impl BufRead + Seek) -> Result<Picture, PictureError> {
    let head = head(&mut from).map_err(|error| PictureError::Broken(error.to_string()))?;
    let Some((width, height)) = head.size else {
        return Err(PictureError::Broken("it has no frame".into()));
    };
    check_size(width, height)?;
    if head.progressive && width * height > MOST_PROGRESSIVE {
        return Err(PictureError::Unsupported("A progressive JPEG of this size".into()));
    }
    let mut bytes = Vec::new();
    from.rewind()
        .and_then(|()| from.take(MOST_BYTES).read_to_end(&mut bytes))
        .map_err(|error| PictureError::Broken(error.to_string()))?;
    // what stands at most in a file of few bytes: a block of 64 pixels takes at least a few bits
    if (bytes.len() as u64) * LEAST_BLOCKS_PER_BYTE * 64 < width * height {
        return Err(PictureError::Broken("it is far too short for its size".into()));
    }
    let options = DecoderOptions::new_safe()
        .set_max_width(LONGEST_SIDE as usize)
        .set_max_height(LONGEST_SIDE as usize)
        .set_strict_mode(true)
        .jpeg_set_out_colorspace(ColorSpace::Luma);
    let mut decoder = JpegDecoder::new_with_options(ZCursor::new(bytes), options);
    let greys = decoder.decode().map_err(|error| PictureError::Broken(error.to_string()))?;
    let (width, height) = (width as usize, height as usize);
    if greys.len() != width * height {
        return Err(PictureError::Broken("its frame has another size than its head says".into()));
    }
    let picture = Picture::new(width, greys)?;
    Ok(match head.resolution {
        Some((x, y)) => picture.with_resolution(x, y),
        None => picture,
    })
}

/// Two bits and more to a block of each plane: four blocks a byte.
const LEAST_BLOCKS_PER_BYTE: u64 = 4;

#[derive(Clone, Copy, Debug, Default)]
struct Head {
    size: Option<(u64, u64)>,
    progressive: bool,
    resolution: Option<(f64, f64)>,
}

/// Walks the markers up to the frame (ITU-T T.81, B.1.1).
fn head(from: &mut (impl BufRead + Seek)) -> std::io::Result<Head> {
    let mut out = Head::default();
    from.seek(SeekFrom::Start(2))?;
    // a file has a handful of segments before its frame
    for _ in 0..1000 {
        let mut marker = [0; 2];
        from.read_exact(&mut marker)?;
        while marker[1] == 0xff {
            from.read_exact(&mut marker[1..])?;
        }
        if marker[0] != 0xff || matches!(marker[1], 0xd9 | 0xda) {
            break;
        }
        if matches!(marker[1], 0x01 | 0xd0..=0xd8) {
            continue;
        }
        let mut length = [0; 2];
        from.read_exact(&mut length)?;
        let length = u64::from(u16::from_be_bytes(length)).saturating_sub(2);
        let mut data = Vec::new();
        from.take(length).read_to_end(&mut data)?;
        match marker[1] {
            0xe0 => out.resolution = jfif(&data).or(out.resolution),
            0xe1 => out.resolution = out.resolution.or_else(|| exif(&data)),
            0xc0..=0xcf if !matches!(marker[1], 0xc4 | 0xc8 | 0xcc) => {
                if let [_, h1, h0, w1, w0, ..] = data.as_slice() {
                    let pair = |high: u8, low: u8| u64::from(u16::from_be_bytes([high, low]));
                    out.size = Some((pair(*w1, *w0), pair(*h1, *h0)));
                }
                out.progressive = marker[1] == 0xc2;
                break;
            }
            _ => {}
        }
    }
    Ok(out)
}

/// `JFIF\0`, version, unit (1 an inch, 2 a centimetre), two densities (ITU-T T.871, 10.1).
fn jfif(data: &[u8]) -> Option<(f64, f64)> {
    let data = data.strip_prefix(b"JFIF\0")?;
    let density = |at: usize| Some(f64::from(u16::from_be_bytes([*data.get(at)?, *data.get(at + 1)?])));
    let (x, y) = (density(3)?, density(5)?);
    match data.get(2)? {
        1 => Some((x, y)),
        2 => Some((x * CM_PER_INCH, y * CM_PER_INCH)),
        _ => None,
    }
}

/// Tags 282, 283 and 296 of the first directory of the TIFF head inside (CIPA DC-008, 4.6.4).
fn exif(data: &[u8]) -> Option<(f64, f64)> {
    let tiff = data.strip_prefix(b"Exif\0\0")?;
    let little = tiff.starts_with(b"II");
    let u16_at = |at: usize| {
        let bytes = [*tiff.get(at)?, *tiff.get(at + 1)?];
        Some(if little { u16::from_le_bytes(bytes) } else { u16::from_be_bytes(bytes) })
    };
    let u32_at = |at: usize| {
        let bytes: [u8; 4] = tiff.get(at..at.checked_add(4)?)?.try_into().ok()?;
        Some(if little { u32::from_le_bytes(bytes) } else { u32::from_be_bytes(bytes) })
    };
    let directory = u32_at(4)? as usize;
    let (mut x, mut y, mut unit) = (None, None, 2);
    for entry in 0..usize::from(u16_at(directory)?) {
        let at = directory.checked_add(2 + 12 * entry)?;
        let rational = || {
            let at = u32_at(at + 8)? as usize;
            let (above, below) = (f64::from(u32_at(at)?), f64::from(u32_at(at.checked_add(4)?)?));
            (below > 0.0).then_some(above / below)
        };
        match u16_at(at)? {
            282 => x = rational(),
            283 => y = rational(),
            296 => unit = u16_at(at + 8)?,
            _ => {}
        }
    }
    let per_inch = if unit == 3 { CM_PER_INCH } else { 1.0 };
    Some((x? * per_inch, y? * per_inch))
}
