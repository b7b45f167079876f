//! Helical teeth: the rack laid askew to the axis, and the plane square to the axis in which the teeth still roll as spur
//! teeth do.
//!
//! Module, pressure angle, heights, shift and thinning are the rack's own, in its normal section: that is what a cutter has. Circles,
//! half angles and the drawn outline are of the transverse section. Source of all that follows: ISO 21771:2007.

use std::f64::consts::{PI, TAU};

use quantity::{Angle, Length};

use super::{Toothing, ToothingError, ToothingSpec};

/// How teeth lean. Sizes are the same for either hand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Helix {
    /// β, between tooth and axis on the pitch cylinder.
    pub angle: Angle,
    /// Width of the teeth along the axis; where it is not known they are taken as wide enough for what is laid on them.
    pub face: Option<Length>,
}

/// Degrees. Steeper teeth are threads of a worm.
pub const HELIX_ANGLE_DEG: std::ops::RangeInclusive<f64> = 0.0..=60.0;

/// The rack as it is seen along the axis, in millimetres and radians: the rack itself where teeth are straight.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Section {
    /// m_t = m/cos β.
    pub module: f64,
    /// tan α_t = tan α/cos β.
    pub alpha: f64,
    /// From the pitch line to the tip of the tool's tooth; heights are the same in every section.
    pub depth: f64,
    /// Of the circle that rounds the tool's corner. The true section of the rounding is an ellipse: this circle is as deep and ends
    /// the straight flank at the same height, so that the involute begins where it does, ρ_t = ρ (1 − sin α)/(1 − sin α_t).
    pub rounding: f64,
}

impl Section {
    pub fn of(spec: &ToothingSpec) -> Section {
        let module = spec.module.mm();
        let alpha = spec.rack.pressure_angle.radians();
        let cos = spec.cos_helix();
        let transverse = if spec.helix.is_some() { (alpha.tan() / cos).atan() } else { alpha };
        Section {
            module: module / cos,
            alpha: transverse,
            depth: module * (spec.rack.dedendum - spec.profile_shift),
            rounding: module * spec.rack.tip_radius * (1.0 - alpha.sin()) / (1.0 - transverse.sin()),
        }
    }
}

impl ToothingSpec {
    /// cos β; 1 for straight teeth.
    pub(crate) fn cos_helix(&self) -> f64 {
        self.helix.map_or(1.0, |helix| helix.angle.cos())
    }

    pub(crate) fn check_helix(&self) -> Result<(), ToothingError> {
        let Some(helix) = self.helix else { return Ok(()) };
        if !HELIX_ANGLE_DEG.contains(&helix.angle.degrees()) {
            return Err(ToothingError::Helix(helix.angle));
        }
        match helix.face {
            Some(face) if face.mm().is_nan() || face <= Length::ZERO => Err(ToothingError::Face(face)),
            _ => Ok(()),
        }
    }
}

impl Toothing {
    /// β; zero for straight teeth.
    pub fn helix_angle(&self) -> Angle {
        self.spec.helix.map_or(Angle::ZERO, |helix| helix.angle)
    }

    /// α_t: tan α_t = tan α_n/cos β. ISO 21771:2007. Exact.
    pub fn transverse_pressure_angle(&self) -> Angle {
        Angle::from_radians(Section::of(&self.spec).alpha)
    }

    /// p_z = π d/tan β: how far along the axis a tooth goes once round; none where it never does. ISO 21771:2007. Exact.
    pub fn lead(&self) -> Option<Length> {
        let twist = self.twist();
        (twist > 0.0).then(|| Length::from_mm(TAU / twist))
    }

    /// β_b: tan β_b = tan β cos α_t. ISO 21771:2007. Exact.
    pub fn base_helix_angle(&self) -> Angle {
        self.helix_at(self.base_diameter() / 2.0)
    }

    /// Between tooth and axis at a radius: tan β_y = tan β r_y/r. ISO 21771:2007. Exact.
    pub fn helix_at(&self, radius: Length) -> Angle {
        Angle::from_radians((self.twist() * radius.mm()).atan())
    }

    /// s_n = s_t cos β: tooth thickness on the pitch cylinder, square to the teeth. ISO 21771:2007. Exact.
    pub fn normal_thickness(&self) -> Length {
        self.pitch_thickness() * self.spec.cos_helix()
    }

    /// p_bn = p_bt cos β_b = π m cos α_n: between neighbouring flanks, square to them. ISO 21771:2007. Exact.
    pub fn normal_base_pitch(&self) -> Length {
        self.base_pitch() * self.cos_base_helix()
    }

    /// Teeth of the spur wheel whose teeth are like these in the normal section, by which a form cutter is chosen.
    ///
    /// z_v = z/cos³ β. Range: any helix. Accuracy: of the osculating circle of the normal section's ellipse. Source: handbooks
    /// of gear cutting, for stock form cutters; ISO 6336-3 has z/(cos² β_b cos β) in its place for strength.
    pub fn virtual_teeth(&self) -> f64 {
        f64::from(self.spec.teeth) / self.spec.cos_helix().powi(3)
    }

    /// The spur wheel whose teeth are nearest to these in the normal section; the teeth themselves where they are straight, none where
    /// no such wheel can be drawn.
    ///
    /// Of the whole count nearest to z_v = z/cos³ β ([`Toothing::virtual_teeth`]), with the same rack, shift, thinning and height. Range: as
    /// the toothing. Accuracy: a tooth of 30 and of 31 teeth differ by a thousandth of the module. Source: as z_v.
    pub fn virtual_spur(&self) -> Option<Toothing> {
        if self.spec.helix.is_none() {
            return Some(*self);
        }
        let teeth = self.virtual_teeth().round() as u32;
        let tip = self.spec.module * f64::from(teeth) + (self.tip_diameter() - self.pitch_diameter());
        Toothing::new(ToothingSpec { teeth, tip_diameter: Some(tip), helix: None, ..self.spec }).ok()
    }

    /// ε_β = b sin β/(π m): how many pitches the teeth lean over the width; none where the width is not known. ISO 21771:2007.
    pub fn overlap_ratio(&self) -> Option<f64> {
        let Some(helix) = self.spec.helix else { return Some(0.0) };
        Some(helix.face? * helix.angle.sin() / (self.spec.module * PI))
    }

    /// The angle that the teeth turn by for each millimetre along the axis.
    pub(crate) fn twist(&self) -> f64 {
        self.helix_angle().tan() / self.pitch_radius
    }

    /// The angle that the teeth turn by over their width.
    pub(crate) fn sweep(&self) -> f64 {
        let Some(helix) = self.spec.helix.filter(|helix| helix.angle > Angle::ZERO) else { return 0.0 };
        helix.face.map_or(f64::INFINITY, |face| self.twist() * face.mm())
    }

    /// cos β_b.
    pub(crate) fn cos_base_helix(&self) -> f64 {
        self.base_helix_angle().cos()
    }
}
