//! Pieces against their limits: what the sheet calls good passes, what is in doubt says what settles it, and one reading just
//! typed is judged as the same reading in the file.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test stops at what it did not expect")]

use checking::{Decision, Remedy, With};
use making::shop::Shop;
use quantity::{Length, Unit, print};
use sparewright::checked::words::ends;
use sparewright::checked::{Checked, SizeVerdict, Standing, checked, result, verdict};
use sparewright::job::{self, Job};
use sparewright::scanned::Folder;
use sparewright::shop;
use sparewright::solve::solve;

const DEMOS: [(&str, &str); 5] = [
    ("sector", include_str!("../../../demo/apple-mill-sector.toml")),
    ("gear", include_str!("../../../demo/ropewalk-gear.toml")),
    ("bush", include_str!("../../../demo/apple-mill-bush.toml")),
    ("shaft", include_str!("../../../demo/apple-mill-shaft.toml")),
    ("pins", include_str!("../../../demo/apple-mill-pins.toml")),
];

fn opened(text: &str) -> (Job, Shop) {
    let shop = shop::built_in();
    let pictures = Folder::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../../demo"));
    let (job, problems) = job::read_with(text, features::kinds(), &shop.instruments, &pictures);
    assert_eq!(problems, []);
    (job.expect("a job reads"), shop)
}

/// A sector without a picture, made quickly, and pieces written below it.
fn sector(pieces: &str) -> (Job, Shop) {
    let start = DEMOS[0].1.split("# The pieces").next().expect("a beginning");
    let plain: String =
        start.lines().filter(|line| !line.starts_with("scan ")).map(|line| format!("{line}\n")).collect();
    let plain = plain.replace("[[feature]]\nname = \"back profile\"\nkind = \"outline\"\n", "");
    opened(&format!("{plain}\n{pieces}"))
}

fn piece<'s>(checked: &'s Checked<'_>, number: u32) -> &'s sparewright::checked::CheckedPiece<'s> {
    checked.pieces.iter().find(|piece| piece.number == number).expect("the piece")
}

fn size<'s>(checked: &'s Checked<'_>, number: u32, name: &str) -> &'s SizeVerdict {
    piece(checked, number).sizes.iter().find(|size| size.characteristic.name == name).expect("the size")
}

#[test]
fn verdicts_in_words() {
    let (job, shop) = opened(DEMOS[0].1);
    let mut checked = checked(&solve(&job, &shop));
    checked.pieces.retain(|piece| piece.of.is_some());
    insta::assert_snapshot!(format!("{}{}", checked.what_to_measure(job.unit), checked.pieces_in_words(job.unit)));
}

/// Each thing that is measured has an instrument of the built-in shop that can prove it good, or the sheet says that this shop
/// cannot.
#[test]
fn every_size_can_be_proved_or_the_sheet_says_that_it_cannot() {
    let (mut proved, mut not) = (0, 0);
    for (name, text) in DEMOS {
        let (job, shop) = opened(text);
        let solved = solve(&job, &shop);
        let checked = checked(&solved);
        let shape = sparewright::shape::PartShape::of(&solved);
        let plan = sparewright::planned::planned(&solved, shape.as_ref(), &shop);
        let work = sparewright::sheets::Work {
            solved: &solved,
            shape: shape.as_ref(),
            plan: &plan,
            checked: &checked,
            shop: &shop,
            date: String::new(),
        };
        let sheets = serde_json::to_string(&sparewright::sheets::pack(&work)).unwrap();
        for dimension in &checked.dimensions {
            assert_ne!(dimension.pick.with, With::Nothing, "{name}: {}", dimension.label());
            let says = format!(
                "{}: this shop cannot prove it",
                sparewright::checked::words::sentence_case(&dimension.characteristic.name)
            );
            if dimension.pick.with == With::Fit {
                continue;
            }
            let zone = dimension.pick.zone.is_some_and(|zone| zone.width().is_none_or(|width| width > Length::ZERO));
            assert_eq!(zone, !sheets.contains(&says), "{name}: {}", dimension.label());
            proved += u32::from(zone);
            not += u32::from(!zone);
        }
        // and the plan's last check takes the same instrument
        let last = plan.operations.iter().flat_map(|operation| &operation.checks);
        let last: Vec<_> = last.collect();
        for dimension in checked.dimensions.iter().filter(|one| one.asked) {
            let same = last.iter().rfind(|check| check.what.starts_with(&dimension.characteristic.name));
            assert_eq!(same.map(|check| check.instrument.label.clone()), Some(dimension.with(job.unit)), "{name}");
        }
    }
    // g6 on a quarter-inch pin leaves 9 µm: a micrometer worth ± 8 cannot prove it
    assert!(proved > 15 && not >= 1, "{proved} {not}");
}

