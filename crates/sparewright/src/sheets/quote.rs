//! The quote: a paper of its own for the customer, in plain words, with none of the shop's inner figures.

use making::price::{Asked, Price};
use making::{Pieces, Plan};
use pack::{Block, Column, Pack, Rich, Row, Sheet, Table, Tone};
use quantity::Money;

use super::money::{amount, caption, in_words, plot};
use super::{Work, sheet as blank};
use crate::planned;
use crate::sheets::operations::unsafe_to_cut;

/// None where there is no price, for a quote promises one.
pub fn quote(work: &Work<'_>) -> Option<Pack> {
    let asked = work.plan.price.asked?;
    Some(Pack {
        title: work.solved.job.title.clone(),
        subtitle: format!(
            "{}, of {}",
            super::price::lot_in_words(work.plan.price.ordered),
            planned::material(work.solved)
        ),
        date: work.date.clone(),
        reference: String::new(),
        shop: work.shop.name.clone(),
        footer: String::new(),
        sheets: vec![sheet(work, asked)],
    })
}

fn sheet(work: &Work<'_>, asked: Asked) -> Sheet {
    let plan = work.plan;
    let price = &plan.price;
    let mut out = blank("Quote", &work.date);
    let blocks = &mut out.blocks;
    if let Some(stop) = &plan.stop {
        let after =
            "We make it only to a drawing that such an engineer has approved. That approval is not in this price.";
        blocks.push(Block::caution("Stop", [Rich::new().wrong(stop.clone()), after.into()]));
    }
    blocks.push(Block::WriteIn { labels: vec!["For".into()] });
    blocks.push(Block::paragraph(opening(work)));
    blocks.push(Block::Table(table(work, asked)));
    blocks.extend(cheaper_together(price).map(Block::paragraph));
    if let Some(drawing) = plot(&price.together).filter(|_| price.together.len() > 1) {
        blocks.push(Block::figure(drawing, Rich::new().quiet(caption(price, "together"))));
    }
    blocks.extend(elsewhere(price).map(Block::paragraph));
    blocks.push(Block::heading("What you get"));
    blocks.extend(what_you_get(work).into_iter().map(Block::paragraph));
    let conditions = conditions(work);
    if !conditions.is_empty() {
        blocks.push(Block::heading("What this rests on"));
        blocks.extend(conditions.into_iter().map(Block::paragraph));
    }
    blocks.push(Block::Space { mm: 4.0 });
    blocks.push(Block::WriteIn { labels: vec!["Ordered".into(), "Date".into(), "For the shop".into()] });
    out
}

fn opening(work: &Work<'_>) -> String {
    let made_of = planned::material(work.solved);
    let original = work.solved.job.material.map(|material| material.name.as_str());
    let metal = match original {
        Some(original) if original != made_of => format!("{made_of} (the old part was {original})"),
        Some(_) | None => made_of.to_string(),
    };
    format!(
        "We offer to make this part anew after the one you brought us, of {metal}, measured piece by piece before it leaves."
    )
}

fn table(work: &Work<'_>, asked: Asked) -> Table {
    let price = &work.plan.price;
    let mut rows = Vec::new();
    let open = work.plan.operations.iter().any(|operation| operation.pieces == Pieces::Fitted);
    if asked.fitted.count > 0 {
        let what = if asked.fitted.count == 1 { "The part, ready to fit" } else { "Parts, ready to fit" };
        rows.push(line(what, asked.fitted.count, asked.fitted.each, asked.fitted.sum));
    }
    if asked.spares.count > 0 {
        let one = asked.spares.count == 1;
        let what = match (one, open) {
            (true, false) => "Spare, made at the same time",
            (false, false) => "Spares, made at the same time",
            (true, true) => "Spare, made at the same time and left open where machines differ",
            (false, true) => "Spares, made at the same time and left open where machines differ",
        };
        rows.push(line(what, asked.spares.count, asked.spares.each, asked.spares.sum));
    }
    rows.push(
        Row::new(["Together".to_string(), String::new(), String::new(), asked.total.to_string()]).tone(Tone::Strong),
    );
    let currency = |what: &str| match price.currency.as_str() {
        "" => what.to_string(),
        currency => format!("{what}, {currency}"),
    };
    Table {
        columns: vec![Column::words(1.0), Column::figures(), Column::figures(), Column::figures()],
        header: vec!["".into(), "pieces".into(), currency("each").into(), currency("in all").into()],
        rows,
    }
}

