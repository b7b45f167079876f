//! Jobs kept, changed, brought back, copied, removed; the shop beside them.

use jiff::Timestamp;
use record::{Attached, By, Edit, Error, JobId, Kept, Saved, Store};

const TEXT: &str = "title = \"Feed sector\"\r\nunits = \"in\"\n# ½ worn\n\n\n";

fn by(who: &str) -> By<'_> {
    By { who, at: Timestamp::from_second(1_700_000_000).expect("a time") }
}

fn store() -> Store {
    Store::in_memory().expect("a store")
}

fn edit(base: u32, text: &str) -> Edit<'_> {
    Edit { base, text, what: "edited" }
}

#[test]
fn a_job_is_kept_byte_for_byte_with_every_change() {
    let store = store();
    let id = store.add(TEXT, "added", by("bench")).expect("added");
    let kept = store.job(id).expect("kept");
    assert_eq!(kept, Kept { version: 1, text: TEXT.into(), at: by("").at, removed: false });
    assert_eq!(store.save(id, edit(1, "title = \"Two\"\n"), by("tablet")).expect("saved"), Saved::Done { version: 2 });
    assert_eq!(store.at(id, 1).expect("there").text, TEXT);
    let told: Vec<_> = store.history(id).expect("there").into_iter().map(|c| (c.version, c.who, c.what)).collect();
    assert_eq!(told, [(2, "tablet".into(), "edited".into()), (1, "bench".into(), "added".to_string())]);
    assert_eq!(store.bring_back(id, 1, by("bench")).expect("back"), 3);
    assert_eq!(store.job(id).expect("kept").text, TEXT);
    assert_eq!(store.at(id, 2).expect("there").text, "title = \"Two\"\n");
}

#[test]
fn an_edit_that_changes_nothing_is_no_change() {
    let store = store();
    let id = store.add(TEXT, "added", by("bench")).expect("added");
    assert_eq!(store.save(id, edit(1, TEXT), by("bench")).expect("saved"), Saved::Done { version: 1 });
    assert_eq!(store.history(id).expect("there").len(), 1);
}

#[test]
fn two_tablets_are_merged_or_told() {
    let store = store();
    let id = store.add("a = 1\nb = 2\nc = 3\n", "added", by("bench")).expect("added");
    store.save(id, edit(1, "a = 9\nb = 2\nc = 3\n"), by("one")).expect("saved");
    let merged = store.save(id, edit(1, "a = 1\nb = 2\nc = 8\n"), by("two")).expect("saved");
    assert_eq!(merged, Saved::Merged { version: 3, text: "a = 9\nb = 2\nc = 8\n".into() });
    let refused = store.save(id, edit(1, "a = 7\nb = 2\nc = 3\n"), by("two")).expect("told");
    assert_eq!(refused, Saved::Conflict { version: 3, theirs: "a = 9\nb = 2\nc = 8\n".into() });
    assert_eq!(store.history(id).expect("there").len(), 3);
    // sent again because the answer was lost
    let again = store.save(id, edit(1, "a = 1\nb = 2\nc = 8\n"), by("two")).expect("saved");
    assert_eq!(again, Saved::Merged { version: 3, text: "a = 9\nb = 2\nc = 8\n".into() });
}

#[test]
fn what_is_removed_stays_in_the_records() {
    let store = store();
    let id = store.add(TEXT, "added", by("bench")).expect("added");
    store.remove(id, by("bench")).expect("removed");
    assert!(store.job(id).expect("still there").removed);
    assert_eq!(store.job(id).expect("still there").text, TEXT);
    store.bring_back(id, 1, by("bench")).expect("back");
    assert!(!store.job(id).expect("there").removed);
    // an edit brings it back too
    store.remove(id, by("bench")).expect("removed");
    store.save(id, edit(4, TEXT), by("bench")).expect("saved");
    assert!(!store.job(id).expect("there").removed);
}

