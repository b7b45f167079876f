//! The shop in plain tables: what it owns and what it charges. Edits are made in the shop file's own text, so that what
//! is written beside them stays.

pub mod cell;
pub mod edit;
pub mod row;
pub mod sections;
pub mod show;
pub mod text;

use record::By;

use super::answer::Answer;
use super::state::App;
use crate::shop::BUILT_IN;

/// The shop file as it is kept, and its version; 0 for the one that came with the program.
pub async fn kept(app: &App) -> Answer<(u32, String)> {
    let kept = app.kept(|store| store.shop()).await?;
    Ok(kept.map_or_else(|| (0, BUILT_IN.to_string()), |kept| (kept.version, kept.text)))
}

/// Keeps another text of the shop that was made from `base`.
pub async fn keep(app: &App, base: u32, text: String, what: String, who: String) -> Answer<record::Saved> {
    app.kept({
        let app = app.clone();
        move |store| {
            let mut base = base;
            if base == 0 && store.shop()?.is_none() {
                // its history begins with what it was before anybody changed it
                let first = record::Edit { base: 0, text: BUILT_IN, what: "came with the program" };
                store.save_shop(first, By::now(&who))?;
                base = 1;
            }
            // what was seen before the first change was that state
            let saved = store.save_shop(record::Edit { base: base.max(1), text: &text, what: &what }, By::now(&who))?;
            app.reload_shop()?;
            Ok(saved)
        }
    })
    .await
}
