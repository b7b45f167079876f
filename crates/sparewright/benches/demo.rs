//! How long the demo jobs take: the findings alone, and the whole pack.

use making::shop::Shop;
use sparewright::job::{self, Job};
use sparewright::packed::packed;
use sparewright::scanned::Folder;
use sparewright::{shop, solve};

fn main() {
    divan::main();
}

const SECTOR: &str = include_str!("../../../demo/apple-mill-sector.toml");
const GEAR: &str = include_str!("../../../demo/ropewalk-gear.toml");

fn opened(name: &str) -> (Job, Shop) {
    let text = if name == "sector" { SECTOR } else { GEAR };
    let shop = shop::built_in();
    let pictures = Folder::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../../demo"));
    let (job, _) = job::read_with(text, features::kinds(), &shop.instruments, &pictures);
    (job.expect("a demo job reads"), shop)
}

#[divan::bench(args = ["sector", "gear"])]
fn solved(bencher: divan::Bencher<'_, '_>, name: &str) {
    let (job, shop) = opened(name);
    bencher.bench(|| solve::solve(&job, &shop).features.len());
}

#[divan::bench(args = ["sector", "gear"], sample_count = 10)]
fn pack(bencher: divan::Bencher<'_, '_>, name: &str) {
    let (job, shop) = opened(name);
    let date = jiff::civil::Date::new(2031, 3, 3).expect("a day there is");
    bencher.bench(|| packed(&job, &shop, &date).expect("a demo job packs").pdf.len());
}
