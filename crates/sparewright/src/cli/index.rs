//! `sparewright index N`

use making::indexing::{IndexSheet, index_on_any};
use serde_json::json;

use super::{Outcome, Refusal, ShopChoice, say, say_json};

#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// Divisions of the whole circle
    divisions: u32,
    /// Spaces really cut, for a sector: one more than its teeth; all of them unless given
    #[arg(long, value_name = "SPACES")]
    spaces: Option<u32>,
    /// Print the result as JSON
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    shop: ShopChoice,
}

pub fn run(arguments: &Arguments) -> Outcome {
    let shop = arguments.shop.open(std::env::current_dir().ok().as_deref())?;
    let cut = arguments.spaces.unwrap_or(arguments.divisions);
    let sheet = index_on_any(arguments.divisions, cut, &shop.dividing).map_err(Refusal)?;
    if arguments.json { say_json(&json!(sheet)) } else { say(&text(&sheet)) }
}

fn text(sheet: &IndexSheet) -> String {
    let mut out = format!("{}\n{}\n", sheet.sentence(), sheet.why);
    if let Some(caution) = sheet.caution() {
        out.push_str(&format!("{caution}\n"));
    }
    if !sheet.others.is_empty() {
        let others: Vec<String> = sheet.others.iter().map(|setting| setting.short()).collect();
        out.push_str(&format!("Exact too: {}.\n", others.join("; ")));
    }
    out.push_str("\n  space   turns  holes   pin in hole\n");
    for line in &sheet.lines {
        out.push_str(&format!("  {:>5}   {:>5}  {:>5}   {:>11}\n", line.tooth, line.turns, line.holes, line.pin_hole));
    }
    out
}
