//! Why the store did not do what was asked, as a sentence that says what to do.

use std::fmt;
use std::path::PathBuf;

use rusqlite::ErrorCode;

use crate::job::JobId;

pub type Result<T> = std::result::Result<T, Error>;

#[derive(Debug)]
pub enum Error {
    /// No job has this number.
    NoJob(JobId),
    /// The job, or the shop, has no such version.
    NoVersion(u32),
    /// The job has no picture of this name, in the state asked for.
    NoAttachment(String),
    /// What was given cannot be kept as it is, and why.
    Refused(String),
    /// The file is not a store of this program.
    NotAStore(PathBuf),
    /// The store was written by a later program.
    Newer { store: u32, known: u32 },
    /// The disk has no room left. What was acknowledged before is still there.
    Full,
    /// Another program held the store for too long.
    Busy,
    /// The file is damaged.
    Damaged(String),
    /// A file beside the store cannot be read or written.
    File { path: PathBuf, why: std::io::Error },
    /// Anything else that the database says.
    Database(rusqlite::Error),
}

impl Error {
    pub(crate) fn refused(why: impl Into<String>) -> Error {
        Error::Refused(why.into())
    }
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Error::NoJob(id) => write!(f, "There is no job {id} in the records."),
            Error::NoVersion(version) => write!(f, "There is no version {version} in this history."),
            Error::NoAttachment(name) => write!(f, "No picture called `{name}` belongs to this job."),
            Error::Refused(why) => f.write_str(why),
            Error::NotAStore(path) => write!(
                f,
                "{} is not a store of records. Name another file with --store, or move this one away.",
                path.display()
            ),
            Error::Newer { store, known } => write!(
                f,
                "The records were written by a later program (layout {store}; this one knows up to {known}). Use that one."
            ),
            Error::Full => f.write_str(
                "The disk is full, so nothing was changed. All that was kept before is still there; make room and try again.",
            ),
            Error::Busy => f.write_str("Another program is holding the records. Nothing was changed; try again."),
            Error::Damaged(why) => {
                write!(f, "The records are damaged ({why}). Keep the file as it is and bring back a backup.")
            }
            Error::File { path, why } => write!(f, "{}: {why}.", path.display()),
            Error::Database(error) => write!(f, "The records could not be read or written: {error}."),
        }
    }
}

impl std::error::Error for Error {}

impl From<rusqlite::Error> for Error {
    fn from(error: rusqlite::Error) -> Error {
        match error.sqlite_error_code() {
            Some(ErrorCode::DiskFull) => Error::Full,
            Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => Error::Busy,
            Some(ErrorCode::DatabaseCorrupt) => Error::Damaged(error.to_string()),
            _ => Error::Database(error),
        }
    }
}
