//! Readings that come from a picture: what a job says about it, and who measures it.

use quantity::{Size, Unit};

/// How the pictures of a job were scanned: its table `[scan]`.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Bed {
    /// Dots to the inch, instead of what the files say.
    pub dpi: Option<f64>,
    /// Diameter of the round gauge that lies beside the part.
    pub gauge: Option<Size>,
}

/// What a picture gives a feature.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FromPicture {
    /// Reading lines, with their uncertainty, as they could be typed.
    pub lines: Vec<String>,
    /// The path of an outline.
    pub path: Vec<String>,
    /// Whether the teeth go all the way round.
    pub whole: Option<bool>,
    /// How many holes there are.
    pub count: Option<u32>,
}

/// Measures the pictures that a job names.
pub trait Pictures {
    /// What the picture gives a feature of this kind; `count` holes are wanted where a number is given. Fails with a
    /// sentence that says what to do.
    fn measure(
        &self,
        picture: &str,
        bed: &Bed,
        kind: &str,
        count: Option<u32>,
        unit: Unit,
    ) -> Result<FromPicture, String>;
}

/// For where there are no files: every picture is refused.
#[derive(Clone, Copy, Debug)]
pub struct NoPictures;

impl Pictures for NoPictures {
    fn measure(&self, _: &str, _: &Bed, _: &str, _: Option<u32>, _: Unit) -> Result<FromPicture, String> {
        Err("Pictures are not read here: open the job from its file.".into())
    }
}
