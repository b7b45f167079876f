//! What a machinist at the bench trips over: sizes that do not pass, speeds that are not safe, cuts that do not add up,
//! gauges that reject good work, tools and machines that are not there.

#![allow(clippy::panic, clippy::unwrap_used, reason = "a look-up that fails fails the test")]

mod shared;

use making::shop::{Machine, MachineKind, Shop, Stock, StockForm};
use making::speeds::surface_speed;
use making::tools::ToolKind;
use making::{Brief, Operation, Plan, Step, plan};
use part::{Characteristic, Cut, Gauging, HoleFinish, KeywayWork, Work};
use proptest::prelude::*;
use quantity::{Length, Unit, print};
use shared::random::{any_cuts, any_shop};
use shared::*;
use standards::fits::{Limits, limits};

fn operation(plan: &Plan, step: Step) -> &Operation {
    plan.operations.iter().find(|operation| operation.step == step).unwrap_or_else(|| panic!("no {step:?}"))
}

/// All that is said of an operation but its cautions.
fn words(operation: &Operation) -> String {
    [&[operation.title.clone(), operation.set_up.clone()], &operation.instructions[..], &operation.notes[..]]
        .concat()
        .join("\n")
}

fn all_words(plan: &Plan) -> String {
    plan.operations.iter().map(words).collect::<Vec<_>>().join("\n")
}

/// The sizes of a cut that is worked to, with their limits.
fn toleranced(cut: &Cut) -> Vec<(Length, Limits)> {
    match &cut.work {
        Work::Turn { diameter, limits, .. } => vec![(*diameter, *limits)],
        Work::Teeth(teeth) => vec![(teeth.blank_diameter, teeth.blank_limits)],
        Work::Hole(hole) => vec![(hole.diameter, hole.limits)],
        Work::Bush(bush) => vec![(bush.outside, bush.outside_limits), (bush.inside, bush.inside_limits)],
        Work::Keyway(keyway) => vec![(keyway.width, keyway.width_limits)],
        Work::Profile { .. } => Vec::new(),
    }
}

fn pressed(diameter: Length, length: Length) -> Cut {
    let limits = limits("p6", diameter).unwrap();
    cut("outside", Work::Turn { diameter, limits, length: Some(length), pressed: true })
}

/// A bush made for its own sake: 0.875 in outside, 0.625 in inside.
fn lone_bush() -> Brief {
    let inside = hole(inches(0.625), HoleFinish::Reamed, centre());
    let cuts = vec![pressed(inches(0.875), inches(0.4375)), cut("inside", Work::Hole(inside))];
    Brief { thickness: Some(inches(0.438)), extent: None, ..brief("Bush", "mild steel", cuts) }
}

fn lathe(shop: &mut Shop) -> &mut Machine {
    shop.machines.iter_mut().find(|machine| machine.kind == MachineKind::Lathe).unwrap()
}

/// Teeth lie between spaces: a comb of n whole teeth ending in mid-space has n + 1 of them.
#[test]
fn a_sector_has_one_space_more_than_teeth() {
    let made = plan(&sector(), &shop());
    let sheet = made.indexing.as_ref().unwrap();
    assert_eq!((sheet.cut, sheet.lines.len()), (12, 12));
    assert!(sheet.lines.iter().enumerate().all(|(index, line)| line.space as usize == index + 1));
    let count = operation(&made, Step::CutTeeth).checks.iter().find(|check| check.what == "count of teeth").unwrap();
    assert!(count.sentence.contains("12 spaces, with 11 whole teeth"), "{}", count.sentence);
    assert_eq!(plan(&gear(), &shop()).indexing.unwrap().lines.len(), 12);
}

#[test]
fn roughing_goes_by_the_diameter_that_is_cut() {
    // 2.5 in down to 0.25 in: a speed for the quarter inch would run the bar's edge ten times too fast
    let mut shop = shop();
    shop.rack = vec![Stock {
        material: "mild steel".into(),
        form: StockForm::Bar { diameter: inches(2.5) },
        length: inches(16.0),
    }];
    let brief = Brief { cuts: vec![turned("pin", inches(0.25), inches(1.375))], ..pin() };
    let plan = plan(&brief, &shop);
    let turning = operation(&plan, Step::TurnOutside);
    let [rough, finish] = turning.running.as_slice() else { panic!("{:?}", turning.running) };
    let fastest = rough.speed.range.1;
    assert!(surface_speed(rough.speed.real.unwrap(), inches(2.5)) <= fastest);
    assert!(finish.speed.real > rough.speed.real, "{finish:?}");
    // and the right bar is asked for
    let lack = plan.lacking.iter().find(|lack| lack.kind == ToolKind::Stock).unwrap();
    assert_eq!(lack.label, "mild steel 5/16 in bar");
    assert!(words(operation(&plan, Step::SawBlank)).contains("Buy 5/16 in bar"));
}

