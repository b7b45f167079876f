//! Scans of a job: put in, measured, looked at, taken over.

pub mod list;
pub mod overlay;
pub mod put;
pub mod show;
pub mod take;
