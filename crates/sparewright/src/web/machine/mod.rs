//! At the machine: one operation at a time, the spaces of a dividing head one by one; large, and with one thing to do.

pub mod checking;
pub mod operation;
pub mod place;
mod rounds;
pub mod spaces;
