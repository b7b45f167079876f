//! The file, its connections, and what they promise.

use std::fmt;
use std::fs::{File, TryLockError};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use rusqlite::{Connection, ErrorCode, OpenFlags, Transaction, TransactionBehavior};

use crate::error::{Error, Result};
use crate::schema;

/// The records of a shop. One for all threads: writes take turns, reads go beside them.
pub struct Store {
    path: Option<PathBuf>,
    writer: Mutex<Connection>,
    /// Idle readers; more are opened as they are needed.
    readers: Mutex<Vec<Connection>>,
    /// Held while the store is open, so that its file is not moved away from under it.
    _in_use: Option<File>,
}

/// How long a write waits for another program, such as the command line beside the notebook.
pub(crate) const PATIENCE: Duration = Duration::from_secs(10);
/// Idle readers that are kept.
const IDLE_READERS: usize = 8;

impl Store {
    /// Opens the store in this file; an empty one is made where there is none.
    pub fn open(path: &Path) -> Result<Store> {
        let is_new = !path.exists();
        if let Some(folder) = path.parent().filter(|folder| is_new && !folder.as_os_str().is_empty()) {
            std::fs::create_dir_all(folder).map_err(|why| Error::File { path: folder.into(), why })?;
        }
        let in_use = lock_shared(path)?;
        let mut connection = connect(path, OpenFlags::SQLITE_OPEN_CREATE)?;
        check_is_ours(&connection, path)?;
        // the mode is kept in the file; FULL has every commit reach the disk before it is acknowledged
        connection.pragma_update(None, "journal_mode", "WAL")?;
        schema::migrate(&mut connection)?;
        if is_new {
            sync_folder_of(path)?;
        }
        Ok(Store {
            path: Some(path.to_path_buf()),
            writer: Mutex::new(connection),
            readers: Mutex::new(Vec::new()),
            _in_use: in_use,
        })
    }

    /// A store that is gone with the program, for trying things.
    pub fn in_memory() -> Result<Store> {
        let mut connection = Connection::open_in_memory()?;
        settle(&connection)?;
        schema::migrate(&mut connection)?;
        Ok(Store { path: None, writer: Mutex::new(connection), readers: Mutex::new(Vec::new()), _in_use: None })
    }

    /// Its file; none in memory.
    pub fn path(&self) -> Option<&Path> {
        self.path.as_deref()
    }

    /// Makes a change: all of it is on disk when this returns, or none of it ever happened.
    pub(crate) fn write<T>(&self, change: impl FnOnce(&Transaction<'_>) -> Result<T>) -> Result<T> {
        let mut writer = self.writer();
        let transaction = writer.transaction_with_behavior(TransactionBehavior::Immediate)?;
        let done = change(&transaction)?;
        transaction.commit()?;
        Ok(done)
    }

    /// Looks at one consistent state, beside whatever is being written.
    pub(crate) fn read<T>(&self, look: impl FnOnce(&Transaction<'_>) -> Result<T>) -> Result<T> {
        let Some(path) = &self.path else {
            return look(&self.writer().transaction()?);
        };
        let idle = lock(&self.readers).pop();
        let mut reader = match idle {
            Some(reader) => reader,
            None => connect(path, OpenFlags::empty())?,
        };
        let seen = look(&reader.transaction()?);
        let mut readers = lock(&self.readers);
        if readers.len() < IDLE_READERS {
            readers.push(reader);
        }
        seen
    }

    /// As [`Store::read`], without a transaction around it.
    pub(crate) fn with_own_reader<T>(&self, look: impl FnOnce(&Connection) -> Result<T>) -> Result<T> {
        match &self.path {
            None => look(&self.writer()),
            Some(path) => look(&connect(path, OpenFlags::empty())?),
        }
    }

    pub(crate) fn writer(&self) -> MutexGuard<'_, Connection> {
        lock(&self.writer)
    }
}

impl fmt::Debug for Store {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Store").field("path", &self.path).finish_non_exhaustive()
    }
}

/// Beside the store lies a file whose lock says that it is in use. Where a disk knows no locks, nobody is held up.
fn lock_shared(store: &Path) -> Result<Option<File>> {
    let Ok(file) = lock_file(store) else { return Ok(None) };
    match file.try_lock_shared() {
        Ok(()) => Ok(Some(file)),
        Err(TryLockError::WouldBlock) => Err(Error::Busy),
        Err(TryLockError::Error(_)) => Ok(None),
    }
}

