//! The usual mistakes in measuring a rim, each with what would have been read without it.

use part::{Dimension, Mistake, usual_slips};
use quantity::{Length, MM_PER_INCH, Unit, Value};

use super::RimRecovery;
use crate::toothed_rim::readings::Measurand;

impl RimRecovery<'_> {
    pub(super) fn mistakes(&self, candidate: usize, observation: usize) -> Vec<Mistake> {
        let observation = &self.observations[observation];
        if observation.dimension == Dimension::Angle {
            return Vec::new();
        }
        let value = observation.value;
        let line = &self.rim.readings[observation.reading].line;
        let mut out = usual_slips(line, Length::from_mm(value));
        let mut add = |meant: f64, name: &str| out.push(Mistake { meant, name: name.to_string() });
        let start: Vec<f64> = self.candidates[candidate].free.iter().map(|free| free.start).collect();
        let (flanks, _) = self.flanks(candidate, &start);
        match self.means(observation) {
            Measurand::Span { .. } => {
                add(value - flanks.base_pitch(), "one tooth too many in the span");
                add(value + flanks.base_pitch(), "one tooth too few in the span");
            }
            Measurand::ChordAcross { pitches } => {
                let step = flanks.chord_across(*pitches) - flanks.chord_across(pitches.saturating_sub(1));
                add(value - step, "one pitch too many in the chord");
                add(value + step, "one pitch too few in the chord");
            }
            Measurand::OutsideDiameter if flanks.teeth % 2.0 == 1.0 => {
                add(
                    value + 2.0 * flanks.tip_radius - flanks.over_the_tips(),
                    "an odd tooth count measured as if it were even",
                );
            }
            Measurand::TipRadius | Measurand::RootRadius | Measurand::CentreToPin { .. } => {
                add(value / 2.0, "a diameter written for a radius")
            }
            Measurand::OutsideDiameter | Measurand::RootDiameter | Measurand::OverTheTips => {
                add(value * 2.0, "a radius written for a diameter")
            }
            _ => {}
        }
        if line.value().and_then(Value::unit) == Some(Unit::Inch) {
            add(value / MM_PER_INCH, "millimetres written as inches");
        } else {
            add(value * MM_PER_INCH, "inches written as millimetres");
        }
        out
    }

    /// Tips that stand out further than any spur wheel's of this size are the first sign of teeth that lean.
    pub(super) fn may_lean(&self, observation: usize, off_by: f64) -> bool {
        let observation = &self.observations[observation];
        let tips = [Measurand::OutsideDiameter, Measurand::OverTheTips, Measurand::TipRadius];
        self.helix.is_none()
            && tips.contains(self.means(observation))
            && (LEAST_OUT..MOST_OUT).contains(&(off_by / observation.value))
    }
}

/// 1 − cos β for a helix of five degrees, and of sixty.
const LEAST_OUT: f64 = 0.004;
const MOST_OUT: f64 = 0.5;
