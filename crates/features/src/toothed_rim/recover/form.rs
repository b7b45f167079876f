//! The tooth form that a candidate's flanks are worked out from.

use std::f64::consts::FRAC_PI_2;

use geometry::involute::inv;
use standards::{GearSize, Rack};

use super::Values;
use crate::toothed_rim::geometry::Flanks;

/// Size and rack in plain millimetres, what depends on the angle alone worked out once.
#[derive(Clone, Copy, Debug)]
pub struct Form {
    pub module: f64,
    pub pressure_angle: f64,
    pub addendum: f64,
    pub dedendum: f64,
    pub cos: f64,
    pub sin: f64,
    pub inv: f64,
}

impl Form {
    pub fn new(module: f64, pressure_angle: f64, addendum: f64, dedendum: f64) -> Form {
        let (sin, cos) = pressure_angle.sin_cos();
        Form { module, pressure_angle, addendum, dedendum, cos, sin, inv: inv(pressure_angle) }
    }

    pub fn of(size: &GearSize, rack: &Rack) -> Form {
        let module = size.module();
        let (addendum, dedendum) = (rack.addendum_at(module).mm(), rack.dedendum_at(module).mm());
        Form::new(module.mm(), rack.pressure_angle.radians(), addendum, dedendum)
    }

    /// Sizes as ISO 21771:2007 has them: r_b = r cos α_t with r = ½ m z/cos β and tan α_t = tan α/cos β, s = m (π/2 + 2 x tan α) less the
    /// thickness taken off on the pitch circle, square to the teeth; tips and roots from shift, wear and depth.
    pub fn flanks(&self, teeth: f64, values: &Values) -> Flanks {
        let Rolling { cos_helix, cos, inv } = self.rolling(values.helix);
        let pitch_radius = 0.5 * self.module * teeth / cos_helix;
        let middle = pitch_radius + values.shift * self.module;
        let thickness = self.module * (FRAC_PI_2 + 2.0 * values.shift * self.sin / self.cos) - values.thinning;
        Flanks {
            teeth,
            base_radius: pitch_radius * cos,
            base_half_angle: 0.5 * thickness / (cos_helix * pitch_radius) + inv,
            tip_radius: middle + self.addendum - values.tip_loss,
            root_radius: middle - self.dedendum + values.root,
            twist: if values.helix == 0.0 { 0.0 } else { within(values.helix).tan() / pitch_radius },
            face: values.face,
        }
    }

    /// What the transverse section has in place of the angle's cosine and involute.
    pub fn rolling(&self, helix: f64) -> Rolling {
        if helix == 0.0 {
            return Rolling { cos_helix: 1.0, cos: self.cos, inv: self.inv };
        }
        let cos_helix = within(helix).cos();
        let transverse = (self.sin / self.cos / cos_helix).atan();
        Rolling { cos_helix, cos: transverse.cos(), inv: inv(transverse) }
    }
}

/// cos β, cos α_t and inv α_t.
#[derive(Clone, Copy, Debug)]
pub struct Rolling {
    pub cos_helix: f64,
    pub cos: f64,
    pub inv: f64,
}

/// A fit that strays is kept where teeth are.
fn within(helix: f64) -> f64 {
    helix.clamp(0.0, STEEPEST)
}

/// Steeper teeth are threads of a worm, radians.
pub const STEEPEST: f64 = 1.05;
