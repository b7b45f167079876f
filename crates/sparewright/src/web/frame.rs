//! The page that all pages are set in: head, the few ways about, the body.

use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::assets;

/// What a page says of itself.
#[derive(Clone, Debug, Default)]
pub struct Frame<'a> {
    pub title: &'a str,
    pub at: Tab,
    /// Class of the body, where a page is set in another measure.
    pub measure: &'a str,
    /// A script of its own.
    pub script: Option<&'static str>,
}

/// Which of the ways about a page belongs to.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Tab {
    #[default]
    None,
    Records,
    Shop,
    Devices,
    Keys,
}

impl<'a> Frame<'a> {
    pub fn titled(title: &'a str) -> Frame<'a> {
        Frame { title, ..Frame::default() }
    }
}

/// No script or style stands in the page itself, and htmx is told to keep to that.
const HTMX: &str = r#"{"includeIndicatorStyles":false,"disableInheritance":true,"allowEval":false,"allowScriptTags":false,"historyCacheSize":0,"scrollIntoViewOnBoost":false,"responseHandling":[{"code":"204","swap":false},{"code":"[2345]..","swap":true}]}"#;

/// The whole page. The body may use the classes of the style sheet; it stands in `main#page`.
pub fn page(frame: &Frame<'_>, body: &Markup) -> Markup {
    let ways = [
        (Tab::Records, "/", "Records"),
        (Tab::Shop, "/shop", "Shop"),
        (Tab::Devices, "/devices", "Devices"),
        (Tab::Keys, "/keys", "Keys"),
    ];
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                meta name="htmx-config" content=(PreEscaped(HTMX.replace('"', "&quot;")));
                title { (frame.title) " – Sparewright" }
                link rel="icon" href=(assets::path("mark.svg")) type="image/svg+xml";
                link rel="stylesheet" href=(assets::path("notebook.css"));
                script src=(assets::path("htmx.min.js")) defer {}
                script src=(assets::path("notebook.js")) defer {}
                @if let Some(script) = frame.script { script src=(assets::path(script)) defer {} }
            }
            body class=(frame.measure) {
                a.skip href="#page" { "To the page" }
                nav.about aria-label="Notebook" {
                    a.name href="/" { "Sparewright" }
                    @for (tab, place, word) in ways {
                        a href=(place) aria-current=[(frame.at == tab).then_some("page")] { (word) }
                    }
                }
                main #page tabindex="-1" { (body) }
            }
        }
    }
}
