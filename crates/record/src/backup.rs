//! Backups: whole copies of the store, made while it is in use, looked through before they count.

use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use jiff::Timestamp;
use rusqlite::backup::{self, StepResult};
use rusqlite::{Connection, OpenFlags};

use crate::error::{Error, Result};
use crate::store::{PATIENCE, Store, check_is_ours, lock_alone, sync_folder_of};
use crate::{device, schema};

/// A backup, whole and readable.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Backup {
    pub path: PathBuf,
    /// When it was made, by its name.
    pub at: Timestamp,
    pub bytes: u64,
    /// Made because something older was about to take the records' place; such a one is never thrown away.
    pub before_restoring: bool,
}

/// How many backups stay.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Keep {
    /// The newest, however old they are.
    pub newest: usize,
    /// Of each day in so many the last one.
    pub days: u32,
}

impl Default for Keep {
    fn default() -> Keep {
        Keep { newest: 10, days: 30 }
    }
}

/// A folder of backups.
#[derive(Clone, Debug)]
pub struct Backups {
    folder: PathBuf,
}

const USUAL: &str = "records-";
const BEFORE: &str = "before-restoring-";
const END: &str = ".db";
/// A time in a name: sorts as it passes, and has no colon, which some disks do not take.
const TIME: &str = "%Y-%m-%dT%H-%M-%SZ";

impl Backups {
    pub fn new(folder: impl Into<PathBuf>) -> Backups {
        Backups { folder: folder.into() }
    }

    /// The folder beside a store's file where its backups are kept if nothing else is said.
    pub fn beside(store: &Path) -> Backups {
        let mut name = store.file_stem().unwrap_or_default().to_os_string();
        name.push("-backups");
        Backups::new(store.with_file_name(name))
    }

    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// Makes a backup and throws away those that are no longer to be kept.
    pub fn make(&self, store: &Store, now: Timestamp, keep: Keep) -> Result<Backup> {
        let made = self.make_as(store, USUAL, now)?;
        for old in to_throw_away(&self.list()?, now, keep) {
            std::fs::remove_file(&old).map_err(|why| Error::File { path: old, why })?;
        }
        Ok(made)
    }

    /// All of them, the newest first.
    pub fn list(&self) -> Result<Vec<Backup>> {
        let file = |why| Error::File { path: self.folder.clone(), why };
        let entries = match std::fs::read_dir(&self.folder) {
            Err(why) if why.kind() == std::io::ErrorKind::NotFound => return Ok(Vec::new()),
            entries => entries.map_err(file)?,
        };
        let mut out = Vec::new();
        for entry in entries {
            let entry = entry.map_err(file)?;
            let name = entry.file_name();
            let Some((at, before_restoring)) = name.to_str().and_then(time_of) else { continue };
            let bytes = entry.metadata().map_err(file)?.len();
            out.push(Backup { path: entry.path(), at, bytes, before_restoring });
        }
        out.sort_by(|a, b| b.at.cmp(&a.at).then_with(|| b.path.cmp(&a.path)));
        Ok(out)
    }

    /// The backup of this file name, if it is one of these: no path from outside is ever used.
    pub fn named(&self, name: &str) -> Result<Option<Backup>> {
        Ok(self.list()?.into_iter().find(|backup| backup.path.file_name().is_some_and(|known| known == name)))
    }

    /// Puts the records back to a backup and keeps what they were until now as another, which is returned.
    ///
    /// It is done as one change of the store in use: whoever is looking at it sees the one state and then the other,
    /// and a power cut leaves one of the two. Devices stay let in or sent away as they are now, and numbers of jobs
    /// that were given since are not given again.
    pub fn restore(&self, store: &Store, from: &Path, now: Timestamp) -> Result<Backup> {
        verify(from)?;
        let before = self.make_as(store, BEFORE, now)?;
        let draft = Draft::beside(&before.path, "draft");
        copy_file(from, &draft.0)?;
        let mut ready = open_alone(&draft.0)?;
        schema::migrate(&mut ready)?;
        carry_over(&ready, &before.path)?;
        store.replace_by(&ready)?;
        Ok(before)
    }

