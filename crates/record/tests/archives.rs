//! Jobs as one file: taken out and brought in without loss, and refused where anything is not as it should be.

use std::io::{Cursor, Write};

use jiff::{SignedDuration, Timestamp};
use proptest::prelude::*;
use record::{Archive, BroughtIn, By, Edit, JobId, Store};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipWriter};

const TEXT: &str = "title = \"Feed sector\"\r\n# ½ worn\n\n";

fn by(minute: i64) -> By<'static> {
    let start = Timestamp::from_millisecond(1_700_000_000_123).expect("a time");
    By { who: "bench", at: start + SignedDuration::from_mins(minute) }
}

fn job(number: i64) -> JobId {
    JobId::new(number).expect("a number")
}

/// Jobs with every sort of past.
fn full() -> Store {
    let store = Store::in_memory().expect("a store");
    let edit = |base, text| Edit { base, text, what: "edited" };
    let id = store.add(TEXT, "added", by(1)).expect("added");
    store.attach(id, "sector.png", b"first", by(2)).expect("attached");
    store.attach(id, "sector.png", b"second", by(3)).expect("attached");
    store.attach(id, "back.png", b"third", by(4)).expect("attached");
    store.detach(id, "back.png", by(5)).expect("detached");
    store.save(id, edit(5, "title = \"Sector\"\n"), by(6)).expect("saved");
    store.bring_back(id, 2, by(7)).expect("back");
    store.mark(id, "index/40", None, "3", by(8)).expect("marked");
    store.mark(id, "index/40", None, "4", by(9)).expect("marked");
    let copy = store.copy(id, by(10)).expect("copied");
    store.remove(copy, by(11)).expect("removed");
    store.add("", "added", by(12)).expect("added");
    store.save_shop(edit(0, "hour = 60\n"), by(13)).expect("saved");
    store.save_shop(edit(1, "hour = 65\n"), by(14)).expect("saved");
    store
}

fn everything(store: &Store) -> Vec<u8> {
    store.take_out_all(Cursor::new(Vec::new())).expect("taken out").into_inner()
}

fn bring_in(store: &Store, bytes: &[u8]) -> record::Result<BroughtIn> {
    store.bring_in(&mut Archive::open(Cursor::new(bytes))?, by(100))
}

#[test]
fn everything_goes_through_an_archive_without_loss() {
    let archive = everything(&full());
    let other = Store::in_memory().expect("a store");
    let brought = bring_in(&other, &archive).expect("brought in");
    let added = (1..=3).map(|number| (number, job(number))).collect();
    assert_eq!(brought, BroughtIn { added, grown: vec![], known: vec![], shop: true });
    assert_eq!(everything(&other), archive);
    assert_eq!(other.attachment_at(job(1), 4, "back.png").expect("there"), b"third");
    assert_eq!(other.unindexed(9).expect("read").len(), 3);
}

#[test]
fn what_is_known_is_left_alone_and_goes_on_where_the_archive_does() {
    let store = full();
    let early = everything(&store);
    let one = store.take_out(&[job(1)], Cursor::new(Vec::new())).expect("taken out").into_inner();
    let brought = bring_in(&store, &early).expect("brought in");
    assert_eq!(brought, BroughtIn { known: vec![job(1), job(2), job(3)], ..BroughtIn::default() });
    assert_eq!(everything(&store), early);

    // elsewhere the job goes on, with a new picture
    let elsewhere = Store::in_memory().expect("a store");
    bring_in(&elsewhere, &one).expect("brought in");
    elsewhere.attach(job(1), "new.png", b"fourth", by(20)).expect("attached");
    elsewhere.mark(job(1), "index/40", None, "5", by(21)).expect("marked");
    let late = everything(&elsewhere);
    let brought = bring_in(&store, &late).expect("brought in");
    assert_eq!(brought, BroughtIn { grown: vec![job(1)], ..BroughtIn::default() });
    assert_eq!(store.attachment(job(1), "new.png").expect("there"), b"fourth");
    assert_eq!(store.marked(job(1), "index/40").expect("read"), "5");
    // an archive from before changes nothing of that
    assert_eq!(bring_in(&store, &early).expect("brought in").known.len(), 3);

    // two that went different ways are two
    elsewhere.save(job(1), Edit { base: 8, text: "a = 1\n", what: "edited" }, by(30)).expect("saved");
    store.save(job(1), Edit { base: 8, text: "b = 1\n", what: "edited" }, by(31)).expect("saved");
    let brought = bring_in(&store, &everything(&elsewhere)).expect("brought in");
    assert_eq!(brought.added, [(1, job(4))]);
    assert_eq!(store.job(job(1)).expect("there").text, "b = 1\n");
    assert_eq!(store.job(job(4)).expect("there").text, "a = 1\n");
}

