//! How truly teeth are asked to be cut, and how truly the way of making can hold them: classes of ISO 1328-1.

use quantity::Length;
use standards::{Deviation, class_allows, class_of};

/// What is asked of a toothed rim.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Asked {
    pub class: u32,
    pub module: Length,
    pub pitch_diameter: Length,
}

/// What the way of making does by itself; none where it is not known.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Held {
    pub single_pitch: Option<Length>,
    pub total_pitch: Option<Length>,
    pub profile: Option<Length>,
    pub runout: Option<Length>,
}

/// One deviation: allowed, held, and the finest class that this allows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Deviates {
    pub what: Deviation,
    pub allowed: Length,
    pub held: Option<Length>,
    /// None where nothing is known of it, or where it is coarser than all classes.
    pub class: Option<u32>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct Accuracy {
    pub asked: Asked,
    pub deviations: Vec<Deviates>,
}

impl Accuracy {
    pub fn of(asked: Asked, held: &Held) -> Accuracy {
        let Asked { class, module, pitch_diameter } = asked;
        let deviation = |(what, held): (Deviation, Option<Length>)| Deviates {
            what,
            allowed: class_allows(what, class, module, pitch_diameter),
            held,
            class: held.and_then(|held| class_of(what, held, module, pitch_diameter)),
        };
        let all = [
            (Deviation::SinglePitch, held.single_pitch),
            (Deviation::TotalPitch, held.total_pitch),
            (Deviation::Profile, held.profile),
            (Deviation::Runout, held.runout),
        ];
        Accuracy { asked, deviations: all.into_iter().map(deviation).collect() }
    }

    /// The class of the whole, which is that of its worst deviation; none where one of them is not known or beyond all.
    pub fn class_held(&self) -> Option<u32> {
        self.deviations.iter().map(|one| one.class).collect::<Option<Vec<_>>>()?.into_iter().max()
    }

    /// The deviations that are larger than asked.
    pub fn short(&self) -> impl Iterator<Item = &Deviates> {
        self.deviations.iter().filter(|one| one.held.is_some_and(|held| held > one.allowed))
    }
}
