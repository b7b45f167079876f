//! What a form cutter does to a count of teeth that it was not formed for.

use std::f64::consts::FRAC_PI_2;

use kurbo::Point;
use quantity::{Angle, Length};

use crate::involute::inv;

/// A rim to be cut, by its standard proportions in modules.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FormCut {
    /// Of helical teeth, the virtual count z/cos³ β.
    pub teeth: f64,
    pub module: Length,
    pub pressure_angle: Angle,
    /// Of the tooth above the pitch circle, shift included.
    pub addendum: f64,
    /// How far below the pitch circle the mate's tips reach, shift included.
    pub working_dedendum: f64,
    pub profile_shift: f64,
}

/// Distance of the flank that is cut from the true one, square to it; positive where metal is left standing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FormDeviation {
    pub tip: Length,
    /// Where the mate's tips reach, or where the first of the two involutes ends above that.
    pub root: Length,
}

impl FormDeviation {
    /// The larger of both, without its sign.
    pub fn worst(&self) -> Length {
        self.tip.abs().max(self.root.abs())
    }
}

/// The flank that a cutter of the form of `formed_for` teeth leaves on this rim.
///
/// What it is: the cutter's space laid over the true one, fed so deep that both are equally wide on the pitch circle, as teeth
/// measured to size are. Equations: half the angle of a space at radius r is ψ = π/2z − 2 x tan α/z + inv α_r − inv α, with
/// cos α_r = r_b/r; a point of the flank lies at (r sin ψ, r cos ψ − r_p); from a point of the true flank to the nearest
/// of the cutter's is the distance. Units: mm. Range: 6 teeth and more, involute forms (old composite forms differ near tip and
/// root). Accuracy: 0.01 µm. Source: geometry of the involute (ISO 21771:2007).
pub fn form_deviation(cut: &FormCut, formed_for: u32) -> Option<FormDeviation> {
    let wanted = Space::new(cut.teeth, cut.module, cut.pressure_angle, cut.profile_shift)?;
    let cutter = Space::new(f64::from(formed_for), cut.module, cut.pressure_angle, 0.0)?;
    let module = cut.module.mm();
    // a shifted tooth is cut with the cutter drawn out or fed in until the teeth are right on the pitch circle
    let fed = match cut.profile_shift {
        0.0 => 0.0,
        _ => cutter.height_of(wanted.half_width(0.0)?)?,
    };
    let deviation = |height: f64| {
        let here = Point::new(wanted.half_width(height)?, height + fed);
        let over = here.x - cutter.half_width(here.y)?;
        Some(Length::from_mm(cutter.distance(here, over.abs())?.copysign(over)))
    };
    let tip = wanted.height_at_radius(wanted.pitch_radius + cut.addendum * module)?;
    let lowest = (-cut.working_dedendum * module).max(wanted.base_height()).max(cutter.base_height() - fed);
    // the tangent stands on the base circle there: a hair above it both widths are defined
    let root = lowest + 1e-6 * module;
    Some(FormDeviation { tip: deviation(tip)?, root: deviation(root)? })
}

/// One half of a tooth space, its middle on the y axis, heights counted from the pitch circle there.
struct Space {
    pitch_radius: f64,
    base_radius: f64,
    /// ψ = this + inv α_r
    angle: f64,
}

impl Space {
    fn new(teeth: f64, module: Length, pressure_angle: Angle, shift: f64) -> Option<Space> {
        const FEWEST: f64 = 6.0;
        let (alpha, z) = (pressure_angle.radians(), teeth);
        let sound = z >= FEWEST
            && z.is_finite()
            && module > Length::ZERO
            && alpha > 0.0
            && alpha < FRAC_PI_2
            && shift.is_finite();
        let pitch_radius = module.mm() * z / 2.0;
        sound.then(|| Space {
            pitch_radius,
            base_radius: pitch_radius * alpha.cos(),
            angle: FRAC_PI_2 / z - 2.0 * shift * alpha.tan() / z - inv(alpha),
        })
    }

    fn pressure_angle(&self, radius: f64) -> Option<f64> {
        (radius >= self.base_radius).then(|| (self.base_radius / radius).acos())
    }

    fn height_at_radius(&self, radius: f64) -> Option<f64> {
        let psi = self.angle + inv(self.pressure_angle(radius)?);
        Some(radius * psi.cos() - self.pitch_radius)
    }

    fn base_height(&self) -> f64 {
        self.base_radius * self.angle.cos() - self.pitch_radius
    }

    /// The radius of the flank's point at a height: heights grow with radii.
    fn radius_at(&self, height: f64) -> Option<f64> {
        if height < self.base_height() - 1e-9 {
            return None;
        }
        let (mut low, mut high) = (self.base_radius, self.base_radius + 2.0 * (height - self.base_height()) + 1.0);
        for _ in 0..80 {
            let middle = (low + high) / 2.0;
            if self.height_at_radius(middle)? < height { low = middle } else { high = middle }
        }
        Some((low + high) / 2.0)
    }

    fn half_width(&self, height: f64) -> Option<f64> {
        let radius = self.radius_at(height)?;
        Some(radius * (self.angle + inv(self.pressure_angle(radius)?)).sin())
    }

    /// From a point to the flank, which is off it sideways by so much: the foot is no farther up or down than that.
    fn distance(&self, from: Point, sideways: f64) -> Option<f64> {
        let to = |radius: f64| {
            let psi = self.angle + inv(self.pressure_angle(radius)?);
            Some(Point::new(radius * psi.sin(), radius * psi.cos() - self.pitch_radius).distance(from))
        };
        let reach = sideways + 1e-9;
        let mut low = self.radius_at((from.y - reach).max(self.base_height()))?;
        let mut high = self.radius_at(from.y + reach)?;
        for _ in 0..100 {
            let third = (high - low) / 3.0;
            if to(low + third)? < to(high - third)? { high -= third } else { low += third }
        }
        to((low + high) / 2.0)
    }

