//! An archive, looked through before anything of it is believed.

use std::collections::{BTreeMap, BTreeSet};
use std::io::{Read, Seek, SeekFrom};

use zip::ZipArchive;
use zip::result::ZipError;

use super::place::Place;
use super::{FORMAT, History};
use crate::attachment::LARGEST_ATTACHMENT;
use crate::error::{Error, Result};
use crate::sheet::LARGEST_TEXT;

/// An archive whose every file has a place and a size that honest archives have.
#[derive(Debug)]
pub struct Archive<R> {
    zip: ZipArchive<R>,
    files: BTreeMap<Place, usize>,
}

/// A hundred thousand jobs with their histories and pictures.
const MOST_FILES: usize = 1_000_000;
/// What all of them may be together.
const MOST_BYTES: u64 = 64_000_000_000;
/// A history repeats itself; it is read as a whole.
const LARGEST_HISTORY: usize = 64_000_000;
/// How much smaller a file can have become by compression. Histories of long texts reach about 150; deflate alone
/// could reach a thousand, and only a trap does.
const MOST_RATIO: u64 = 400;
/// Small files are not worth a trap.
const SMALL: u64 = 1_000_000;

impl<R: Read + Seek> Archive<R> {
    /// Refused as a whole, with a sentence, where anything in it is not as [`super`] has it.
    pub fn open(mut reader: R) -> Result<Archive<R>> {
        let size = reader.seek(SeekFrom::End(0)).and_then(|size| reader.rewind().map(|()| size)).map_err(unreadable)?;
        let mut zip = ZipArchive::new(reader).map_err(bad)?;
        if zip.len() > MOST_FILES {
            return Err(refused(&format!("it has {} files in it", zip.len())));
        }
        if zip.has_duplicate_names() {
            return Err(refused("two of its files have one name"));
        }
        if zip.has_overlapping_entries().map_err(bad)? {
            return Err(refused("its files lie over one another"));
        }
        let mut files = BTreeMap::new();
        let mut total = 0_u64;
        for index in 0..zip.len() {
            let entry = zip.by_index_raw(index).map_err(bad)?;
            let name = std::str::from_utf8(entry.name_raw())
                .map_err(|_| refused("a file in it has a name that is not text in UTF-8"))?
                .to_string();
            if entry.encrypted() || entry.is_symlink() {
                return Err(refused(&format!("`{}` is encrypted or a link", name.escape_debug())));
            }
            // folders are named by some programs that write archives, and say nothing
            if is_folder(&name) && entry.size() == 0 {
                continue;
            }
            let place = Place::read(&name)?;
            let (size, packed) = (entry.size(), entry.compressed_size());
            if size > limit(&place) as u64 {
                return Err(refused(&format!("`{place}` is {:.0} MB long", size as f64 / 1e6)));
            }
            if size > SMALL && size / packed.max(1) > MOST_RATIO {
                return Err(refused(&format!("`{place}` swells to {} times its size", size / packed.max(1))));
            }
            total = total.saturating_add(size);
            if files.insert(place, index).is_some() {
                return Err(refused("two of its files have one name"));
            }
        }
        if total > MOST_BYTES || (total > SMALL * 10 && total / size.max(1) > MOST_RATIO) {
            return Err(refused(&format!("it would be {:.0} MB unpacked", total as f64 / 1e6)));
        }
        let archive = Archive { zip, files };
        match archive.jobs().is_empty() && !archive.has(&Place::Shop) && !archive.has(&Place::ShopHistory) {
            true => Err(refused("there is neither a job nor a shop in it")),
            false => Ok(archive),
        }
    }

    /// The numbers its jobs have in it.
    pub fn jobs(&self) -> BTreeSet<i64> {
        self.files.keys().filter_map(Place::job).collect()
    }

    pub(super) fn has(&self, place: &Place) -> bool {
        self.files.contains_key(place)
    }

    /// All places that belong to a job.
    pub(super) fn of_job(&self, job: i64) -> impl Iterator<Item = &Place> {
        self.files.keys().filter(move |place| place.job() == Some(job))
    }

    /// The content of a file, if it is there: never more than its place allows, whatever its head says.
    pub(super) fn bytes(&mut self, place: &Place) -> Result<Option<Vec<u8>>> {
        let Some(index) = self.files.get(place) else { return Ok(None) };
        let entry = self.zip.by_index(*index).map_err(bad)?;
        let most = limit(place);
        let mut bytes = Vec::new();
        entry.take(most as u64 + 1).read_to_end(&mut bytes).map_err(unreadable)?;
        if bytes.len() > most {
            return Err(refused(&format!("`{place}` is longer than it says")));
        }
        Ok(Some(bytes))
    }

    pub(super) fn text(&mut self, place: &Place) -> Result<Option<String>> {
        let bytes = self.bytes(place)?;
        bytes
            .map(|bytes| String::from_utf8(bytes).map_err(|_| refused(&format!("`{place}` is not text in UTF-8"))))
            .transpose()
    }

    /// A history that hangs together: versions counted from 1, texts that can be kept.
    pub(super) fn history(&mut self, place: &Place) -> Result<Option<History>> {
        let Some(text) = self.text(place)? else { return Ok(None) };
        let history: History = serde_json::from_str(&text)
            .map_err(|why| refused(&format!("`{place}` is no history: {}", why.to_string().escape_debug())))?;
        if history.format > FORMAT {
            return Err(refused("it was written by a later program: use that one"));
        }
        let counted = history.changes.iter().zip(1..).all(|(state, version)| state.version == version);
        let short = |text: &str| text.len() <= LONGEST_SAID;
        let said = history.changes.iter().all(|state| short(&state.who) && short(&state.what));
        let written =
            history.at_the_machine.iter().all(|mark| short(&mark.who) && crate::mark::is_short(&mark.key, &mark.value));
        match counted && said && written && history.changes.iter().all(|state| state.text.len() <= LARGEST_TEXT) {
            true if !history.changes.is_empty() => Ok(Some(history)),
            _ => Err(refused(&format!("`{place}` does not hang together"))),
        }
    }
}

const LONGEST_SAID: usize = 1_000;

fn is_folder(name: &str) -> bool {
    let Some(name) = name.strip_suffix('/') else { return false };
    let is_number = |text: &str| Place::read(&format!("jobs/{text}/job.toml")).is_ok();
    match name.split('/').collect::<Vec<_>>().as_slice() {
        ["jobs"] => true,
        ["jobs", job] | ["jobs", job, "pictures" | "earlier"] => is_number(job),
        ["jobs", job, "earlier", version] => is_number(job) && is_number(version),
        _ => false,
    }
}

fn limit(place: &Place) -> usize {
    match place {
        Place::Text(_) | Place::Shop => LARGEST_TEXT,
        Place::History(_) | Place::ShopHistory => LARGEST_HISTORY,
        Place::Picture(..) | Place::Earlier(..) => LARGEST_ATTACHMENT,
    }
}

pub(super) fn refused(why: &str) -> Error {
    Error::refused(format!("The archive is refused: {why}. Nothing was taken from it."))
}

fn bad(error: ZipError) -> Error {
    match error {
        ZipError::Io(why) => unreadable(why),
        ZipError::InvalidArchive(_) => refused(
            "it is no whole ZIP archive: the end of it is missing or damaged. Copy it here again, or take it out anew",
        ),
        other => refused(&format!("it is no ZIP archive that can be read ({other})")),
    }
}

fn unreadable(why: std::io::Error) -> Error {
    refused(&format!("it cannot be read ({why})"))
}
