//! What a machinist writes, as numbers, and numbers as a machinist writes them.

mod cursor;
mod instrument;
mod length;
mod line;
pub mod print;
mod problem;
mod size;
mod token;
mod value;

pub use instrument::{Bench, Instrument};
pub use length::{Angle, Length, MM_PER_INCH};
pub use line::{Form, Line, Slot, read_angle, read_size};
pub use problem::{Problem, nearest};
pub use size::{DrillSeries, LONGEST, Size, SizeForm, Unit};
pub use value::{Measured, Pitch, PitchSystem, Value, WrittenAngle, presumed_instrument};
