//! The design sheet: how the new part sits and runs with what stays in the machine, and what it carries.

mod mesh_picture;
mod teeth;

use pack::Sheet;

use super::{Work, sheet as blank};

/// None where nothing is asked of the part but its sizes.
pub fn sheet(work: &Work<'_>) -> Option<Sheet> {
    let mut out = blank("Design", "how it runs with what stays in the machine, and what it carries");
    let room = out.room();
    out.blocks.extend(super::stop(work));
    let head = out.blocks.len();
    for one in &work.designed.teeth {
        out.blocks.extend(teeth::blocks(work, one, room));
    }
    (out.blocks.len() > head).then_some(out)
}
