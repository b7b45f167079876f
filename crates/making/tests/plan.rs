//! Whole plans: nothing forgotten, nothing used that is not there, in an order that can be worked.

#![allow(clippy::panic, clippy::unwrap_used, reason = "a look-up that fails fails the test")]

mod shared;

use std::collections::BTreeSet;

use making::shop::{MachineKind, Shop, SmallTool};
use making::tools::{ToolKind, ToolPick, kinded};
use making::{Brief, Duty, Operation, Pieces, Plan, Step, plan};
use part::{Cut, Work};
use proptest::prelude::*;
use quantity::{Length, Unit};
use shared::random::{any_cuts, any_shop};
use shared::*;

fn steps(plan: &Plan) -> Vec<Step> {
    plan.operations.iter().map(|operation| operation.step).collect()
}

fn operation(plan: &Plan, step: Step) -> &Operation {
    plan.operations.iter().find(|operation| operation.step == step).unwrap_or_else(|| panic!("no {step:?}"))
}

fn tools(plan: &Plan) -> impl Iterator<Item = ToolPick> + '_ {
    plan.operations.iter().flat_map(|operation| {
        let instruments = operation.checks.iter().map(|check| check.instrument.clone());
        operation.tools.iter().cloned().chain(instruments).chain([operation.machine.as_tool()])
    })
}

/// What of a cut must be measured: its feature and each of its sizes.
fn dimensions(cut: &Cut) -> Vec<Length> {
    match &cut.work {
        Work::Turn { diameter, length, .. } => std::iter::once(*diameter).chain(*length).collect(),
        Work::Teeth(teeth) => vec![teeth.blank_diameter, teeth.depth, teeth.root_diameter],
        Work::Hole(hole) => vec![hole.diameter],
        Work::Bush(bush) => vec![bush.outside, bush.inside],
        Work::Keyway(keyway) => vec![keyway.width, keyway.depth],
        Work::Profile { .. } => Vec::new(),
    }
}

fn every_dimension_is_checked(brief: &Brief, plan: &Plan) {
    for cut in &brief.cuts {
        let checks: Vec<_> = plan
            .operations
            .iter()
            .flat_map(|operation| &operation.checks)
            .filter(|check| check.feature == cut.feature)
            .collect();
        assert!(!checks.is_empty(), "nothing of {} is checked", cut.feature);
        for size in dimensions(cut) {
            assert!(checks.iter().any(|check| check.nominal == Some(size)), "{size} of {} is not checked", cut.feature);
        }
        assert!(
            plan.operations.iter().any(|operation| operation.features.contains(&cut.feature)),
            "{} is made by no operation",
            cut.feature
        );
    }
}

/// The labels a shop can answer for, by kind; the kinds left out are described with sizes of their own.
fn on_the_shelf(shop: &Shop, tool: &ToolPick) -> bool {
    let drawers = &shop.drawers;
    let label = tool.label.as_str();
    match tool.kind {
        ToolKind::Drill => drawers.drills.iter().any(|drill| kinded("drill", &drill.label) == label),
        ToolKind::Reamer => drawers.reamers.iter().any(|reamer| kinded("reamer", &reamer.label) == label),
        ToolKind::Tap => drawers.taps.iter().any(|thread| kinded("tap", &thread.name) == label),
        ToolKind::Arbor => drawers.arbors.iter().any(|arbor| arbor.label == label),
        ToolKind::EndMill => drawers.end_mills.iter().any(|mill| kinded("end mill", &mill.label) == label),
        ToolKind::Small => SmallTool::named(label).is_some_and(|tool| shop.owns(tool)),
        ToolKind::Machine => shop.machines.iter().any(|machine| machine.name == label),
        ToolKind::Instrument => shop.instruments.iter().any(|instrument| instrument.name == label),
        ToolKind::DividingHead => shop.dividing.iter().any(|head| head.name == label),
        ToolKind::GearCutter => !drawers.gear_cutters.is_empty(),
        ToolKind::SlotCutter => !drawers.slot_cutters.is_empty(),
        ToolKind::Broach => !drawers.broaches.is_empty(),
        ToolKind::Pin => !drawers.pins.is_empty(),
        ToolKind::Stock => !shop.rack.is_empty(),
        ToolKind::Mate => true,
    }
}

fn every_tool_is_owned_or_lacking(shop: &Shop, plan: &Plan) {
    for tool in tools(plan) {
        if tool.owned {
            assert!(on_the_shelf(shop, &tool), "{tool:?} is said to be owned");
        } else {
            let lack = plan.lacking.iter().find(|lack| lack.kind == tool.kind && lack.label == tool.label);
            assert!(lack.is_some_and(|lack| !lack.ways.is_empty()), "{tool:?} is neither owned nor lacking");
        }
    }
}

