//! Backups made while the store is in use, looked through, restored, thrown away in their time.

use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use jiff::{SignedDuration, Timestamp};
use record::{Backups, By, Edit, Error, JobId, Keep, Paired, Store, restore_closed, verify};

fn now() -> Timestamp {
    "2026-11-25T12:00:00Z".parse().expect("a time")
}

fn by() -> By<'static> {
    By { who: "bench", at: now() }
}

fn edit(base: u32, text: &str) -> Edit<'_> {
    Edit { base, text, what: "edited" }
}

fn store_in(folder: &Path) -> (Store, Backups) {
    let path = folder.join("records.db");
    (Store::open(&path).expect("a store"), Backups::beside(&path))
}

#[test]
fn a_restored_store_is_what_it_was_and_what_it_was_since_is_kept() {
    let folder = tempfile::tempdir().expect("a folder");
    let (store, backups) = store_in(folder.path());
    let id = store.add("a = 1\n", "added", by()).expect("added");
    store.attach(id, "x.png", b"x", by()).expect("attached");
    let made = backups.make(&store, now(), Keep::default()).expect("made");
    assert_eq!(made.path.file_name().expect("a name"), "records-2026-11-25T12-00-00Z.db");
    verify(&made.path).expect("whole");

    store.save(id, edit(2, "a = 2\n"), by()).expect("saved");
    let later = store.add("b = 1\n", "added", by()).expect("added");
    // readers that are open before see the restored state after
    assert_eq!(store.jobs().expect("read").len(), 2);
    let before = backups.restore(&store, &made.path, now()).expect("restored");
    assert!(before.before_restoring);
    assert_eq!(store.job(id).expect("there").text, "a = 1\n");
    assert_eq!(store.attachment(id, "x.png").expect("there"), b"x");
    assert!(matches!(store.job(later), Err(Error::NoJob(_))));
    // its number is not given again
    assert_eq!(store.add("c = 1\n", "added", by()).expect("added").number(), later.number() + 1);

    // and the other way round
    backups.restore(&store, &before.path, now()).expect("restored");
    assert_eq!(store.job(id).expect("there").text, "a = 2\n");
    assert_eq!(store.job(later).expect("there").text, "b = 1\n");
    assert_eq!(backups.list().expect("listed").len(), 3);
    drop(store);
    let again = Store::open(&folder.path().join("records.db")).expect("opens");
    assert_eq!(again.job(later).expect("there").text, "b = 1\n");
}

#[test]
fn a_restored_store_lets_in_who_is_let_in_now() {
    let folder = tempfile::tempdir().expect("a folder");
    let (store, backups) = store_in(folder.path());
    let pair = |name: &str| {
        let code = store.offer_pairing(Duration::from_secs(60), now()).expect("offered");
        match store.pair(&code, name, now()).expect("paired") {
            Paired::Done { device, token } => (device, token),
            Paired::Refused => unreachable!("the code is right"),
        }
    };
    let (sent_away, old) = pair("old");
    let made = backups.make(&store, now(), Keep::default()).expect("made");
    store.revoke(sent_away, now()).expect("revoked");
    let (_, new) = pair("new");
    let open = store.offer_pairing(Duration::from_secs(60), now()).expect("offered");
    backups.restore(&store, &made.path, now()).expect("restored");
    assert_eq!(store.device_of(&old, now()).expect("read"), None);
    assert_eq!(store.device_of(&new, now()).expect("read").expect("known").name, "new");
    assert_eq!(store.pair(&open, "x", now()).expect("answered"), Paired::Refused);
}

#[test]
fn a_backup_of_a_store_in_use_is_of_one_moment() {
    let folder = tempfile::tempdir().expect("a folder");
    let (store, backups) = store_in(folder.path());
    // two jobs that are always changed one after the other, the first first
    let first = store.add("0", "added", by()).expect("added");
    let second = store.add("0", "added", by()).expect("added");
    let done = AtomicBool::new(false);
    std::thread::scope(|scope| {
        scope.spawn(|| {
            let mut version = 1;
            while !done.load(Ordering::Relaxed) {
                for id in [first, second] {
                    store.save(id, edit(version, &version.to_string()), by()).expect("saved");
                }
                version += 1;
            }
        });
        for _ in 0..20 {
            let made = backups.make(&store, now(), Keep { newest: 100, days: 0 }).expect("made");
            let copy = Store::open(&made.path).expect("opens");
            let number = |id| copy.job(id).expect("there").version;
            assert!([0, 1].contains(&(number(first) - number(second))), "{} {}", number(first), number(second));
        }
        done.store(true, Ordering::Relaxed);
    });
    assert_eq!(backups.list().expect("listed").len(), 20);
}

