//! The tables, and how an older store becomes a present one.

use rusqlite::{Connection, TransactionBehavior};

use crate::error::{Error, Result};

/// "SpWr": marks the file as a store of this program.
pub(crate) const APPLICATION: i32 = 0x5370_5772;

/// Each brings the store from the layout before it to its own; they are added to and never changed.
const LAYOUTS: &[&str] = &[include_str!("layout-1.sql")];

/// Brings the tables to the present layout: all of it or none.
pub(crate) fn migrate(connection: &mut Connection) -> Result<()> {
    // the usual case needs no lock
    if layout(connection)? == LAYOUTS.len() {
        return Ok(());
    }
    let transaction = connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
    for sql in &LAYOUTS[layout(&transaction)?..] {
        transaction.execute_batch(sql)?;
    }
    transaction.pragma_update(None, "application_id", APPLICATION)?;
    transaction.pragma_update(None, "user_version", LAYOUTS.len())?;
    transaction.commit()?;
    Ok(())
}

/// The layout of a store, if this program knows it.
pub(crate) fn layout(connection: &Connection) -> Result<usize> {
    let layout: u32 = connection.query_row("PRAGMA user_version", [], |row| row.get(0))?;
    match layout as usize {
        known if known <= LAYOUTS.len() => Ok(known),
        _ => Err(Error::Newer { store: layout, known: LAYOUTS.len() as u32 }),
    }
}
