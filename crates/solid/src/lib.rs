//! The part as files that other trades open: a solid for whoever draws or mills it, a check piece to be printed, a profile
//! for wire, water or laser.
//!
//! A [`Plate`](plate::Plate) is a checked region with a thickness; every file is written from it. Nothing here knows what the
//! part is, reads a file or writes one.

pub mod arcs;
pub mod chamfer;
pub mod exchange;
pub mod label;
pub mod mesh;
pub mod package;
pub mod plate;
pub mod profile;
pub mod ring;
pub mod spline;
