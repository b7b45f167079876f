//! A scan's pixels as greys, row by row from the file, and the resolution the file claims.
//!
//! One byte a pixel is held, whatever the file holds: a scanner's noise is larger than the step of a byte, and 140 megapixels
//! of sixteen-bit colour would be 840 MB.

mod bmp;
mod jpeg;
mod png;
mod tiff;

use std::fmt;
use std::io::{BufRead, Seek};

/// Greys in rows from the top.
#[derive(Clone, PartialEq, Eq)]
pub struct Picture {
    width: usize,
    height: usize,
    greys: Vec<u8>,
    resolution: Option<(u32, u32)>,
}

/// Why a picture was not read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum PictureError {
    /// None of the formats read here.
    Unknown,
    Empty,
    TooLarge {
        width: u64,
        height: u64,
    },
    /// The file ends early, or is not what its head says.
    Broken(String),
    /// A sort of file of a known format that is not read.
    Unsupported(String),
}

/// The longest side taken, and the most pixels: A3 at 1200 to the inch is 280 megapixels and no flatbed of a repair shop's.
const LONGEST_SIDE: u64 = 60_000;
const MOST_PIXELS: u64 = 200_000_000;

impl Picture {
    /// `greys` in rows from the top, `width` to a row.
    pub fn new(width: usize, greys: Vec<u8>) -> Result<Picture, PictureError> {
        let height = greys.len().checked_div(width).unwrap_or(0);
        check_size(width as u64, height as u64)?;
        if height * width != greys.len() {
            return Err(PictureError::Broken("the last row is not whole".into()));
        }
        Ok(Picture { width, height, greys, resolution: None })
    }

    /// Reads a PNG, JPEG, TIFF or BMP file.
    pub fn read(mut from: impl BufRead + Seek) -> Result<Picture, PictureError> {
        let mut head = [0; 8];
        let mut filled = 0;
        while filled < head.len() {
            match from.read(&mut head[filled..]) {
                Ok(0) => break,
                Ok(count) => filled += count,
                Err(error) => return Err(PictureError::Broken(error.to_string())),
            }
        }
        from.rewind().map_err(|error| PictureError::Broken(error.to_string()))?;
        match head {
            [0x89, b'P', b'N', b'G', ..] => png::read(from),
            [0xff, 0xd8, ..] => jpeg::read(from),
            [b'I', b'I', 42 | 43, 0, ..] | [b'M', b'M', 0, 42 | 43, ..] => tiff::read(from),
            [b'B', b'M', ..] => bmp::read(from),
            _ => Err(PictureError::Unknown),
        }
    }

    #[must_use]
    pub fn with_resolution(mut self, x: f64, y: f64) -> Picture {
        self.resolution = milli_resolution(x, y);
        self
    }

    pub fn width(&self) -> usize {
        self.width
    }

    pub fn height(&self) -> usize {
        self.height
    }

    pub fn greys(&self) -> &[u8] {
        &self.greys
    }

    pub fn row(&self, y: usize) -> &[u8] {
        &self.greys[y * self.width..(y + 1) * self.width]
    }

    /// Pixels to the inch along and across, if the file says.
    pub fn resolution(&self) -> Option<(f64, f64)> {
        self.resolution.map(|(x, y)| (f64::from(x) / 1000.0, f64::from(y) / 1000.0))
    }

    pub(crate) fn at(&self, x: usize, y: usize) -> u8 {
        self.greys[y * self.width + x]
    }
}

fn check_size(width: u64, height: u64) -> Result<(), PictureError> {
    if width == 0 || height == 0 {
        return Err(PictureError::Empty);
    }
    if width > LONGEST_SIDE || height > LONGEST_SIDE || width * height > MOST_PIXELS {
        return Err(PictureError::TooLarge { width, height });
    }
    Ok(())
}

/// Kept to a thousandth; files with no sensible resolution say 0, 1 or 72 of nothing.
fn milli_resolution(x: f64, y: f64) -> Option<(u32, u32)> {
    let sensible = |value: f64| (20.0..=20_000.0).contains(&value);
    (sensible(x) && sensible(y)).then(|| ((x * 1000.0).round() as u32, (y * 1000.0).round() as u32))
}

/// Rows of greys as they come out of a file, never more room taken than rows have come.
#[derive(Debug)]
struct Rows {
    width: usize,
    height: usize,
    greys: Vec<u8>,
}

