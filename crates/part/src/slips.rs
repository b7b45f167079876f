//! The usual mistakes in taking a length and writing it down, whatever is measured. Common practice without source.

use quantity::{Length, Line, MM_PER_INCH, Unit, Value};

use crate::recovery::Mistake;

/// What may have been meant in place of what a line says.
pub fn usual_slips(line: &Line, read: Length) -> Vec<Mistake> {
    let inch = line.value().and_then(Value::unit) == Some(Unit::Inch);
    let mut out = Vec::new();
    let mut add = |meant: f64, name: &str| out.push(Mistake { meant, name: name.to_string() });
    let (turn, step) = if inch { (0.025 * MM_PER_INCH, 0.1 * MM_PER_INCH) } else { (0.5, 1.0) };
    // a caliper has no thimble
    let has_thimble = line.instrument.as_deref().is_none_or(|name| name.ends_with("micrometer"));
    for sign in [-1.0, 1.0] {
        if has_thimble {
            add(read.mm() + sign * turn, "one turn of the thimble");
        }
        add(read.mm() + sign * step, if inch { "a tenth of an inch" } else { "one millimetre" });
    }
    for meant in line.value().map(Value::figures_swapped).unwrap_or_default() {
        add(meant.mm(), "two figures swapped");
    }
    out
}