#[test]
fn what_is_no_sound_backup_restores_nothing() {
    let folder = tempfile::tempdir().expect("a folder");
    let (store, backups) = store_in(folder.path());
    let id = store.add(&"a = 1\n".repeat(5_000), "added", by()).expect("added");
    let made = backups.make(&store, now(), Keep::default()).expect("made");
    let bytes = std::fs::read(&made.path).expect("read");
    let bad = folder.path().join("bad.db");
    let newer = {
        let mut newer = bytes.clone();
        // user_version, in the file format of SQLite 3 at offset 60
        newer[60..64].copy_from_slice(&1000_u32.to_be_bytes());
        newer
    };
    let mut damaged = bytes.clone();
    let middle = damaged.len() / 2 / 4096 * 4096;
    damaged[middle..middle + 4096].fill(0xa5);
    let mut torn = bytes[..bytes.len() / 2].to_vec();
    torn.truncate(torn.len() / 4096 * 4096);
    for (what, bytes) in
        [("damaged", damaged), ("torn", torn), ("newer", newer), ("other", b"hello".repeat(1000)), ("empty", vec![])]
    {
        std::fs::write(&bad, bytes).expect("written");
        assert!(verify(&bad).is_err(), "{what}");
        assert!(backups.restore(&store, &bad, now()).is_err(), "{what}");
    }
    assert!(verify(&folder.path().join("none.db")).is_err());
    assert_eq!(store.job(id).expect("there").version, 1);
    assert_eq!(backups.list().expect("listed").len(), 1);
    // nothing half-made is left lying about
    let names: Vec<_> =
        std::fs::read_dir(backups.folder()).expect("read").map(|f| f.expect("a file").file_name()).collect();
    assert_eq!(names.len(), 1, "{names:?}");
}

#[test]
fn a_store_that_cannot_be_opened_is_kept_aside() {
    let folder = tempfile::tempdir().expect("a folder");
    let (store, backups) = store_in(folder.path());
    let path = folder.path().join("records.db");
    store.add("a = 1\n", "added", by()).expect("added");
    let made = backups.make(&store, now(), Keep::default()).expect("made");
    // not while it is open
    assert!(matches!(restore_closed(&path, &made.path, now()), Err(Error::Busy)));
    drop(store);
    std::fs::write(&path, b"the dog ate it".repeat(1000)).expect("written");
    assert!(matches!(Store::open(&path), Err(Error::NotAStore(_))));
    let kept = restore_closed(&path, &made.path, now()).expect("restored").expect("kept");
    assert!(std::fs::read(&kept).expect("read").starts_with(b"the dog ate it"));
    let store = Store::open(&path).expect("opens");
    assert_eq!(store.job(JobId::new(1).expect("a number")).expect("there").text, "a = 1\n");
}

#[test]
fn old_backups_go_in_their_time() {
    let folder = tempfile::tempdir().expect("a folder");
    let (store, backups) = store_in(folder.path());
    store.add("a = 1\n", "added", by()).expect("added");
    for hours in 0..60 {
        let at = now() + SignedDuration::from_hours(hours);
        backups.make(&store, at, Keep { newest: 3, days: 2 }).expect("made");
    }
    // noon of the first day and sixty hours on, to 23 o'clock: the last three, and the last of the day before
    let hours: Vec<i64> =
        backups.list().expect("listed").iter().map(|b| b.at.duration_since(now()).as_hours()).collect();
    assert_eq!(hours, [59, 58, 57, 35]);
    assert!(backups.named("records.db").expect("listed").is_none());
    assert!(backups.named("../records.db").expect("listed").is_none());
    assert!(backups.named("records-2026-11-27T23-00-00Z.db").expect("listed").is_some());
}
