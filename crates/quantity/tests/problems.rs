//! Bad lines with their whole message: the place underlined, what was understood, what was expected, what to type.

mod shared;

use std::fmt::Write;

use proptest::prelude::*;
use quantity::{Problem, Unit, read_angle, read_pitch, read_size};
use shared::{bench, read};

const BAD_LINES: &[&str] = &[
    "",
    "   ",
    "diameter",
    "diameter big",
    "diamter 2.301",
    "diameter 2.301 m",
    "diameter 5.84 cm",
    "diameter 2 ft",
    "diameter 2' 3\"",
    "diameter 20 mil",
    "diameter 2,301",
    "over 0,1728 pins 2,317",
    "diameter 58,45 mm, caliper",
    "diameter -0.25",
    "diameter −3/8",
    "diameter 0",
    "diameter 0/8",
    "diameter 900",
    "diameter 30000 mm",
    "diameter 2.30100000001",
    "diameter 3/7",
    "diameter 1 9/8",
    "diameter 3/8 mm",
    "diameter 1/0",
    "diameter 2.3im",
    "diameter 1.2.3",
    "diameter #99",
    "diameter letter AA",
    "diameter 2.301 ± ",
    "diameter 2.301 ± 0",
    "diameter 2.301 ± 5",
    "diameter 2.301 ± a bit",
    "diameter goes 0.875",
    "diameter goes 0.875, not 0.875",
    "diameter goes 0.875, not",
    "diameter 2.301, calliper",
    "diameter 2.301, laser",
    "diameter 2.301,",
    "diameter 2.301, caliper, rule",
    "diameter 2.301, caliper (rusty",
    "diameter 2.301 2.302",
    "0 teeth",
    "27.5 teeth",
    "27 holes",
    "many teeth",
    "spam over 4 teeth 1.08, calliper",
    "span over 4 teeth",
    "span over four teeth 1.0843",
    "tooth thickness 0.157 at deep 0.1",
    "helix angle steep",
    "helix angle 400",
    "helix angle 14° 30'",
    "helix angle 14 1/3",
    "rolled print angle 20 ± 0",
    "meshes with 10",
    "meshes with 10 dp 145",
    "meshes with gears",
    "meshes with 1/4 in dp",
    "meshes with module 2,5",
    "does not mesh with 0 dp",
    "Zahnweite über 4 Zähne 1.08",
    "diameter 2.301 (größer) ✗",
    "note",
];

#[test]
fn bad_lines() {
    let mut out = String::new();
    for line in BAD_LINES {
        let problems = read(line).expect_err(line);
        writeln!(out, "{line}").expect("a string");
        for problem in &problems {
            out.push_str(&shown(line, problem));
        }
        out.push('\n');
    }
    insta::with_settings!({omit_expression => true, description => "read with inches as the bare unit"}, {
        insta::assert_snapshot!(out);
    });
}

fn shown(line: &str, problem: &Problem) -> String {
    let before = line[..problem.at.start].chars().count();
    let under = line[problem.at.clone()].chars().count().max(1);
    let mut out =
        format!("{}{}\n  {}\n  {}\n", " ".repeat(before), "^".repeat(under), problem.message, problem.expected);
    if let Some(help) = &problem.help {
        out.push_str(&format!("  help: {help}\n"));
    }
    out
}

#[test]
fn a_line_as_long_as_a_page_is_refused_at_once() {
    let line = "diameter 2.301 ".repeat(10_000);
    assert_eq!(read(&line).expect_err("too long").len(), 1);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2_000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_text_makes_it_fall_over(text in any::<String>()) {
        check(&text)?;
    }

    /// Close to what is right, so that every branch is reached.
    #[test]
    fn no_jumble_of_its_own_words_makes_it_fall_over(words in proptest::collection::vec(word(), 0..12), glue in glue()) {
        check(&words.join(&glue))?;
    }
}

fn word() -> impl Strategy<Value = String> {
    prop_oneof![
        3 => "[0-9]{1,4}(\\.[0-9]{0,12}|/[0-9]{1,3}|-[0-9]/[0-9]{1,2})?",
        1 => "[-−.,/½⅜#'\"″°±()]{1,3}",
        1 => proptest::sample::select(vec![
            "diameter", "goes", "not", "no", "no.", "number", "letter", "F", "in", "mm", "thou", "cm", "teeth", "present",
            "span", "over", "pins", "pin", "tip", "radius", "centre", "to", "outside", "of", "chord", "across", "tooth",
            "thickness", "at", "depth", "meshes", "does", "mesh", "with", "dp", "module", "m2", "cp", "diametral", "pitch",
            "helix", "angle", "degrees", "caliper", "micrometer", "depth micrometer", "worn", "calipper", "note", "+/-", "+-",
        ]).prop_map(String::from),
        1 => any::<String>(),
    ]
}

fn glue() -> impl Strategy<Value = String> {
    proptest::sample::select(vec![" ", " ", " ", "", "\u{a0}", "\t"]).prop_map(String::from)
}

/// Whatever is written, each problem points at whole characters inside it and says something.
fn check(text: &str) -> Result<(), TestCaseError> {
    let bench = bench(Unit::Millimetre);
    let mut problems = quantity::Line::read(text, shared::FORMS, &bench).err().unwrap_or_default();
    problems.extend(read_size(text, &bench).err());
    problems.extend(read_angle(text).err());
    problems.extend(read_pitch(text).err());
    for problem in problems {
        prop_assert!(text.get(problem.at.clone()).is_some(), "{:?} is outside {:?}", problem.at, text);
        prop_assert!(problem.message.ends_with(['.', '?']), "{}", problem.message);
        prop_assert!(problem.expected.starts_with("expected "), "{}", problem.expected);
    }
    Ok(())
}
