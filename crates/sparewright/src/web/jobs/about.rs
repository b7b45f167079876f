//! What a job says of itself, to be filled in, and the one way a field is shown for that.

use maud::{Markup, html};
use part::FieldShape;

use record::JobId;

use crate::worked::{Field, Worked};

pub fn about(id: JobId, worked: &Worked) -> Markup {
    html! {
        details.about-job {
            summary { "About this job" }
            form method="post" action={ "/jobs/" (id) "/head" } hx-post={ "/jobs/" (id) "/head" }
                hx-target="#page" hx-select="#page" hx-swap="outerHTML" {
                div.fields { @for one in &worked.head { (field(one, &format!("head-{}", one.name.replace('.', "-")))) } }
                button.act type="submit" { "Keep it so" }
            }
        }
    }
}

/// A field with its label and a word of help.
pub fn field(field: &Field, id: &str) -> Markup {
    let named = field.name.replace('_', " ").replace('.', ": ");
    let about = format!("{id}-about");
    html! {
        div.field {
            label for=(id) { (named) }
            @match field.shape {
                FieldShape::YesNo => { (choice(field, id, &about, &["true", "false"], |word| if word == "true" { "yes" } else { "no" })) }
                FieldShape::OneOf(words) => { (choice(field, id, &about, words, |word| word)) }
                FieldShape::Count => {
                    input.num id=(id) name=(field.name) value=(field.value) inputmode="numeric" autocomplete="off" aria-describedby=(about);
                }
                FieldShape::Text | FieldShape::Size => {
                    input id=(id) name=(field.name) value=(field.value) autocomplete="off" aria-describedby=(about);
                }
                FieldShape::Lines => {
                    textarea.num id=(id) name=(field.name) rows=(field.value.lines().count().clamp(3, 12)) spellcheck="false" aria-describedby=(about) { "\n" (field.value) }
                }
            }
            p.soft id=(about) { (field.about) }
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
