//! What the notebook keeps beside the jobs: places at the machine, devices, settings.

use std::time::Duration;

use jiff::{SignedDuration, Timestamp};
use record::{By, Marked, PAIRING_TRIES, Paired, Store};

fn by(who: &str) -> By<'_> {
    By { who, at: now() }
}

fn now() -> Timestamp {
    Timestamp::from_second(1_700_000_000).expect("a time")
}

const GOOD_FOR: Duration = Duration::from_secs(300);

#[test]
fn a_place_is_moved_once_and_by_one_hand() {
    let store = Store::in_memory().expect("a store");
    let id = store.add("", "added", by("bench")).expect("added");
    let mark = |seen, value, who| store.mark(id, "index/40", seen, value, by(who)).expect("answered");
    assert_eq!(store.marked(id, "index/40").expect("read"), "");
    assert_eq!(mark(Some(""), "1", "mill"), Marked::Done);
    // sent again because the answer was lost
    assert_eq!(mark(Some(""), "1", "mill"), Marked::Done);
    assert_eq!(mark(Some("1"), "2", "mill"), Marked::Done);
    // a second device that still shows the first tooth
    assert_eq!(mark(Some("0"), "1", "phone"), Marked::Elsewhere("2".into()));
    store.mark(id, "check/1/bore", None, "0.8751", by("mill")).expect("done");
    assert_eq!(mark(Some("2"), "1", "mill"), Marked::Done);
    let places =
        || -> Vec<_> { store.marks(id).expect("read").into_iter().map(|mark| (mark.key, mark.value)).collect() };
    assert_eq!(places(), [("index/40".to_string(), "1".to_string()), ("check/1/bore".into(), "0.8751".into())]);
    store.mark(id, "check/1/bore", None, "", by("mill")).expect("struck out");
    assert_eq!(places().len(), 1);
    let all: Vec<_> = store.mark_history(id).expect("read").into_iter().map(|mark| mark.value).collect();
    assert_eq!(all, ["", "1", "0.8751", "2", "1"]);
}

#[test]
fn a_code_lets_one_device_in_once() {
    let store = Store::in_memory().expect("a store");
    let code = store.offer_pairing(GOOD_FOR, now()).expect("offered");
    assert_eq!(code.len(), 8);
    let spaced = format!("{} {}", &code[..4], &code[4..]);
    let Paired::Done { device, token } = store.pair(&spaced, " tablet at the mill ", now()).expect("paired") else {
        unreachable!("the code is right");
    };
    assert_eq!(store.pair(&code, "another", now()).expect("answered"), Paired::Refused);
    let known = store.device_of(&token, now()).expect("read").expect("known");
    assert_eq!((known.id, known.name.as_str()), (device, "tablet at the mill"));
    assert_eq!(store.device_of("00", now()).expect("read"), None);
    store.revoke(device, now()).expect("revoked");
    assert_eq!(store.device_of(&token, now()).expect("read"), None);
    assert!(store.devices().expect("read")[0].revoked.is_some());
}

#[test]
fn a_code_is_void_when_old_replaced_or_tried_too_often() {
    let store = Store::in_memory().expect("a store");
    let code = store.offer_pairing(GOOD_FOR, now()).expect("offered");
    let late = now() + SignedDuration::from_secs(301);
    assert_eq!(store.pair(&code, "x", late).expect("answered"), Paired::Refused);

    let first = store.offer_pairing(GOOD_FOR, now()).expect("offered");
    let second = store.offer_pairing(GOOD_FOR, now()).expect("offered");
    assert_eq!(store.pair(&first, "x", now()).expect("answered"), Paired::Refused);
    assert!(matches!(store.pair(&second, "x", now()).expect("answered"), Paired::Done { .. }));

    let code = store.offer_pairing(GOOD_FOR, now()).expect("offered");
    for _ in 0..PAIRING_TRIES {
        assert_eq!(store.pair("no", "x", now()).expect("answered"), Paired::Refused);
    }
    assert_eq!(store.pair(&code, "x", now()).expect("answered"), Paired::Refused);
}

#[test]
fn a_device_not_seen_for_long_is_forgotten() {
    let store = Store::in_memory().expect("a store");
    let code = store.offer_pairing(GOOD_FOR, now()).expect("offered");
    let Paired::Done { token, .. } = store.pair(&code, "x", now()).expect("paired") else {
        unreachable!("the code is right");
    };
    let month = SignedDuration::from_hours(24 * 30);
    // seen every two months it stays known
    for months in [2, 4, 6] {
        assert!(store.device_of(&token, now() + month * months).expect("read").is_some());
    }
    assert_eq!(store.device_of(&token, now() + month * 10).expect("read"), None);
}

#[test]
fn settings_are_kept() {
    let store = Store::in_memory().expect("a store");
    assert_eq!(store.setting("ground").expect("read"), None);
    store.set_setting("ground", "dark").expect("kept");
    store.set_setting("ground", "light").expect("kept");
    assert_eq!(store.setting("ground").expect("read").as_deref(), Some("light"));
}
