//! Small things a program wants to remember.

use rusqlite::OptionalExtension;

use crate::error::Result;
use crate::store::Store;

impl Store {
    pub fn setting(&self, name: &str) -> Result<Option<String>> {
        self.read(|connection| {
            let mut row = connection.prepare_cached("SELECT value FROM setting WHERE name = ?1")?;
            Ok(row.query_row([name], |row| row.get(0)).optional()?)
        })
    }

    pub fn set_setting(&self, name: &str, value: &str) -> Result<()> {
        self.write(|connection| {
            connection.execute(
                "INSERT INTO setting (name, value) VALUES (?1, ?2) ON CONFLICT (name) DO UPDATE SET value = excluded.value",
                (name, value),
            )?;
            Ok(())
        })
    }
}
