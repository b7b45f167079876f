//! Forces, torques and stresses as the shop's unit goes: pounds beside inches, newtons beside millimetres.

use crate::Unit;

/// Source: the international pound, 0.45359237 kg, and standard gravity, 9.80665 m/s² (ISO 80000-4), exact.
const NEWTONS_PER_POUND: f64 = 0.453_592_37 * 9.806_65;
const MPA_PER_PSI: f64 = NEWTONS_PER_POUND / (25.4 * 25.4);
const NM_PER_POUND_FOOT: f64 = NEWTONS_PER_POUND * 0.3048;

/// Newtons to two figures: `1,200 lbf`, `5.3 kN`.
pub fn force(newtons: f64, unit: Unit) -> String {
    match unit {
        Unit::Inch => format!("{} lbf", two_figures(newtons / NEWTONS_PER_POUND)),
        Unit::Millimetre if newtons < 1000.0 => format!("{} N", two_figures(newtons)),
        Unit::Millimetre => format!("{} kN", two_figures(newtons / 1000.0)),
    }
}

/// Newton metres to two figures: `27 lbf·ft`, `36 N·m`.
pub fn torque(newton_metres: f64, unit: Unit) -> String {
    match unit {
        Unit::Inch => format!("{} lbf·ft", two_figures(newton_metres / NM_PER_POUND_FOOT)),
        Unit::Millimetre => format!("{} N·m", two_figures(newton_metres)),
    }
}

/// Megapascals to two figures, without the unit: `5,400`, `37`.
pub fn stress(megapascals: f64, unit: Unit) -> String {
    match unit {
        Unit::Inch => two_figures(megapascals / MPA_PER_PSI),
        Unit::Millimetre => two_figures(megapascals),
    }
}

pub fn stress_sign(unit: Unit) -> &'static str {
    match unit {
        Unit::Inch => "psi",
        Unit::Millimetre => "MPa",
    }
}

/// More figures than friction and strength deserve would only look exact. Thousands are set apart.
fn two_figures(value: f64) -> String {
    if value.abs() < 1e-9 || !value.is_finite() {
        return "0".into();
    }
    // the exponent after rounding: 9.99 is 10, and no 10.0
    let rounded = format!("{value:.1e}");
    let exponent: i32 = rounded.split_once('e').and_then(|(_, exponent)| exponent.parse().ok()).unwrap_or(0);
    let places = (1 - exponent).clamp(0, 8) as usize;
    grouped(&format!("{:.places$}", rounded.parse::<f64>().unwrap_or(value)))
}

fn grouped(digits: &str) -> String {
    let (whole, rest) = digits.split_at(digits.find('.').unwrap_or(digits.len()));
    let count = whole.chars().count();
    let spaced = whole.chars().enumerate().flat_map(|(index, c)| {
        let gap = index > 0 && (count - index) % 3 == 0 && c.is_ascii_digit();
        gap.then_some(',').into_iter().chain([c])
    });
    spaced.chain(rest.chars()).collect()
}