/// A reading written at the very end of what the sheet calls good passes; half a tolerance beyond the limit it does not.
#[test]
fn what_the_sheet_calls_good_passes() {
    let mut tried = 0;
    for (name, text) in DEMOS {
        let (job, shop) = opened(text);
        let solved = solve(&job, &shop);
        for dimension in checked(&solved).dimensions {
            let (With::Read(way), Some(zone), 1) = (&dimension.pick.with, dimension.pick.zone, dimension.pick.readings)
            else {
                continue;
            };
            let feature =
                dimension.feature.map_or(job.features[0].name.clone(), |index| job.features[index].name.clone());
            let judge = |figures: &str| {
                let own = &dimension.characteristic.name;
                // "bore diameter" is read as "diameter"
                let leads = [own.as_str(), own.split_once(' ').map_or(own.as_str(), |(_, rest)| rest)];
                let line =
                    |lead: &&str| verdict(&solved, &feature, &format!("{lead} {figures}, {}", way.instrument)).ok();
                let found = leads.iter().find_map(line).filter(|found| found.characteristic.name == *own);
                found.unwrap_or_else(|| panic!("{name}: no line reads {}", dimension.label())).judged.decision
            };
            let (from, to) = ends(&zone, job.unit);
            for end in [from, to].into_iter().flatten() {
                assert_eq!(judge(&end), Decision::Accept, "{name}: {} {end}", dimension.label());
                tried += 1;
            }
            let one = &dimension.characteristic;
            if let (Some(lower), Some(upper)) = (one.lower, one.upper) {
                let beyond = print::figures(upper + (upper - lower) / 2.0, job.unit, 3);
                assert_eq!(judge(&beyond), Decision::Reject, "{name}: {} {beyond}", dimension.label());
            }
        }
    }
    assert!(tried > 20, "{tried}");
}

#[test]
fn a_reading_just_typed_is_judged_as_in_the_file() {
    let (job, shop) = sector(
        "[[piece]]\nnumber = 1\n[piece.readings]\nteeth = [\"span over 5 teeth 1.3890, micrometer\"]\nbore = [\"bush inside diameter goes 0.6250, not 0.6260\"]\n",
    );
    let solved = solve(&job, &shop);
    let checked = checked(&solved);
    for (feature, name, line) in [
        ("Teeth", "span over 5 teeth", "span over 5 teeth 1.3890, micrometer"),
        ("bore", "bush inside diameter", "bush inside diameter goes 0.6250, not 0.6260"),
    ] {
        let typed = verdict(&solved, feature, line).unwrap();
        assert_eq!(result::size(&typed), result::size(size(&checked, 1, name)));
    }
    // a span over another count of teeth, a base pitch π m cos α more (ISO 21771), with limits of its own
    let typed = verdict(&solved, "teeth", "span over 5 teeth 1.3890, micrometer").unwrap();
    let planned = checked.dimensions.iter().find(|one| one.characteristic.name == "span over 4 teeth").unwrap();
    let more = typed.characteristic.nominal - planned.characteristic.nominal;
    let base_pitch = std::f64::consts::PI * 2.54 * 14.5f64.to_radians().cos();
    assert!((more.mm() - base_pitch).abs() < 1e-9);
    // it stands for the span that was asked for
    assert!(
        piece(&checked, 1).unread.iter().all(|unread| !unread.starts_with("span")),
        "{:?}",
        piece(&checked, 1).unread
    );
}