#[test]
fn a_bush_of_its_own_is_left_under_size() {
    let mut brief = lone_bush();
    brief.characteristics.push(Characteristic {
        name: "bore diameter".into(),
        nominal: inches(0.625),
        lower: Some(inches(0.625)),
        upper: Some(inches(0.6257)),
        gauging: Gauging::PlainGauges,
        metal_left: None,
        source: "H7".into(),
        how: String::new(),
    });
    let plan = plan(&brief, &shop());
    let bore = operation(&plan, Step::Bore);
    assert!(bore.title.contains("under size"), "{}", bore.title);
    assert!(bore.checks.iter().all(|check| check.upper.unwrap() < inches(0.625) - mm(0.1)), "{:?}", bore.checks);
    assert!(words(bore).contains("0.6250 to 0.6257 in"), "{}", words(bore));
    let last = &operation(&plan, Step::FinalCheck).checks[0];
    assert_eq!((last.what.as_str(), last.lower), ("bore diameter, after pressing", Some(inches(0.625))));
}

/// A floor that stands t below the finished bore's side is r_f + t from the axis, and the opposite side of the bore as it stands while
/// the keyway is cut is r_s from it: a caliper between the two shows r_f + t + r_s.
#[test]
fn a_keyway_in_a_bore_still_under_size_is_measured_from_that_bore() {
    let (bore, depth) = (inches(0.625), inches(0.088));
    let keyway = KeywayWork {
        bore,
        width: inches(0.1875),
        width_limits: limits("JS9", inches(0.1875)).unwrap(),
        depth,
        depth_limits: Limits { lower: Length::ZERO, upper: inches(0.010) },
    };
    let mut keyed = lone_bush();
    keyed.cuts.push(cut("inside", Work::Keyway(keyway.clone())));
    let plan = plan(&keyed, &shop());
    let under =
        operation(&plan, Step::Bore).checks.iter().find(|check| check.what.contains("before pressing")).unwrap();
    let stands = under.nominal.unwrap();
    assert!(stands < bore - mm(0.2), "{stands:?}");
    let told = words(operation(&plan, Step::Keyway));
    let across = bore / 2.0 + depth + stands / 2.0;
    let figures = |length: Length| print::figures(length, Unit::Inch, 3);
    let now = format!("Full depth is {} to {}", figures(across), figures(across + inches(0.010)));
    assert!(told.contains(&now), "{now}: {told}");
    // a part whose bore is finished before its keyway is measured across that
    keyed.cuts.retain(|cut| !matches!(cut.work, Work::Turn { .. }));
    keyed.cuts.push(turned("outside", inches(0.875), inches(0.4375)));
    let finished = words(operation(&making::plan(&keyed, &shop()), Step::Keyway));
    assert!(finished.contains(&format!("Full depth is {} to", figures(bore + depth))), "{finished}");
}

/// What nobody measured has no limits: neither the outside's diameter nor anything else stands in for a length.
#[test]
fn a_length_that_is_not_known_is_not_invented() {
    let mut brief = lone_bush();
    brief.thickness = None;
    brief.face_width = None;
    for cut in &mut brief.cuts {
        if let Work::Turn { length, .. } = &mut cut.work {
            *length = None;
        }
    }
    let along = |plan: &Plan| -> Vec<Length> {
        let all = plan.operations.iter().flat_map(|operation| &operation.checks);
        all.filter(|check| ["thickness", "length", "length over all"].contains(&check.what.as_str()))
            .filter_map(|check| check.nominal)
            .collect()
    };
    let unknown = plan(&brief, &shop());
    assert_eq!(along(&unknown), []);
    assert!(all_words(&unknown).contains("still to be measured"), "{}", all_words(&unknown));
    // what was read on the bore is the bush's length
    for cut in &mut brief.cuts {
        if let Work::Hole(hole) = &mut cut.work {
            hole.depth = Some(inches(1.5));
        }
    }
    let known = plan(&brief, &shop());
    assert_eq!(along(&known), [inches(1.5)]);
    assert!(operation(&known, Step::SawBlank).instructions[0].contains("1.58 in"), "{:?}", known.blank);
}

