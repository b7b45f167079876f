//! Numbers as the trade writes them: decimal inch to the right place, nearest fraction, millimetres, with sign and uncertainty.

mod load;

pub use load::{force, stress, stress_sign, torque};

use crate::{Angle, Length, Unit};

/// `2.3010 in` or `58.445 mm`, with the unit; one more place in inches than in millimetres is the same fineness.
pub fn length(length: Length, unit: Unit, mm_places: usize) -> String {
    format!("{} {}", figures(length, unit, mm_places), unit.sign())
}

/// As [`length`], without the unit, for a column that names it once.
pub fn figures(length: Length, unit: Unit, mm_places: usize) -> String {
    let places = match unit {
        Unit::Inch => mm_places + 1,
        Unit::Millimetre => mm_places,
    };
    unsigned_zero(format!("{:.places$}", length / unit.one()))
}

/// A deviation with its sign: `+0.0005`, `−0.002`, `0.0000`.
pub fn signed(length: Length, unit: Unit, mm_places: usize) -> String {
    let text = figures(length, unit, mm_places);
    match text.strip_prefix('-') {
        Some(rest) => format!("−{rest}"),
        None if text.chars().all(|c| c == '0' || c == '.') => text,
        None => format!("+{text}"),
    }
}

/// Both units, the shop's own first: `2.3010 in (58.445 mm)`.
pub fn both(value: Length, unit: Unit, mm_places: usize) -> String {
    let other = match unit {
        Unit::Inch => Unit::Millimetre,
        Unit::Millimetre => Unit::Inch,
    };
    format!("{} ({})", length(value, unit, mm_places), length(value, other, mm_places))
}

/// The nearest fraction of an inch with a denominator of at most `finest`, in lowest terms: `1 3/8`, `7/8`, `2`.
pub fn fraction(length: Length, finest: u32) -> String {
    let parts = (length.inches() * f64::from(finest)).round() as u64;
    let finest = u64::from(finest);
    let (whole, part) = (parts / finest, parts % finest);
    if part == 0 {
        return format!("{whole}");
    }
    let shared = gcd(part, finest);
    match whole {
        0 => format!("{}/{}", part / shared, finest / shared),
        _ => format!("{whole} {}/{}", part / shared, finest / shared),
    }
}

/// Whether the length is a fraction of an inch to within a tenth of a thou.
pub fn is_fraction(length: Length, finest: u32) -> bool {
    let parts = length.inches() * f64::from(finest);
    parts >= 0.5 && (parts - parts.round()).abs() < 1e-4 * f64::from(finest)
}

/// Decimals of a millimetre that a standard uncertainty deserves: its second figure is noise.
pub fn places_for(sigma: Length) -> usize {
    if sigma.mm() <= 0.0 || !sigma.mm().is_finite() {
        return 3;
    }
    (-sigma.mm().log10()).ceil().clamp(0.0, 4.0) as usize
}

/// An angle in degrees as short as it can be said: `14½°` is what the trade says for 14.5.
pub fn angle(angle: Angle) -> String {
    let degrees = angle.degrees();
    let whole = degrees.trunc();
    if (degrees - whole - 0.5).abs() < 1e-9 {
        return format!("{whole:.0}½°");
    }
    let text = format!("{degrees:.3}");
    let short = text.trim_end_matches('0').trim_end_matches('.');
    format!("{}°", unsigned_zero(short.to_string()))
}

/// A plain number without needless zeros: `2.5`, `10`.
pub fn number(value: f64) -> String {
    let text = format!("{value:.4}");
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}

fn unsigned_zero(text: String) -> String {
    match text.strip_prefix('-') {
        Some(rest) if rest.chars().all(|c| c == '0' || c == '.') => rest.to_string(),
        _ => text,
    }
}

fn gcd(a: u64, b: u64) -> u64 {
    if b == 0 { a } else { gcd(b, a % b) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn trade_forms() {
        assert_eq!(length(Length::from_inches(2.301), Unit::Inch, 3), "2.3010 in");
        assert_eq!(length(Length::from_inches(2.301), Unit::Millimetre, 2), "58.45 mm");
        assert_eq!(signed(Length::from_mm(-0.0127), Unit::Inch, 3), "−0.0005");
        assert_eq!(signed(Length::from_mm(-0.00001), Unit::Inch, 3), "0.0000");
        assert_eq!(fraction(Length::from_inches(1.375), 64), "1 3/8");
        assert_eq!(fraction(Length::from_inches(0.5 + 1.0 / 200.0), 64), "1/2");
        assert_eq!(fraction(Length::from_inches(1.9999), 64), "2");
        assert_eq!(angle(Angle::from_degrees(14.5)), "14½°");
        assert_eq!(angle(Angle::from_degrees(20.0)), "20°");
        assert_eq!(number(2.5), "2.5");
        assert_eq!(places_for(Length::from_mm(0.02)), 2);
        assert_eq!(places_for(Length::from_mm(0.004)), 3);
    }
}
