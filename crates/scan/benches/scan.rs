//! How long a scan takes, from file to shapes, as the picture grows from 1 to 140 megapixels, and what memory it needs.
//!
//! Each picture is an A4 sheet with a gear on it, written as a grey PNG; it is then read and measured in a process of its own,
//! so that the memory told is the measuring's.

#[path = "../tests/shared/parts.rs"]
mod parts;
#[path = "../tests/shared/render.rs"]
mod render;

use std::fs::File;
use std::io::{BufReader, BufWriter};
use std::path::Path;
use std::process::Command;
use std::time::Instant;

use geometry::Point;
use parts::Gear;
use render::{Bed, Random};
use scan::picture::Picture;
use scan::{Options, Stage, measure};

/// Dots to the inch of an A4 sheet, for 1 to 140 megapixels.
const DPIS: [f64; 6] = [100.0, 200.0, 300.0, 600.0, 900.0, 1200.0];
const A4_MM: (f64, f64) = (210.0, 297.0);

fn main() {
    let arguments: Vec<String> = std::env::args().collect();
    if let [_, verb, path, ..] = arguments.as_slice()
        && verb == "measure"
    {
        timed(Path::new(path));
        return;
    }
    let most: f64 = std::env::var("SCAN_BENCH_DPI").ok().and_then(|text| text.parse().ok()).unwrap_or(1200.0);
    println!("  dpi      MP   decode   ground  borders    edges     fits    total   beyond    MP/s     peak");
    let folder = std::env::temp_dir().join("scan-bench");
    std::fs::create_dir_all(&folder).expect("a folder for the pictures");
    for dpi in DPIS.into_iter().filter(|dpi| *dpi <= most) {
        let path = folder.join(format!("{dpi}.png"));
        write(&path, dpi);
        let own = std::env::current_exe().expect("this program");
        let out = Command::new(own).arg("measure").arg(&path).output().expect("it runs");
        print!("{dpi:5.0} {}", String::from_utf8_lossy(&out.stdout));
        let _ = std::fs::remove_file(&path);
    }
}

fn timed(path: &Path) {
    // the best of three: other work on the machine only adds
    let runs: Vec<[f64; 6]> = (0..3).map(|_| once(path)).collect();
    let best = runs.iter().min_by(|a, b| a[5].total_cmp(&b[5])).expect("three runs");
    let [pixels, decode, ground, borders, edges, total] = *best;
    let fits = total - decode - ground - borders - edges;
    println!(
        "{:7.1} {decode:7.3}s {ground:7.3}s {borders:7.3}s {edges:7.3}s {fits:7.3}s {total:7.3}s {:7.3}s {:7.1} {:5.0} MB",
        pixels / 1e6,
        total - decode,
        pixels / 1e6 / total,
        peak_mb()
    );
}

fn once(path: &Path) -> [f64; 6] {
    let start = Instant::now();
    let picture =
        Picture::read(BufReader::with_capacity(1 << 16, File::open(path).expect("it is there"))).expect("it reads");
    let decode = start.elapsed().as_secs_f64();
    let at = std::cell::RefCell::new(Vec::new());
    let scan = measure(&picture, &Options::default(), &|stage: Stage| at.borrow_mut().push((stage, start.elapsed())));
    let total = start.elapsed().as_secs_f64();
    assert!(scan.is_ok_and(|scan| scan.rim.is_some_and(|rim| rim.involute().is_some())), "the gear is found");
    let at: Vec<f64> = at.borrow().iter().map(|(_, at)| at.as_secs_f64()).collect();
    let pixels = (picture.width() * picture.height()) as f64;
    [pixels, decode, at[1] - at[0], at[2] - at[1], at[3] - at[2], total]
}

/// A gear and its neighbourhood as rendered, the rest of the sheet noise.
fn write(path: &Path, dpi: f64) {
    let mut gear = Gear::new(44, 2.54, 14.5);
    gear.broken = vec![7, 8];
    let side = 2.0 * gear.reach() + 10.0;
    let mut bed = Bed::new(dpi, (side, side));
    bed.things.push(gear.thing(0.3, Point::ZERO, 180.0, None));
    let part = bed.greys();
    let (own, _) = bed.pixels();
    let (width, height) = ((A4_MM.0 / 25.4 * dpi) as usize, (A4_MM.1 / 25.4 * dpi) as usize);
    let mut random = Random(3);
    let noise: Vec<u8> = (0..1 << 16).map(|_| (30.0 + 1.5 * random.normal()).round() as u8).collect();
    let (left, above) = ((width - own) / 2, (height - own) / 2);
    let file = BufWriter::new(File::create(path).expect("the file"));
    let mut encoder = png::Encoder::new(file, width as u32, height as u32);
    encoder.set_color(png::ColorType::Grayscale);
    encoder.set_compression(png::Compression::Fast);
    let per_metre = (dpi / 0.0254).round() as u32;
    encoder.set_pixel_dims(Some(png::PixelDimensions { xppu: per_metre, yppu: per_metre, unit: png::Unit::Meter }));
    let mut writer = encoder.write_header().expect("a head");
    let mut stream = writer.stream_writer().expect("a stream");
    let mut row = vec![0; width];
    for y in 0..height {
        let from = random.next() as usize;
        for (x, grey) in row.iter_mut().enumerate() {
            *grey = noise[(from + x) & 0xffff];
        }
        if (above..above + own).contains(&y) {
            row[left..left + own].copy_from_slice(&part[(y - above) * own..(y - above + 1) * own]);
        }
        std::io::Write::write_all(&mut stream, &row).expect("a row");
    }
    stream.finish().expect("the end");
}

/// The most memory this process has held; only Linux tells.
fn peak_mb() -> f64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    line.and_then(|line| line.trim().trim_end_matches("kB").trim().parse::<f64>().ok()).unwrap_or(f64::NAN) / 1024.0
}
