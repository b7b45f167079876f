//! Names of features in a job's text, and what else in it calls a feature by its name: mates, and the pieces' readings.

use quantity::quoted;
use toml_edit::{Array, DocumentMut, Item, Table, Value};

use super::edit::Place;

/// What a feature is called that has no name of its own.
fn name_of(table: &Table) -> &str {
    let text = |field| table.get(field).and_then(Item::as_str).map(str::trim);
    text("name").or(text("kind")).unwrap_or_default()
}

fn tables<'a>(document: &'a DocumentMut, name: &str) -> impl Iterator<Item = &'a Table> + use<'a> {
    document.get(name).and_then(Item::as_array_of_tables).into_iter().flatten()
}

fn tables_mut<'a>(document: &'a mut DocumentMut, name: &str) -> impl Iterator<Item = &'a mut Table> + use<'a> {
    document.get_mut(name).and_then(Item::as_array_of_tables_mut).into_iter().flat_map(|tables| tables.iter_mut())
}

fn same(one: &str, other: &str) -> bool {
    one.trim().to_lowercase() == other.trim().to_lowercase()
}

fn is_taken(document: &DocumentMut, name: &str) -> bool {
    tables(document, "feature").chain(tables(document, "mate")).any(|table| same(name_of(table), name))
}

/// A name for a new feature: the one that is wanted, or where none is, its kind's with a number if that is taken.
pub(super) fn fresh(document: &DocumentMut, wanted: &str, kind: &str) -> Result<String, String> {
    let (wanted, kind) = (wanted.trim(), kind.trim());
    if !wanted.is_empty() {
        return if is_taken(document, wanted) { Err(taken(wanted)) } else { Ok(wanted.to_string()) };
    }
    let mut ways = std::iter::once(kind.to_string()).chain((2u32..).map(|number| format!("{kind} {number}")));
    Ok(ways.find(|name| !is_taken(document, name)).unwrap_or_else(|| kind.to_string()))
}

fn taken(name: &str) -> String {
    format!(
        "There is a feature called {} already: the sheets tell features apart by their names. Choose another name.",
        quoted(name)
    )
}

/// Gives a feature another name; what calls it by the old one follows.
pub(super) fn rename(document: &mut DocumentMut, at: Place, to: &str) -> Result<(), String> {
    let to = to.trim();
    let section = if at.mate { "mate" } else { "feature" };
    let old = tables(document, section).nth(at.index).map(|table| name_of(table).to_string());
    let old = old.ok_or("The feature is not there any more: it was changed meanwhile. Look at it again.")?;
    if to.is_empty() {
        return Err("A feature needs a name: the sheets tell features apart by it.".into());
    }
    if !same(&old, to) && is_taken(document, to) {
        return Err(taken(to));
    }
    // of two that have one name, what is called by it is the first's
    let first = !at.mate && tables(document, "feature").position(|table| same(name_of(table), &old)) == Some(at.index);
    if let Some(table) = tables_mut(document, section).nth(at.index) {
        match table.get_mut("name").and_then(Item::as_value_mut) {
            Some(name) => {
                let mut new = Value::from(to);
                *new.decor_mut() = name.decor().clone();
                *name = new;
            }
            None => drop(table.insert("name", Item::from(to))),
        }
    }
    if !first {
        return Ok(());
    }
    for mate in tables_mut(document, "mate") {
        if let Some(of) = mate.get_mut("of").filter(|of| of.as_str().is_some_and(|of| same(of, &old))) {
            *of = Item::from(to);
        }
    }
    for piece in tables_mut(document, "piece") {
        if let Some(Item::Table(readings)) = piece.get_mut("readings") {
            rename_key(readings, &old, to);
        } else if let Some(readings) = piece.get_mut("readings").and_then(Item::as_inline_table_mut) {
            let named: Option<String> = readings.iter().map(|(key, _)| key.to_string()).find(|key| same(key, &old));
            if let Some(list) = named.and_then(|named| readings.remove(&named)) {
                readings.insert(to, list);
            }
        }
        if let Some(done) = piece.get_mut("done").and_then(Item::as_array_mut) {
            for name in done.iter_mut().filter(|name| name.as_str().is_some_and(|name| same(name, &old))) {
                let mut new = Value::from(to);
                *new.decor_mut() = name.decor().clone();
                *name = new;
            }
        }
    }
    Ok(())
}

/// Where it stood among the others.
fn rename_key(table: &mut Table, old: &str, to: &str) {
    let keys: Vec<String> = table.iter().map(|(key, _)| key.to_string()).collect();
    if !keys.iter().any(|key| same(key, old)) {
        return;
    }
    for key in keys {
        let Some((name, item)) = table.remove_entry(&key) else { continue };
        if same(&key, old) {
            table.insert(to, item);
        } else {
            table.insert_formatted(&name, item);
        }
    }
}

