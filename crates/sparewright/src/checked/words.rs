//! Verdicts in words, the same on the terminal, on paper and on the screen.

use checking::{Decision, Limits, Remedy, Shown, Way, With};
use part::{Beyond, Gauging, Mistake};
use quantity::{Length, Unit, print};

use super::{Checked, CheckedPiece, Dimension, SizeVerdict, Standing};
use crate::job::Went;
use crate::report::in_100;
use crate::sheets::capital;

/// Below this a telescopic gauge does not go in; common practice (the smallest of a set closes to 8 mm).
const SMALL_HOLE: Length = Length::from_mm(10.0);

/// What a decision is called.
pub fn decided(decision: Decision) -> &'static str {
    match decision {
        Decision::Accept => "passes",
        Decision::Doubtful => "in doubt",
        Decision::Reject => "does not pass",
    }
}

impl Standing {
    pub fn words(self) -> &'static str {
        match self {
            Standing::Passes => "passes",
            Standing::Unfinished => "not measured throughout",
            Standing::InDoubt => "in doubt",
            Standing::Fails => "does not pass",
        }
    }

    /// As the JSON has it.
    pub fn key(self) -> &'static str {
        match self {
            Standing::Passes => "accept",
            Standing::Unfinished => "unfinished",
            Standing::InDoubt => "doubtful",
            Standing::Fails => "reject",
        }
    }
}

impl Dimension {
    /// What it is taken with, as a tool is named in the operations: "telescopic gauge, mean of 2".
    pub fn with(&self, unit: Unit) -> String {
        let over = match &self.characteristic.gauging {
            Gauging::OverPins { pin } => format!(" over pins of {}", print::length(*pin, unit, 3)),
            _ => String::new(),
        };
        match &self.pick.with {
            With::Read(way) if self.pick.readings > 1 => {
                format!("{}{over}, mean of {}", self.called(way), self.pick.readings)
            }
            With::Read(way) => format!("{}{over}", self.called(way)),
            With::Tries(gauges) => {
                format!(
                    "pins: {} goes, {} not",
                    print::figures(gauges.go, unit, 3),
                    print::figures(gauges.not_go, unit, 3)
                )
            }
            With::Fit => match self.characteristic.gauging {
                Gauging::Template => "the true-scale template".into(),
                _ => "the mating part".into(),
            },
            With::Nothing => "nothing owned".into(),
        }
    }

    /// In a hole that a telescopic gauge does not go into, its smaller fellow is taken.
    fn called<'s>(&self, way: &'s Way) -> &'s str {
        let small = self.characteristic.nominal < SMALL_HOLE;
        if small && way.instrument == "telescopic gauge" { "small-hole gauge" } else { &way.instrument }
    }

    /// Said plainly where nothing owned can show the size to be good; none where something can.
    pub fn cannot_prove(&self, unit: Unit) -> Option<String> {
        if self.pick.proves() {
            return None;
        }
        let name = capital(&self.characteristic.name);
        let why = match (&self.pick.with, self.pick.expanded()) {
            (With::Read(way), Some(u)) => format!(
                "the {} is worth ± {}, which leaves nothing between the limits, however often it is read",
                self.called(way),
                print::length(u, unit, 3)
            ),
            _ => "nothing that takes it is owned".to_string(),
        };
        Some(format!(
            "{name}: this shop cannot prove it, for {why}. Have it measured where more is owned, or try it on its mate and write that down."
        ))
    }

    /// "micrometer ± 0.0003 in, good from 1.0826 to 1.0840"
    fn taken_and_good(&self, unit: Unit) -> String {
        let with = self.with(unit);
        match (self.pick.expanded(), &self.pick.zone) {
            (Some(u), Some(zone)) => format!("{with} ± {}, good {}", print::length(u, unit, 3), from_to(zone, unit)),
            (Some(u), None) => format!("{with} ± {}, which cannot prove it", print::length(u, unit, 3)),
            (None, _) => with,
        }
    }

    /// "span over 4 teeth (teeth)"
    pub fn label(&self) -> String {
        format!("{} ({})", self.characteristic.name, self.feature_name)
    }
}

impl SizeVerdict {
    /// What was read: "1.0838", or "0.8750 goes, 0.8760 does not".
    pub fn figures(&self, unit: Unit) -> String {
        match self.shown {
            Shown::Reading { value, .. } => print::figures(value, unit, 3),
            Shown::Between { low, high, .. } | Shown::Uneven { low, high, .. } => {
                format!("{} to {}", print::figures(low, unit, 3), print::figures(high, unit, 3))
            }
        }
    }

