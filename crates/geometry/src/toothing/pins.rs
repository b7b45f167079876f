//! Pins (wires) laid in the tooth spaces.

use std::f64::consts::PI;

use quantity::Length;

use super::{MeasureError, Toothing};
use crate::involute::{inv, inverse_inv};
use crate::solve::bisect;

/// Pins whose middle lies further out than 1/cos of this, radians, base radii lie in no tooth space.
const STEEPEST: f64 = 1.4;

impl Toothing {
    /// Over two pins of `diameter` in opposite spaces (as nearly opposite as an odd count allows).
    ///
    /// M = 2 r_K + D for even z, 2 r_K cos(90°/z) + D for odd z; r_K as in [`Toothing::pin_centre_radius`]. Millimetres. On helical
    /// teeth spaces come to lie opposite somewhere along the face, odd counts too, if it is wide enough.
    /// Range: the pins touch the involute and stand beyond the tips. Accuracy 1e-12 relative.
    /// Source: ISO 21771:2007; DIN 3960:1987.
    pub fn over_pins(&self, diameter: Length) -> Result<Length, MeasureError> {
        let centre = self.pin_centre_radius(diameter)?.mm();
        let over = 2.0 * centre * self.opposition() + diameter.mm();
        if over <= self.across_tips().mm() {
            return Err(MeasureError::PinBelowTips { pin: diameter });
        }
        Ok(Length::from_mm(over))
    }

    /// From the axis to the outermost point of a pin lying in a space.
    ///
    /// r_K + D/2. Millimetres. Range and accuracy as [`Toothing::over_pins`]. Source: ISO 21771:2007.
    pub fn centre_to_outside_of_pin(&self, diameter: Length) -> Result<Length, MeasureError> {
        let outside = self.pin_centre_radius(diameter)?.mm() + 0.5 * diameter.mm();
        if outside <= self.tip_radius {
            return Err(MeasureError::PinBelowTips { pin: diameter });
        }
        Ok(Length::from_mm(outside))
    }

    /// From the axis to the middle of a pin that touches both flanks of a space, whether it stands out or not.
    ///
    /// inv α_K = (s_b + D/cos β_b)/d_b − π/z, r_K = r_b/cos α_K. Millimetres. Range: contacts on the flank, pin clear of the root.
    /// Accuracy 1e-12 relative. Source: ISO 21771:2007.
    pub fn pin_centre_radius(&self, diameter: Length) -> Result<Length, MeasureError> {
        let pin = diameter.mm();
        // A pin as thick as the whole toothing is a slip of the pen.
        if !(pin > 0.0 && pin < 2.0 * self.tip_radius) {
            return Err(MeasureError::PinSize(diameter));
        }
        let cos = self.cos_base_helix();
        let involute = 0.5 * (self.base_thickness + pin / cos) / self.base_radius - PI / f64::from(self.spec.teeth);
        if involute <= 0.0 {
            return Err(MeasureError::PinOnRoot { pin: diameter });
        }
        let Some(angle) = inverse_inv(involute) else {
            return Err(MeasureError::PinAboveFlank { pin: diameter });
        };
        let centre = self.base_radius / angle.cos();
        let contact = self.base_radius * angle.tan() - 0.5 * pin * cos;
        let (form, tip) = self.flank_radii();
        if centre - 0.5 * pin <= self.root_radius {
            return Err(MeasureError::PinOnRoot { pin: diameter });
        }
        if contact > self.tangent_length(tip) {
            return Err(MeasureError::PinAboveFlank { pin: diameter });
        }
        if contact < self.tangent_length(form) {
            return Err(MeasureError::PinOnFillet { pin: diameter });
        }
        Ok(Length::from_mm(centre))
    }

    /// The radius at which a pin touches the flanks: √(r_b² + (r_b tan α_K − D cos β_b/2)²).
    pub fn pin_contact_radius(&self, diameter: Length) -> Result<Length, MeasureError> {
        let centre = self.pin_centre_radius(diameter)?.mm();
        let contact = self.tangent_length(centre) - 0.5 * diameter.mm() * self.cos_base_helix();
        Ok(Length::from_mm(self.base_radius.hypot(contact)))
    }

    /// The pin that touches the flanks on the circle d + 2 x m (or at mid flank, where that circle misses the flank).
    ///
    /// inv α_K = s_b/d_b − π/z + D/(d_b cos β_b), D = 2 (r_b tan α_K − t)/cos β_b, t = √(r_C² − r_b²). Millimetres. By bisection, 1e-13
    /// relative. Source: follows from [`Toothing::pin_centre_radius`]; DIN 3960:1987 aims at the same circle.
    pub fn usual_pin(&self) -> Length {
        let (base, cos) = (self.base_radius, self.cos_base_helix());
        let contact = self.tangent_length(self.reference_radius());
        let pin = |angle: f64| 2.0 * (base * angle.tan() - contact) / cos;
        let empty = PI / f64::from(self.spec.teeth) - self.base_half_angle();
        let off = |angle: f64| inv(angle) + empty - 0.5 * pin(angle) / (base * cos);
        // the pin's middle lies beyond its contact
        let from = (contact / base).atan();
        Length::from_mm(pin(bisect(from, STEEPEST, off).unwrap_or(from)))
    }

    /// Cosine of the angle by which two spaces fail to lie opposite, halved: 1 for even counts, cos(90°/z) for odd.
    fn opposition(&self) -> f64 {
        self.apart_from_opposite(0.0).cos()
    }
}
