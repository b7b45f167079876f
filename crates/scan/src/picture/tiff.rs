//! TIFF, strip by strip or tile by tile.

use std::io::{BufRead, Seek};

use tiff::ColorType;
use tiff::decoder::ifd::Value;
use tiff::decoder::{Decoder, DecodingResult, Limits};
use tiff::tags::Tag;

use super::{Picture, PictureError, Pixel, Wide, check_size};

/// The largest strip or tile. Some scanners write one strip for the whole picture.
const LARGEST_CHUNK: usize = 900 << 20;

const CM_PER_INCH: f64 = 2.54;

pub fn read(from: impl BufRead + Seek) -> Result<Picture, PictureError> {
    let mut limits = Limits::default();
    limits.decoding_buffer_size = LARGEST_CHUNK;
    limits.intermediate_buffer_size = LARGEST_CHUNK;
    let mut decoder = Decoder::new(from).map_err(broken)?.with_limits(limits);
    let (width, height) = decoder.dimensions().map_err(broken)?;
    check_size(width.into(), height.into())?;
    let (width, height) = (width as usize, height as usize);
    let (samples, alpha) = match decoder.colortype().map_err(broken)? {
        ColorType::Gray(8 | 16) => (1, false),
        ColorType::GrayA(8 | 16) => (2, true),
        ColorType::RGB(8 | 16) => (3, false),
        ColorType::RGBA(8 | 16) => (4, true),
        other => return Err(PictureError::Unsupported(format!("A TIFF of the sort {other:?}"))),
    };
    let planar = decoder.find_tag_unsigned::<u16>(Tag::PlanarConfiguration).map_err(broken)?;
    if planar == Some(2) && samples > 1 {
        return Err(PictureError::Unsupported("A TIFF with its colours in separate planes".into()));
    }
    let resolution = resolution(&mut decoder);
    let (chunk_width, chunk_height) = decoder.chunk_dimensions();
    let (chunk_width, chunk_height) = (chunk_width as usize, chunk_height as usize);
    if chunk_width == 0 || chunk_height == 0 {
        return Err(PictureError::Broken("its strips have no rows".into()));
    }
    let across = width.div_ceil(chunk_width);
    let down = height.div_ceil(chunk_height);
    let mut greys = Vec::new();
    let mut line = Vec::new();
    for index in 0..across * down {
        let number = u32::try_from(index).map_err(|_| PictureError::Broken("too many strips".into()))?;
        let (columns, rows) = (
            chunk_width.min(width - index % across * chunk_width),
            chunk_height.min(height - index / across * chunk_height),
        );
        let chunk = decoder.read_chunk(number).map_err(broken)?;
        if greys.is_empty() {
            greys = vec![0; width * height];
        }
        let (wide, bytes): (Wide, &[u8]) = match &chunk {
            DecodingResult::U8(bytes) => (Wide::Byte, bytes),
            DecodingResult::U16(_) => (Wide::Native, &[]),
            _ => return Err(PictureError::Unsupported("A TIFF of other than whole numbers".into())),
        };
        let pixel = Pixel { samples, wide, alpha };
        for row in 0..rows {
            line.clear();
            match &chunk {
                DecodingResult::U16(words) => {
                    let part = words.get(row * columns * samples..(row + 1) * columns * samples).ok_or_else(short)?;
                    let bytes: Vec<u8> = part.iter().flat_map(|word| word.to_ne_bytes()).collect();
                    pixel.greys(&bytes, &mut line, columns);
                }
                _ => {
                    let part = bytes.get(row * columns * samples..(row + 1) * columns * samples).ok_or_else(short)?;
                    pixel.greys(part, &mut line, columns);
                }
            }
            let start = (index / across * chunk_height + row) * width + index % across * chunk_width;
            greys.get_mut(start..start + columns).ok_or_else(short)?.copy_from_slice(&line);
        }
    }
    let picture = Picture::new(width, greys)?;
    Ok(match resolution {
        Some((x, y)) => picture.with_resolution(x, y),
        None => picture,
    })
}

/// XResolution, YResolution, ResolutionUnit (TIFF 6.0, section 8).
fn resolution<R: BufRead + Seek>(decoder: &mut Decoder<R>) -> Option<(f64, f64)> {
    let mut value = |tag| match decoder.find_tag(tag).ok()?? {
        Value::Rational(above, below) if below > 0 => Some(f64::from(above) / f64::from(below)),
        Value::List(values) => match values.first()? {
            Value::Rational(above, below) if *below > 0 => Some(f64::from(*above) / f64::from(*below)),
            _ => None,
        },
        Value::Float(value) => Some(f64::from(value)),
        Value::Double(value) => Some(value),
        _ => None,
    };
    let (x, y) = (value(Tag::XResolution)?, value(Tag::YResolution)?);
    match decoder.find_tag_unsigned::<u16>(Tag::ResolutionUnit).ok()? {
        Some(3) => Some((x * CM_PER_INCH, y * CM_PER_INCH)),
        Some(1) => None,
        _ => Some((x, y)),
    }
}

fn short() -> PictureError {
    PictureError::Broken("a strip is too short".into())
}

fn broken(error: tiff::TiffError) -> PictureError {
    PictureError::Broken(error.to_string())
}