/// An archive with these files in it.
fn archive(files: &[(&str, &[u8])]) -> Vec<u8> {
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    let deflated = SimpleFileOptions::default().compression_method(CompressionMethod::Deflated);
    for (name, bytes) in files {
        zip.start_file(*name, deflated).expect("begun");
        zip.write_all(bytes).expect("written");
    }
    zip.finish().expect("closed").into_inner()
}

#[test]
fn a_job_file_with_its_pictures_is_enough() {
    let store = full();
    let brought = bring_in(&store, &archive(&[("jobs/7/job.toml", TEXT.as_bytes()), ("jobs/7/pictures/a.png", b"x")]));
    assert_eq!(brought.expect("brought in").added, [(7, job(4))]);
    assert_eq!(store.job(job(4)).expect("there").text, TEXT);
    assert_eq!(store.attachment(job(4), "a.png").expect("there"), b"x");
    assert_eq!(store.history(job(4)).expect("there")[0].what, "brought in");
}

#[test]
fn a_text_that_was_changed_outside_is_one_more_change() {
    let store = full();
    let changed = replaced(&stored(&store), b"# \xc2\xbd worn", b"# \xc2\xbd WORN", 1);
    let brought = bring_in(&store, &changed).expect("brought in");
    assert_eq!(brought.grown, [job(1)]);
    let history = store.history(job(1)).expect("there");
    assert_eq!((history[0].version, history[0].what.as_str()), (8, "changed outside the records"));
    assert!(store.job(job(1)).expect("there").text.contains("WORN"));
}

/// The first job's archive with nothing compressed, so that bytes in it can be changed.
fn stored(store: &Store) -> Vec<u8> {
    let packed = store.take_out(&[job(1)], Cursor::new(Vec::new())).expect("taken out").into_inner();
    let mut from = zip::ZipArchive::new(Cursor::new(packed)).expect("an archive");
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    for index in 0..from.len() {
        let mut entry = from.by_index(index).expect("there");
        let name = entry.name().expect("text").into_owned();
        zip.start_file(name, SimpleFileOptions::default().compression_method(CompressionMethod::Stored))
            .expect("begun");
        std::io::copy(&mut entry, &mut zip).expect("copied");
    }
    zip.finish().expect("closed").into_inner()
}

/// With the first so many of a run of bytes changed, and the sums of the files put right.
fn replaced(zip: &[u8], from: &[u8], to: &[u8], times: usize) -> Vec<u8> {
    let mut archive = zip::ZipArchive::new(Cursor::new(zip)).expect("an archive");
    let mut out = ZipWriter::new(Cursor::new(Vec::new()));
    let mut left = times;
    for index in 0..archive.len() {
        let mut entry = archive.by_index(index).expect("there");
        let mut bytes = Vec::new();
        std::io::copy(&mut entry, &mut bytes).expect("read");
        while left > 0
            && let Some(at) = bytes.windows(from.len()).position(|run| run == from)
        {
            bytes.splice(at..at + from.len(), to.iter().copied());
            left -= 1;
        }
        let name = entry.name().expect("text").into_owned();
        out.start_file(name, SimpleFileOptions::default().compression_method(CompressionMethod::Stored))
            .expect("begun");
        out.write_all(&bytes).expect("written");
    }
    out.finish().expect("closed").into_inner()
}

/// The bytes of one name in an archive's heads changed to those of another as long.
fn renamed(mut zip: Vec<u8>, from: &[u8], to: &[u8]) -> Vec<u8> {
    assert_eq!(from.len(), to.len());
    for at in 0..zip.len().saturating_sub(from.len()) {
        if &zip[at..at + from.len()] == from {
            zip[at..at + from.len()].copy_from_slice(to);
        }
    }
    zip
}

