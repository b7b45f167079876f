//! What has to be cut for a rim.

use part::{Cut, TeethWork, Work};
use quantity::Length;
use standards::fits::Limits;

use super::checking::{TIP_TOLERANCE, depth_limits, extra_depth, root_limits};
use super::design::RimDesign;

pub fn cuts(design: &RimDesign) -> Vec<Cut> {
    let depth = (design.tip_diameter() - design.root_diameter()) / 2.0;
    vec![Cut {
        feature: design.feature.clone(),
        match_made: false,
        work: Work::Teeth(TeethWork {
            teeth: design.teeth,
            teeth_cut: design.teeth_cut,
            whole: design.whole,
            module: design.module,
            size_label: design.size_label(),
            pressure_angle: design.rack.pressure_angle,
            rack: design.rack_name(),
            blank_diameter: design.tip_diameter(),
            blank_limits: Limits { lower: -(design.module * TIP_TOLERANCE), upper: Length::ZERO },
            root_diameter: design.root_diameter(),
            depth,
            extra_depth: extra_depth(design),
            depth_limits: depth_limits(design),
            root_limits: root_limits(design),
            face_width: design.face_width.map(|width| width.value),
            profile_shift: design.profile_shift,
        }),
    }]
}