#[test]
fn what_cannot_be_judged_is_a_problem_at_its_characters() {
    let (job, shop) = sector("");
    let solved = solve(&job, &shop);
    let said = |feature: &str, line: &str| {
        let problems = verdict(&solved, feature, line).unwrap_err();
        let problem = problems.into_iter().next().unwrap();
        (line.get(problem.at.clone()).unwrap_or_default().to_string(), problem.message)
    };
    assert_eq!(said("teeth", "span over 4 teeth 1.08x").0, "x");
    assert_eq!(said("bore", "diameter 0.8752, kaliper").0, "kaliper");
    let (at, message) = said("bore", "note polished");
    assert_eq!((at.as_str(), message.as_str()), ("note polished", "No limit is set for this on the new part."));
    assert!(said("boar", "diameter 1").1.contains("`boar`"));
    // a span that misses the flanks has no limits
    assert!(said("teeth", "span over 9 teeth 2.6").1.starts_with("No limit"));
}

/// Doubtful readings say how many more settle it; when these are taken and show the same, they do.
#[test]
fn what_would_settle_a_doubtful_one_does() {
    let lines = |count: usize| {
        let line = "\"bush inside diameter 0.6257, telescopic gauge\", ".repeat(count);
        format!("[[piece]]\nnumber = 1\n[piece.readings]\nbore = [{line}]\n")
    };
    let judged = |count: usize| {
        let (job, shop) = sector(&lines(count));
        size(&checked(&solve(&job, &shop)), 1, "bush inside diameter").clone()
    };
    let first = judged(1);
    assert_eq!(first.judged.decision, Decision::Doubtful);
    let Some(Remedy::Readings { in_all, then }) = first.remedies.first() else { panic!("{:?}", first.remedies) };
    let all = judged(*in_all as usize);
    assert_eq!(all.judged.decision, *then);
    assert!(all.shown.sigma() < first.shown.sigma() && all.settling(Unit::Inch).is_empty());
    // a caliper in the bore first, then the finer gauge: the finer one counts
    let (job, shop) = sector(
        "[[piece]]\nnumber = 1\n[piece.readings]\nbore = [\"bush inside diameter 0.629, caliper\", \"bush inside diameter 0.6255, telescopic gauge\"]\n",
    );
    let both = size(&checked(&solve(&job, &shop)), 1, "bush inside diameter").clone();
    assert_eq!((both.judged.decision, both.instrument.as_deref()), (Decision::Accept, Some("telescopic gauge")));
}

#[test]
fn what_does_not_go_together_is_said() {
    let (job, shop) = sector(
        "[[piece]]\nnumber = 1\nwent = \"fitted\"\n[piece.readings]\nteeth = [\"span over 4 teeth 1.0800, micrometer\"]\n[[piece]]\nnumber = 9\ndone = [\"pin holes\"]\nwent = \"fitted\"\n",
    );
    let solved = solve(&job, &shop);
    let checked = checked(&solved);
    let first = piece(&checked, 1);
    assert_eq!((first.standing, first.warnings.len(), first.open_names()), (Standing::Fails, 2, vec!["pin holes"]));
    let ninth = piece(&checked, 9);
    assert_eq!((ninth.standing, ninth.warnings.len(), ninth.open.len()), (Standing::Unfinished, 0, 0));
    // those planned are there too, and only those written in the JSON
    assert_eq!(checked.pieces.iter().map(|piece| piece.number).collect::<Vec<_>>(), [1, 2, 3, 4, 9]);
    let json = result::pieces(&checked);
    assert_eq!(json.as_array().map(Vec::len), Some(2));
    assert_eq!(
        (json[0]["verdict"].as_str(), json[0]["sizes"][0]["verdict"].as_str()),
        (Some("reject"), Some("reject"))
    );
}