/// What any machinist would say of the order, written apart from the planner's own graph.
fn the_order_can_be_worked(plan: &Plan) {
    const BEFORE: &[(Step, Step)] = &[
        (Step::SawBlank, Step::Face),
        (Step::Face, Step::Bore),
        (Step::Bore, Step::PressBush),
        (Step::MakeBush, Step::PressBush),
        (Step::PressBush, Step::TurnBlank),
        (Step::Bore, Step::TurnBlank),
        (Step::TurnBlank, Step::CutTeeth),
        (Step::CutTeeth, Step::SawOutline),
        (Step::SawOutline, Step::SandOutline),
        (Step::SandOutline, Step::MatchDrill),
        (Step::PressBush, Step::MatchDrill),
        (Step::MakePlug, Step::MatchDrill),
        (Step::CutTeeth, Step::Keyway),
        (Step::MatchDrill, Step::Deburr),
        (Step::Deburr, Step::FinalCheck),
        (Step::FinalCheck, Step::Pack),
    ];
    let order = steps(plan);
    for (first, then) in BEFORE {
        let last_of_first = order.iter().rposition(|step| step == first);
        let first_of_then = order.iter().position(|step| step == then);
        if let (Some(first_at), Some(then_at)) = (last_of_first, first_of_then) {
            assert!(first_at < then_at, "{first:?} after {then:?} in {order:?}");
        }
    }
    assert_eq!(order.last(), Some(&Step::Pack));
    for (index, operation) in plan.operations.iter().enumerate() {
        assert_eq!(operation.number as usize, index + 1);
        assert!(operation.after.iter().all(|before| *before < operation.number));
    }
}

#[test]
fn the_sector_is_planned_from_rack_to_check() {
    let (brief, shop) = (sector(), shop());
    let plan = plan(&brief, &shop);
    assert_eq!(
        steps(&plan),
        [
            Step::SawBlank,
            Step::Face,
            Step::Bore,
            Step::MakeBush,
            Step::PressBush,
            Step::TurnBlank,
            Step::CutTeeth,
            Step::SawOutline,
            Step::SandOutline,
            Step::MakePlug,
            Step::MatchDrill,
            Step::Deburr,
            Step::FinalCheck,
            Step::Pack,
        ]
    );
    let index = plan.indexing.as_ref().unwrap();
    assert_eq!((index.setting.short(40).as_str(), index.lines.len()), ("30/33", 12));
    let cutting = operation(&plan, Step::CutTeeth);
    assert!(
        cutting.tools.iter().any(|tool| tool.owned && tool.label.contains("No. 3, 35 to 54 teeth")),
        "{cutting:#?}"
    );
    let passes = cutting.passes.as_ref().unwrap();
    let sum: f64 = passes.each.iter().map(|pass| pass.mm()).sum();
    assert!((sum - passes.depth.mm()).abs() < 1e-9);
    // the bush's bronze is not on the rack, and its steel bars are too thin or far too thick for the plug
    let lacks: Vec<_> = plan.lacking.iter().map(|lack| lack.label.as_str()).collect();
    assert!(
        matches!(lacks.as_slice(), [bronze, steel] if bronze.starts_with("bronze") && steel.starts_with("mild steel")),
        "{lacks:?}"
    );
    // spares wait for their machine
    assert_eq!(operation(&plan, Step::MatchDrill).pieces, Pieces::Fitted);
    assert_eq!(plan.pieces.len(), 4);
    assert!(plan.pieces[0].undone.is_empty());
    assert!(
        plan.pieces[1..]
            .iter()
            .all(|piece| piece.spare && piece.undone.len() == 1 && piece.sentence.contains("Match-drill"))
    );
    // bore centre to mandrel: the reamed bore's drill leaves what the handbook asks
    let bore = operation(&plan, Step::Bore);
    assert!(bore.tools.iter().any(|tool| tool.label == "7/8 in reamer"));
    every_dimension_is_checked(&brief, &plan);
    every_tool_is_owned_or_lacking(&shop, &plan);
    the_order_can_be_worked(&plan);
}

#[test]
fn a_gear_with_a_keyway() {
    let plan = plan(&gear(), &shop());
    let order = steps(&plan);
    assert_eq!(
        order,
        [
            Step::SawBlank,
            Step::Face,
            Step::Bore,
            Step::TurnBlank,
            Step::CutTeeth,
            Step::Keyway,
            Step::Deburr,
            Step::FinalCheck,
            Step::Pack
        ]
    );
    let keyway = operation(&plan, Step::Keyway);
    assert!(keyway.tools.iter().any(|tool| tool.kind == ToolKind::Broach && tool.owned));
    assert_eq!(keyway.machine.kind, MachineKind::ArborPress);
    assert!(plan.pieces.iter().all(|piece| piece.undone.is_empty()));
}

