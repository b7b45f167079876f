//! A characteristic: one thing that is measured on the new part, with its limits.

use quantity::{Length, Line};

#[derive(Clone, Debug, PartialEq)]
pub struct Characteristic {
    /// "over 0.1728 in pins", "bore diameter".
    pub name: String,
    pub nominal: Length,
    /// Smallest and largest that pass; none where there is no such limit.
    pub lower: Option<Length>,
    pub upper: Option<Length>,
    pub gauging: Gauging,
    /// Beyond which of its limits there is metal left that can still be taken off; none where nothing brings it back.
    pub metal_left: Option<Beyond>,
    /// Where the limits come from: standard and clause, book, or "common practice".
    pub source: String,
    /// A word on how to take it.
    pub how: String,
}

/// A side on which a size lies outside its limits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Beyond {
    Lower,
    Upper,
}

/// What it is measured with.
#[derive(Clone, Debug, PartialEq)]
pub enum Gauging {
    Caliper,
    Micrometer,
    DepthMicrometer,
    /// Inside a hole: go and not-go plain gauges, or a gauge set in it and measured over.
    PlainGauges,
    /// A micrometer over pins or from the bore to a pin of this diameter.
    OverPins {
        pin: Length,
    },
    Rule,
    /// A dial indicator, the part turned true on its bore.
    Indicator,
    /// Laid on the true-scale template.
    Template,
    /// Tried on the mating part itself.
    Mate,
}

impl Characteristic {
    /// Whether a reading says how large this is: the characteristic's name is what stands before the value in such a line, with
    /// one word before it here and there ("bore diameter" is read as "diameter 0.8752").
    pub fn is_read_by(&self, line: &Line) -> bool {
        let Some(lead) = line.lead() else { return false };
        let rest = self.name.strip_suffix(&lead).map(str::trim_end);
        rest.is_some_and(|before| {
            before.is_empty() || (self.name.len() > lead.len() + before.len() && !before.contains(' '))
        })
    }
}