    /// "1.0838 ± 0.0003 in, limits 1.0824 to 1.0843: passes, >99.9 in 100"
    pub fn sentence(&self, unit: Unit) -> String {
        let limits = limits(&Limits::of(&self.characteristic), unit);
        let size = match self.shown {
            Shown::Reading { value, sigma } => {
                format!("{} ± {} {}", print::figures(value, unit, 3), print::figures(sigma * 2.0, unit, 3), unit.sign())
            }
            Shown::Between { .. } => format!("{} {} by gauges", self.figures(unit), unit.sign()),
            Shown::Uneven { sigma, .. } => {
                let within = print::figures(sigma * 2.0, unit, 3);
                format!("{} ± {within} {}, uneven", self.figures(unit), unit.sign())
            }
        };
        let off = self.off(unit).map(|off| format!(", {off}")).unwrap_or_default();
        format!(
            "{size}, {limits}: {}, {} in 100{off}",
            decided(self.judged.decision),
            in_100(self.judged.chances.within)
        )
    }

    /// "0.0006 in over the upper limit"; none for what lies within.
    pub fn off(&self, unit: Unit) -> Option<String> {
        let (beyond, off) = self.beyond()?;
        let off = print::length(off, unit, 3);
        Some(match beyond {
            Beyond::Upper => format!("{off} over the upper limit"),
            Beyond::Lower => format!("{off} under the lower limit"),
        })
    }

    /// On which side it lies outside, and how far.
    fn beyond(&self) -> Option<(Beyond, Length)> {
        let (low, high) = match self.shown {
            Shown::Uneven { low, high, .. } => (low, high),
            Shown::Reading { .. } | Shown::Between { .. } => (self.shown.value(), self.shown.value()),
        };
        let outside = |off: &Length| *off > Length::ZERO;
        let over = self.characteristic.upper.map(|upper| high - upper).filter(outside);
        let under = self.characteristic.lower.map(|lower| lower - low).filter(outside);
        over.map(|off| (Beyond::Upper, off)).or_else(|| under.map(|off| (Beyond::Lower, off)))
    }

    /// Whether one that does not pass can still be brought within its limits by taking metal off.
    pub fn metal_left(&self) -> Option<bool> {
        let rejected = self.judged.decision == Decision::Reject;
        let (beyond, _) = self.beyond().filter(|_| rejected)?;
        Some(self.characteristic.metal_left? == beyond)
    }

    fn mending(&self, unit: Unit) -> Option<String> {
        if !self.metal_left()? {
            return Some("Too much metal is off: no cut brings it back.".into());
        }
        let (beyond, least) = self.beyond()?;
        let most = least + Limits::of(&self.characteristic).width()?;
        let by = format!("{} to {}", print::figures(least, unit, 3), print::length(most, unit, 3));
        Some(match beyond {
            Beyond::Upper => format!("Metal is left to bring it within its limits: take {by} off the size."),
            Beyond::Lower => {
                format!("Metal is left to bring it within its limits: cut on until the size is {by} more.")
            }
        })
    }

    /// What the machinist may have read instead, where a usual slip explains a size that does not pass.
    fn slip(&self, unit: Unit) -> Option<String> {
        let limits = Limits::of(&self.characteristic);
        let (lower, upper) = (limits.lower?.mm(), limits.upper?.mm());
        let read = self.shown.value().mm();
        // limits wider than the slip itself would make it explain anything
        let explains = |slip: &&Mistake| (slip.meant - read).abs() > upper - lower;
        let passes = |slip: &&Mistake| (lower..=upper).contains(&slip.meant);
        let slip = self.slips.iter().filter(explains).find(passes)?;
        Some(format!(
            "It looks like a slip of reading, {}: {} would pass. Read it again before the piece is judged.",
            slip.name,
            print::length(Length::from_mm(slip.meant), unit, 3)
        ))
    }

