//! Writing a drawing as SVG 1.1: user unit 1 mm, arcs as arcs, text as text.

use std::fmt::Write as _;

use kurbo::{Point, Rect};

use crate::drawing::{Anchor, Drawing, Face, Fill, Ink, Item, Line, Text};
use crate::fonts::family_for;
use crate::letters::outlined;
use crate::trace::{Piece, Trace};

/// The rim of paper round letters, mm on each side.
const HALO: f64 = 0.4;

pub(crate) fn write(drawing: &Drawing) -> String {
    write_with(drawing, write_text)
}

/// With letters as outlines instead of text.
pub(crate) fn write_outlined(drawing: &Drawing) -> String {
    write_with(drawing, write_letters)
}

/// How a text is put down.
type Lettering = fn(&mut String, &Text);

fn write_with(drawing: &Drawing, lettering: Lettering) -> String {
    let paper = drawing.paper();
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}mm\" height=\"{h}mm\" viewBox=\"{x} {y} {w} {h}\" role=\"img\">\n",
        x = number(paper.x0),
        y = number(paper.y0),
        w = number(paper.width()),
        h = number(paper.height()),
    );
    if let Some(title) = &drawing.title {
        out += &format!("<title>{}</title>\n", escaped(title));
    }
    let mut items: Vec<&Item> = drawing.items.iter().collect();
    items.sort_by_key(|item| layer(item));
    let mut windows: Vec<Rect> = Vec::new();
    for item in items {
        write_item(&mut out, item, &mut windows, lettering);
    }
    out += "</svg>\n";
    out
}

fn write_item(out: &mut String, item: &Item, windows: &mut Vec<Rect>, lettering: Lettering) {
    match item {
        Item::Stroke { trace, line, ink, phase } => stroke(out, trace, *line, *ink, *phase),
        Item::Area { traces, fill, .. } => area(out, traces, *fill),
        Item::Text(text) => lettering(out, text),
        Item::Clipped(window, item) => {
            let corners = [window.x0, window.y0, window.width(), window.height()].map(number);
            // Named by what it is, so that two drawings on one web page cannot disagree.
            let name = format!("window-{}", corners.join("-"));
            if !windows.contains(window) {
                windows.push(*window);
                let [x, y, w, h] = &corners;
                out.push_str(&format!(
                    "<clipPath id=\"{name}\"><rect x=\"{x}\" y=\"{y}\" width=\"{w}\" height=\"{h}\"/></clipPath>\n"
                ));
            }
            out.push_str(&format!("<g clip-path=\"url(#{name})\">"));
            write_item(out, item, windows, lettering);
            out.push_str("</g>\n");
        }
    }
}

/// Tints lie under lines, thin lines under wide ones, figures over all.
fn layer(item: &Item) -> u8 {
    match item {
        Item::Area { mark: false, .. } => 0,
        Item::Stroke { line, .. } => match line {
            Line::Hatching => 1,
            Line::Thin | Line::Dimension | Line::Hidden | Line::Centre | Line::Phantom => 2,
            Line::Outline => 3,
        },
        Item::Area { mark: true, .. } => 4,
        Item::Text(_) => 5,
        Item::Clipped(_, item) => layer(item),
    }
}

fn stroke(out: &mut String, trace: &Trace, line: Line, ink: Ink, phase: f64) {
    let cap = if line == Line::Outline { "round" } else { "butt" };
    out.push_str(&format!(
        "<path class=\"{}\" fill=\"none\" stroke=\"{}\" stroke-width=\"{}\" stroke-linecap=\"{cap}\" stroke-linejoin=\"round\"",
        class(line),
        colour(ink),
        number(line.width()),
    ));
    if !line.dashes().is_empty() {
        let dashes: Vec<String> = line.dashes().iter().map(|d| number(*d)).collect();
        out.push_str(&format!(" stroke-dasharray=\"{}\"", dashes.join(" ")));
    }
    if phase != 0.0 {
        out.push_str(&format!(" stroke-dashoffset=\"{}\"", number(phase)));
    }
    out.push_str(" d=\"");
    path(out, trace);
    out.push_str("\"/>\n");
}

fn area(out: &mut String, traces: &[Trace], fill: Fill) {
    let (class, colour) = match fill {
        Fill::Metal => ("metal", "#eeece5"),
        Fill::Paper => ("paper", "#ffffff"),
        Fill::BlueWash => ("blue-wash", "#e8ecf8"),
        Fill::RedWash => ("red-wash", "#f8e7e3"),
        Fill::Solid(ink) => ("mark", colour(ink)),
    };
    out.push_str(&format!("<path class=\"{class}\" fill=\"{colour}\" fill-rule=\"evenodd\" d=\""));
    for trace in traces {
        path(out, trace);
    }
    out.push_str("\"/>\n");
}

fn write_letters(out: &mut String, text: &Text) {
    let at = text.at;
    out.push_str(&format!(
        "<path class=\"figure\" aria-label=\"{}\" fill=\"{}\" transform=\"translate({} {}) rotate({})\"",
        escaped(&text.text),
        colour(text.ink),
        number(at.x),
        number(at.y),
        number(text.turn),
    ));
    if text.halo {
        out.push_str(&format!(
            " paint-order=\"stroke\" stroke=\"#ffffff\" stroke-width=\"{}\" stroke-linejoin=\"round\"",
            number(2.0 * HALO)
        ));
    }
    out.push_str(&format!(" d=\"{}\"/>\n", outlined(text)));
}

