//! Settings, moves and standings as a machinist is told them.

use super::{IndexError, IndexLine, IndexSheet, Method, SECONDS_PER_TURN, Setting, Way, circles, lines};
use crate::shop::DividingHead;

impl IndexSheet {
    /// The setting as a machinist is told it.
    pub fn sentence(&self) -> String {
        let (divisions, head) = (self.divisions, &self.head);
        match (&self.setting.way, self.error) {
            (_, None) => {
                format!("{divisions} divisions, exactly, on the {head}: {}", self.setting.sentence(self.ratio))
            }
            (Way::Compound(_) | Way::Differential(_), Some(_)) => {
                format!("{divisions} divisions, nearly, on the {head}: {}", self.setting.sentence(self.ratio))
            }
            (Way::Dial, Some(_)) => format!(
                "{divisions} divisions, nearly, on the {head}: set every space by the dial, to the reading of the indexing sheet."
            ),
            (Way::Crank | Way::Direct, Some(_)) => format!(
                "{divisions} divisions, nearly, on the {head}: count every move off the indexing sheet, in the {}. Moves differ by a hole, \
                 {} mostly: leave the sector arms alone.",
                self.setting.place(),
                self.setting.short(self.ratio)
            ),
        }
    }

    /// What is not exact about it, and what would be.
    pub fn caution(&self) -> Option<String> {
        let error = self.error?;
        let how = match self.setting.way {
            Way::Crank | Way::Direct => {
                "each space takes the hole nearest to its true place, so that errors do not add up"
            }
            Way::Dial => "each space takes the reading nearest to its true place, so that errors do not add up",
            Way::Compound(_) | Way::Differential(_) => {
                "the move is the same every time and a little off, so that errors add up"
            }
        };
        Some(format!(
            "Nothing on this head divides {} exactly: {how}. {} A circle of {} holes, or any multiple of it, would be exact.",
            self.divisions,
            self.off(&error),
            error.circle_needed,
        ))
    }

    /// The errors, in seconds of arc and along the rim.
    fn off(&self, error: &IndexError) -> String {
        let whole = self.cut == self.divisions;
        let over =
            if whole { "round the whole wheel".to_string() } else { format!("over the {} spaces cut", self.cut) };
        let last = match (&self.setting.way, whole) {
            (Way::Compound(_) | Way::Differential(_), true) => ", all of which falls in the last space",
            _ => "",
        };
        let rim = |micrometres: Option<f64>| micrometres.map_or(String::new(), |um| format!(" ({})", um_text(um)));
        let at = error.at_rim;
        let mut text = format!(
            "The largest is {} seconds of arc{}, the rms {} seconds; from one tooth to the next up to {} seconds{}; {over} {} seconds{}{last}.",
            figure(error.largest_seconds),
            rim(at.map(|at| at.largest_um)),
            figure(error.rms_seconds),
            figure(error.single_seconds),
            rim(at.map(|at| at.single_um)),
            figure(error.cumulated_seconds),
            rim(at.map(|at| at.cumulated_um)),
        );
        if let Some(at) = at {
            text.push_str(&format!(" Lengths are along a circle of {:.2} mm.", at.diameter_mm));
        }
        text
    }

    /// The exact ways that were not taken, as an index table prints them.
    pub fn others_sentence(&self) -> Option<String> {
        let here = self.others.iter().map(|other| other.short(self.ratio));
        let elsewhere =
            self.elsewhere.iter().map(|other| format!("{} on the {}", other.setting.short(other.ratio), other.head));
        let all: Vec<String> = here.chain(elsewhere).collect();
        (!all.is_empty()).then(|| format!("Exact too: {}.", all.join("; ")))
    }
}

/// Seconds: whole ones, but tenths where there are few.
fn figure(seconds: f64) -> String {
    if seconds < 9.95 { format!("{seconds:.1}") } else { format!("{seconds:.0}") }
}

fn um_text(micrometres: f64) -> String {
    if micrometres < 9.95 { format!("{micrometres:.1} µm") } else { format!("{micrometres:.0} µm") }
}

