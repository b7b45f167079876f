//! What a job says of itself, to be filled in, and the one way a field is shown for that.

use std::collections::BTreeMap;

use maud::{Markup, html};
use part::FieldShape;

use record::JobId;

use crate::worked::{Field, Worked};

/// What was filled in and is refused: as it was typed, and what is wrong with which field.
#[derive(Debug)]
pub struct Filled {
    pub typed: BTreeMap<String, String>,
    pub faults: BTreeMap<String, String>,
}

/// Open at its fault where there is one.
pub fn about(id: JobId, worked: &Worked, filled: Option<&Filled>) -> Markup {
    let as_typed = |one: &Field| {
        let value = filled.and_then(|filled| filled.typed.get(one.name)).unwrap_or(&one.value).clone();
        Field { value, ..one.clone() }
    };
    let fault = |one: &Field| filled.and_then(|filled| filled.faults.get(one.name)).map(String::as_str);
    html! {
        details.about-job open[filled.is_some()] {
            summary { "About this job" }
            form method="post" action={ "/jobs/" (id) "/head" } hx-post={ "/jobs/" (id) "/head" }
                hx-target="#page" hx-select="#page" hx-swap="outerHTML" {
                @if filled.is_some() { p.refused role="alert" { "Nothing was written: a field is not right yet." } }
                div.fields { @for one in &worked.head { (field(&as_typed(one), &format!("head-{}", one.name.replace('.', "-")), fault(one))) } }
                button.act type="submit" { "Keep it so" }
            }
        }
    }
}

/// A field with its label, what is wrong with it, and a word of help.
pub fn field(field: &Field, id: &str, fault: Option<&str>) -> Markup {
    let named = field.name.replace('_', " ").replace('.', ": ");
    let about = format!("{id}-about");
    let wrong = fault.map(|_| "true");
    html! {
        div.field {
            label for=(id) { (named) }
            @match field.shape {
                FieldShape::YesNo => { (choice(field, id, &about, &["true", "false"], |word| if word == "true" { "yes" } else { "no" })) }
                FieldShape::OneOf(words) => { (choice(field, id, &about, words, |word| word)) }
                FieldShape::Count => {
                    input.num id=(id) name=(field.name) value=(field.value) inputmode="numeric" autocomplete="off" aria-describedby=(about) aria-invalid=[wrong] autofocus[fault.is_some()];
                }
                FieldShape::Text | FieldShape::Size => {
                    input id=(id) name=(field.name) value=(field.value) autocomplete="off" aria-describedby=(about) aria-invalid=[wrong] autofocus[fault.is_some()];
                }
                FieldShape::Lines => {
                    textarea.num id=(id) name=(field.name) rows=(field.value.lines().count().clamp(3, 12)) spellcheck="false" aria-describedby=(about) { "\n" (field.value) }
                }
            }
            p.soft id=(about) { @if let Some(fault) = fault { span.wrong { (fault) } " " } (field.about) }
        }
    }
}

/// What is written and none of the words is shown too, so that it is not lost unseen.
fn choice<'a>(field: &'a Field, id: &str, about: &str, words: &[&'a str], says: impl Fn(&'a str) -> &'a str) -> Markup {
    let value = field.value.as_str();
    let other = !value.is_empty() && !words.contains(&value);
    html! {
        select id=(id) name=(field.name) aria-describedby=(about) {
            option value="" selected[value.is_empty()] { "not said" }
            @for word in words.iter().copied() { option value=(word) selected[word == value] { (says(word)) } }
            @if other { option value=(value) selected { (value) } }
        }
    }
}