/// Where nothing was measured, or nothing is known of what should be, nothing passes.
#[test]
fn nothing_measured_proves_nothing() {
    let head = "title = \"Lever\"\nunits = \"mm\"\n[[feature]]\nname = \"bore\"\nkind = \"bore\"\n";
    for (readings, piece) in [
        ("readings = []\n", ""),
        ("readings = [\"diameter 20.01, micrometer\"]\n", ""),
        ("readings = []\n", "[piece.readings]\nbore = [\"diameter 20.01, micrometer\"]\n"),
    ] {
        let (job, shop) = opened(&format!("{head}{readings}[[piece]]\nnumber = 1\n{piece}"));
        let checked = checked(&solve(&job, &shop));
        assert_eq!(self::piece(&checked, 1).standing, Standing::Unfinished, "{readings}{piece}");
        assert!(!self::piece(&checked, 1).unread.is_empty(), "{readings}{piece}");
    }
}

/// What the page puts before a figure must be read by the feature and judged: for every size of every demo job and of every case
/// of every kind.
#[test]
fn every_size_has_a_line_that_reads_as_it() {
    let cases = concat!(env!("CARGO_MANIFEST_DIR"), "/../features/src");
    let mut jobs: Vec<(String, String)> =
        DEMOS.iter().map(|(name, text)| (name.to_string(), text.to_string())).collect();
    for kind in features::kinds() {
        let folder = format!("{cases}/{}/cases", kind.name().replace(' ', "_"));
        for file in std::fs::read_dir(&folder).unwrap().map(|file| file.unwrap().path()) {
            let case: toml_edit::DocumentMut = std::fs::read_to_string(&file).unwrap().parse().unwrap();
            let Some(given) = case.get("given").and_then(|given| given.as_table()) else { continue };
            let text = |name: &str| case.get(name).and_then(|one| one.as_str()).map(str::to_string);
            let units = text("units").unwrap_or("in".into());
            let heritage = text("heritage").unwrap_or("unknown".into());
            let mut feature = given.clone();
            feature.insert("kind", toml_edit::value(kind.name()));
            let body: String =
                feature.iter().map(|(key, value)| format!("{key} = {}\n", value.to_string().trim())).collect();
            jobs.push((
                file.display().to_string(),
                format!("title = \"x\"\nunits = \"{units}\"\nheritage = \"{heritage}\"\n[[feature]]\n{body}"),
            ));
        }
    }
    let shop = shop::built_in();
    let pictures = Folder::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../../demo"));
    let (mut sizes, today) = (0, jiff::civil::date(2031, 2, 14));
    for (name, text) in jobs {
        let before = sparewright::solve::Memory::default();
        let worked = sparewright::worked::worked(&text, &shop, &pictures, today, &before);
        for one in &worked.to_measure {
            let Some(lead) = &one.lead else {
                assert!(one.name == "outline", "{name}: {} of {} has no line", one.name, one.feature);
                continue;
            };
            let line = format!("{} {}", lead.words, lead.figure);
            let judged = sparewright::worked::judged(&text, &shop, &pictures, &one.written_in, &line, &before);
            let judged = judged.unwrap_or_else(|problems| panic!("{name}: {line}: {problems:?}"));
            assert_eq!((&judged.feature, &judged.name), (&one.feature, &one.name), "{name}: {line}");
            sizes += 1;
        }
    }
    assert!(sizes >= 60, "{sizes} sizes were tried");
}

/// What is told of one reading of the apple mill's bush; its outside is held to 0.8765 to 0.8770 in or nearly.
fn told_of(feature: &str, line: &str) -> (Decision, String) {
    let (job, shop) = opened(DEMOS[2].1);
    let size = verdict(&solve(&job, &shop), feature, line).unwrap();
    (size.judged.decision, size.settling(Unit::Inch).join(" "))
}

/// Metal comes off the outside and out of the bore: the one must become less, the other more.
#[test]
fn what_is_left_to_cut_is_said_the_right_way_round() {
    let (over, outside) = told_of("outside", "diameter 0.8850, micrometer");
    assert_eq!(over, Decision::Reject);
    assert!(outside.contains("off the size") && !outside.contains("more"), "{outside}");
    let (under, inside) = told_of("inside", "diameter 0.6100, telescopic gauge");
    assert_eq!(under, Decision::Reject);
    assert!(inside.contains("cut on until the size is") && !inside.contains("off the size"), "{inside}");
}

