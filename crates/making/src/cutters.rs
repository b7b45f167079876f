//! The form cutter for a toothed rim: which number, whether it is owned, and the ways round it.

use part::TeethWork;
use quantity::{Length, Unit, print};
use standards::{Cutter, cutter_of};

use crate::shop::{CutterNumbering, CutterSet};

/// Modules are told apart by their names; this bridges only the rounding of 25.4/P.
const SAME_MODULE: f64 = 1e-3;
const SAME_ANGLE_DEGREES: f64 = 0.05;
/// Below this depth in modules the tooth is a stub, which full-depth cutters do not cut (full depth is 2.157 and more).
const STUB_DEPTH: f64 = 1.95;
/// Outside diameter of a form cutter that nobody has measured, and its teeth; common practice for small stock cutters.
pub const USUAL_CUTTER_DIAMETER: Length = Length::from_mm(60.0);
pub const USUAL_CUTTER_TEETH: u32 = 12;
/// Coarser than this shift, a form cutter's tooth is plainly not the one wanted.
const SHIFT_THAT_SHOWS: f64 = 0.1;

#[derive(Clone, Debug, PartialEq)]
pub struct CutterPick {
    /// "10 DP, 14½°, No. 3, 35 to 54 teeth"
    pub label: String,
    pub owned: bool,
    /// The count whose form it has, in present practice; none where no form cutter cuts so few teeth.
    pub form_correct_for: Option<u32>,
    pub diameter: Option<Length>,
    pub bore: Option<Length>,
    /// Said beside an owned cutter: what it does not do exactly.
    pub note: Option<String>,
    /// Where it is not owned: what would do.
    pub ways: Vec<String>,
}

/// The cutter for a rim: of the numbers owned the one nearest below the count, half numbers first.
pub fn form_cutter(sets: &[CutterSet], teeth: &TeethWork, unit: Unit) -> CutterPick {
    let fitting: Vec<&CutterSet> = sets.iter().filter(|set| fits(set, teeth)).collect();
    let owned = fitting
        .iter()
        .flat_map(|set| numbers(set).map(move |cutter| (*set, cutter)))
        .filter(|(_, cutter)| cutter.cuts(teeth.teeth))
        .max_by_key(|(_, cutter)| cutter.form_correct_for);
    if let Some((set, cutter)) = owned {
        return CutterPick {
            label: label(teeth, cutter),
            owned: true,
            form_correct_for: Some(cutter.form_correct_for),
            diameter: set.diameter,
            bore: set.bore,
            note: owned_note(teeth, cutter),
            ways: Vec::new(),
        };
    }
    lacking(&fitting, teeth, unit)
}

fn fits(set: &CutterSet, teeth: &TeethWork) -> bool {
    let stub_set = set.size_label.to_lowercase().contains("stub");
    (set.module / teeth.module - 1.0).abs() < SAME_MODULE
        && (set.pressure_angle_degrees - teeth.pressure_angle.degrees()).abs() < SAME_ANGLE_DEGREES
        && stub_set == is_stub(teeth)
}

fn is_stub(teeth: &TeethWork) -> bool {
    teeth.depth / teeth.module < STUB_DEPTH
}

/// The cutters of a set that are owned, as the tables know them.
fn numbers(set: &CutterSet) -> impl Iterator<Item = &'static Cutter> + '_ {
    set.numbers.iter().filter_map(|&number| {
        let half = number.fract() != 0.0;
        let table = match (set.numbering, half) {
            (CutterNumbering::RackIsOne, false) => standards::CutterSet::Eight,
            (CutterNumbering::RackIsOne, true) => standards::CutterSet::Fifteen,
            (CutterNumbering::TwelveIsOne, _) => standards::CutterSet::Module,
        };
        let written = match half {
            true => format!("{} 1/2", number.trunc()),
            false => format!("{number}"),
        };
        standards::cutter_numbered(table, &written)
    })
}

