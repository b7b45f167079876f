//! What can be measured on a rim, and what it truly is there.
//!
//! Worked out by the exact toothing of `geometry`, not by the formulas that the findings engine predicts with.

use std::f64::consts::PI;

use quantity::{Form, Length, Line, Unit, print};

use crate::world::Rim;

#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Ask {
    OutsideDiameter,
    OverTheTips,
    TipRadius,
    RootDiameter,
    RootRadius,
    WholeDepth,
    Span(u32),
    OverPins(Length),
    CentreToPin(Length),
    Chord(u32),
    Thickness(Length),
}

impl Ask {
    /// How its line begins.
    pub fn words(self, unit: Unit) -> String {
        match self {
            Ask::OutsideDiameter => "outside diameter".into(),
            Ask::OverTheTips => "over the tips".into(),
            Ask::TipRadius => "tip radius".into(),
            Ask::RootDiameter => "root diameter".into(),
            Ask::RootRadius => "root radius".into(),
            Ask::WholeDepth => "whole depth".into(),
            Ask::Span(teeth) => format!("span over {teeth} teeth"),
            Ask::OverPins(pin) => format!("over {} pins", size(pin, unit)),
            Ask::CentreToPin(pin) => format!("centre to outside of {} pin", size(pin, unit)),
            Ask::Chord(pitches) => format!("chord across {pitches} pitches at tips"),
            Ask::Thickness(_) => "tooth thickness".into(),
        }
    }

    /// How its line goes on behind the value.
    pub fn tail(self, unit: Unit) -> String {
        match self {
            Ask::Thickness(depth) => format!(" at depth {}", size(depth, unit)),
            _ => String::new(),
        }
    }

    /// What a line asks for; none if it is no measuring of the teeth.
    pub fn of(line: &Line) -> Option<Ask> {
        let is = |pattern| line.pattern == Form(pattern);
        let count = line.count().unwrap_or(1);
        let given = line.size().map_or(Length::ZERO, |size| size.length);
        Some(match () {
            () if is("outside diameter {reading}") => Ask::OutsideDiameter,
            () if is("over the tips {reading}") => Ask::OverTheTips,
            () if is("tip radius {reading}") => Ask::TipRadius,
            () if is("root diameter {reading}") => Ask::RootDiameter,
            () if is("root radius {reading}") => Ask::RootRadius,
            () if is("whole depth {reading}") => Ask::WholeDepth,
            () if is("span over {count} teeth {reading}") => Ask::Span(count),
            () if is("over {size} pins|pin {reading}") => Ask::OverPins(given),
            () if is("centre|center to outside of {size} pin {reading}") => Ask::CentreToPin(given),
            () if is("chord across {count} pitches|pitch at tips {reading}") => Ask::Chord(count),
            () if is("tooth thickness {reading} at depth {size}") => Ask::Thickness(given),
            () => return None,
        })
    }

    /// What a perfect instrument shows, in mm; none where it cannot be laid on.
    pub fn truth(self, rim: &Rim) -> Option<f64> {
        let teeth = &rim.worn;
        Some(match self {
            Ask::OutsideDiameter => teeth.tip_diameter().mm(),
            Ask::OverTheTips => teeth.across_tips().mm(),
            Ask::TipRadius => 0.5 * teeth.tip_diameter().mm() + rim.eccentric,
            Ask::RootDiameter => teeth.root_diameter().mm(),
            Ask::RootRadius => 0.5 * teeth.root_diameter().mm() + rim.eccentric,
            Ask::WholeDepth => teeth.whole_depth().mm(),
            Ask::Span(count) => {
                let lands = teeth.span_range()?.contains(&count) && count <= rim.present;
                lands.then(|| teeth.span(count).mm())?
            }
            Ask::OverPins(pin) => teeth.over_pins(pin).ok()?.mm(),
            Ask::CentreToPin(pin) => teeth.centre_to_outside_of_pin(pin).ok()?.mm() + rim.eccentric,
            Ask::Chord(pitches) => (pitches < rim.present).then(|| teeth.chord_across_pitches(pitches).mm())?,
            Ask::Thickness(depth) => teeth.thickness_at_depth(depth).ok()?.mm(),
        })
    }

    /// Touches flanks, and so tells of base pitch and thickness.
    pub fn is_of_flanks(self) -> bool {
        match self {
            Ask::Span(_) | Ask::OverPins(_) | Ask::CentreToPin(_) | Ask::Thickness(_) => true,
            Ask::OutsideDiameter
            | Ask::OverTheTips
            | Ask::TipRadius
            | Ask::RootDiameter
            | Ask::RootRadius
            | Ask::WholeDepth
            | Ask::Chord(_) => false,
        }
    }

    pub fn is_of_root(self) -> bool {
        matches!(self, Ask::RootDiameter | Ask::RootRadius | Ask::WholeDepth)
    }

    /// Of the tips from the centre.
    pub fn is_of_tips(self) -> bool {
        matches!(self, Ask::OutsideDiameter | Ask::OverTheTips | Ask::TipRadius)
    }
}

/// A size that is given, in the shop's unit.
fn size(length: Length, unit: Unit) -> String {
    print::figures(length, unit, 3)
}

/// The longest chord over whole teeth that is not a diameter.
pub fn widest_chord(rim: &Rim) -> u32 {
    let half = (f64::from(rim.worn.teeth()) * (2.5 / PI).min(0.5)) as u32;
    rim.present.saturating_sub(1).min(half).max(1)
}
