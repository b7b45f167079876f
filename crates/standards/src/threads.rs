//! Screw threads by name, and how much of one a hole leaves to be cut.

use std::sync::LazyLock;

use quantity::Length;
use serde::Deserialize;

use crate::table::{self, DataFile, Malformed, Source, data_file};

const NAMED: DataFile = data_file!("threads/named.csv");
const USUAL: DataFile = data_file!("threads/usual.csv");
pub(crate) const FILES: [DataFile; 2] = [NAMED, USUAL];

/// Less holds badly, more breaks taps; usual for through holes of one and a half diameters (common practice).
pub const USUAL_PERCENT: f64 = 75.0;
/// What drills are taken from: common practice of tap-drill charts.
pub const FEWEST_PERCENT: f64 = 50.0;
pub const MOST_PERCENT: f64 = 85.0;

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Deserialize)]
pub enum ThreadForm {
    /// ISO 68 and unified, 60 degrees.
    #[serde(rename = "60")]
    Sixty,
    #[serde(rename = "whitworth")]
    Whitworth,
    #[serde(rename = "ba")]
    Ba,
}

impl ThreadForm {
    /// Depth of the full thread on each side, in pitches: 0.6495 (5/8 of the triangle's height and a quarter more, the external
    /// thread's, as charts of per cent use it; ISO 68-1's engagement of 0.5413 is another), 0.6403 (BS 84), 0.6 (BS 93).
    pub const fn depth(self) -> f64 {
        match self {
            ThreadForm::Sixty => 0.6495,
            ThreadForm::Whitworth => 0.640_327,
            ThreadForm::Ba => 0.6,
        }
    }
}

#[derive(Clone, Debug, PartialEq)]
pub struct Thread {
    /// `M6 x 1`, `1/4-20`, `#10-32`, `1/4 BSW`, `2 BA`.
    pub name: String,
    pub form: ThreadForm,
    pub major: Length,
    pub pitch: Length,
    /// None where the name carries diameter and pitch itself.
    pub source: Option<Source>,
}

impl Thread {
    /// Per cent of the full thread that a hole leaves.
    ///
    /// p = 100 (D − d)/(2 h P), h by the form. Units: any one length. Source: shop tap-drill charts, which divide by 1.299 P for
    /// 60 degrees.
    ///
    /// ```
    /// use quantity::Length;
    /// let thread = standards::thread("1/4-20").unwrap();
    /// // number 7, 0.2010 in: 75 per cent in every chart
    /// assert_eq!(thread.percent(Length::from_inches(0.2010)).round(), 75.0);
    /// ```
    pub fn percent(&self, hole: Length) -> f64 {
        100.0 * ((self.major - hole) / (self.pitch * (2.0 * self.form.depth())))
    }

    /// The same thread, whatever either is called.
    pub fn is(&self, other: &Thread) -> bool {
        let near = |a: Length, b: Length| (a - b).abs().mm() < 1e-6;
        self.form == other.form && near(self.major, other.major) && near(self.pitch, other.pitch)
    }

    /// The hole that leaves so much: the inverse of [`Thread::percent`].
    pub fn hole(&self, percent: f64) -> Length {
        self.major - self.pitch * (2.0 * self.form.depth() * percent / 100.0)
    }
}

/// The threads of the table.
pub fn threads() -> &'static [Thread] {
    static THREADS: LazyLock<Vec<Thread>> =
        LazyLock::new(|| table::csv_rows(&[NAMED], thread_row).expect(table::WELL_FORMED));
    &THREADS
}

/// A thread that old machines have, and how usual it is in work of inch and of metric shops (common practice).
#[derive(Clone, Debug, PartialEq)]
pub struct UsualThread {
    pub thread: Thread,
    pub usual_inch: f64,
    pub usual_metric: f64,
    pub source: Source,
}

/// The threads that a tapped hole may have.
pub fn usual_threads() -> &'static [UsualThread] {
    static USUAL_THREADS: LazyLock<Vec<UsualThread>> =
        LazyLock::new(|| table::csv_rows(&[USUAL], usual_row).expect(table::WELL_FORMED));
    &USUAL_THREADS
}

/// `M6`, `M6 x 0.75`, `1/4-20`, `1/4-20 UNC`, `#10-32`, `1/4 BSW`, `2 BA`.
pub fn thread(text: &str) -> Option<Thread> {
    let plain = plain(text);
    if let Some(found) = threads().iter().find(|thread| self::plain(&thread.name) == plain) {
        return Some(found.clone());
    }
    metric(&plain).or_else(|| unified(&plain))
}