#[test]
fn hostile_archives_are_refused_as_a_whole() {
    let good: &[u8] = TEXT.as_bytes();
    let zeros = vec![0; 20_000_000];
    let long = vec![b'#'; record::LARGEST_TEXT + 1];
    let one = ("jobs/1/job.toml", good);
    let linked = {
        let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
        zip.add_symlink("jobs/1/job.toml", "/etc/hostname", SimpleFileOptions::default()).expect("linked");
        zip.finish().expect("closed").into_inner()
    };
    let history = |changes: &str| format!("{{\"format\": 1, \"changes\": [{changes}]}}").into_bytes();
    let state = |version: u32, pictures: &str| {
        format!(
            "{{\"version\": {version}, \"at\": \"2026-11-25T19:44:39Z\", \"who\": \"x\", \"what\": \"y\", \"text\": \"\", \"pictures\": {{{pictures}}}}}"
        )
    };
    let store = full();
    let hostile: Vec<(&str, Vec<u8>)> = vec![
        ("nothing", Vec::new()),
        ("no archive", b"title = \"x\"\n".to_vec()),
        ("an empty archive", archive(&[])),
        ("a path upwards", archive(&[one, ("../x.toml", good)])),
        ("a path upwards inside", archive(&[one, ("jobs/1/pictures/../../../x", good)])),
        ("a path from the root", archive(&[one, ("/etc/x", good)])),
        ("a path of another system", archive(&[one, ("jobs/1/pictures/..\\x.png", good)])),
        ("a drive", archive(&[one, ("C:/x", good)])),
        ("a file of no place", archive(&[one, ("jobs/1/run.sh", good)])),
        (
            "a name that is no text",
            renamed(archive(&[("jobs/1/job.toml", good)]), b"jobs/1/job.toml", b"jobs/1/job.tom\xff"),
        ),
        ("a name with an end in it", renamed(archive(&[one]), b"jobs/1/job.toml", b"jobs/1/job.to\0l")),
        ("one name twice", renamed(archive(&[one, ("jobs/2/job.toml", b"")]), b"jobs/2/job.toml", b"jobs/1/job.toml")),
        ("a link", linked),
        ("a text that is too long", archive(&[("jobs/1/job.toml", &long)])),
        ("a text that is no text", archive(&[("jobs/1/job.toml", b"title = \xff")])),
        ("a picture that swells", archive(&[one, ("jobs/1/pictures/a.png", &zeros)])),
        ("a history that swells", archive(&[one, ("jobs/1/history.json", &zeros)])),
        ("pictures without a job", archive(&[("jobs/1/pictures/a.png", good)])),
        ("a history that is none", archive(&[one, ("jobs/1/history.json", b"[]")])),
        (
            "a history with a gap",
            archive(&[one, ("jobs/1/history.json", &history(&(state(1, "") + "," + &state(3, ""))))]),
        ),
        ("a history from later", archive(&[one, ("jobs/1/history.json", b"{\"format\": 2, \"changes\": []}")])),
        (
            "a picture that is missing",
            archive(&[one, ("jobs/1/history.json", &history(&state(1, "\"a.png\": \"pictures/a.png\"")))]),
        ),
        (
            "a picture of another name",
            archive(&[
                one,
                ("jobs/1/pictures/b.png", good),
                ("jobs/1/history.json", &history(&state(1, "\"a.png\": \"pictures/b.png\""))),
            ]),
        ),
        (
            "a picture out of another job",
            archive(&[
                one,
                ("jobs/2/job.toml", good),
                ("jobs/2/pictures/a.png", good),
                ("jobs/1/history.json", &history(&state(1, "\"a.png\": \"../2/pictures/a.png\""))),
            ]),
        ),
        (
            "a picture of no history",
            archive(&[one, ("jobs/1/pictures/a.png", good), ("jobs/1/history.json", &history(&state(1, "")))]),
        ),
        ("cut short", {
            let whole = everything(&store);
            whole[..whole.len() - 30].to_vec()
        }),
        // the good job before the bad one is not taken either
        ("a bad job behind a good one", archive(&[one, ("jobs/2/job.toml", b"\xff")])),
    ];
    let before = everything(&store);
    for (what, bytes) in hostile {
        let refused = bring_in(&store, &bytes).expect_err(what);
        assert!(refused.to_string().ends_with("Nothing was taken from it."), "{what}: {refused}");
        assert_eq!(everything(&store), before, "{what}");
    }
}

/// What a head says of a size is not believed.
#[test]
fn a_file_longer_than_it_says_is_refused() {
    let long = vec![b'#'; record::LARGEST_TEXT + 100];
    let honest = archive(&[("jobs/1/job.toml", &long)]);
    let size = u32::try_from(long.len()).expect("small").to_le_bytes();
    let lying = renamed(honest, &size, &1000_u32.to_le_bytes());
    let store = full();
    assert!(bring_in(&store, &lying).is_err());
    assert_eq!(store.jobs().expect("read").len(), 3);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, ..ProptestConfig::default() })]

    /// Whatever becomes of an archive on its way: it is brought in whole, or nothing of it is.
    #[test]
    fn a_damaged_archive_is_taken_whole_or_not_at_all(
        changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..8),
        cut in prop::option::weighted(0.2, any::<prop::sample::Index>()),
    ) {
        thread_local! {
            static ARCHIVE: Vec<u8> = stored(&full());
        }
        let mut bytes = ARCHIVE.with(Clone::clone);
        for (at, byte) in changes {
            let at = at.index(bytes.len());
            bytes[at] = byte;
        }
        if let Some(cut) = cut {
            bytes.truncate(cut.index(bytes.len()));
        }
        let store = Store::in_memory().expect("a store");
        match bring_in(&store, &bytes) {
            Ok(brought) => prop_assert_eq!(brought.added.len(), store.jobs().expect("read").len()),
            Err(why) => {
                prop_assert!(!why.to_string().is_empty());
                prop_assert!(store.jobs().expect("read").is_empty());
                prop_assert_eq!(store.shop().expect("read"), None);
            }
        }
    }
}
