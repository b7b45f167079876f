//! What limits and readings leave open, over many values.

use quantity::Length;

use crate::joint::Span;

impl Span<f64> {
    /// None for no values at all.
    pub fn over(values: impl IntoIterator<Item = f64>) -> Option<Span<f64>> {
        let mut values = values.into_iter();
        let first = values.next()?;
        let ends = (first, first);
        let (least, most) = values.fold(ends, |(least, most), value| (least.min(value), most.max(value)));
        Some(Span { least, most })
    }

    pub fn middle(self) -> f64 {
        0.5 * (self.least + self.most)
    }
}

impl Span<Length> {
    pub fn of_lengths(values: impl IntoIterator<Item = Length>) -> Option<Span<Length>> {
        let range = Span::over(values.into_iter().map(Length::mm))?;
        Some(Span { least: Length::from_mm(range.least), most: Length::from_mm(range.most) })
    }
}
