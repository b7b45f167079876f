//! Least squares with a handful of unknowns.

/// Normal equations gathered point by point.
#[derive(Clone, Copy, Debug)]
pub struct Normal<const N: usize> {
    matrix: [[f64; N]; N],
    right: [f64; N],
}

impl<const N: usize> Default for Normal<N> {
    fn default() -> Self {
        Normal { matrix: [[0.0; N]; N], right: [0.0; N] }
    }
}

impl<const N: usize> Normal<N> {
    #[inline]
    pub fn add(&mut self, row: [f64; N], value: f64, weight: f64) {
        for i in 0..N {
            let weighted = weight * row[i];
            self.right[i] += weighted * value;
            for (sum, other) in self.matrix[i][..=i].iter_mut().zip(&row) {
                *sum += weighted * other;
            }
        }
    }

    pub fn solve(&self) -> Option<[f64; N]> {
        let inverse = self.inverse()?;
        Some(std::array::from_fn(|i| (0..N).map(|j| inverse[i][j] * self.right[j]).sum()))
    }

    /// The inverse of the matrix: with weights 1/σ², the covariance. By Cholesky's factors; none where it is singular.
    pub fn inverse(&self) -> Option<[[f64; N]; N]> {
        let mut lower = [[0.0; N]; N];
        for i in 0..N {
            for j in 0..=i {
                let sum: f64 = (0..j).map(|k| lower[i][k] * lower[j][k]).sum();
                let rest = self.matrix[i][j] - sum;
                if i == j {
                    // what rounding leaves of a column that depends on the others
                    if rest <= 1e-13 * self.matrix[i][i] || !rest.is_finite() {
                        return None;
                    }
                    lower[i][i] = rest.sqrt();
                } else {
                    lower[i][j] = rest / lower[j][j];
                }
            }
        }
        let mut half = [[0.0; N]; N];
        for i in 0..N {
            let row = std::array::from_fn(|j| match j.cmp(&i) {
                std::cmp::Ordering::Less => -(j..i).map(|k| lower[i][k] * half[k][j]).sum::<f64>() / lower[i][i],
                std::cmp::Ordering::Equal => 1.0 / lower[i][i],
                std::cmp::Ordering::Greater => 0.0,
            });
            half[i] = row;
        }
        let mut inverse = [[0.0; N]; N];
        for i in 0..N {
            for j in 0..=i {
                let sum = (i..N).map(|k| half[k][i] * half[k][j]).sum();
                inverse[i][j] = sum;
                inverse[j][i] = sum;
            }
        }
        Some(inverse)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_straight_line_through_exact_points() {
        let mut normal = Normal::<2>::default();
        for x in 0..5 {
            normal.add([1.0, f64::from(x)], 3.0 - 2.0 * f64::from(x), 1.0);
        }
        let [a, b] = normal.solve().unwrap();
        assert!((a - 3.0).abs() < 1e-12 && (b + 2.0).abs() < 1e-12);
        // Σx² − (Σx)²/n = 30 − 20
        assert!((normal.inverse().unwrap()[1][1] - 0.1).abs() < 1e-12);
    }

    #[test]
    fn what_is_not_determined_has_no_answer() {
        let mut normal = Normal::<2>::default();
        normal.add([1.0, 1.0], 1.0, 1.0);
        normal.add([2.0, 2.0], 2.0, 1.0);
        assert_eq!(normal.solve(), None);
    }
}