    fn make_as(&self, store: &Store, kind: &str, now: Timestamp) -> Result<Backup> {
        std::fs::create_dir_all(&self.folder).map_err(|why| Error::File { path: self.folder.clone(), why })?;
        let mut at = now;
        let mut path = self.folder.join(name_of(kind, at));
        // two in one second are two all the same
        while path.exists() {
            at += jiff::SignedDuration::from_secs(1);
            path = self.folder.join(name_of(kind, at));
        }
        store.back_up_to(&path)?;
        let bytes = std::fs::metadata(&path).map_err(|why| Error::File { path: path.clone(), why })?.len();
        let at = time_of(&name_of(kind, at)).map_or(at, |(at, _)| at);
        Ok(Backup { path, at, bytes, before_restoring: kind == BEFORE })
    }
}

/// Looks a backup through, page by page. An error says what is wrong with it.
pub fn verify(path: &Path) -> Result<()> {
    if !path.is_file() {
        return Err(Error::File { path: path.into(), why: std::io::ErrorKind::NotFound.into() });
    }
    let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let connection = Connection::open_with_flags(path, flags)?;
    check_is_ours(&connection, path)?;
    let found: String = connection.query_row("PRAGMA integrity_check(1)", [], |row| row.get(0))?;
    if found != "ok" {
        return Err(Error::Damaged(found));
    }
    let jobs = connection.query_row("SELECT count(*) FROM sheet WHERE id = 0", [], |row| row.get::<_, u64>(0))?;
    if jobs == 1 { Ok(()) } else { Err(Error::NotAStore(path.into())) }
}

/// Puts a backup in the place of a store that cannot be opened any more. What was there is kept beside it under
/// another name, which is returned; nothing is done while any program has it open.
pub fn restore_closed(store: &Path, from: &Path, now: Timestamp) -> Result<Option<PathBuf>> {
    verify(from)?;
    let _alone = lock_alone(store)?;
    let draft = Draft::beside(store, "draft");
    copy_file(from, &draft.0)?;
    let mut kept = None;
    for end in ["", "-wal", "-shm"] {
        let old = with_end(store, end);
        if old.exists() {
            let aside = with_end(store, &format!(".{}{end}", now.strftime(TIME)));
            std::fs::rename(&old, &aside).map_err(|why| Error::File { path: old, why })?;
            kept.get_or_insert(aside);
        }
    }
    std::fs::rename(&draft.0, store).map_err(|why| Error::File { path: store.into(), why })?;
    sync_folder_of(store)?;
    Ok(kept)
}

impl Store {
    /// Copies the store, as it is at one moment, into a new file that stands by itself; it is there whole or not at all.
    pub(crate) fn back_up_to(&self, path: &Path) -> Result<()> {
        let draft = Draft::beside(path, "part");
        let mut to = open_alone(&draft.0)?;
        self.with_own_reader(|from| copy_pages(from, &mut to))?;
        // by itself means without a log beside it
        to.pragma_update(None, "journal_mode", "DELETE")?;
        to.close().map_err(|(_, error)| Error::from(error))?;
        verify(&draft.0)?;
        sync(&draft.0)?;
        std::fs::rename(&draft.0, path).map_err(|why| Error::File { path: path.into(), why })?;
        sync_folder_of(path)
    }

    /// Takes over all pages of another store, as one change.
    fn replace_by(&self, from: &Connection) -> Result<()> {
        copy_pages(from, &mut self.writer())
    }
}

/// A file on its way, removed again if it does not arrive.
struct Draft(PathBuf);

impl Draft {
    fn beside(path: &Path, end: &str) -> Draft {
        let draft = Draft(with_end(path, &format!(".{end}")));
        draft.clear();
        draft
    }

    fn clear(&self) {
        for end in ["", "-journal", "-wal", "-shm"] {
            // what is not there need not be removed
            let _ = std::fs::remove_file(with_end(&self.0, end));
        }
    }
}

impl Drop for Draft {
    fn drop(&mut self) {
        self.clear();
    }
}

fn with_end(path: &Path, end: &str) -> PathBuf {
    let mut name = OsString::from(path);
    name.push(end);
    name.into()
}

fn open_alone(path: &Path) -> Result<Connection> {
    let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_CREATE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    Ok(Connection::open_with_flags(path, flags)?)
}

/// In one step, so that nobody's change in between makes it begin again.
fn copy_pages(from: &Connection, to: &mut Connection) -> Result<()> {
    let copy = backup::Backup::new(from, to)?;
    let begun = Instant::now();
    loop {
        match copy.step(-1)? {
            StepResult::Done => return Ok(()),
            _ if begun.elapsed() > PATIENCE => return Err(Error::Busy),
            _ => std::thread::sleep(Duration::from_millis(20)),
        }
    }
}