#[test]
fn a_plain_pin_is_lathe_work_alone() {
    let plan = plan(&pin(), &shop());
    assert_eq!(
        steps(&plan),
        [Step::SawBlank, Step::Face, Step::TurnOutside, Step::Deburr, Step::FinalCheck, Step::Pack]
    );
    assert!(plan.lacking.is_empty(), "{:?}", plan.lacking);
    assert!(plan.indexing.is_none());
    assert!(operation(&plan, Step::TurnOutside).set_up.contains("centres"));
}

#[test]
fn a_cutter_that_is_not_owned_is_worked_round() {
    // No. 7 cuts 14 to 16 and is not in the drawer; nor is any cutter for 9 teeth, or for 20°
    let with = |count, angle| {
        let mut brief = gear();
        brief.cuts[0].work = Work::Teeth(teeth(count, count, inches(0.1), angle));
        plan(&brief, &shop())
    };
    let seven = with(15, 14.5);
    let lack = seven.lacking.iter().find(|lack| lack.kind == ToolKind::GearCutter).unwrap();
    assert!(lack.label.contains("No. 7, 14 to 16 teeth"), "{lack:?}");
    assert!(lack.ways[0].contains("No. 8") && lack.ways[0].contains("12 teeth"), "{lack:?}");
    assert!(lack.ways.iter().any(|way| way.contains("fly cutter")));
    let nine = with(9, 14.5);
    let lack = nine.lacking.iter().find(|lack| lack.kind == ToolKind::GearCutter).unwrap();
    assert!(lack.ways.iter().any(|way| way.contains("fewer than 12")), "{lack:?}");
    let steep = with(15, 20.0);
    let lack = steep.lacking.iter().find(|lack| lack.kind == ToolKind::GearCutter).unwrap();
    assert!(lack.ways.iter().all(|way| !way.contains("The owned")), "{lack:?}");
}

/// Ranges of the eight-cutter set: Rose, Modern Machine-Shop Practice (1880s), table of cutters; of half numbers: handbook
/// table, from memory.
#[test]
fn the_number_goes_by_the_teeth() {
    use making::cutters::form_cutter;
    let mut shop = shop();
    shop.drawers.gear_cutters[0].numbers = (1..=8).map(f64::from).collect();
    let number = |shop: &making::shop::Shop, count| form_cutter(&teeth(count, count, inches(0.1), 14.5), shop);
    for (count, printed) in [
        (12, 8),
        (13, 8),
        (14, 7),
        (16, 7),
        (17, 6),
        (20, 6),
        (21, 5),
        (25, 5),
        (26, 4),
        (34, 4),
        (35, 3),
        (54, 3),
        (55, 2),
        (134, 2),
        (135, 1),
        (400, 1),
    ] {
        let pick = number(&shop, count);
        assert!(pick.owned && pick.label.contains(&format!("No. {printed},")), "{count}: {pick:?}");
    }
    shop.drawers.gear_cutters[0].numbers.push(3.5);
    assert!(number(&shop, 33).label.contains("No. 3 1/2,"));
    assert!(number(&shop, 35).label.contains("No. 3,"));
    assert_eq!(number(&shop, 33).form_correct_for, Some(30));
}

#[test]
fn what_stands_in_the_way_is_said() {
    let mut shop = shop();
    shop.machines[0].swing = Some(inches(4.0));
    shop.machines[3].throat = Some(inches(2.0));
    shop.dividing[0].plates.clear();
    shop.drawers.gear_cutters.clear();
    shop.machines.retain(|machine| machine.kind != MachineKind::ArborPress);
    let plan = plan(&sector(), &shop);
    let lack = |label: &str| {
        let found = plan.lacking.iter().find(|lack| lack.label == label);
        found.unwrap_or_else(|| panic!("{label} in {:?}", plan.lacking)).ways.join(" ")
    };
    assert!(lack("larger lathe").contains("it swings 4.000 in and"), "{}", lack("larger lathe"));
    assert!(lack("larger saw").contains("its throat is 2.000 in"));
    assert!(lack("arbor press").contains("vice with soft jaws"));
    assert!(lack("index plates for the dividing head").contains("11 holes"));
    assert!(plan.indexing.is_none());
    every_tool_is_owned_or_lacking(&shop, &plan);
    let mut small_head = shared::shop();
    small_head.dividing[0].swing = Some(inches(3.0));
    let plan = making::plan(&sector(), &small_head);
    assert!(
        plan.lacking.iter().any(|lack| lack.label.contains("dividing head that swings 4.600 in")),
        "{:?}",
        plan.lacking
    );
}

