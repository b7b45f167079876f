//! `sparewright explain KIND` and `sparewright shop`

use std::path::PathBuf;

use quantity::nearest;

use super::{Outcome, Refusal, ShopChoice, say};
use crate::shop;

#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// A kind of feature, such as "toothed rim"; without it, the kinds there are
    kind: Option<String>,
}

#[derive(Debug, clap::Args)]
pub struct ShopArguments {
    /// A shop file to check and print; without it the built-in small shop, to copy and change
    shop: Option<PathBuf>,
}

pub fn run(arguments: &Arguments) -> Outcome {
    let kinds = features::kinds();
    let names = || kinds.iter().map(|kind| kind.name());
    let Some(wanted) = &arguments.kind else {
        return say(&format!(
            "Kinds of features: {}.\nExplain one with: sparewright explain \"toothed rim\"\n",
            names().collect::<Vec<_>>().join(", ")
        ));
    };
    match kinds.iter().find(|kind| kind.name().eq_ignore_ascii_case(wanted)) {
        Some(kind) => say(&format!("{}{OF_EVERY_KIND}", kind.help())),
        None => {
            let hint = nearest(wanted, names()).map_or_else(
                || format!("There are: {}.", names().collect::<Vec<_>>().join(", ")),
                |meant| format!("Did you mean \"{meant}\"?"),
            );
            Err(Refusal(format!("No kind of feature is called \"{wanted}\". {hint}")))
        }
    }
}

/// What [`part::common`] has.
const OF_EVERY_KIND: &str = "
Every feature takes two lines more: `thickness V`, the part's own where it has no length, and `note …`, kept and printed. Behind a value may stand
the instrument (`, micrometer`), the word `worn` where the place is, and a remark in parentheses.
";

pub fn shop(arguments: &ShopArguments) -> Outcome {
    match &arguments.shop {
        None => say(shop::BUILT_IN),
        Some(path) => {
            let choice = ShopChoice { shop: Some(path.clone()) };
            let owned = choice.open(None)?;
            say(&format!(
                "{} reads well: {} drills, {} reamers, {} machines.\n",
                path.display(),
                owned.drawers.drills.len(),
                owned.drawers.reamers.len(),
                owned.machines.len()
            ))
        }
    }
}
