//! Changes to a job's text, one at a time. What is not changed stays as it was written, comments and all.

use quantity::quoted;
use toml_edit::{Array, ArrayOfTables, Decor, DocumentMut, Item, RawString, Table, TableLike, Value};

use super::names;

/// Where a feature stands: among the `[[feature]]`s or the `[[mate]]`s, from 0.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Place {
    pub mate: bool,
    pub index: usize,
}

#[derive(Clone, Debug)]
pub enum Edit {
    AddLine {
        at: Place,
        text: String,
    },
    /// `was` is the line as it was read: what another device has changed meanwhile is not overwritten.
    SetLine {
        at: Place,
        line: usize,
        was: String,
        text: String,
    },
    RemoveLine {
        at: Place,
        line: usize,
        was: String,
    },
    /// An empty name is made from the kind's.
    AddFeature {
        name: String,
        kind: String,
    },
    /// `with_all` where readings of pieces and mates may go with it; else it is refused while there are any.
    RemoveFeature {
        at: Place,
        name: String,
        with_all: bool,
    },
    /// What calls it by its old name follows.
    Rename {
        at: Place,
        to: String,
    },
    /// A field of a feature; none takes it out.
    SetField {
        at: Place,
        field: String,
        value: Option<Value>,
    },
    /// A reading of a piece that was made; the piece's entry is begun if there is none yet.
    AddPieceLine {
        piece: u32,
        feature: String,
        text: String,
    },
    RemovePieceLine {
        piece: u32,
        feature: String,
        was: String,
    },
    SetPieceField {
        piece: u32,
        field: String,
        value: Option<Value>,
    },
    /// A field of the job itself, or of one of its tables: `make.pieces`.
    SetHead {
        field: String,
        value: Option<Value>,
    },
}

/// The text with the change made. Fails with a sentence; then nothing is changed.
pub fn edited(text: &str, edit: &Edit) -> Result<String, String> {
    let mut document: DocumentMut = text.parse().map_err(|_| {
        "The job's text has a mistake in its grammar, so that no line of it can be changed by itself: mend it in the text first.".to_string()
    })?;
    match edit {
        Edit::AddLine { at, text } => push(readings(feature(&mut document, *at)?)?, text.trim()),
        Edit::SetLine { at, line, was, text } => {
            let readings = readings(feature(&mut document, *at)?)?;
            let index = find(readings, *line, was)?;
            let decor = readings.get(index).map(|old| old.decor().clone()).unwrap_or_default();
            let mut value = Value::from(text.trim());
            *value.decor_mut() = decor;
            readings.replace_formatted(index, value);
        }
        Edit::RemoveLine { at, line, was } => {
            let readings = readings(feature(&mut document, *at)?)?;
            let index = find(readings, *line, was)?;
            // a remark that stood before the line goes with it, but the indent of the first must not
            take_out(readings, index);
        }
        Edit::AddFeature { name, kind } => {
            let name = names::fresh(&document, name, kind)?;
            let mut table = Table::new();
            table.insert("name", Item::from(name));
            table.insert("kind", Item::from(kind.trim()));
            table.insert("readings", Item::from(Array::new()));
            table.decor_mut().set_prefix("\n");
            sections(&mut document, false)?.push(table);
        }
        Edit::RemoveFeature { at, name, with_all } => {
            let table = feature(&mut document, *at)?;
            let named = table.get("name").or(table.get("kind")).and_then(Item::as_str).unwrap_or_default() == name;
            if !named {
                return Err(changed(name));
            }
            let lost = if at.mate { Vec::new() } else { names::lost(&document, name) };
            if !lost.is_empty() && !with_all {
                return Err(format!("{} was left in: {}", quoted(name), lost.join(" ")));
            }
            sections(&mut document, at.mate)?.remove(at.index);
            if !lost.is_empty() {
                names::let_go(&mut document, name);
            }
        }
        Edit::Rename { at, to } => names::rename(&mut document, *at, to)?,
        Edit::SetField { at, field, value } => set(feature(&mut document, *at)?, field, value.clone()),
        Edit::AddPieceLine { piece, feature, text } => {
            let readings = piece_readings(self::piece(&mut document, *piece)?, feature)?;
            push(readings, text.trim());
        }
        Edit::RemovePieceLine { piece, feature, was } => {
            let readings = piece_readings(self::piece(&mut document, *piece)?, feature)?;
            let index = find(readings, 0, was)?;
            take_out(readings, index);
        }
        Edit::SetPieceField { piece, field, value } => {
            set(self::piece(&mut document, *piece)?, field, value.clone());
        }
        Edit::SetHead { field, value } => match field.split_once('.') {
            Some((table, field)) => {
                let item = document.entry(table).or_insert_with(|| Item::Value(Value::InlineTable(Default::default())));
                let table = item
                    .as_table_like_mut()
                    .ok_or_else(|| format!("{table} is no table in this job; mend its text."))?;
                match value {
                    Some(value) => insert(table, field, value.clone()),
                    None => drop(table.remove(field)),
                }
            }
            None => set(document.as_table_mut(), field, value.clone()),
        },
    }
    Ok(document.to_string())
}

