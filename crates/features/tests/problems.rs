//! What is said of entries that cannot be right, sentence by sentence, in one readable file for each kind.
#![allow(clippy::unwrap_used, clippy::panic, reason = "an entry that cannot be written is a failed test")]

mod shared;

use std::fmt::Write;

use features::kinds;
use part::{Feature, Heritage};
use quantity::Unit;
use shared::{circumstances, first_design, read, told, written};

/// Entries by kind, each a table of fields and readings; sizes are in inches.
const BAD: &[(&str, &[&str])] = &[
    (
        "toothed rim",
        &[
            r#"readings = ["1 tooth", "outside diameter 2.9"]"#,
            r#"readings = ["1 teeth", "outside diameter 2.9"]"#,
            r#"readings = ["0 teeth", "outside diameter 2.9"]"#,
            r#"readings = ["27.5 teeth"]"#,
            r#"readings = ["27 teeth", "span over 1 teeth 0.15"]"#,
            r#"readings = ["12 teeth", "span over 9 teeth 1.0"]"#,
            "whole = false\nreadings = [\"5 teeth present\", \"44 teeth\", \"span over 6 teeth 1.9\"]",
            "whole = false\nreadings = [\"tip radius 2.3\"]",
            "whole = false\nreadings = [\"11 teeth present\", \"44 teeth\", \"over 0.1728 pins 4.6\"]",
            "whole = false\nreadings = [\"11 teeth present\", \"44 teeth\", \"over the tips 4.6\"]",
            "whole = false\nreadings = [\"50 teeth present\", \"44 teeth\"]",
            "whole = false\nreadings = [\"11 teeth present\", \"44 teeth\", \"chord across 11 pitches at tips 3.2\"]",
            "whole = false\nreadings = [\"3 teeth present\", \"4 teeth broken off\"]",
            r#"readings = ["27 teeth", "chord across 27 pitches at tips 2.9"]"#,
            r#"readings = ["27 teeth", "helix angle 15"]"#,
            r#"readings = ["27 teeth", "helix angle -15"]"#,
            r#"readings = ["27 teeth", "helix angle 75"]"#,
            "hand = \"left\"\nreadings = [\"27 teeth\", \"outside diameter 2.9\", \"helix angle 0\"]",
            r#"readings = ["27 teeth", "28 teeth", "outside diameter 2.9"]"#,
            r#"readings = ["27 teeth", "outside diameter 2.9", "root diameter 3.1"]"#,
            r#"readings = ["27 teeth", "1 tooth broken off", "outside diameter 2.9"]"#,
            r#"readings = ["27 teeth"]"#,
            r#"readings = ["27 teeth", "outside diameter 290", "span over 3 teeth 0.7749"]"#,
            r#"readings = ["27 teeth", "outside diamter 2.9", "spam over 3 teeth 0.7749"]"#,
            r#"readings = ["meshes with 10"]"#,
        ],
    ),
    (
        "bore",
        &[
            r#"readings = ["diameter goes 0.8760, not 0.8750"]"#,
            r#"readings = ["diameter goes 0.8760, not 0.8760"]"#,
            "fit = \"runing\"\nreadings = [\"diameter 0.875\"]",
            "fit = \"welded\"\nreadings = [\"diameter 0.875\"]",
            "fit = \"H7/q6\"\nreadings = [\"diameter 0.875\"]",
            "fit = \"p6/H7\"\nreadings = [\"diameter 0.875\"]",
            "fit = \"RC10\"\nreadings = [\"diameter 0.875\"]",
            "fit = \"h6\"\nreadings = [\"diameter 0.875\"]",
            "fit = \"running\"\nmade_to = \"mate\"\nreadings = [\"diameter 0.875\"]",
            "fit = \"running\"\nmate_material = \"cast irn\"\nreadings = [\"diameter 0.875\"]",
            "fit = \"running\"\nreadings = [\"diameter 0.875\", \"boss diameter 0.8\", \"mate inside diameter 1\"]",
            "fit = \"press bush\"\nreadings = [\"diameter 0.875\", \"bush inside diameter 0.9\"]",
            r#"readings = ["diameter 0.875", "across bore and keyway 0.8"]"#,
            r#"readings = ["diameter 0.875", "keyway width 1"]"#,
            r#"readings = ["length 1"]"#,
            "fit = \"running\"\nreadings = [\"diameter 0.875\", \"mate diameter 0.625\"]",
            r#"readings = ["diameter 0"]"#,
            r#"readings = ["radius 0.4375"]"#,
        ],
    ),
    (
        "shaft",
        &[
            r#"readings = ["diameter goes 0.9985, not 1.0000"]"#,
            "fit = \"running\"\nreadings = [\"diameter 0.875\", \"mate diameter 1.0\"]",
            "fit = \"H7\"\nreadings = [\"diameter 0.875\"]",
            "made_to = \"nominal\"\nreadings = [\"diameter 0.875\"]",
            "fit = \"tap\"\nreadings = [\"diameter 0.875\", \"mate diameter goes 0.876, not 0.875\"]",
            "fit = \"tap\"\nreadings = [\"diameter 0.875\", \"mate outside diameter 0.5\"]",
            "fit = \"loos\"\nreadings = [\"diameter 0.875\"]",
            r#"readings = ["length 1"]"#,
        ],
    ),
    (
        "holes",
        &[
            "count = 2\nreadings = [\"diameter 0.25\"]",
            "count = 500\nreadings = [\"diameter 0.25\", \"from bore centre 1\"]",
            "count = 2\nreadings = [\"diameter 0.25\", \"from bore centre 1\", \"between centres 2.5\"]",
            "count = 12\nreadings = [\"diameter 0.25\", \"from bore centre 1\", \"between centres 1\"]",
            "count = 8\nreadings = [\"diameter 1\", \"from bore centre 1\"]",
            "count = 3\nreadings = [\"diameter 0.25\", \"from bore centre 1\", \"at 0 degrees\", \"at 90 degrees\"]",
            "count = 1\nreadings = [\"diameter 0.25\", \"from bore centre 1\", \"at 0 degrees\", \"at 90 degrees\"]",
            "count = 4\nreadings = [\"diameter 0.25\", \"from bore centre 1\", \"between centres 0.2\"]",
            "count = 2\nreadings = [\"diameter 0.25\", \"between centres 1\"]",
            "match_made = true\nreadings = [\"from bore centre 1\"]",
            r#"readings = ["diameter goes 0.099, not 0.098", "from bore centre 1"]"#,
        ],
    ),
    (
        "outline",
        &[
            "",
            r#"path = ["start 0 0"]"#,
            "closed = true\npath = [\"start 0 0\", \"line to 1 1\", \"line to 1 0\", \"line to 0 1\"]",
            r#"path = ["line to 1 1"]"#,
            r#"path = ["start 0 0", "arc to 5 0 about 1 0"]"#,
            r#"path = ["start 0 0", "line to one 0"]"#,
            r#"path = ["start 0 0", "line to 1 0", "curve to 2 2"]"#,
            "closed = true\npath = [\"start 0 0\", \"line to 1 0\", \"line to 0 0\"]",
            "path = [\"start 0 0\", \"line to 1 0\"]\nreadings = [\"diameter 1\"]",
        ],
    ),
];

