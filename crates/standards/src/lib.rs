//! Typed lookups over the tables in `data/`: each file is embedded, read once, and names the source of every row.

mod bench;
mod core_limits;
mod cutters;
pub mod cutting;
mod drills;
pub mod fits;
mod gauges;
mod gear_classes;
mod gear_sizes;
pub mod indexing;
mod instruments;
pub mod joints;
pub mod keys;
mod materials;
mod racks;
mod table;
mod threads;
pub mod times;
mod tooth_strength;

pub use bench::{bench, built_in_instruments};
pub use core_limits::CoreLimits;
pub use cutters::{Cutter, CutterSet, cutter_for, cutter_numbered, cutter_of, cutters};
pub use drills::{Drill, DrillSeries, drill_in, drill_named, drills, nearest, next_above, next_below};
pub use gauges::{GaugeClass, GearPin, TeethSide, gauge_tolerance, gear_pins};
pub use gear_classes::{CLASSES, Deviation, USUAL_CLASS, class_allows, class_of};
pub use gear_sizes::{GearSize, Series, gear_size, gear_sizes};
pub use instruments::{Instrument, Measures, Part, USUAL_LENGTH, instrument, instruments};
pub use keys::{Key, KeySystem, key_for_bore, keys};
pub use materials::{Group, Material, Speeds, material, material_names, materials};
pub use racks::{Rack, largest_tip_radius, rack, racks};
pub use table::{Confidence, DataFile, Source};
pub use threads::{
    FEWEST_PERCENT, MOST_PERCENT, Thread, ThreadForm, USUAL_PERCENT, UsualThread, thread, threads, usual_threads,
};
pub use tooth_strength::{Sign, ToothStrength, signs_of_breakage, tooth_strength};

/// Every embedded data file.
pub fn data_files() -> Vec<DataFile> {
    let mut files = vec![cutters::FILE, indexing::FILE, instruments::FILE, materials::FILE, racks::FILE, times::FILE];
    files.extend(drills::FILES);
    files.extend(gear_sizes::FILES);
    files.extend(gauges::FILES);
    files.extend(keys::FILES);
    files.extend(threads::FILES);
    files.push(core_limits::FILE);
    files.extend(cutting::FILES);
    files.extend(fits::files());
    files.extend(tooth_strength::FILES);
    files.extend(joints::FILES);
    files.sort_by_key(|file| file.path);
    files
}
