//! What each reading shows on a rim of given flanks, and the rim's drawn outline.
//!
//! These forms take any flanks, worn and unlikely ones too, since the search passes through them; whether a span really
//! lands on flank or a pin really touches is [`geometry::toothing::Toothing`]'s to say, once a design is settled. The
//! conformance tests hold both against virtual instruments laid on the drawn outline.

use std::f64::consts::{FRAC_PI_2, PI};

use geometry::involute::{inv_at, inverse_inv};

/// A toothing by its flanks alone, in millimetres: what readings depend on, whatever it is called.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Flanks {
    pub teeth: f64,
    pub base_radius: f64,
    /// Half the angle that a tooth takes on the base circle.
    pub base_half_angle: f64,
    pub tip_radius: f64,
    pub root_radius: f64,
}

impl Flanks {
    /// One shape, within what shop instruments can tell: base pitches within 0.01 %, as thick within two and tips within five
    /// thousandths of the base pitch.
    pub fn is_same(&self, other: &Flanks) -> bool {
        let pitch = self.base_pitch();
        let near = |a: f64, b: f64, within: f64| (a - b).abs() <= within * pitch;
        self.teeth == other.teeth
            && near(self.base_pitch(), other.base_pitch(), 1e-4)
            && near(self.base_thickness(), other.base_thickness(), 2e-3)
            && near(self.tip_radius, other.tip_radius, 5e-3)
    }

    /// p_b = 2π r_b / z (ISO 21771:2007).
    pub fn base_pitch(&self) -> f64 {
        2.0 * PI * self.base_radius / self.teeth
    }

    /// s_b = 2 r_b ψ_b.
    pub fn base_thickness(&self) -> f64 {
        2.0 * self.base_radius * self.base_half_angle
    }

    /// W_k = (k − 1) p_b + s_b (ISO 21771:2007).
    pub fn span(&self, teeth: u32) -> f64 {
        f64::from(teeth - 1) * self.base_pitch() + self.base_thickness()
    }

    /// Centre of a pin of diameter D in a space: inv φ = D/(2 r_b) − (π/z − ψ_b), r = r_b / cos φ (ISO 21771:2007).
    pub fn pin_centre(&self, pin: f64) -> f64 {
        let involute = 0.5 * pin / self.base_radius - (PI / self.teeth - self.base_half_angle);
        inverse_inv(involute).map_or(f64::NAN, |angle| self.base_radius / angle.cos())
    }

    pub fn over_pins(&self, pin: f64) -> f64 {
        2.0 * self.pin_centre(pin) * self.oddness() + pin
    }

    pub fn centre_to_outside_of_pin(&self, pin: f64) -> f64 {
        self.pin_centre(pin) + 0.5 * pin
    }

    /// cos(90°/z) where opposite a space stands a tooth.
    fn oddness(&self) -> f64 {
        if self.teeth % 2.0 == 0.0 { 1.0 } else { (FRAC_PI_2 / self.teeth).cos() }
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
        2.0 * self.tip_radius * (FRAC_PI_2 / self.teeth - land).max(0.0).cos()
    }

    /// From tip to tip, middle to middle.
    pub fn chord_across(&self, pitches: u32) -> f64 {
        2.0 * self.tip_radius * (f64::from(pitches) * PI / self.teeth).sin()
    }

    /// The chord of the tooth at a depth below the tip, as the tooth caliper is set: r_a − r cos ψ(r) = H.
    pub fn thickness_at_depth(&self, depth: f64) -> f64 {
        let mut radius = self.tip_radius - depth;
        // the chord lies below its arc by r(1 − cos ψ), a small part of the depth: each round gains two figures
        for _ in 0..8 {
            let next = (self.tip_radius - depth) / self.half_angle(radius).cos();
            let step = next - radius;
            radius = next;
            if step.abs() < 1e-10 {
                break;
            }
        }
        if radius < self.base_radius { f64::NAN } else { 2.0 * radius * self.half_angle(radius).sin() }
    }
}