fn write_text(out: &mut String, text: &Text) {
    let anchor = match text.anchor {
        Anchor::Start => "start",
        Anchor::Middle => "middle",
        Anchor::End => "end",
    };
    let weight = match text.face {
        Face::Mono | Face::Sans => 400,
        Face::SansStrong => 600,
    };
    let mut attributes = format!(
        "class=\"figure\" y=\"{y}\" font-weight=\"{weight}\" font-size=\"{size}\" fill=\"{fill}\" xml:space=\"preserve\"",
        y = number(text.at.y),
        size = number(text.height.font_size()),
        fill = colour(text.ink),
    );
    if text.turn != 0.0 {
        attributes +=
            &format!(" transform=\"rotate({} {} {})\"", number(text.turn), number(text.at.x), number(text.at.y));
    }
    if text.halo {
        attributes += &format!(
            " paint-order=\"stroke\" stroke=\"#ffffff\" stroke-width=\"{}\" stroke-linejoin=\"round\"",
            number(2.0 * HALO)
        );
    }
    let runs = runs(&text.text, text.face.family());
    if let [(family, run)] = runs.as_slice() {
        out.push_str(&format!(
            "<text x=\"{}\" text-anchor=\"{anchor}\" font-family=\"'{family}'\" {attributes}>{}</text>\n",
            number(text.at.x),
            escaped(run)
        ));
        return;
    }
    // Each run has a place of its own: left together, a reader of SVG sets all in the family of the one missing sign.
    let mut x = text.at.x + text.left();
    for (family, run) in runs {
        out.push_str(&format!(
            "<text x=\"{}\" font-family=\"'{family}'\" {attributes}>{}</text>\n",
            number(x),
            escaped(&run)
        ));
        x += text.width_of(&run);
    }
}

/// A text in runs of one family each.
fn runs(text: &str, family: &'static str) -> Vec<(&'static str, String)> {
    let mut runs: Vec<(&'static str, String)> = Vec::new();
    for c in text.chars() {
        let own = family_for(family, c);
        match runs.last_mut() {
            Some((last, run)) if *last == own => run.push(c),
            Some(_) | None => runs.push((own, c.into())),
        }
    }
    runs
}

fn path(out: &mut String, trace: &Trace) {
    let mut from = trace.start;
    out.push_str(&format!("M{}", point(from)));
    for piece in &trace.pieces {
        match *piece {
            Piece::Line(to) => {
                let _ = write!(out, "L{}", point(to));
                from = to;
            }
            Piece::Arc { centre, sweep, to } => {
                let radius = number(((from - centre).hypot() + (to - centre).hypot()) / 2.0);
                // y runs down here, so a positive sweep is clockwise as seen, which SVG calls 1.
                let _ = write!(out, "A{radius} {radius} 0 0 {} {}", u8::from(sweep > 0.0), point(to));
                from = to;
            }
            Piece::Quad(a, to) => {
                let _ = write!(out, "Q{} {}", point(a), point(to));
                from = to;
            }
            Piece::Cubic(a, b, to) => {
                let _ = write!(out, "C{} {} {}", point(a), point(b), point(to));
                from = to;
            }
        }
    }
    if trace.closed {
        out.push('Z');
    }
}

fn class(line: Line) -> &'static str {
    match line {
        Line::Outline => "outline",
        Line::Thin => "thin",
        Line::Dimension => "dimension",
        Line::Hatching => "hatching",
        Line::Hidden => "hidden",
        Line::Centre => "centre",
        Line::Phantom => "phantom",
    }
}

fn colour(ink: Ink) -> &'static str {
    match ink {
        Ink::Black => "#14181c",
        Ink::Quiet => "#59636b",
        Ink::Blue => "#223f9b",
        Ink::Red => "#a8281c",
    }
}

fn point(point: Point) -> String {
    format!("{} {}", number(point.x), number(point.y))
}

/// To a tenth of a micrometre, no trailing noughts; what is not a number becomes nought.
pub(crate) fn number(value: f64) -> String {
    if !value.is_finite() {
        return "0".into();
    }
    // a drawing is thousands of these, and whole numbers are written far quicker
    let parts = (value.abs() * 1e4).round() as u64;
    let (whole, parts) = (parts / 10_000, parts % 10_000);
    let sign = if value < 0.0 && (whole, parts) != (0, 0) { "-" } else { "" };
    let mut text = if parts == 0 { format!("{sign}{whole}") } else { format!("{sign}{whole}.{parts:04}") };
    if parts != 0 {
        text.truncate(text.trim_end_matches('0').len());
    }
    text
}

/// Text for XML: its signs escaped, the control characters that XML 1.0 forbids left out.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\n' | '\t' | '\r' => out.push(' '),
            c if c.is_control() || ('\u{FFFE}'..='\u{FFFF}').contains(&c) => {}
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::View;

    #[test]
    fn arcs_stay_arcs_and_run_the_right_way() {
        // A quarter from east to north, seen counter-clockwise: sweep flag 0.
        let mut drawing = Drawing::new(View::default());
        drawing.stroke(&Trace::arc(Point::ORIGIN, 10.0, 0.0, std::f64::consts::FRAC_PI_2), Line::Outline);
        assert!(drawing.to_svg().contains("d=\"M10 0A10 10 0 0 0 0 -10\""));
    }

    #[test]
    fn a_users_text_stays_text() {
        let mut drawing = Drawing::default();
        drawing.text_on_paper(Text::new("<b>&\"\u{1}\n1/2\""));
        let svg = drawing.to_svg();
        assert!(svg.contains(">&lt;b&gt;&amp;&quot; 1/2&quot;</text>"), "{svg}");
    }

    #[test]
    fn numbers_are_short() {
        for (value, text) in
            [(0.0, "0"), (-0.000_01, "0"), (100.0, "100"), (25.4, "25.4"), (-1.23456, "-1.2346"), (f64::NAN, "0")]
        {
            assert_eq!(number(value), text);
        }
    }
}
