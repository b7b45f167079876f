//! How long a search takes among 100,000 invented jobs, as a table: `cargo bench -p record --bench search`.

use std::time::{Duration, Instant};

use jiff::Timestamp;
use record::{By, Condition, Fact, Facts, Query, Store};

const JOBS: u32 = 100_000;
/// Every search is made so often; the slowest is told too.
const TIMES: usize = 30;

const PARTS: [&str; 12] =
    ["sector", "gear", "pinion", "bush", "shaft", "ratchet", "pulley", "cam", "lever", "collar", "rack", "worm wheel"];
const MACHINES: [&str; 12] = [
    "apple mill",
    "ropewalk traverse",
    "loom",
    "cider press",
    "chaff cutter",
    "winnower",
    "sluice",
    "tower clock",
    "hay hoist",
    "butter churn",
    "seed drill",
    "bellows",
];
const PLACES: [&str; 6] = ["feed", "take-up", "drive", "idler", "lift", "let-off"];
const MATERIALS: [&str; 5] = ["grey cast iron", "brass", "bronze", "mild steel", "boxwood"];

fn main() {
    let store = filled();
    println!("{JOBS} jobs, {TIMES} searches each, in milliseconds");
    println!("{:<44} {:>7} {:>8} {:>8}", "asked", "found", "median", "slowest");
    let near = |what: &str, value, tolerance| Condition { any_of: vec![Fact { what: what.into(), value, tolerance }] };
    let teeth = |n: f64| near("teeth", n, 0.0);
    let module = |mm: f64| near("module", mm, 0.005);
    let bore = |mm: f64, tolerance| near("bore", mm, tolerance);
    for (asked, words, conditions) in [
        ("(nothing: the newest)", "", vec![]),
        ("a", "a", vec![]),
        ("g", "g", vec![]),
        ("gear", "gear", vec![]),
        ("grey cast iron", "grey cast iron", vec![]),
        ("feed sector app", "feed sector app", vec![]),
        ("feed sector for the apple mill", "feed sector for the apple mill", vec![]),
        ("44 teeth", "", vec![teeth(44.0)]),
        ("44 teeth 10 dp", "", vec![teeth(44.0), module(2.54)]),
        ("10 dp", "", vec![module(2.54)]),
        ("bore 7/8", "", vec![bore(22.225, 0.2)]),
        ("bore 7/8 apple mill", "apple mill", vec![bore(22.225, 0.2)]),
        ("bore 7/8 ± 1/4 the", "the", vec![bore(22.225, 6.35)]),
    ] {
        let words = words.split_whitespace().map(str::to_string).collect();
        let query = Query { words, conditions, most: 50, ..Query::default() };
        let mut took: Vec<Duration> = Vec::new();
        let mut total = 0;
        for _ in 0..TIMES {
            let start = Instant::now();
            total = store.search(&query).expect("searched").total;
            took.push(start.elapsed());
        }
        took.sort();
        let ms = |took: Duration| took.as_secs_f64() * 1e3;
        println!("{asked:<44} {total:>7} {:>8.2} {:>8.2}", ms(took[TIMES / 2]), ms(took[TIMES - 1]));
    }
}

/// The same jobs every time.
fn filled() -> Store {
    let store = Store::in_memory().expect("a store");
    let start = Instant::now();
    let mut seed = 1_u32;
    let mut pick = |from: u32| {
        seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        (seed >> 8) % from
    };
    for number in 0..JOBS {
        let by = By { who: "bench", at: Timestamp::from_second(1_600_000_000 + i64::from(number)).expect("a time") };
        let (place, part) = (PLACES[pick(6) as usize], PARTS[pick(12) as usize]);
        let (machine, material) = (MACHINES[pick(12) as usize], MATERIALS[pick(5) as usize]);
        let title = format!("{place} {part} for the {machine} {}", pick(5_000));
        let teeth = f64::from(12 + pick(80));
        let module = 25.4 / f64::from(4 + pick(20));
        let bore = 25.4 / 32.0 * f64::from(8 + pick(56));
        let fact = |what: &str, value: f64, tolerance: f64| Fact { what: what.into(), value, tolerance };
        let facts = Facts {
            summary: format!("{teeth}-tooth wheel of module {module:.3}, {material}"),
            words: format!(
                "{title} {material} teeth bore readings span over pins caliper micrometer worn {}",
                pick(90_000)
            ),
            title,
            numbers: vec![
                fact("teeth", teeth, 0.0),
                fact("module", module, 0.003),
                fact("base pitch", module * 3.0, 0.01),
                fact("tip diameter", module * (teeth + 2.0), 0.1),
                fact("bore", bore, 0.02),
                fact("diameter", bore + 12.0, 0.05),
                fact("thickness", bore / 2.0, 0.1),
            ],
        };
        let id = store.add("title = \"x\"\n", "added", by).expect("added");
        store.index(id, 1, &facts).expect("indexed");
    }
    println!("filled in {:.1} s", start.elapsed().as_secs_f64());
    store
}
