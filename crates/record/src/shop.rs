//! The shop file, kept as jobs are.

use crate::by::By;
use crate::error::Result;
use crate::sheet::{self, Change, Edit, Kept, Saved};
use crate::store::Store;

/// Its sheet.
pub(crate) const SHOP: i64 = 0;

impl Store {
    /// The shop file; none where the built-in shop has never been changed.
    pub fn shop(&self) -> Result<Option<Kept>> {
        self.read(|connection| sheet::now(connection, SHOP))
    }

    /// As [`Store::save`] of a job; the base is 0 where there was no shop file yet.
    pub fn save_shop(&self, edit: Edit<'_>, by: By<'_>) -> Result<Saved> {
        self.write(|connection| sheet::save(connection, SHOP, edit, by))
    }

    pub fn shop_history(&self) -> Result<Vec<Change>> {
        self.read(|connection| sheet::history(connection, SHOP))
    }

    pub fn shop_at(&self, version: u32) -> Result<Kept> {
        self.read(|connection| sheet::at(connection, SHOP, version))
    }

    pub fn bring_back_shop(&self, version: u32, by: By<'_>) -> Result<u32> {
        self.write(|connection| {
            let was = sheet::at(connection, SHOP, version)?;
            let next = sheet::next(connection, SHOP)?;
            sheet::put(connection, SHOP, next, &was.text, &format!("brought back version {version}"), false, by)?;
            Ok(next)
        })
    }
}
