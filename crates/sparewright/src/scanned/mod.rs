//! Scans of parts: the picture's file, and what it gives as readings, for a person and for a machine.

mod readings;
mod result;
mod tell;

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::fs::File;
use std::io::BufReader;
use std::path::{Path, PathBuf};

use quantity::Unit;
use scan::picture::Picture;
use scan::{Gauge, Options, Scan, Seen};

use crate::job::{Bed, FromPicture, Pictures};

pub use readings::readings;
pub use result::result;
pub use tell::tell;

/// The pictures that lie beside a job, each measured once.
#[derive(Debug)]
pub struct Folder {
    folder: PathBuf,
    edges: RefCell<BTreeMap<String, Result<Seen, String>>>,
    scans: RefCell<BTreeMap<String, Result<Scan, String>>>,
}

impl Folder {
    pub fn new(folder: impl Into<PathBuf>) -> Folder {
        Folder { folder: folder.into(), edges: RefCell::default(), scans: RefCell::default() }
    }

    fn scan(&self, picture: &str, bed: &Bed) -> Result<Scan, String> {
        if let Some(done) = self.scans.borrow().get(picture) {
            return done.clone();
        }
        let seen = self
            .edges
            .borrow_mut()
            .entry(picture.to_string())
            .or_insert_with(|| {
                let read = open(&self.folder.join(picture))?;
                scan::look(&read, &|_| ()).map_err(|error| error.to_string())
            })
            .clone();
        let measured =
            seen.and_then(|seen| scan::measure_seen(&seen, &options(bed), None).map_err(|error| error.to_string()));
        self.scans.borrow_mut().insert(picture.to_string(), measured.clone());
        measured
    }
}

impl Pictures for Folder {
    fn measure(
        &self,
        picture: &str,
        bed: &Bed,
        kind: &str,
        count: Option<u32>,
        unit: Unit,
    ) -> Result<FromPicture, String> {
        readings(&self.scan(picture, bed)?, kind, count, unit)
    }
}

pub(crate) fn options(bed: &Bed) -> Options {
    let gauge = bed.gauge.as_ref().map(|gauge| self::gauge(gauge.length.mm()));
    Options { dpi: bed.dpi, gauge, ..Options::default() }
}

/// A gauge of this diameter in mm, as good as turned steel is known in a repair shop.
pub fn gauge(diameter: f64) -> Gauge {
    Gauge { diameter, sigma: scan::scale::GAUGE_SIGMA_MM }
}

/// Reads a picture's file.
pub fn open(path: &Path) -> Result<Picture, String> {
    let name = path.display();
    let file = File::open(path)
        .map_err(|error| format!("{name} cannot be read: {error}. Check the name and whether the file may be read."))?;
    if file.metadata().is_ok_and(|data| data.is_dir()) {
        return Err(format!("{name} is a folder: name the picture in it."));
    }
    Picture::read(BufReader::with_capacity(1 << 16, file)).map_err(|error| format!("{name}: {error}"))
}
