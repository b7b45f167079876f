//! The tables of the shop file, in the order they are shown, and what their columns take.

/// How a cell is written in the file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Takes {
    /// Text as it stands.
    Text,
    /// Sentences, one to a line.
    Lines,
    /// Words, with commas between.
    Words,
    /// A number, or a size as in a notebook.
    Size,
    /// Several of them, with commas between.
    Sizes,
    /// One of them, or several.
    SizeOrSizes,
    YesNo,
}

#[derive(Clone, Copy, Debug)]
pub struct Column {
    pub key: &'static str,
    pub takes: Takes,
}

#[derive(Clone, Copy, Debug)]
pub enum Shape {
    /// Fields with names of their own.
    Fields(&'static [Column]),
    /// Names that the shop gives, each with a number.
    Names,
    /// Entries of one kind.
    Entries(&'static [Column]),
}

#[derive(Clone, Copy, Debug)]
pub struct Section {
    /// Where it is in the file, `charges.kilogram`; empty for its head.
    pub key: &'static str,
    pub title: &'static str,
    /// What an entry is called where one is added.
    pub one: &'static str,
    pub shape: Shape,
}

const fn column(key: &'static str, takes: Takes) -> Column {
    Column { key, takes }
}

use Takes::{Lines, Size, SizeOrSizes, Sizes, Text, Words, YesNo};

const DRAWER: &[Column] =
    &[column("sizes", Sizes), column("from", Size), column("to", Size), column("step", Size), column("missing", Sizes)];

pub const SECTIONS: &[Section] = &[
    Section {
        key: "",
        title: "The shop",
        one: "",
        shape: Shape::Fields(&[
            column("name", Text),
            column("units", Text),
            column("small_tools", Words),
            column("carbide", Words),
            column("taps", Words),
        ]),
    },
    Section {
        key: "charges",
        title: "Rates",
        one: "",
        shape: Shape::Fields(&[
            column("currency", Text),
            column("hour", Size),
            column("minimum", Size),
            column("margin", Size),
            column("round_to", Size),
        ]),
    },
    Section { key: "charges.kilogram", title: "Metal by the kilogram", one: "metal", shape: Shape::Names },
    Section { key: "buying", title: "Tools to buy", one: "tool", shape: Shape::Names },
    Section {
        key: "quote",
        title: "Quotes",
        one: "",
        shape: Shape::Fields(&[column("holds_days", Size), column("terms", Lines)]),
    },
    Section { key: "minutes", title: "Minutes of hand work", one: "work", shape: Shape::Names },
    Section {
        key: "machines",
        title: "Machines",
        one: "machine",
        shape: Shape::Entries(&[
            column("name", Text),
            column("kind", Text),
            column("stiffness", Text),
            column("speeds", Sizes),
            column("swing", Size),
            column("travel", Size),
            column("throat", Size),
            column("largest_drill", Size),
            column("table_screw", Size),
            column("force_kn", Size),
        ]),
    },
    Section {
        key: "dividing",
        title: "Dividing heads and rotary tables",
        one: "head or table",
        shape: Shape::Entries(&[
            column("name", Text),
            column("ratio", Size),
            column("plates", SizeOrSizes),
            column("direct_holes", SizeOrSizes),
            column("stop_pin", YesNo),
            column("change_gears", SizeOrSizes),
            column("gear_size", Text),
            column("gear_centres", SizeOrSizes),
            column("reads_to", Text),
            column("swing", Size),
        ]),
    },
    Section {
        key: "drills",
        title: "Drills",
        one: "set",
        shape: Shape::Entries(&[
            column("series", Text),
            column("from", Size),
            column("to", Size),
            column("step", Size),
            column("missing", Sizes),
            column("sizes", Sizes),
        ]),
    },
    Section { key: "reamers", title: "Reamers", one: "set", shape: Shape::Entries(DRAWER) },
    Section { key: "pins", title: "Pins", one: "set", shape: Shape::Entries(DRAWER) },
    Section { key: "end_mills", title: "End mills", one: "set", shape: Shape::Entries(DRAWER) },
    Section { key: "slot_cutters", title: "Slotting cutters", one: "set", shape: Shape::Entries(DRAWER) },
    Section { key: "broaches", title: "Keyway broaches", one: "set", shape: Shape::Entries(DRAWER) },
    Section {
        key: "gear_cutters",
        title: "Gear cutters",
        one: "set",
        shape: Shape::Entries(&[
            column("size", Text),
            column("numbers", Sizes),
            column("number_1", Text),
            column("bore", Size),
            column("diameter", Size),
        ]),
    },
    Section {
        key: "arbors",
        title: "Arbors and mandrels",
        one: "arbor",
        shape: Shape::Entries(&[column("name", Text), column("takes", SizeOrSizes)]),
    },
    Section {
        key: "rack",
        title: "Metal on the rack",
        one: "piece",
        shape: Shape::Entries(&[
            column("material", Text),
            column("thickness", Size),
            column("width", Size),
            column("diameter", Size),
            column("length", Size),
            column("pieces", Size),
        ]),
    },
    Section {
        key: "instruments",
        title: "Instruments",
        one: "instrument",
        shape: Shape::Entries(&[column("name", Text), column("within", Size), column("measures", Words)]),
    },
];

/// The columns of a table of names.
pub const NAMED: &[Column] = &[column("name", Text), column("value", Size)];

pub fn section(key: &str) -> Option<&'static Section> {
    SECTIONS.iter().find(|section| section.key == key)
}

impl Section {
    pub fn columns(&self) -> &'static [Column] {
        match self.shape {
            Shape::Fields(columns) | Shape::Entries(columns) => columns,
            Shape::Names => NAMED,
        }
    }

    /// For addresses and anchors.
    pub fn anchor(&self) -> String {
        if self.key.is_empty() { "shop".into() } else { self.key.replace(['.', '_'], "-") }
    }
}

impl Column {
    /// As a person reads it: "largest drill".
    pub fn label(&self) -> String {
        self.key.replace('_', " ")
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use toml_edit::{DocumentMut, Item};

    use super::*;
    use crate::shop::BUILT_IN;

    /// Whatever the shop file that comes with the program says can be seen and edited in the tables.
    #[test]
    fn every_field_of_the_built_in_shop_has_its_column() {
        let document: DocumentMut = BUILT_IN.parse().expect("TOML");
        let mut fields: BTreeSet<(String, String)> = BTreeSet::new();
        let mut add = |section: &str, table: &dyn toml_edit::TableLike| {
            fields.extend(
                table.iter().filter(|(_, item)| item.is_value()).map(|(key, _)| (section.to_string(), key.to_string())),
            );
        };
        add("", document.as_table());
        for (key, item) in document.iter() {
            match item {
                Item::Table(table) => {
                    add(key, table);
                    for (inner, item) in table.iter() {
                        item.as_table().into_iter().for_each(|table| add(&format!("{key}.{inner}"), table));
                    }
                }
                Item::ArrayOfTables(entries) => entries.iter().for_each(|table| add(key, table)),
                Item::Value(_) | Item::None => {}
            }
        }
        for (key, field) in fields {
            let section = section(&key).unwrap_or_else(|| panic!("no table shows `{key}`"));
            let named = matches!(section.shape, Shape::Names);
            assert!(named || section.columns().iter().any(|column| column.key == field), "{key}: {field}");
        }
    }
}
