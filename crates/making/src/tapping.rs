//! The drill before a tap, out of the drawer, with the per cent of thread it leaves.

use quantity::{Length, Unit, print};
use serde::Serialize;
use standards::{FEWEST_PERCENT, MOST_PERCENT, Thread};

use crate::shop::OwnedDrill;

#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TapDrill {
    pub thread: String,
    pub major_mm: f64,
    pub pitch_mm: f64,
    pub wanted_percent: f64,
    /// The hole that leaves just that.
    pub hole_mm: f64,
    /// The owned drill nearest to it that leaves a usable thread; none where the drawer has none.
    pub drill: Option<Tapped>,
    /// The other owned drills that leave a usable thread, smallest first.
    pub others: Vec<Tapped>,
    pub sentence: String,
}

#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Tapped {
    pub label: String,
    pub diameter_mm: f64,
    pub percent: f64,
}

/// The drill for a thread; `percent` of it is to be left.
pub fn tap_drill(thread: &Thread, percent: f64, drills: &[OwnedDrill], unit: Unit) -> TapDrill {
    let hole = thread.hole(percent);
    let tapped = |drill: &OwnedDrill| Tapped {
        label: drill.label.clone(),
        diameter_mm: drill.diameter.mm(),
        percent: thread.percent(drill.diameter),
    };
    let mut usable: Vec<Tapped> =
        drills.iter().map(tapped).filter(|one| (FEWEST_PERCENT..=MOST_PERCENT).contains(&one.percent)).collect();
    usable.sort_by(|a, b| a.diameter_mm.total_cmp(&b.diameter_mm));
    let off = |one: &Tapped| (one.percent - percent).abs();
    let best = (0..usable.len()).min_by(|&a, &b| off(&usable[a]).total_cmp(&off(&usable[b])));
    let drill = best.map(|at| usable.remove(at));
    let size = |length: Length| print::both(length, unit, 3);
    let sentence = match &drill {
        Some(one) => format!(
            "{}: drill {}, which leaves {:.0} per cent of the thread ({percent:.0} wanted, a hole of {}).",
            thread.name,
            one.label,
            one.percent,
            size(hole)
        ),
        None => format!(
            "{}: no owned drill leaves {FEWEST_PERCENT:.0} to {MOST_PERCENT:.0} per cent of the thread; {percent:.0} per cent is a hole of {}. Buy \
             that drill, or bore the hole.",
            thread.name,
            size(hole)
        ),
    };
    TapDrill {
        thread: thread.name.clone(),
        major_mm: thread.major.mm(),
        pitch_mm: thread.pitch.mm(),
        wanted_percent: percent,
        hole_mm: hole.mm(),
        drill,
        others: usable,
        sentence,
    }
}