impl IndexLine {
    /// "start", "1 turn and 3 holes", "30 holes"; in compound indexing "11/21 + 3/27"; on a dial the angle.
    pub fn sentence(&self, setting: &Setting, ratio: u32) -> String {
        if self.space == 1 {
            return "start".to_string();
        }
        let counted = match (&setting.way, self.turns, self.holes) {
            (Way::Dial, whole, marks) => {
                let part = arc(f64::from(marks) * setting.mark_seconds(ratio));
                match (whole, marks) {
                    (0, _) => part,
                    (whole, 0) => turns(whole),
                    (whole, _) => format!("{} and {part}", turns(whole)),
                }
            }
            (_, whole, 0) => turns(whole),
            (_, 0, part) => holes(part),
            (_, whole, part) => format!("{} and {}", turns(whole), holes(part)),
        };
        match self.second {
            // short, as an index table prints it: two moves would fill a line of the sheet
            Some(_) => setting.short(ratio),
            None => counted,
        }
    }

    /// What is read when the space is set: the hole of the pin, or the angle of the table.
    pub fn reading(&self, setting: &Setting) -> String {
        match (&setting.way, self.second) {
            (Way::Dial, _) => format!("at {}", arc(self.work_degrees * 3600.0)),
            (_, Some(second)) => format!("pin {}, stop {}", self.pin_hole, second.stop_hole),
            (_, None) => format!("pin in {}", self.pin_hole),
        }
    }
}

impl Setting {
    /// Where the holes are counted.
    fn place(&self) -> String {
        match self.way {
            Way::Crank | Way::Compound(_) | Way::Differential(_) => {
                format!("{}-hole circle of {}", self.circle, self.plate)
            }
            Way::Direct => format!("{} places of the direct plate, worm out of mesh", self.circle),
            Way::Dial => "dial".to_string(),
        }
    }

    /// Seconds of arc of the work between two marks of the dial.
    pub(super) fn mark_seconds(&self, ratio: u32) -> f64 {
        f64::from(SECONDS_PER_TURN) / (f64::from(self.circle.max(1)) * f64::from(ratio.max(1)))
    }

    /// The move, the sector arms, and what is mounted.
    pub fn sentence(&self, ratio: u32) -> String {
        match &self.way {
            Way::Direct => {
                format!("worm out of mesh, {} of the {} places of the direct plate.", holes(self.holes), self.circle)
            }
            Way::Dial if self.holes == 0 => {
                format!("{}, back to the same mark of the dial.", turns(self.turns))
            }
            Way::Dial => {
                let marks = arc(f64::from(self.holes) * self.mark_seconds(ratio));
                let whole = if self.turns == 0 { String::new() } else { format!("{} and ", turns(self.turns)) };
                format!("by the dial, {whole}{marks} from each space to the next.")
            }
            Way::Crank if self.holes == 0 => format!(
                "{}, back to the same hole; any circle serves, the sheet counts on the {}.",
                turns(self.turns),
                self.place()
            ),
            Way::Crank => format!("{}. {}", self.counted(), self.arms()),
            Way::Compound(second) => format!(
                "{} with the crank; then draw the stop pin and move plate and crank together {} {} in the {}-hole circle. {}",
                self.counted(),
                if second.back { "back" } else { "on" },
                holes(second.holes),
                second.circle,
                self.arms(),
            ),
            Way::Differential(train) => format!(
                "{}, while gears turn the plate {} the crank. Gears: {}. Stop pin drawn, spindle level. {}",
                self.counted(),
                if train.with_crank { "with" } else { "against" },
                train.sentence(),
                self.arms(),
            ),
        }
    }

    fn counted(&self) -> String {
        let whole = if self.turns == 0 { String::new() } else { format!("{} and ", turns(self.turns)) };
        match self.holes {
            0 => format!("{}, counted in the {}", turns(self.turns), self.place()),
            _ => format!("{whole}{} in the {}", holes(self.holes), self.place()),
        }
    }

    fn arms(&self) -> String {
        match self.holes {
            0 => "No sector arms are needed.".to_string(),
            part => format!(
                "Set the sector arms to {}: {} holes between them, counting the one the pin stands in.",
                if part == 1 { "1 space".to_string() } else { format!("{part} spaces") },
                part + 1
            ),
        }
    }

