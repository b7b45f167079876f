//! What a machinist writes, as numbers, and numbers as a machinist writes them.

mod asked;
mod attempt;
mod cursor;
mod form;
mod instrument;
mod length;
mod line;
mod money;
mod number;
mod pitch;
pub mod print;
mod problem;
mod size;
mod token;
mod value;

pub use asked::{Askable, Asked, asked};
pub use form::Form;
pub use instrument::{Bench, Instrument, Measures};
pub use length::{Angle, Length, MM_PER_INCH};
pub use line::{Line, Slot, read_angle, read_pitch, read_size};
pub use money::{Minutes, Money};
pub use pitch::{Pitch, PitchSystem};
pub use problem::{Problem, nearest, quoted};
pub use size::{DrillSeries, LONGEST, Size, SizeForm, Unit};
pub use value::{Measured, Value, WrittenAngle, presumed_instrument};
