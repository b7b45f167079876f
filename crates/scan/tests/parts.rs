//! Whole parts on rendered scans with exact truth: gears and sectors, whole and broken, clean and not.

mod shared {
    pub mod parts;
    pub mod render;
}

use geometry::Point;
use scan::scale::Source;
use scan::{Gauge, HoleKind, Known, KnownSize, Options, Scan, look, measure, measure_seen};
use shared::parts::{Gear, pulley};
use shared::render::{Bed, Random, Thing, disc, hole};

struct Case {
    name: &'static str,
    gear: Gear,
    dpi: f64,
    change: fn(&mut Bed),
}

fn cases() -> Vec<Case> {
    let mut out = Vec::new();
    let mut add = |name, gear: Gear, dpi, change: fn(&mut Bed)| out.push(Case { name, gear, dpi, change });
    let with = |gear: Gear, change: fn(&mut Gear)| {
        let mut gear = gear;
        change(&mut gear);
        gear
    };
    add("24 × 2", Gear::new(24, 2.0, 20.0), 300.0, |_| ());
    add("24 × 1", Gear::new(24, 1.0, 20.0), 600.0, |_| ());
    add("31 × 0.5", Gear::new(31, 0.5, 20.0), 1200.0, |_| ());
    add("44 × 1.27, 14½°", Gear::new(44, 1.27, 14.5), 300.0, |bed| bed.fall_off = 0.35);
    add("63 × 0.8", Gear::new(63, 0.8, 20.0), 600.0, |bed| bed.noise = 4.0);
    let broken = with(Gear::new(27, 1.5, 20.0), |gear| {
        gear.broken = vec![3, 4, 11];
        gear.keyway = Some((4.0, 1.8));
    });
    add("three broken, keyway", broken.clone(), 600.0, |bed| bed.dust = 5.0);
    add("three broken, shadow", broken, 300.0, |bed| {
        bed.ground = 225.0;
        bed.things[0].grey = 70.0;
        bed.shadow = Some((0.25, 3.0));
    });
    let sector = with(Gear::new(44, 1.27, 14.5), |gear| {
        gear.sector = Some(11);
        gear.holes = vec![(2.5, 13.0, 0.55), (2.5, 13.0, -0.4)];
    });
    let hurt = with(sector.clone(), |gear| gear.broken = vec![4, 5]);
    add("sector", sector, 600.0, |_| ());
    add("sector, two broken, dust", hurt.clone(), 600.0, |bed| bed.dust = 10.0);
    add("sector, two broken, chamfer", hurt.clone(), 600.0, |bed| bed.things[0].chamfer = Some((0.25, 100.0)));
    add("sector, two broken, 300 dpi", hurt, 300.0, |bed| bed.blur = 1.1);
    let boreless = with(Gear::new(30, 1.25, 20.0), |gear| {
        gear.sector = Some(9);
        gear.bore = 0.0;
    });
    add("sector without bore", boreless, 600.0, |_| ());
    let few = with(Gear::new(13, 2.5, 20.0), |gear| gear.bore = 8.0);
    add("13 × 2.5, undercut", few, 600.0, |_| ());
    out
}

fn measured(bed: &Bed) -> Scan {
    measure(&bed.scanned(), &Options::default(), &|_| ()).expect("a part is seen")
}

fn rms(values: &[f64]) -> f64 {
    (values.iter().map(|value| value * value).sum::<f64>() / values.len() as f64).sqrt()
}

