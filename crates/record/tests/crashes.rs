//! Whatever befalls the program or its disk, what was acknowledged is there and the store opens.
//!
//! The writer is this same test program, run again by the test with `WRITER` set: it prints a line for each change once the
//! store has said that it is kept, and the test holds the store to every line it has seen.
//!
//! What is tried here is the death of the process and a disk that runs full. A power cut is not: it cannot be made without
//! hardware. What stands against it is SQLite's log with `synchronous = FULL`, which has each commit reach the disk before it
//! is acknowledged (asserted below), and that a log cut off or scribbled over behind the last acknowledged change opens to
//! exactly what was acknowledged (tried below, at every length).

use std::collections::BTreeMap;
use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::{Duration, Instant};

use jiff::Timestamp;
use record::{Backups, By, Edit, Fact, Facts, JobId, Keep, Saved, Store, verify};

const KILLS: u64 = 220;
/// Set in the writer: where the store is, and a number that makes its texts its own.
const WRITER: &str = "RECORD_TEST_WRITER";

fn by() -> By<'static> {
    By { who: "writer", at: Timestamp::UNIX_EPOCH }
}

/// Does nothing unless it is run by one of the tests below.
#[test]
#[ignore = "the other half of the tests in this file"]
fn writer() {
    let Ok(told) = std::env::var(WRITER) else { return };
    let (seed, path) = told.split_once(' ').expect("a seed and a path");
    // being killed while it opens is part of it
    let store = match Store::open(Path::new(path)) {
        Ok(store) => store,
        Err(error) => return say(&format!("refused {error}")),
    };
    say("open");
    let next = AtomicU64::new(0);
    std::thread::scope(|scope| {
        for _ in 0..3 {
            scope.spawn(|| {
                while next.load(Ordering::Relaxed) < 5_000 {
                    let number = next.fetch_add(1, Ordering::Relaxed);
                    if let Err(error) = write_one(&store, Path::new(path), seed, number) {
                        say(&format!("refused {error}"));
                        // a full disk refuses the next one too; some smaller ones may still fit
                        next.fetch_add(250, Ordering::Relaxed);
                    }
                }
            });
        }
    });
    say("end");
}

/// One change of some kind. A text tells whose it is by itself.
fn write_one(store: &Store, path: &Path, seed: &str, number: u64) -> record::Result<()> {
    let text = format!("title = \"{seed} {number}\"\n{}", "# filling\n".repeat(number as usize % 50));
    let id = store.add(&text, "added", by())?;
    say(&format!("job {id} 1 {text:?}"));
    match number % 5 {
        0 => {
            let text = format!("{text}notes = {number}\n");
            if let Saved::Done { version } = store.save(id, Edit { base: 1, text: &text, what: "edited" }, by())? {
                say(&format!("job {id} {version} {text:?}"));
            }
        }
        1 => {
            let bytes = text.repeat(200);
            let version = store.attach(id, "a.png", bytes.as_bytes(), by())?;
            say(&format!("picture {id} {version} {bytes:?}"));
        }
        2 => {
            store.mark(id, "index/40", None, &text, by())?;
            say(&format!("mark {id} 1 {text:?}"));
        }
        3 => {
            let numbers = (0..10).map(|n| Fact { what: format!("size {n}"), value: number as f64, tolerance: 0.1 });
            let facts = Facts { title: text.clone(), words: text, numbers: numbers.collect(), ..Facts::default() };
            store.index(id, 1, &facts)?;
        }
        _ if number % 40 == 4 => {
            let made = Backups::beside(path).make(store, Timestamp::now(), Keep { newest: 2, days: 0 })?;
            say(&format!("backup 1 1 {:?}", made.path.display().to_string()));
        }
        _ => {}
    }
    Ok(())
}

/// A line is written in one piece, and only after what it tells is done.
fn say(line: &str) {
    let mut out = std::io::stdout().lock();
    // nobody may be listening any more
    let _ = out.write_all(format!("\nkept: {line}\n").as_bytes()).and_then(|()| out.flush());
}

/// What the writer has been told is kept.
#[derive(Default)]
struct Kept {
    texts: BTreeMap<(JobId, u32), String>,
    pictures: BTreeMap<(JobId, u32), String>,
    marks: BTreeMap<JobId, String>,
    refused: Vec<String>,
    opened: u32,
    backups: u32,
}

