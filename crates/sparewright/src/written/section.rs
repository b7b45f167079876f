//! A table of a file: its fields are asked for by name, and what nobody asked for is a problem.

use std::ops::Range;

use quantity::{Bench, Money, Problem, Size, nearest, quoted};
use toml::de::DeTable;

use super::capital;
use super::value::{Text, Value, or_note};

#[derive(Clone, Debug)]
pub(crate) struct Section<'a> {
    file: &'a str,
    table: &'a DeTable<'a>,
    /// Its heading, for what is wrong with it as a whole.
    pub(crate) at: Range<usize>,
    what: &'static str,
    asked: Vec<&'static str>,
}

impl<'a> Section<'a> {
    pub(crate) fn new(file: &'a str, table: &'a DeTable<'a>, at: Range<usize>, what: &'static str) -> Section<'a> {
        Section { file, table, at, what, asked: Vec::new() }
    }

    pub(crate) fn get(&mut self, name: &'static str) -> Option<Value<'a>> {
        if !self.asked.contains(&name) {
            self.asked.push(name);
        }
        self.table.get(name).map(|value| Value::new(self.file, value))
    }

    pub(crate) fn is_empty(&self) -> bool {
        self.table.is_empty()
    }

    pub(crate) fn has(&self, name: &str) -> bool {
        self.table.contains_key(name)
    }

    /// As [`Section::get`], and a problem where it is missing.
    pub(crate) fn need(&mut self, name: &'static str, problems: &mut Vec<Problem>) -> Option<Value<'a>> {
        let value = self.get(name);
        if value.is_none() {
            problems.push(Problem::new(
                self.at.clone(),
                format!("{} without `{name}`.", capital(self.what)),
                format!("expected {name} = …"),
            ));
        }
        value
    }

    pub(crate) fn text(&mut self, name: &'static str, problems: &mut Vec<Problem>) -> Option<Text<'a>> {
        let text = or_note(self.get(name)?.text(), problems)?;
        or_note(text.filled(), problems)?;
        Some(text)
    }

    pub(crate) fn need_text(&mut self, name: &'static str, problems: &mut Vec<Problem>) -> Option<Text<'a>> {
        self.need(name, problems)?;
        self.text(name, problems)
    }

    pub(crate) fn size(&mut self, name: &'static str, bench: &Bench<'_>, problems: &mut Vec<Problem>) -> Option<Size> {
        or_note(self.get(name)?.size(bench), problems)
    }

    pub(crate) fn need_size(
        &mut self,
        name: &'static str,
        bench: &Bench<'_>,
        problems: &mut Vec<Problem>,
    ) -> Option<Size> {
        self.need(name, problems)?;
        self.size(name, bench, problems)
    }

    pub(crate) fn number(
        &mut self,
        name: &'static str,
        least: f64,
        most: f64,
        problems: &mut Vec<Problem>,
    ) -> Option<f64> {
        or_note(self.get(name)?.number(least, most), problems)
    }

    pub(crate) fn money(
        &mut self,
        name: &'static str,
        least: Money,
        most: Money,
        problems: &mut Vec<Problem>,
    ) -> Option<Money> {
        or_note(self.get(name)?.money(least, most), problems)
    }

    pub(crate) fn count(
        &mut self,
        name: &'static str,
        least: u32,
        most: u32,
        problems: &mut Vec<Problem>,
    ) -> Option<u32> {
        or_note(self.get(name)?.count(least, most), problems)
    }

    pub(crate) fn list(&mut self, name: &'static str, problems: &mut Vec<Problem>) -> Vec<Value<'a>> {
        self.get(name).and_then(|value| or_note(value.list(), problems)).unwrap_or_default()
    }

    pub(crate) fn section(
        &mut self,
        name: &'static str,
        what: &'static str,
        problems: &mut Vec<Problem>,
    ) -> Option<Section<'a>> {
        or_note(self.get(name)?.section(what), problems)
    }

    /// The tables under `[[name]]`; a single `[name]` is taken for one of them.
    pub(crate) fn sections(
        &mut self,
        name: &'static str,
        what: &'static str,
        problems: &mut Vec<Problem>,
    ) -> Vec<Section<'a>> {
        let Some(value) = self.get(name) else {
            return Vec::new();
        };
        let values = match value.is_list() {
            true => or_note(value.list(), problems).unwrap_or_default(),
            false => vec![value],
        };
        values.iter().filter_map(|value| or_note(value.section(what), problems)).collect()
    }

    /// The names that stand here, whatever they are.
    pub(crate) fn entries(&self) -> Vec<(Text<'a>, Value<'a>)> {
        let entries = self
            .table
            .iter()
            .map(|(key, value)| (Text::new(key.get_ref(), self.file, key.span()), Value::new(self.file, value)));
        entries.collect()
    }

    /// Everything that was not asked for is unknown here.
    pub(crate) fn finish(self, problems: &mut Vec<Problem>) {
        for key in self.table.keys().filter(|key| !self.asked.contains(&key.get_ref().as_ref())) {
            let typed = key.get_ref();
            let problem = Problem::new(
                key.span(),
                format!("{} has no {}.", capital(self.what), quoted(typed)),
                "expected a name that is known here",
            );
            problems.push(match nearest(typed, self.asked.iter().copied()) {
                Some(meant) => problem.help(format!("did you mean `{meant}`?")),
                None => problem.help(format!("known here: {}", self.asked.join(", "))),
            });
        }
    }
}
