//! Circles on rendered scans with exact truth: how exact edges and circles come out, and what the stated sigmas are worth.

mod shared {
    pub mod render;
}

use geometry::Point;
use scan::circle::{Spot, circle};
use scan::{border::borders, edge::edges, ground::Ground, step};
use shared::render::{Bed, Random, Thing, disc, hole};

struct Found {
    off_centre: f64,
    off_radius: f64,
    sigma_centre: f64,
    sigma_radius: f64,
}

/// A washer scanned: its bore against the truth, in pixels; and the rms of the edge points against the bound.
fn washer(bed: &Bed, centre: Point, bore: f64) -> (Found, f64, f64) {
    let picture = bed.scanned();
    let ground = Ground::of(&picture).unwrap();
    let borders = borders(&picture, &ground).unwrap();
    let (contours, sharpness) = edges(&picture, &ground, &borders).unwrap();
    let inner = contours.iter().filter(|contour| contour.area < 0.0).min_by(|a, b| a.area.total_cmp(&b.area)).unwrap();
    let spots: Vec<Spot> = inner.points.iter().map(|p| Spot { x: p.x, y: p.y, sigma: p.sigma }).collect();
    let round = circle(&spots).unwrap();
    let (x, y) = bed.pixel(centre);
    let radius = bore * bed.per_mm().0;
    let bend = sharpness.blur * sharpness.blur / (2.0 * radius);
    let truth = |p: &Spot| (p.x - x).hypot(p.y - y) - radius + bend;
    let rms = (spots.iter().map(|p| truth(p).powi(2)).sum::<f64>() / spots.len() as f64).sqrt();
    (
        Found {
            off_centre: (round.x - x).hypot(round.y - y) / 2f64.sqrt(),
            off_radius: round.radius + bend - radius,
            sigma_centre: round.sigma_centre,
            sigma_radius: round.sigma_radius,
        },
        rms,
        step::bound(bed.noise.hypot(0.29), sharpness.contrast, sharpness.blur),
    )
}

#[test]
fn bores_come_out_within_three_hundredths_of_a_pixel() {
    let mut random = Random(7);
    let mut table = String::new();
    for (name, change) in [
        ("clean", (|_| ()) as fn(&mut Bed)),
        ("noisy", |bed| bed.noise = 5.0),
        ("blurred", |bed| bed.blur = 1.6),
        ("dark on light", |bed| {
            bed.ground = 225.0;
            bed.things[0].grey = 70.0;
        }),
        ("fall-off", |bed| bed.fall_off = 0.4),
        ("dust", |bed| bed.dust = 20.0),
        ("shadow", |bed| {
            bed.ground = 225.0;
            bed.things[0].grey = 60.0;
            bed.shadow = Some((0.45, 1.5));
        }),
        ("chamfer 0.3", |bed| bed.things[0].chamfer = Some((0.3, 95.0))),
        ("chamfer 0.15", |bed| bed.things[0].chamfer = Some((0.15, 110.0))),
    ] {
        let mut signed = 0.0;
        let (mut off, mut off_centre, mut score, mut count) = (0.0, 0.0, 0.0, 0.0);
        let (mut rms, mut bound) = (0.0, 0.0);
        for run in 0..6 {
            let centre = Point::new(random.between(-2.0, 2.0), random.between(-2.0, 2.0));
            let bore = random.between(5.0, 9.0);
            let mut bed = Bed::new(600.0, (36.0, 34.0));
            bed.seed = run;
            bed.things.push(Thing { outlines: vec![disc(centre, 14.0), hole(centre, bore)], grey: 190.0, chamfer: None });
            change(&mut bed);
            let (found, point, least) = washer(&bed, centre, bore);
            off += found.off_radius.powi(2);
            signed += found.off_radius;
            off_centre += found.off_centre.powi(2);
            score += (found.off_radius / found.sigma_radius).powi(2) + (found.off_centre / found.sigma_centre).powi(2);
            count += 1.0;
            rms += point;
            bound += least;
        }
        table += &format!(
            "{name:14} diameter {:.4} ({:+.4}) px, centre {:.4} px, normalised {:.2}, points {:.4} px, bound {:.4} px, {:.2}\n",
            2.0 * (off / count as f64).sqrt(),
            signed / count as f64 * 2.0,
            (off_centre / count as f64).sqrt(),
            (score / 2.0 / count as f64).sqrt(),
            rms / count,
            bound / count,
            rms / bound
        );
    }
    println!("{table}");
}
#[test]
fn dbg_shadow() {
    let mut bed = Bed::new(600.0, (36.0, 34.0));
    bed.ground = 225.0;
    bed.shadow = Some((0.45, 1.5));
    bed.things.push(Thing { outlines: vec![disc(Point::ZERO, 14.0), hole(Point::ZERO, 7.0)], grey: 60.0, chamfer: None });
    let picture = bed.scanned();
    let ground = Ground::of(&picture).unwrap();
    let borders = borders(&picture, &ground).unwrap();
    let (contours, sharpness) = edges(&picture, &ground, &borders).unwrap();
    println!("{sharpness:?}");
    let (x, y) = bed.pixel(Point::ZERO);
    for c in &contours { println!("{} {}", c.area, c.points.len());
     if c.area < 0.0 { for p in c.points.iter().step_by(20) { println!("{:4.0} {:+.3} s {:.3}", (p.y-y).atan2(p.x-x).to_degrees(), (p.x-x).hypot(p.y-y)-7.0*bed.per_mm().0, p.sigma); } } }
}
