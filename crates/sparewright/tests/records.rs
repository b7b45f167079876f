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

/// `sparewright records …` with a store of its own.
fn run(folder: &std::path::Path, arguments: &[&str]) -> (Option<i32>, String) {
    let done = std::process::Command::new(env!("CARGO_BIN_EXE_sparewright"))
        .arg("records")
        .args(arguments)
        .args(["--store", "records.db"])
        .current_dir(folder)
        .output()
        .expect("it runs");
    let said = if done.status.success() { &done.stdout } else { &done.stderr };
    (done.status.code(), String::from_utf8_lossy(said).into_owned())
}

#[test]
fn the_records_on_the_command_line() {
    let folder = tempfile::tempdir().expect("a folder");
    let here = folder.path();
    std::fs::write(here.join("pins.toml"), JOBS[4]).expect("written");
    std::fs::write(here.join("shaft.toml"), JOBS[3]).expect("written");
    let ok = |arguments: &[&str]| match run(here, arguments) {
        (Some(0), said) => said,
        (code, said) => panic!("{arguments:?} ended with {code:?}: {said}"),
    };
    assert_eq!(ok(&["add", "pins.toml", "shaft.toml"]), "pins.toml is job 1.\nshaft.toml is job 2.\n");
    assert!(ok(&["find", "shaft", "5/8"]).contains("1 of 1 jobs with shaft 5/8 in"));
    assert!(ok(&["history", "1"]).contains("put in from pins.toml"));
    ok(&["write", "1", "--into", "out"]);
    assert_eq!(std::fs::read_to_string(here.join("out/job-1.toml")).expect("written"), JOBS[4]);
    ok(&["take-out", "all.zip", "--all"]);
    assert_eq!(ok(&["bring-in", "all.zip"]), "2 were here already.\n");
    let backup = ok(&["back-up"]);
    let backup = std::path::Path::new(backup.trim()).file_name().expect("a name").to_string_lossy().into_owned();
    ok(&["add", "pins.toml"]);
    assert!(ok(&["backups"]).starts_with(&backup));
    ok(&["restore", &backup]);
    assert!(ok(&["find"]).ends_with("2 of 2 jobs\n"));
    // a store that is damaged beyond opening gives way too, and is kept
    std::fs::write(here.join("records.db"), "the dog ate it".repeat(1000)).expect("written");
    assert!(ok(&["restore", &backup]).contains("What was there is"));
    assert!(ok(&["find"]).ends_with("2 of 2 jobs\n"));

    for wrong in [
        &["add", "none.toml"][..],
        &["history", "9"],
        &["bring-back", "1", "9"],
        &["write", "1", "--into", "out"],
        &["take-out", "some.zip"],
        &["bring-in", "pins.toml"],
        &["restore", "none.db"],
    ] {
        let (code, said) = run(here, wrong);
        assert_eq!(code, Some(2), "{wrong:?}: {said}");
        assert!(said.trim_end().ends_with('.'), "{wrong:?}: {said}");
    }
    assert!(!here.join("some.zip").exists() && !here.join("some.zip.part").exists());
}
