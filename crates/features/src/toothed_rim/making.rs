//! What has to be cut for a rim.

use geometry::generate::ToothProfile;
use geometry::toothing::Toothing;
use part::{Cut, HelixWork, SpacePoint, TeethWork, Work};
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
            helix: helix(design),
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
            space: design
                .toothing
                .as_ref()
                .ok()
                .and_then(|toothing| as_fed(toothing, extra_depth(design)))
                .and_then(|toothing| toothing.virtual_spur())
                .map(|spur| space(&spur))
                .unwrap_or_default(),
        }),
    }]
}

fn helix(design: &RimDesign) -> Option<HelixWork> {
    let toothing = design.toothing.as_ref().ok()?;
    Some(HelixWork {
        angle: design.helix?,
        hand: design.hand,
        lead: toothing.lead()?,
        virtual_teeth: toothing.virtual_teeth(),
    })
}

/// The teeth with the root where the cutter leaves it. What thins them for backlash is the rack fed deeper, so that a space as wide
/// as that is as deep too: a cutter ground to it is right at the depth that is found.
fn as_fed(toothing: &Toothing, deeper: Length) -> Option<Toothing> {
    let mut spec = *toothing.spec();
    spec.rack.dedendum += deeper / spec.module;
    Toothing::new(spec).ok()
}

/// One side of the space that a cutter fed straight in leaves. Where the generated root is undercut, it cannot follow: there it is as
/// narrow as the narrowest place above.
fn space(toothing: &Toothing) -> Vec<SpacePoint> {
    /// Points of fillet and flank each: on a space of ten millimetres chords keep to a hundredth of a micrometre.
    const POINTS: u32 = 48;
    let tooth = ToothProfile::new(toothing);
    let root = toothing.root_diameter().mm() / 2.0;
    // the middle of the space lies half a pitch from that of the tooth, which is on the y axis
    let (sin, cos) = (toothing.angular_pitch().radians() / 2.0).sin_cos();
    let at = |step: u32| f64::from(step) / f64::from(POINTS);
    let sides = (0..=POINTS).map(|step| tooth.fillet(at(step))).chain((1..=POINTS).map(|step| tooth.flank(at(step))));
    let mut points: Vec<SpacePoint> = sides
        .map(|p| SpacePoint {
            // the root is ground flat: the root circle falls away from the middle by a hair
            height: Length::from_mm((p.x * sin + p.y * cos - root).max(0.0)),
            half_width: Length::from_mm(p.y * sin - p.x * cos),
        })
        .collect();
    let mut narrowest = Length::from_mm(f64::MAX);
    for point in points.iter_mut().rev() {
        narrowest = narrowest.min(point.half_width);
        point.half_width = narrowest;
    }
    points
}

#[cfg(test)]
mod tests {
    use geometry::toothing::{Rack, ToothingSpec};
    use quantity::Angle;

    use super::*;

    fn toothing(teeth: u32) -> Toothing {
        let rack = Rack { pressure_angle: Angle::from_degrees(20.0), addendum: 1.0, dedendum: 1.25, tip_radius: 0.3 };
        let module = Length::from_mm(2.0);
        let spec = ToothingSpec {
            teeth,
            module,
            rack,
            profile_shift: 0.0,
            thinning: Length::ZERO,
            tip_diameter: None,
            helix: None,
        };
        Toothing::new(spec).expect("a toothing")
    }

    /// The space is as deep as the teeth are high, and as wide on the pitch circle as a tooth is thick: d sin(90°/z).
    #[test]
    fn the_space_is_the_rest_of_the_pitch() {
        let points = space(&toothing(30));
        let tip = points.last().expect("points");
        let at_tip = (tip.half_width.mm().powi(2) + (tip.height.mm() + 27.5).powi(2)).sqrt();
        assert!((at_tip - 32.0).abs() < 1e-9, "{at_tip}");
        let radius = |point: &SpacePoint| point.half_width.mm().hypot(point.height.mm() + 27.5);
        let pair = points.windows(2).find(|pair| radius(&pair[0]) <= 30.0 && radius(&pair[1]) >= 30.0).expect("pitch");
        let share = (30.0 - radius(&pair[0])) / (radius(&pair[1]) - radius(&pair[0]));
        let half = pair[0].half_width.mm() + share * (pair[1].half_width.mm() - pair[0].half_width.mm());
        assert!((half - 60.0 * (std::f64::consts::FRAC_PI_2 / 30.0).sin() / 2.0).abs() < 1e-4, "{half}");
    }

    /// Thinned by t, a space is that of full teeth with the cutter fed t/(2 tan α) deeper: as deep as that, and everywhere
    /// as wide as the full one is so much higher up, but for what the involute bends in between.
    #[test]
    fn a_thinned_space_is_a_full_one_fed_deeper() {
        let full = toothing(30);
        let thinning = Length::from_mm(0.1);
        let thin = Toothing::new(ToothingSpec { thinning, ..*full.spec() }).expect("a toothing");
        let deeper = thinning / (2.0 * full.spec().rack.pressure_angle.tan());
        let (of_full, of_thin) = (space(&full), space(&as_fed(&thin, deeper).expect("a toothing")));
        // its corners lie on the tip circle, 32 mm from the axis, counted from a root that lies so much deeper
        let tip = of_thin.last().expect("points");
        let at_tip = tip.half_width.mm().hypot(tip.height.mm() + 27.5 - deeper.mm());
        assert!((at_tip - 32.0).abs() < 1e-6, "{at_tip}");
        let width = |points: &[SpacePoint], height: f64| {
            let at = points.iter().find(|point| point.height.mm() >= height).expect("so high");
            at.half_width.mm() * 2.0
        };
        // at the pitch circle, 2.5 mm over the full root, a space is wider by all of the thinning
        let there = 2.5 + deeper.mm();
        assert!((width(&of_thin, there) - width(&of_full, 2.5) - 0.1).abs() < 0.03, "{}", width(&of_thin, there));
    }

    #[test]
    fn a_cutter_fed_straight_in_can_cut_it() {
        for teeth in [8, 12, 17, 60, 400] {
            let points = space(&toothing(teeth));
            assert!(points.windows(2).all(|pair| pair[0].half_width <= pair[1].half_width), "{teeth}");
            assert!(
                points.iter().all(|point| point.half_width > Length::ZERO && point.height > Length::from_mm(-1e-9))
            );
        }
    }
}
