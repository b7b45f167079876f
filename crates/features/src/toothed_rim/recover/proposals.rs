//! What this shop could measure next on what is left of the rim.

use part::{Circumstances, Dimension, Proposal};
use quantity::Length;

use super::RimRecovery;
use crate::toothed_rim::geometry::Flanks;
use crate::toothed_rim::readings::Measurand;

impl RimRecovery<'_> {
    pub(super) fn propose(&mut self, circumstances: &Circumstances) {
        let unit = self.unit;
        let mut add = |line: String, sigma: Option<Length>, means: Measurand| {
            let known = self.observations.iter().any(|o| self.rim.readings[o.reading].means.as_ref() == Some(&means));
            if let (Some(sigma), false) = (sigma, known) {
                self.proposals.push((Proposal { line, sigma: sigma.mm(), dimension: Dimension::Length }, means));
            }
        };
        let micrometer = circumstances.uncertainty("micrometer").or(circumstances.uncertainty("caliper"));
        let caliper = circumstances.uncertainty("caliper");
        let present = self.rim.teeth_present().unwrap_or(self.rim.teeth().unwrap_or(12));
        for teeth in 2..=present.min(12) {
            add(format!("span over {teeth} teeth"), micrometer, Measurand::Span { teeth });
        }
        for pin in &circumstances.pins {
            let size = quantity::print::figures(*pin, unit, 3);
            if self.rim.whole {
                add(format!("over {size} pins"), micrometer, Measurand::OverPins { pin: *pin });
            } else {
                add(format!("centre to outside of {size} pin"), caliper, Measurand::CentreToPin { pin: *pin });
            }
        }
        if self.rim.whole {
            add("over the tips".into(), caliper, Measurand::OverTheTips);
            add("root diameter".into(), caliper, Measurand::RootDiameter);
        } else {
            add("tip radius".into(), caliper, Measurand::TipRadius);
            add("root radius".into(), caliper, Measurand::RootRadius);
            add(
                format!("chord across {} pitches at tips", present.saturating_sub(1).max(1)),
                caliper,
                Measurand::ChordAcross { pitches: present.saturating_sub(1).max(1) },
            );
        }
        add("whole depth".into(), caliper, Measurand::WholeDepth);
    }
}

/// Does the span touch flanks, does the pin touch them and stand above the tips?
pub fn can_be_taken(means: &Measurand, flanks: &Flanks) -> bool {
    match means {
        Measurand::Span { teeth } => {
            let contact = flanks.span_contact(*teeth);
            contact < flanks.tip_radius
                && flanks.span_leans(*teeth) <= flanks.face
                && contact > flanks.root_radius + 0.25 * (flanks.tip_radius - flanks.root_radius)
        }
        Measurand::OverPins { pin } | Measurand::CentreToPin { pin } => {
            let centre = flanks.pin_centre(pin.mm());
            flanks.pin_contact(pin.mm()) < flanks.tip_radius
                && centre + 0.5 * pin.mm() > flanks.tip_radius
                && centre - 0.5 * pin.mm() > flanks.root_radius
        }
        _ => true,
    }
}
