//! Chords: across a tooth, across the tips, from tip to tip.

use std::f64::consts::PI;

use quantity::Length;

use super::{MeasureError, Toothing};
use crate::solve::bisect;

impl Toothing {
    /// Tooth thickness as a chord at a radius on the flank.
    ///
    /// s̄ = d_y sin ψ_y. Millimetres. Range: from the form circle to the tip circle. Exact. Source: ISO 21771:2007.
    pub fn chordal_thickness(&self, radius: Length) -> Result<Length, MeasureError> {
        Ok(2.0 * self.half_angle_at(radius)?.sin() * radius)
    }

    /// Height of the tip above the chord at a radius on the flank (chordal addendum where that is the pitch circle).
    ///
    /// h̄ = r_a − r_y cos ψ_y. Millimetres. Range as [`Toothing::chordal_thickness`]. Exact. Source: ISO 21771:2007.
    pub fn chordal_height(&self, radius: Length) -> Result<Length, MeasureError> {
        let half = self.half_angle_at(radius)?;
        Ok(Length::from_mm(self.tip_radius) - half.cos() * radius)
    }

    /// What a gear-tooth caliper reads whose tongue, resting on the tip, is set to `depth`.
    ///
    /// The chord s̄ whose height h̄ is `depth`, by bisection. Millimetres. Range: jaws on the flank. Accuracy 1e-13 relative.
    pub fn thickness_at_depth(&self, depth: Length) -> Result<Length, MeasureError> {
        let (form, tip) = self.flank_radii();
        let height = |radius: f64| self.tip_radius - radius * self.half_angle(radius).cos();
        match bisect(form, tip, |radius| height(radius) - depth.mm()) {
            Some(radius) => Ok(Length::from_mm(2.0 * radius * self.half_angle(radius).sin())),
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
    /// d_a for even z; d_a cos(max(0, 90°/z − ψ_a)) for odd z, ψ_a half the angle of the tip land. Millimetres. Exact.
    /// Source: plane geometry; held against a search over all pairs of points in the tests.
    pub fn across_tips(&self) -> Length {
        let short = if self.spec.teeth.is_multiple_of(2) {
            0.0
        } else {
            (0.5 * PI / f64::from(self.spec.teeth) - self.half_angle(self.tip_radius)).max(0.0)
        };
        Length::from_mm(2.0 * self.tip_radius * short.cos())
    }

    /// Chord from the middle of a tip to the middle of the tip `pitches` further on.
    ///
    /// d_a sin(180° n/z). Millimetres. Exact. Source: plane geometry.
    pub fn chord_across_pitches(&self, pitches: u32) -> Length {
        let half = PI * f64::from(pitches) / f64::from(self.spec.teeth);
        Length::from_mm(2.0 * self.tip_radius * half.sin().abs())
    }
}