/// What would go, or hang in the air, without this feature, as sentences.
pub(super) fn lost(document: &DocumentMut, name: &str) -> Vec<String> {
    let mates =
        tables(document, "mate").filter(|mate| mate.get("of").and_then(Item::as_str).is_some_and(|of| same(of, name)));
    let mut out: Vec<String> =
        mates.map(|mate| format!("The mate {} runs with it, and goes too.", quoted(name_of(mate)))).collect();
    for piece in tables(document, "piece") {
        let number = piece.get("number").and_then(Item::as_integer).unwrap_or_default();
        let lists = piece.get("readings").and_then(Item::as_table_like);
        let lines = lists.into_iter().flat_map(|lists| lists.iter()).filter(|(key, _)| same(key, name));
        let lines: usize = lines.filter_map(|(_, list)| list.as_array().map(Array::len)).sum();
        match lines {
            0 => {}
            1 => out.push(format!("Piece {number} has a reading of it.")),
            many => out.push(format!("Piece {number} has {many} readings of it.")),
        }
        let done = piece.get("done").and_then(Item::as_array);
        if done.is_some_and(|done| done.iter().any(|one| one.as_str().is_some_and(|one| same(one, name)))) {
            out.push(format!("Piece {number} says that it is done."));
        }
    }
    out
}

/// Takes out what calls the feature by its name.
pub(super) fn let_go(document: &mut DocumentMut, name: &str) {
    if let Some(mates) = document.get_mut("mate").and_then(Item::as_array_of_tables_mut) {
        mates.retain(|mate| !mate.get("of").and_then(Item::as_str).is_some_and(|of| same(of, name)));
    }
    for piece in tables_mut(document, "piece") {
        if let Some(lists) = piece.get_mut("readings").and_then(Item::as_table_like_mut) {
            let named: Vec<String> =
                lists.iter().map(|(key, _)| key.to_string()).filter(|key| same(key, name)).collect();
            named.iter().for_each(|key| drop(lists.remove(key)));
        }
        if let Some(done) = piece.get_mut("done").and_then(Item::as_array_mut) {
            done.retain(|one| !one.as_str().is_some_and(|one| same(one, name)));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::edit::{Edit, edited, lost_without};
    use super::*;

    const JOB: &str = r#"title = "Sector"

[[feature]]
name = "teeth" # eleven
kind = "toothed rim"

[[feature]]
kind = "bore"

[[mate]]
of = "Teeth"
name = "pinion"
kind = "toothed rim"

[[piece]]
number = 1
done = ["bore"]
[piece.readings]
teeth = ["runout 0.001, indicator"] # at both ends
bore = ["diameter 0.8754", "diameter 0.8755"]
"#;

    fn add(text: &str, name: &str) -> Result<String, String> {
        edited(text, &Edit::AddFeature { name: name.into(), kind: "bore".into() })
    }

    #[test]
    fn a_feature_without_a_name_gets_a_free_one() {
        let text = add(JOB, " ").expect("put in");
        assert!(text.contains("name = \"bore 2\""), "{text}");
        assert!(add(&text, "").expect("put in").contains("name = \"bore 3\""));
        assert!(add(JOB, "Pinion").expect_err("taken").contains("already"));
    }

    #[test]
    fn what_calls_a_feature_by_its_name_follows() {
        let rename = |index, to: &str| edited(JOB, &Edit::Rename { at: Place { mate: false, index }, to: to.into() });
        let text = rename(0, "rim teeth").expect("renamed");
        assert!(text.contains("name = \"rim teeth\" # eleven") && text.contains("of = \"rim teeth\""), "{text}");
        assert!(text.contains("\"rim teeth\" = [\"runout 0.001, indicator\"] # at both ends\nbore = ["), "{text}");
        let text = rename(1, "hub").expect("renamed");
        assert!(text.contains("done = [\"hub\"]") && text.contains("hub = [\"diameter 0.8754\""), "{text}");
        assert!(rename(1, "TEETH").expect_err("taken").contains("already"));
        assert!(rename(1, "").is_err() && rename(9, "x").is_err());
        assert!(rename(0, "Teeth").is_ok(), "the same name in other letters");
    }

    #[test]
    fn what_goes_with_a_feature_is_told_first() {
        let told = lost_without(JOB, "bore");
        assert_eq!(told, ["Piece 1 has 2 readings of it.", "Piece 1 says that it is done."]);
        assert_eq!(lost_without(JOB, "teeth").len(), 2);
        let bore = Edit::RemoveFeature { at: Place { mate: false, index: 1 }, name: "bore".into(), with_all: true };
        let text = edited(JOB, &bore).expect("taken out");
        assert!(!text.contains("bore") && text.contains("runout 0.001"), "{text}");
        let kept = Edit::RemoveFeature { at: Place { mate: false, index: 1 }, name: "bore".into(), with_all: false };
        assert!(edited(JOB, &kept).expect_err("readings hang on it").contains("Piece 1 has 2 readings"));
    }
}
