//! A wheel of 30 teeth with a bore and three holes, to every file: `cargo bench -p solid`.

#![allow(clippy::unwrap_used)]

#[path = "../tests/shared/mod.rs"]
mod shared;

use divan::Bencher;
use quantity::Length;
use shared::wheel;
use solid::chamfer::Chamfers;
use solid::exchange::{self, Said};
use solid::label::label;
use solid::mesh::{Raised, mesh};
use solid::package;
use solid::plate::Plate;
use solid::profile::{Room, Side, lay_out, profile};

fn main() {
    let plate = sample();
    let chamfers = Chamfers { bore: 1.0, outside: 0.5 };
    let sharp = exchange::write(&plate, Chamfers::default(), &Said::default()).unwrap();
    let chamfered = exchange::write(&plate, chamfers, &Said::default()).unwrap();
    let piece = package::write(&mesh(&plate, 0.01, &Raised::default()).unwrap(), &package::Said::default()).unwrap();
    println!("30 teeth, a bore and three holes");
    for (what, bytes) in [("solid", sharp.len()), ("solid, chamfered", chamfered.len()), ("check piece", piece.len())] {
        println!("{what:20} {:8.1} kB", bytes as f64 / 1e3);
    }
    divan::main();
}

fn sample() -> Plate {
    wheel(30, 2.5, 3, 12.0)
}

#[divan::bench]
fn plate_from_its_outline() -> Plate {
    sample()
}

#[divan::bench]
fn solid_from_its_outline() -> String {
    exchange::write(&sample(), Chamfers::default(), &Said::default()).unwrap()
}

#[divan::bench]
fn check_piece_with_label(bencher: Bencher) {
    let plate = sample();
    bencher.bench(|| {
        let letters = label(&plate, "Traverse gear").unwrap();
        let mesh = mesh(&plate, 0.01, &Raised { outlines: letters.outlines, height: 0.6 }).unwrap();
        package::write(&mesh, &package::Said::default()).unwrap()
    });
}

#[divan::bench]
fn profile_with_kerf(bencher: Bencher) {
    let plate = sample();
    bencher.bench(|| profile(&plate, Length::from_mm(0.3), Side::Waste).unwrap());
}

#[divan::bench(sample_count = 10)]
fn twelve_on_a_plate(bencher: Bencher) {
    let path = profile(&sample(), Length::from_mm(0.3), Side::Waste).unwrap();
    bencher.bench(|| lay_out(&path, 12, Room { length: 400.0, width: 300.0, gap: 2.0 }).unwrap());
}
