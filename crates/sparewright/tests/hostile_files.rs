//! No text makes reading a job or a shop fall over, nor points a problem outside it: anything at all, and right files
//! with pieces struck out, doubled or overwritten. The same properties are fuzzed in `fuzz/`.

use proptest::prelude::*;
use quantity::Problem;
use sparewright::problems::{Dress, render};
use sparewright::{job, shop, text_of};

const JOB: &str = r#"
title    = "Feed sector"
units    = "in"
heritage = "inch"
material = "grey cast iron"
make     = { material = "bronze", pieces = 1, spares = 3, notes = "by \u00bd past nine" }
[[feature]]
name = "teeth"
kind = "toothed rim"
whole = false
readings = [
  "11 teeth present", "tip radius 2.300, caliper", "span over 4 teeth 1.0843, micrometer", 'over 0.1728" pins 2.317',
  """
tooth thickness 0.157 at depth 0.1""", "meshes with 10 dp 14.5", "centre distance 3.2 with a mate of 20 teeth",
]
[[feature]]
kind = "bore"
readings = ["diameter goes 0.8750, not 0.8760", "note worn ± oval"]
fit = "press bush"
[[feature]]
kind = "holes"
match_made = true
count = 2
readings = ["diameter #40", "from bore centre 1 1/16 (½ guessed)", "at 45 degrees"]
[[feature]]
kind = "outline"
path = ["start 0 2", "line to 1 2", "arc to 0 1 about 0 2"]
[[piece]]
number = 1
made = 2031-02-14
done = ["holes"]
went = "fitted"
to = "the \u00bd mill"
[piece.readings]
teeth = ["span over 4 teeth 1.0838, micrometer", "runout 0.0015, indicator"]
bore = ["diameter goes 0.8750, not 0.8760"]
"#;

fn check(text: &str) -> Result<(), TestCaseError> {
    let instruments = shop::built_in_instruments();
    let (job, problems) = job::read(text, features::kinds(), &instruments);
    right_places(text, &problems)?;
    if let (Some(job), true) = (job, problems.is_empty()) {
        let (again, problems) = job::read(&job::print(&job), features::kinds(), &instruments);
        prop_assert!(again.is_some() && problems.is_empty(), "{:?}", problems);
    }
    right_places(text, &shop::read(text).1)
}

fn right_places(text: &str, problems: &[Problem]) -> Result<(), TestCaseError> {
    for problem in problems {
        prop_assert!(text.get(problem.at.clone()).is_some(), "{:?} outside {} bytes", problem, text.len());
        prop_assert!(problem.expected.starts_with("expected "), "{:?}", problem);
        prop_assert!(problem.message.ends_with(['.', '?']), "{:?}", problem);
    }
    let shown = render("file", text, problems, Dress::Plain);
    prop_assert!(shown.trim_end().lines().last().is_some_and(|line| line.starts_with("file: ")));
    Ok(())
}

/// A stretch of a file, by fractions of its length, and what becomes of it.
fn mutation() -> impl Strategy<Value = (f64, f64, u8, String)> {
    let piece = prop_oneof![
        "[\\[\\]{}=,\"'#\\\\\n.-]{1,3}".prop_map(String::from),
        "[0-9]{1,9}(\\.[0-9]{1,9})?",
        proptest::sample::select(vec![
            "[[feature]]\n",
            "\"\"\"",
            "'''",
            "\\u00bd",
            "½",
            "true",
            "1e9",
            "inf",
            "-0",
            " ± ",
            "mm",
            "kind = \"bore\"\n"
        ])
        .prop_map(String::from),
        any::<String>(),
    ];
    (0.0..1.0f64, 0.0..0.05f64, 0u8..4, piece)
}

fn mutate(text: &str, (start, length, what, piece): &(f64, f64, u8, String)) -> String {
    let boundary = |mut at: usize| {
        while !text.is_char_boundary(at) {
            at -= 1;
        }
        at
    };
    let start = boundary((text.len() as f64 * start) as usize);
    let end = boundary((start + (text.len() as f64 * length) as usize).min(text.len()));
    let (before, cut, after) = (&text[..start], &text[start..end], &text[end..]);
    match what {
        0 => format!("{before}{after}"),
        1 => format!("{before}{cut}{cut}{after}"),
        2 => format!("{before}{piece}{after}"),
        _ => format!("{before}{piece}{cut}{after}"),
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_text(text in any::<String>()) {
        check(&text)?;
    }

    #[test]
    fn any_bytes(bytes in proptest::collection::vec(any::<u8>(), 0..200)) {
        match text_of(&bytes) {
            Ok(text) => check(text)?,
            Err(why) => prop_assert!(why.contains("UTF-8")),
        }
    }

    #[test]
    fn a_job_with_changes(mutations in proptest::collection::vec(mutation(), 1..6)) {
        check(&mutations.iter().fold(JOB.to_string(), |text, mutation| mutate(&text, mutation)))?;
    }

    #[test]
    fn a_shop_with_changes(mutations in proptest::collection::vec(mutation(), 1..6)) {
        check(&mutations.iter().fold(shop::BUILT_IN.to_string(), |text, mutation| mutate(&text, mutation)))?;
    }
}

#[test]
fn the_job_that_is_changed_is_right() {
    let (_, problems) = job::read(JOB, features::kinds(), &shop::built_in_instruments());
    assert!(problems.is_empty(), "{}", render("job.toml", JOB, &problems, Dress::Plain));
}

#[test]
fn deep_nesting_is_refused_and_not_run_out_of_stack() {
    for (open, close) in [("[", "]"), ("{a=", "}")] {
        let text = format!("x = {}1{}", open.repeat(50_000), close.repeat(50_000));
        let (_, problems) = job::read(&text, features::kinds(), &[]);
        assert!(!problems.is_empty());
    }
}

/// As long as a file may be, and wrong in every line: each of these would take minutes if any step looked at all
/// problems, names or lines once for each of them.
#[test]
fn a_long_file_of_mistakes_is_read_in_one_pass() {
    let fill = |piece: &str| piece.repeat(sparewright::LARGEST_FILE / piece.len());
    for text in [
        fill("[[feature]]\nkind = \"bore\"\n"),
        fill("[[feature]]\n"),
        format!("[[feature]]\nkind = \"bore\"\nreadings = [\n{}]", fill("\"diamter 2,3\",\n")),
        format!("[[feature]]\nkind = \"bore\"\nreadings = [\n{}]", fill("diameter,\n")),
        (0..60_000).map(|n| format!("key{n} = {n}\n")).collect(),
        fill("= \n"),
        format!("title = \"{}\"", fill("\\u00bd")),
        format!("units = \"{}\"", fill("ab ")),
    ] {
        let (_, problems) = job::read(&text, features::kinds(), &shop::built_in_instruments());
        assert!(right_places(&text, &problems).is_ok());
        assert!(right_places(&text, &shop::read(&text).1).is_ok());
    }
}
