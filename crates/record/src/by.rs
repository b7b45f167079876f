//! Who changes something, and when.

use jiff::Timestamp;

/// Goes with every change and stands in its history.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct By<'a> {
    /// A person or a device, as it is called in this shop.
    pub who: &'a str,
    pub at: Timestamp,
}

impl<'a> By<'a> {
    pub fn now(who: &'a str) -> By<'a> {
        By { who, at: Timestamp::now() }
    }

    pub(crate) fn millisecond(&self) -> i64 {
        self.at.as_millisecond()
    }
}

/// A time out of the store. One outside the calendar cannot have come from here.
pub(crate) fn time(millisecond: i64) -> Timestamp {
    Timestamp::from_millisecond(millisecond).unwrap_or(Timestamp::UNIX_EPOCH)
}
