//! A first look at a candidate: what its evidence would be with all readings counted, with each one left out, and with each
//! two left out, all from one normal fit.
//!
//! One-sided priors are stood in for by wide normal ones, so that this is no evidence to weigh by; it tells, within
//! [`SLACK`], which suppositions are worth working out.

use nalgebra::{Cholesky, DMatrix, DVector};
use part::Prior;

use crate::linear::Linear;
use crate::normal::{LN_SQRT_TAU, ln_density};

#[derive(Clone, Debug)]
pub struct Glance {
    /// Readings that could not be taken at all if the feature was this: they are wrong, or the candidate is.
    impossible: Vec<usize>,
    /// ln p(all readings but the impossible).
    possible: f64,
    /// What each reading would be by the others, and how uncertain that is with the reading's own uncertainty.
    by_others: Vec<(f64, f64)>,
    /// ln p(reading | the others).
    alone: Vec<f64>,
    /// What is left of the readings once the fit is taken off, and the covariance of that.
    residual: DVector<f64>,
    left: DMatrix<f64>,
    log_sigma: Vec<f64>,
}

/// A glance is this near to the settled evidence, or above it, or the supposition is lost.
pub const SLACK: f64 = 8.0;
/// Spread of the normal prior that stands in for a one-sided one, in its scales: at ten scales it is still within the slack.
const WIDE: f64 = 3.0;

impl Glance {
    /// None where the free values have no say in anything that was read.
    pub fn at(linear: &Linear) -> Option<Glance> {
        let (rows, columns) = (linear.observed.len(), linear.at.len());
        let mut precision = DMatrix::<f64>::zeros(columns, columns);
        let mut pull = DVector::<f64>::zeros(columns);
        // the free values are counted from the point of linearisation
        let mut constant = 0.0;
        for (at, prior) in linear.priors.iter().enumerate() {
            let (mean, sigma) = match *prior {
                Prior::Normal { mean, sigma } => (mean, sigma),
                Prior::OneSided { scale } => (scale, WIDE * scale),
            };
            let off = mean - linear.at[at];
            precision[(at, at)] += 1.0 / (sigma * sigma);
            pull[at] += off / (sigma * sigma);
            constant -= 0.5 * (off / sigma).powi(2) + sigma.ln();
        }
        let mut residual = DVector::<f64>::zeros(rows);
        let mut scaled = DMatrix::<f64>::zeros(rows, columns);
        let mut log_sigma = vec![0.0; rows];
        let mut impossible = Vec::new();
        for row in 0..rows {
            let sigma = linear.sigma[row];
            let off = (linear.observed[row] - linear.predicted[row]) / sigma;
            log_sigma[row] = sigma.ln();
            if off.is_nan() {
                impossible.push(row);
                continue;
            }
            residual[row] = off;
            constant -= 0.5 * off * off + log_sigma[row] + LN_SQRT_TAU;
            for column in 0..columns {
                scaled[(row, column)] = linear.jacobian[(row, column)] / sigma;
                pull[column] += scaled[(row, column)] * off;
            }
            for i in 0..columns {
                for j in 0..columns {
                    precision[(i, j)] += scaled[(row, i)] * scaled[(row, j)];
                }
            }
        }
        let cholesky = Cholesky::new(precision)?;
        let step = cholesky.solve(&pull);
        let half_log_determinant: f64 = cholesky.l_dirty().diagonal().iter().map(|entry| entry.ln()).sum();
        let possible = constant + 0.5 * pull.dot(&step) - half_log_determinant;
        residual -= &scaled * step;
        // 1 - H, H the part that the fit takes up of each reading (in units of sigma)
        let turned = cholesky.l().solve_lower_triangular(&scaled.transpose())?;
        let left = DMatrix::identity(rows, rows) - turned.transpose() * turned;
        let mut by_others = Vec::with_capacity(rows);
        let mut alone = Vec::with_capacity(rows);
        for row in 0..rows {
            let sigma = linear.sigma[row];
            let own = left[(row, row)].max(1e-12);
            let (off, spread) = (residual[row] / own * sigma, sigma / own.sqrt());
            by_others.push((linear.observed[row] - off, spread));
            alone.push(ln_density(off / spread, spread));
        }
        Some(Glance { impossible, possible, by_others, alone, residual, left, log_sigma })
    }

