//! The pictures that belong to a job, each measured once.

use std::collections::BTreeMap;
use std::io::Cursor;
use std::sync::{Arc, Mutex};

use quantity::Unit;
use record::{JobId, Store};
use scan::picture::Picture;
use scan::{Scan, Seen};
use sha2::{Digest, Sha256};

use crate::job::{Bed, FromPicture, Pictures};
use crate::scanned;

/// What was seen in pictures, by what is in their files.
#[derive(Debug, Default)]
pub struct Measured {
    seen: Mutex<BTreeMap<Fingerprint, Arc<Result<Seen, String>>>>,
}

type Fingerprint = [u8; 32];

/// Edges of pictures that are kept at hand; one is some megabytes.
const AT_HAND: usize = 8;

/// The pictures of one job.
#[derive(Debug)]
pub struct Attached<'a> {
    store: &'a Store,
    measured: &'a Measured,
    job: JobId,
}

impl<'a> Attached<'a> {
    pub fn new(store: &'a Store, measured: &'a Measured, job: JobId) -> Attached<'a> {
        Attached { store, measured, job }
    }

    /// The file of a picture.
    pub fn file(&self, name: &str) -> Result<Vec<u8>, String> {
        self.store.attachment(self.job, name).map_err(|error| error.to_string())
    }

    pub fn picture(&self, name: &str) -> Result<Picture, String> {
        Picture::read(Cursor::new(self.file(name)?)).map_err(|error| format!("{name}: {error}"))
    }

    pub fn scan(&self, name: &str, bed: &Bed) -> Result<Scan, String> {
        let file = self.file(name)?;
        let seen = self.measured.seen(name, &file);
        let seen = seen.as_ref().as_ref().map_err(Clone::clone)?;
        scan::measure_seen(seen, &scanned::options(bed), None).map_err(|error| error.to_string())
    }
}

impl Pictures for Attached<'_> {
    fn measure(
        &self,
        picture: &str,
        bed: &Bed,
        kind: &str,
        count: Option<u32>,
        unit: Unit,
    ) -> Result<FromPicture, String> {
        scanned::readings(&self.scan(picture, bed)?, kind, count, unit)
    }
}

impl Measured {
    fn seen(&self, name: &str, file: &[u8]) -> Arc<Result<Seen, String>> {
        let fingerprint: Fingerprint = Sha256::digest(file).into();
        if let Some(done) = self.seen.lock().ok().and_then(|seen| seen.get(&fingerprint).cloned()) {
            return done;
        }
        let looked = Picture::read(Cursor::new(file))
            .map_err(|error| format!("{name}: {error}"))
            .and_then(|picture| scan::look(&picture, &|_| ()).map_err(|error| error.to_string()));
        let looked = Arc::new(looked);
        if let Ok(mut seen) = self.seen.lock() {
            if seen.len() >= AT_HAND {
                seen.pop_first();
            }
            seen.insert(fingerprint, Arc::clone(&looked));
        }
        looked
    }
}