/// More of each case with `SCAN_ROUNDS=10`.
#[test]
fn teeth_are_counted_and_measured_on_every_scan() {
    let rounds: usize = std::env::var("SCAN_ROUNDS").ok().and_then(|text| text.parse().ok()).unwrap_or(2);
    let mut random = Random(11);
    let (mut scores, mut places, mut bores) = (Vec::new(), Vec::new(), Vec::new());
    let mut table = String::new();
    for case in cases() {
        for _ in 0..rounds {
            let mut bed = case.gear.bed(case.dpi, &mut random);
            (case.change)(&mut bed);
            let scan = measured(&bed);
            let toothing = case.gear.toothing();
            let pixel = 25.4 / case.dpi;
            let rim = scan.rim.as_ref().unwrap_or_else(|| panic!("{}: no teeth; {:?}", case.name, scan.notes));
            let (Some(pitch), Some(thickness)) = (rim.base_pitch(), rim.base_thickness()) else {
                panic!("{}: {:?}", case.name, rim.not_involute)
            };
            let counted = (rim.teeth.value as u32, rim.present() as u32, rim.broken(), rim.whole);
            let all = case.gear.sector.unwrap_or(case.gear.teeth);
            assert_eq!(
                counted,
                (case.gear.teeth, all, case.gear.broken.len(), case.gear.sector.is_none()),
                "{}",
                case.name
            );
            let off_pitch = pitch.value / toothing.base_pitch().mm() - 1.0;
            let off_thickness = thickness.value - toothing.base_thickness().mm();
            let off_tip = rim.tip_radius.value - 0.5 * toothing.tip_diameter().mm();
            let off_root = rim.root_radius.value - 0.5 * toothing.root_diameter().mm();
            table += &format!(
                "{:28} base pitch {:+.4} % ± {:.4}, thickness {:+.3} px ± {:.3}, tips {:+.3} px ± {:.3}, roots {:+.3} px ± {:.3}\n",
                case.name,
                100.0 * off_pitch,
                100.0 * pitch.sigma / pitch.value,
                off_thickness / pixel,
                thickness.sigma / pixel,
                off_tip / pixel,
                rim.tip_radius.sigma / pixel,
                off_root / pixel,
                rim.root_radius.sigma / pixel
            );
            assert!(off_pitch.abs() < 1e-3, "{table}");
            assert!(off_tip.abs() < 0.15 * pixel && off_root.abs() < 0.15 * pixel, "{table}");
            scores.push(off_pitch * pitch.value / pitch.sigma);
            scores.push(off_thickness / thickness.sigma);
            for hole in scan.holes.iter().filter(|hole| hole.kind == HoleKind::Hole) {
                let near = |(_, radius, turn): &(f64, f64, f64)| {
                    ((-radius * turn.sin() - hole.x) / pixel, (radius * turn.cos() - hole.y) / pixel)
                };
                let off = case.gear.holes.iter().map(near).min_by(|a, b| a.0.hypot(a.1).total_cmp(&b.0.hypot(b.1)));
                let (x, y) = off.unwrap();
                places.extend([x, y]);
            }
            if let Some(bore) = scan.holes.iter().find(|hole| hole.kind == HoleKind::Bore) {
                bores.push((bore.diameter.value - case.gear.bore) / pixel);
            }
            assert_eq!(scan.frame.by_teeth, case.gear.bore == 0.0, "{}", case.name);
        }
    }
    println!("{table}");
    println!("bores {:.4} px rms, holes {:.4} px rms, normalised {:.2}", rms(&bores), rms(&places), rms(&scores));
    assert!(rms(&bores) < 0.03 && rms(&places) < 0.03, "{:.4} {:.4}", rms(&bores), rms(&places));
    assert!((0.7..1.4).contains(&rms(&scores)), "normalised error {:.2}\n{table}", rms(&scores));
}

/// A scanner a third of a per cent too long along and a fifth too short across.
const AXES: (f64, f64) = (1.0033, 0.998);

fn gauged_bed(random: &mut Random) -> (Gear, Bed) {
    let mut gear = Gear::new(20, 1.5, 20.0);
    gear.holes = vec![(2.0, 8.0, 0.3)];
    let mut bed = Bed::new(600.0, (66.0, 44.0));
    bed.seed = random.next();
    bed.axes = AXES;
    bed.things.push(gear.thing(random.between(-3.0, 3.0), Point::new(-11.0, 0.5), 185.0, None));
    (gear, bed)
}

#[test]
fn a_gauge_sets_both_axes_right() {
    let mut random = Random(3);
    let (gear, mut bed) = gauged_bed(&mut random);
    // a ring, as of a bearing, 0.7500 in across
    let at = Point::new(20.0, -4.0);
    bed.things.push(Thing { outlines: vec![disc(at, 9.525), hole(at, 5.0)], grey: 210.0, chamfer: None });
    let options = Options { gauge: Some(Gauge { diameter: 19.05, sigma: 0.001 }), ..Options::default() };
    let scan = measure(&bed.scanned(), &options, &|_| ()).unwrap();
    assert_eq!(scan.scale.source, Source::Gauge);
    let (kx, ky) = bed.per_mm();
    assert!((scan.scale.x_mm * kx - 1.0).abs() < 1e-4 && (scan.scale.y_mm * ky - 1.0).abs() < 1e-4, "{:?}", scan.scale);
    let rim = scan.rim.unwrap();
    assert!((rim.base_pitch().unwrap().value / gear.toothing().base_pitch().mm() - 1.0).abs() < 3e-4);
    let bore = scan.holes[0];
    assert!((bore.diameter.value - gear.bore).abs() < 0.003, "{bore:?}");
    assert_eq!(scan.holes.len(), 2, "the ring's own hole is not the part's");
}

#[test]
fn one_caliper_reading_sets_the_scale_and_the_rim_its_axes() {
    let (gear, bed) = gauged_bed(&mut Random(4));
    let known = Known { what: KnownSize::Bore, size: gear.bore, sigma: 0.01 };
    let scan = measure(&bed.scanned(), &Options { known: Some(known), ..Options::default() }, &|_| ()).unwrap();
    assert_eq!(scan.scale.source, Source::Known);
    let (kx, ky) = bed.per_mm();
    // the rim's roundness tells the axes apart, the bore's reading their mean
    assert!((scan.scale.x_mm * kx - 1.0).abs() < 2e-4 && (scan.scale.y_mm * ky - 1.0).abs() < 2e-4, "{:?}", scan.scale);
}

