//! What a job's unit gives its meaning to: figures that have no unit of their own.

use quantity::{Instrument, Line, Unit, read_size};

use crate::job::{forms, piece_forms};
use crate::shop::bench;
use crate::worked::{Worked, kind};
use part::FieldShape;

/// Readings and sizes that would mean something else in another unit.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Bare {
    pub readings: usize,
    pub sizes: usize,
}

impl Bare {
    pub fn of(worked: &Worked, instruments: &[Instrument]) -> Bare {
        let in_unit = |unit| bench(unit, instruments);
        let line = |text: &str, forms: &[quantity::Form]| {
            Line::read(text, forms, &in_unit(Unit::Inch)) != Line::read(text, forms, &in_unit(Unit::Millimetre))
        };
        let size = |text: &str| {
            !text.trim().is_empty()
                && read_size(text, &in_unit(Unit::Inch)) != read_size(text, &in_unit(Unit::Millimetre))
        };
        let mut bare = Bare::default();
        for entry in &worked.entries {
            let Some(kind) = kind(&entry.kind) else { continue };
            let forms = forms(kind);
            let written = entry.lines.iter().filter(|one| one.written.is_some());
            bare.readings += written.filter(|one| line(&one.text, &forms)).count();
            bare.sizes += entry
                .fields
                .iter()
                .map(|field| match field.shape {
                    FieldShape::Size => usize::from(size(&field.value)),
                    // the steps of a path have no units of their own
                    FieldShape::Lines => field.value.lines().count(),
                    FieldShape::YesNo | FieldShape::Count | FieldShape::Text | FieldShape::OneOf(_) => 0,
                })
                .sum::<usize>();
        }
        for one in worked.pieces.iter().flat_map(|piece| &piece.lines) {
            let of = worked.entries.iter().find(|entry| !entry.at.mate && entry.name == one.feature);
            let forms = of.and_then(|entry| kind(&entry.kind)).map(piece_forms).unwrap_or_default();
            bare.readings += usize::from(line(&one.text, &forms));
        }
        let gauge = worked.head.iter().find(|field| field.name == "scan.gauge");
        bare.sizes += usize::from(gauge.is_some_and(|gauge| size(&gauge.value)));
        bare
    }

    pub fn is_none(self) -> bool {
        self.readings + self.sizes == 0
    }

    /// "18 readings and 2 sizes"
    pub fn says(self) -> String {
        let count = |number: usize, one: &str| match number {
            0 => None,
            1 => Some(format!("one {one}")),
            many => Some(format!("{many} {one}s")),
        };
        let both = [count(self.readings, "reading"), count(self.sizes, "other size")];
        both.into_iter().flatten().collect::<Vec<_>>().join(" and ")
    }
}
