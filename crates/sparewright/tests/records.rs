//! The demo jobs in the records, found again by what a machinist would ask for.

use jiff::Timestamp;
use making::shop::Shop;
use record::{By, Store};
use sparewright::records::{facts, query, understood};
use sparewright::scanned::Folder;
use sparewright::shop;

const JOBS: [&str; 5] = [
    include_str!("../../../demo/apple-mill-sector.toml"),
    include_str!("../../../demo/ropewalk-gear.toml"),
    include_str!("../../../demo/apple-mill-bush.toml"),
    include_str!("../../../demo/apple-mill-shaft.toml"),
    include_str!("../../../demo/apple-mill-pins.toml"),
];

fn records(shop: &Shop) -> Store {
    let store = Store::in_memory().expect("a store");
    let pictures = Folder::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../../demo"));
    for text in JOBS {
        let by = By { who: "bench", at: Timestamp::from_second(1_700_000_000).expect("a time") };
        let id = store.add(text, "added", by).expect("added");
        store.index(id, 1, &facts(text, shop, &pictures)).expect("indexed");
    }
    store
}

#[test]
fn demo_jobs_are_found_by_words_and_by_what_they_are() {
    let store = records(&shop::built_in());
    let measures = store.measures().expect("read");
    let mut told = String::new();
    for text in [
        "",
        "44 teeth 10 dp",
        "44 teeth module 2.54",
        "44 teeth 12 dp",
        "27 teeth",
        "10 dp 14.5",
        "10 dp 20",
        "bore 7/8 apple mill",
        "bore 22.23",
        "bore 0.75",
        "bore 22.2 mm ± 0.1 sector",
        "outside diameter 4.6 in",
        "shaft 5/8",
        "2 holes",
        "holes 0.0981 in",
        "base pitch 0.304 in",
        "face width 7/16",
        "7/8 in",
        "5/8",
        "cast iron",
        "ropewalk",
        "app mi sec",
        "44 t",
        "job 3",
    ] {
        let found = store.search(&query(text, &measures, 10)).expect("searched");
        let titles: Vec<&str> = found.hits.iter().map(|hit| hit.title.as_str()).collect();
        told += &format!("{text}\n    as {}\n    {}\n", understood(text, &measures).join(" · "), titles.join("\n    "));
    }
    insta::assert_snapshot!(told);
    let summaries: Vec<String> = store
        .search(&query("", &measures, 10))
        .expect("searched")
        .hits
        .iter()
        .map(|hit| format!("{}: {}", hit.title, hit.summary))
        .collect();
    insta::assert_snapshot!(summaries.join("\n"));
}

#[test]
fn a_broken_job_is_found_too() {
    let store = Store::in_memory().expect("a store");
    let pictures = sparewright::job::NoPictures;
    let text = "title = \"Cider press screw\nunits = ";
    let id = store.add(text, "added", By::now("bench")).expect("added");
    store.index(id, 1, &facts(text, &shop::built_in(), &pictures)).expect("indexed");
    assert_eq!(store.search(&query("cider", &[], 10)).expect("searched").total, 1);
}
