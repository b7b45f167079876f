//! External involute toothing, spur or helical, after ISO 21771: what it is and its sizes.
//!
//! Inside, plain `f64` millimetres and radians.
//!
//! Conventions that change results, stated once:
//!
//! - **Thinning** is a thickness allowance alone: it narrows each tooth, both flanks together, by that arc on the pitch circle
//!   (of helical teeth, square to them).
//!   The root diameter stays where the profile shift puts it; feeding the rack in deeper is profile shift. The rack that
//!   generates the root fillet has teeth that much thicker.
//! - **Tip diameter**, unless given, is d + 2 m (ha* + x): no tip shortening.
//! - **Rack tip radius** too large for the rack's tooth is cut back to the full round that fits ([`Toothing::rack_tip_radius`]).

mod chord;
mod error;
mod helix;
mod pins;
mod span;

pub use error::{MeasureError, ToothingError};
pub(crate) use helix::Section;
pub use helix::{HELIX_ANGLE_DEG, Helix};

use std::f64::consts::{FRAC_PI_2, PI};

use quantity::{Angle, Length};

use crate::generate::Cutter;
use crate::involute::inv;

/// A basic rack tooth profile (ISO 53). The lengths are multiples of the module.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rack {
    pub pressure_angle: Angle,
    /// ha*: of the gear tooth, above the reference line.
    pub addendum: f64,
    /// hf*: of the gear tooth, below the reference line; the tool's tooth is this high.
    pub dedendum: f64,
    /// ρ*: radius that rounds the tip of the tool's tooth and so begets the root fillet.
    pub tip_radius: f64,
}

/// What a toothing is made to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ToothingSpec {
    pub teeth: u32,
    /// Of the normal section, where teeth are helical.
    pub module: Length,
    pub rack: Rack,
    /// `None`: spur teeth.
    pub helix: Option<Helix>,
    /// x, in modules; positive away from the axis.
    pub profile_shift: f64,
    /// Taken off the tooth thickness as an arc of the pitch circle, both flanks together; see the module's page.
    pub thinning: Length,
    /// `None`: d + 2 m (ha* + x).
    pub tip_diameter: Option<Length>,
}

/// The fewest and the most teeth taken. With under four a rack generates nothing that runs; beyond the most, a misread number.
pub const TEETH: std::ops::RangeInclusive<u32> = 4..=10_000;
/// Millimetres: watches to rolling mills.
pub const MODULE_MM: std::ops::RangeInclusive<f64> = 0.02..=200.0;
/// Degrees: flatter or steeper racks were never in use.
pub const PRESSURE_ANGLE_DEG: std::ops::RangeInclusive<f64> = 5.0..=45.0;

/// A toothing that can be made: teeth that have a tip land, an involute flank and a root.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Toothing {
    spec: ToothingSpec,
    /// All millimetres.
    pitch_radius: f64,
    base_radius: f64,
    tip_radius: f64,
    root_radius: f64,
    form_radius: f64,
    /// Tooth thickness as an arc of the base circle, in the transverse section.
    base_thickness: f64,
    undercut: bool,
    cutter: Cutter,
}

impl Toothing {
    pub fn new(spec: ToothingSpec) -> Result<Toothing, ToothingError> {
        check_numbers(&spec)?;
        let module = spec.module.mm();
        let section = Section::of(&spec);
        let pitch_radius = 0.5 * section.module * f64::from(spec.teeth);
        let base_radius = pitch_radius * section.alpha.cos();
        let root_radius = pitch_radius - section.depth;
        let tip_radius = match spec.tip_diameter {
            Some(diameter) => 0.5 * diameter.mm(),
            None => pitch_radius + module * (spec.rack.addendum + spec.profile_shift),
        };
        if root_radius <= 0.0 {
            return Err(ToothingError::NoRoot);
        }
        if tip_radius <= root_radius {
            return Err(ToothingError::TipsBelowRoot {
                tip: Length::from_mm(2.0 * tip_radius),
                root: Length::from_mm(2.0 * root_radius),
            });
        }
        if tip_radius <= base_radius {
            return Err(ToothingError::NoInvolute);
        }
        let tan = spec.rack.pressure_angle.tan();
        let thickness = module * (FRAC_PI_2 + 2.0 * spec.profile_shift * tan) - spec.thinning.mm();
        if thickness <= 0.0 || thickness >= PI * module {
            return Err(ToothingError::NoTooth);
        }
        let thickness = thickness / spec.cos_helix();
        let base_thickness = 2.0 * base_radius * (0.5 * thickness / pitch_radius + inv(section.alpha));
        let cutter = Cutter::new(&section, spec.teeth, thickness)?;
        let mut toothing = Toothing {
            spec,
            pitch_radius,
            base_radius,
            tip_radius,
            root_radius,
            form_radius: base_radius,
            base_thickness,
            undercut: cutter.undercuts(),
            cutter,
        };
        if toothing.half_angle(tip_radius) <= 0.0 {
            return Err(ToothingError::Pointed);
        }
        let joint = cutter.fillet_end(toothing.base_half_angle())?;
        toothing.form_radius = cutter.fillet_radius_at(joint);
        if toothing.form_radius >= tip_radius {
            return Err(ToothingError::NoInvolute);
        }
        Ok(toothing)
    }

