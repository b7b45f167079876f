//! Cautions said where they belong, and the parts that are not for a repair shop to decide alone.

use serde::Serialize;

use crate::order::Step;

/// What hangs on the part.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub enum Duty {
    /// Its failure stops a machine.
    #[default]
    Ordinary,
    /// Its failure can injure; the word says what it serves: "lifting", "brakes".
    CanInjure(String),
}

/// Words of a title or a remark that tell of such a duty.
const DANGEROUS: &[(&str, &[&str])] = &[
    (
        "lifting",
        &[
            "hoist",
            "hoists",
            "crane",
            "cranes",
            "winch",
            "winches",
            "lift",
            "lifts",
            "lifting",
            "elevator",
            "elevators",
            "jack",
            "sling",
        ],
    ),
    ("pressure", &["boiler", "boilers", "pressure", "steam", "compressor", "hydraulic", "autoclave"]),
    ("brakes", &["brake", "brakes", "braking"]),
    ("steering", &["steering"]),
    ("carrying people", &["aircraft", "aeroplane", "airplane", "ride", "wheelchair", "ladder", "scaffold"]),
];

impl Duty {
    /// The duty that the words of a title or a remark give away; ordinary where there is no such word.
    pub fn told_by(text: &str) -> Duty {
        let text = text.to_lowercase();
        let mut words = text.split(|c: char| !c.is_alphanumeric());
        words
            .find_map(|word| DANGEROUS.iter().find(|(_, words)| words.contains(&word)))
            .map_or(Duty::Ordinary, |(serves, _)| Duty::CanInjure((*serves).to_string()))
    }

    /// The sentence that comes before the plan.
    pub fn stop(&self) -> Option<String> {
        match self {
            Duty::Ordinary => None,
            Duty::CanInjure(serves) => Some(format!(
                "STOP. This part serves {serves}: its failure can injure or kill. Do not put it to use on the strength of this sheet. A licensed \
                 engineer must approve its material, size and making, and local codes come first."
            )),
        }
    }
}

/// The usual cautions of a step; common practice, local rules come first.
pub(crate) fn cautions(step: Step) -> &'static [&'static str] {
    match step {
        Step::SawBlank | Step::SawOutline => &[
            "Eye protection. Blade guard down to just above the work.",
            "Never hold a small piece in the fingers at the saw: clamp it, or glue it to a board.",
        ],
        Step::SandOutline => &[
            "Eye protection, and a mask or extraction for the dust. Rest set close to the disc or belt, work on the down-going side.",
            "Never hold a small piece in the fingers at the sander: use a clamp or a jig.",
        ],
        Step::Face | Step::Bore | Step::TurnOutside | Step::TurnBlank | Step::MakeBush | Step::MakePlug => &[
            "Eye protection; no gloves, sleeves or rings near turning work. Chuck key out before starting; guard closed.",
        ],
        Step::CutTeeth => {
            &["Eye protection; cutter guarded; brush chips away with the spindle stopped, never with the fingers."]
        }
        Step::Keyway => &["Eye protection. Stand clear of the line of the cutter or broach."],
        Step::PressBush => &[
            "Eye protection. Bush square to the hole, ram guard in place, hands out; cast iron can burst without warning.",
        ],
        Step::Drill | Step::MatchDrill => &[
            "Eye protection. Clamp the work: a small piece held in the hand at the drill press is spun when the drill breaks through.",
        ],
        Step::Deburr => &["Fresh edges cut: handle with a rag until they are broken. A file needs a handle."],
        Step::FinalCheck => &[],
    }
}

/// A sentence's beginning where it goes on in another; a letter drill keeps its letter.
pub(crate) fn capital(text: &str) -> String {
    let mut chars = text.chars();
    match chars.next() {
        Some(first) => first.to_uppercase().chain(chars).collect(),
        None => String::new(),
    }
}

pub(crate) fn lower_first(text: &str) -> String {
    let mut chars = text.chars();
    match chars.next() {
        Some(first) if chars.as_str().starts_with(|next: char| next.is_lowercase()) => {
            first.to_lowercase().chain(chars).collect()
        }
        Some(_) | None => text.to_string(),
    }
}
