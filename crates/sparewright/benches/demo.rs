//! How long the demo jobs take: the findings alone, and the whole pack.

use sparewright::job;
use sparewright::packed::packed;
use sparewright::{shop, solve};

fn main() {
    divan::main();
}

const SECTOR: &str = include_str!("../../../demo/apple-mill-sector.toml");
const GEAR: &str = include_str!("../../../demo/ropewalk-gear.toml");

#[divan::bench(args = [("sector", SECTOR), ("gear", GEAR)])]
fn solved(bencher: divan::Bencher<'_, '_>, (_, text): (&str, &str)) {
    let shop = shop::built_in();
    let (job, _) = job::read(text, features::kinds(), &shop.instruments);
    let job = job.expect("a demo job reads");
    bencher.bench(|| solve::solve(&job, &shop).features.len());
}

#[divan::bench(args = [("sector", SECTOR), ("gear", GEAR)], sample_count = 10)]
fn pack(bencher: divan::Bencher<'_, '_>, (_, text): (&str, &str)) {
    let shop = shop::built_in();
    let (job, _) = job::read(text, features::kinds(), &shop.instruments);
    let job = job.expect("a demo job reads");
    let date = jiff::civil::Date::new(2031, 3, 3).expect("a day there is");
    bencher.bench(|| packed(&job, &shop, &date).expect("a demo job packs").pdf.len());
}
