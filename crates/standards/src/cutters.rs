//! Involute form cutters: which number of a set cuts which count of teeth.

use std::sync::LazyLock;

use serde::Deserialize;

use crate::table::{self, DataFile, Malformed, Source, data_file};

pub(crate) const FILE: DataFile = data_file!("gears/form-cutters.csv");

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum CutterSet {
    /// The usual set by diametral pitch; 1 cuts the rack.
    Eight,
    /// The same with half numbers.
    Fifteen,
    /// The usual numbering of module cutters; 8 cuts the rack.
    Module,
}

#[derive(Clone, Debug, PartialEq)]
pub struct Cutter {
    pub set: CutterSet,
    /// `5`, `5 1/2`.
    pub number: String,
    pub teeth_lo: u32,
    /// `None`: on to the rack.
    pub teeth_hi: Option<u32>,
    /// The count whose form the cutter has in present practice.
    pub form_correct_for: u32,
    /// The count that the sets of the 1880s were formed for instead.
    pub form_of_1880s: Option<u32>,
    pub source: Source,
}

impl Cutter {
    pub fn cuts(&self, teeth: u32) -> bool {
        teeth >= self.teeth_lo && self.teeth_hi.is_none_or(|hi| teeth <= hi)
    }

    /// `No. 5, 21 to 25 teeth`, `No. 1, 135 teeth to a rack`.
    pub fn label(&self) -> String {
        let Cutter { number, teeth_lo, .. } = self;
        match self.teeth_hi {
            Some(hi) if hi == *teeth_lo => format!("No. {number}, {hi} teeth"),
            Some(hi) => format!("No. {number}, {teeth_lo} to {hi} teeth"),
            None => format!("No. {number}, {teeth_lo} teeth to a rack"),
        }
    }

    /// The same cutter as sets by the module number it, whose whole numbers count the other way: 3 1/2 of the one is 5 1/2 of
    /// the other, as 4 is 5.
    pub fn in_module_order(&self) -> Cutter {
        let turned = table::number(&self.number).map(|number| 9.0 - number);
        let written = |number: f64| match number.fract() == 0.0 {
            true => format!("{number}"),
            false => format!("{} 1/2", number.trunc()),
        };
        let number = match self.set {
            CutterSet::Module => self.number.clone(),
            CutterSet::Eight | CutterSet::Fifteen => turned.map_or(self.number.clone(), written),
        };
        Cutter { set: CutterSet::Module, number, ..self.clone() }
    }
}

pub fn cutters() -> &'static [Cutter] {
    static CUTTERS: LazyLock<Vec<Cutter>> =
        LazyLock::new(|| table::csv_rows(&[FILE], cutter).expect(table::WELL_FORMED));
    &CUTTERS
}

/// The cutter of the diametral-pitch sets for a count of teeth, with or without half numbers. Below 12 teeth there is none.
pub fn cutter_for(teeth: u32, half_sizes: bool) -> Option<&'static Cutter> {
    cutter_of(if half_sizes { CutterSet::Fifteen } else { CutterSet::Eight }, teeth)
}

/// The cutter of a set for a count of teeth.
pub fn cutter_of(set: CutterSet, teeth: u32) -> Option<&'static Cutter> {
    cutters().iter().find(|cutter| cutter.set == set && cutter.cuts(teeth))
}

/// The cutter of a set with this number.
pub fn cutter_numbered(set: CutterSet, number: &str) -> Option<&'static Cutter> {
    let number = table::number(number.trim()).ok()?;
    cutters().iter().find(|cutter| cutter.set == set && table::number(&cutter.number) == Ok(number))
}

#[derive(Deserialize)]
struct Row {
    set: CutterSet,
    number: String,
    teeth_lo: u32,
    teeth_hi: Option<u32>,
    form_correct_for: u32,
    form_of_1880s: Option<u32>,
}

fn cutter(row: Row, source: Source) -> Result<Cutter, Malformed> {
    let Row { set, number, teeth_lo, teeth_hi, form_correct_for, form_of_1880s } = row;
    Ok(Cutter { set, number, teeth_lo, teeth_hi, form_correct_for, form_of_1880s, source })
}