#[test]
fn an_inexact_division_is_lacking_its_plate() {
    let mut brief = gear();
    brief.cuts[0].work = Work::Teeth(teeth(53, 53, inches(0.1), 14.5));
    let plan = plan(&brief, &shop());
    assert!(plan.indexing.as_ref().is_some_and(|sheet| sheet.error.is_some()));
    assert!(plan.lacking.iter().any(|lack| lack.label.contains("circle of 53 holes")), "{:?}", plan.lacking);
    let cutting = operation(&plan, Step::CutTeeth);
    assert!(cutting.notes.iter().any(|note| note.contains("seconds of arc")));
}

#[test]
fn a_part_that_can_injure_stops_the_plan() {
    for (title, serves) in [
        ("Brake lever", "brakes"),
        ("Hoist pawl", "lifting"),
        ("steam valve spindle", "pressure"),
        ("steering arm", "steering"),
        ("Bush for the gun carriage", "firearms"),
        ("towbar pin", "towing"),
    ] {
        let duty = Duty::told_by(title);
        assert_eq!(duty, Duty::CanInjure(serves.into()), "{title}");
        let plan = plan(&Brief { duty, ..pin() }, &shop());
        assert!(plan.stop.is_some_and(|stop| stop.contains("licensed engineer") && stop.contains("local codes")));
    }
    assert_eq!(Duty::told_by("Feed sector for the apple mill"), Duty::Ordinary);
    assert_eq!(Duty::told_by("Gun metal bush, pressure angle 20"), Duty::Ordinary);
    assert!(Duty::told_by("Sear of a pistol").stop().is_some_and(|stop| stop.contains("licensed gunsmith")));
    assert_eq!(Duty::told_by("Printing-pressure? no: shafting"), Duty::CanInjure("pressure".into()));
    assert_eq!(plan(&pin(), &shop()).stop, None);
}

#[test]
fn cautions_stand_where_they_belong() {
    let plan = plan(&sector(), &shop());
    let says = |step, word: &str| operation(&plan, step).cautions.iter().any(|caution| caution.contains(word));
    assert!(says(Step::SawOutline, "clamp it"));
    assert!(says(Step::SandOutline, "Never hold a small piece"));
    assert!(says(Step::MatchDrill, "Clamp the work"));
    assert!(says(Step::PressBush, "burst"));
    assert!(says(Step::CutTeeth, "Iron dust"));
    assert!(says(Step::TurnBlank, "Eye protection"));
    // the whole list: guarding, eyes and dust, small work held, press and shrink work, hot parts
    assert!(says(Step::SawBlank, "guard") && says(Step::CutTeeth, "guarded") && says(Step::TurnBlank, "guard closed"));
    assert!(says(Step::SandOutline, "mask or extraction") && says(Step::SandOutline, "gets hot"));
    assert!(says(Step::PressBush, "ram guard") && says(Step::PressBush, "shrunk"));
    assert!(says(Step::Bore, "hot and sharp"));
    for operation in plan.operations.iter().filter(|operation| operation.step != Step::FinalCheck) {
        assert!(!operation.cautions.is_empty(), "{}", operation.title);
    }
}

#[test]
fn nothing_to_cut_still_gives_a_plan() {
    let plan = plan(&brief("Blank", "unobtainium", Vec::new()), &bare_shop());
    assert!(plan.notes.iter().any(|note| note.contains("No cutting speeds")));
    the_order_can_be_worked(&plan);
}

proptest! {
    #[test]
    fn any_plan_holds_together(cuts in any_cuts(), shop in any_shop(), thickness in prop::option::of(0.1_f64..3.0), has_mate: bool, metric: bool) {
        let shop = Shop { unit: if metric { Unit::Millimetre } else { Unit::Inch }, ..shop };
        let brief = Brief { thickness: thickness.map(inches), has_mate, ..brief("Part", "grey cast iron", cuts) };
        let plan = plan(&brief, &shop);
        every_dimension_is_checked(&brief, &plan);
        every_tool_is_owned_or_lacking(&shop, &plan);
        the_order_can_be_worked(&plan);
        let match_made = brief.cuts.iter().any(|cut| cut.match_made);
        for piece in &plan.pieces {
            prop_assert_eq!(piece.undone.is_empty(), !(piece.spare && match_made));
        }
        for operation in &plan.operations {
            for running in &operation.running {
                if let Some(real) = running.speed.real {
                    let speeds = shop.machines.iter().filter(|machine| machine.name == operation.machine.name);
                    let gives = speeds.clone().any(|machine| match &machine.speeds {
                        making::shop::Speeds::Stepped(steps) => steps.contains(&real),
                        making::shop::Speeds::Variable { lowest, highest } => (*lowest..=*highest).contains(&real),
                        making::shop::Speeds::None => false,
                    });
                    prop_assert!(gives, "{} does not turn at {real}", operation.machine.name);
                }
            }
        }
        // each lack once
        let labels: BTreeSet<_> = plan.lacking.iter().map(|lack| (lack.kind, lack.label.clone())).collect();
        prop_assert_eq!(labels.len(), plan.lacking.len());
    }
}