/// The work is held in what divides it, and the sheet, the set-up and the tools name one device; a dividing head, which is made to
/// stand between centres, where it divides as well.
#[test]
fn the_set_up_names_the_device_that_divides() {
    let table = |name: &str| making::shop::DividingHead {
        name: name.into(),
        ratio: 90,
        plates: shop().dividing[0].plates.clone(),
        ..Default::default()
    };
    let mut shop = shop();
    let head = shop.dividing[0].name.clone();
    shop.dividing.push(table("rotary table, 8 inch"));
    for count in [15, 30, 36, 45, 63, 77, 127] {
        let wheel = brief(
            "Wheel",
            "mild steel",
            vec![
                cut("teeth", Work::Teeth(teeth(count, count, mm(1.0), 20.0))),
                cut("bore", Work::Hole(hole(mm(16.0), HoleFinish::Reamed, centre()))),
            ],
        );
        let plan = plan(&wheel, &shop);
        let cutting = operation(&plan, Step::CutTeeth);
        let sheet = plan.indexing.as_ref().unwrap();
        assert!(cutting.set_up.contains(&sheet.head), "{count}: {} on the {}", cutting.set_up, sheet.head);
        assert_eq!(cutting.set_up.contains("upright"), sheet.head != head, "{count}: {}", cutting.set_up);
        let divided = cutting.tools.iter().filter(|tool| tool.kind == ToolKind::DividingHead && tool.owned);
        assert_eq!(divided.map(|tool| tool.label.as_str()).collect::<Vec<_>>(), [sheet.head.as_str()], "{count}");
        let on_head = making::indexing::index(&making::indexing::Division::new(count, count), &shop.dividing[0], None);
        let exact_there = on_head.is_ok_and(|sheet| sheet.error.is_none());
        assert!(!exact_there || sheet.head == head, "{count} on the {}", sheet.head);
    }
}

/// Rack geometry: a depth e more widens the space by 2 e tan α at the pitch line, and by W = 2 e sin α along the normal.
#[test]
fn teeth_are_fed_deeper_until_they_measure_right() {
    let mut brief = sector();
    let span = |lower: f64, upper: f64| Characteristic {
        name: "span over 4 teeth".into(),
        nominal: inches(upper),
        lower: Some(inches(lower)),
        upper: Some(inches(upper)),
        gauging: Gauging::Micrometer,
        metal_left: None,
        source: "W".into(),
        how: String::new(),
    };
    brief.characteristics.push(span(1.0843, 1.0862));
    let Work::Teeth(teeth) = brief.cuts[0].work.clone() else { panic!("teeth come first") };
    let plan = plan(&brief, &shop());
    let cutting = operation(&plan, Step::CutTeeth);
    let passes = cutting.passes.as_ref().unwrap();
    // 0.03 of 0.1 in over 2 tan 14.5° = 0.0058 in
    assert!((passes.depth.inches() - (0.2157 + 0.0058)).abs() < 5e-5, "{}", passes.depth);
    let (least, most) = teeth.depth_limits.sizes(teeth.depth);
    assert!(least < passes.depth && passes.depth < most);
    let said = words(cutting);
    // 1/(2 sin 14.5°) = 2.0; five spaces bound four teeth
    for part in
        ["first 5 spaces", "1.0843 to 1.0862 in", "2.0 times what it is over", "0.0058 in more", "0.2215 in in all"]
    {
        assert!(said.contains(part), "{part}: {said}");
    }
    assert!(cutting.checks.iter().any(|check| check.what == "span over 4 teeth"));
    // a rack's tooth at the middle of these depths is thinner by the middle of what backlash wants
    let thinned = 2.0 * (passes.depth - teeth.depth).mm() * teeth.pressure_angle.tan();
    assert!((thinned - 0.03 * teeth.module.mm()).abs() < 1e-9);
}

