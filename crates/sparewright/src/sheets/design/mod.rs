//! The design sheet: how the part sits and runs in the machine, and what that asks of it. A file for each section.

mod fit_picture;
mod joints;
mod mesh_picture;
mod teeth;

use pack::{Block, Sheet};

use super::{Work, sheet as blank};

/// None where no section has anything to say.
pub fn sheet(work: &Work<'_>) -> Option<Sheet> {
    let sections = [joints::section(work), teeth::section(work)];
    let blocks: Vec<Block> = sections.into_iter().flatten().collect();
    if blocks.is_empty() {
        return None;
    }
    let mut out = blank("Design", "how it sits and runs in the machine, and what that asks of it");
    out.blocks.extend(super::stop(work));
    out.blocks.extend(blocks);
    Some(out)
}
