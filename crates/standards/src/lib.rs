//! Typed lookups over the tables in `data/`: each file is embedded, read once, and names the source of every row.

mod drills;
mod gear_sizes;
mod instruments;
mod materials;
mod racks;
mod table;

pub use drills::{
    Drill, DrillSeries, drill_in, drill_named, drills, nearest, next_above, next_below,
};
pub use gear_sizes::{GearSize, Series, SizeSystem, gear_size, gear_sizes};
pub use instruments::{Instrument, Measures, Part, USUAL_LENGTH, instrument, instruments};
pub use materials::{Material, Speeds, material, material_names, materials};
pub use racks::{Rack, largest_tip_radius, rack, racks};
pub use table::{Confidence, DataFile, Source};

/// Every embedded data file.
pub fn data_files() -> Vec<DataFile> {
    let mut files = Vec::new();
    files.extend(drills::FILES);
    files.extend(gear_sizes::FILES);
    files.extend([racks::FILE, instruments::FILE, materials::FILE]);
    files
}
