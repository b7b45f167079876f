//! The new teeth and their mate in mesh, to scale.

use design::tooth::Running;
use kurbo::Size;
use pack::Block;

use super::super::Work;
use crate::designed::teeth::DesignedTeeth;

pub fn blocks(_work: &Work<'_>, _one: &DesignedTeeth<'_>, _running: &Running, _room: Size) -> Vec<Block> {
    Vec::new()
}
