//! Every data file, read without the crate's own loaders: each row names a declared source, no file is forgotten, and no
//! table has changed unnoticed.

#![allow(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use standards::data_files;

/// Lines (without remarks) and fingerprint of each table. A row that is changed on purpose changes its line here in the same commit.
const FINGERPRINTS: &str = include_str!("fingerprints.txt");

const CONFIDENCES: [&str; 4] = ["published", "memory", "computed", "practice"];

#[test]
fn every_table_under_data_is_embedded() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../data");
    let mut on_disk = BTreeSet::new();
    collect(&root, &root, &mut on_disk);
    // what a shop owns is no table of a standard
    on_disk.retain(|path| !path.starts_with("shop/"));
    let embedded: BTreeSet<String> = data_files().iter().map(|file| file.path.to_string()).collect();
    assert_eq!(on_disk, embedded);
}

fn collect(root: &Path, folder: &Path, into: &mut BTreeSet<String>) {
    let entries: Vec<PathBuf> = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    for path in entries {
        if path.is_dir() {
            collect(root, &path, into);
        } else if path.extension().is_some_and(|extension| extension == "csv" || extension == "toml") {
            let parts: Vec<_> =
                path.strip_prefix(root).unwrap().iter().map(|part| part.to_string_lossy().into_owned()).collect();
            into.insert(parts.join("/"));
        }
    }
}

#[test]
fn every_row_names_a_source_and_how_far_it_can_be_relied_on() {
    for file in data_files() {
        let rows = if file.path.ends_with(".csv") {
            csv_rows_cite(file.path, file.text)
        } else {
            let value: toml::Table = file.text.parse().unwrap();
            let declared: BTreeSet<&str> = value["sources"].as_table().unwrap().keys().map(String::as_str).collect();
            toml_entries_cite(file.path, &toml::Value::Table(value.clone()), &declared)
        };
        assert!(rows > 0, "{} has no rows", file.path);
    }
}

fn csv_rows_cite(path: &str, text: &str) -> usize {
    let declared: BTreeSet<&str> = text
        .lines()
        .filter_map(|line| line.strip_prefix("# source ")?.split_once(':'))
        .map(|(key, citation)| {
            assert!(!citation.trim().is_empty(), "{path}: source {key} cites nothing");
            key.trim()
        })
        .collect();
    let mut used = BTreeSet::new();
    let mut rows = text.lines().filter(|line| !line.starts_with('#'));
    assert!(rows.next().unwrap().ends_with(",source,confidence"), "{path}: the head row");
    for row in rows {
        let mut fields = row.rsplit(',');
        let (confidence, source) = (fields.next().unwrap(), fields.next().unwrap());
        assert!(CONFIDENCES.contains(&confidence), "{path}: {row}");
        assert!(declared.contains(source), "{path}: {row}");
        used.insert(source);
    }
    assert_eq!(declared, used, "{path}: a source that no row names");
    text.lines().filter(|line| !line.starts_with('#')).count() - 1
}

/// An entry is a table that holds a `source`; whatever holds numbers must be one or lie within one, except groups of them.
fn toml_entries_cite(path: &str, value: &toml::Value, declared: &BTreeSet<&str>) -> usize {
    match value {
        toml::Value::Table(table) => {
            let inner: usize = table
                .iter()
                .filter(|(key, _)| *key != "sources")
                .map(|(_, value)| toml_entries_cite(path, value, declared))
                .sum();
            match table.get("source") {
                Some(source) => {
                    assert!(declared.contains(source.as_str().unwrap()), "{path}: {table}");
                    assert!(CONFIDENCES.contains(&table["confidence"].as_str().unwrap()), "{path}: {table}");
                    inner + 1
                }
                None => inner,
            }
        }
        toml::Value::Array(items) => items
            .iter()
            .map(|item| {
                let cited = toml_entries_cite(path, item, declared);
                assert!(!item.is_table() || cited > 0, "{path}: no source in {item}");
                cited
            })
            .sum(),
        _ => 0,
    }
}

#[test]
fn no_table_has_changed_unnoticed() {
    let now: String = data_files()
        .iter()
        .map(|file| {
            let rows: Vec<&str> = file.text.lines().filter(|l| !l.starts_with('#') && !l.is_empty()).collect();
            format!("{} {} {:016x}\n", file.path, rows.len(), fingerprint(&rows))
        })
        .collect();
    assert_eq!(now, FINGERPRINTS, "if the change is meant, tests/fingerprints.txt becomes:\n{now}");
}

/// FNV-1a, 64 bits, over the rows and their line ends.
fn fingerprint(rows: &[&str]) -> u64 {
    let bytes = rows.iter().flat_map(|row| row.bytes().chain([b'\n']));
    bytes.fold(0xcbf2_9ce4_8422_2325, |hash, byte| (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3))
}