/// Lower case, without blanks, but for those between a whole number and its fraction.
fn plain(text: &str) -> String {
    let mut out = String::new();
    for word in text.to_lowercase().replace('×', "x").split_whitespace() {
        let joins = out.ends_with(|c: char| c.is_ascii_digit()) && word.starts_with(|c: char| c.is_ascii_digit());
        out.push_str(if joins { " " } else { "" });
        out.push_str(word);
    }
    out
}

/// No thread of a repair shop is larger, in mm, or finer or coarser.
const LARGEST_MM: f64 = 300.0;
const PITCHES_MM: std::ops::RangeInclusive<f64> = 0.05..=10.0;

fn metric(plain: &str) -> Option<Thread> {
    let (major, pitch) = plain.strip_prefix('m')?.split_once('x')?;
    let (major, pitch) = (decimal(major)?, decimal(pitch)?);
    sound(format!("M{major} x {pitch}"), Length::from_mm(major), Length::from_mm(pitch))
}

fn unified(plain: &str) -> Option<Thread> {
    /// Numbered sizes, by definition, inches.
    const NUMBER_0: f64 = 0.060;
    const A_NUMBER: f64 = 0.013;
    const LARGEST_NUMBER: f64 = 14.0;
    let sized = plain.trim_end_matches(|c: char| c.is_ascii_alphabetic());
    let ending = &plain[sized.len()..];
    let (size, per_inch) = sized.rsplit_once('-')?;
    let per_inch = decimal(per_inch)?;
    let numbered = size.strip_prefix('#').or_else(|| size.strip_prefix("no."));
    let major = match numbered {
        Some(number) => {
            let number = decimal(number).filter(|number| *number <= LARGEST_NUMBER && number.fract() == 0.0)?;
            NUMBER_0 + A_NUMBER * number
        }
        None => table::number(size).ok().filter(|size| size.is_finite())?,
    };
    let known = ["", "unc", "unf", "unef", "un", "uns", "tpi"].contains(&ending) && per_inch > 0.0;
    let name = format!("{size}-{per_inch}");
    known.then(|| sound(name, Length::from_inches(major), Length::from_inches(1.0 / per_inch)))?
}

fn decimal(text: &str) -> Option<f64> {
    let figures = !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit() || byte == b'.');
    text.parse::<f64>().ok().filter(|_| figures)
}

/// A thread whose depth goes into its diameter.
fn sound(name: String, major: Length, pitch: Length) -> Option<Thread> {
    let thread = Thread { name, form: ThreadForm::Sixty, major, pitch, source: None };
    let fits = major.mm() <= LARGEST_MM && PITCHES_MM.contains(&pitch.mm()) && thread.hole(100.0) > Length::ZERO;
    fits.then_some(thread)
}

#[derive(Deserialize)]
struct Row {
    name: String,
    form: ThreadForm,
    major_mm: f64,
    pitch_mm: f64,
}

fn thread_row(row: Row, source: Source) -> Result<Thread, Malformed> {
    Ok(Thread {
        name: row.name,
        form: row.form,
        major: Length::from_mm(row.major_mm),
        pitch: Length::from_mm(row.pitch_mm),
        source: Some(source),
    })
}

#[derive(Deserialize)]
struct UsualRow {
    thread: String,
    made_in: MadeIn,
    series: Frequency,
}

#[derive(Clone, Copy, Deserialize)]
#[serde(rename_all = "lowercase")]
enum MadeIn {
    Inch,
    Metric,
}

#[derive(Clone, Copy, Deserialize)]
#[serde(rename_all = "lowercase")]
enum Frequency {
    Coarse,
    Fine,
    Rare,
}

fn usual_row(row: UsualRow, source: Source) -> Result<UsualThread, Malformed> {
    let found = thread(&row.thread).ok_or_else(|| format!("`{}` is no thread", row.thread))?;
    let weight = match row.series {
        Frequency::Coarse => 1.0,
        Frequency::Fine => 0.4,
        Frequency::Rare => 0.15,
    };
    let (usual_inch, usual_metric) = match row.made_in {
        MadeIn::Inch => (weight, 0.0),
        MadeIn::Metric => (0.0, weight),
    };
    Ok(UsualThread { thread: found, usual_inch, usual_metric, source })
}