/// A turn of an inch thimble is 0.025 in (common practice), and a point one place off makes a size ten times what it is: whoever has
/// read so is told before the piece is thrown away, and whoever has not is told nothing of it.
#[test]
fn what_looks_like_a_slip_of_reading_is_said_before_the_piece_is_lost() {
    let (job, shop) = opened(DEMOS[2].1);
    let solved = solve(&job, &shop);
    let outside = checked(&solved).dimensions.into_iter().find(|one| one.characteristic.name == "diameter").unwrap();
    let (lower, upper) = (outside.characteristic.lower.unwrap(), outside.characteristic.upper.unwrap());
    let good = ((lower + upper) / 2.0).inches();
    for (read, slip) in [
        (good - 0.025, "one turn of the thimble"),
        (good + 0.025, "one turn of the thimble"),
        (good * 10.0, "the point one place off"),
        (good / 10.0, "the point one place off"),
    ] {
        let (decision, told) = told_of("outside", &format!("diameter {read:.5}, micrometer"));
        assert_eq!(decision, Decision::Reject, "{read}");
        assert!(told.starts_with("It looks like a slip of reading") && told.contains(slip), "{read}: {told}");
        assert!(told.contains(&format!("{good:.4}")[..5]), "{read}: {told}");
    }
    let mut swapped = format!("{good:.4}").into_bytes();
    swapped.swap(2, 3);
    let swapped = String::from_utf8(swapped).unwrap();
    let (_, told) = told_of("outside", &format!("diameter {swapped}, micrometer"));
    assert!(told.contains("two figures swapped"), "{swapped}: {told}");
    for read in [good + 0.002, good - 0.01, good + 0.05] {
        let (_, told) = told_of("outside", &format!("diameter {read:.4}, micrometer"));
        assert!(!told.contains("slip"), "{read}: {told}");
    }
}

/// A fraction off the rule says nothing of a size that is held to a few thousandths, and so nothing against the piece.
#[test]
fn a_rough_fraction_is_asked_for_in_decimals() {
    let (decision, told) = told_of("outside", "diameter 7/8");
    assert_eq!(decision, Decision::Doubtful);
    assert!(told.contains("read it in decimals with the micrometer"), "{told}");
    assert!(!told.contains("does not pass"), "{told}");
}

/// What the sheet Operations says of the pieces: those that are made stand as they were judged, the others as they are planned.
#[test]
fn pieces_are_told_as_judged_or_as_planned() {
    let pieces = |lines: &str| -> Vec<String> {
        let (job, shop) = sector(lines);
        let solved = solve(&job, &shop);
        let (checked, plan) = (checked(&solved), sparewright::planned::planned(&solved, None, &shop));
        let date = String::new();
        let work = sparewright::sheets::Work {
            solved: &solved,
            shape: None,
            plan: &plan,
            checked: &checked,
            shop: &shop,
            date,
        };
        let text = serde_json::to_string(&sparewright::sheets::pack(&work)).unwrap();
        let told = text.split('"').filter(|text| text.starts_with("Piece ") || text.starts_with("Pieces "));
        told.filter(|text| text.contains(": ")).map(str::to_string).collect()
    };
    let planned = pieces("");
    assert!(planned.len() >= 2 && planned.iter().all(|told| told.contains(": to be finished")), "{planned:?}");
    let made = pieces("[[piece]]\nnumber = 1\n[piece.readings]\nteeth = [\"span over 4 teeth 1.0800, micrometer\"]\n");
    let of_first: Vec<&String> = made.iter().filter(|told| told.starts_with("Piece 1")).collect();
    assert!(of_first.iter().any(|told| told.contains("does not pass")), "{made:?}");
    assert!(of_first.iter().all(|told| !told.contains("finished")), "{made:?}");
}
