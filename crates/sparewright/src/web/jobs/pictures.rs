//! The pictures that belong to a job, each measured once.

use std::collections::BTreeMap;
use std::io::Cursor;
use std::sync::{Arc, Mutex};

use quantity::Unit;
use record::{JobId, Store};
use scan::picture::Picture;
use scan::{Scan, Seen, Stage};
use sha2::{Digest, Sha256};

use crate::job::{Bed, FromPicture, Pictures};
use crate::scanned;

/// What was seen in pictures, by what is in their files.
#[derive(Debug, Default)]
pub struct Measured {
    seen: Mutex<BTreeMap<Fingerprint, Looked>>,
    /// How far those have come that are being looked at.
    stages: Mutex<BTreeMap<Fingerprint, Stage>>,
}

type Fingerprint = [u8; 32];

/// The edges of a picture, or why there are none.
type Looked = Arc<Result<Seen, String>>;

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

    /// How far a picture has come: looked at already, or what is being done on it; none where nobody has begun.
    pub fn stage(&self, name: &str) -> Result<Option<Option<Stage>>, String> {
        let fingerprint: Fingerprint = Sha256::digest(self.file(name)?).into();
        if self.measured.seen.lock().is_ok_and(|seen| seen.contains_key(&fingerprint)) {
            return Ok(Some(None));
        }
        Ok(self.measured.stages.lock().ok().and_then(|stages| stages.get(&fingerprint).copied()).map(Some))
    }

    /// What a picture shows, and how large it is, in mm.
    pub fn scan_and_size(&self, name: &str, bed: &Bed) -> Result<(Scan, [f64; 2]), String> {
        let file = self.file(name)?;
        let seen = self.measured.seen(name, &file);
        let seen = seen.as_ref().as_ref().map_err(Clone::clone)?;
        let scan = scan::measure_seen(seen, &scanned::options(bed), None).map_err(|error| error.to_string())?;
        let size = [seen.size.0 as f64 * scan.scale.x_mm, seen.size.1 as f64 * scan.scale.y_mm];
        Ok((scan, size))
    }

    pub fn scan(&self, name: &str, bed: &Bed) -> Result<Scan, String> {
        self.scan_and_size(name, bed).map(|(scan, _)| scan)
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
    fn seen(&self, name: &str, file: &[u8]) -> Looked {
        let fingerprint: Fingerprint = Sha256::digest(file).into();
        if let Some(done) = self.seen.lock().ok().and_then(|seen| seen.get(&fingerprint).cloned()) {
            return done;
        }
        let looked = Picture::read(Cursor::new(file)).map_err(|error| format!("{name}: {error}")).and_then(|picture| {
            let at = |stage| {
                if let Ok(mut stages) = self.stages.lock() {
                    stages.insert(fingerprint, stage);
                }
            };
            scan::look(&picture, &at).map_err(|error| error.to_string())
        });
        let looked = Arc::new(looked);
        if let Ok(mut stages) = self.stages.lock() {
            stages.remove(&fingerprint);
        }
        if let Ok(mut seen) = self.seen.lock() {
            if seen.len() >= AT_HAND {
                seen.pop_first();
            }
            seen.insert(fingerprint, Arc::clone(&looked));
        }
        looked
    }
}
