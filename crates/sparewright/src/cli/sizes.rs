//! Sizes typed on the command line, in the language of the shop.

use quantity::{Length, Unit, read_size};

use super::Refusal;
use crate::shop::bench;

/// The size behind a flag, more than nothing: `0.3`, `0.012 in`, `1/64`. A bare number is in `unit`.
pub fn size(flag: &str, typed: &str, unit: Unit) -> Result<Length, Refusal> {
    read_size(typed, &bench(unit, &[])).map(|size| size.length).map_err(|problem| {
        Refusal(format!("{flag} {typed:?}: {} Write a size, as 0.3 or \"0.012 in\".", problem.message))
    })
}

/// `300x200`, `12 in x 8 in`, `12 x 8 in`: two sizes more than nothing; a unit behind the last holds for both.
pub fn two_sizes(flag: &str, typed: &str, unit: Unit) -> Result<[Length; 2], Refusal> {
    let parts: Vec<&str> = typed.split(['x', 'X', '×']).map(str::trim).collect();
    let [first, second] = parts.as_slice() else {
        return Err(Refusal(format!("{flag} {typed:?}: write a length and a width, as 300x200 or \"12 x 8 in\".")));
    };
    let read = |part: &str, unit: Unit| {
        read_size(part, &bench(unit, &[])).map_err(|problem| {
            Refusal(format!("{flag} {typed:?}: {} Write 300x200 or \"12 x 8 in\".", problem.message))
        })
    };
    let second = read(second, unit)?;
    let first = read(first, second.unit())?;
    Ok([first.length, second.length])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn plates_are_read_as_they_are_called() {
        let mm = |typed: &str| two_sizes("--plate", typed, Unit::Millimetre).map(|sizes| sizes.map(Length::mm)).ok();
        for (typed, read) in [
            ("300x200", [300.0, 200.0]),
            ("300 x 200 mm", [300.0, 200.0]),
            ("12 x 8 in", [304.8, 203.2]),
            ("12 in × 200 mm", [304.8, 200.0]),
            ("1 1/2 in x 1 in", [38.1, 25.4]),
        ] {
            let near = mm(typed).is_some_and(|sizes| sizes.iter().zip(read).all(|(a, b)| (a - b).abs() < 1e-9));
            assert!(near, "{typed}: {:?}", mm(typed));
        }
        for typed in ["", "300", "300x", "x", "0x5", "-3x5", "3x4x5", "axb"] {
            assert_eq!(mm(typed), None, "{typed}");
        }
    }
}
