//! Picks out of a drawer with gaps; diameters of drills are those of ASME B94.11M.

mod shared;

use making::shop::OwnedDrill;
use making::tools::{drill_near, reamer_within};
use proptest::prelude::*;
use quantity::{Length, Unit};
use shared::{inches, mm, shop};

#[test]
fn the_nearest_drill_and_its_neighbours() {
    let drills = shop().drawers.drills;
    let pick = drill_near(&drills, inches(0.0985)).expect("the drawer is full");
    assert_eq!(pick.nearest.label, "#40");
    assert!((pick.difference.inches() + 0.0005).abs() < 1e-9);
    assert_eq!(pick.above.map(|drill| drill.label.as_str()), Some("#39"));
    let said = pick.sentence(Unit::Inch);
    assert_eq!(said, "#40 is the nearest owned, −0.0005 in (−0.013 mm) from the size; next above #39 (0.0995 in).");
    let gap: Vec<OwnedDrill> =
        drills.into_iter().filter(|drill| drill.label != "#40" && drill.label != "#39").collect();
    let pick = drill_near(&gap, inches(0.0980)).expect("the rest of the drawer");
    // 0.0960 is 2 thou off, #38 at 0.1015 3½
    assert_eq!((pick.nearest.label.as_str(), pick.above.map(|drill| drill.label.as_str())), ("#41", Some("#38")));
    assert!(drill_near(&[], inches(0.1)).is_none());
}

#[test]
fn a_reamer_is_taken_only_within_the_limits() {
    let drawers = shop().drawers;
    let limits = standards::fits::limits("H7", inches(0.875)).expect("within the table");
    let (smallest, largest) = limits.sizes(inches(0.875));
    let pick = reamer_within(&drawers.reamers, &drawers.drills, smallest, largest).expect("7/8 is owned");
    assert_eq!(pick.reamer.label, "7/8 in reamer");
    // handbook allowance of 0.25 to 0.40 mm for 20 to 30 mm: only 55/64 leaves that, 1/64 in or 0.397 mm
    let (drill, left) = pick.drill.expect("a drill leaves the right amount");
    assert_eq!(drill.label, "55/64 in");
    assert!((left.inches() - 1.0 / 64.0).abs() < 1e-9);
    let off = Length::from_mm(0.05);
    assert!(reamer_within(&drawers.reamers, &drawers.drills, smallest + off, largest + off).is_none());
}

/// 6 mm less 5.8 mm is a hair more than 0.2 mm in binary figures, and 0.2 mm is what the handbook leaves at most for 6 mm.
#[test]
fn a_drill_at_the_limit_itself_is_taken() {
    let drawers = shop().drawers;
    let six = making::shop::RoundTool { label: "6 mm reamer".into(), diameter: mm(6.0) };
    let owned = |label: &str, size: f64| OwnedDrill {
        label: label.into(),
        diameter: mm(size),
        series: drawers.drills[0].series,
    };
    for size in [5.8, 5.9] {
        let drills = [owned("the limit", size)];
        let pick = reamer_within(std::slice::from_ref(&six), &drills, mm(6.0), mm(6.012)).expect("the reamer is owned");
        assert!(pick.drill.is_some(), "{size}: {:?}", pick.allowance);
    }
    // marked with the limit and not a hair beyond it
    let beyond = [owned("beyond", 5.78)];
    assert!(reamer_within(&[six], &beyond, mm(6.0), mm(6.012)).is_some_and(|pick| pick.drill.is_none()));
}

proptest! {
    #[test]
    fn no_owned_drill_is_nearer(size in 0.01_f64..1.2, keep in prop::collection::vec(any::<bool>(), 200)) {
        let mut drills = shop().drawers.drills;
        let mut keep = keep.into_iter().cycle();
        drills.retain(|_| keep.next().unwrap_or(true));
        let size = inches(size);
        let Some(pick) = drill_near(&drills, size) else {
            prop_assert!(drills.is_empty());
            return Ok(());
        };
        for drill in &drills {
            prop_assert!((drill.diameter - size).abs() >= pick.difference.abs());
            prop_assert!(drill.diameter >= size || pick.below.is_some_and(|below| below.diameter >= drill.diameter));
            prop_assert!(drill.diameter <= size || pick.above.is_some_and(|above| above.diameter <= drill.diameter));
        }
    }
}
