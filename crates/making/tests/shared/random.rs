//! Cuts and shops at random.

use making::shop::*;
use part::*;
use proptest::prelude::*;
use quantity::{Angle, Length};

use super::*;

pub fn any_cuts() -> impl Strategy<Value = Vec<Cut>> {
    let size = 0.3_f64..2.0;
    let teeth_cut = (8_u32..200, 0.05_f64..1.0, 8.0_f64..24.0, prop::sample::select(vec![14.5, 20.0])).prop_map(
        |(count, part, pitch, angle)| {
            let cut_out = ((f64::from(count) * part).ceil() as u32).clamp(1, count);
            cut("teeth", Work::Teeth(teeth(count, cut_out, inches(1.0 / pitch), angle)))
        },
    );
    let finish = prop::sample::select(vec![
        HoleFinish::Drilled,
        HoleFinish::Reamed,
        HoleFinish::Bored,
        HoleFinish::Tapped(&standards::usual_threads()[7].thread),
    ]);
    let bored =
        (size.clone(), finish.clone(), any::<bool>(), any::<bool>()).prop_map(|(diameter, finish, bushed, keyed)| {
            let mut cuts = vec![cut("bore", Work::Hole(hole(inches(diameter), finish, centre())))];
            if bushed {
                cuts.push(cut("bore", Work::Bush(bush(inches(diameter), inches(diameter * 0.75)))));
            }
            if keyed {
                cuts.push(cut(
                    "bore",
                    Work::Keyway(part::KeywayWork {
                        bore: inches(diameter),
                        width: inches(diameter / 4.0),
                        width_limits: standards::fits::limits("JS9", inches(diameter / 4.0)).unwrap(),
                        depth: inches(diameter / 8.0),
                        depth_limits: standards::fits::Limits { lower: Length::ZERO, upper: mm(0.2) },
                    }),
                ));
            }
            cuts
        });
    let place = (prop::option::of(0.5_f64..2.0), prop::option::of(0.0_f64..360.0))
        .prop_map(|(radius, degrees)| Place { radius: radius.map(inches), angle: degrees.map(Angle::from_degrees) });
    let drilled = (0.04_f64..0.6, finish, prop::collection::vec(place, 1..4), any::<bool>()).prop_map(
        |(diameter, finish, places, match_made)| Cut {
            match_made,
            ..cut("holes", Work::Hole(hole(inches(diameter), finish, places)))
        },
    );
    let turned_cuts = prop::collection::vec((size, 0.2_f64..4.0), 0..3).prop_map(|sizes| {
        let journal = |(number, (diameter, length)): (usize, (f64, f64))| {
            turned(&format!("journal {number}"), inches(diameter), inches(length))
        };
        sizes.into_iter().enumerate().map(journal).collect::<Vec<_>>()
    });
    let profile = prop::option::of(1.0_f64..20.0)
        .prop_map(|length| length.map(|length| cut("outline", Work::Profile { length: inches(length) })));
    (prop::option::of(teeth_cut), prop::option::of(bored), prop::option::of(drilled), turned_cuts, profile).prop_map(
        |(teeth, bored, drilled, turned, profile)| {
            teeth.into_iter().chain(bored.into_iter().flatten()).chain(drilled).chain(turned).chain(profile).collect()
        },
    )
}

/// The small shop with a random choice of it missing.
pub fn any_shop() -> impl Strategy<Value = Shop> {
    let whole = shop();
    let kinds = prop::sample::subsequence(MachineKind::ALL.to_vec(), 0..=MachineKind::ALL.len());
    let small = prop::sample::subsequence(SmallTool::ALL.to_vec(), 0..=SmallTool::ALL.len());
    let drills = prop::sample::subsequence(whole.drawers.drills.clone(), 0..=whole.drawers.drills.len());
    (kinds, small, drills, prop::collection::vec(any::<bool>(), 10), 1.0_f64..12.0).prop_map(
        move |(kinds, small, drills, kept, room)| {
            let mut shop = whole.clone();
            shop.machines.retain(|machine| kinds.contains(&machine.kind));
            for machine in &mut shop.machines {
                machine.swing = machine.swing.map(|_| inches(room));
                machine.throat = machine.throat.map(|_| inches(room));
            }
            shop.drawers.small_tools = small;
            shop.drawers.drills = drills;
            let empty = |keep: bool, clear: &mut dyn FnMut()| {
                if !keep {
                    clear();
                }
            };
            empty(kept[0], &mut || shop.drawers.reamers.clear());
            empty(kept[1], &mut || shop.drawers.gear_cutters.clear());
            empty(kept[2], &mut || shop.drawers.pins.clear());
            empty(kept[3], &mut || shop.drawers.broaches.clear());
            empty(kept[4], &mut || shop.drawers.arbors.clear());
            empty(kept[5], &mut || shop.dividing.clear());
            empty(kept[6], &mut || shop.rack.clear());
            empty(kept[7], &mut || shop.instruments.clear());
            empty(kept[8], &mut || shop.drawers.end_mills.clear());
            empty(kept[9], &mut || shop.drawers.slot_cutters.clear());
            shop
        },
    )
}
