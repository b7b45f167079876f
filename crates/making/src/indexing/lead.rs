//! Gears from the table's screw to the dividing head, which turn the work as the table travels: helical teeth.

use quantity::Length;

use super::gears::{Gears, Pairing, TO_PASS_A_SHAFT};
use crate::shop::ChangeGears;

/// A train from the screw to the head's worm shaft.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LeadGears {
    /// On the screw; it drives.
    pub screw: u32,
    /// Two gears on one stud: the first is driven by the screw's gear, the second drives on.
    pub stud: Option<(u32, u32)>,
    /// On the worm's shaft.
    pub worm: u32,
    /// The lead that they give.
    pub lead: Length,
}

/// Of the gears owned, those that come nearest to a lead.
///
/// Over one turn of the work the worm turns as often as the head's ratio says and the screw lead/pitch times, so that driven over
/// drivers is lead/(ratio × pitch). Lengths. Range: any lead up to which the gears reach. Exact for the gears. Source: geometry;
/// shop handbooks call ratio × pitch the lead of the machine.
pub fn lead_gears(kit: &ChangeGears, ratio: u32, screw: Length, lead: Length) -> Option<LeadGears> {
    let of_machine = screw * f64::from(ratio);
    // drivers over driven
    let wanted = of_machine / lead;
    let all = Gears::of(kit).ratios();
    let from = all.partition_point(|(ratio, _)| *ratio < wanted);
    // the nearest may not clear the shafts: look a good way to both sides
    let near = &all[from.saturating_sub(LOOKED_AT)..(from + LOOKED_AT).min(all.len())];
    let trains = near.iter().filter_map(|&(ratio, pairing)| arranged(pairing, of_machine / ratio));
    // two gears before four that give the same
    let off = |train: &LeadGears| ((train.lead / lead).ln().abs() * 1e9).round();
    trains.min_by(|a, b| off(a).total_cmp(&off(b)).then(a.stud.is_some().cmp(&b.stud.is_some())))
}

const LOOKED_AT: usize = 200;

fn arranged(pairing: Pairing, lead: Length) -> Option<LeadGears> {
    match pairing {
        Pairing::Two(screw, worm) => {
            (screw != worm || lead > Length::ZERO).then_some(LeadGears { screw, stud: None, worm, lead })
        }
        Pairing::Four(drivers, driven) => {
            let turned = |[a, b]: [u32; 2]| [(a, b), (b, a)];
            turned(drivers).into_iter().find_map(|(screw, second)| {
                let clears = |&(first, worm): &(u32, u32)| {
                    first != second
                        && screw + first >= second + TO_PASS_A_SHAFT
                        && second + worm >= first + TO_PASS_A_SHAFT
                };
                let (first, worm) = turned(driven).into_iter().find(clears)?;
                Some(LeadGears { screw, stud: Some((first, second)), worm, lead })
            })
        }
    }
}

impl LeadGears {
    /// "24 on the screw, then 40 and 32 together on the stud, the 40 in mesh towards the screw, then 48 on the worm's shaft"
    pub fn sentence(&self) -> String {
        let stud = self.stud.map_or(String::new(), |(first, second)| {
            format!(", then {first} and {second} together on the stud, the {first} in mesh towards the screw")
        });
        format!("{} on the screw{stud}, then {} on the worm's shaft", self.screw, self.worm)
    }
}
