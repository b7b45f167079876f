//! Span (base tangent length): the distance between two parallel planes that touch flanks k teeth apart.

use std::ops::RangeInclusive;

use quantity::Length;

use super::Toothing;

impl Toothing {
    /// Span over `k` teeth.
    ///
    /// W_k = ((k − 1) p_b + s_b) cos β_b, which is m cos α [π (k − ½) + z inv α_t] + 2 x m sin α less thinning × cos α. Millimetres.
    /// Range: it can be measured only for `k` in [`Toothing::span_range`]; the formula is evaluated for any `k`.
    /// Exact. Source: ISO 21771:2007.
    pub fn span(&self, k: u32) -> Length {
        ((f64::from(k) - 1.0) * self.base_pitch() + self.base_thickness()) * self.cos_base_helix()
    }

    /// The radius at which flat anvils held square to the middle of the `k` teeth touch both flanks.
    ///
    /// r_M = √(r_b² + (W_k cos β_b/2)²). Millimetres. Exact. Source: ISO 21771:2007.
    pub fn span_contact_radius(&self, k: u32) -> Length {
        Length::from_mm(self.base_radius.hypot(0.5 * self.span(k).mm() * self.cos_base_helix()))
    }

    /// The tooth counts whose span can be measured: both contacts lie on the flank, above the form circle and not above the
    /// tips. `None` where no count does. Rocking the anvils moves one contact out and the other in by the same length of
    /// tangent, so that the square position decides for all. Of helical teeth the two contacts lie W sin β_b apart along the axis,
    /// and the face must be as wide.
    pub fn span_range(&self) -> Option<RangeInclusive<u32>> {
        let (form, tip) = self.flank_radii();
        let (sin, cos) = self.base_helix_angle().radians().sin_cos();
        let pitch = self.base_pitch().mm();
        let count = |span: f64| (span / cos - self.base_thickness) / pitch + 1.0;
        let touching = |radius: f64| count(2.0 * self.tangent_length(radius) / cos);
        let face = self.spec.helix.and_then(|helix| helix.face).map_or(f64::INFINITY, |face| face.mm());
        let within_face = if sin > 0.0 { count(face / sin) } else { f64::INFINITY };
        let (least, most) = (touching(form).ceil().max(1.0), touching(tip).min(within_face).floor());
        (least <= most).then_some(least as u32..=most as u32)
    }

    /// The count within [`Toothing::span_range`] whose contact is nearest to the circle d + 2 x m, where wear and
    /// modifications of tip and root matter least (common practice; the same circle as ISO 21771:2007).
    pub fn best_span(&self) -> Option<u32> {
        let aim = self.reference_radius();
        let from_aim = |k: &u32| (self.span_contact_radius(*k).mm() - aim).abs();
        self.span_range()?.min_by(|a, b| from_aim(a).total_cmp(&from_aim(b)))
    }

    /// r + x m, kept within the flank (a shortened tip or an undercut may leave it outside).
    pub(super) fn reference_radius(&self) -> f64 {
        let (form, tip) = self.flank_radii();
        let aim = self.pitch_radius + self.spec.profile_shift * self.spec.module.mm();
        if (form..tip).contains(&aim) { aim } else { 0.5 * (form + tip) }
    }
}
