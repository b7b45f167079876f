//! What each reading shows on a rim of given flanks, and the rim's drawn outline.
//!
//! These forms take any flanks, worn and unlikely ones too, since the search passes through them; whether a span really
//! lands on flank or a pin really touches is [`geometry::toothing::Toothing`]'s to say, once a design is settled. The
//! conformance tests hold both against virtual instruments laid on the drawn outline.

use std::f64::consts::{FRAC_PI_2, PI};

use geometry::involute::{inv_at, inverse_inv};

/// A toothing by its flanks alone, in millimetres: what readings depend on, whatever it is called. Radii and angles are of the
/// transverse section, base pitch and thickness are square to the teeth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Flanks {
    pub teeth: f64,
    pub base_radius: f64,
    /// Half the angle that a tooth takes on the base circle.
    pub base_half_angle: f64,
    pub tip_radius: f64,
    pub root_radius: f64,
    /// The angle that the teeth turn by for each millimetre along the axis; none of spur teeth.
    pub twist: f64,
    /// How wide they are, infinite where that is not known: only leaning teeth ask.
    pub face: f64,
}

impl Flanks {
    /// One shape, within what shop instruments can tell: base pitches within 0.01 %, as thick within two and tips within five
    /// thousandths of the base pitch.
    pub fn is_same(&self, other: &Flanks) -> bool {
        let pitch = self.base_pitch();
        let near = |a: f64, b: f64, within: f64| (a - b).abs() <= within * pitch;
        self.teeth == other.teeth
            && near(self.base_pitch(), other.base_pitch(), 1e-4)
            && near(self.base_radius, other.base_radius, 5e-3)
            && near(self.base_thickness(), other.base_thickness(), 2e-3)
            && near(self.tip_radius, other.tip_radius, 5e-3)
    }

    /// p_bn = 2π r_b cos β_b / z (ISO 21771:2007).
    pub fn base_pitch(&self) -> f64 {
        2.0 * PI * self.base_radius / self.teeth * self.cos_base_helix()
    }

    /// s_bn = 2 r_b ψ_b cos β_b.
    pub fn base_thickness(&self) -> f64 {
        2.0 * self.base_radius * self.base_half_angle * self.cos_base_helix()
    }

    /// tan β_y = r_y τ (ISO 21771:2007), with τ the twist; at the tips, where it can be seen.
    pub fn helix_at_tips(&self) -> f64 {
        (self.twist * self.tip_radius).atan()
    }

    /// cos β at a radius.
    fn cos_helix(&self, radius: f64) -> f64 {
        if self.twist == 0.0 { 1.0 } else { 1.0 / 1.0_f64.hypot(self.twist * radius) }
    }

    fn cos_base_helix(&self) -> f64 {
        self.cos_helix(self.base_radius)
    }

    /// The angle that the teeth turn by over their width.
    fn sweep(&self) -> f64 {
        if self.twist == 0.0 { 0.0 } else { self.twist * self.face }
    }

    /// W_k = (k − 1) p_bn + s_bn (ISO 21771:2007).
    pub fn span(&self, teeth: u32) -> f64 {
        f64::from(teeth - 1) * self.base_pitch() + self.base_thickness()
    }

    /// Where a span touches the flanks: r² = r_b² + (W cos β_b/2)² (ISO 21771:2007).
    pub fn span_contact(&self, teeth: u32) -> f64 {
        self.base_radius.hypot(0.5 * self.span(teeth) * self.cos_base_helix())
    }

    /// How far apart along the axis the two contacts of a span lie: W sin β_b.
    pub fn span_leans(&self, teeth: u32) -> f64 {
        self.span(teeth) * (self.twist * self.base_radius).atan().sin()
    }

    /// Where a pin touches: r² = r_b² + (√(r_K² − r_b²) − D cos β_b/2)².
    pub fn pin_contact(&self, pin: f64) -> f64 {
        let along = (self.pin_centre(pin).powi(2) - self.base_radius.powi(2)).max(0.0).sqrt();
        self.base_radius.hypot(along - 0.5 * pin * self.cos_base_helix())
    }

    /// Centre of a pin of diameter D in a space: inv φ = D/(2 r_b cos β_b) − (π/z − ψ_b), r = r_b / cos φ (ISO 21771:2007).
    pub fn pin_centre(&self, pin: f64) -> f64 {
        let involute =
            0.5 * pin / (self.base_radius * self.cos_base_helix()) - (PI / self.teeth - self.base_half_angle);
        inverse_inv(involute).map_or(f64::NAN, |angle| self.base_radius / angle.cos())
    }

    pub fn over_pins(&self, pin: f64) -> f64 {
        2.0 * self.pin_centre(pin) * self.apart_from_opposite(0.0).cos() + pin
    }

    pub fn centre_to_outside_of_pin(&self, pin: f64) -> f64 {
        self.pin_centre(pin) + 0.5 * pin
    }

    /// Half the angle by which two places of this half width fail to lie opposite on an odd count: 90°/z less what they are wide, and
    /// less half of what leaning teeth turn by over their width.
    fn apart_from_opposite(&self, half_width: f64) -> f64 {
        if self.teeth % 2.0 == 0.0 {
            return 0.0;
        }
        (FRAC_PI_2 / self.teeth - half_width - 0.5 * self.sweep()).max(0.0)
    }