fn copy_file(from: &Path, to: &Path) -> Result<()> {
    std::fs::copy(from, to).map_err(|why| Error::File { path: to.into(), why })?;
    sync(to)
}

fn sync(path: &Path) -> Result<()> {
    let synced = std::fs::File::options().write(true).open(path).and_then(|file| file.sync_all());
    synced.map_err(|why| Error::File { path: path.into(), why })
}

/// What an older state must not bring back: who is let in, and numbers that have been given.
fn carry_over(ready: &Connection, present: &Path) -> Result<()> {
    let present =
        Connection::open_with_flags(present, OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX)?;
    device::carry_over(&present, ready)?;
    let given = "SELECT coalesce(max(seq), 0) FROM sqlite_sequence WHERE name = ?1";
    for table in ["sheet", "device"] {
        let last: i64 = present.query_row(given, [table], |row| row.get(0))?;
        ready.execute("UPDATE sqlite_sequence SET seq = max(seq, ?2) WHERE name = ?1", (table, last))?;
    }
    Ok(())
}

fn name_of(kind: &str, at: Timestamp) -> String {
    format!("{kind}{}{END}", at.strftime(TIME))
}

/// When a backup of this name was made, and whether before restoring; none where it is no name of ours.
fn time_of(name: &str) -> Option<(Timestamp, bool)> {
    let stem = name.strip_suffix(END)?;
    let (time, before) = match (stem.strip_prefix(USUAL), stem.strip_prefix(BEFORE)) {
        (Some(time), _) => (time, false),
        (None, Some(time)) => (time, true),
        (None, None) => return None,
    };
    let at = jiff::civil::DateTime::strptime(TIME, time).ok()?.in_tz("UTC").ok()?.timestamp();
    (name_of(if before { BEFORE } else { USUAL }, at) == name).then_some((at, before))
}

/// Of a list, the newest first, those that are not to be kept.
fn to_throw_away(all: &[Backup], now: Timestamp, keep: Keep) -> Vec<PathBuf> {
    let day = |at: Timestamp| at.as_second().div_euclid(24 * 3600);
    let mut last_of = None;
    let usual = all.iter().filter(|backup| !backup.before_restoring).enumerate();
    usual
        .filter(|(index, backup)| {
            let is_last = last_of.replace(day(backup.at)) != Some(day(backup.at));
            let young = day(now) - day(backup.at) < i64::from(keep.days);
            *index >= keep.newest.max(1) && !(is_last && young)
        })
        .map(|(_, backup)| backup.path.clone())
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_tell_when_and_nothing_else_is_a_backup() {
        let at: Timestamp = "2026-11-25T19:44:39Z".parse().expect("a time");
        assert_eq!(name_of(USUAL, at), "records-2026-11-25T19-44-39Z.db");
        assert_eq!(time_of("records-2026-11-25T19-44-39Z.db"), Some((at, false)));
        assert_eq!(time_of("before-restoring-2026-11-25T19-44-39Z.db"), Some((at, true)));
        for other in [
            "records.db",
            "records-.db",
            "records-2026-11-25T19-44-39Z.db.part",
            "records-2026-13-25T19-44-39Z.db",
            "../records-2026-11-25T19-44-39Z.db",
        ] {
            assert_eq!(time_of(other), None, "{other}");
        }
    }

    #[test]
    fn the_newest_stay_and_the_last_of_each_day() {
        let now: Timestamp = "2026-11-25T12:00:00Z".parse().expect("a time");
        // four a day, the newest first
        let all: Vec<Backup> = (0..160)
            .map(|n| {
                let at = now - jiff::SignedDuration::from_hours(6 * n);
                Backup { path: name_of(USUAL, at).into(), at, bytes: 0, before_restoring: n == 159 }
            })
            .collect();
        let gone = to_throw_away(&all, now, Keep { newest: 6, days: 10 });
        let stay: Vec<i64> = all
            .iter()
            .filter(|backup| !gone.contains(&backup.path))
            .map(|backup| now.duration_since(backup.at).as_hours())
            .collect();
        // today until noon, yesterday's four of which three are among the newest, then each day's last at 18 o'clock
        assert_eq!(stay, [0, 6, 12, 18, 24, 30, 42, 66, 90, 114, 138, 162, 186, 210, 954]);
        assert!(to_throw_away(&all[..1], now, Keep { newest: 0, days: 0 }).is_empty());
    }
}
