//! The shop, table by table.

use axum::extract::{Query, State};
use maud::{Markup, html};
use serde::Deserialize;
use toml_edit::DocumentMut;

use super::edit::{Row, rows};
use super::sections::{Column, SECTIONS, Section, Shape, Takes};
use crate::shop::BUILT_IN;
use crate::web::answer::{Answer, see, shown};
use crate::web::frame::{Frame, Tab, page};
use crate::web::state::App;

#[derive(Debug, Default, Deserialize)]
pub struct Asked {
    /// The section of the row that is open.
    #[serde(default)]
    open: Option<String>,
    /// Which row; a new one without it.
    #[serde(default)]
    row: Option<usize>,
}

/// A row as it is being edited.
#[derive(Clone, Debug)]
pub struct Open {
    pub section: &'static Section,
    pub row: Row,
    /// What was typed, where it was refused.
    pub cells: Option<Vec<String>>,
    pub why: Option<String>,
    /// The cell that is refused, by its place in the row, where it is one of them.
    pub at_fault: Option<usize>,
}

pub async fn show(State(app): State<App>, Query(asked): Query<Asked>) -> Answer {
    let section = asked.open.as_deref().and_then(super::sections::section);
    let row = asked.row.map_or(Row::New, Row::At);
    let open = section.map(|section| Open { section, row, cells: None, why: None, at_fault: None });
    let (version, text) = super::kept(&app).await?;
    match text.parse::<DocumentMut>() {
        Ok(document) => Ok(shown(shop_page(version, &document, open.as_ref()))),
        // brought back or put in from elsewhere with a mistake in it
        Err(_) => Ok(see("/shop/text")),
    }
}

pub fn shop_page(version: u32, document: &DocumentMut, open: Option<&Open>) -> Markup {
    let built_in = BUILT_IN.parse::<DocumentMut>().unwrap_or_default();
    let name = document.get("name").and_then(|name| name.as_str()).unwrap_or("The shop");
    let body = html! {
        header.head {
            div.grow { h1 { (name) } p.sub { "what the shop owns and what it charges; plans and prices come from here" } }
            p.also {
                a href="/shop/shop.toml" download { "Shop file" } " "
                a href="/shop/text" { "Write in its text, or put another in" } " "
                a href="/shop/history" { "History" }
            }
        }
        nav.sections aria-label="Sections of the shop" { @for section in SECTIONS { a href={ "#" (section.anchor()) } { (section.title) } " " } }
        @for section in SECTIONS { (table(section, version, document, &built_in, open.filter(|open| open.section.key == section.key))) }
    };
    page(&Frame { title: "Shop", at: Tab::Shop, measure: "shop", ..Frame::default() }, &body)
}

fn table(
    section: &'static Section,
    version: u32,
    document: &DocumentMut,
    built_in: &DocumentMut,
    open: Option<&Open>,
) -> Markup {
    let rows = rows(document, section);
    let (anchor, columns) = (section.anchor(), section.columns());
    // a column that no row has is seen when a row is opened
    let used: Vec<usize> = (0..columns.len()).filter(|at| rows.iter().any(|row| !row[*at].is_empty())).collect();
    html! {
        section id=(anchor) aria-labelledby={ (anchor) "-head" } {
            h2 id={ (anchor) "-head" } { (section.title) }
            @if let Some(about) = about(section, built_in) { p.soft.about-it { (about) } }
            @match section.shape {
                Shape::Fields(_) => { (fields(section, version, &rows, open)) }
                Shape::Names | Shape::Entries(_) => {
                    @if !rows.is_empty() {
                        div.wide { table {
                            thead { tr { @for at in &used { th scope="col" { (columns[*at].label()) } } th { span.hidden { "Change" } } } }
                            tbody { @for (index, cells) in rows.iter().enumerate() {
                                @match open.filter(|open| open.row == Row::At(index)) {
                                    Some(open) => { tr.open { td colspan=(used.len() + 1) { (form(open, version, cells)) } } }
                                    None => { (row(section, index, cells, &used)) }
                                }
                            } }
                        } }
                    }
                    @match open.filter(|open| open.row == Row::New) {
                        Some(open) => { (form(open, version, &vec![String::new(); columns.len()])) }
                        None => { p { a.act.quiet href={ "/shop?open=" (section.key) "#" (anchor) } { "Add " (article(section.one)) " " (section.one) } } }
                    }
                }
            }
        }
    }
}

fn row(section: &Section, index: usize, cells: &[String], used: &[usize]) -> Markup {
    let what = cells.iter().find(|cell| !cell.is_empty()).cloned().unwrap_or_default();
    html! {
        tr {
            @for at in used {
                td.num[is_figures(section.columns()[*at].takes)].empty[cells[*at].is_empty()]
                    data-label=[(*at > 0).then(|| section.columns()[*at].label())] { (cells[*at]) }
            }
            td.right { a.change href={ "/shop?open=" (section.key) "&row=" (index) "#" (section.anchor()) } aria-label={ "Change " (what) } { "change" } }
        }
    }
}

