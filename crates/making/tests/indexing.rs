//! Simple indexing against the published rule, table by table, and replayed as exact fractions.

use std::collections::BTreeSet;

use making::indexing::{self, Division, IndexSheet, Way};
use making::shop::{DividingHead, IndexPlate};
use proptest::prelude::*;

const THREE_PLATES: [&[u32]; 3] = [&[15, 16, 17, 18, 19, 20], &[21, 23, 27, 29, 31, 33], &[37, 39, 41, 43, 47, 49]];
const DOUBLE_SIDED: [&[u32]; 2] =
    [&[24, 25, 28, 30, 34, 37, 38, 39, 41, 42, 43], &[46, 47, 49, 51, 53, 54, 57, 58, 59, 62, 66]];

fn head(ratio: u32, circles: &[&[u32]], direct_holes: Option<u32>) -> DividingHead {
    let plates = circles
        .iter()
        .enumerate()
        .map(|(number, circles)| IndexPlate { name: format!("plate {}", number + 1), circles: circles.to_vec() });
    DividingHead {
        name: format!("{ratio}:1 head"),
        ratio,
        plates: plates.collect(),
        direct_holes: direct_holes.into_iter().collect(),
        ..DividingHead::default()
    }
}

fn index(divisions: u32, cut: u32, head: &DividingHead) -> Result<IndexSheet, String> {
    indexing::index(&Division::new(divisions, cut), head, None)
}

fn index_on_any(divisions: u32, cut: u32, heads: &[DividingHead]) -> Result<IndexSheet, String> {
    indexing::index_on_any(&Division::new(divisions, cut), heads, None)
}

/// The setting on the smallest circle, written as the table writes it.
fn smallest(sheet: &IndexSheet) -> String {
    if sheet.error.is_some() {
        return "-".into();
    }
    let settings = std::iter::once(&sheet.setting).chain(&sheet.others);
    let setting = settings.min_by_key(|setting| setting.circle).expect("one at least");
    match setting.holes {
        0 if setting.turns == 1 => "1 turns".into(),
        0 => format!("{} turns", setting.turns),
        holes => format!("{}+{holes}/{}", setting.turns, setting.circle),
    }
}

/// Rule turns = ratio / divisions, Practical Treatise on Milling and Milling Machines, p. 55; the table's head says more.
#[test]
fn the_table_of_simple_indexing() {
    let heads = [head(40, &THREE_PLATES, None), head(40, &DOUBLE_SIDED, None), head(90, &THREE_PLATES, None)];
    let table = include_str!("data/simple-indexing.csv");
    let rows = table.lines().filter(|line| line.starts_with(|c: char| c.is_ascii_digit()));
    let mut checked = 0;
    for row in rows {
        let fields: Vec<&str> = row.split(',').collect();
        let divisions: u32 = fields[0].parse().unwrap();
        for (head, printed) in heads.iter().zip(&fields[1..]) {
            let sheet = index(divisions, divisions, head).unwrap();
            assert_eq!(smallest(&sheet), *printed, "{divisions} divisions, {}", head.name);
            checked += 1;
        }
    }
    assert!(checked > 3 * 150, "the whole table was read: {checked}");
}

/// Worked moves: ordnance course OD1644 for 6 and 42, a dividing-head practice sheet for 15; handbook index tables, from
/// memory, for the rest.
#[test]
fn worked_moves() {
    let plates = [THREE_PLATES.as_slice(), DOUBLE_SIDED.as_slice()].concat();
    let head = head(40, &plates, None);
    for (divisions, turns, holes, circle) in [
        (6, 6, 12, 18),
        (6, 6, 26, 39),
        (42, 0, 20, 21),
        (15, 2, 18, 27),
        (15, 2, 16, 24),
        (7, 5, 15, 21),
        (9, 4, 12, 27),
        (11, 3, 21, 33),
        (13, 3, 3, 39),
        (23, 1, 17, 23),
        (36, 1, 3, 27),
        (52, 0, 30, 39),
        (68, 0, 10, 17),
        (85, 0, 8, 17),
    ] {
        let sheet = index(divisions, divisions, &head).unwrap();
        let found = std::iter::once(&sheet.setting)
            .chain(&sheet.others)
            .any(|s| (s.turns, s.holes, s.circle) == (turns, holes, circle));
        assert!(found, "{divisions}: {turns} + {holes}/{circle} in {sheet:?}");
    }
}

