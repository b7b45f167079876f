//! A figure that limits and readings leave open between two ends.

use quantity::Length;

#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Range<T> {
    pub least: T,
    pub most: T,
}

impl Range<f64> {
    /// None for no values at all.
    pub fn over(values: impl IntoIterator<Item = f64>) -> Option<Range<f64>> {
        let mut values = values.into_iter();
        let first = values.next()?;
        let ends = (first, first);
        let (least, most) = values.fold(ends, |(least, most), value| (least.min(value), most.max(value)));
        Some(Range { least, most })
    }

    pub fn middle(self) -> f64 {
        0.5 * (self.least + self.most)
    }
}

impl Range<Length> {
    pub fn of_lengths(values: impl IntoIterator<Item = Length>) -> Option<Range<Length>> {
        let range = Range::over(values.into_iter().map(Length::mm))?;
        Some(Range { least: Length::from_mm(range.least), most: Length::from_mm(range.most) })
    }
}
