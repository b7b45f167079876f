//! Drawing scales.

use std::fmt;

/// A scale of the recommended series, written enlargement first: 2:1 draws twice the size, 1:2 half.
#[derive(Clone, Copy, Debug, Eq, PartialEq)]
pub struct Scale {
    paper: u32,
    part: u32,
}

/// The recommended scales from the largest, ISO 5455:1979 clause 5.
const SERIES: [Scale; 15] = [
    Scale::of(50, 1),
    Scale::of(20, 1),
    Scale::of(10, 1),
    Scale::of(5, 1),
    Scale::of(2, 1),
    Scale::of(1, 1),
    Scale::of(1, 2),
    Scale::of(1, 5),
    Scale::of(1, 10),
    Scale::of(1, 20),
    Scale::of(1, 50),
    Scale::of(1, 100),
    Scale::of(1, 200),
    Scale::of(1, 500),
    Scale::of(1, 1000),
];

impl Scale {
    pub const FULL: Scale = Scale::of(1, 1);
    pub const LARGEST: Scale = SERIES[0];

    const fn of(paper: u32, part: u32) -> Scale {
        Scale { paper, part }
    }

    /// Paper length over part length.
    pub fn factor(self) -> f64 {
        f64::from(self.paper) / f64::from(self.part)
    }

    /// The recommended scales from `largest` down.
    pub(crate) fn up_to(largest: Scale) -> impl Iterator<Item = Scale> {
        SERIES.into_iter().filter(move |scale| scale.factor() <= largest.factor())
    }

    /// The largest recommended scale at which something `size` wide and high fits into `room`, all in mm.
    ///
    /// Leave the room that dimensions need out of `room`. What fits at no scale gets the smallest.
    pub fn fit(size: kurbo::Size, room: kurbo::Size) -> Scale {
        SERIES
            .into_iter()
            .find(|scale| size.width * scale.factor() <= room.width && size.height * scale.factor() <= room.height)
            .unwrap_or(SERIES[SERIES.len() - 1])
    }
}

impl fmt::Display for Scale {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}", self.paper, self.part)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::Size;

    #[test]
    fn the_largest_scale_that_fits() {
        let room = Size::new(120.0, 90.0);
        for (width, height, written) in [
            (100.0, 80.0, "1:1"),
            (59.0, 44.0, "2:1"),
            (59.0, 46.0, "1:1"),
            (121.0, 10.0, "1:2"),
            (10.0, 1000.0, "1:20"),
            (1.0, 1.0, "50:1"),
            (0.0, 0.0, "50:1"),
            (f64::MAX, 1.0, "1:1000"),
        ] {
            assert_eq!(Scale::fit(Size::new(width, height), room).to_string(), written);
        }
    }
}
