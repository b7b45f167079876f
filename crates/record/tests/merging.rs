//! Two writers on one text: both edits are in it, or one of them is told. Never is one overwritten in silence.

use jiff::Timestamp;
use proptest::prelude::*;
use record::{By, Edit, Merge, Saved, Store, merge};

/// A change of a text by lines: at a place, so many lines are struck out and these put in.
type Change = (prop::sample::Index, usize, Vec<String>);

fn changes(mark: &'static str) -> impl Strategy<Value = Vec<Change>> {
    // lines that occur nowhere else tell whose they are
    let lines = prop::collection::vec("[a-z]{1,6}".prop_map(move |word| format!("# {mark} {word}\n")), 0..3);
    prop::collection::vec((any::<prop::sample::Index>(), 0_usize..3, lines), 1..4)
}

fn edited(base: &[String], changes: &[Change]) -> Vec<String> {
    let mut out = base.to_vec();
    for (at, struck, lines) in changes {
        let at = at.index(out.len() + 1);
        let end = (at + struck).min(out.len());
        out.splice(at..end, lines.iter().cloned());
    }
    out
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2000, ..ProptestConfig::default() })]

    #[test]
    fn a_merge_holds_both_edits_and_nothing_else(
        lines in 0_usize..12,
        ours in changes("ours"),
        theirs in changes("theirs"),
    ) {
        let base: Vec<String> = (0..lines).map(|n| format!("line_{n} = {n}\n")).collect();
        let (ours, theirs) = (edited(&base, &ours), edited(&base, &theirs));
        let (b, o, t) = (base.concat(), ours.concat(), theirs.concat());
        let Merge::Both(both) = merge(&b, &o, &t) else { return Ok(()) };
        let both: Vec<&str> = both.split_inclusive('\n').collect();
        let count = |lines: &[String], line: &str| lines.iter().filter(|other| *other == line).count();
        for line in ours.iter().chain(&theirs).chain(&base) {
            let merged = both.iter().filter(|other| **other == line.as_str()).count();
            let (in_base, in_ours, in_theirs) = (count(&base, line), count(&ours, line), count(&theirs, line));
            // struck out by either is struck out, put in by either is put in
            let expected = match in_base {
                0 => in_ours + in_theirs,
                _ => in_base * usize::from(in_ours > 0 && in_theirs > 0),
            };
            // lines that both put in alike may be there once
            prop_assert!(merged == expected || (in_ours > 0 && in_theirs > 0 && in_base == 0), "{line:?}: {merged}");
        }
        // each keeps the order of its own lines
        for own in [&ours, &theirs] {
            let own: Vec<&str> = own.iter().map(String::as_str).filter(|line| both.contains(line)).collect();
            let mut rest = both.iter();
            prop_assert!(own.iter().all(|line| rest.any(|other| other == line)), "{own:?} in {both:?}");
        }
        // it does not matter who comes first
        prop_assert_eq!(merge(&b, &t, &o), Merge::Both(both.concat()));
    }

    /// The same against another implementation of the three-way merge: where ours merges and it does, they agree.
    #[test]
    fn a_merge_is_what_another_program_makes_of_it(
        lines in 1_usize..12,
        ours in changes("ours"),
        theirs in changes("theirs"),
    ) {
        let base: Vec<String> = (0..lines).map(|n| format!("line_{n} = {n}\n")).collect();
        let (ours, theirs) = (edited(&base, &ours).concat(), edited(&base, &theirs).concat());
        let base = base.concat();
        if let (Merge::Both(both), Ok(other)) = (merge(&base, &ours, &theirs), diffy::merge(&base, &ours, &theirs)) {
            prop_assert_eq!(both, other);
        }
    }

    /// Any text at all, line ends or none, and never a panic.
    #[test]
    fn any_texts_are_merged_or_told(base in "[ab\n\r]{0,12}", ours in "[ab\n\r]{0,12}", theirs in "[ab\n\r]{0,12}") {
        if let Merge::Both(both) = merge(&base, &ours, &theirs) {
            prop_assert!(base != ours || both == theirs);
            prop_assert!(base != theirs || both == ours);
        }
    }

}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, ..ProptestConfig::default() })]

    /// Several tablets that save from whatever state they had before them.
    #[test]
    fn no_edit_is_overwritten_in_silence(edits in prop::collection::vec((0_u32..6, 0_usize..6), 1..12)) {
        let store = Store::in_memory().expect("a store");
        let by = By { who: "tablet", at: Timestamp::UNIX_EPOCH };
        let base: String = (0..6).map(|n| format!("line_{n} = 0\n")).collect();
        let id = store.add(&base, "added", by).expect("added");
        // each edit puts a mark of its own on a line of the state that was seen
        for (number, (seen, line)) in edits.into_iter().enumerate() {
            let latest = store.job(id).expect("there").version;
            let seen = 1 + seen % latest;
            let old = store.at(id, seen).expect("there").text;
            let mark = format!("_{number}_");
            let text: String = old
                .split_inclusive('\n')
                .enumerate()
                .map(|(n, text)| if n == line { text.replacen('\n', &format!(" # {mark}\n"), 1) } else { text.to_string() })
                .collect();
            let before = store.job(id).expect("there");
            let saved = store.save(id, Edit { base: seen, text: &text, what: "marked" }, by).expect("answered");
            let after = store.job(id).expect("there");
            match saved {
                Saved::Conflict { theirs, .. } => {
                    prop_assert_eq!(&theirs, &before.text);
                    prop_assert_eq!(&after, &before);
                }
                Saved::Done { .. } | Saved::Merged { .. } => {
                    prop_assert!(after.text.contains(&mark));
                    for other in before.text.split_whitespace().filter(|word| word.starts_with('_')) {
                        prop_assert!(after.text.contains(other), "{other} is gone");
                    }
                }
            }
        }
    }
}
