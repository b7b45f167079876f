//! PNG, row by row.

use std::io::{BufRead, Seek};

use png::{BitDepth, ColorType, Decoder, DecodingError, Limits, Transformations, Unit};

use super::{Picture, PictureError, Pixel, Rows, Wide};

/// What the decoder may take beside the rows, for colour profiles and texts.
const ROOM: usize = 64 << 20;

/// An interlaced picture has to be held as it lies in the file; scanners write none.
const MOST_INTERLACED: usize = 128 << 20;

const MM_PER_METRE: f64 = 1000.0;
const MM_PER_INCH: f64 = 25.4;

pub fn read(from: impl BufRead + Seek) -> Result<Picture, PictureError> {
    let mut decoder = Decoder::new_with_limits(from, Limits { bytes: ROOM });
    decoder.set_transformations(Transformations::EXPAND);
    decoder.set_ignore_text_chunk(true);
    decoder.set_ignore_iccp_chunk(true);
    let (width, height) = decoder.read_header_info().map_err(broken)?.size();
    let mut rows = Rows::new(width.into(), height.into())?;
    let mut reader = decoder.read_info().map_err(broken)?;
    let (colour, depth) = reader.output_color_type();
    let samples = match colour {
        ColorType::Grayscale => 1,
        ColorType::GrayscaleAlpha => 2,
        ColorType::Rgb | ColorType::Indexed => 3,
        ColorType::Rgba => 4,
    };
    let pixel = Pixel {
        samples,
        wide: if depth == BitDepth::Sixteen { Wide::BigEnd } else { Wide::Byte },
        alpha: matches!(colour, ColorType::GrayscaleAlpha | ColorType::Rgba),
    };
    let resolution = reader.info().pixel_dims.filter(|dims| dims.unit == Unit::Meter).map(|dims| {
        let per_inch = |per_metre: u32| f64::from(per_metre) / MM_PER_METRE * MM_PER_INCH;
        (per_inch(dims.xppu), per_inch(dims.yppu))
    });
    if reader.info().interlaced {
        let bytes = reader.output_buffer_size().filter(|bytes| *bytes <= MOST_INTERLACED);
        let Some(bytes) = bytes else {
            return Err(PictureError::Unsupported("An interlaced PNG of this size".into()));
        };
        let mut whole = vec![0; bytes];
        let info = reader.next_frame(&mut whole).map_err(broken)?;
        for row in whole.chunks_exact(info.line_size).take(height as usize) {
            rows.push(row, pixel)?;
        }
    } else {
        while let Some(row) = reader.next_row().map_err(broken)? {
            rows.push(row.data(), pixel)?;
            if rows.greys.len() == rows.width * rows.height {
                break;
            }
        }
    }
    rows.picture(resolution)
}

fn broken(error: DecodingError) -> PictureError {
    PictureError::Broken(error.to_string())
}
