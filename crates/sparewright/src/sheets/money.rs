//! Amounts in words, and the plot of a piece's price.

use kurbo::{Point, Rect, Size};
use making::price::{Price, Together};
use pack::{Anchor, Drawing, Fill, Height, Ink, Line, Text, Trace};
use quantity::Money;

/// "312 crowns", "79.50 crowns": in a sentence whole amounts stand without noughts.
pub fn amount(money: Money, currency: &str) -> String {
    let figures = money.to_string();
    let figures = figures.strip_suffix(".00").unwrap_or(&figures);
    match currency {
        "" => figures.to_string(),
        currency => format!("{figures} {currency}"),
    }
}

/// "1 piece", "4 pieces"
pub fn pieces(count: u32) -> String {
    if count == 1 { "1 piece".into() } else { format!("{count} pieces") }
}

/// "one", "two", … as a sentence counts; figures beyond twelve.
pub fn in_words(count: u32) -> String {
    const WORDS: [&str; 13] =
        ["none", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"];
    WORDS.get(count as usize).map_or_else(|| count.to_string(), |word| (*word).to_string())
}

/// What a plot shows, in the words of the sheet it stands on.
pub fn caption(price: &Price, how: &str) -> String {
    let currency = if price.currency.is_empty() { String::new() } else { format!(", in {}", price.currency) };
    let ordered = price.together.iter().find(|point| point.ordered);
    let ordered =
        ordered.map_or_else(String::new, |point| format!(" Blue: the {} that are asked for.", in_words(point.pieces)));
    format!(
        "What one costs{currency}, by how many are made {how}.{}",
        ordered.replace("the one that are", "the one that is")
    )
}

const HEIGHT: f64 = 34.0;
const FOOT: f64 = 6.5;
const HEAD: f64 = 8.0;
/// Room for the figures of one column of the plot.
const COLUMN: f64 = 17.0;
/// More columns than fit on a page are thinned out, the ordered number always among them.
const MOST_COLUMNS: usize = 9;

/// What a piece costs by how many are made together: a pin for each number, from nought, its price at its head.
pub fn plot(together: &[Together]) -> Option<Drawing> {
    let shown = thinned(together);
    let dearest = shown.iter().map(|point| point.each).max().filter(|dearest| *dearest > Money::ZERO)?;
    let width = COLUMN * shown.len() as f64;
    let mut drawing = Drawing::framed(Size::new(width, HEAD + HEIGHT + FOOT))
        .titled("What a piece costs by how many are made together");
    let ground = HEAD + HEIGHT;
    let at = |column: usize| COLUMN * (column as f64 + 0.5);
    let line = |from: Point, to: Point| Trace::line(from, to);
    drawing.stroke_on_paper(line(Point::new(0.0, ground), Point::new(width, ground)), Line::Thin, Ink::Black);
    for (column, point) in shown.iter().enumerate() {
        let height = HEIGHT * point.each.cents() as f64 / dearest.cents() as f64;
        let ink = if point.ordered { Ink::Blue } else { Ink::Black };
        let (x, top) = (at(column), ground - height);
        let stem = if point.ordered { Line::Outline } else { Line::Thin };
        drawing.stroke_on_paper(line(Point::new(x, ground), Point::new(x, top)), stem, ink);
        // what is filled is given in the part's sense, y upwards
        let head = Rect::from_center_size((x, -top), (1.8, 1.8));
        drawing.fill(&[Trace::rectangle(head)], Fill::Solid(ink));
        let figures = figures(point.each, dearest);
        drawing.text_on_paper(
            Text::new(figures).at(Point::new(x, top - 2.2)).anchor(Anchor::Middle).height(Height::Mm1_8).ink(ink),
        );
        drawing.text_on_paper(
            Text::new(point.pieces.to_string())
                .at(Point::new(x, ground + 4.5))
                .anchor(Anchor::Middle)
                .height(Height::Mm2_5)
                .ink(ink),
        );
    }
    Some(drawing)
}

/// Prices over a plot: decimals only where all of them are small.
fn figures(money: Money, dearest: Money) -> String {
    match dearest.cents() {
        ..10_000 => money.to_string(),
        _ => format!("{:.0}", money.cents() as f64 / Money::IN_ONE as f64),
    }
}

fn thinned(together: &[Together]) -> Vec<Together> {
    let step = together.len().div_ceil(MOST_COLUMNS).max(1);
    let kept = together.iter().enumerate().filter(|(at, point)| at % step == 0 || point.ordered);
    kept.map(|(_, point)| *point).collect()
}
