//! Bending at the root of a tooth: the form and stress factors of ISO 6336-3, from the root as it is drawn, and Lewis's plain rule.
//!
//! Inside, plain `f64` millimetres and radians.

use geometry::generate::ToothProfile;
use geometry::root::RootSection;
use geometry::toothing::Toothing;
use quantity::{Angle, Length};

/// The angle to the tooth's middle of the line that touches the fillet where it is looked at, for external teeth.
const TANGENT: Angle = Angle::from_degrees(30.0);

/// A tooth that carries the whole load at one place of its flank.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bending {
    /// Where the load stands, from the axis.
    pub load_radius: Length,
    /// The section at the 30° tangent.
    pub section: RootSection,
    /// h_F: from that section to where the load's line crosses the tooth's middle.
    pub arm: Length,
    /// α_F: of the load to a line square to the tooth's middle.
    pub load_angle: Angle,
    pub module: Length,
    pressure_angle: Angle,
}

impl Bending {
    /// `load_radius`: on the flank; the tip, or the outer point of single contact (ISO 6336-3, method B).
    pub fn new(toothing: &Toothing, load_radius: Length) -> Bending {
        let tip = toothing.tip_diameter() / 2.0;
        let load_radius = load_radius.min(tip).max(toothing.form_radius());
        let half = toothing.half_angle_at(load_radius).unwrap_or(Angle::ZERO);
        let at_load = (toothing.base_diameter() / (2.0 * load_radius)).min(1.0).acos();
        let load_angle = at_load - half.radians();
        let section = ToothProfile::new(toothing).section_at_tangent(TANGENT);
        Bending {
            load_radius,
            section,
            arm: toothing.base_diameter() / (2.0 * load_angle.cos()) - section.height,
            load_angle: Angle::from_radians(load_angle),
            module: toothing.module(),
            pressure_angle: toothing.pressure_angle(),
        }
    }

    /// Y_F, the form factor.
    ///
    /// Y_F = 6 (h_F/m) cos α_F / ((s_F/m)² cos α). No unit. Spur teeth. Exact for the section that is taken.
    /// Source: ISO 6336-3:2006, equation 9 (from memory).
    pub fn form_factor(&self) -> f64 {
        let thickness = self.section.thickness / self.module;
        6.0 * (self.arm / self.module) * self.load_angle.cos() / (thickness * thickness * self.pressure_angle.cos())
    }

    /// Y_S, the stress correction factor: the notch of the fillet, and that the load does not only bend.
    ///
    /// Y_S = (1.2 + 0.13 L) q_s^(1/(1.21 + 2.3/L)), L = s_F/h_F, q_s = s_F/(2 ρ_F). No unit. Span 1 ≤ q_s < 8, which it is kept
    /// within. An interpolation of photoelastic results. Source: ISO 6336-3:2006, equation 24 (from memory).
    pub fn stress_correction(&self) -> f64 {
        let slenderness = self.section.thickness / self.arm;
        let notch = (self.section.thickness / (2.0 * self.section.fillet_radius)).clamp(1.0, 8.0);
        (1.2 + 0.13 * slenderness) * notch.powf(1.0 / (1.21 + 2.3 / slenderness))
    }

    /// Root stress of a tangential force on a face width: σ = F_t/(b m) Y_F Y_S, this is Y_F Y_S.
    pub fn factor(&self) -> f64 {
        self.form_factor() * self.stress_correction()
    }
}

/// Lewis's form factor Y for a load at a radius: the largest bar of uniform strength that fits in the tooth as it is drawn.
///
/// Y = s²/(6 h m) cos α/cos α_F, so that σ = W_t/(b m Y); the parabola's apex is where the load's line crosses the tooth's middle.
/// No unit. The last term gives the load its direction; Lewis's own tables leave it out or take it in part, and lie between.
/// Source: W. Lewis 1892 as mechanical engineering textbooks give it.
pub fn lewis_factor(toothing: &Toothing, load_radius: Length) -> f64 {
    let load = Bending::new(toothing, load_radius);
    lewis_without_direction(toothing, &load) * load.pressure_angle.cos() / load.load_angle.cos()
}

/// The same with the load taken as square to the tooth's middle.
pub fn lewis_factor_square(toothing: &Toothing, load_radius: Length) -> f64 {
    lewis_without_direction(toothing, &Bending::new(toothing, load_radius))
}

fn lewis_without_direction(toothing: &Toothing, load: &Bending) -> f64 {
    let apex = toothing.base_diameter() / (2.0 * load.load_angle.cos());
    let section = ToothProfile::new(toothing).section_of_parabola(apex);
    let (thickness, arm) = (section.thickness, apex - section.height);
    (thickness / toothing.module()) * (thickness / arm) / 6.0
}
