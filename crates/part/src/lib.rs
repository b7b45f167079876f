//! The words that all stages share: no kind of feature, no stage, no input or output.
//!
//! A [`Kind`] describes a sort of feature; a [`Feature`] is one of them in a job, with its readings; a [`Recovery`] is
//! what the findings engine sees of it; a [`Design`] is what it was made to be and what the later stages work from.

mod characteristic;
mod cut;
mod design;
mod drawn;
mod kind;
mod probe;
mod reading;
mod recovery;
mod seat;
mod shape;
mod slips;
mod toothed;

pub use characteristic::{Beyond, Characteristic, Gauging};
pub use cut::{Bush, Cut, HelixWork, HoleFinish, HoleWork, KeywayWork, Place, Pressing, SpacePoint, TeethWork, Work};
pub use design::{CutsToo, DataLine, Design};
pub use drawn::{Detail, Dimensioned, Drawn, Says};
pub use kind::{Circumstances, Entry, Feature, Field, FieldShape, FieldValue, Heritage, Kind, Placed};
pub use probe::Probe;
pub use reading::{Reading, ReadingForm, common, meaning, read_lines};
pub use recovery::{Candidate, Dimension, Free, Mistake, Observation, Prior, Proposal, Recovery, Shared, SharedValue};
pub use seat::{Extent, MadeTo, Member, Seat, Stuff, Surface, Wall, Way};
pub use shape::Shape;
pub use slips::usual_slips;
pub use toothed::{Centres, Hand, Toothed};
