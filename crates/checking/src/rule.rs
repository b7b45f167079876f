//! Limits, and how far inside them a reading must lie before it proves anything.

use part::Characteristic;
use quantity::Length;

/// The sizes that pass; none on a side where there is no limit.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Limits {
    pub lower: Option<Length>,
    pub upper: Option<Length>,
}

/// How sure one must be before a size is said to be inside its limits, or outside them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rule {
    /// The guard band in standard uncertainties.
    pub guard: f64,
    pub source: &'static str,
}

impl Rule {
    /// The present edition: a guard band of 1.65 u, which leaves one in twenty of what is accepted at the very edge to be
    /// outside after all. It is the one used: it is the standard's default where nothing else was agreed, and it wastes
    /// less of a tolerance that a small shop's instruments take half of as it is. Recalled, not read.
    pub const USUAL: Rule = Rule { guard: 1.65, source: "ISO 14253-1:2017, guard band 1.65 u (recalled)" };

    /// The editions of 1998 and 2013: a guard band as wide as the expanded uncertainty, U = 2 u. Recalled, not read.
    pub const EXPANDED: Rule = Rule { guard: 2.0, source: "ISO 14253-1:1998 and 2013, guard band U = 2 u (recalled)" };

    /// The probability that this guard band stands for: Φ(guard).
    pub fn confidence(&self) -> f64 {
        cumulative(self.guard)
    }

    /// The readings that prove a size to be inside its limits; none where no reading can.
    ///
    /// Equation: from each limit inwards by g, with Φ(g/u) − Φ(−(T − g)/u) = Φ(guard); g = guard · u as long as the other
    /// limit is far, more where both are near.
    /// Units: lengths. Range: u > 0; both limits, or one. None for T < 2 u Φ⁻¹((1 + Φ(guard))/2), about 3.93 u.
    /// Source: JCGM 106:2012, 8.3.2 (guarded acceptance) and 7.2 (conformance probability); ISO 14253-1 for the guard.
    ///
    /// ```
    /// use checking::{Limits, Rule};
    /// use quantity::Length;
    /// let mm = Length::from_mm;
    /// let limits = Limits { lower: Some(mm(19.98)), upper: Some(mm(20.0)) };
    /// let zone = Rule::USUAL.zone(&limits, mm(0.0015)).unwrap();
    /// assert!((zone.lower.unwrap() - mm(19.982475)).abs() < mm(1e-6));
    /// assert!(Rule::USUAL.zone(&limits, mm(0.006)).is_none());
    /// ```
    pub fn zone(&self, limits: &Limits, sigma: Length) -> Option<Limits> {
        let guard = match limits.width() {
            None => sigma * self.guard,
            Some(width) => sigma * self.guard_between(width / sigma)?,
        };
        Some(Limits { lower: limits.lower.map(|lower| lower + guard), upper: limits.upper.map(|upper| upper - guard) })
    }

    /// The guard band in standard uncertainties where the limits are `width` of them apart.
    fn guard_between(&self, width: f64) -> Option<f64> {
        if !width.is_finite() {
            // no uncertainty, no guard band
            return (width > 0.0).then_some(0.0);
        }
        if cumulative(self.guard - width) < FAR {
            return Some(self.guard);
        }
        let inside = |guard: f64| cumulative(guard) - cumulative(guard - width);
        let (mut low, mut high) = (self.guard, width / 2.0);
        if high < low || inside(high) < self.confidence() {
            return None;
        }
        for _ in 0..HALVINGS {
            let middle = (low + high) / 2.0;
            if inside(middle) < self.confidence() {
                low = middle;
            } else {
                high = middle;
            }
        }
        Some(high)
    }
}

/// What limits beyond this probability add to the guard band is lost in the last figure.
const FAR: f64 = 1e-10;
/// Enough to halve any tolerance down to the last figure of a number.
const HALVINGS: u32 = 60;

impl Limits {
    pub fn of(characteristic: &Characteristic) -> Limits {
        Limits { lower: characteristic.lower, upper: characteristic.upper }
    }

    /// The tolerance; none where one side is open.
    pub fn width(&self) -> Option<Length> {
        Some(self.upper? - self.lower?)
    }

    /// How far a size lies from the nearer limit; none without limits.
    pub fn nearest(&self, value: Length) -> Option<Length> {
        let off = [self.lower, self.upper].into_iter().flatten().map(|limit| (value - limit).abs());
        off.min_by(|a, b| a.mm().total_cmp(&b.mm()))
    }
}

/// The normal distribution's Φ(z).
pub(crate) fn cumulative(z: f64) -> f64 {
    0.5 * libm::erfc(-z / std::f64::consts::SQRT_2)
}
