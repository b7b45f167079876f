//! The involute of a circle and its function inv.
//!
//! Plain `f64`: radians and millimetres.

use kurbo::Point;

/// Below this angle `tan a - a` loses digits to cancellation and the power series is exact to the last double.
const SERIES_BELOW: f64 = 0.05;

/// The largest value that [`inverse_inv`] takes, of an angle of 85.9°; no toothing comes near it.
const LARGEST: f64 = 12.6;

/// The involute function of a pressure angle.
///
/// inv a = tan a − a. Radians in and out. Range |a| < π/2. Accuracy: absolute error of some 1e-16 (relative 1e-12 or
/// better). Source: ISO 21771:2007.
///
/// ```
/// let inv = geometry::involute::inv(20_f64.to_radians());
/// assert!((inv - 0.014_904_383_867_3).abs() < 1e-13);
/// ```
pub fn inv(angle: f64) -> f64 {
    if angle.abs() < SERIES_BELOW {
        let square = angle * angle;
        // Taylor series of tan a − a; the next term is under 1e-16 of the first in this range.
        let factor = 1.0 / 3.0
            + square
                * (2.0 / 15.0 + square * (17.0 / 315.0 + square * (62.0 / 2835.0 + square * (1382.0 / 155_925.0))));
        return angle * square * factor;
    }
    angle.tan() - angle
}

/// The involute function of the pressure angle at a radius, both in base radii: cos a = 1/ratio.
///
/// tan a = √(ratio² − 1), so that no tangent need be taken. Range ratio ≥ 1; zero below. Source: ISO 21771:2007.
///
/// ```
/// let at = |angle: f64| geometry::involute::inv_at(1.0 / angle.cos());
/// assert!((at(20_f64.to_radians()) - 0.014_904_383_867_3).abs() < 1e-13);
/// ```
pub fn inv_at(ratio: f64) -> f64 {
    let tangent = (ratio * ratio - 1.0).max(0.0).sqrt();
    let angle = tangent.atan();
    if angle < SERIES_BELOW { inv(angle) } else { tangent - angle }
}

/// The pressure angle whose involute function is `value`.
///
/// a with tan a − a = value, by Newton's method: inv is convex there, so that all steps but the first come from the upper side
/// and none can overshoot. Radians. Range 0 ≤ value ≤ 12.6; `None` outside. Accuracy 1e-14 rad or better.
/// Source: the definition of inv (ISO 21771:2007).
///
/// ```
/// let angle = geometry::involute::inverse_inv(0.014_904_383_867_336).unwrap();
/// assert!((angle.to_degrees() - 20.0).abs() < 1e-11);
/// assert_eq!(geometry::involute::inverse_inv(-0.001), None);
/// ```
pub fn inverse_inv(value: f64) -> Option<f64> {
    if !(0.0..=LARGEST).contains(&value) {
        return None;
    }
    if value == 0.0 {
        return Some(0.0);
    }
    // The first two terms of the inverse series; further out it is no use, and both of tan a − a ≥ a³/3 and
    // tan a = value + a < value + π/2 give angles above the answer.
    let cube_root = (3.0 * value).cbrt();
    let mut angle = match value < 0.1 {
        true => cube_root - 0.4 * value,
        false => cube_root.min((value + std::f64::consts::FRAC_PI_2).atan()),
    };
    // Two or three steps settle it.
    for _ in 0..40 {
        let involute = inv(angle);
        let tangent = involute + angle;
        let step = (involute - value) / (tangent * tangent);
        angle -= step;
        // what is left is of the order of step²/angle
        if step.abs() <= 1e-8 * angle {
            break;
        }
    }
    Some(angle)
}

/// A point of the involute of the circle of radius `base_radius` round the origin.
///
/// x = r_b (cos t + t sin t), y = r_b (sin t − t cos t), where t = tan a is the roll angle. Millimetres, radians. It starts on
/// the x axis and turns counter-clockwise for t > 0, clockwise for t < 0. Accuracy: rounding. Source: ISO 21771:2007.
pub fn point(base_radius: f64, roll: f64) -> Point {
    let (sin, cos) = roll.sin_cos();
    Point::new(base_radius * (cos + roll * sin), base_radius * (sin - roll * cos))
}