    /// The height at which the space is so wide.
    fn height_of(&self, half_width: f64) -> Option<f64> {
        let (mut low, mut high) = (self.base_height(), self.pitch_radius / 2.0);
        for _ in 0..80 {
            let middle = (low + high) / 2.0;
            if self.half_width(middle)? < half_width { low = middle } else { high = middle }
        }
        Some((low + high) / 2.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::generate::ToothProfile;
    use crate::toothing::{Rack, Toothing, ToothingSpec};

    fn rim(teeth: u32, degrees: f64) -> FormCut {
        FormCut {
            teeth: f64::from(teeth),
            module: Length::from_mm(2.54),
            pressure_angle: Angle::from_degrees(degrees),
            addendum: 1.0,
            working_dedendum: 1.0,
            profile_shift: 0.0,
        }
    }

    #[test]
    fn on_its_own_count_a_cutter_is_exact() {
        for teeth in [17, 35, 135] {
            let deviation = form_deviation(&rim(teeth, 14.5), teeth).expect("a rim");
            assert!(deviation.worst() < Length::from_micrometres(0.001), "{deviation:?}");
        }
    }

    /// A form for fewer teeth is rounder and gives relief; one for more is straighter and leaves the tips full.
    #[test]
    fn the_sign_is_the_trade_s() {
        let fewer = form_deviation(&rim(44, 14.5), 35).expect("a rim");
        assert!(fewer.tip < Length::ZERO && fewer.root < Length::ZERO, "{fewer:?}");
        let more = form_deviation(&rim(44, 14.5), 55).expect("a rim");
        assert!(more.tip > Length::ZERO && more.root > Length::ZERO, "{more:?}");
    }

    /// The same from drawn teeth, which a rolling rack generates: the two spaces laid over each other, points to nearest points.
    #[test]
    fn as_drawn_teeth_laid_over_each_other() {
        let profile = |teeth: u32, degrees: f64| {
            let rack =
                Rack { pressure_angle: Angle::from_degrees(degrees), addendum: 1.0, dedendum: 1.25, tip_radius: 0.2 };
            let spec = ToothingSpec {
                teeth,
                module: Length::from_mm(2.54),
                rack,
                profile_shift: 0.0,
                thinning: Length::ZERO,
                tip_diameter: Some(Length::from_mm(2.54 * (f64::from(teeth) + 2.3))),
                helix: None,
            };
            let toothing = Toothing::new(spec).expect("a toothing");
            let flank = ToothProfile::new(&toothing);
            // a tooth's right flank, turned by half a pitch, is the left side of a space: mirrored, its right side
            let turn = std::f64::consts::PI / f64::from(teeth);
            let pitch_radius = 1.27 * f64::from(teeth);
            let points: Vec<Point> = (0..=4000)
                .map(|step| {
                    let p = flank.flank(f64::from(step) / 4000.0);
                    let (sin, cos) = turn.sin_cos();
                    Point::new(-(p.x * cos - p.y * sin), p.x * sin + p.y * cos - pitch_radius)
                })
                .collect();
            (points, pitch_radius)
        };
        for (teeth, formed_for, degrees) in [(54, 35, 20.0), (34, 26, 20.0), (134, 55, 14.5), (44, 55, 20.0)] {
            let ((wanted, pitch_radius), (cutter, _)) = (profile(teeth, degrees), profile(formed_for, degrees));
            let tip = pitch_radius + 2.54;
            let radius = |p: &Point| p.x.hypot(p.y + pitch_radius);
            let at_tip = wanted.iter().min_by(|a, b| (radius(a) - tip).abs().total_cmp(&(radius(b) - tip).abs()));
            let at_tip = at_tip.expect("points");
            let nearest = cutter
                .windows(2)
                .map(|pair| {
                    let (a, b) = (pair[0], pair[1]);
                    let along = ((*at_tip - a).dot(b - a) / (b - a).hypot2()).clamp(0.0, 1.0);
                    a.lerp(b, along).distance(*at_tip)
                })
                .fold(f64::MAX, f64::min);
            let said = form_deviation(&rim(teeth, degrees), formed_for).expect("a rim").tip.mm().abs();
            assert!((said - nearest).abs() < 1e-3 * nearest + 5e-6, "{teeth} by {formed_for}: {said} and {nearest}");
        }
    }

    #[test]
    fn nonsense_has_no_deviation() {
        assert_eq!(form_deviation(&rim(3, 20.0), 35), None);
        assert_eq!(form_deviation(&FormCut { module: Length::ZERO, ..rim(44, 20.0) }, 35), None);
        assert_eq!(form_deviation(&FormCut { profile_shift: f64::NAN, ..rim(44, 20.0) }, 35), None);
    }

    /// A shifted rim is matched on its pitch circle, so that what remains is form alone.
    #[test]
    fn a_shifted_rim_is_matched_at_the_pitch_circle() {
        let plain = form_deviation(&rim(30, 20.0), 26).expect("a rim");
        let shifted = FormCut { profile_shift: 0.3, addendum: 1.3, working_dedendum: 0.7, ..rim(30, 20.0) };
        let shifted = form_deviation(&shifted, 26).expect("a rim");
        assert!(shifted.worst() > plain.worst() && shifted.worst() < Length::from_mm(0.3), "{plain:?} {shifted:?}");
    }
}