#[test]
fn no_drill_is_larger_than_the_machine_takes() {
    let mut shop = shop();
    lathe(&mut shop).largest_drill = Some(inches(0.5));
    let plan = plan(&sector(), &shop);
    let bore = operation(&plan, Step::Bore);
    assert_eq!(bore.title, "Drill, bore and ream the bore 0.8750 in (bore)");
    let drills: Vec<_> = bore.tools.iter().filter(|tool| tool.kind == ToolKind::Drill).collect();
    assert!(matches!(drills.as_slice(), [one] if one.label == "drill 1/2 in"), "{drills:?}");
    // from the drill to what the reamer is left: (0.875 − 0.325 mm/25.4 − 0.5)/2
    let passes = bore.passes.as_ref().unwrap();
    assert!((passes.depth.mm() - (22.225 - 0.325 - 12.7) / 2.0).abs() < 1e-9, "{passes:?}");
}

#[test]
fn what_one_person_cannot_lift_is_said() {
    let mut brief = gear();
    brief.cuts[0].work = Work::Teeth(teeth(198, 198, mm(10.0), 20.0));
    brief.thickness = Some(mm(12.0));
    let plan = plan(&brief, &shop());
    // π/4 · 2.003² · 0.014 m³ of steel at 7850 kg/m³: 346 kg
    assert!(plan.notes.iter().any(|note| note.contains("about 34") && note.contains("kg")), "{:?}", plan.notes);
    assert!(operation(&plan, Step::Face).cautions.iter().any(|caution| caution.contains("lifting gear")));
    assert!(!all_words(&plan).contains("In the vice"), "{}", all_words(&plan));
    // 2 m on a 3/4 in arbor
    for step in [Step::TurnBlank, Step::CutTeeth] {
        assert!(operation(&plan, step).tools.iter().all(|tool| tool.kind != ToolKind::Arbor));
        assert!(operation(&plan, step).set_up.contains("plate"), "{}", operation(&plan, step).set_up);
    }
    assert!(plan.lacking.iter().any(|lack| lack.label == "larger lathe"));
    assert!(making::plan(&gear(), &shop()).notes.iter().all(|note| !note.contains("kg")));
}

#[test]
fn more_blanks_than_an_arbor_holds_are_cut_in_lots() {
    let many = Brief { spares: 500, ..sector() };
    let plan = plan(&many, &shop());
    // six bores of 3/4 in between nut and carrier, 3/8 in a blank
    assert!(words(operation(&plan, Step::CutTeeth)).contains("Clamp 12 of the 501 blanks"));
}

#[test]
fn an_inexact_division_is_told_at_the_pitch_circle() {
    let mut brief = gear();
    brief.cuts[0].work = Work::Teeth(teeth(53, 53, inches(0.1), 14.5));
    let plan = plan(&brief, &shop());
    let error = plan.indexing.as_ref().unwrap().error.unwrap();
    let off = 5.3 * 25.4 / 2.0 * (error.largest_seconds / 3600.0_f64).to_radians() * 1000.0;
    let said = words(operation(&plan, Step::CutTeeth));
    assert!(said.contains(&format!("seconds of arc ({off:.0} µm)")), "{said}");
}

#[test]
fn thick_stock_is_faced_down_by_the_whole_of_what_is_over() {
    let plate = vec![cut("edge", Work::Profile { length: inches(10.0) })];
    let mut shop = shop();
    shop.rack = vec![Stock {
        material: "mild steel".into(),
        form: StockForm::Slab { thickness: inches(0.75), width: inches(6.0) },
        length: inches(24.0),
    }];
    let plan = plan(&brief("Plate", "mild steel", plate), &shop);
    // 3/4 down to 3/8 in: 9.525 mm, 4.7625 a side, in four cuts of not over 1.5 mm
    let said = words(operation(&plan, Step::Face));
    assert!(said.contains("0.375 in comes off in all, half from each side: 4 cuts of 0.047 in a side"), "{said}");
}

#[test]
fn a_shop_without_its_machines_is_not_sent_to_them() {
    let mut bare = shop();
    bare.dividing.clear();
    let plan = plan(&sector(), &bare);
    assert!(plan.indexing.is_none());
    assert!(!all_words(&plan).contains("indexing sheet") && !all_words(&plan).contains("in the dividing head"));
}