/// What goes with a feature that is taken out, as sentences.
pub fn lost_without(text: &str, name: &str) -> Vec<String> {
    text.parse().map(|document| names::lost(&document, name)).unwrap_or_default()
}

/// A new field of a table in braces takes over the room before the brace that closes it.
fn insert(table: &mut dyn TableLike, field: &str, mut value: Value) {
    let last = table.iter().last().map(|(name, _)| name.to_string()).filter(|_| !table.contains_key(field));
    let before = last.and_then(|name| table.get_mut(&name)).and_then(Item::as_value_mut).map(Value::decor_mut);
    if let Some(before) = before.filter(|before| before.suffix().and_then(RawString::as_str) == Some(" ")) {
        before.set_suffix("");
        *value.decor_mut() = Decor::new(" ", " ");
    }
    table.insert(field, Item::Value(value));
}

/// Takes a line out; a list that is empty then closes on its own line, where nothing is remarked in it.
fn take_out(readings: &mut Array, index: usize) {
    readings.remove(index);
    if readings.is_empty() && readings.trailing().as_str().is_some_and(|rest| rest.trim().is_empty()) {
        readings.set_trailing("");
        readings.set_trailing_comma(false);
    }
}

fn set(table: &mut Table, field: &str, value: Option<Value>) {
    match (table.get_mut(field).and_then(Item::as_value_mut), value) {
        (_, None) => drop(table.remove(field)),
        // what stands round the old value stays: a remark behind it, the spaces that line it up
        (Some(old), Some(mut new)) => {
            *new.decor_mut() = old.decor().clone();
            *old = new;
        }
        (None, Some(new)) => drop(table.insert(field, Item::Value(new))),
    }
}

fn changed(what: &str) -> String {
    format!("{} is not there any more: it was changed meanwhile. Look at it again.", quoted(what))
}

fn sections(document: &mut DocumentMut, mate: bool) -> Result<&mut ArrayOfTables, String> {
    let name = if mate { "mate" } else { "feature" };
    let item = document.entry(name).or_insert_with(|| Item::ArrayOfTables(ArrayOfTables::new()));
    item.as_array_of_tables_mut()
        .ok_or_else(|| format!("The {name}s of this job are not written as [[{name}]]; change them in its text."))
}

fn feature(document: &mut DocumentMut, at: Place) -> Result<&mut Table, String> {
    sections(document, at.mate)?.get_mut(at.index).ok_or_else(|| changed("The feature"))
}

fn readings(feature: &mut Table) -> Result<&mut Array, String> {
    let item = feature.entry("readings").or_insert_with(|| Item::from(Array::new()));
    item.as_array_mut()
        .ok_or_else(|| "The readings of this feature are no list; mend them in the job's text.".to_string())
}

/// The entry of a piece, begun at the end of the job where there is none.
fn piece(document: &mut DocumentMut, number: u32) -> Result<&mut Table, String> {
    let item = document.entry("piece").or_insert_with(|| Item::ArrayOfTables(ArrayOfTables::new()));
    let pieces = item
        .as_array_of_tables_mut()
        .ok_or("The pieces of this job are not written as [[piece]]; change them in its text.")?;
    let is = |table: &Table| table.get("number").and_then(Item::as_integer) == Some(i64::from(number));
    let index = pieces.iter().position(is);
    let index = match index {
        Some(index) => index,
        None => {
            let mut table = Table::new();
            table.insert("number", Item::from(Value::from(i64::from(number))));
            table.decor_mut().set_prefix("\n");
            pieces.push(table);
            pieces.len() - 1
        }
    };
    pieces.get_mut(index).ok_or_else(|| changed("The piece"))
}

