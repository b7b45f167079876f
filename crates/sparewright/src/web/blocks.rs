//! The blocks of a sheet on a page: what stands on paper stands here too, in the same words.

use maud::{Markup, PreEscaped, html};
use pack::{Align, Block, Drawing, Rich, Step, Style, Table, Tone};

/// Blocks below a heading of level two.
pub fn blocks(blocks: &[Block]) -> Markup {
    html! { @for block in blocks { (self::block(block)) } }
}

fn block(block: &Block) -> Markup {
    html! {
        @match block {
            Block::Heading { text, beside } => {
                h3 { (text) @if !beside.is_empty() { " " small { (beside) } } }
            }
            Block::Paragraph { text } => { p { (rich(text)) } }
            Block::KeyValues { rows } => {
                dl.data {
                    @for row in rows {
                        div { dt { (rich(&row.key)) } dd { (rich(&row.value)) @if !row.note.is_empty() { " " span.soft { (rich(&row.note)) } } } }
                    }
                }
            }
            Block::Table(table) => { (self::table(table)) }
            Block::Steps { steps } => { ol.steps { @for step in steps { (self::step(step)) } } }
            Block::Ticks { ticks, .. } => {
                ol.ticks.num { @for tick in ticks { li { b { (tick.label) } " " (tick.text) } } }
            }
            Block::Figure { drawing, caption } => {
                figure.drawn { (self::drawing(drawing)) figcaption { (rich(caption)) } }
            }
            Block::FullPage { drawing } => { figure.drawn { (self::drawing(drawing)) } }
            Block::Beside { left, right, .. } => {
                div.beside { div { (blocks(left)) } div { (blocks(right)) } }
            }
            Block::Caution { title, lines } => {
                div.caution { @for (index, line) in lines.iter().enumerate() { p { @if index == 0 { b { (title) ". " } } (rich(line)) } } }
            }
            Block::Probability { in_100, text, minor } => {
                div.finding.weak[*minor] { span.p { (in_100) } p { (rich(text)) } }
            }
            // lines to write on are for paper
            Block::WriteIn { .. } | Block::Space { .. } | Block::PageBreak => {}
            Block::Rule => { hr; }
        }
    }
}

pub fn rich(text: &Rich) -> Markup {
    html! {
        @for run in &text.0 {
            @match run.style {
                Style::Plain => { (run.text) }
                Style::Strong => { b { (run.text) } }
                Style::Mono => { span.num { (run.text) } }
                Style::Quiet => { span.soft { (run.text) } }
                Style::Wrong => { span.wrong { (run.text) } }
            }
        }
    }
}

/// As SVG in the page, where it takes the page's own ink.
pub fn drawing(drawing: &Drawing) -> Markup {
    PreEscaped(drawing.to_svg())
}

/// Columns that stand empty, to be written in by hand, are left to paper.
fn table(table: &Table) -> Markup {
    let to_write = |index: usize| table.rows.iter().all(|row| row.cells.get(index).is_none_or(Rich::is_empty));
    let shown: Vec<usize> =
        (0..table.columns.len()).filter(|index| table.rows.is_empty() || !to_write(*index)).collect();
    let class = |index: usize| {
        let column = &table.columns[index];
        match (column.align, column.figures) {
            (Align::Right, true) => "right num",
            (Align::Right, false) => "right",
            (_, true) => "num",
            (_, false) => "",
        }
    };
    html! {
        div.wide tabindex="0" role="group" aria-label="Table" {
            table {
                @if !table.header.is_empty() {
                    thead { tr { @for index in &shown { @match table.header.get(*index).filter(|head| !head.is_empty()) {
                        Some(head) => { th scope="col" class=(class(*index)) { (rich(head)) } }
                        None => { td {} }
                    } } } }
                }
                tbody {
                    @for row in &table.rows {
                        tr class=(match row.tone { Tone::Plain => "", Tone::Strong => "strong", Tone::Quiet => "soft", Tone::Wrong => "wrong" }) {
                            @for index in &shown { td class=(class(*index)) { @if let Some(cell) = row.cells.get(*index) { (rich(cell)) } } }
                        }
                    }
                }
            }
        }
    }
}

/// An operation by its head; it opens where it stands.
pub fn step(step: &Step) -> Markup {
    html! {
        li {
            details {
                summary { h3 { span.num { (step.number) } " " (rich(&step.title)) } }
                (step_body(step))
            }
        }
    }
}

/// An operation without its head.
pub fn step_body(step: &Step) -> Markup {
    html! {
        dl.data {
            @for (name, value) in &step.details { div { dt { (name) } dd { (rich(value)) } } }
        }
        @for note in &step.notes { p { (rich(note)) } }
        @if !step.check.is_empty() { p.check { b { "Check: " } (rich(&step.check)) } }
        @if !step.caution.is_empty() { p.careful { (rich(&step.caution)) } }
    }
}