    /// `2 + 10/33`, `30/33`, `20 turns`, `21/23 − 11/33`: as an index table prints it.
    pub fn short(&self, ratio: u32) -> String {
        let crank = match (self.turns, self.holes) {
            (whole, 0) => turns(whole),
            (0, part) => format!("{part}/{}", self.circle),
            (whole, part) => format!("{whole} + {part}/{}", self.circle),
        };
        match &self.way {
            Way::Crank => crank,
            Way::Direct => format!("{}/{} on the direct plate", self.holes, self.circle),
            Way::Dial => {
                let marks = arc(f64::from(self.holes) * self.mark_seconds(ratio));
                match (self.turns, self.holes) {
                    (whole, 0) => format!("{} by the dial", turns(whole)),
                    (0, _) => format!("{marks} by the dial"),
                    (whole, _) => format!("{whole} + {marks} by the dial"),
                }
            }
            Way::Compound(second) => {
                format!("{crank} {} {}/{}", if second.back { '−' } else { '+' }, second.holes, second.circle)
            }
            Way::Differential(train) => format!("{crank} with gears: {}", train.sentence()),
        }
    }

    /// Where everything stands at a line.
    pub(super) fn stands(&self, line: &IndexLine) -> String {
        let work = format!("the work has turned {}", arc(line.work_degrees * 3600.0));
        let turned = turned(line.turns_total.numerator, line.turns_total.denominator);
        match (&self.way, line.second) {
            (Way::Dial, _) => format!("at {} from the first space", arc(line.work_degrees * 3600.0)),
            (Way::Direct, _) => format!("in place {} of the {}; {work}", line.pin_hole, self.circle),
            (_, Some(second)) => format!(
                "with the pin in hole {} of the {}, the stop pin in hole {} of its circle, {turned} of the crank by itself from the first space; {work}",
                line.pin_hole, self.circle, second.stop_hole
            ),
            (_, None) => {
                format!("in hole {} of the {}, {turned} from the first space; {work}", line.pin_hole, self.circle)
            }
        }
    }
}

fn turned(counted: u64, circle: u64) -> String {
    let (whole, part) = (counted / circle.max(1), counted % circle.max(1));
    match (whole, part) {
        (whole, 0) => format!("{whole} turns"),
        (0, part) => format!("{part} holes"),
        (whole, part) => format!("{whole} turns and {part} holes"),
    }
}

/// `48° 40′`, `8° 34′ 20″`, `10″`: seconds of arc, rounded to whole ones.
pub fn arc(seconds: f64) -> String {
    let whole = seconds.round().abs() as u64;
    let (degrees, minutes, seconds) = (whole / 3600, whole / 60 % 60, whole % 60);
    match (degrees, minutes, seconds) {
        (degrees, 0, 0) => format!("{degrees}°"),
        (0, minutes, 0) => format!("{minutes}′"),
        (0, 0, seconds) => format!("{seconds}″"),
        (degrees, minutes, 0) => format!("{degrees}° {minutes:02}′"),
        (0, minutes, seconds) => format!("{minutes}′ {seconds:02}″"),
        (degrees, minutes, seconds) => format!("{degrees}° {minutes:02}′ {seconds:02}″"),
    }
}

/// Why a setting was taken, beside the others that divide exactly.
pub(super) fn reason(setting: &Setting, others: &[Setting]) -> String {
    let same = others.iter().any(|other| other.method() == setting.method());
    let why = match (&setting.way, same) {
        (Way::Crank, _) if setting.holes == 0 => {
            "Whole turns of the crank: nothing is counted off, and no circle is surer than another."
        }
        (Way::Crank, true) => {
            "The largest circle that divides exactly: the same slack at the pin is a smaller angle there."
        }
        (Way::Crank, false) => "The only circle owned that divides exactly.",
        (Way::Direct, _) => "Only the direct plate divides exactly.",
        (Way::Dial, _) => "No circle divides exactly, but the division falls on marks of the dial.",
        (Way::Compound(_), _) => {
            "No one circle divides exactly; two circles of one plate do, with two moves for every space. Count both aloud: a slip in the second shows only at the running check."
        }
        (Way::Differential(_), _) => {
            "No circle divides exactly; with gears one move does. Heads differ in their own gearing: turn the crank once before cutting and see that the plate goes the way said; if not, put in or take out one idler. Lay the gears on the bracket first to see that they reach."
        }
    };
    why.to_string()
}

