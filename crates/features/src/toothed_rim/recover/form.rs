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

    /// Sizes as ISO 21771:2007 has them: r_b = ½ m z cos α, s = m (π/2 + 2 x tan α) less the thickness taken off on
    /// the pitch circle; tips and roots from shift, wear and depth.
    pub fn flanks(&self, teeth: f64, values: &Values) -> Flanks {
        let pitch_radius = 0.5 * self.module * teeth;
        let middle = pitch_radius + values.shift * self.module;
        let thickness = self.module * (FRAC_PI_2 + 2.0 * values.shift * self.sin / self.cos) - values.thinning;
        Flanks {
            teeth,
            base_radius: pitch_radius * self.cos,
            base_half_angle: 0.5 * thickness / pitch_radius + self.inv,
            tip_radius: middle + self.addendum - values.tip_loss,
            root_radius: middle - self.dedendum + values.root,
        }
    }
}
