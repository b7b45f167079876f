//! Devices of the shop: how they are let in and known again.

pub mod cookie;
pub mod list;
pub mod pair;