#[test]
fn each_metal_has_its_caution_where_it_is_cut() {
    let plan = plan(&sector(), &shop());
    let bronze = standards::material("bronze").unwrap().caution.clone().unwrap();
    for step in [Step::MakeBush, Step::PressBush] {
        assert!(operation(&plan, step).cautions.contains(&bronze), "{step:?}");
    }
    let iron = standards::material("grey cast iron").unwrap().caution.clone().unwrap();
    assert!(!operation(&plan, Step::MakePlug).cautions.contains(&iron), "the plug is of steel");
}

#[test]
fn a_plain_pin_is_turned_end_for_end() {
    let plan = plan(&pin(), &shop());
    let turning = operation(&plan, Step::TurnOutside);
    assert!(turning.set_up.contains("Between centres") && words(turning).contains("end for end"));
}

#[test]
fn tools_are_listed_with_what_they_are() {
    let gear = plan(&gear(), &shop());
    let labels: Vec<String> =
        gear.operations.iter().flat_map(|operation| &operation.tools).map(|tool| tool.label.clone()).collect();
    for wanted in ["keyway broach 0.1875 in", "broach bushes and shims", "drill 45/64 in", "3/4 in reamer"] {
        assert!(labels.iter().any(|label| label == wanted), "{wanted} in {labels:?}");
    }
    let plug = plan(&sector(), &shop());
    assert!(operation(&plug, Step::MakePlug).tools.iter().any(|tool| tool.kind == ToolKind::Stock));
}

/// One length, read twice, is one dimension: a part's thickness and its only journal.
#[test]
fn one_thing_has_one_set_of_limits() {
    let mut brief = lone_bush();
    let named = |name: &str, nominal: f64, either_way: f64| Characteristic {
        name: name.into(),
        nominal: inches(nominal),
        lower: Some(inches(nominal - either_way)),
        upper: Some(inches(nominal + either_way)),
        gauging: Gauging::Caliper,
        metal_left: None,
        source: String::new(),
        how: String::new(),
    };
    brief.characteristics = vec![named("thickness", 0.438, 0.004), named("length", 0.4375, 0.008)];
    let plan = plan(&brief, &shop());
    let checks: Vec<_> = plan
        .operations
        .iter()
        .flat_map(|operation| &operation.checks)
        .filter(|check| ["thickness", "length", "length over all"].contains(&check.what.as_str()))
        .collect();
    assert!(checks.len() >= 3, "{checks:?}");
    for check in checks {
        assert!((check.lower.unwrap() - inches(0.434)).abs() < mm(1e-6), "{check:?}");
        assert!((check.upper.unwrap() - inches(0.442)).abs() < mm(1e-6), "{check:?}");
    }
}

/// "pins: 0.8750 in goes, 0.8760 in does not"
fn pin_sizes(label: &str) -> Option<(f64, f64)> {
    let numbers: Vec<f64> = label.strip_prefix("pins: ")?.split(' ').filter_map(|word| word.parse().ok()).collect();
    Some((*numbers.first()?, *numbers.get(1)?))
}

