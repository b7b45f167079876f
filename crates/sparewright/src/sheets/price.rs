//! Time and price, for the shop: minutes of every operation, how the price comes together, and how it falls.

use making::Body;
use making::mass::Metal;
use making::price::{Comparison, Cost, Price};
use making::time::{Lot, Split};
use pack::{Block, Column, Rich, Row, Sheet, Table, Tone};
use quantity::{Minutes, Money, print};

use super::money::{amount, caption, pieces, plot};
use super::{Work, sheet as blank};

pub fn sheet(work: &Work<'_>) -> Sheet {
    let price = &work.plan.price;
    let mut out = blank("Time and price", "the shop's own figures; the quote is a paper of its own");
    let blocks = &mut out.blocks;
    blocks.extend(super::stop(work));
    if !price.unknown.is_empty() {
        blocks.push(Block::caution("No price yet", price.unknown.iter().map(|why| Rich::from(why.clone()))));
    }
    if let Some(cost) = &price.cost {
        blocks.push(Block::Heading { text: "Price".into(), beside: price.currency.clone() });
        blocks.push(Block::Table(costs(work, cost)));
        blocks.push(Block::paragraph(asked_in_words(price)));
    }
    if let Some(drawing) = plot(&price.together).filter(|_| price.together.len() > 1) {
        let caption = caption(price, "in the same set-up");
        blocks.push(Block::figure(drawing, Rich::new().quiet(caption)));
    }
    blocks.extend(price.elsewhere.as_ref().map(|there| Block::paragraph(compared(there, price))));
    if !price.not_counted.is_empty() {
        blocks.push(Block::paragraph(
            Rich::new()
                .strong("Not in this price: ")
                .plain(format!("{}. ", price.not_counted.join("; ")))
                .plain(match price.not_counted.as_slice() {
                    [_] => "It is lacking; the ways round it stand",
                    _ => "They are lacking; the ways round them stand",
                })
                .plain(" on the operations sheet. What has to be bought or sent out for this job goes into the job file under [[outside]]."),
        ));
    }
    blocks.push(Block::Heading { text: "Time".into(), beside: lot_in_words(price.ordered) });
    blocks.push(Block::paragraph(time_in_words(work)));
    blocks.push(Block::Table(times(work)));
    blocks.push(Block::paragraph(Rich::new().quiet(
        "Minutes. Cutting is reckoned from feed and length with the run in; set-up, handling and checking from allowances, which are common practice and good to perhaps a third. Time yourself, and write your own under [minutes] in the shop file.",
    )));
    blocks.push(Block::Heading { text: "Metal".into(), beside: "as it is sawn".into() });
    blocks.push(Block::Table(metals(work)));
    blocks.push(Block::paragraph(Rich::new().quiet(allowed(work))));
    out
}

/// "1 piece and 3 spares"
pub fn lot_in_words(lot: Lot) -> String {
    let spares = if lot.spares == 1 { "1 spare".to_string() } else { format!("{} spares", lot.spares) };
    match (lot.fitted, lot.spares) {
        (fitted, 0) => pieces(fitted),
        (0, _) => spares,
        (fitted, _) => format!("{} and {spares}", pieces(fitted)),
    }
}

fn time_in_words(work: &Work<'_>) -> Rich {
    let price = &work.plan.price;
    let total = price.minutes.total();
    let first = Rich::new().strong(format!("{total} for all. ")).plain(format!(
        "The first piece by itself takes {}, each further one made with it {}{}. {} in {} set-ups.",
        price.first_piece,
        price.each_further,
        if price.ordered.pieces() > 2 { " on the average" } else { "" },
        match work.plan.operations.len() {
            1 => "One operation".to_string(),
            several => format!("{several} operations"),
        },
        work.plan.set_ups,
    ));
    match work.plan.times.unknown.as_slice() {
        [] => first,
        some => first.wrong(format!(" What cutting takes is not in it: {}", some.join(" "))),
    }
}

fn times(work: &Work<'_>) -> Table {
    let plan = work.plan;
    let lot = plan.price.ordered;
    let row = |number: String, what: String, split: Split| {
        let minutes = |minutes: Minutes| match minutes.get() {
            none if none < 0.05 => "–".to_string(),
            some => format!("{some:.0}"),
        };
        Row::new([
            number,
            what,
            minutes(split.set_up),
            minutes(split.cutting),
            minutes(split.handling),
            minutes(split.checking),
            minutes(split.total()),
        ])
    };
    let before = Split { set_up: plan.times.before, ..Split::default() };
    let mut rows = vec![row(String::new(), "Before the first chip: papers, tools, readings".into(), before)];
    rows.extend(plan.times.operations.iter().map(|time| {
        let together = if time.at_once > 1 && lot.pieces() > 1 {
            format!(", {} at once", time.at_once.min(lot.pieces()))
        } else {
            String::new()
        };
        row(time.number.to_string(), format!("{}{together}", time.title), time.of(lot))
    }));
    rows.push(row(String::new(), "All".into(), plan.price.minutes).tone(Tone::Strong));
    Table {
        columns: vec![
            Column::figures(),
            Column::words(1.0),
            Column::figures(),
            Column::figures(),
            Column::figures(),
            Column::figures(),
            Column::figures(),
        ],
        header: vec![
            "".into(),
            "operation; times in minutes".into(),
            "set-up".into(),
            "cutting".into(),
            "handling".into(),
            "checking".into(),
            "all".into(),
        ],
        rows,
    }
}