#[test]
fn the_sector_is_told_in_full() {
    // 11 teeth lie between 12 spaces
    let sheet = index(44, 12, &head(40, &THREE_PLATES, None)).unwrap();
    assert_eq!(sheet.setting.short(40), "30/33");
    assert!(sheet.sentence().contains("30 spaces: 31 holes"), "{}", sheet.sentence());
    let pins: Vec<u32> = sheet.lines.iter().map(|line| line.pin_hole).collect();
    assert_eq!(pins, [0, 30, 27, 24, 21, 18, 15, 12, 9, 6, 3, 0]);
}

/// 127 on the double-sided plates, by hand. Space k truly stands 40 k C/127 holes on; on the 66-hole circle of 2640 holes the
/// remainders of 2640 k by 127 run through all residues, so the worst is 63/127 of a hole and the mean square of the whole
/// wheel is (1² + … + 63²)·2/127³ = (127² − 1)/(12·127²) of a hole squared.
#[test]
fn an_inexact_division_says_so() {
    let head = head(40, &DOUBLE_SIDED, None);
    let whole = index(127, 127, &head).unwrap();
    let error = whole.error.expect("127 is prime and on no plate");
    assert_eq!(whole.setting.circle, 66);
    let hole = 1_296_000.0 / 2640.0;
    assert!((error.largest_seconds - hole * 63.0 / 127.0).abs() < 1e-6, "{error:?}");
    let rms = hole * ((127.0_f64.powi(2) - 1.0) / 12.0).sqrt() / 127.0;
    assert!((error.rms_seconds - rms).abs() < 1e-6, "{error:?}");
    assert_eq!(error.circle_needed, 127);
    // 2640/127 = 20.8: moves of 20 and 21 holes, the wheel closed by the last
    let moves: BTreeSet<u32> = whole.lines[1..].iter().map(|line| line.holes).collect();
    assert_eq!(moves, BTreeSet::from([20, 21]));
    assert!(
        whole.caution().is_some_and(|text| text.contains("244 seconds") && text.contains("127 holes")),
        "{whole:?}"
    );
    assert!(whole.sentence().contains("leave the sector arms alone"));
}

/// Whole turns come back to the same hole on every circle: seventeen more circles are no other settings.
#[test]
fn whole_turns_are_one_setting() {
    let sheet = index(40, 40, &head(40, &THREE_PLATES, None)).unwrap();
    assert_eq!((sheet.setting.turns, sheet.setting.holes), (1, 0));
    assert!(sheet.others.is_empty(), "{:?}", sheet.others);
    assert!(sheet.sentence().contains("1 turn, back to the same hole; any circle serves"), "{}", sheet.sentence());
    let line = |divisions: u32, space: usize| {
        let sheet = index(divisions, divisions, &head(40, &THREE_PLATES, None)).unwrap();
        sheet.lines[space].sentence(&sheet.setting, sheet.ratio)
    };
    assert_eq!(
        [line(40, 0), line(40, 1), line(44, 1), line(36, 1)],
        ["start", "1 turn", "30 holes", "1 turn and 3 holes"]
    );
}

#[test]
fn what_cannot_be_indexed_is_refused() {
    let good = head(40, &THREE_PLATES, None);
    assert!(index(1, 1, &good).is_err());
    assert!(index(44, 0, &good).is_err());
    assert!(index(44, 45, &good).is_err());
    let bare = index(44, 11, &head(40, &[], None)).unwrap_err();
    assert!(bare.contains("no index plates") && bare.contains("11 holes"), "{bare}");
    assert!(index_on_any(44, 11, &[]).unwrap_err().contains("no dividing head"));
    assert!(index(44, 11, &head(0, &[&[0, 33]], None)).is_err());
    let absurd = index(100_000, 100_000, &good).unwrap_err();
    assert!(absurd.contains("1960 in a turn of the work"), "{absurd}");
}