    /// Half the angle a tooth takes at a radius: ψ = ψ_b − inv(arccos(r_b/r)).
    fn half_angle(&self, radius: f64) -> f64 {
        self.base_half_angle - inv_at(radius / self.base_radius)
    }

    /// What caliper jaws rocked to their largest show: on an odd count they touch the near corners of two tip lands.
    pub fn over_the_tips(&self) -> f64 {
        if self.teeth % 2.0 == 0.0 {
            return 2.0 * self.tip_radius;
        }
        let land = self.half_angle(self.tip_radius).max(0.0);
        2.0 * self.tip_radius * self.apart_from_opposite(land).cos()
    }

    /// From tip to tip, middle to middle.
    pub fn chord_across(&self, pitches: u32) -> f64 {
        2.0 * self.tip_radius * (f64::from(pitches) * PI / self.teeth).sin()
    }

    /// The chord of the tooth, square to it, at a depth below the tip, as the tooth caliper is set: r_a − r + r_v (1 − cos φ) = H with
    /// r_v = r/cos² β and φ = ψ(r) cos³ β.
    pub fn thickness_at_depth(&self, depth: f64) -> f64 {
        let at = |radius: f64| {
            let cos = self.cos_helix(radius);
            (radius / (cos * cos), self.half_angle(radius) * cos.powi(3))
        };
        let mut radius = self.tip_radius - depth;
        // the chord lies below its arc by a small part of the depth: each round gains two figures
        for _ in 0..8 {
            let (virtual_radius, half) = at(radius);
            let next = self.tip_radius - depth + virtual_radius * (1.0 - half.cos());
            let step = next - radius;
            radius = next;
            if step.abs() < 1e-10 {
                break;
            }
        }
        let (virtual_radius, half) = at(radius);
        if radius < self.base_radius { f64::NAN } else { 2.0 * virtual_radius * half.sin() }
    }
}

#[cfg(test)]
mod tests {
    use geometry::toothing::{Helix, Rack, Toothing, ToothingSpec};
    use proptest::prelude::*;
    use quantity::{Angle, Length};

    use super::*;

    fn flanks_of(wheel: &Toothing) -> Flanks {
        Flanks {
            teeth: f64::from(wheel.teeth()),
            base_radius: wheel.base_diameter().mm() / 2.0,
            base_half_angle: wheel.base_thickness() / wheel.base_diameter(),
            tip_radius: wheel.tip_diameter().mm() / 2.0,
            root_radius: wheel.root_diameter().mm() / 2.0,
            twist: wheel.lead().map_or(0.0, |lead| 2.0 * PI / lead.mm()),
            face: wheel.spec().helix.and_then(|helix| helix.face).map_or(f64::INFINITY, |face| face.mm()),
        }
    }

    proptest! {
        /// What the search presumes of flanks is what the toothing of the same sizes has, straight or leaning.
        #[test]
        fn as_the_toothing_has_it(
            (teeth, module, alpha) in (12_u32..80, 0.5_f64..5.0, 14.5_f64..25.0),
            beta in prop_oneof![Just(0.0), 2.0_f64..45.0],
            face in prop_oneof![Just(None), (1.0_f64..60.0).prop_map(Some)],
            shift in -0.2_f64..0.5,
            pin in 1.5_f64..2.1,
        ) {
            let rack = Rack { pressure_angle: Angle::from_degrees(alpha), addendum: 1.0, dedendum: 1.25, tip_radius: 0.2 };
            let helix = Helix { angle: Angle::from_degrees(beta), face: face.map(Length::from_mm) };
            let spec = ToothingSpec {
                teeth, module: Length::from_mm(module), rack, profile_shift: shift, thinning: Length::ZERO,
                tip_diameter: None, helix: (beta > 0.0).then_some(helix),
            };
            let Ok(wheel) = Toothing::new(spec) else { return Ok(()) };
            let flanks = flanks_of(&wheel);
            let pin = Length::from_mm(pin * module);
            let depth = Length::from_mm(0.9 * module);
            let pairs = [
                (Some(wheel.normal_base_pitch()), flanks.base_pitch()),
                (Some(wheel.span(3)), flanks.span(3)),
                (Some(wheel.span_contact_radius(3)), flanks.span_contact(3)),
                (wheel.over_pins(pin).ok(), flanks.over_pins(pin.mm())),
                (wheel.pin_contact_radius(pin).ok(), flanks.pin_contact(pin.mm())),
                (Some(wheel.across_tips()), flanks.over_the_tips()),
                (wheel.thickness_at_depth(depth).ok(), flanks.thickness_at_depth(depth.mm())),
            ];
            for (at, (wheel, flanks)) in pairs.into_iter().enumerate() {
                let Some(wheel) = wheel else { continue };
                prop_assert!((wheel.mm() - flanks).abs() < 1e-8 * wheel.mm(), "{at}: {wheel:?} {flanks}");
            }
            let at_tips = wheel.helix_at(wheel.tip_diameter() / 2.0).radians();
            prop_assert!((at_tips - flanks.helix_at_tips()).abs() < 1e-12);
        }
    }
}