fn metals(work: &Work<'_>) -> Table {
    let row = |metal: &Metal| {
        let mass = metal.each_kg.map_or_else(|| "not known".to_string(), |mass| mass.sentence(work.unit()));
        let from = if metal.on_rack { "off the rack" } else { "to be bought" };
        let what = format!("{}, {}", super::findings::capital(&metal.what), metal.material);
        Row::new([what, metal.size.clone(), from.to_string(), mass])
    };
    Table {
        columns: vec![Column::words(1.0), Column::words(1.3), Column::words(0.7), Column::figures()],
        header: vec!["".into(), "sawn to".into(), "".into(), "each".into()],
        rows: work.plan.metals.iter().map(row).collect(),
    }
}

/// What the blank is larger by, and what its mass counts.
fn allowed(work: &Work<'_>) -> String {
    let allowed = &work.plan.blank.allowances;
    let allowances: Vec<String> = [
        (
            if matches!(work.plan.blank.body, Body::Flat { .. }) {
                "round the profile"
            } else {
                "on the diameter for turning"
            },
            allowed.turning,
        ),
        ("on the length for facing both sides", allowed.facing),
        ("on the length to hold it by", allowed.holding),
        ("for the saw cut", allowed.sawing),
    ]
    .into_iter()
    .filter(|(_, length)| length.mm() > 0.0)
    .map(|(what, length)| format!("{} {what}", print::length(length, work.unit(), 1)))
    .collect();
    format!(
        "Allowed on the blank: {} (common practice). The mass is that of the bar or slab it is sawn off, as it stands, with the saw cut.",
        allowances.join(", ")
    )
}

fn costs(work: &Work<'_>, cost: &Cost) -> Table {
    let price = &work.plan.price;
    let charges = &work.shop.charges;
    let mut rows = Vec::new();
    let mut row = |what: String, how: String, money: Money| rows.push(Row::new([what, how, money.to_string()]));
    let hour = charges.hour.unwrap_or_default();
    row("Time".into(), format!("{} at {} an hour", price.minutes.total(), amount(hour, &price.currency)), cost.time);
    for metal in &cost.metal {
        let how = format!("{} of {}, {:.2} kg", metal.blanks, metal.material, metal.kilograms);
        row(format!("Metal: {}", metal.what), how, metal.money);
    }
    for outside in &cost.outside {
        row(format!("Outside: {}", outside.what), "from the job file".into(), outside.money);
    }
    if cost.margin > Money::ZERO {
        let percent = charges.margin_percent.unwrap_or(0.0);
        row("Margin".into(), format!("{} in 100 of the above", print::number(percent)), cost.margin);
    }
    if cost.raised > Money::ZERO {
        let least = charges.minimum.unwrap_or_default();
        row("Up to the smallest charge".into(), amount(least, &price.currency), cost.raised);
    }
    rows.push(Row::new(["All".to_string(), lot_in_words(price.ordered), cost.total.to_string()]).tone(Tone::Strong));
    Table { columns: vec![Column::words(1.0), Column::words(1.4), Column::figures()], header: Vec::new(), rows }
}

fn asked_in_words(price: &Price) -> Rich {
    let Some(asked) = price.asked else { return Rich::new() };
    let word = |money| amount(money, &price.currency);
    let mut parts = Vec::new();
    if asked.fitted.count > 0 {
        parts.push(match asked.fitted.count {
            1 => format!("{} for the piece", word(asked.fitted.sum)),
            count => format!("{} for {}, {} each", word(asked.fitted.sum), pieces(count), word(asked.fitted.each)),
        });
    }
    if asked.spares.count > 0 {
        parts.push(match (asked.spares.count, asked.spares.sum) {
            (_, Money::ZERO) => "nothing more for the spares, which the smallest charge covers".to_string(),
            (1, sum) => format!("{} for the spare", word(sum)),
            (count, sum) => format!("{} for {count} spares, {} each", word(sum), word(asked.spares.each)),
        });
    }
    Rich::new()
        .strong(format!("Asked: {}. ", word(asked.total)))
        .plain(format!("{}.", super::findings::capital(&parts.join("; "))))
}

/// What the customer was asked elsewhere, against what is asked here.
fn compared(there: &Comparison, price: &Price) -> Rich {
    let word = |money| amount(money, &price.currency);
    let each = |each: Money, count: u32| if count > 1 { format!(", {} each", word(each)) } else { String::new() };
    let here_each = there.here_each_as_ordered;
    let share = |part: Money, of: Money| 100.0 * part.cents() as f64 / (of.cents().max(1)) as f64;
    Rich::new().strong("Elsewhere ").plain(format!(
        "the customer was asked {} for {}{}. As many made here come to {}, {:.0} in 100 of that; as ordered, {} each, a piece is {:.0} in 100 of a piece there.",
        word(there.there.price),
        pieces(there.there.pieces),
        each(there.there_each, there.there.pieces),
        word(there.here_for_as_many),
        share(there.here_for_as_many, there.there.price),
        word(here_each),
        share(here_each, there.there_each),
    ))
}
