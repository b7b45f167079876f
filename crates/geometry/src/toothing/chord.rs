//! Chords: across a tooth, across the tips, from tip to tip.

use std::f64::consts::PI;

use quantity::Length;

use super::{MeasureError, Toothing};
use crate::solve::bisect;

impl Toothing {
    /// Tooth thickness as a chord at a radius on the flank.
    ///
    /// s̄ = d_y sin ψ_y of spur teeth; square to helical ones s̄ = d_v sin(ψ_y cos³ β_y), d_v = d_y/cos² β_y. Millimetres. Range: from the
    /// form circle to the tip circle. Exact for spur teeth; of helical ones the normal section is taken as the circle that osculates
    /// it. Source: ISO 21771:2007; handbooks of gear measuring.
    pub fn chordal_thickness(&self, radius: Length) -> Result<Length, MeasureError> {
        let half = self.half_angle_at(radius)?;
        Ok(Length::from_mm(self.normal_chord(radius.mm(), half.radians()).0))
    }

    /// Height of the tip above the chord at a radius on the flank (chordal addendum where that is the pitch circle).
    ///
    /// h̄ = r_a − r_y cos ψ_y; on helical teeth r_a − r_y + r_v (1 − cos(ψ_y cos³ β_y)). Millimetres. Range as [`Toothing::chordal_thickness`]. Exact. Source: ISO 21771:2007.
    pub fn chordal_height(&self, radius: Length) -> Result<Length, MeasureError> {
        let half = self.half_angle_at(radius)?;
        Ok(Length::from_mm(self.tip_radius - self.normal_chord(radius.mm(), half.radians()).1))
    }

    /// What a gear-tooth caliper reads whose tongue, resting on the tip, is set to `depth`.
    ///
    /// The chord s̄ whose height h̄ is `depth`, by bisection. Millimetres. Range: jaws on the flank. Accuracy 1e-13 relative.
    pub fn thickness_at_depth(&self, depth: Length) -> Result<Length, MeasureError> {
        let (form, tip) = self.flank_radii();
        let chord = |radius: f64| self.normal_chord(radius, self.half_angle(radius));
        let height = |radius: f64| self.tip_radius - chord(radius).1;
        match bisect(form, tip, |radius| height(radius) - depth.mm()) {
            Some(radius) => Ok(Length::from_mm(chord(radius).0)),
            None => Err(MeasureError::DepthOffFlank {
                depth,
                least: Length::from_mm(height(tip)),
                most: Length::from_mm(height(form)),
            }),
        }
    }

    /// What flat caliper jaws laid across the tips show, rocked to the largest reading: the greatest distance of two points of
    /// the tip lands.
    ///
    /// d_a for even z; d_a cos(max(0, 90°/z − ψ_a)) for odd z, ψ_a half the angle of the tip land. Millimetres. Exact. Helical tips of an
    /// odd count come to lie opposite somewhere along the face, if it is wide enough.
    /// Source: plane geometry; held against a search over all pairs of points in the tests.
    pub fn across_tips(&self) -> Length {
        let short = self.apart_from_opposite(self.half_angle(self.tip_radius));
        Length::from_mm(2.0 * self.tip_radius * short.cos())
    }

    /// Half the angle by which two places of this half width fail to lie opposite, at the best along the face.
    pub(super) fn apart_from_opposite(&self, half_width: f64) -> f64 {
        match self.spec.teeth.is_multiple_of(2) {
            true => 0.0,
            false => (0.5 * PI / f64::from(self.spec.teeth) - half_width - 0.5 * self.sweep()).max(0.0),
        }
    }

    /// The chord of a tooth, square to it, at a radius where half of it takes this angle; and how far from the axis its middle lies.
    fn normal_chord(&self, radius: f64, half_angle: f64) -> (f64, f64) {
        let cos = self.helix_at(Length::from_mm(radius)).cos();
        let (virtual_radius, half) = (radius / (cos * cos), half_angle * cos.powi(3));
        (2.0 * virtual_radius * half.sin(), radius - virtual_radius * (1.0 - half.cos()))
    }

    /// Chord from the middle of a tip to the middle of the tip `pitches` further on.
    ///
    /// d_a sin(180° n/z). Millimetres. Exact. Source: plane geometry.
    pub fn chord_across_pitches(&self, pitches: u32) -> Length {
        let half = PI * f64::from(pitches) / f64::from(self.spec.teeth);
        Length::from_mm(2.0 * self.tip_radius * half.sin().abs())
    }
}