    /// Of a reading so rough that no figure of it could have proved anything, though something owned can: a fraction off the rule
    /// where the limits are hundredths apart.
    fn read_too_roughly(&self, unit: Unit) -> Option<String> {
        let Shown::Reading { sigma, .. } = self.shown else { return None };
        let width = Limits::of(&self.characteristic).width()?;
        let is_fraction = self.lines.iter().any(|line| line.contains('/'));
        let another = |finer: &&String| is_fraction || self.instrument.as_ref() != Some(finer);
        let finer = self.proved_by.as_ref().filter(another).filter(|_| sigma * 2.0 > width)?;
        Some(format!(
            "As it is written it is worth ± {}, more than lies between its limits: read it in decimals with the {finer}.",
            print::length(sigma * 2.0, unit, 3)
        ))
    }

    /// What would settle a doubtful one, as sentences, and what is odd about its readings; mostly empty for one that is settled.
    pub fn settling(&self, unit: Unit) -> Vec<String> {
        if let Shown::Uneven { low, high, .. } = self.shown {
            return vec![format!(
                "The readings differ by {}, more than the instrument does: it is out of round, tapered, or one is misread. Both ends must pass.",
                print::length(high - low, unit, 3)
            )];
        }
        if self.judged.decision != Decision::Doubtful {
            let slip = self.slip(unit).filter(|_| self.judged.decision == Decision::Reject);
            let or_else = slip
                .as_ref()
                .and(self.mending(unit))
                .map(|told| format!("If it was read right: {}", lower_first(&told)));
            return match slip {
                Some(slip) => std::iter::once(slip).chain(or_else).collect(),
                None => self.mending(unit).into_iter().collect(),
            };
        }
        if let Some(coarse) = self.read_too_roughly(unit) {
            return vec![coarse];
        }
        let size = print::length(self.shown.value(), unit, 3);
        if self.remedies.is_empty() {
            let limits = Limits::of(&self.characteristic);
            let near = limits.nearest(self.shown.value()).map(|off| print::length(off, unit, 3)).unwrap_or_default();
            return vec![format!(
                "It stands {near} from its limit, too near for any instrument here. Take it for one that does not pass, or have it measured where more is owned."
            )];
        }
        let taken = self.counted;
        self.remedies.iter().map(|remedy| remedy_says(remedy, self.instrument.as_deref(), taken, &size)).collect()
    }
}

fn lower_first(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_lowercase().chain(letters).collect())
}

fn remedy_says(remedy: &Remedy, at_hand: Option<&str>, taken: u32, size: &str) -> String {
    let times = |count: u32| match count {
        1 => "once".to_string(),
        2 => "twice".to_string(),
        count => format!("{count} times"),
    };
    match remedy {
        Remedy::Readings { in_all, then } => {
            let more = in_all.saturating_sub(taken).max(1);
            let (readings, with) =
                (if more == 1 { "reading" } else { "readings" }, at_hand.unwrap_or("same instrument"));
            format!(
                "{more} more {readings} with the {with}: if the mean of all {in_all} stays {size}, it {}.",
                decided(*then)
            )
        }
        Remedy::Instrument { name, readings, then } => {
            format!("The {name}, read {}: if it shows {size} too, it {}.", times(*readings), decided(*then))
        }
    }
}

/// "limits 1.0824 to 1.0843", "not over 0.0021"
pub fn limits(limits: &Limits, unit: Unit) -> String {
    let size = |length| print::figures(length, unit, 3);
    match (limits.lower, limits.upper) {
        (Some(lower), Some(upper)) => format!("limits {} to {}", size(lower), size(upper)),
        (Some(lower), None) => format!("not under {}", size(lower)),
        (None, Some(upper)) => format!("not over {}", size(upper)),
        (None, None) => "no limits".into(),
    }
}

impl CheckedPiece<'_> {
    /// "made 14 February 2031, fitted: the museum's mill"
    pub fn history(&self) -> String {
        let Some(piece) = self.of else { return "not made yet".into() };
        let made = piece.made.map(|day| format!("made {}", day.spoken()));
        let to = piece.to.as_ref().map(|to| format!(": {to}")).unwrap_or_default();
        let went = piece.went.map(|went| format!("{}{to}", went.says()));
        let parts: Vec<String> = made.into_iter().chain(went).collect();
        if parts.is_empty() { "in the shop".into() } else { parts.join(", ") }
    }

    /// The names of what is still to be made to its mate.
    pub fn open_names(&self) -> Vec<&str> {
        self.open.iter().map(|open| open.name.as_str()).collect()
    }

    pub(super) fn what_does_not_go_together(&self) -> Vec<String> {
        let Some(went) = self.of.and_then(|piece| piece.went) else { return Vec::new() };
        let mut out = Vec::new();
        let left = matches!(went, Went::Fitted | Went::Shipped);
        if left && self.standing == Standing::Fails {
            out.push(format!(
                "It was {} although it does not pass: call it back, or write down who took it as it is.",
                went.says()
            ));
        }
        let open = self.open_names();
        if went == Went::Fitted && !open.is_empty() {
            out.push(format!(
                "It was fitted, but its match-made features are not written as done: {}.",
                open.join(", ")
            ));
        }
        out
    }
}