fn piece_readings<'a>(piece: &'a mut Table, feature: &str) -> Result<&'a mut Array, String> {
    let lists = piece.entry("readings").or_insert_with(|| Item::Table(Table::new()));
    let lists =
        lists.as_table_like_mut().ok_or("The readings of this piece are no table; mend them in the job's text.")?;
    let list = lists.entry(feature).or_insert_with(|| Item::from(Array::new()));
    list.as_array_mut()
        .ok_or_else(|| "The readings of this piece are no list; mend them in the job's text.".to_string())
}

/// The line that was meant: where it stood, or where it stands now if that is plain.
fn find(readings: &Array, line: usize, was: &str) -> Result<usize, String> {
    let is = |index: usize| readings.get(index).and_then(Value::as_str) == Some(was);
    if is(line) {
        return Ok(line);
    }
    let found: Vec<usize> = (0..readings.len()).filter(|index| is(*index)).collect();
    match found.as_slice() {
        [one] => Ok(*one),
        _ => Err(changed(was)),
    }
}

/// Adds a line the way the others stand: below one another, or in one row.
fn push(readings: &mut Array, text: &str) {
    let before = readings.iter().last().and_then(|last| last.decor().prefix()).and_then(RawString::as_str);
    let prefix = match before {
        // what is remarked before the last line does not belong to the new one
        Some(before) if before.contains('\n') => before.rfind('\n').map_or("\n  ", |at| &before[at..]).to_string(),
        Some(_) if readings.len() > 1 => " ".to_string(),
        Some(_) | None => "\n  ".to_string(),
    };
    let below = prefix.contains('\n');
    if below && !readings.trailing_comma() {
        // what follows the last line, a remark on it perhaps, stays where it is: behind the comma that is written now
        let kept = readings.trailing().as_str().unwrap_or_default().to_string();
        if !kept.contains('\n') {
            readings.set_trailing(format!("{kept}\n"));
        }
        readings.set_trailing_comma(true);
    }
    let remark = readings.trailing().as_str().unwrap_or_default().to_string();
    let mut value = Value::from(text);
    value.decor_mut().set_prefix(prefix);
    // a remark behind the last line stands in what trails the list: it goes before the new line
    if let Some(remark) = remark.strip_suffix('\n').filter(|remark| remark.contains('#')) {
        let indented = value.decor().prefix().and_then(RawString::as_str).unwrap_or("\n  ").to_string();
        value.decor_mut().set_prefix(format!("{remark}{indented}"));
        readings.set_trailing("\n");
    }
    readings.push_formatted(value);
}

#[cfg(test)]
mod tests {
    use super::*;

    const JOB: &str = r#"# The sector.
title = "Sector" # of the mill
make  = { pieces = 1 }

[[feature]]
name = "teeth"   # eleven
kind = "toothed rim"
readings = [
  # with the old caliper
  "11 teeth present",
  "tip radius 2.300, caliper", # twice
]

[[feature]]
kind = "bore"
readings = ["diameter goes 0.8750, not 0.8760"]
"#;

    const TEETH: Place = Place { mate: false, index: 0 };
    const BORE: Place = Place { mate: false, index: 1 };

    fn done(edit: Edit) -> String {
        let text = edited(JOB, &edit).expect("it can be done");
        assert!(text.contains("# The sector.") && text.contains("# of the mill"), "{text}");
        text
    }

    #[test]
    fn a_line_is_added_below_the_others_and_remarks_stay() {
        let text = done(Edit::AddLine { at: TEETH, text: "face width 0.438, caliper".into() });
        assert!(
            text.contains("  \"tip radius 2.300, caliper\", # twice\n  \"face width 0.438, caliper\",\n]"),
            "{text}"
        );
        let text = done(Edit::AddLine { at: BORE, text: "length 0.5".into() });
        assert!(text.contains("\"diameter goes 0.8750, not 0.8760\",\n  \"length 0.5\",\n]"), "{text}");
    }

