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

/// Words that tell of such a duty, as they stand in titles, feature names and remarks. Better one stop too many: a word here
/// that was meant otherwise costs a look, one that is missing may cost a hand.
const DANGEROUS: &[(&str, &[&str])] = &[
    (
        "lifting",
        &[
            "hoist",
            "hoists",
            "hoisting",
            "crane",
            "cranes",
            "winch",
            "winches",
            "windlass",
            "lift",
            "lifts",
            "lifting",
            "lifter",
            "elevator",
            "elevators",
            "jack",
            "jacks",
            "sling",
            "slings",
            "shackle",
            "shackles",
            "tackle",
            "forklift",
        ],
    ),
    (
        "pressure",
        &[
            "boiler",
            "boilers",
            "pressure",
            "pressurised",
            "pressurized",
            "steam",
            "compressor",
            "compressors",
            "hydraulic",
            "hydraulics",
            "pneumatic",
            "autoclave",
            "gas",
        ],
    ),
    ("brakes", &["brake", "brakes", "braking"]),
    ("steering", &["steering", "steerer", "kingpin"]),
    ("towing", &["tow", "towing", "towbar", "hitch", "drawbar"]),
    (
        "firearms",
        &[
            "firearm",
            "firearms",
            "gun",
            "guns",
            "rifle",
            "rifles",
            "pistol",
            "pistols",
            "revolver",
            "revolvers",
            "shotgun",
            "shotguns",
            "musket",
            "breech",
        ],
    ),
    (
        "carrying people",
        &[
            "aircraft",
            "aeroplane",
            "airplane",
            "glider",
            "ride",
            "rides",
            "carousel",
            "wheelchair",
            "ladder",
            "ladders",
            "scaffold",
            "scaffolding",
            "climbing",
            "motorcycle",
            "bicycle",
        ],
    ),
];

impl Duty {
    /// The duty that the words of a title or a remark give away; ordinary where there is no such word.
    pub fn told_by(text: &str) -> Duty {
        let text = text.to_lowercase();
        let words: Vec<&str> = text.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).collect();
        // a bronze, and an angle of teeth
        let harmless = [("gun", "metal"), ("pressure", "angle")];
        let meant = |place: usize| {
            !harmless.iter().any(|(word, next)| words[place] == *word && words.get(place + 1) == Some(next))
        };
        (0..words.len())
            .filter(|&place| meant(place))
            .find_map(|place| DANGEROUS.iter().find(|(_, dangerous)| dangerous.contains(&words[place])))
            .map_or(Duty::Ordinary, |(serves, _)| Duty::CanInjure((*serves).to_string()))
    }

    /// The sentence that comes before the plan.
    pub fn stop(&self) -> Option<String> {
        match self {
            Duty::Ordinary => None,
            Duty::CanInjure(serves) if serves == "firearms" => Some(
                "STOP. This part serves firearms: its failure can injure or kill, and in most places only a licensed gunsmith may make it. Do not \
                 make it or put it to use on the strength of this sheet. A licensed engineer must approve it; local codes and the law come first."
                    .into(),
            ),
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
            "Eye protection, and a mask or extraction for the dust. Guard on, rest set close to the disc, work on the down-going side. The piece gets hot.",
            "Never hold a small piece in the fingers at the sander: use a clamp or a jig.",
        ],
        Step::Face
        | Step::Bore
        | Step::TurnOutside
        | Step::FinishBush
        | Step::TurnBlank
        | Step::MakeBush
        | Step::MakePlug => &[
            "Eye protection; no gloves, sleeves or rings near turning work. Chuck key out before starting; guard closed.",
            "Chips and fresh-cut work are hot and sharp: a hook or a brush, never the fingers.",
        ],
        Step::CutTeeth => {
            &["Eye protection; cutter guarded; brush chips away with the spindle stopped, never with the fingers."]
        }
        Step::Keyway => &["Eye protection. Stand clear of the line of the cutter or broach."],
        Step::PressBush => &[
            "Eye protection. Bush square to the hole, ram guard in place, hands out; cast iron can burst without warning.",
            "If it is shrunk instead, by warmth or cold: dry gloves and face shield, tongs, nothing that burns near, fresh air. Hot and frozen metal look like any other.",
        ],
        Step::Drill | Step::MatchDrill => &[
            "Eye protection. Clamp the work: a small piece held in the hand at the drill press is spun when the drill breaks through.",
        ],
        Step::Deburr => &["Fresh edges cut: handle with a rag until they are broken. A file needs a handle."],
        Step::FinalCheck => &[],
        Step::Pack => &["Solvent and rust oil: fresh air, no flame; oily rags into a metal bin with a lid."],
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
