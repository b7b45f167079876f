//! A job: what came to the bench, what was read on it, and what is to be made.

pub mod edit;
mod feature;
mod load;
mod names;
mod pictures;
mod piece;
mod print;
mod read;

use std::fmt;

use design::tooth::Load;
use making::price::{Elsewhere, Outside};
use part::{Entry, Feature, Heritage, Kind, Placed};
use quantity::Unit;
use standards::{Material, Sign};

pub(crate) use feature::forms;
pub use pictures::{Bed, FromPicture, NoPictures, Pictures};
pub use piece::{Day, Piece, PieceReadings, Went, piece_forms};
pub use print::print;
pub(crate) use read::NO_FEATURE;
pub(crate) use read::material;
pub use read::{read, read_with};

#[derive(Debug)]
pub struct Job {
    pub title: String,
    /// The unit of a bare number, and the one its sheets are written in.
    pub unit: Unit,
    pub heritage: Heritage,
    /// Of the original.
    pub material: Option<&'static Material>,
    pub make: Make,
    /// What the part is turned with, where that is known.
    pub load: Option<Load>,
    /// How the original broke, where that was seen.
    pub broke: Option<&'static Sign>,
    /// Work that is sent out, and tools bought for this job.
    pub outside: Vec<Outside>,
    /// How the pictures were scanned.
    pub bed: Bed,
    pub features: Vec<JobFeature>,
    /// Parts that stay in the machine and run with this one: not made, but their readings are evidence.
    pub mates: Vec<Mate>,
    /// Pieces that were made, in the order they are written.
    pub pieces: Vec<Piece>,
}

/// A feature of another part, that runs with one of this part's.
#[derive(Debug)]
pub struct Mate {
    /// Index among the job's features.
    pub of: usize,
    pub feature: JobFeature,
    pub material: Option<&'static Material>,
}

/// What is to be made.
#[derive(Clone, Debug, PartialEq)]
pub struct Make {
    /// The original's, unless told otherwise.
    pub material: Option<&'static Material>,
    /// Pieces that are fitted now.
    pub pieces: u32,
    /// Further pieces for the shelf.
    pub spares: u32,
    pub notes: Option<String>,
    /// What hangs on the part where its failure can injure: "lifting", "brakes".
    pub serves: Option<String>,
    /// What the customer was asked for it somewhere else.
    pub quoted_elsewhere: Option<Elsewhere>,
}

pub struct JobFeature {
    pub name: String,
    pub kind: &'static dyn Kind,
    pub entry: Entry,
    pub feature: Box<dyn Feature>,
    /// The picture it was measured from, and where that is named: lines and fields of the entry at this place come from it.
    pub scan: Option<Placed<String>>,
    /// For each line of the entry, its place among the `readings` as written, from 0: a line that could not be read
    /// is not in the entry. Lines from a picture are counted on behind them.
    pub written: Vec<usize>,
}

/// What a job is called that has no title.
pub const UNTITLED: &str = "Untitled part";

impl Default for Make {
    fn default() -> Make {
        Make { material: None, pieces: 1, spares: 0, notes: None, serves: None, quoted_elsewhere: None }
    }
}

impl fmt::Debug for JobFeature {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("JobFeature")
            .field("kind", &self.kind.name())
            .field("entry", &self.entry)
            .field("feature", &self.feature)
            .finish_non_exhaustive()
    }
}

/// The names of the units and heritages in a job file.
const UNITS: [(&str, Unit); 2] = [("in", Unit::Inch), ("mm", Unit::Millimetre)];
const HERITAGES: [(&str, Heritage); 3] =
    [("inch", Heritage::Inch), ("metric", Heritage::Metric), ("unknown", Heritage::Unknown)];
