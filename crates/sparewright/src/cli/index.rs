//! `sparewright index N`

use clap::ValueEnum;
use making::indexing::{AngleSheet, Division, IndexSheet, Method, angle_on_any, index_on_any, read_arc};
use quantity::{Length, read_size};
use serde_json::json;

use super::{Outcome, Refusal, ShopChoice, say, say_json};
use crate::shop::bench;

#[derive(Debug, clap::Args)]
#[command(allow_negative_numbers = true)]
pub struct Arguments {
    /// Divisions of the whole circle
    #[arg(required_unless_present = "angle", conflicts_with = "angle", value_parser = count)]
    divisions: Option<u32>,
    /// Spaces really cut, for a sector: one more than its teeth; all of them unless given
    #[arg(long, value_name = "SPACES", value_parser = count)]
    spaces: Option<u32>,
    /// Diameter at which errors are told in micrometres too, as the pitch circle's: 4.4, "112 mm"
    #[arg(long, value_name = "DIAMETER")]
    rim: Option<String>,
    /// By this method alone
    #[arg(long, value_name = "METHOD")]
    by: Option<By>,
    /// The move for one angle instead of divisions: "48 deg 40 min", "11.5 deg"
    #[arg(long, value_name = "ANGLE", conflicts_with_all = ["spaces", "rim", "by"])]
    angle: Option<String>,
    /// Print the result as JSON
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    shop: ShopChoice,
}

fn count(typed: &str) -> Result<u32, String> {
    typed.trim().parse().map_err(|_| "a whole number was expected, such as 44; for an angle there is --angle".into())
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum By {
    Simple,
    Direct,
    Angular,
    Compound,
    Differential,
}

impl From<By> for Method {
    fn from(by: By) -> Method {
        match by {
            By::Simple => Method::Simple,
            By::Direct => Method::Direct,
            By::Angular => Method::Angular,
            By::Compound => Method::Compound,
            By::Differential => Method::Differential,
        }
    }
}

pub fn run(arguments: &Arguments) -> Outcome {
    let shop = arguments.shop.open(std::env::current_dir().ok().as_deref())?;
    if let Some(angle) = &arguments.angle {
        let sheet = angle_on_any(read_arc(angle).map_err(Refusal)?, &shop.dividing).map_err(Refusal)?;
        return if arguments.json { say_json(&json!(sheet)) } else { say(&angle_text(&sheet)) };
    }
    let divisions = arguments.divisions.unwrap_or_default();
    let cut = arguments.spaces.unwrap_or(divisions);
    let rim = arguments.rim.as_deref().map(|typed| diameter(typed, shop.unit)).transpose()?;
    let division = Division::new(divisions, cut).at_rim(rim);
    let sheet = index_on_any(&division, &shop.dividing, arguments.by.map(Method::from)).map_err(Refusal)?;
    if arguments.json { say_json(&json!(sheet)) } else { say(&text(&sheet)) }
}

fn diameter(typed: &str, unit: quantity::Unit) -> Result<Length, Refusal> {
    let refuse = |why: &str| Refusal(format!("--rim {typed:?}: {why} Write a diameter, as 4.4 or \"112 mm\"."));
    let size = read_size(typed, &bench(unit, &[])).map_err(|problem| refuse(&problem.message))?.length;
    if size > Length::ZERO { Ok(size) } else { Err(refuse("A diameter is more than nothing.")) }
}

fn text(sheet: &IndexSheet) -> String {
    let mut out = format!("{}\n{}\n", sheet.sentence(), sheet.why);
    if let Some(caution) = sheet.caution() {
        out.push_str(&format!("{caution}\n"));
    }
    if let Some(others) = sheet.others_sentence() {
        out.push_str(&format!("{others}\n"));
    }
    out.push_str("\n  space   move, and where you then stand\n");
    let mut checks = sheet.checks.iter().peekable();
    for line in &sheet.lines {
        let (moved, reading) = (line.sentence(&sheet.setting, sheet.ratio), line.reading(&sheet.setting));
        out.push_str(&format!("  {:>5}   {moved}, {reading}\n", line.space));
        if let Some(check) = checks.next_if(|check| check.space == line.space) {
            out.push_str(&format!("          {}\n", check.sentence));
        }
    }
    for check in checks {
        out.push_str(&format!("          {}\n", check.sentence));
    }
    out
}

fn angle_text(sheet: &AngleSheet) -> String {
    let mut out = format!("{}\n", sheet.sentence);
    if !sheet.others.is_empty() {
        let others: Vec<String> = sheet.others.iter().map(|setting| setting.short(sheet.ratio)).collect();
        out.push_str(&format!("Exact too: {}.\n", others.join("; ")));
    }
    out
}