impl Went {
    pub fn says(self) -> &'static str {
        match self {
            Went::Fitted => "fitted",
            Went::Shipped => "shipped",
            Went::Shelf => "on the shelf",
        }
    }
}

impl Checked<'_> {
    /// What to measure and with what, for the terminal.
    pub fn what_to_measure(&self, unit: Unit) -> String {
        let mut out = String::new();
        let mut feature = None;
        for dimension in &self.dimensions {
            if feature.replace(&dimension.feature_name) != Some(&dimension.feature_name) {
                out.push_str(&format!("\n{}\n", dimension.feature_name));
            }
            let one = &dimension.characteristic;
            out.push_str(&format!(
                "  {:<36} {:<24} {}\n",
                one.name,
                limits(&Limits::of(one), unit),
                dimension.taken_and_good(unit)
            ));
        }
        out
    }

    /// The pieces with their verdicts, for the terminal.
    pub fn pieces_in_words(&self, unit: Unit) -> String {
        if self.pieces.is_empty() {
            return "\nNo piece is written in this job yet. Add [[piece]] with its number and its readings.\n".into();
        }
        self.pieces.iter().map(|piece| piece.in_words(unit)).collect()
    }
}

impl CheckedPiece<'_> {
    fn in_words(&self, unit: Unit) -> String {
        let mut out = format!("\nPiece {}: {}\n  {}\n", self.number, self.standing.words(), self.history());
        for size in &self.sizes {
            out.push_str(&format!(
                "  {} ({})\n      {}\n",
                size.characteristic.name,
                size.feature_name,
                size.sentence(unit)
            ));
            for way in size.settling(unit) {
                out.push_str(&format!("      {way}\n"));
            }
        }
        let lists = [
            ("Not measured yet", self.unread.join(", ")),
            ("Kept, without limits", self.kept.join("; ")),
            ("Left to its mate", self.open_names().join(", ")),
        ];
        for (what, list) in lists.iter().filter(|(_, list)| !list.is_empty()) {
            out.push_str(&format!("  {what}: {list}.\n"));
        }
        let remark = self.of.and_then(|piece| piece.remark.as_ref());
        for sentence in self.warnings.iter().chain(remark) {
            out.push_str(&format!("  {sentence}\n"));
        }
        out
    }
}

/// The place to which readings are written, as sheets ask for them.
pub fn last_place(unit: Unit) -> Length {
    match unit {
        Unit::Inch => Length::from_inches(0.0001),
        Unit::Millimetre => Length::from_mm(0.001),
    }
}

/// The ends of a zone of readings, rounded inwards, so that what is written at an end still lies inside; none where it is open.
pub fn ends(zone: &Limits, unit: Unit) -> (Option<String>, Option<String>) {
    let place = last_place(unit);
    // a hair that the way through inches and back may add
    const HAIR: f64 = 1e-6;
    let (up, down) = (
        |length: Length| place * (length / place - HAIR).ceil(),
        |length: Length| place * (length / place + HAIR).floor(),
    );
    match (zone.lower.map(up), zone.upper.map(down)) {
        // narrower than the last figure: said one figure finer
        (Some(lower), Some(upper)) if lower > upper => (
            zone.lower.map(|length| print::figures(length, unit, 4)),
            zone.upper.map(|length| print::figures(length, unit, 4)),
        ),
        (lower, upper) => {
            let size = |length| print::figures(length, unit, 3);
            (lower.map(size), upper.map(size))
        }
    }
}

/// "from 1.0826 to 1.0840", "up to 0.0018"
pub fn from_to(zone: &Limits, unit: Unit) -> String {
    match ends(zone, unit) {
        (Some(lower), Some(upper)) => format!("from {lower} to {upper}"),
        (Some(lower), None) => format!("from {lower} up"),
        (None, Some(upper)) => format!("up to {upper}"),
        (None, None) => "at any size".into(),
    }
}

/// With a capital, as a sentence begins.
pub fn sentence_case(text: &str) -> String {
    capital(text)
}