impl Kept {
    fn hear(&mut self, line: &str) {
        let Some(line) = line.strip_prefix("kept: ") else { return };
        let mut words = line.splitn(4, ' ');
        let mut word = || words.next().unwrap_or_default();
        match word() {
            "open" => self.opened += 1,
            "end" => {}
            "refused" => self.refused.push(line.to_string()),
            what => {
                let (id, version) = (word().parse().expect("a number"), word().parse().expect("a version"));
                // the last line may have been cut off by the kill, and then it was not told
                let Ok(text) = serde_json::from_str::<String>(word()) else { return };
                match what {
                    "job" => drop(self.texts.insert((id, version), text)),
                    "picture" => drop(self.pictures.insert((id, version), text)),
                    "mark" => drop(self.marks.insert(id, text)),
                    _ => self.backups += 1,
                }
            }
        }
    }

    /// Every line heard so far is true.
    fn check(&self, store: &Store) {
        for ((id, version), text) in &self.texts {
            assert_eq!(store.at(*id, *version).expect("kept").text, *text);
        }
        for ((id, version), bytes) in &self.pictures {
            assert!(store.attachment_at(*id, *version, "a.png").expect("kept") == bytes.as_bytes());
        }
        for (id, text) in &self.marks {
            assert_eq!(store.marked(*id, "index/40").expect("kept"), *text);
        }
    }

    fn count(&self) -> usize {
        self.texts.len() + self.pictures.len() + self.marks.len()
    }
}

/// Has this program run the writer and nothing else.
const WRITER_ALONE: [&str; 5] = ["--ignored", "--exact", "writer", "--nocapture", "--test-threads=1"];

/// The writer at work, through a shell where something has to be done first.
fn begin(path: &Path, seed: u64, shell: Option<&str>) -> Child {
    let program = std::env::current_exe().expect("this program");
    let mut command = match shell {
        None => Command::new(program),
        Some(script) => {
            let mut command = Command::new("sh");
            command.arg("-c").arg(format!("{script} exec \"$0\" \"$@\"")).arg(program);
            command
        }
    };
    command
        .args(WRITER_ALONE)
        .env(WRITER, format!("{seed} {}", path.display()))
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .expect("begun")
}

fn hear_all(child: &mut Child, kept: &mut Kept) {
    let out = child.stdout.take().expect("piped");
    for line in BufReader::new(out).lines() {
        kept.hear(&line.expect("text"));
    }
}

#[test]
fn killed_at_any_moment_nothing_acknowledged_is_lost() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("records.db");
    let (mut all, mut shortest) = (0, usize::MAX);
    let mut kept = Kept::default();
    for kill in 0..KILLS {
        let mut child = begin(&path, kill, None);
        let out = child.stdout.take().expect("piped");
        let mut lately = Kept::default();
        let heard = AtomicU64::new(0);
        std::thread::scope(|scope| {
            let hearing = scope.spawn(|| {
                for line in BufReader::new(out).lines() {
                    lately.hear(&line.expect("text"));
                    heard.fetch_add(1, Ordering::Relaxed);
                }
            });
            // every fifth while it is being opened, the others after so many lines, each a little later than the last
            let begun = Instant::now();
            let wanted = if kill % 5 == 0 { 0 } else { 12 + (kill * 7) % 60 };
            while heard.load(Ordering::Relaxed) < wanted && begun.elapsed() < Duration::from_secs(20) {
                std::thread::sleep(Duration::from_micros(200));
            }
            let opening = if kill % 5 == 0 { 8_000 } else { 0 };
            std::thread::sleep(Duration::from_micros(opening + (kill * 7_919) % 10_000));
            // SIGKILL: nothing of ours runs after it
            child.kill().expect("killed");
            hearing.join().expect("heard");
        });
        child.wait().expect("ended");
        assert_eq!(lately.refused, [""; 0]);
        let store = Store::open(&path).expect("it opens");
        lately.check(&store);
        shortest = shortest.min(lately.count());
        all += lately.count();
        kept.opened += lately.opened;
        kept.backups += lately.backups;
        kept.texts.append(&mut lately.texts);
        kept.pictures.append(&mut lately.pictures);
        kept.marks.append(&mut lately.marks);
        // reading all pages each time would be most of the test's time
        if kill % 20 == 0 {
            drop(store);
            verify(&path).expect("whole");
        }
    }
    let store = Store::open(&path).expect("it opens");
    kept.check(&store);
    verify(&path).expect("whole");
    // what is found by words and what is kept agree as well
    let found = store.search(&record::Query { most: 1, ..record::Query::default() }).expect("searched");
    assert_eq!(found.total, store.jobs().expect("listed").len());
    for backup in Backups::beside(&path).list().expect("listed") {
        verify(&backup.path).expect("a backup is whole or not there");
    }
    println!(
        "{KILLS} kills, {} of them at work: {all} acknowledged changes, {} backups, none lost",
        kept.opened, kept.backups
    );
    assert!(u64::from(kept.opened) > KILLS / 2 && all > 2_000, "the kills came too early to mean anything");
    assert!(shortest < 5, "no kill came early");
}

