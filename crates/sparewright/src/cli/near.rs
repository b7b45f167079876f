//! `sparewright near V`

use making::shop::Shop;
use quantity::{Length, Unit, print, read_size};
use serde_json::{Value, json};

use super::{Outcome, Refusal, ShopChoice, say, say_json};
use crate::problems::{self, Dress};
use crate::shop::bench;

#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// A size as it is written at the bench: 2.301, 58.45 mm, "1 3/8", "45 thou", "#40"
    #[arg(allow_hyphen_values = true)]
    size: String,
    /// How far to look on each side; one fiftieth of the size unless given
    #[arg(long, value_name = "SIZE")]
    within: Option<String>,
    /// Print the result as JSON
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    shop: ShopChoice,
}

/// A size that there is.
struct Near {
    what: &'static str,
    label: String,
    size: Length,
    owned: bool,
}

/// How far to look, unless told: this part of the size.
const REACH: f64 = 0.02;

pub fn run(arguments: &Arguments) -> Outcome {
    let shop = arguments.shop.open(std::env::current_dir().ok().as_deref())?;
    let size = |name: &str, text: &str| {
        read_size(text, &bench(shop.unit, &shop.instruments))
            .map_err(|problem| Refusal(problems::render(name, text, &[problem], Dress::of_stderr())))
    };
    let wanted = size("size", &arguments.size)?;
    let reach = match &arguments.within {
        Some(text) => size("--within", text)?.length,
        None => wanted.length * REACH,
    };
    let mut near: Vec<Near> = all(&shop)
        .into_iter()
        .filter(|near| (near.size - wanted.length).abs() <= reach + Length::from_mm(1e-9))
        .collect();
    near.sort_by(|a, b| a.size.mm().total_cmp(&b.size.mm()).then(a.what.cmp(b.what)));
    if arguments.json {
        let rows: Vec<Value> =
            near.iter().map(|n| json!({"what": n.what, "label": n.label, "size_mm": n.size.mm(), "off_mm": (n.size - wanted.length).mm(), "owned": n.owned})).collect();
        return say_json(&json!({"size_mm": wanted.length.mm(), "near": rows}));
    }
    let unit = wanted.unit();
    let mut out = format!("{wanted}: {}\n\n", print::both(wanted.length, Unit::Inch, 3));
    for n in &near {
        let owned = if n.owned { "owned" } else { "" };
        out.push_str(&format!(
            "  {:<9} {:<12} {:>12} {:>12}   {:>9}  {owned}\n",
            n.what,
            n.label,
            print::length(n.size, Unit::Inch, 3),
            print::length(n.size, Unit::Millimetre, 3),
            print::signed(n.size - wanted.length, unit, 3),
        ));
    }
    if near.is_empty() {
        out.push_str("  Nothing standard lies that near; look further with --within.\n");
    }
    say(&out)
}

fn all(shop: &Shop) -> Vec<Near> {
    let owned_drill = |size: Length| shop.drawers.drills.iter().any(|drill| (drill.diameter - size).abs().mm() < 1e-6);
    let mut out: Vec<Near> = standards::drills()
        .iter()
        .map(|drill| Near {
            what: "drill",
            label: drill.label(),
            size: drill.diameter,
            owned: owned_drill(drill.diameter),
        })
        .collect();
    out.extend(shop.drawers.reamers.iter().map(|tool| Near {
        what: "reamer",
        label: tool.label.clone(),
        size: tool.diameter,
        owned: true,
    }));
    out.extend(shop.drawers.end_mills.iter().map(|tool| Near {
        what: "end mill",
        label: tool.label.clone(),
        size: tool.diameter,
        owned: true,
    }));
    out.extend(shop.drawers.pins.iter().map(|&pin| Near {
        what: "pin",
        label: print::length(pin, shop.unit, 3),
        size: pin,
        owned: true,
    }));
    out.extend((1..=64 * 8).map(|count| Length::from_inches(f64::from(count) / 64.0)).map(|size| Near {
        what: "fraction",
        label: format!("{} in", print::fraction(size, 64)),
        size,
        owned: false,
    }));
    out.extend((1..=400).map(|halves| Length::from_mm(f64::from(halves) / 2.0)).map(|size| Near {
        what: "metric",
        label: format!("{} mm", print::number(size.mm())),
        size,
        owned: false,
    }));
    out
}