    pub fn spec(&self) -> &ToothingSpec {
        &self.spec
    }

    pub fn teeth(&self) -> u32 {
        self.spec.teeth
    }

    /// Of the normal section.
    pub fn module(&self) -> Length {
        self.spec.module
    }

    /// Of the normal section.
    pub fn pressure_angle(&self) -> Angle {
        self.spec.rack.pressure_angle
    }

    /// d = m z/cos β. ISO 21771:2007. Exact.
    pub fn pitch_diameter(&self) -> Length {
        Length::from_mm(2.0 * self.pitch_radius)
    }

    /// d_b = d cos α_t. ISO 21771:2007. Exact.
    pub fn base_diameter(&self) -> Length {
        Length::from_mm(2.0 * self.base_radius)
    }

    /// d_a = d + 2 m (ha* + x), or as given. ISO 21771:2007 (without tip alteration). Exact.
    pub fn tip_diameter(&self) -> Length {
        Length::from_mm(2.0 * self.tip_radius)
    }

    /// d_f = d − 2 m (hf* − x); thinning leaves it alone. ISO 21771:2007. Exact.
    pub fn root_diameter(&self) -> Length {
        Length::from_mm(2.0 * self.root_radius)
    }

    /// h = (d_a − d_f)/2. ISO 21771:2007. Exact.
    pub fn whole_depth(&self) -> Length {
        Length::from_mm(self.tip_radius - self.root_radius)
    }

    /// p_b = π d_b/z, in the transverse section; of spur teeth π m cos α. ISO 21771:2007. Exact.
    pub fn base_pitch(&self) -> Length {
        Length::from_mm(2.0 * PI * self.base_radius / f64::from(self.spec.teeth))
    }

    /// Tooth thickness as an arc of the pitch circle: s = (m (π/2 + 2 x tan α) − thinning)/cos β. ISO 21771:2007. Exact.
    pub fn pitch_thickness(&self) -> Length {
        Length::from_mm(2.0 * self.pitch_radius * self.half_angle(self.pitch_radius))
    }

    /// Tooth thickness as an arc of the base circle: s_b = d_b (s/d + inv α). ISO 21771:2007. Exact. Where the flank
    /// does not reach down to the base circle it is that of the flank continued.
    pub fn base_thickness(&self) -> Length {
        Length::from_mm(self.base_thickness)
    }

    /// Tooth thickness as an arc at a radius on the flank.
    ///
    /// s_y = d_y ψ_y, see [`Toothing::half_angle_at`]. Millimetres. Range: from the form circle to the tip circle. Exact.
    /// Source: ISO 21771:2007.
    pub fn thickness_at(&self, radius: Length) -> Result<Length, MeasureError> {
        self.half_angle_at(radius).map(|half| 2.0 * half.radians() * radius)
    }

    /// Half the angle that the tooth takes up at a radius on the flank.
    ///
    /// ψ_y = s/d + inv α − inv α_y, cos α_y = d_b/d_y. Radians. Range: from the form circle to the tip circle. Exact.
    /// Source: ISO 21771:2007.
    pub fn half_angle_at(&self, radius: Length) -> Result<Angle, MeasureError> {
        self.require_on_flank(radius.mm())?;
        Ok(Angle::from_radians(self.half_angle(radius.mm())))
    }

    /// Tooth thickness at the tips, as an arc. Always positive: a toothing without a land is refused.
    pub fn tip_land(&self) -> Length {
        Length::from_mm(2.0 * self.tip_radius * self.half_angle(self.tip_radius))
    }

    /// The radius at which the generated root fillet meets the involute; above the base circle where the teeth are undercut.
    ///
    /// Without undercut r_F² = r_b² + (r sin α − h_F/sin α)², h_F = m (hf* − x) − ρ (1 − sin α); with undercut the crossing of
    /// fillet and involute, found by bisection to 1e-14 relative. Source: geometry of rack generation; ISO 21771:2007.
    pub fn form_radius(&self) -> Length {
        Length::from_mm(self.form_radius)
    }

    /// Whether the rack's tip cuts away some of the involute.
    pub fn is_undercut(&self) -> bool {
        self.undercut
    }

    /// The smallest profile shift at which this rack cuts this many teeth without undercut.
    ///
    /// x_min = h_F* − z sin²α_t/(2 cos β) with h_F* = hf* − ρ* (1 − sin α), the height of the rack's straight flank below its reference
    /// line (equal to ha* for a rack whose rounding takes up just the bottom clearance). Modules. Exact.
    /// Source: DIN 3960:1987 (equation as recalled); it follows from the rack's flank ending at the base tangent point.
    pub fn least_shift_without_undercut(&self) -> f64 {
        let Section { module, alpha, .. } = Section::of(&self.spec);
        let (sin, normal) = (alpha.sin(), self.spec.module.mm());
        let straight = self.spec.rack.dedendum - self.cutter.tip_rounding() / normal * (1.0 - sin);
        straight - 0.5 * f64::from(self.spec.teeth) * sin * sin * module / normal
    }