    #[test]
    fn a_line_is_changed_where_it_stands_and_where_it_has_moved_to() {
        let was = "tip radius 2.300, caliper".to_string();
        for line in [1, 0, 7] {
            let text =
                done(Edit::SetLine { at: TEETH, line, was: was.clone(), text: "tip radius 2.301, caliper".into() });
            assert!(text.contains("  \"tip radius 2.301, caliper\", # twice"), "{text}");
            assert!(text.contains("# with the old caliper"));
        }
        let gone = Edit::SetLine { at: TEETH, line: 1, was: "tip radius 2.299".into(), text: "x".into() };
        assert!(edited(JOB, &gone).expect_err("another line").contains("changed meanwhile"));
    }

    #[test]
    fn a_line_is_taken_out() {
        let text = done(Edit::RemoveLine { at: TEETH, line: 0, was: "11 teeth present".into() });
        assert!(!text.contains("11 teeth present") && text.contains("tip radius"), "{text}");
        let empty =
            edited(JOB, &Edit::RemoveLine { at: BORE, line: 0, was: "diameter goes 0.8750, not 0.8760".into() });
        assert!(empty.expect("it can be done").contains("readings = []"));
    }

    #[test]
    fn fields_are_set_and_taken_out() {
        let text = done(Edit::SetField { at: TEETH, field: "whole".into(), value: Some(false.into()) });
        assert!(text.contains("whole = false"), "{text}");
        let text = done(Edit::SetField { at: TEETH, field: "name".into(), value: Some("rim".into()) });
        assert!(text.contains("name = \"rim\"   # eleven"), "{text}");
        let text = done(Edit::SetHead { field: "make.spares".into(), value: Some(3.into()) });
        assert!(text.contains("make  = { pieces = 1, spares = 3 }"), "{text}");
        let text = done(Edit::SetHead { field: "title".into(), value: Some("Another".into()) });
        assert!(text.contains("title = \"Another\" # of the mill"), "{text}");
    }

    #[test]
    fn features_come_and_go() {
        let text = done(Edit::AddFeature { name: "pin holes".into(), kind: "holes".into() });
        assert!(text.ends_with("\n[[feature]]\nname = \"pin holes\"\nkind = \"holes\"\nreadings = []\n"), "{text}");
        let text = done(Edit::RemoveFeature { at: TEETH, name: "teeth".into(), with_all: false });
        assert!(!text.contains("toothed rim") && text.contains("kind = \"bore\""), "{text}");
        assert!(edited(JOB, &Edit::RemoveFeature { at: BORE, name: "teeth".into(), with_all: false }).is_err());
    }

    #[test]
    fn pieces_are_begun_and_their_readings_come_and_go() {
        let line = "span over 4 teeth 1.0840, micrometer";
        let text = done(Edit::AddPieceLine { piece: 2, feature: "pin holes".into(), text: line.into() });
        assert!(
            text.ends_with("\n[[piece]]\nnumber = 2\n\n[piece.readings]\n\"pin holes\" = [\n  \"span over 4 teeth 1.0840, micrometer\",\n]\n"),
            "{text}"
        );
        let again = edited(&text, &Edit::SetPieceField { piece: 2, field: "went".into(), value: Some("shelf".into()) });
        let again = again.expect("it can be done");
        assert!(again.contains("number = 2\nwent = \"shelf\"\n"), "{again}");
        let none = Edit::RemovePieceLine { piece: 2, feature: "pin holes".into(), was: line.into() };
        assert!(edited(&again, &none).expect("it can be done").contains("\"pin holes\" = []"));
        assert!(edited(JOB, &none).expect_err("no such line").contains("changed meanwhile"));
    }

    #[test]
    fn quotes_and_odd_signs_come_back_as_they_were_typed() {
        let typed = "diameter 2.301\" (\"rusty\" \\ ½ 🔧)";
        let text = done(Edit::AddLine { at: BORE, text: typed.into() });
        let read: toml::Table = text.parse().expect("it is a job's text");
        let lines = read["feature"][1]["readings"].as_array().expect("a list");
        assert_eq!(lines.last().and_then(toml::Value::as_str), Some(typed));
    }
}
