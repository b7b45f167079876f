//! Whole parts on rendered scans with exact truth.

mod shared {
    pub mod parts;
    pub mod render;
}

use geometry::Point;
use scan::scale::Source;
use scan::{Gauge, HoleKind, Options, Scan, measure};
use shared::parts::{Gear, pulley};
use shared::render::{Bed, Random, Thing, disc};

/// Rendered exactly true: the dpi is what it says.
fn measured(bed: &Bed) -> Scan {
    measure(&bed.scanned(), &Options::default(), &|_| ()).unwrap()
}

#[test]
fn look_at_rims() {
    let mut random = Random(11);
    let mut cases: Vec<(&str, Gear, f64, fn(&mut Bed))> = Vec::new();
    cases.push(("24 × 2, 20°, 300 dpi", Gear::new(24, 2.0, 20.0), 300.0, |_| ()));
    cases.push(("24 × 2, 20°, 600 dpi", Gear::new(24, 2.0, 20.0), 600.0, |_| ()));
    cases.push(("44 × 1.27 14.5°", Gear::new(44, 1.27, 14.5), 600.0, |_| ()));
    let mut broken = Gear::new(27, 1.5, 20.0);
    broken.broken = vec![3, 4, 11];
    broken.keyway = Some((4.0, 1.8));
    cases.push(("broken, keyway", broken, 600.0, |_| ()));
    let mut sector = Gear::new(44, 1.27, 14.5);
    sector.sector = Some(11);
    sector.holes = vec![(2.5, 13.0, 0.55), (2.5, 13.0, -0.55)];
    cases.push(("sector", sector.clone(), 600.0, |_| ()));
    sector.broken = vec![4, 5];
    cases.push(("sector, broken", sector.clone(), 600.0, |bed| bed.dust = 10.0));
    cases.push(("sector, chamfer", sector, 600.0, |bed| bed.things[0].chamfer = Some((0.25, 100.0))));
    let mut small = Gear::new(12, 2.5, 20.0);
    small.bore = 8.0;
    cases.push(("12 × 2.5", small, 600.0, |bed| bed.axes = (1.003, 0.998)));
    let mut boreless = Gear::new(30, 1.25, 20.0);
    boreless.sector = Some(9);
    boreless.bore = 0.0;
    cases.push(("sector without bore", boreless, 600.0, |_| ()));
    for (name, gear, dpi, change) in cases {
        let mut bed = gear.bed(dpi, &mut random);
        change(&mut bed);
        let scan = measured(&bed);
        let toothing = gear.toothing();
        let Some(rim) = &scan.rim else {
            println!("{name}: no rim; {:?}", scan.notes);
            continue;
        };
        let tip = 0.5 * toothing.tip_diameter().mm();
        let root = 0.5 * toothing.root_diameter().mm();
        println!(
            "{name}: z {:.0} ± {:.2} ({}), present {}, broken {}, whole {}, tip {:+.4} ± {:.4}, root {:+.4} ± {:.4}, notes {:?}",
            rim.teeth.value, rim.teeth.sigma, gear.teeth, rim.present(), rim.broken(), rim.whole,
            rim.tip_radius.value - tip, rim.tip_radius.sigma, rim.root_radius.value - root, rim.root_radius.sigma, scan.notes,
        );
        if let (Some(f), Some(pb), Some(sb), Some(a), Some(m)) = (rim.flanks, rim.base_pitch(), rim.base_thickness(), rim.pressure_angle(), rim.module()) {
            println!(
                "    pb {:+.5} % ± {:.5} %, sb {:+.4} ± {:.4}, α {:.2} ± {:.2}, m {:.4} ± {:.4}, centre ± {:.4}, rest {:.4}, form {:.4}, stretch {:.5} ± {:.5}, {} points",
                100.0 * (pb.value / toothing.base_pitch().mm() - 1.0), 100.0 * pb.sigma / pb.value,
                sb.value - toothing.base_thickness().mm(), sb.sigma, a.value.to_degrees(), a.sigma.to_degrees(), m.value, m.sigma,
                f.sigma.centre, f.rest, f.form, f.stretch, f.sigma.stretch, f.points
            );
        }
        for slot in rim.slots.iter().filter(|slot| slot.state != scan::teeth::State::Whole) { println!("    {slot:?}"); }
        for hole in &scan.holes {
            println!("    {:?} {:.4} ± {:.4} at {:.4} {:.4} ± {:.4} share {:.2} round {:.4}", hole.kind, hole.diameter.value, hole.diameter.sigma, hole.x, hole.y, hole.sigma_place, hole.share, hole.roundness);
        }
        if let Some(profile) = &scan.profile {
            println!("    {:?} dev {:.3} saw {}", profile.path(1.0, 3), profile.deviation, profile.saw.len());
        }
    }
    let mut bed = Bed::new(600.0, (60.0, 60.0));
    bed.things.push(Thing { outlines: vec![pulley(20, 5.0), shared::render::hole(Point::ZERO, 5.0)], grey: 180.0, chamfer: None });
    let scan = measured(&bed);
    println!("pulley {:?} {:?}", scan.rim.as_ref().map(|rim| (rim.teeth, rim.present(), rim.flanks)), scan.notes);
    let _ = (Source::Dpi, HoleKind::Bore, Gauge { diameter: 1.0, sigma: 0.1 }, disc(Point::ZERO, 1.0));
}
