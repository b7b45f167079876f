//! Circles on rendered scans with exact truth: how exact edges and circles come out, and what the stated sigmas are worth.

mod shared {
    pub mod render;
}

use geometry::Point;
use scan::circle::{Spot, circle};
use scan::{look, step};
use shared::render::{Bed, Random, Thing, disc, hole};

/// One bore against the truth, in pixels.
struct Found {
    off_x: f64,
    off_y: f64,
    off_diameter: f64,
    sigma_centre: f64,
    sigma_diameter: f64,
    /// Rms of the edge points, and the Cramér–Rao bound for them.
    points: f64,
    bound: f64,
}

fn washer(bed: &Bed, centre: Point, bore: f64) -> Found {
    let seen = look(&bed.scanned(), &|_| ()).expect("a washer is seen");
    let inner = seen.contours.iter().min_by(|a, b| a.area.total_cmp(&b.area)).expect("it has a bore");
    let spots: Vec<Spot> = inner.points.iter().map(|p| Spot { x: p.x, y: p.y, sigma: p.sigma }).collect();
    let round = circle(&spots).expect("the bore is round");
    let (x, y) = bed.pixel(centre);
    let radius = bore * bed.per_mm().0;
    let bend = seen.sharpness.bend(radius);
    let off = |p: &Spot| (p.x - x).hypot(p.y - y) - radius + bend;
    // a speck of dust on the edge is no edge
    let clean: Vec<f64> = spots.iter().map(off).filter(|off| off.abs() < 0.5).collect();
    Found {
        off_x: round.x - x,
        off_y: round.y - y,
        off_diameter: 2.0 * (round.radius + bend - radius),
        sigma_centre: round.sigma_centre,
        sigma_diameter: 2.0 * round.sigma_radius,
        points: (clean.iter().map(|off| off * off).sum::<f64>() / clean.len() as f64).sqrt(),
        // what rounding to whole greys adds is noise too: 1/√12
        bound: step::bound(bed.noise.hypot(0.29), seen.sharpness.contrast, seen.sharpness.blur),
    }
}

type Change = fn(&mut Bed);

const PLAIN: &[(&str, Change)] = &[
    ("clean", |_| ()),
    ("noisy", |bed| bed.noise = 5.0),
    ("blurred", |bed| bed.blur = 1.6),
    ("dark on light", |bed| {
        bed.ground = 225.0;
        bed.things[0].grey = 70.0;
    }),
    ("fall-off", |bed| bed.fall_off = 0.4),
];

const HARD: &[(&str, Change)] = &[
    ("dust", |bed| bed.dust = 20.0),
    ("lid shadow", |bed| {
        bed.ground = 225.0;
        bed.things[0].grey = 60.0;
        bed.shadow = Some((0.25, 3.0));
    }),
    ("chamfer 0.30 mm", |bed| bed.things[0].chamfer = Some((0.3, 95.0))),
    ("chamfer 0.15 mm", |bed| bed.things[0].chamfer = Some((0.15, 110.0))),
];

/// Bores of several sizes at several places, each time with the change.
fn runs(change: Change, random: &mut Random) -> Vec<Found> {
    (0..5)
        .map(|_| {
            let centre = Point::new(random.between(-2.0, 2.0), random.between(-2.0, 2.0));
            let bore = random.between(3.0, 7.0);
            let mut bed = Bed::new(600.0, (28.0, 27.0));
            bed.seed = random.next();
            bed.things.push(Thing {
                outlines: vec![disc(centre, 10.5), hole(centre, bore)],
                grey: 190.0,
                chamfer: None,
            });
            change(&mut bed);
            washer(&bed, centre, bore)
        })
        .collect()
}

fn rms(values: impl Iterator<Item = f64> + Clone) -> f64 {
    let count = values.clone().count() as f64;
    (values.map(|value| value * value).sum::<f64>() / count).sqrt()
}

#[test]
fn bores_and_their_places_to_three_hundredths_of_a_pixel() {
    let mut random = Random(7);
    let mut scores = Vec::new();
    let mut table = String::new();
    for (name, change) in PLAIN.iter().chain(HARD) {
        let found = runs(*change, &mut random);
        let diameter = rms(found.iter().map(|found| found.off_diameter));
        let place = rms(found.iter().flat_map(|found| [found.off_x, found.off_y]));
        let score = rms(found
            .iter()
            .flat_map(|f| [f.off_diameter / f.sigma_diameter, f.off_x / f.sigma_centre, f.off_y / f.sigma_centre]));
        let (points, bound) = (rms(found.iter().map(|f| f.points)), rms(found.iter().map(|f| f.bound)));
        table += &format!(
            "{name:16} diameter {diameter:.4} px, place {place:.4} px, normalised {score:.2}; points {points:.4} px, bound {bound:.4} px, ratio {:.2}\n",
            points / bound
        );
        assert!(diameter < 0.03 && place < 0.03, "{table}");
        if PLAIN.iter().any(|(plain, _)| plain == name) {
            // twice the Cramér–Rao bound
            assert!(points < 2.0 * bound, "{table}");
            scores.push(score);
        }
    }
    println!("{table}");
    let score = rms(scores.iter().copied());
    assert!((0.7..1.4).contains(&score), "normalised error {score:.2}\n{table}");
}