#[test]
fn two_scans_turned_by_a_quarter_tell_the_axes_apart() {
    let lie = |angle: f64| {
        let mut bed = Bed::new(600.0, (30.0, 30.0));
        bed.axes = AXES;
        // an oval bore: worn by 0.2 mm one way
        let oval: Vec<Point> = hole(Point::ORIGIN, 6.0).iter().map(|p| Point::new(p.x * 1.0167, p.y)).collect();
        let outlines = [disc(Point::ORIGIN, 12.0), oval];
        let outlines = outlines.iter().map(|points| shared::render::turned(points, angle, Point::ORIGIN)).collect();
        bed.things.push(Thing { outlines, grey: 180.0, chamfer: None });
        look(&bed.scanned(), &|_| ()).unwrap()
    };
    let (first, second) = (lie(0.4), lie(0.4 + std::f64::consts::FRAC_PI_2));
    let scan = measure_seen(&first, &Options::default(), Some(&second)).unwrap();
    let ratio = (scan.scale.y_mm / scan.scale.x_mm) / (AXES.0 / AXES.1);
    assert!((ratio - 1.0).abs() < 2e-4, "{ratio}");
}

#[test]
fn with_nothing_to_set_the_scale_by_the_uncertainty_says_so() {
    let (_, mut bed) = gauged_bed(&mut Random(5));
    bed.axes = (1.0, 1.0);
    let scan = measured(&bed);
    assert_eq!(scan.scale.source, Source::Dpi);
    assert!(scan.scale.sigma >= 0.003);
    assert!(scan.notes.iter().any(|note| note.contains("unchecked")), "{:?}", scan.notes);
}

#[test]
fn a_belt_pulley_is_no_gear() {
    for (teeth, pitch, dpi) in [(20, 5.0, 600.0), (32, 5.0, 300.0), (16, 9.5, 300.0)] {
        let side = f64::from(teeth) * pitch / 3.0 + 14.0;
        let mut bed = Bed::new(dpi, (side, side));
        bed.things.push(Thing {
            outlines: vec![pulley(teeth, pitch), hole(Point::ORIGIN, 4.0)],
            grey: 180.0,
            chamfer: None,
        });
        let rim = measured(&bed).rim.unwrap();
        assert_eq!(rim.teeth.value as u32, teeth);
        assert!(rim.not_involute.is_some(), "{teeth} × {pitch}");
        assert!(rim.base_pitch().is_none() && rim.module().is_none());
    }
}

#[test]
fn a_plate_has_an_outline_and_no_teeth() {
    let mut bed = Bed::new(300.0, (80.0, 60.0));
    let corners = [(-30.0, -18.0), (30.0, -18.0), (30.0, 10.0), (12.0, 20.0), (-30.0, 20.0)];
    let plate: Vec<Point> = corners.iter().map(|(x, y)| Point::new(*x, *y)).collect();
    bed.things.push(Thing { outlines: vec![plate, hole(Point::new(5.0, 1.0), 4.0)], grey: 190.0, chamfer: None });
    let scan = measured(&bed);
    assert!(scan.rim.is_none());
    let profile = scan.profile.unwrap();
    assert!(profile.closed && profile.deviation <= 0.15, "{profile:?}");
    assert_eq!(profile.outline.segments().len(), 5, "{:?}", profile.path(1.0, 2));
    // 60 × 38 less the corner of 18 × 10 / 2
    assert!((profile.outline.area() - 2190.0).abs() < 1.0, "{}", profile.outline.area());
    // the saw runs a millimetre outside: the area grows by the length, and round the corners by a circle
    let saw = profile.saw.iter().map(|saw| saw.area()).sum::<f64>();
    let expected = profile.outline.area() + profile.outline.length() + std::f64::consts::PI;
    assert!((saw - expected).abs() < 0.5, "{saw} {expected}");
}

#[test]
fn what_cannot_be_measured_says_so() {
    let blank = Bed::new(300.0, (30.0, 30.0));
    let said = measure(&blank.scanned(), &Options::default(), &|_| ()).unwrap_err().to_string();
    assert!(said.starts_with("Nothing stands out"), "{said}");
    let (_, bed) = gauged_bed(&mut Random(9));
    let options = Options { gauge: Some(Gauge { diameter: 12.0, sigma: 0.01 }), ..Options::default() };
    let said = measure(&bed.scanned(), &options, &|_| ()).unwrap_err().to_string();
    assert!(said.starts_with("No round thing of the gauge's size"), "{said}");
}
