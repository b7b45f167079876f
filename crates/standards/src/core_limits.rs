//! The minor diameter of an internal thread: what the core of a tapped hole may measure.

use std::sync::LazyLock;

use quantity::Length;
use serde::Deserialize;

use crate::table::{self, DataFile, Malformed, Source, data_file};
use crate::threads::{Thread, ThreadForm};

pub(crate) const FILE: DataFile = data_file!("threads/internal-minor-6h.csv");

/// The smallest and the largest minor diameter, and who says so.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CoreLimits {
    pub least: Length,
    pub most: Length,
    pub source: &'static str,
}

impl Thread {
    /// Limits of the core; none for Whitworth and BA threads, whose tables are not here.
    ///
    /// Metric, class 6H: from D1 = D − 1.082532 P up by the tolerance TD1 of grade 6, which goes by the pitch alone.
    /// Unified, class 2B: from the same D1 up by 0.25 P − 0.40 P² for sizes from 1/4 in (0.15 P where coarser than 4 to the inch),
    /// and below that by 0.05 P^⅔ + 0.03 P/D − 0.002, within 0.25 P − 0.40 P² and 0.394 P; all in inches, rounded to four
    /// places and in the end, from 0.138 in up, to three.
    /// Units: lengths. Accuracy: as the tables print them. Source: ISO 965-1; ASME B1.1; both from memory, checked against
    /// printed limits in the tests.
    ///
    /// ```
    /// let limits = standards::thread("M8").unwrap().core_limits().unwrap();
    /// assert!((limits.least.mm() - 6.647).abs() < 1e-9 && (limits.most.mm() - 6.912).abs() < 1e-9);
    /// ```
    pub fn core_limits(&self) -> Option<CoreLimits> {
        match self.form {
            ThreadForm::Sixty if self.is_metric() => Some(self.metric_core()),
            ThreadForm::Sixty => Some(self.unified_core()),
            ThreadForm::Whitworth | ThreadForm::Ba => None,
        }
    }

    fn is_metric(&self) -> bool {
        self.name.starts_with(['M', 'm'])
    }

    fn metric_core(&self) -> CoreLimits {
        let pitch = self.pitch.mm();
        let least = ((self.major.mm() - MINOR * pitch) * 1000.0).round() / 1000.0;
        let most = least + grade_6_um(pitch) / 1000.0;
        CoreLimits { least: Length::from_mm(least), most: Length::from_mm(most), source: "6H, ISO 965-1 (from memory)" }
    }

    fn unified_core(&self) -> CoreLimits {
        // ten-thousandths of an inch, whole, so that a five at the end is rounded up as the tables do
        let (major, pitch) = (self.major.inches(), self.pitch.inches());
        let tenths = |inches: f64| (inches * 1e4 + 1e-6).round();
        let least = tenths(major - MINOR * pitch);
        let most = least + tenths(class_2b(major, pitch));
        let printed = |tenths: f64| match major >= THREE_PLACES_FROM {
            true => (tenths / 10.0 + 1e-6).round() / 1000.0,
            false => tenths / 1e4,
        };
        CoreLimits {
            least: Length::from_inches(printed(least)),
            most: Length::from_inches(printed(most)),
            source: "2B, ASME B1.1 (from memory)",
        }
    }
}

/// 5/4 of the height of the triangle, 2 · 5/8 · √3/2, in pitches.
const MINOR: f64 = 1.082_531_75;
const THREE_PLACES_FROM: f64 = 0.138 - 1e-9;

/// Tolerance of class 2B on the minor diameter, inches.
fn class_2b(major: f64, pitch: f64) -> f64 {
    let from_a_quarter = 0.25 * pitch - 0.40 * pitch * pitch;
    if major >= 0.25 - 1e-9 {
        return if pitch > 0.25 { 0.15 * pitch } else { from_a_quarter };
    }
    let small = 0.05 * pitch.powf(2.0 / 3.0) + 0.03 * pitch / major - 0.002;
    small.max(from_a_quarter).min(0.394 * pitch)
}

/// TD1 of grade 6, micrometres: the table's or, at a pitch that it has not, by the rules it was rounded from.
fn grade_6_um(pitch: f64) -> f64 {
    let found = TABLE.iter().find(|row| (row.pitch_mm - pitch).abs() < 1e-6);
    found.map_or_else(|| by_rule(pitch), |row| row.grade_6_um)
}

/// TD1(6) = 433 P − 190 P^1.22 below 1 mm, 230 P^0.7 from there on, P in mm.
fn by_rule(pitch: f64) -> f64 {
    match pitch < 1.0 {
        true => 433.0 * pitch - 190.0 * pitch.powf(1.22),
        false => 230.0 * pitch.powf(0.7),
    }
}

struct Tolerance {
    pitch_mm: f64,
    grade_6_um: f64,
    #[cfg_attr(not(test), allow(dead_code, reason = "each row is cited, and the tests look"))]
    source: Source,
}

static TABLE: LazyLock<Vec<Tolerance>> =
    LazyLock::new(|| table::csv_rows(&[FILE], tolerance).expect(table::WELL_FORMED));

#[derive(Deserialize)]
struct Row {
    pitch_mm: f64,
    grade_6_um: f64,
}

fn tolerance(row: Row, source: Source) -> Result<Tolerance, Malformed> {
    Ok(Tolerance { pitch_mm: row.pitch_mm, grade_6_um: row.grade_6_um, source })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The table was rounded from the rules to preferred numbers, which stand 6 in 100 apart: none is further off than two thirds
    /// of such a step.
    #[test]
    fn the_table_follows_its_rules() {
        for row in TABLE.iter() {
            let off = row.grade_6_um / by_rule(row.pitch_mm) - 1.0;
            assert!(off.abs() < 0.04, "{}: {off} ({})", row.pitch_mm, row.source.citation);
        }
    }
}
