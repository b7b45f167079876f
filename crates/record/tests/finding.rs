//! Finding jobs again by words and by what they are.

use jiff::{SignedDuration, Timestamp};
use record::{By, Condition, Edit, Fact, Facts, JobId, Query, Store};

fn facts(title: &str, words: &str, numbers: &[(&str, f64, f64)]) -> Facts {
    let numbers = numbers.iter().map(|(what, value, tolerance)| Fact {
        what: (*what).into(),
        value: *value,
        tolerance: *tolerance,
    });
    Facts {
        title: title.into(),
        summary: format!("{title}, in short"),
        words: words.into(),
        numbers: numbers.collect(),
    }
}

fn by(second: i64) -> By<'static> {
    By { who: "bench", at: Timestamp::from_second(1_700_000_000).expect("a time") + SignedDuration::from_secs(second) }
}

fn shop_of(jobs: &[Facts]) -> Store {
    let store = Store::in_memory().expect("a store");
    for (second, facts) in jobs.iter().enumerate() {
        let id = store.add("", "added", by(second as i64)).expect("added");
        store.index(id, 1, facts).expect("indexed");
    }
    store
}

fn found(store: &Store, words: &[&str], conditions: &[(&str, f64, f64)]) -> Vec<i64> {
    let fact = |(what, value, tolerance): &(&str, f64, f64)| Fact {
        what: (*what).into(),
        value: *value,
        tolerance: *tolerance,
    };
    let conditions = conditions.iter().map(|one| Condition { any_of: vec![fact(one)] });
    let words = words.iter().map(|word| word.to_string()).collect();
    let query = Query { words, conditions: conditions.collect(), most: 10, ..Query::default() };
    let found = store.search(&query).expect("searched");
    assert_eq!(found.total, found.hits.len());
    found.hits.iter().map(|hit| hit.id.number()).collect()
}

fn three() -> Store {
    shop_of(&[
        facts(
            "Feed sector for the apple mill",
            "grey cast iron",
            &[("teeth", 44.0, 0.0), ("module", 2.54, 0.004), ("bore", 22.225, 0.013)],
        ),
        facts("Bush for the sector", "bronze apple", &[("bore", 15.875, 0.01), ("outside", 22.25, 0.01)]),
        facts(
            "Traverse gear of the ropewalk",
            "blé",
            &[("teeth", 44.0, 0.0), ("teeth", 45.0, 0.0), ("module", 2.5, 0.004)],
        ),
    ])
}

#[test]
fn words_are_found_by_their_beginnings_titles_first() {
    let store = three();
    assert_eq!(found(&store, &["app"], &[]), [1, 2]);
    assert_eq!(found(&store, &["sector", "bro"], &[]), [2]);
    assert_eq!(found(&store, &["SECTOR"], &[]), [2, 1]);
    assert_eq!(found(&store, &["ble"], &[]), [3]);
    assert_eq!(found(&store, &["nothing"], &[]), [0; 0]);
}

#[test]
fn numbers_are_found_within_both_tolerances_nearest_first() {
    let store = three();
    assert_eq!(found(&store, &[], &[("teeth", 44.0, 0.0)]), [3, 1]);
    assert_eq!(found(&store, &[], &[("teeth", 45.0, 0.0)]), [3]);
    assert_eq!(found(&store, &[], &[("teeth", 44.0, 0.0), ("module", 2.54, 0.001)]), [1]);
    assert_eq!(found(&store, &[], &[("module", 2.53, 0.1)]), [1, 3]);
    assert_eq!(found(&store, &[], &[("bore", 22.24, 0.003)]), [1]);
    assert_eq!(found(&store, &[], &[("bore", 22.24, 0.001)]), [0; 0]);
    assert_eq!(found(&store, &["apple"], &[("bore", 22.225, 0.0)]), [1]);
    assert_eq!(found(&store, &[], &[("keyway", 5.0, 1.0)]), [0; 0]);
}

#[test]
fn any_of_several_numbers_will_do() {
    let store = three();
    let fact = |what: &str, value| Fact { what: what.into(), value, tolerance: 0.02 };
    let condition = Condition { any_of: vec![fact("outside", 22.25), fact("bore", 22.225), fact("none", 1.0)] };
    let query = Query { conditions: vec![condition], most: 10, ..Query::default() };
    let hits = store.search(&query).expect("searched").hits;
    assert_eq!(hits.iter().map(|hit| hit.id.number()).collect::<Vec<_>>(), [2, 1]);
    assert_eq!(store.measures().expect("read"), ["bore", "module", "outside", "teeth"]);
}

#[test]
fn without_a_question_the_latest_changed_come_first() {
    let store = three();
    assert_eq!(found(&store, &[], &[]), [3, 2, 1]);
    let first = JobId::new(1).expect("a number");
    store.save(first, Edit { base: 1, text: "x = 1", what: "edited" }, by(60)).expect("saved");
    assert_eq!(found(&store, &[], &[]), [1, 3, 2]);
    assert_eq!(found(&store, &["---", "\""], &[]), [1, 3, 2]);
}

#[test]
fn a_changed_job_waits_for_its_facts_and_loses_the_old() {
    let store = three();
    assert_eq!(store.unindexed(10).expect("read"), []);
    let first = JobId::new(1).expect("a number");
    store.save(first, Edit { base: 1, text: "x = 1", what: "edited" }, by(60)).expect("saved");
    assert_eq!(store.unindexed(10).expect("read"), [first]);
    store.index(first, 2, &facts("Something else", "", &[("teeth", 20.0, 0.0)])).expect("indexed");
    assert_eq!(store.unindexed(10).expect("read"), []);
    // facts that come too late
    store.index(first, 1, &facts("Feed sector", "", &[])).expect("passed over");
    assert_eq!(found(&store, &["feed"], &[]), [0; 0]);
    assert_eq!(found(&store, &[], &[("teeth", 44.0, 0.0)]), [3]);
    assert_eq!(found(&store, &["else"], &[("teeth", 20.0, 0.0)]), [1]);
    store.facts_scheme("2").expect("another scheme");
    assert_eq!(store.unindexed(10).expect("read").len(), 3);
    store.index(first, 2, &facts("Something", "", &[])).expect("indexed");
    store.facts_scheme("2").expect("the same");
    assert_eq!(store.unindexed(10).expect("read").len(), 2);
}

#[test]
fn removed_jobs_are_found_among_the_removed_only() {
    let store = three();
    store.remove(JobId::new(1).expect("a number"), by(9)).expect("removed");
    assert_eq!(found(&store, &["sector"], &[]), [2]);
    let query = Query { words: vec!["sector".into()], most: 10, removed: true, ..Query::default() };
    let hits = store.search(&query).expect("searched").hits;
    assert_eq!(hits.iter().map(|hit| hit.id.number()).collect::<Vec<_>>(), [1]);
}

#[test]
fn hits_come_by_the_page() {
    let jobs: Vec<Facts> = (0..25).map(|n| facts(&format!("wheel {n}"), "", &[])).collect();
    let store = shop_of(&jobs);
    for words in [vec![], vec!["wheel".to_string()]] {
        let query = |from| Query { words: words.clone(), most: 10, from, ..Query::default() };
        let numbers = |from| -> Vec<i64> {
            let found = store.search(&query(from)).expect("searched");
            assert_eq!(found.total, 25);
            found.hits.iter().map(|hit| hit.id.number()).collect()
        };
        assert_eq!(numbers(0), (16..=25).rev().collect::<Vec<_>>());
        assert_eq!(numbers(20), (1..=5).rev().collect::<Vec<_>>());
        assert_eq!(numbers(30), [0; 0]);
    }
}
