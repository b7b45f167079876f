//! The form cutter for a toothed rim: which number, whether it is owned, and the ways round it.

mod flank;

use part::TeethWork;
use quantity::{Length, print};
use serde::Serialize;
use standards::cutting::WayRound;
use standards::{Cutter, cutter_of};

use crate::shop::{CutterNumbering, CutterSet, Purchase, Shop};
pub use flank::Flank;

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

#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CutterPick {
    /// "10 DP, 14½°, No. 3, 35 to 54 teeth"
    pub label: String,
    pub owned: bool,
    pub teeth: u32,
    /// The count whose form it has, in present practice; none where no form cutter cuts so few teeth.
    pub form_correct_for: Option<u32>,
    /// What that form does to this count.
    pub flank: Option<Flank>,
    /// The other cutters that come into question, nearest form first.
    pub others: Vec<OtherCutter>,
    pub diameter: Option<Length>,
    pub bore: Option<Length>,
    /// Said beside an owned cutter: what it does not do exactly.
    pub note: Option<String>,
    /// Where it is not owned: what would do.
    pub ways: Vec<String>,
}

/// A cutter that was not taken, owned outside its range or to be bought.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct OtherCutter {
    pub label: String,
    pub owned: bool,
    pub flank: Flank,
}

/// The cutter for a rim: of the numbers owned the one nearest below the count, half numbers first.
pub fn form_cutter(teeth: &TeethWork, shop: &Shop) -> CutterPick {
    let fitting: Vec<&CutterSet> = shop.drawers.gear_cutters.iter().filter(|set| fits(set, teeth)).collect();
    let owned = fitting
        .iter()
        .flat_map(|set| numbers(set).map(move |cutter| (*set, cutter)))
        .filter(|(_, cutter)| cutter.cuts(formed_as(teeth)))
        .max_by_key(|(_, cutter)| cutter.form_correct_for);
    let Some((set, cutter)) = owned else {
        return lacking(&fitting, teeth, shop);
    };
    let flank = Flank::of(teeth, cutter.form_correct_for);
    let others = others(&fitting, teeth, Some(cutter));
    CutterPick {
        label: label(teeth, cutter),
        owned: true,
        teeth: teeth.teeth,
        form_correct_for: Some(cutter.form_correct_for),
        flank,
        diameter: set.diameter,
        bore: set.bore,
        note: owned_note(teeth, cutter, flank, &others, shop),
        others,
        ways: Vec::new(),
    }
}

/// The owned cutters outside their range and the half number, as far as their form is nearer than that of the one taken.
fn others(fitting: &[&CutterSet], teeth: &TeethWork, taken: Option<&Cutter>) -> Vec<OtherCutter> {
    let taken_flank = taken.and_then(|cutter| Flank::of(teeth, cutter.form_correct_for));
    let nearer = |flank: &Flank| taken_flank.is_none_or(|taken| flank.worst_um() < taken.worst_um());
    let owned = fitting.iter().flat_map(|set| numbers(set)).filter(|cutter| !cutter.cuts(formed_as(teeth)));
    let mut out: Vec<OtherCutter> = Vec::new();
    let mut add = |cutter: &Cutter, owned: bool| {
        if let Some(flank) = Flank::of(teeth, cutter.form_correct_for).filter(nearer) {
            out.push(OtherCutter { label: cutter.label(), owned, flank });
        }
    };
    owned.for_each(|cutter| add(cutter, true));
    let half = cutter_of(standards::CutterSet::Fifteen, formed_as(teeth));
    if let Some(half) = half.filter(|half| taken.is_none_or(|taken| taken.form_correct_for != half.form_correct_for)) {
        match numbered_in(fitting, teeth) {
            CutterNumbering::RackIsOne => add(half, false),
            CutterNumbering::TwelveIsOne => add(&half.in_module_order(), false),
        }
    }
    out.sort_by(|a, b| a.flank.worst_um().total_cmp(&b.flank.worst_um()));
    out
}

/// One order of numbers in all that is said of a size: that of the set owned or, where there is none, of its own series.
fn numbered_in(fitting: &[&CutterSet], teeth: &TeethWork) -> CutterNumbering {
    let by_module = teeth.size_label.to_lowercase().starts_with("module");
    let of_series = if by_module { CutterNumbering::TwelveIsOne } else { CutterNumbering::RackIsOne };
    fitting.first().map_or(of_series, |set| set.numbering)
}

/// The count whose form the teeth need: their own or, of helical ones, z/cos³ β.
fn formed_as(teeth: &TeethWork) -> u32 {
    teeth.formed_as().round() as u32
}