fn line(what: &str, count: u32, each: Money, sum: Money) -> Row {
    let figures = |money: Money| if money == Money::ZERO { "included".to_string() } else { money.to_string() };
    Row::new([what.to_string(), count.to_string(), figures(each), figures(sum)])
}

/// What one costs alone, and in the lot that was asked for.
fn cheaper_together(price: &Price) -> Option<String> {
    let alone = price.together.first()?;
    let ordered = price.together.iter().find(|point| point.ordered && point.pieces > 1)?;
    (ordered.each < alone.each).then(|| {
        format!(
            "One made alone costs {}. Made together, {} come to {} each: the work of setting up is done once.",
            amount(alone.each, &price.currency),
            in_words(ordered.pieces),
            amount(ordered.each, &price.currency)
        )
    })
}

/// Said to the customer only where a piece made here is the cheaper one.
fn elsewhere(price: &Price) -> Option<String> {
    let there = price.elsewhere.filter(|there| there.here_each_as_ordered < there.there_each)?;
    Some(format!(
        "You told us of a price of {} for {} from someone else; a piece of ours, made as above, is {}.",
        amount(there.there.price, &price.currency),
        in_words(there.there.pieces),
        amount(there.here_each_as_ordered, &price.currency)
    ))
}

fn what_you_get(work: &Work<'_>) -> Vec<String> {
    let plan = work.plan;
    let mut out = Vec::new();
    let left = left_open(plan);
    let spares = plan.price.ordered.spares;
    if spares > 0 && !left.is_empty() {
        let (it, is) = if spares == 1 { ("The spare is", "it") } else { ("The spares are", "one") };
        out.push(format!(
            "{it} finished but for {}, for no two machines are quite alike there. Bring us the part it is fitted to when you need {is}, or have a fitter do it; that work is not in this price.",
            listed(&left)
        ));
    }
    if plan.pieces.iter().any(|piece| !piece.spare && !piece.undone.is_empty()) {
        out.push(
            "The bore is left a little small: it closes in when the part is pressed into its place, and is finished there. That work is not in this price."
                .into(),
        );
    }
    out.push("With the parts comes a sheet of every size we measured, and a label on each piece that says what it is. We keep the record, so that it can be made again.".into());
    out
}

/// Features that are left open in the spares, as the job names them.
fn left_open(plan: &Plan) -> Vec<String> {
    let fitted = plan.operations.iter().filter(|operation| operation.pieces == Pieces::Fitted);
    let mut out: Vec<String> =
        fitted.flat_map(|operation| operation.features.iter().map(|feature| format!("the {feature}"))).collect();
    out.dedup();
    out
}

fn conditions(work: &Work<'_>) -> Vec<String> {
    let mut out = Vec::new();
    let plan = work.plan;
    if plan.operations.iter().any(|operation| operation.pieces == Pieces::Fitted) && plan.price.ordered.fitted > 0 {
        let left = left_open(plan);
        out.push(format!("We need the part it works with in the shop: {} made to match it.", are(&left)));
    }
    if work.solved.features.iter().any(|feature| unsafe_to_cut(feature).is_some()) {
        out.push("Some sizes of the old part are not settled beyond doubt. We measure again before we begin, and tell you if that changes the price.".into());
    }
    out.extend(not_in_the_price(&plan.price.not_counted));
    let charges = &work.shop.charges;
    if let Some(days) = charges.quote_holds_days {
        out.push(format!("This price holds for {days} days from the date above."));
    }
    out.extend(charges.terms.iter().cloned());
    out
}

/// Tools that are lacking are named: what they come to, bought or worked round, the customer must not find out by the bill.
fn not_in_the_price(lacking: &[String]) -> Option<String> {
    /// More names than these are no use to a customer.
    const NAMED: usize = 4;
    let (named, more) = lacking.split_at(lacking.len().min(NAMED));
    let mut all = named.to_vec();
    if !more.is_empty() {
        all.push(format!("{} more", more.len()));
    }
    let (them, cost) = if lacking.len() == 1 { ("it", "it costs") } else { ("them", "they cost") };
    (!all.is_empty()).then(|| {
        format!(
            "Tools that we have not got: {}. What {cost} to buy, or the work of doing without {them}, is not in this price; we tell you before we begin.",
            listed(&all)
        )
    })
}