    /// The same rack fed in deeper until the teeth are thinner by `thinning`, out of a blank of the same tip diameter: how a cutter
    /// thins teeth. What was thinned before by a thicker tool stays so.
    ///
    /// x_E = x − t/(2 m tan α), see [`feed_for_thinning`].
    pub fn fed_deeper(&self, thinning: Length) -> Result<Toothing, ToothingError> {
        let deeper = feed_for_thinning(thinning, self.pressure_angle());
        Toothing::new(ToothingSpec {
            profile_shift: self.spec.profile_shift - deeper / self.spec.module,
            tip_diameter: Some(self.tip_diameter()),
            ..self.spec
        })
    }

    /// The radius that rounds the tip of the generating rack: ρ* m, or the full round if that is smaller.
    pub fn rack_tip_radius(&self) -> Length {
        let of_section = (1.0 - self.transverse_pressure_angle().sin()) / (1.0 - self.pressure_angle().sin());
        Length::from_mm(self.cutter.tip_rounding() * of_section)
    }

    /// Pitch angle τ = 2π/z.
    pub fn angular_pitch(&self) -> Angle {
        Angle::TURN / f64::from(self.spec.teeth)
    }

    pub(crate) fn cutter(&self) -> &Cutter {
        &self.cutter
    }

    pub(crate) fn base_half_angle(&self) -> f64 {
        0.5 * self.base_thickness / self.base_radius
    }

    /// ψ at any radius from the base circle outwards, also where there is no flank; negative beyond the point of the tooth.
    pub(crate) fn half_angle(&self, radius: f64) -> f64 {
        self.base_half_angle() - inv((self.base_radius / radius).min(1.0).acos())
    }

    /// Length of the tangent from the base circle to the flank at a radius: the involute's radius of curvature there.
    pub(crate) fn tangent_length(&self, radius: f64) -> f64 {
        (radius * radius - self.base_radius * self.base_radius).max(0.0).sqrt()
    }

    /// The radii at the two ends of the flank.
    pub(crate) fn flank_radii(&self) -> (f64, f64) {
        (self.form_radius, self.tip_radius)
    }

    pub(crate) fn root_radius_mm(&self) -> f64 {
        self.root_radius
    }

    fn require_on_flank(&self, radius: f64) -> Result<(), MeasureError> {
        let (form, tip) = self.flank_radii();
        // A radius computed elsewhere may miss its end of the flank by rounding.
        let slack = 1e-12 * tip;
        if (form - slack..=tip + slack).contains(&radius) {
            Ok(())
        } else {
            Err(MeasureError::OffFlank {
                radius: Length::from_mm(radius),
                form: Length::from_mm(form),
                tip: Length::from_mm(tip),
            })
        }
    }
}

/// How much deeper a rack, or a cutter like it, is fed to thin the teeth.
///
/// Equation: e = t/(2 tan α), with t the thinning of the arc on the pitch circle. Units: lengths. Range: α > 0.
/// Accuracy: exact for a rack-shaped cutter, whose shift by x m thickens the tooth by 2 x m tan α; a form cutter's flank is curved, and
/// so the measured thickness has the last word. Source: ISO 21771:2007, s = m (π/2 + 2 x tan α).
///
/// ```
/// use quantity::{Angle, Length};
/// let feed = geometry::toothing::feed_for_thinning(Length::from_mm(0.1), Angle::from_degrees(14.5));
/// assert!((feed.mm() - 0.1933).abs() < 5e-5);
/// ```
pub fn feed_for_thinning(thinning: Length, pressure_angle: Angle) -> Length {
    thinning / (2.0 * pressure_angle.tan())
}

fn check_numbers(spec: &ToothingSpec) -> Result<(), ToothingError> {
    if !TEETH.contains(&spec.teeth) {
        return Err(ToothingError::Teeth(spec.teeth));
    }
    if !MODULE_MM.contains(&spec.module.mm()) {
        return Err(ToothingError::Module(spec.module));
    }
    if !PRESSURE_ANGLE_DEG.contains(&spec.rack.pressure_angle.degrees()) {
        return Err(ToothingError::PressureAngle(spec.rack.pressure_angle));
    }
    let Rack { addendum, dedendum, tip_radius, .. } = spec.rack;
    // Coefficients of three modules and more are not teeth; tip radius zero is a sharp-cornered rack.
    if !(0.0..=3.0).contains(&addendum) || !(0.0..=3.0).contains(&dedendum) || !(0.0..=3.0).contains(&tip_radius) {
        return Err(ToothingError::Rack);
    }
    if !(-5.0..=5.0).contains(&spec.profile_shift) {
        return Err(ToothingError::Shift(spec.profile_shift));
    }
    spec.check_helix()?;
    if !spec.thinning.is_finite() {
        return Err(ToothingError::NoTooth);
    }
    match spec.tip_diameter {
        Some(tip) if !tip.is_finite() => Err(ToothingError::NoInvolute),
        _ => Ok(()),
    }
}