#[test]
fn the_direct_plate_serves_where_the_crank_cannot() {
    let sheet = index(8, 8, &head(40, &[], Some(24))).unwrap();
    assert_eq!((sheet.setting.way, sheet.setting.holes), (Way::Direct, 3));
    assert_eq!(sheet.lines[7].pin_hole, 21);
    let either = index(8, 8, &head(40, &THREE_PLATES, Some(24))).unwrap();
    assert_eq!(either.setting.way, Way::Crank);
    assert!(either.others.iter().any(|setting| setting.way == Way::Direct));
}

#[test]
fn the_exact_head_is_taken_before_the_near_one() {
    let heads = [head(40, &THREE_PLATES, None), head(90, &THREE_PLATES, None)];
    let sheet = index_on_any(63, 63, &heads).unwrap();
    assert_eq!((sheet.ratio, sheet.error), (90, None));
}

#[test]
fn every_count_to_a_thousand_has_a_sheet() {
    let heads = [head(40, &DOUBLE_SIDED, Some(24)), head(90, &THREE_PLATES, None)];
    for divisions in 2..=1000 {
        let sheet = index_on_any(divisions, divisions, &heads).unwrap();
        assert_eq!(sheet.lines.len(), divisions as usize);
        if let Some(error) = sheet.error {
            // from half a hole back to half a hole on, in the largest circle; what lies within ten seconds is not told apart
            assert!(error.cumulated_seconds <= 1_296_000.0 / (40.0 * 66.0) + 10.0, "{divisions}: {error:?}");
        }
    }
}

proptest! {
    /// The crank is turned line by line, hole by hole; after each the work must stand at k/N of a turn exactly.
    #[test]
    fn replayed_line_by_line(
        divisions in 2_u32..400,
        part in 0.01_f64..1.0,
        ratio in prop::sample::select(vec![36_u32, 40, 60, 72, 90, 120]),
        circles in prop::collection::vec(2_u32..70, 1..12),
        direct in prop::option::of(2_u32..80),
    ) {
        let cut = ((f64::from(divisions) * part).ceil() as u32).clamp(1, divisions);
        let most = circles.iter().map(|circle| circle * ratio).chain(direct).max().unwrap_or(0);
        let sheet = index(divisions, cut, &head(ratio, &[&circles], direct));
        prop_assert_eq!(sheet.is_err(), divisions > most);
        let Ok(sheet) = sheet else { return Ok(()) };
        let per_turn = match sheet.setting.way {
            Way::Direct => u128::from(sheet.setting.circle),
            Way::Crank | Way::Dial | Way::Compound(_) | Way::Differential(_) => {
                u128::from(sheet.setting.circle) * u128::from(ratio)
            }
        };
        let (mut counted, mut pin) = (0_u128, 0_u32);
        for line in &sheet.lines {
            counted += u128::from(line.turns) * u128::from(sheet.setting.circle) + u128::from(line.holes);
            for _ in 0..line.holes {
                pin = (pin + 1) % sheet.setting.circle;
            }
            prop_assert_eq!(line.pin_hole, pin);
            prop_assert_eq!(u128::from(line.turns_total.numerator), counted);
            let (moves, n) = (u128::from(line.space - 1), u128::from(divisions));
            match sheet.error {
                // counted / per_turn = moves / divisions
                None => prop_assert_eq!(counted * n, moves * per_turn),
                Some(error) => {
                    let off = (counted as f64 / per_turn as f64 - moves as f64 / n as f64) * 1_296_000.0;
                    prop_assert!(off.abs() <= error.largest_seconds + 1e-6);
                    // half a hole, and no more for the last space than for the first
                    prop_assert!(off.abs() <= 1_296_000.0 / (2.0 * per_turn as f64) + 1e-6);
                }
            }
        }
        prop_assert_eq!(sheet.lines.len(), cut as usize);
        prop_assert!(sheet.lines[1..].iter().all(|line| line.turns + line.holes > 0), "two spaces in one hole");
        // exact exactly where some circle has the division
        let possible = circles.iter().any(|c| (u64::from(*c) * u64::from(ratio)) % u64::from(divisions) == 0)
            || direct.is_some_and(|holes| holes % divisions == 0);
        prop_assert_eq!(sheet.error.is_none(), possible);
    }
}