fn are(all: &[String]) -> String {
    let plural = all.len() > 1 || all.first().is_some_and(|one| one.ends_with('s'));
    format!("{} {}", listed(all), if plural { "are" } else { "is" })
}

/// "a", "a and b", "a, b and c"
fn listed(all: &[String]) -> String {
    match all {
        [] => String::new(),
        [one] => one.clone(),
        [rest @ .., last] => format!("{} and {last}", rest.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use making::shop::Shop;
    use quantity::Money;

    use super::*;
    use crate::job;
    use crate::planned::planned;
    use crate::shop::built_in;
    use crate::solve::solve;

    const PINS: &str = include_str!("../../../../demo/apple-mill-pins.toml");

    /// Everything on the quote, and everything on the shop's own sheet; no quote where there is no price.
    fn papers(job: &str, shop: &Shop) -> (Option<String>, String) {
        let (job, problems) = job::read(job, features::kinds(), &shop.instruments);
        assert_eq!(problems, []);
        let job = job.expect("the job reads");
        let solved = solve(&job, shop);
        let plan = planned(&solved, None, shop);
        let checked = crate::checked::checked(&solved);
        let date = "3 March 2031".into();
        let work = Work { solved: &solved, shape: None, plan: &plan, checked: &checked, shop, date };
        let text = |pack: &Pack| serde_json::to_string(pack).expect("a pack is data");
        let own = Pack { sheets: vec![super::super::price::sheet(&work)], ..Pack::default() };
        (quote(&work).map(|quote| text(&quote)), text(&own))
    }

    /// The customer reads what he pays, and none of the figures it was reckoned from.
    #[test]
    fn a_quote_keeps_the_inner_figures_back() {
        let mut shop = built_in();
        shop.charges.hour = Money::read("61.37");
        shop.charges.margin_percent = Some(13.7);
        let job = PINS.replace("spares = 2 }", "spares = 2, quoted_elsewhere = { price = 888, pieces = 3 } }");
        let (quote, own) = papers(&job, &shop);
        let quote = quote.expect("all is known");
        for inner in ["61.37", "13.7", "Margin", " min", "kg", "set-up", "an hour", "handling"] {
            assert!(own.contains(inner), "the shop's sheet lacks {inner}");
            assert!(!quote.contains(inner), "the quote gives {inner} away");
        }
        for said in ["888 crowns", "holds for 30 days", "Prices without tax.", "made at the same time"] {
            assert!(quote.contains(said), "the quote lacks {said}");
        }
        assert!(own.contains("888 crowns for 3 pieces"));
    }

    #[test]
    fn without_a_rate_there_is_no_quote_and_it_is_said() {
        let mut shop = built_in();
        shop.charges.hour = None;
        let (quote, own) = papers(PINS, &shop);
        assert_eq!(quote, None);
        assert!(own.contains("No price yet") && own.contains("hour = … under [charges]"));
    }

    /// A gear in a size that no cutter is owned for: the customer is told what is not in the price, and nothing where nothing lacks.
    #[test]
    fn what_is_lacking_is_named_on_the_quote() {
        let gear = include_str!("../../../../demo/ropewalk-gear.toml");
        let mut shop = built_in();
        shop.drawers.gear_cutters.clear();
        let quote = papers(gear, &shop).0.expect("all is known");
        assert!(quote.contains("Tools that we have not got: ") && quote.contains("form cutter"), "{quote}");
        assert!(quote.contains("is not in this price; we tell you before we begin"), "{quote}");
        let none = papers(PINS, &built_in()).0.expect("all is known");
        assert!(!none.contains("not got"), "{none}");
    }

    #[test]
    fn a_part_that_can_injure_says_stop_on_its_quote() {
        let job = PINS.replace("spares = 2 }", "spares = 2, serves = \"lifting\" }");
        let quote = papers(&job, &built_in()).0.expect("all is known");
        assert!(quote.contains("STOP. This part serves lifting") && quote.contains("approval is not in this price"));
    }
}
