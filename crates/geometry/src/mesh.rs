//! Two external toothings running together.
//!
//! Inside, plain `f64` millimetres and radians.

use std::f64::consts::PI;
use std::fmt;

use quantity::{Angle, Length};

use crate::involute::{inv, inverse_inv};
use crate::toothing::Toothing;

/// Base pitches that differ by more than this part of themselves do not run together; far below any making tolerance, far
/// above rounding (25.4/10 against a module typed as 2.54).
const SAME_BASE_PITCH: f64 = 1e-6;

/// Two toothings of one base pitch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pair {
    first: Toothing,
    second: Toothing,
}

/// A pair set at a centre distance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mesh {
    pair: Pair,
    centre_distance: f64,
    working_angle: f64,
}

/// Why two toothings do not run together.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PairError {
    BasePitch {
        first: Length,
        second: Length,
    },
    /// The shifts are so negative that no working pressure angle exists.
    ShiftsTooNegative,
    /// The base circles would overlap.
    TooClose {
        centre_distance: Length,
        least: Length,
    },
    /// The tip circles do not reach each other.
    TooFar {
        centre_distance: Length,
        most: Length,
    },
}

impl fmt::Display for PairError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            PairError::BasePitch { first, second } => {
                write!(f, "The base pitches {first:.4} and {second:.4} differ: these teeth do not run together.")
            }
            PairError::ShiftsTooNegative => {
                f.write_str("The profile shifts together are too negative: there is no working pressure angle.")
            }
            PairError::TooClose { centre_distance, least } => write!(
                f,
                "At a centre distance of {centre_distance:.4} the base circles overlap; it must exceed {least:.4}."
            ),
            PairError::TooFar { centre_distance, most } => write!(
                f,
                "At a centre distance of {centre_distance:.4} the teeth do not reach each other; it must be under {most:.4}."
            ),
        }
    }
}

impl std::error::Error for PairError {}

impl Pair {
    pub fn new(first: Toothing, second: Toothing) -> Result<Pair, PairError> {
        let (a, b) = (first.base_pitch(), second.base_pitch());
        if (a - b).abs() > SAME_BASE_PITCH * a {
            return Err(PairError::BasePitch { first: a, second: b });
        }
        Ok(Pair { first, second })
    }

    /// a = (d_1 + d_2)/2. ISO 21771:2007. Exact.
    pub fn reference_centre_distance(&self) -> Length {
        0.5 * (self.first.pitch_diameter() + self.second.pitch_diameter())
    }

    /// The centre distance at which unthinned teeth of these shifts run without backlash.
    ///
    /// inv α_w = inv α + 2 (x_1 + x_2) tan α/(z_1 + z_2), a_w = a cos α/cos α_w. Millimetres. Range: inv α_w ≥ 0, both racks of
    /// one pressure angle (the first's is used). Accuracy 1e-13 relative. Source: ISO 21771:2007, equations 62 and 63.
    pub fn centre_distance(&self) -> Result<Length, PairError> {
        let alpha = self.first.pressure_angle().radians();
        let shifts = self.first.spec().profile_shift + self.second.spec().profile_shift;
        let working =
            inverse_inv(inv(alpha) + 2.0 * shifts * alpha.tan() / self.teeth()).ok_or(PairError::ShiftsTooNegative)?;
        Ok(self.reference_centre_distance() * (alpha.cos() / working.cos()))
    }

    /// The sum of profile shifts that leaves no backlash at a centre distance; the inverse of [`Pair::centre_distance`].
    pub fn sum_of_shifts(&self, centre_distance: Length) -> Result<f64, PairError> {
        let alpha = self.first.pressure_angle().radians();
        let working = self.at(centre_distance)?.working_angle;
        Ok((inv(working) - inv(alpha)) * self.teeth() / (2.0 * alpha.tan()))
    }

    /// The pair at a centre distance. cos α_w = (r_b1 + r_b2)/a_w. ISO 21771:2007.
    pub fn at(&self, centre_distance: Length) -> Result<Mesh, PairError> {
        let least = 0.5 * (self.first.base_diameter() + self.second.base_diameter());
        let most = 0.5 * (self.first.tip_diameter() + self.second.tip_diameter());
        if !centre_distance.is_finite() || centre_distance <= least {
            return Err(PairError::TooClose { centre_distance, least });
        }
        if centre_distance >= most {
            return Err(PairError::TooFar { centre_distance, most });
        }
        let working_angle = (least / centre_distance).acos();
        Ok(Mesh { pair: *self, centre_distance: centre_distance.mm(), working_angle })
    }

    fn teeth(&self) -> f64 {
        f64::from(self.first.teeth()) + f64::from(self.second.teeth())
    }
}

impl Mesh {
    /// α_w.
    pub fn working_pressure_angle(&self) -> Angle {
        Angle::from_radians(self.working_angle)
    }

    /// d_w = d_b/cos α_w, of the first and the second. ISO 21771:2007. Exact.
    pub fn working_pitch_diameters(&self) -> [Length; 2] {
        [self.pair.first, self.pair.second].map(|toothing| toothing.base_diameter() / self.working_angle.cos())
    }

    /// Transverse contact ratio: the part of the line of action between the tips, in base pitches.
    ///
    /// ε_α = (√(r_a1² − r_b1²) + √(r_a2² − r_b2²) − a_w sin α_w)/p_b, each end drawn in to where the mate's involute begins
    /// (form circle). Range: zero where nothing of the flanks meets. Exact. Source: ISO 21771:2007.
    pub fn contact_ratio(&self) -> f64 {
        let [first, second] = self.flanks();
        let line = self.line_of_action();
        let length = first.1.min(line - second.0) - first.0.max(line - second.1);
        length.max(0.0) / self.pair.first.base_pitch().mm()
    }

    /// Whether the mate's tips run deeper than the involute reaches, on the first and the second toothing.
    pub fn tips_run_on_fillet(&self) -> [bool; 2] {
        let [first, second] = self.flanks();
        let line = self.line_of_action();
        [line - second.1 < first.0, line - first.1 < second.0]
    }

    /// Backlash as an arc of the working pitch circles, from the thicknesses there.
    ///
    /// j = p_w − s_w1 − s_w2. Millimetres; negative if the teeth jam. Exact. Source: ISO 21771:2007.
    pub fn circumferential_backlash(&self) -> Length {
        let radii = self.working_pitch_diameters().map(|diameter| 0.5 * diameter.mm());
        let pitch = 2.0 * PI * radii[0] / f64::from(self.pair.first.teeth());
        let thickness =
            2.0 * (radii[0] * self.pair.first.half_angle(radii[0]) + radii[1] * self.pair.second.half_angle(radii[1]));
        Length::from_mm(pitch - thickness)
    }

    /// Backlash square to the flanks: j_n = j cos α_w. ISO 21771:2007. Exact.
    pub fn normal_backlash(&self) -> Length {
        self.circumferential_backlash() * self.working_angle.cos()
    }

    fn line_of_action(&self) -> f64 {
        self.centre_distance * self.working_angle.sin()
    }

    /// Tangent lengths at the two ends of each flank.
    fn flanks(&self) -> [(f64, f64); 2] {
        [self.pair.first, self.pair.second].map(|toothing| {
            let (form, tip) = toothing.flank_radii();
            (toothing.tangent_length(form), toothing.tangent_length(tip))
        })
    }
}
