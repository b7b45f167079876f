//! What the shop charges, what it says on a quote, and the minutes it has timed itself.

use std::collections::BTreeMap;

use making::shop::{Charges, MaterialPrice};
use quantity::{Minutes, Money, Problem, nearest, quoted};
use standards::times::Allowance;

use crate::job::material;
use crate::written::{Section, or_note};

/// More than this an hour, or for a kilogram or a job, is a slip of the decimal point in any currency.
pub(crate) const MOST_MONEY: Money = Money::from_cents(1_000_000_000);
/// A margin above this is a slip, too.
const MOST_MARGIN: f64 = 500.0;
const LONGEST_QUOTE_DAYS: u32 = 3_650;
/// A working day on one allowance is none.
const MOST_MINUTES: f64 = 600.0;
const MOST_TERMS: usize = 12;

/// All that is said of money; where nothing is said, there are no prices.
pub(super) fn charges(root: &mut Section<'_>, problems: &mut Vec<Problem>) -> Charges {
    let section = root.section("charges", "the table `charges`", problems);
    let mut charges = section.map(|section| read(section, problems)).unwrap_or_default();
    if let Some(mut section) = root.section("quote", "the table `quote`", problems) {
        charges.quote_holds_days = section.count("holds_days", 1, LONGEST_QUOTE_DAYS, problems);
        let terms = section.list("terms", problems);
        if let Some(too_many) = terms.get(MOST_TERMS) {
            let message = format!("A quote has up to {MOST_TERMS} terms here; this is one more.");
            problems.push(Problem::new(too_many.at(), message, "expected the end of the list"));
        }
        for term in terms.into_iter().take(MOST_TERMS) {
            let text = or_note(term.text(), problems);
            charges.terms.extend(text.and_then(|text| or_note(text.filled(), problems)).map(str::to_string));
        }
        section.finish(problems);
    }
    charges
}

fn read(mut section: Section<'_>, problems: &mut Vec<Problem>) -> Charges {
    let hundredth = Money::from_cents(1);
    let charges = Charges {
        currency: section.text("currency", problems).map(|text| text.value.trim().to_string()).unwrap_or_default(),
        hour: section.money("hour", hundredth, MOST_MONEY, problems),
        minimum: section.money("minimum", Money::ZERO, MOST_MONEY, problems),
        margin_percent: section.number("margin", 0.0, MOST_MARGIN, problems),
        round_to: section.money("round_to", hundredth, MOST_MONEY, problems),
        materials: section
            .section("kilogram", "the table `kilogram`", problems)
            .map(|section| prices(section, problems))
            .unwrap_or_default(),
        ..Charges::default()
    };
    section.finish(problems);
    charges
}

/// `"grey cast iron" = 4.10`
fn prices(section: Section<'_>, problems: &mut Vec<Problem>) -> Vec<MaterialPrice> {
    let mut prices: Vec<MaterialPrice> = Vec::new();
    for (name, value) in section.entries() {
        let (Some(material), Some(per_kilogram)) =
            (or_note(material(&name), problems), or_note(value.money(Money::ZERO, MOST_MONEY), problems))
        else {
            continue;
        };
        if prices.iter().any(|price| price.material == material.name) {
            problems.push(Problem::new(
                name.at(),
                format!("`{}` has two prices.", material.name),
                "expected each material once",
            ));
            continue;
        }
        prices.push(MaterialPrice { material: material.name.clone(), per_kilogram });
    }
    prices
}

/// `"set up lathe" = 10`
pub(super) fn minutes(root: &mut Section<'_>, problems: &mut Vec<Problem>) -> BTreeMap<Allowance, Minutes> {
    let mut out = BTreeMap::new();
    let Some(section) = root.section("minutes", "the table `minutes`", problems) else { return out };
    for (name, value) in section.entries() {
        let Some(allowance) = Allowance::named(name.value) else {
            let problem = Problem::new(
                name.at(),
                format!("{} is no work that minutes are allowed for.", quoted(name.value)),
                "expected a name as \"set up lathe\"",
            );
            problems.push(match nearest(name.value, Allowance::all().map(Allowance::name)) {
                Some(meant) => problem.help(format!("did you mean `{meant}`?")),
                None => {
                    let names: Vec<&str> = Allowance::all().map(Allowance::name).collect();
                    problem.help(format!("known here: {}", names.join(", ")))
                }
            });
            continue;
        };
        let Some(minutes) = or_note(value.number(0.0, MOST_MINUTES), problems) else { continue };
        if out.insert(allowance, Minutes::new(minutes)).is_some() {
            problems.push(Problem::new(
                name.at(),
                format!("{} stands here for the second time.", quoted(name.value)),
                "expected each name once",
            ));
        }
    }
    out
}