    pub fn all(&self) -> f64 {
        if self.impossible.is_empty() { self.possible } else { f64::NEG_INFINITY }
    }

    pub fn without(&self, row: usize) -> f64 {
        match self.impossible[..] {
            [] => self.possible - self.alone[row],
            [other] if other == row => self.possible,
            _ => f64::NEG_INFINITY,
        }
    }

    pub fn without_two(&self, first: usize, second: usize) -> f64 {
        match self.impossible[..] {
            [] => self.possible - self.together(first, second),
            [other] if other == first => self.possible - self.alone[second],
            [other] if other == second => self.possible - self.alone[first],
            [a, b] if (a, b) == (first, second) => self.possible,
            _ => f64::NEG_INFINITY,
        }
    }

    /// ln p(two readings | the others), normal with what is left: −½ rᵀM⁻¹r + ½ ln|M| − ln σ₁σ₂ − ln 2π.
    fn together(&self, first: usize, second: usize) -> f64 {
        let (a, b, c) = (self.left[(first, first)], self.left[(first, second)], self.left[(second, second)]);
        let determinant = (a * c - b * b).max(1e-12);
        let (r, s) = (self.residual[first], self.residual[second]);
        let square = (c * r * r - 2.0 * b * r * s + a * s * s) / determinant;
        -0.5 * square + 0.5 * determinant.ln() - self.log_sigma[first] - self.log_sigma[second] - 2.0 * LN_SQRT_TAU
    }

    /// How well a value would agree with the other readings, at best: as ln of a density.
    pub fn agrees(&self, row: usize, value: f64) -> f64 {
        let (predicted, spread) = self.by_others[row];
        ln_density((value - predicted) / (2.0 * spread), spread)
    }
}

#[cfg(test)]
mod tests {
    use nalgebra::{DMatrix, DVector};

    use super::*;
    use crate::expectation::integrate;

    /// With normal priors alone a glance is the evidence itself, with readings left out too.
    #[test]
    fn readings_left_out_as_if_never_taken() {
        let linear = Linear {
            at: DVector::from_vec(vec![0.3, -0.2]),
            priors: vec![Prior::Normal { mean: 0.1, sigma: 0.5 }, Prior::Normal { mean: 0.0, sigma: 2.0 }],
            predicted: DVector::from_vec(vec![1.0, 2.0, 0.5, 3.0]),
            jacobian: DMatrix::from_row_slice(4, 2, &[1.0, 0.2, -0.4, 1.0, 0.7, 0.7, 0.0, 1.5]),
            observed: DVector::from_vec(vec![1.2, 1.7, 0.6, 3.9]),
            sigma: DVector::from_vec(vec![0.1, 0.2, 0.05, 0.3]),
        };
        let glance = Glance::at(&linear).expect("numbers");
        let evidence = |left_out: &[usize]| {
            let values: Vec<Option<f64>> =
                (0..4).map(|row| (!left_out.contains(&row)).then_some(linear.observed[row])).collect();
            integrate(&linear, &values).expect("numbers").log_evidence
        };
        assert!((glance.all() - evidence(&[])).abs() < 1e-9);
        // a reading that cannot be predicted is one that is left out
        let mut hidden = linear.clone();
        hidden.predicted[2] = f64::NAN;
        let less = Glance::at(&hidden).expect("numbers");
        assert_eq!(less.all(), f64::NEG_INFINITY);
        assert!((less.without(2) - evidence(&[2])).abs() < 1e-9);
        assert!((less.without_two(1, 2) - evidence(&[1, 2])).abs() < 1e-9);
        for row in 0..4 {
            assert!((glance.without(row) - evidence(&[row])).abs() < 1e-9, "{row}");
            for other in row + 1..4 {
                assert!((glance.without_two(row, other) - evidence(&[row, other])).abs() < 1e-9, "{row} {other}");
            }
        }
    }
}