pub(super) fn nearest_reason(setting: &Setting) -> String {
    let why = match setting.way {
        Way::Crank | Way::Direct => {
            "No circle owned divides exactly; on this one the spaces come nearest to their places."
        }
        Way::Dial => "No circle owned divides exactly; by the dial the spaces come nearest to their places.",
        Way::Compound(_) => {
            "Nothing owned divides exactly; over the spaces cut, two moves in these circles come nearest."
        }
        Way::Differential(_) => {
            "Nothing owned divides exactly; over the spaces cut, these gears come nearest. See that the plate goes the way said before cutting; if not, put in or take out one idler."
        }
    };
    why.to_string()
}

/// What a head lacks for a method; none where it has the means.
pub(super) fn has_means(head: &DividingHead, by: Method) -> Option<String> {
    let name = &head.name;
    let lacks = |what: &str, would_do: &str| Some(format!("The {name} has no {what} listed: {would_do}."));
    match by {
        Method::Simple if circles::crank_circles(head).next().is_none() => {
            lacks("index plates", "turns of its crank cannot be divided")
        }
        Method::Direct if head.direct_holes.is_empty() => {
            lacks("direct plate", "its spindle cannot be divided without the worm")
        }
        Method::Angular if head.marks_per_turn().is_none() => {
            lacks("dial", "angles cannot be read on it; say what its dial reads to, as reads_to = \"1 min\"")
        }
        Method::Compound if !head.stop_pin => lacks(
            "stop pin that goes into any circle",
            "a plate held in one place cannot make the second move; say stop_pin = true where it has one",
        ),
        Method::Compound if head.plates.iter().all(|plate| plate.circles.len() < 2) => {
            lacks("plate with two circles", "compound indexing needs two on one plate")
        }
        Method::Differential if head.change_gears.is_none() => lacks(
            "change gears",
            "nothing can turn its plate; say change_gears = \"universal-head\" or the teeth of each",
        ),
        Method::Differential if circles::crank_circles(head).next().is_none() => {
            lacks("index plates", "turns of its crank cannot be divided")
        }
        Method::Simple | Method::Direct | Method::Angular | Method::Compound | Method::Differential => None,
    }
}

/// Neither exactly nor nearly: nothing can be set up at all.
pub(super) fn nothing(divisions: u32, head: &DividingHead, by: Option<Method>) -> String {
    let name = &head.name;
    match by {
        Some(Method::Compound) => {
            return format!("No two circles on one plate of the {name} make a move for {divisions} divisions.");
        }
        Some(Method::Differential) => {
            return format!(
                "The change gears of the {name} cannot be put in mesh for {divisions} divisions: two or four are wanted, idlers besides, that \
                 turn the plate no more than 6 times for one turn of the spindle and clear each other's shafts."
            );
        }
        Some(Method::Simple | Method::Direct | Method::Angular) | None => {}
    }
    let of_method = |circle: &circles::Circle<'_>| match by {
        Some(Method::Direct) => circle.way == Way::Direct,
        Some(Method::Angular) => circle.way == Way::Dial,
        Some(Method::Simple | Method::Compound | Method::Differential) => circle.way == Way::Crank,
        None => true,
    };
    let most = circles::circles(head).filter(of_method).map(|circle| circle.per_turn).max().unwrap_or(0);
    if let Some(by @ (Method::Direct | Method::Angular)) = by {
        let what = if by == Method::Direct { "places on its direct plate" } else { "marks on its dial" };
        return format!("{divisions} divisions are more than the {name} has {what}: {most} in a turn of the work.");
    }
    format!(
        "{divisions} divisions are more than the {name} has holes to stop at: {most} in a turn of the work, on its largest circle. A circle of {} \
         holes, or any multiple of it, would do.",
        lines::circle_needed(divisions, head.ratio.max(1))
    )
}

fn turns(count: u32) -> String {
    match count {
        1 => "1 turn".to_string(),
        _ => format!("{count} turns"),
    }
}

fn holes(count: u32) -> String {
    match count {
        1 => "1 hole".to_string(),
        _ => format!("{count} holes"),
    }
}
