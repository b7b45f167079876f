//! Renders the scan that comes with the demo: the apple mill's feed sector on the glass beside a ¾ in gauge.
//!
//! `cargo run -p scan --example demo_scan -- demo/apple-mill-sector.png`

#[path = "../tests/shared/parts.rs"]
mod parts;
#[path = "../tests/shared/render.rs"]
mod render;

use std::f64::consts::TAU;

use geometry::Point;
use geometry::generate::{self, SectorEnd};
use geometry::outline::{Outline, Segment};
use parts::Gear;
use quantity::Length;
use render::{Bed, Thing, disc, hole, points, turned};

const INCH: f64 = 25.4;
const DPI: f64 = 300.0;

fn main() -> std::io::Result<()> {
    let Some(path) = std::env::args().nth(1) else {
        eprintln!("Name the file to write.");
        return Ok(());
    };
    let mut bed = Bed::new(DPI, (122.0, 86.0));
    bed.ground = 34.0;
    // a scanner like any other: a third of a per cent too long along, a fifth too short across
    bed.axes = (1.0032, 0.9981);
    bed.blur = 0.75;
    bed.noise = 1.2;
    bed.fall_off = 0.12;
    bed.dust = 1.5;
    bed.seed = 1887;
    bed.things.push(Thing { outlines: sector(0.21, Point::new(-8.0, -20.0)), grey: 148.0, chamfer: None });
    bed.things.push(Thing { outlines: vec![disc(Point::new(43.0, -22.0), 0.375 * INCH)], grey: 205.0, chamfer: None });
    let (width, height) = bed.pixels();
    let mut encoder = png::Encoder::new(std::fs::File::create(path)?, width as u32, height as u32);
    encoder.set_color(png::ColorType::Grayscale);
    encoder.set_compression(png::Compression::High);
    let per_metre = (DPI / 0.0254).round() as u32;
    encoder.set_pixel_dims(Some(png::PixelDimensions { xppu: per_metre, yppu: per_metre, unit: png::Unit::Meter }));
    let mut writer = encoder.write_header()?;
    writer.write_image_data(&bed.greys())?;
    writer.finish()?;
    Ok(())
}

/// The sector of the demo job: 44 teeth of 10 diametral pitch, eleven on the piece, the fourth and fifth broken.
fn sector(angle: f64, to: Point) -> Vec<Vec<Point>> {
    let mut gear = Gear::new(44, 2.54, 14.5);
    gear.sector = Some(11);
    gear.broken = vec![3, 4];
    gear.thinning = 0.101;
    gear.dedendum = 1.18;
    let toothing = gear.toothing();
    let teeth = generate::sector(&toothing, 11, Length::from_mm(2e-5), SectorEnd::MiddleOfSpace);
    let at = |x: f64, y: f64| Point::new(x * INCH, y * INCH);
    let (left, right) = (at(-0.6934, -0.2858), at(0.6934, -0.2858));
    let start = left.to_vec2().atan2();
    let sweep = (right.to_vec2().atan2() - start).rem_euclid(TAU);
    let back = Outline::new(vec![
        Segment::Line { from: at(-1.38, 1.38), to: left },
        Segment::Arc { centre: Point::ORIGIN, radius: left.to_vec2().hypot(), start, sweep },
        Segment::Line { from: right, to: at(1.38, 1.38) },
    ]);
    let mut outer = points(&teeth.then(back).close(), true);
    gear.break_teeth(&mut outer, &toothing);
    let mut outlines = vec![outer, hole(Point::ORIGIN, 0.5 * 0.8755 * INCH)];
    let (across, radius) = (0.5625 * INCH, 1.0625 * INCH);
    // the museum's holes stand a little aslant to the teeth: that is what clocking is for
    let tilt = 0.6f64.to_radians();
    for side in [-1.0f64, 1.0] {
        let turn = (across / radius).asin() * side + tilt;
        outlines.push(hole(Point::new(-radius * turn.sin(), radius * turn.cos()), 0.5 * 0.0985 * INCH));
    }
    outlines.iter().map(|outline| turned(outline, angle, to)).collect()
}
