//! Pictures as files: every format, cut short, claiming too much, and mutated.
//!
//! The files in `data/` are one small drawing (a washer, 140 × 120 pixels) written by a common imaging library.

mod shared {
    pub mod render;
}

use std::io::Cursor;

use scan::picture::{Picture, PictureError};
use scan::{Options, ScanError, look, measure};
use shared::render::Random;

const FILES: &[(&str, &[u8])] = &[
    ("grey.png", include_bytes!("data/grey.png")),
    ("grey16.png", include_bytes!("data/grey16.png")),
    ("colour.png", include_bytes!("data/colour.png")),
    ("alpha.png", include_bytes!("data/alpha.png")),
    ("palette.png", include_bytes!("data/palette.png")),
    ("interlaced.png", include_bytes!("data/interlaced.png")),
    ("grey.jpg", include_bytes!("data/grey.jpg")),
    ("colour.jpg", include_bytes!("data/colour.jpg")),
    ("progressive.jpg", include_bytes!("data/progressive.jpg")),
    ("grey.tif", include_bytes!("data/grey.tif")),
    ("grey16.tif", include_bytes!("data/grey16.tif")),
    ("lzw.tif", include_bytes!("data/lzw.tif")),
    ("deflate.tif", include_bytes!("data/deflate.tif")),
    ("grey.bmp", include_bytes!("data/grey.bmp")),
    ("colour.bmp", include_bytes!("data/colour.bmp")),
];

fn read(bytes: &[u8]) -> Result<Picture, PictureError> {
    Picture::read(Cursor::new(bytes))
}

#[test]
fn every_format_shows_the_same_washer() {
    let plain = read(FILES[0].1).unwrap();
    for (name, bytes) in FILES {
        let picture = read(bytes).unwrap_or_else(|error| panic!("{name}: {error}"));
        assert_eq!((picture.width(), picture.height()), (140, 120), "{name}");
        // JPEG changes greys a little, a palette more
        let near = if name.ends_with("jpg") { 20 } else { 6 };
        let off = picture.greys().iter().zip(plain.greys()).map(|(a, b)| a.abs_diff(*b)).max().unwrap();
        assert!(off <= near, "{name}: {off}");
        if !["grey16.png", "grey16.tif", "palette.png"].contains(name) {
            let (x, y) = picture.resolution().unwrap_or_else(|| panic!("{name} has no resolution"));
            let claimed = if *name == "deflate.tif" { 236.22 } else { 600.0 };
            assert!((x - claimed).abs() < 0.05 && (y - claimed).abs() < 0.05, "{name}: {x} {y}");
        }
        let scan = measure(&picture, &Options { dpi: Some(600.0), ..Options::default() }, &|_| ()).unwrap();
        let bore = scan.holes[0].diameter.value / scan.scale.mean();
        assert!((bore - 40.0).abs() < 0.5, "{name}: {bore} px");
    }
}

#[test]
fn a_black_and_white_picture_is_measured_too() {
    let picture = read(include_bytes!("data/bits.bmp")).unwrap();
    assert!(picture.greys().iter().all(|grey| [0, 255].contains(grey)));
}

#[test]
fn a_file_cut_short_is_refused_wherever_it_is_cut() {
    for (name, bytes) in FILES {
        for length in (0..bytes.len()).step_by(97) {
            // a few bytes of checksum at the end are not missed
            if let Ok(picture) = read(&bytes[..length]) {
                assert!(bytes.len() - length < 600, "{name} cut to {length} of {}", bytes.len());
                assert_eq!(picture.greys().len(), 140 * 120);
            }
        }
    }
}

#[test]
fn what_is_no_picture_and_what_claims_too_much_is_refused_in_words() {
    for (bytes, begins) in [
        (&b""[..], "This is no picture"),
        (b"%PDF-1.7 and so on", "This is no picture"),
        (b"\x89PNG\r\n\x1a\n", "The picture's file is damaged"),
        (b"BM", "The picture's file is damaged"),
        (b"\xff\xd8\xff\xd9", "The picture's file is damaged"),
        (b"II*\0\0\0\0\0", "The picture's file is damaged"),
    ] {
        let said = read(bytes).unwrap_err().to_string();
        assert!(said.starts_with(begins), "{said}");
    }
    // a BMP of 60,000 × 60,000 pixels in 54 bytes
    let mut bomb = FILES[13].1[..54].to_vec();
    bomb[18..22].copy_from_slice(&60_000u32.to_le_bytes());
    bomb[22..26].copy_from_slice(&60_000u32.to_le_bytes());
    assert_eq!(read(&bomb), Err(PictureError::TooLarge { width: 60_000, height: 60_000 }));
    // 100 megapixels that are not there take no room
    bomb[18..22].copy_from_slice(&10_000u32.to_le_bytes());
    bomb[22..26].copy_from_slice(&10_000u32.to_le_bytes());
    assert!(matches!(read(&bomb), Err(PictureError::Broken(_))));
}

/// Nothing but noise: borders everywhere, refused or measured, never endless.
#[test]
fn noise_is_no_part() {
    let mut random = Random(5);
    let greys: Vec<u8> = (0..600 * 500).map(|_| random.next() as u8).collect();
    let picture = Picture::new(600, greys).unwrap();
    let outcome = look(&picture, &|_| ());
    assert!(
        outcome.is_ok()
            || matches!(outcome, Err(ScanError::NothingStandsOut | ScanError::TooRough | ScanError::TooSmall))
    );
}

/// Small pictures mutated at random: nothing falls over. More of them with `SCAN_MUTATIONS=100000`.
#[test]
fn mutated_pictures_are_read_or_refused() {
    let count = std::env::var("SCAN_MUTATIONS").ok().and_then(|text| text.parse().ok()).unwrap_or(1_500);
    let mut random = Random(42);
    let mut measured = 0;
    for _ in 0..count {
        let (_, bytes) = FILES[random.next() as usize % FILES.len()];
        let mut bytes = bytes.to_vec();
        for _ in 0..1 + random.next() % 6 {
            let at = match random.next() % 3 {
                0 => random.next() as usize % bytes.len().min(80),
                _ => random.next() as usize % bytes.len(),
            };
            match random.next() % 4 {
                0 => bytes[at] = random.next() as u8,
                1 => bytes[at] ^= 1 << (random.next() % 8),
                2 => bytes.truncate(at.max(8)),
                _ => {
                    let run = (random.next() as usize % 64).min(bytes.len() - at);
                    bytes.drain(at..at + run.min(bytes.len().saturating_sub(9)));
                }
            }
            if bytes.len() < 9 {
                break;
            }
        }
        let Ok(picture) = read(&bytes) else { continue };
        let dpi = Options { dpi: Some(600.0), ..Options::default() };
        measured += usize::from(measure(&picture, &dpi, &|_| ()).is_ok());
    }
    assert!(measured > 0);
}
