//! An edit of the shop file's text. Remarks and everything that is not edited stay as they are.

use toml_edit::{ArrayOfTables, DocumentMut, Item, Table, Value};

use super::cell::{shown, typed};
use super::sections::{Column, Section, Shape};

/// A row of a section: an entry, a name, or the fields of the section itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Row {
    At(usize),
    New,
}

/// The rows of a section as they are shown, cell by cell.
pub fn rows(document: &DocumentMut, section: &Section) -> Vec<Vec<String>> {
    let item =
        section.key.split('.').filter(|key| !key.is_empty()).try_fold(document.as_item(), |item, key| item.get(key));
    let cells = |table: &dyn toml_edit::TableLike| -> Vec<String> {
        section.columns().iter().map(|column| shown(table.get(column.key), column.takes)).collect()
    };
    match (section.shape, item) {
        (Shape::Fields(columns), None) => vec![vec![String::new(); columns.len()]],
        (Shape::Names | Shape::Entries(_), None) => Vec::new(),
        (Shape::Fields(_), Some(item)) => item.as_table_like().into_iter().map(cells).collect(),
        (Shape::Names, Some(item)) => {
            let names = item.as_table_like().into_iter().flat_map(|table| table.iter());
            names.map(|(name, value)| vec![name.to_string(), shown(Some(value), section.columns()[1].takes)]).collect()
        }
        (Shape::Entries(_), Some(item)) => {
            item.as_array_of_tables().into_iter().flatten().map(|table| cells(table)).collect()
        }
    }
}

/// Writes the cells of a row, one for each column.
pub fn written(text: &str, section: &Section, row: Row, cells: &[String]) -> Result<String, String> {
    let mut document = read(text)?;
    match section.shape {
        Shape::Fields(columns) => fill(table_at(&mut document, section.key)?, columns, cells)?,
        Shape::Names => name(table_at(&mut document, section.key)?, section.columns(), row, cells)?,
        Shape::Entries(columns) => {
            let entries = entries_at(&mut document, section.key)?;
            match row {
                Row::At(index) => fill(entries.get_mut(index).ok_or(GONE)?, columns, cells)?,
                Row::New => {
                    let mut table = Table::new();
                    table.decor_mut().set_prefix("\n");
                    fill(&mut table, columns, cells)?;
                    if table.is_empty() {
                        return Err("There is nothing in this row yet.".into());
                    }
                    entries.push(table);
                }
            }
        }
    }
    Ok(document.to_string())
}

/// Takes a row out; the remark above a section stays.
pub fn taken_out(text: &str, section: &Section, index: usize) -> Result<String, String> {
    let mut document = read(text)?;
    match section.shape {
        Shape::Fields(_) => return Err("This row belongs to every shop; its cells can be emptied.".into()),
        Shape::Names => {
            let table = table_at(&mut document, section.key)?;
            let name = table.iter().nth(index).map(|(name, _)| name.to_string()).ok_or(GONE)?;
            table.remove(&name);
        }
        Shape::Entries(_) => {
            let entries = entries_at(&mut document, section.key)?;
            let remark =
                entries.get(index).ok_or(GONE)?.decor().prefix().and_then(|prefix| prefix.as_str()).map(str::to_string);
            entries.remove(index);
            match (entries.get_mut(index), remark) {
                (Some(next), Some(remark)) if index == 0 => next.decor_mut().set_prefix(remark),
                (None, Some(remark)) if index == 0 => {
                    document.remove(section.key);
                    let trailing = document.trailing().as_str().unwrap_or_default().to_string();
                    document.set_trailing(format!("{trailing}{remark}"));
                }
                _ => {}
            }
        }
    }
    Ok(document.to_string())
}

const GONE: &str = "This row is not there any more: it was changed meanwhile. Look at the table again.";

fn read(text: &str) -> Result<DocumentMut, String> {
    text.parse().map_err(|_| "The shop file has a mistake in it; mend it in its text first.".to_string())
}

/// The table at a path of keys, made where there is none.
fn table_at<'a>(document: &'a mut DocumentMut, key: &str) -> Result<&'a mut Table, String> {
    let mut table = document.as_table_mut();
    for key in key.split('.').filter(|key| !key.is_empty()) {
        let item = table.entry(key).or_insert_with(|| {
            let mut table = Table::new();
            table.decor_mut().set_prefix("\n");
            Item::Table(table)
        });
        // `quote = { … }` on one line is a table all the same
        if let Item::Value(Value::InlineTable(inline)) = item {
            *item = Item::Table(inline.clone().into_table());
        }
        table =
            item.as_table_mut().ok_or_else(|| format!("`{key}` is no table in the shop file; mend it in its text."))?;
    }
    Ok(table)
}

fn entries_at<'a>(document: &'a mut DocumentMut, key: &str) -> Result<&'a mut ArrayOfTables, String> {
    let item = document.entry(key).or_insert_with(|| Item::ArrayOfTables(ArrayOfTables::new()));
    item.as_array_of_tables_mut()
        .ok_or_else(|| format!("`{key}` is not written as [[{key}]] in the shop file; change it in its text."))
}

fn fill(table: &mut Table, columns: &[Column], cells: &[String]) -> Result<(), String> {
    for (column, cell) in columns.iter().zip(cells) {
        // what was not touched stays as it is written
        if shown(table.get(column.key), column.takes) == cell.trim() {
            continue;
        }
        let was = table.get(column.key).and_then(Item::as_value);
        match typed(cell, column.takes, was)? {
            None => drop(table.remove(column.key)),
            Some(value) => set(table, column.key, value),
        }
    }
    Ok(())
}

fn name(table: &mut Table, columns: &[Column], row: Row, cells: &[String]) -> Result<(), String> {
    let [name, value] = cells else { return Err(GONE.into()) };
    let name = name.trim();
    if name.is_empty() {
        return Err("A row needs its name; to be rid of it, take it out.".into());
    }
    let old = match row {
        Row::New => None,
        Row::At(index) => Some(table.iter().nth(index).map(|(name, _)| name.to_string()).ok_or(GONE)?),
    };
    if old.as_deref() != Some(name) && table.contains_key(name) {
        return Err(format!("`{name}` stands there already."));
    }
    let was = old.as_deref().and_then(|old| table.get(old)).and_then(Item::as_value).cloned();
    let value =
        typed(value, columns[1].takes, was.as_ref())?.ok_or("A row needs its number; to be rid of it, take it out.")?;
    if let Some(old) = old.filter(|old| old != name) {
        table.remove(&old);
    }
    set(table, name, value);
    Ok(())
}

/// With what stands around the old value, a remark behind it among it.
fn set(table: &mut Table, key: &str, mut value: Value) {
    match table.get_mut(key).and_then(Item::as_value_mut) {
        Some(old) => {
            *value.decor_mut() = old.decor().clone();
            *old = value;
        }
        None => drop(table.insert(key, Item::Value(value))),
    }
}