/// No file may grow beyond this, as on a disk that is full; the store meets it in its log, its pages and its backups.
#[test]
fn on_a_full_disk_nothing_acknowledged_is_lost() {
    for blocks in [800, 2_000, 5_000] {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("records.db");
        drop(Store::open(&path).expect("made"));
        // the signal that would end it is passed over, as for any program that checks its writes
        let script = format!("trap '' XFSZ; ulimit -f {blocks};");
        full(&path, begin(&path, blocks, Some(&script)));
    }
}

/// The same on a real disk of two megabytes, where this system lets a test make one.
#[test]
fn on_a_small_disk_nothing_acknowledged_is_lost() {
    let folder = tempfile::tempdir().expect("a folder");
    let (disk, after) = (folder.path().join("disk"), folder.path().join("after"));
    std::fs::create_dir(&disk).expect("made");
    let mount = format!("mount -t tmpfs -o size=2m tmpfs '{}' &&", disk.display());
    let apart = |script: &str| {
        let mut command = Command::new("unshare");
        command.args(["-rm", "sh", "-c", script]).stderr(Stdio::null());
        command
    };
    if !apart(&format!("{mount} true")).status().is_ok_and(|status| status.success()) {
        println!("no disk can be made here; the test before this one stands for it");
        return;
    }
    // the disk is gone with the writer, so its files are carried off it in the end
    let script = format!("{mount} \"$0\" \"$@\"; cp -r '{}' '{}'", disk.display(), after.display());
    let mut child = apart(&script)
        .arg(std::env::current_exe().expect("this program"))
        .args(WRITER_ALONE)
        .env(WRITER, format!("7 {}", disk.join("records.db").display()))
        .stdout(Stdio::piped())
        .spawn()
        .expect("begun");
    let mut kept = Kept::default();
    hear_all(&mut child, &mut kept);
    child.wait().expect("ended");
    assert!(!kept.refused.is_empty() && kept.count() > 10, "{} {:?}", kept.count(), kept.refused);
    assert!(kept.refused.iter().all(|why| why.contains("The disk is full")), "{:?}", kept.refused);
    let path = after.join("records.db");
    let store = Store::open(&path).expect("it opens");
    kept.check(&store);
    drop(store);
    verify(&path).expect("whole");
}

fn full(path: &Path, mut child: Child) {
    let mut kept = Kept::default();
    hear_all(&mut child, &mut kept);
    assert!(child.wait().expect("ended").success());
    assert!(!kept.refused.is_empty(), "the disk was never full");
    assert!(kept.count() > 3, "the disk was full before anything was written");
    let store = Store::open(path).expect("it opens");
    kept.check(&store);
    // and it goes on where there is room again
    store.add("title = \"after\"\n", "added", by()).expect("added");
    drop(store);
    verify(path).expect("whole");
}

/// The log as a power cut may leave it: all that was acknowledged, and behind it anything or nothing.
#[test]
fn a_log_cut_off_behind_the_last_acknowledged_change_holds_all_of_them() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("records.db");
    let log = folder.path().join("records.db-wal");
    let store = Store::open(&path).expect("made");
    let mut kept = Kept::default();
    let mut lengths = Vec::new();
    for number in 0..6_u32 {
        let text = format!("title = \"{number}\"\n");
        let id = store.add(&text, "added", by()).expect("added");
        kept.texts.insert((id, 1), text);
        lengths.push(std::fs::metadata(&log).expect("there").len() as usize);
    }
    let (pages, whole) = (std::fs::read(&path).expect("read"), std::fs::read(&log).expect("read"));
    drop(store);
    let acknowledged = lengths[3];
    kept.texts.retain(|(id, _), _| id.number() <= 4);
    let cut = folder.path().join("cut.db");
    let log = folder.path().join("cut.db-wal");
    let try_log = |bytes: &[u8]| {
        std::fs::write(&cut, &pages).expect("written");
        std::fs::write(&log, bytes).expect("written");
        let _ = std::fs::remove_file(folder.path().join("cut.db-shm"));
        let store = Store::open(&cut).expect("it opens");
        kept.check(&store);
        assert!((4..=6).contains(&store.jobs().expect("listed").len()));
    };
    for length in (acknowledged..=whole.len()).step_by(509) {
        try_log(&whole[..length]);
        let mut scribbled = whole[..length].to_vec();
        scribbled.resize(whole.len(), 0xa5);
        try_log(&scribbled);
        // a sector that was written in the wrong order
        let mut holed = whole.clone();
        let end = (length + 512).min(holed.len());
        holed[length..end].fill(0);
        try_log(&holed);
    }
}