/// "a set", "an arbor"
fn article(noun: &str) -> &'static str {
    if noun.starts_with(['a', 'e', 'i', 'o', 'u']) { "an" } else { "a" }
}

/// Set in type in which figures stand below one another.
fn is_figures(takes: Takes) -> bool {
    !matches!(takes, Takes::Text | Takes::Words | Takes::Lines)
}

/// A section that is one row, read downwards.
fn fields(section: &'static Section, version: u32, rows: &[Vec<String>], open: Option<&Open>) -> Markup {
    let Some(cells) = rows.first() else { return html! {} };
    match open {
        Some(open) => form(open, version, cells),
        None => html! {
            dl.data { @for (column, cell) in section.columns().iter().zip(cells) {
                div { dt { (column.label()) } dd.num[is_figures(column.takes)] { @if cell.is_empty() { span.soft { "not said" } } @else { (cell) } } }
            } }
            p { a.change href={ "/shop?open=" (section.key) "&row=0#" (section.anchor()) } aria-label={ "Change " (section.title) } { "change" } }
        },
    }
}

fn form(open: &Open, version: u32, kept: &[String]) -> Markup {
    let (section, cells) = (open.section, open.cells.as_deref().unwrap_or(kept));
    let anchor = section.anchor();
    html! {
        form.change method="post" action="/shop/row" {
            @if let Some(why) = &open.why { p.refused role="alert" { @if let Some(column) = open.at_fault.and_then(|at| section.columns().get(at)) { b { (crate::sheets::findings::capital(&column.label())) ": " } } (why) } }
            input type="hidden" name="section" value=(section.key);
            input type="hidden" name="version" value=(version);
            @if let Row::At(index) = open.row { input type="hidden" name="row" value=(index); }
            div.fields { @for (at, (column, cell)) in section.columns().iter().zip(cells).enumerate() { (field(&anchor, at, column, cell, open)) } }
            div.row {
                button.act type="submit" { "Keep it" }
                a.act.quiet href={ "/shop#" (anchor) } { "Leave it" }
                @if let (Row::At(_), Shape::Names | Shape::Entries(_)) = (open.row, section.shape) {
                    button.act.quiet type="submit" name="out" value="true" formnovalidate { "Take it out" }
                }
            }
        }
    }
}

/// The cell that is refused has the focus and the reason below it; else the first.
fn field(anchor: &str, at: usize, column: &Column, cell: &str, open: &Open) -> Markup {
    let id = format!("{anchor}-{at}");
    let fault = open.why.as_ref().filter(|_| open.at_fault == Some(at));
    let figures = is_figures(column.takes) && !cell.is_empty() && cell.parse::<f64>().is_ok();
    html! {
        div.field {
            label for=(id) { (column.label()) @if matches!(column.takes, Takes::Sizes | Takes::Words) { " (with commas)" } @if column.takes == Takes::YesNo { " (yes or no)" } }
            @if column.takes == Takes::Lines { textarea id=(id) name={ "c" (at) } rows="4" { "\n" (cell) } }
            @else {
                input.num id=(id) name={ "c" (at) } value=(cell) inputmode=[figures.then_some("decimal")] autocomplete="off" spellcheck="false"
                    autofocus[at == open.at_fault.unwrap_or(0)] aria-invalid=[fault.map(|_| "true")] aria-describedby=[fault.map(|_| format!("{id}-why"))];
            }
            @if let Some(why) = fault { p.wrong id={ (id) "-why" } { (why) } }
        }
    }
}

/// What stands above the section in the shop file that comes with the program.
fn about(section: &Section, built_in: &DocumentMut) -> Option<String> {
    let item =
        section.key.split('.').filter(|key| !key.is_empty()).try_fold(built_in.as_item(), |item, key| item.get(key))?;
    let table = item.as_table().or_else(|| item.as_array_of_tables().and_then(|entries| entries.get(0)))?;
    let remark = table.decor().prefix()?.as_str()?;
    let words: Vec<&str> = remark.lines().filter_map(|line| line.trim().strip_prefix('#')).map(str::trim).collect();
    (!section.key.is_empty() && !words.is_empty()).then(|| spoken(&words.join(" ")))
}

/// The remark names fields as the file does, between `backticks`; on the page they have no underscores.
fn spoken(remark: &str) -> String {
    let parts = remark.split('`').enumerate();
    parts.map(|(index, part)| if index % 2 == 1 { part.replace('_', " ") } else { part.to_string() }).collect()
}