fn label(teeth: &TeethWork, cutter: &Cutter) -> String {
    format!("{}, {}", size(teeth), cutter.label())
}

fn size(teeth: &TeethWork) -> String {
    let stub = if is_stub(teeth) { " stub" } else { "" };
    format!("{}{stub} {} form cutter", teeth.size_label, print::angle(teeth.pressure_angle))
}

fn owned_note(teeth: &TeethWork, cutter: &Cutter) -> Option<String> {
    let mut notes = Vec::new();
    if cutter.form_correct_for != teeth.teeth {
        notes.push(format!(
            "Its form is that of {} teeth, the fewest it cuts, and a shade fuller in relief than {} teeth want: usual and good.",
            cutter.form_correct_for, teeth.teeth
        ));
    }
    if let Some(old) = cutter.form_of_1880s.filter(|old| *old != cutter.form_correct_for) {
        notes.push(format!("A cutter of the 1880s has the form of {old} teeth instead."));
    }
    notes.extend(shift_note(teeth));
    (!notes.is_empty()).then(|| notes.join(" "))
}

fn shift_note(teeth: &TeethWork) -> Option<String> {
    (teeth.profile_shift.abs() > SHIFT_THAT_SHOWS).then(|| {
        format!(
            "The tooth is shifted by {} of the module and a stock cutter has the unshifted form: compare the first space with the template, \
             or grind a fly cutter to it.",
            print::number(teeth.profile_shift)
        )
    })
}

fn lacking(fitting: &[&CutterSet], teeth: &TeethWork, unit: Unit) -> CutterPick {
    // the set that is owned in part decides by which numbering the missing one is called
    let table = match fitting.first().map(|set| set.numbering) {
        Some(CutterNumbering::TwelveIsOne) => standards::CutterSet::Module,
        Some(CutterNumbering::RackIsOne) | None => standards::CutterSet::Eight,
    };
    let wanted = cutter_of(table, teeth.teeth);
    let fly = format!(
        "Grind a single-point fly cutter to the space of the true-scale template, {} deep, and cut with that: one point, so feed slowly.",
        print::both(teeth.depth, unit, 2)
    );
    let mut ways = Vec::new();
    if let Some(neighbour) = neighbour(fitting, teeth.teeth) {
        ways.push(neighbour);
    }
    ways.push(fly);
    ways.push(match wanted {
        Some(cutter) => {
            format!("Buy or borrow {}; go by the teeth marked on it, numbers run both ways.", label(teeth, cutter))
        }
        None => format!(
            "No stock form cutter cuts fewer than 12 teeth: {} teeth must be fly-cut, or generated by a trade shop.",
            teeth.teeth
        ),
    });
    CutterPick {
        label: match wanted {
            Some(cutter) => label(teeth, cutter),
            None => format!("{} for {} teeth", size(teeth), teeth.teeth),
        },
        owned: false,
        form_correct_for: wanted.map(|cutter| cutter.form_correct_for),
        diameter: None,
        bore: None,
        note: shift_note(teeth),
        ways,
    }
}

/// The owned number that is next best: formed for fewer teeth it gives relief, formed for more it leaves the tips to foul.
fn neighbour(fitting: &[&CutterSet], teeth: u32) -> Option<String> {
    let owned = || fitting.iter().flat_map(|set| numbers(set));
    let fewer = owned().filter(|c| c.form_correct_for <= teeth).max_by_key(|c| c.form_correct_for);
    if let Some(cutter) = fewer {
        return Some(format!(
            "The owned {} is formed for {} teeth: on {teeth} its flanks are too round, which thins the tips; it runs, with less contact, at low speed and load.",
            cutter.label(),
            cutter.form_correct_for
        ));
    }
    let more = owned().min_by_key(|c| c.form_correct_for)?;
    Some(format!(
        "The owned {} is formed for {} teeth: on {teeth} its flanks are too straight and leave the tips full, which foul the mate. Only with the tips \
         eased by file to the template.",
        more.label(),
        more.form_correct_for
    ))
}