#[test]
fn every_bad_entry_is_told_why() {
    for kind in kinds() {
        let (_, entries) = BAD
            .iter()
            .find(|(name, _)| *name == kind.name())
            .unwrap_or_else(|| panic!("no bad entry of the kind {}", kind.name()));
        let mut page = String::new();
        for entry in *entries {
            let written = written(*kind, &entry.parse().unwrap(), Unit::Inch);
            let (feature, found) = read(*kind, &written.entry, Unit::Inch);
            let problems = [written.problems.clone(), found].concat();
            for line in entry.lines() {
                writeln!(page, "{line}").unwrap();
            }
            page.push_str(&told(&written.text, &problems));
            if problems.is_empty() {
                writeln!(page, "    {}", outcome(feature.as_deref())).unwrap();
            }
            page.push('\n');
        }
        insta::assert_snapshot!(kind.name().replace(' ', "_"), page);
    }
}

/// What comes of an entry that nothing is said against.
fn outcome(feature: Option<&dyn Feature>) -> String {
    match feature.map(|feature| first_design(feature, &circumstances(Heritage::Inch, Unit::Inch))) {
        None => "nothing to work with".into(),
        Some(Err(why)) => why,
        Some(Ok((_, design))) => design.sentence(Unit::Inch),
    }
}