/// "44", "38 virtual"
fn counted(teeth: &TeethWork) -> String {
    match teeth.helix {
        None => teeth.teeth.to_string(),
        Some(_) => format!("{} virtual", formed_as(teeth)),
    }
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

fn owned_note(
    teeth: &TeethWork,
    cutter: &Cutter,
    flank: Option<Flank>,
    others: &[OtherCutter],
    shop: &Shop,
) -> Option<String> {
    let mut notes = Vec::new();
    if let Some(flank) = flank.filter(|_| cutter.form_correct_for != formed_as(teeth)) {
        notes.push(format!(
            "Its form is that of {} teeth, the fewest it cuts: on {} it {}. {}",
            cutter.form_correct_for,
            counted(teeth),
            flank.sentence(),
            match flank.matters() {
                false => "That is relief, usual and good.",
                true => "That is relief: it runs, with less contact, by hand or slowly. For speed, load or quiet it matters.",
            }
        ));
    }
    if flank.is_some_and(|flank| flank.matters()) {
        notes.push(nearer_forms(others, shop));
    }
    if let Some(old) = cutter.form_of_1880s.filter(|old| *old != cutter.form_correct_for) {
        let on_old = Flank::of(teeth, old).map_or(String::new(), |flank| format!(", which {}", flank.short()));
        notes.push(format!("A cutter of the 1880s has the form of {old} teeth instead{on_old}."));
    }
    notes.extend(shift_note(teeth));
    (!notes.is_empty()).then(|| notes.join(" "))
}

/// What comes nearer than the cutter taken: owned outside its range, bought, or generated.
fn nearer_forms(others: &[OtherCutter], shop: &Shop) -> String {
    let owned = others.iter().find(|other| other.owned).map(|other| {
        let full = if other.flank.tip_um > 0.0 { ", tips to be eased by file if they foul" } else { "" };
        format!("the owned {} ({}{full})", other.label, other.flank.short())
    });
    let half = others.iter().find(|other| !other.owned).map(|other| {
        let price = shop.price_sentence(Purchase::GearCutter);
        format!("the half number, {} ({}), {price}", other.label, other.flank.short())
    });
    let exact = Some("exact, teeth generated by a trade shop, or a fly cutter ground to its sheet".to_string());
    let all: Vec<String> = [owned, half, exact].into_iter().flatten().collect();
    format!("Nearer: {}.", all.join("; "))
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

fn lacking(fitting: &[&CutterSet], teeth: &TeethWork, shop: &Shop) -> CutterPick {
    let table = match numbered_in(fitting, teeth) {
        CutterNumbering::TwelveIsOne => standards::CutterSet::Module,
        CutterNumbering::RackIsOne => standards::CutterSet::Eight,
    };
    let wanted = cutter_of(table, formed_as(teeth));
    let flank = wanted.and_then(|cutter| Flank::of(teeth, cutter.form_correct_for));
    let mut ways = Vec::new();
    ways.extend(neighbour(fitting, teeth, shop));
    ways.push(format!(
        "Grind a single-point fly cutter to the space drawn on the sheet of the fly cutter, {} deep with the backlash in it, and cut with \
         that: one point, so feed slowly. {} to grind it, {} more to cut with it.",
        print::both(teeth.planned_depth(), shop.unit, 2),
        crate::safety::capital(&shop.time_sentence(WayRound::GrindFlyCutter)),
        shop.time_sentence(WayRound::CutWithFlyCutter),
    ));
    let price = shop.price_sentence(Purchase::GearCutter);
    ways.push(match wanted {
        Some(cutter) => format!(
            "Buy or borrow {}, {price}; go by the teeth marked on it, numbers run both ways.{}",
            label(teeth, cutter),
            flank.map_or(String::new(), |flank| format!(" On {} teeth it {}.", counted(teeth), flank.sentence()))
        ),
        None => format!(
            "No stock form cutter cuts fewer than 12 teeth: {} teeth must be fly-cut, or generated by a trade shop.",
            counted(teeth)
        ),
    });
    let others = others(fitting, teeth, None);
    let nearer = |half: &&OtherCutter| {
        !half.owned && flank.is_some_and(|flank| flank.matters() && half.flank.worst_um() < flank.worst_um())
    };
    if let Some(half) = others.iter().find(nearer) {
        ways.push(format!(
            "Better, for the same money: the half number, {}, which {}.",
            half.label,
            half.flank.sentence()
        ));
    }
    ways.push(
        "Or send the turned blank out to have its teeth generated: exact for any count; ask the price.".to_string(),
    );
    CutterPick {
        label: match wanted {
            Some(cutter) => label(teeth, cutter),
            None => format!("{} for {} teeth", size(teeth), formed_as(teeth)),
        },
        owned: false,
        teeth: teeth.teeth,
        form_correct_for: wanted.map(|cutter| cutter.form_correct_for),
        flank,
        others,
        diameter: None,
        bore: None,
        note: shift_note(teeth),
        ways,
    }
}

/// The owned number whose form is nearest. Where that is not near enough, one formed for fewer teeth goes first: it gives relief,
/// while one formed for more leaves the tips to foul.
fn neighbour(fitting: &[&CutterSet], teeth: &TeethWork, shop: &Shop) -> Option<String> {
    let owned = || fitting.iter().flat_map(|set| numbers(set));
    let flanks = owned().filter_map(|cutter| Some((cutter, Flank::of(teeth, cutter.form_correct_for)?)));
    let (cutter, flank) = flanks.min_by(|(_, a), (_, b)| {
        let fouls = |flank: &Flank| flank.matters() && flank.tip_um > 0.0;
        let far = a.matters().cmp(&b.matters()).then(fouls(a).cmp(&fouls(b)));
        far.then(a.worst_um().total_cmp(&b.worst_um()))
    })?;
    let good = match (flank.matters(), flank.tip_um > 0.0) {
        (false, _) => "small enough: use it".to_string(),
        (true, false) => {
            "its flanks are too round, which thins the tips; it runs, with less contact, at low speed and load"
                .to_string()
        }
        (true, true) => format!(
            "its flanks are too straight and leave the tips full, which foul the mate: only with the tips eased by file to the template, {}",
            shop.time_sentence(WayRound::EaseTips)
        ),
    };
    Some(format!(
        "The owned {} is formed for {} teeth: on {} it {}; {good}.",
        cutter.label(),
        cutter.form_correct_for,
        counted(teeth),
        flank.sentence(),
    ))
}
