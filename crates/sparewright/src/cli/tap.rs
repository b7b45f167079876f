//! `sparewright tap THREAD`

use making::tapping::{TapDrill, tap_drill};
use serde_json::json;
use standards::{USUAL_PERCENT, thread};

use super::{Outcome, Refusal, ShopChoice, say, say_json};

#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// The thread: M6, "M6 x 0.75", 1/4-20, "#10-32", "1/4 BSW", "2 BA"
    thread: String,
    /// Per cent of the full thread that shall be left
    #[arg(long, value_name = "PER CENT", default_value_t = USUAL_PERCENT)]
    percent: f64,
    /// Print the result as JSON
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    shop: ShopChoice,
}

/// Outside these nobody taps.
const PERCENTS: std::ops::RangeInclusive<f64> = 30.0..=100.0;

pub fn run(arguments: &Arguments) -> Outcome {
    let typed = &arguments.thread;
    let thread = thread(typed).ok_or_else(|| {
        Refusal(format!(
            "{typed:?} is not a thread known here. Write M6, \"M6 x 0.75\", 1/4-20, \"#10-32\", \"1/4 BSW\" or \"2 BA\"."
        ))
    })?;
    if !PERCENTS.contains(&arguments.percent) {
        return Err(Refusal(format!("--percent {}: write a number from 30 to 100.", arguments.percent)));
    }
    let shop = arguments.shop.open(std::env::current_dir().ok().as_deref())?;
    let drill = tap_drill(&thread, arguments.percent, &shop.drawers.drills, shop.unit);
    if arguments.json { say_json(&json!(drill)) } else { say(&text(&drill)) }
}

fn text(drill: &TapDrill) -> String {
    let mut out = format!("{}\n", drill.sentence);
    if !drill.others.is_empty() {
        let others: Vec<String> =
            drill.others.iter().map(|other| format!("{} ({:.0})", other.label, other.percent)).collect();
        out.push_str(&format!("Owned too, with the per cent each leaves: {}.\n", others.join(", ")));
    }
    out.push_str("Per cent is of the full thread, 0.6495 of the pitch deep a side (0.64 Whitworth, 0.6 BA).\n");
    out
}