impl Rows {
    fn new(width: u64, height: u64) -> Result<Rows, PictureError> {
        check_size(width, height)?;
        Ok(Rows { width: width as usize, height: height as usize, greys: Vec::new() })
    }

    /// Room for the whole picture once its first rows have come, so that it is not moved as it grows.
    fn make_room(&mut self) {
        if self.greys.len() == 64 * self.width {
            self.greys.reserve_exact(self.width * self.height - self.greys.len());
        }
    }

    fn push(&mut self, row: &[u8], pixel: Pixel) -> Result<(), PictureError> {
        self.make_room();
        let before = self.greys.len();
        pixel.greys(row, &mut self.greys, self.width);
        match self.greys.len() - before == self.width {
            true => Ok(()),
            false => Err(PictureError::Broken("a row is too short".into())),
        }
    }

    fn picture(self, resolution: Option<(f64, f64)>) -> Result<Picture, PictureError> {
        if self.greys.len() != self.width * self.height {
            return Err(PictureError::Broken("it ends before its last row".into()));
        }
        let resolution = resolution.and_then(|(x, y)| milli_resolution(x, y));
        Ok(Picture { width: self.width, height: self.height, greys: self.greys, resolution })
    }
}

/// How a pixel lies in a row of bytes.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Pixel {
    samples: usize,
    wide: Wide,
    alpha: bool,
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Wide {
    Byte,
    BigEnd,
    Native,
}

impl Pixel {
    fn greys(self, row: &[u8], into: &mut Vec<u8>, width: usize) {
        match (self.wide, self.samples, self.alpha) {
            (Wide::Byte, 1, false) => into.extend(row.iter().take(width)),
            (Wide::Byte, 3, false) => {
                into.extend(row.chunks_exact(3).take(width).map(|pixel| grey(pixel[0], pixel[1], pixel[2])));
            }
            (Wide::Byte, ..) => {
                into.extend(row.chunks_exact(self.samples).take(width).map(|pixel| self.grey(pixel)));
            }
            (Wide::BigEnd | Wide::Native, ..) => {
                let mut bytes = [0; 8];
                into.extend(row.chunks_exact(2 * self.samples).take(width).map(|pixel| {
                    for (byte, pair) in bytes.iter_mut().zip(pixel.chunks_exact(2)) {
                        let pair = [pair[0], pair[1]];
                        let value =
                            if self.wide == Wide::BigEnd { u16::from_be_bytes(pair) } else { u16::from_ne_bytes(pair) };
                        *byte = ((u32::from(value) + 128) / 257) as u8;
                    }
                    self.grey(&bytes[..self.samples.min(8)])
                }));
            }
        }
    }

    /// What is transparent shows white.
    fn grey(self, samples: &[u8]) -> u8 {
        let (colour, alpha) = match (samples, self.alpha) {
            ([.., alpha], true) => (&samples[..samples.len() - 1], u32::from(*alpha)),
            _ => (samples, 255),
        };
        let own = match colour {
            [r, g, b, ..] => grey(*r, *g, *b),
            [one, ..] => *one,
            [] => 255,
        };
        ((u32::from(own) * alpha + 255 * (255 - alpha) + 127) / 255) as u8
    }
}

/// Brightness, roughly as the eye weighs colours; metal and its background have little colour.
fn grey(r: u8, g: u8, b: u8) -> u8 {
    ((2 * u32::from(r) + 5 * u32::from(g) + u32::from(b) + 4) / 8) as u8
}

impl fmt::Debug for Picture {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Picture({} × {}, {:?})", self.width, self.height, self.resolution())
    }
}

impl fmt::Display for PictureError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            PictureError::Unknown => {
                f.write_str("This is no picture that can be read here: save the scan as PNG, TIFF, JPEG or BMP.")
            }
            PictureError::Empty => f.write_str("The picture has no pixels: scan it again."),
            PictureError::TooLarge { width, height } => write!(
                f,
                "The picture claims to be {width} by {height} pixels, more than the {} megapixels that are read here: scan only the part, or at fewer dots to the inch.",
                MOST_PIXELS / 1_000_000
            ),
            PictureError::Broken(why) => {
                write!(f, "The picture's file is damaged ({}): save or scan it again.", why.trim_end_matches('.'))
            }
            PictureError::Unsupported(what) => {
                write!(f, "{what} is not read here: save the scan as a plain PNG or TIFF.")
            }
        }
    }
}

impl std::error::Error for PictureError {}
