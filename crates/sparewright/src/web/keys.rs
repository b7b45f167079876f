//! The short keys, and how to be rid of them.

use maud::html;

use super::answer::{Answer, shown};
use super::frame::{Frame, Tab, page};

/// Where, key, what it does.
const KEYS: &[(&str, &[(&str, &str)])] = &[
    ("In the records", &[("/", "to the line for looking")]),
    (
        "On a job",
        &[
            ("n", "write a new reading"),
            ("m", "measure next: put the proposed reading into the line"),
            ("w", "to the machine"),
            ("p", "print the pack"),
        ],
    ),
    (
        "In the line for readings",
        &[
            ("Enter", "write the reading down"),
            ("↓", "to the ways the line may go on; ← → between them, Enter takes one, ↑ or Esc back"),
            ("Esc", "leave the line"),
        ],
    ),
    (
        "At the machine",
        &[
            ("space", "done: the next operation, or the next space"),
            ("b", "one back"),
            ("s", "skip this operation"),
            ("i", "index tooth by tooth"),
        ],
    ),
    (
        "On a scan",
        &[
            ("+ −", "nearer, further"),
            ("0", "all of it"),
            ("← ↑ ↓ →", "move the scan, or the point of the outline that is chosen; with Shift ten times as far"),
        ],
    ),
];

pub async fn show() -> Answer {
    let body = html! {
        header.head { h1 { "Keys" } p.sub { "everything on the pages can be reached by Tab and Enter as well" } }
        p.row.keep { input type="checkbox" #short-keys checked; label for="short-keys" { "Short keys of one letter on this device" } }
        @for (place, keys) in KEYS {
            h2 { (place) }
            dl.data { @for (key, does) in *keys { div { dt { kbd.num { (key) } } dd { (does) } } } }
        }
    };
    Ok(shown(page(&Frame { title: "Keys", at: Tab::Keys, ..Frame::default() }, &body)))
}
