//! A characteristic: one thing that is measured on the new part, with its limits.

use quantity::Length;

#[derive(Clone, Debug, PartialEq)]
pub struct Characteristic {
    /// "over 0.1728 in pins", "bore diameter".
    pub name: String,
    pub nominal: Length,
    /// Smallest and largest that pass; none where there is no such limit.
    pub lower: Option<Length>,
    pub upper: Option<Length>,
    pub gauging: Gauging,
    /// Where the limits come from: standard and clause, book, or "common practice".
    pub source: String,
    /// A word on how to take it.
    pub how: String,
}

/// What it is measured with.
#[derive(Clone, Debug, PartialEq)]
pub enum Gauging {
    Caliper,
    Micrometer,
    DepthMicrometer,
    /// Go and not-go plain gauges at the limits.
    PlainGauges,
    /// A micrometer over pins or from the bore to a pin of this diameter.
    OverPins {
        pin: Length,
    },
    Rule,
    /// Laid on the true-scale template.
    Template,
    /// Tried on the mating part itself.
    Mate,
}
