//! The one root finder used here.

/// Halvings after which an interval of doubles cannot shrink any further, whatever its ends.
const HALVINGS: usize = 1100;

/// The place between `low` and `high` where `f` changes sign, to the last double; `f(low)` and `f(high)` must not have the
/// same sign (`None` then). Bisection: about 55 calls, no derivative, cannot run away.
pub(crate) fn bisect(mut low: f64, mut high: f64, f: impl Fn(f64) -> f64) -> Option<f64> {
    let (at_low, at_high) = (f(low), f(high));
    if at_low == 0.0 {
        return Some(low);
    }
    if at_high == 0.0 {
        return Some(high);
    }
    if at_low.is_nan() || at_high.is_nan() || (at_low < 0.0) == (at_high < 0.0) {
        return None;
    }
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        if middle <= low || middle >= high {
            break;
        }
        if (f(middle) < 0.0) == (at_low < 0.0) {
            low = middle;
        } else {
            high = middle;
        }
    }
    Some(0.5 * (low + high))
}
