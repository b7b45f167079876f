//! Angular indexing: the move for an angle in degrees, minutes and seconds, as between two holes.

use serde::Serialize;

use super::{Part, SECONDS_PER_TURN, Setting, arc, circles, compound, exact, lines, worth};
use crate::shop::DividingHead;

/// An angle as it was written, exact: thousandths of a second of arc.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct WrittenArc {
    pub thousandths_of_second: u64,
}

/// The move for an angle.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AngleSheet {
    pub degrees: f64,
    pub head: String,
    pub ratio: u32,
    pub setting: Setting,
    /// The other settings that give it exactly.
    pub others: Vec<Setting>,
    /// Seconds of arc by which the move is too long, or too short where negative.
    pub off_seconds: f64,
    pub sentence: String,
}

const THOUSANDTHS: u64 = 1000;

impl WrittenArc {
    fn part(self) -> Part {
        Part { numerator: self.thousandths_of_second, denominator: u64::from(SECONDS_PER_TURN) * THOUSANDTHS }
    }

    /// None where it has a part of a second.
    pub fn whole_seconds(self) -> Option<u64> {
        self.thousandths_of_second.is_multiple_of(THOUSANDTHS).then_some(self.thousandths_of_second / THOUSANDTHS)
    }

    fn seconds(self) -> f64 {
        self.thousandths_of_second as f64 / THOUSANDTHS as f64
    }
}

/// `48 deg 40 min`, `11.5 degrees`, `48° 40′ 10″`, `24'`, `35`: degrees, minutes and seconds in that order.
pub fn read_arc(text: &str) -> Result<WrittenArc, String> {
    let refuse = || {
        format!(
            "{text:?} is not an angle between 0 and 360 degrees. Write it as \"48 deg 40 min\", \"11.5 deg\" or \"48° 40′ 10″\"."
        )
    };
    let mut total = 0_u64;
    let mut largest_left = 3600;
    let mut rest = text.trim();
    if rest.is_empty() {
        return Err(refuse());
    }
    while !rest.is_empty() {
        let end = rest.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(rest.len());
        let number = &rest[..end];
        let after = rest[end..].trim_start();
        let word_end = after.find(|c: char| c.is_ascii_digit() || c.is_whitespace()).unwrap_or(after.len());
        let unit = match after[..word_end].to_lowercase().trim_end_matches('.') {
            "" if largest_left == 3600 => 3600,
            "deg" | "d" | "degree" | "degrees" | "°" => 3600,
            "min" | "m" | "minute" | "minutes" | "'" | "′" => 60,
            "s" | "sec" | "second" | "seconds" | "\"" | "″" | "''" => 1,
            _ => return Err(refuse()),
        };
        if unit > largest_left {
            return Err(refuse());
        }
        let thousandths = decimal(number, unit * THOUSANDTHS).ok_or_else(refuse)?;
        total = total.checked_add(thousandths).ok_or_else(refuse)?;
        largest_left = unit / 60;
        rest = after[word_end..].trim_start();
    }
    let turn = u64::from(SECONDS_PER_TURN) * THOUSANDTHS;
    if total == 0 || total >= turn { Err(refuse()) } else { Ok(WrittenArc { thousandths_of_second: total }) }
}

/// A decimal number times so many, whole where it comes out so, else rounded.
fn decimal(number: &str, times: u64) -> Option<u64> {
    /// More figures than an angle can be read to.
    const MOST_FIGURES: usize = 9;
    let (whole, fraction) = number.split_once('.').unwrap_or((number, ""));
    if whole.len() + fraction.len() == 0 || whole.len() > MOST_FIGURES || fraction.len() > MOST_FIGURES {
        return None;
    }
    let digits: u128 = format!("{whole}{fraction}").parse().ok()?;
    let scale = 10_u128.pow(u32::try_from(fraction.len()).ok()?);
    u64::try_from((digits * u128::from(times) + scale / 2) / scale).ok()
}

/// The move for an angle on whichever head gives it with the least error, and of these with the fewest changes.
pub fn angle_on_any(angle: WrittenArc, heads: &[DividingHead]) -> Result<AngleSheet, String> {
    let part = angle.part();
    let best = heads.iter().filter_map(|head| Some((head, on(part, head)?))).min_by(|(_, a), (_, b)| {
        let felt = worth(a.0.abs()).total_cmp(&worth(b.0.abs()));
        felt.then(a.1[0].changes().cmp(&b.1[0].changes()))
    });
    let Some((head, (off_seconds, mut settings))) = best else {
        return Err(match heads.is_empty() {
            true => "The shop lists no dividing head and no rotary table.".to_string(),
            false => {
                "No head of the shop has index plates, a direct plate or a dial listed: angles cannot be set on it."
                    .to_string()
            }
        });
    };
    let setting = settings.remove(0);
    let exactly = match off_seconds == 0.0 {
        true => "exactly".to_string(),
        false => format!("to {:.1} seconds of arc", off_seconds),
    };
    let sentence =
        format!("{} on the {}, {exactly}: {}", arc(angle.seconds()), head.name, setting.sentence(head.ratio));
    Ok(AngleSheet {
        degrees: angle.seconds() / 3600.0,
        head: head.name.clone(),
        ratio: head.ratio,
        setting,
        others: settings,
        off_seconds,
        sentence,
    })
}

/// The exact settings of a head or, where it has none, the nearest one, and what that is off by.
fn on(part: Part, head: &DividingHead) -> Option<(f64, Vec<Setting>)> {
    let all = exact(part, head, None);
    if !all.is_empty() {
        return Some((0.0, all));
    }
    let off = |setting: &Setting| lines::seconds_off(setting, part, head.ratio);
    let near = circles::circles(head).map(|circle| circle.nearest(part)).chain(compound::nearest(part, head));
    let nearest = near.min_by(|a, b| {
        let felt = worth(off(a).abs()).total_cmp(&worth(off(b).abs()));
        felt.then(a.changes().cmp(&b.changes())).then(off(a).abs().total_cmp(&off(b).abs()))
    })?;
    Some((off(&nearest), vec![nearest]))
}