const WAYS_THAT_NAME_A_MACHINE: &[(MachineKind, &[&str])] =
    &[(MachineKind::Lathe, &["lathe", "faceplate"]), (MachineKind::Mill, &["the mill", "a mill"])];

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn any_plan_is_workable(cuts in any_cuts(), press: bool, mut shop in any_shop(), limit in prop::option::of(0.25_f64..1.0), metric: bool) {
        shop.unit = if metric { Unit::Millimetre } else { Unit::Inch };
        for machine in &mut shop.machines {
            machine.largest_drill = limit.map(inches);
        }
        let mut cuts = cuts;
        for cut in &mut cuts {
            if let Work::Turn { limits: held_to, diameter, pressed, .. } = &mut cut.work && press {
                *pressed = true;
                *held_to = limits("p6", *diameter).unwrap();
            }
        }
        let brief = brief("Part", "grey cast iron", cuts);
        let plan = plan(&brief, &shop);

        // a nominal size that does not pass is not said
        let said = all_words(&plan);
        let sizes: Vec<(Length, Limits)> = brief.cuts.iter().flat_map(toleranced).collect();
        for (nominal, limits) in &sizes {
            let excluded = limits.lower > Length::ZERO || limits.upper < Length::ZERO;
            let figures = print::length(*nominal, shop.unit, 3);
            let passes_elsewhere = sizes.iter().any(|(other, at)| {
                let (lower, upper) = at.sizes(*other);
                (lower - *nominal).abs() < mm(0.002) || (upper - *nominal).abs() < mm(0.002) || (*other - *nominal).abs() < mm(0.002) && at != limits
            });
            if excluded && !passes_elsewhere {
                for line in said.lines().filter(|line| line.contains("to size") || line.contains("finish to") || line.starts_with("Turn ")) {
                    prop_assert!(!line.contains(&figures), "{figures} in {line}");
                }
            }
        }

        for operation in &plan.operations {
            // no drill beyond the machine
            if let (Some(limit), true) = (limit, operation.machine.owned) {
                for tool in operation.tools.iter().filter(|tool| tool.kind == ToolKind::Drill && tool.owned) {
                    let size = shop.drawers.drills.iter().find(|drill| tool.label.ends_with(&drill.label)).unwrap();
                    prop_assert!(size.diameter <= inches(limit) + mm(0.002), "{} on the {}", tool.label, operation.machine.name);
                }
            }
            // the cuts make up the whole depth, none deeper than the machine takes
            if let Some(passes) = &operation.passes {
                let sum: f64 = passes.each.iter().map(|pass| pass.mm()).sum();
                prop_assert!((sum - passes.depth.mm()).abs() < 1e-9);
                prop_assert!(passes.each.iter().all(|pass| *pass > Length::ZERO && *pass <= mm(2.5)));
            }
            // from the bar to the size
            if operation.step == Step::TurnOutside {
                let (check, passes) = (&operation.checks[0], operation.passes.as_ref().unwrap());
                let left = plan.blank.stands_at.unwrap() - passes.depth * 2.0;
                prop_assert!(left >= check.lower.unwrap() - mm(1e-9) && left <= check.upper.unwrap() + mm(1e-9), "{left}");
                let start = operation.running.first().map(|run| run.speed.diameter);
                prop_assert!(start.is_none_or(|start| start == plan.blank.stands_at.unwrap()));
            }
            // from the drill to the size
            if let (Step::Bore, Some(passes), Some(drill)) =
                (operation.step, &operation.passes, operation.tools.iter().rfind(|tool| tool.kind == ToolKind::Drill))
                && let Some(drill) = shop.drawers.drills.iter().find(|owned| format!("drill {}", owned.label).eq_ignore_ascii_case(&drill.label))
            {
                let bored = drill.diameter + passes.depth * 2.0;
                let check = &operation.checks[0];
                let reamed = operation.tools.iter().any(|tool| tool.kind == ToolKind::Reamer);
                prop_assert!(bored <= check.upper.unwrap() + mm(1e-9), "{bored}");
                prop_assert!(bored >= check.lower.unwrap() - if reamed { mm(0.6) } else { mm(1e-9) }, "{bored}");
            }
            // good work is not turned away
            for check in &operation.checks {
                if let (Some((go, not_go)), Some(lower), Some(upper)) = (pin_sizes(&check.instrument.label), check.lower, check.upper) {
                    let one = match shop.unit { Unit::Inch => inches(1.0), Unit::Millimetre => mm(1.0) };
                    // half the last printed digit
                    let digit = mm(0.0013);
                    prop_assert!(one * go <= lower + digit && one * not_go >= upper - digit, "{}", check.sentence);
                }
            }
            // a title says what is done
            if operation.step == Step::Bore {
                let reamed = operation.tools.iter().any(|tool| tool.kind == ToolKind::Reamer);
                let bored = operation.tools.iter().any(|tool| tool.label == "boring bar");
                prop_assert_eq!(operation.title.contains("ream"), reamed, "{}", &operation.title);
                prop_assert_eq!(operation.title.contains(" bore and") || operation.title.contains("and bore "), bored, "{}", &operation.title);
            }
        }
        // no way round leads to a machine that is not there
        for (kind, names) in WAYS_THAT_NAME_A_MACHINE {
            if shop.machines_of(*kind).next().is_some() {
                continue;
            }
            for lack in plan.lacking.iter().filter(|lack| lack.kind != ToolKind::Machine || !lack.label.contains(kind.name())) {
                for way in &lack.ways {
                    prop_assert!(!names.iter().any(|name| way.contains(name)), "no {}: {way}", kind.name());
                }
            }
        }
        if plan.indexing.is_none() {
            prop_assert!(!said.contains("indexing sheet"));
        }
        prop_assert!(!said.contains(" 1 turns") && !said.contains("0 turns"));
    }
}