/// Holds the store for oneself; refused while any program has it open.
pub(crate) fn lock_alone(store: &Path) -> Result<File> {
    let file = lock_file(store).map_err(|why| Error::File { path: store.into(), why })?;
    match file.try_lock() {
        Ok(()) => Ok(file),
        Err(TryLockError::WouldBlock) => Err(Error::Busy),
        Err(TryLockError::Error(why)) => Err(Error::File { path: store.into(), why }),
    }
}

fn lock_file(store: &Path) -> std::io::Result<File> {
    let mut name = store.as_os_str().to_os_string();
    name.push(".lock");
    File::options().create(true).truncate(false).write(true).open(name)
}

/// A thread that fell over inside a change has rolled it back; the connection is good.
fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

pub(crate) fn connect(path: &Path, create: OpenFlags) -> Result<Connection> {
    let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX | create;
    let connection = Connection::open_with_flags(path, flags).map_err(|error| match error.sqlite_error_code() {
        Some(ErrorCode::CannotOpen) => {
            Error::File { path: path.into(), why: std::io::Error::other("the file cannot be opened or made") }
        }
        _ => Error::from(error),
    })?;
    match settle(&connection) {
        Err(Error::Database(error)) if error.sqlite_error_code() == Some(ErrorCode::NotADatabase) => {
            Err(Error::NotAStore(path.into()))
        }
        settled => settled.map(|()| connection),
    }
}

fn settle(connection: &Connection) -> Result<()> {
    connection.busy_timeout(PATIENCE)?;
    connection.pragma_update(None, "synchronous", "FULL")?;
    // where plain syncing stops at the drive's own memory (macOS)
    connection.pragma_update(None, "fullfsync", true)?;
    connection.pragma_update(None, "checkpoint_fullfsync", true)?;
    connection.pragma_update(None, "foreign_keys", true)?;
    // a store from elsewhere runs nothing of its own
    connection.pragma_update(None, "trusted_schema", false)?;
    connection.set_prepared_statement_cache_capacity(64);
    Ok(())
}

/// An empty file, or one that bears our mark.
pub(crate) fn check_is_ours(connection: &Connection, path: &Path) -> Result<()> {
    let not_ours = || Error::NotAStore(path.to_path_buf());
    let mark = connection.query_row("PRAGMA application_id", [], |row| row.get::<_, i32>(0));
    let mark = mark.map_err(|error| match error.sqlite_error_code() {
        Some(ErrorCode::NotADatabase) => not_ours(),
        _ => Error::from(error),
    })?;
    if mark == schema::APPLICATION {
        return schema::layout(connection).map(drop);
    }
    let tables: u32 = connection.query_row("SELECT count(*) FROM sqlite_schema", [], |row| row.get(0))?;
    if mark == 0 && tables == 0 { Ok(()) } else { Err(not_ours()) }
}

/// A file that has just been made or renamed is only there for good when its folder is on disk too.
pub(crate) fn sync_folder_of(path: &Path) -> Result<()> {
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    match cfg!(unix) {
        true => std::fs::File::open(folder)
            .and_then(|folder| folder.sync_all())
            .map_err(|why| Error::File { path: folder.into(), why }),
        // elsewhere a folder cannot be opened as a file, and the file system sees to it
        false => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What the promise at the head of this crate rests on (sqlite.org/pragma.html, `synchronous`).
    #[test]
    fn every_commit_reaches_the_disk_before_it_is_acknowledged() {
        let folder = tempfile::tempdir().expect("a folder");
        let store = Store::open(&folder.path().join("records.db")).expect("made");
        let asked = |connection: &Connection, pragma: &str| -> String {
            let value =
                connection.query_row(&format!("PRAGMA {pragma}"), [], |row| row.get::<_, rusqlite::types::Value>(0));
            format!("{:?}", value.expect("answered"))
        };
        let settings = |connection: &Connection| -> Vec<String> {
            ["synchronous", "journal_mode", "foreign_keys", "fullfsync"].map(|pragma| asked(connection, pragma)).into()
        };
        let wanted = ["Integer(2)", "Text(\"wal\")", "Integer(1)", "Integer(1)"];
        assert_eq!(settings(&store.writer()), wanted);
        assert_eq!(store.read(|connection| Ok(settings(connection))).expect("read"), wanted);
    }
}
