//! Gears that turn the work while the table travels.

#![allow(clippy::unwrap_used, reason = "a look-up that fails fails the test")]

mod shared;

use making::indexing::lead::{LeadGears, lead_gears};
use making::shop::{ChangeGears, MachineKind};
use making::{Step, plan};
use part::{Hand, HelixWork, Work};
use proptest::prelude::*;
use quantity::Angle;
use shared::*;

/// The usual set of a universal dividing head.
const SET: [u32; 12] = [24, 24, 28, 32, 40, 44, 48, 56, 64, 72, 86, 100];

fn kit(teeth: &[u32]) -> ChangeGears {
    ChangeGears { teeth: teeth.to_vec(), module: None, centres: None }
}

fn lead_of(gears: &LeadGears, of_machine: f64) -> f64 {
    let (first, second) = gears.stud.unwrap_or((1, 1));
    of_machine * f64::from(gears.worm) * f64::from(first) / (f64::from(gears.screw) * f64::from(second))
}

/// Leads in inches of a milling machine whose own lead is ten inches, head 40 to 1 on a screw of four threads to the inch.
#[test]
fn leads_of_a_treatise_are_found() {
    for (ratio, lead, decimals, source) in [
        (40, 6.160, 3, "Practical Treatise on Milling and Milling Machines, p. 63"),
        // the same gears to the spindle in the worm's place: a fortieth
        (1, 0.154, 4, "Practical Treatise on Milling and Milling Machines, p. 63"),
        (40, 27.0, 3, "handbook example of 27/10 for driven over drivers, from memory"),
    ] {
        let gears = lead_gears(&kit(&SET), ratio, inches(0.25), inches(lead)).unwrap();
        let off = 0.5 * 10_f64.powi(-decimals);
        let printed = lead == 27.0 || (gears.lead.inches() - lead).abs() <= off;
        assert!(printed, "{gears:?}: {} for {lead} ({source})", gears.lead.inches());
        assert!((lead_of(&gears, 0.25 * f64::from(ratio)) - gears.lead.inches()).abs() < 1e-9, "{source}");
    }
    // nothing but the two gears that are wanted
    let gears = lead_gears(&kit(&[100, 27, 40]), 40, inches(0.25), inches(2.7)).unwrap();
    assert_eq!((gears.screw, gears.stud, gears.worm), (100, None, 27));
    assert_eq!(gears.sentence(), "100 on the screw, then 27 on the worm's shaft");
}

proptest! {
    /// The lead told is the one that the gears give, they are owned as often as used, and no two of them alone come nearer.
    #[test]
    fn gears_are_owned_and_near(lead in 100.0_f64..3000.0, screw in 3.0_f64..7.0, ratio in prop_oneof![Just(40_u32), Just(60)]) {
        let gears = lead_gears(&kit(&SET), ratio, mm(screw), mm(lead)).unwrap();
        let of_machine = screw * f64::from(ratio);
        prop_assert!((lead_of(&gears, of_machine) - gears.lead.mm()).abs() < 1e-9 * lead);
        let mut left = SET.to_vec();
        let used = [Some(gears.screw), Some(gears.worm), gears.stud.map(|stud| stud.0), gears.stud.map(|stud| stud.1)];
        for gear in used.into_iter().flatten() {
            let at = left.iter().position(|owned| *owned == gear);
            prop_assert!(at.is_some(), "{gears:?}");
            left.swap_remove(at.unwrap());
        }
        let off = |found: f64| (found / lead).ln().abs();
        for (at, driver) in SET.iter().enumerate() {
            for (other, driven) in SET.iter().enumerate().filter(|(other, _)| *other != at) {
                let of_two = of_machine * f64::from(*driven) / f64::from(*driver);
                prop_assert!(off(gears.lead.mm()) <= off(of_two) + 1e-9, "{at} {other}: {of_two} against {gears:?}");
            }
        }
    }
}

fn helical(hand: Option<Hand>) -> making::Brief {
    let mut rim = teeth(30, 30, mm(2.0), 20.0);
    let angle = Angle::from_degrees(20.0);
    let pitch_diameter = 60.0 / angle.cos();
    let lead = mm(std::f64::consts::PI * pitch_diameter / angle.tan());
    rim.helix = Some(HelixWork { angle, hand, lead, virtual_teeth: 30.0 / angle.cos().powi(3) });
    rim.face_width = Some(mm(20.0));
    rim.blank_diameter = mm(pitch_diameter + 4.0);
    brief("Feed wheel", "mild steel", vec![cut("rim", Work::Teeth(rim))])
}

/// With a screw to gear to, the train is told; without, what is lacking and the ways round it. Neither way is a differential
/// train or the plate on the spindle used to divide.
#[test]
fn a_geared_table_cuts_them_and_without_one_it_is_said() {
    let mut shop = shop();
    for head in &mut shop.dividing {
        head.change_gears = Some(kit(&SET));
    }
    let cutting = |shop: &making::shop::Shop, hand| {
        let plan = plan(&helical(hand), shop);
        let operation = plan.operations.iter().find(|operation| operation.step == Step::CutTeeth).unwrap().clone();
        (operation, plan)
    };
    let (operation, without) = cutting(&shop, None);
    assert!(without.lacking.iter().any(|lack| lack.label.contains("for a lead of")), "{:?}", without.lacking);
    assert!(operation.instructions.iter().any(|told| told.contains("the way the original's teeth lean")));
    assert!(without.cutters.iter().any(|cutter| cutter.label.contains("35 to 54")), "{:?}", without.cutters);
    let mill = shop.machines.iter_mut().find(|machine| machine.kind == MachineKind::Mill).unwrap();
    mill.table_screw = Some(inches(0.25));
    let (operation, with) = cutting(&shop, Some(Hand::Right));
    assert!(!with.lacking.iter().any(|lack| lack.label.contains("for a lead of")), "{:?}", with.lacking);
    let told = operation.instructions.iter().find(|told| told.contains("Gear the head")).unwrap();
    assert!(told.contains("on the screw") && told.contains("off over the face"), "{told}");
    assert!(operation.instructions.iter().any(|told| told.contains("its right end away from you")));
    assert_eq!(with.indexing.unwrap().method, making::indexing::Method::Simple);
}
