//! The normal distribution far out in its tails, where the plain formulas lose all figures.

use std::f64::consts::{PI, SQRT_2};

pub const LN_SQRT_TAU: f64 = 0.918_938_533_204_672_8;

/// ln of the normal density at `z` standard deviations, for standard deviation `sigma`.
pub fn ln_density(z: f64, sigma: f64) -> f64 {
    -0.5 * z * z - sigma.ln() - LN_SQRT_TAU
}

/// Mills' ratio Q(x)/φ(x) for x > 0, by its continued fraction 1/(x + 1/(x + 2/(x + …)))
/// (Abramowitz & Stegun 26.2.14). Sixty terms give 12 figures from x = 3 upward.
fn mills(x: f64) -> f64 {
    let mut tail = x;
    for term in (1..=60).rev() {
        tail = x + f64::from(term) / tail;
    }
    1.0 / tail
}

/// Below this the error function's complement is small enough that the ratio is taken from the continued fraction.
const TAIL: f64 = -4.0;

/// ln Φ(z).
pub fn ln_cdf(z: f64) -> f64 {
    if z < TAIL { ln_density(z, 1.0) + mills(-z).ln() } else { (0.5 * libm::erfc(-z / SQRT_2)).ln() }
}

/// φ(z)/Φ(z), how strongly a cut at zero pushes the mean up.
pub fn hazard(z: f64) -> f64 {
    if z < TAIL { 1.0 / mills(-z) } else { (-0.5 * z * z).exp() / (2.0 * PI).sqrt() / (0.5 * libm::erfc(-z / SQRT_2)) }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Φ(z), Abramowitz & Stegun (1964), Table 26.1 (z = 1, 2, 3) and Table 26.2 (−log10 Q at 5, 10, 20).
    #[test]
    fn tabulated_probabilities() {
        for (z, cdf) in [(1.0, 0.841_344_746_068_543), (2.0, 0.977_249_868_051_821), (3.0, 0.998_650_101_968_370)] {
            assert!((ln_cdf(z).exp() - cdf).abs() < 1e-14, "{z}");
        }
        for (x, minus_log10_q) in [(5.0, 6.542_65), (10.0, 23.118_05), (20.0, 88.560_10)] {
            assert!((-ln_cdf(-x) / std::f64::consts::LN_10 - minus_log10_q).abs() < 0.5e-5, "{x}");
        }
    }

    #[test]
    fn both_branches_meet() {
        for delta in [1e-9, -1e-9] {
            assert!((ln_cdf(TAIL + delta) - (0.5 * libm::erfc(-(TAIL + delta) / SQRT_2)).ln()).abs() < 1e-10);
            let direct = ln_density(TAIL + delta, 1.0).exp() / (0.5 * libm::erfc(-(TAIL + delta) / SQRT_2));
            assert!((hazard(TAIL + delta) - direct).abs() < 1e-9);
        }
    }
}
