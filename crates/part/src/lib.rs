//! (started)