#[test]
fn pictures_go_with_the_states_they_belong_to() {
    let store = store();
    let id = store.add(TEXT, "added", by("bench")).expect("added");
    assert_eq!(store.attach(id, "sector.png", b"first", by("bench")).expect("attached"), 2);
    assert_eq!(store.attach(id, "sector.png", b"first", by("bench")).expect("the same"), 2);
    assert_eq!(store.attach(id, "sector.png", b"second", by("bench")).expect("attached"), 3);
    assert_eq!(store.attach(id, "back.png", b"third", by("bench")).expect("attached"), 4);
    assert_eq!(store.detach(id, "sector.png", by("bench")).expect("detached"), 5);
    let names = |version| -> Vec<String> {
        let list = store.attachments_at(id, version).expect("there");
        list.into_iter().map(|Attached { name, bytes, .. }| format!("{name} {bytes}")).collect()
    };
    assert_eq!(names(1), [""; 0]);
    assert_eq!(names(2), ["sector.png 5"]);
    assert_eq!(names(4), ["back.png 5", "sector.png 6"]);
    assert_eq!(names(5), ["back.png 5"]);
    assert_eq!(store.attachment_at(id, 2, "sector.png").expect("there"), b"first");
    assert!(matches!(store.attachment(id, "sector.png"), Err(Error::NoAttachment(_))));
    let copy = store.copy(id, by("bench")).expect("copied");
    assert_eq!(store.bring_back(id, 3, by("bench")).expect("back"), 6);
    assert_eq!(names(6), ["sector.png 6"]);
    assert_eq!(store.bring_back(id, 4, by("bench")).expect("back"), 7);
    assert_eq!(names(7), ["back.png 5", "sector.png 6"]);
    assert_eq!(store.attachment(copy, "back.png").expect("copied"), b"third");
    assert!(store.attach(id, "../up.png", b"", by("bench")).is_err());
}

#[test]
fn a_copy_is_a_job_of_its_own() {
    let store = store();
    let id = store.add(TEXT, "added", by("bench")).expect("added");
    let copy = store.copy(id, by("bench")).expect("copied");
    assert_ne!(copy, id);
    store.save(copy, edit(1, "title = \"Repeat\"\n"), by("bench")).expect("saved");
    assert_eq!(store.job(id).expect("there").text, TEXT);
    assert_eq!(store.history(copy).expect("there").last().expect("first").what, format!("copied from job {id}"));
}

#[test]
fn what_is_not_there_is_said() {
    let store = store();
    let none = JobId::new(7).expect("a number");
    assert!(matches!(store.job(none), Err(Error::NoJob(_))));
    assert!(matches!(store.save(none, edit(1, ""), by("x")), Err(Error::NoJob(_))));
    assert!(matches!(store.copy(none, by("x")), Err(Error::NoJob(_))));
    let id = store.add(TEXT, "added", by("bench")).expect("added");
    assert!(matches!(store.at(id, 2), Err(Error::NoVersion(2))));
    assert!(matches!(store.save(id, edit(9, "x"), by("x")), Err(Error::NoVersion(9))));
    let long = "#".repeat(record::LARGEST_TEXT + 1);
    assert!(store.save(id, edit(1, &long), by("x")).is_err());
    assert_eq!(store.history(id).expect("there").len(), 1);
    assert_eq!(JobId::new(0), None);
}

#[test]
fn the_shop_is_kept_as_jobs_are() {
    let store = store();
    assert_eq!(store.shop().expect("none yet"), None);
    assert_eq!(store.save_shop(edit(0, "a = 1\n"), by("bench")).expect("saved"), Saved::Done { version: 1 });
    assert!(matches!(store.save_shop(edit(0, "a = 2\n"), by("two")).expect("told"), Saved::Conflict { .. }));
    store.save_shop(edit(1, "a = 3\n"), by("bench")).expect("saved");
    store.bring_back_shop(1, by("bench")).expect("back");
    assert_eq!(store.shop().expect("there").expect("kept").text, "a = 1\n");
    assert_eq!(store.shop_history().expect("there").len(), 3);
    assert_eq!(store.jobs().expect("none"), []);
}
