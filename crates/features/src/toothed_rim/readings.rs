//! What can be read from a toothed rim, and how it is written.

use std::f64::consts::PI;

use part::ReadingForm;
use quantity::{Length, Line, Pitch};

use super::geometry::Flanks;

#[derive(Clone, Debug, PartialEq)]
pub enum Measurand {
    Teeth(u32),
    TeethPresent(u32),
    TeethBroken(u32),
    OutsideDiameter,
    OverTheTips,
    TipRadius,
    RootDiameter,
    RootRadius,
    WholeDepth,
    Span { teeth: u32 },
    OverPins { pin: Length },
    CentreToPin { pin: Length },
    ChordAcross { pitches: u32 },
    Thickness { depth: Length },
    CentreDistance { mate: u32 },
    FaceWidth,
    HelixAngle,
    PrintAngle,
    Meshes(Option<Pitch>),
    DoesNotMesh(Option<Pitch>),
}

fn count(line: &Line) -> u32 {
    line.count().unwrap_or(1)
}

fn size(line: &Line) -> Length {
    line.size().map_or(Length::ZERO, |size| size.length)
}

pub const FORMS: &[ReadingForm<Measurand>] = &[
    ReadingForm::new("{count} teeth", |line| Measurand::Teeth(count(line))),
    ReadingForm::new("{count} teeth|tooth present", |line| Measurand::TeethPresent(count(line))),
    ReadingForm::new("{count} teeth|tooth broken [off]", |line| Measurand::TeethBroken(count(line))),
    ReadingForm::new("outside diameter {reading}", |_| Measurand::OutsideDiameter),
    ReadingForm::new("over the tips {reading}", |_| Measurand::OverTheTips),
    ReadingForm::new("tip radius {reading}", |_| Measurand::TipRadius),
    ReadingForm::new("root diameter {reading}", |_| Measurand::RootDiameter),
    ReadingForm::new("root radius {reading}", |_| Measurand::RootRadius),
    ReadingForm::new("whole depth {reading}", |_| Measurand::WholeDepth),
    ReadingForm::new("span over {count} teeth {reading}", |line| Measurand::Span { teeth: count(line) }),
    ReadingForm::new("over {size} pins|pin {reading}", |line| Measurand::OverPins { pin: size(line) }),
    ReadingForm::new("centre|center to outside of {size} pin {reading}", |line| Measurand::CentreToPin {
        pin: size(line),
    }),
    ReadingForm::new("chord across {count} pitches|pitch at tips {reading}", |line| Measurand::ChordAcross {
        pitches: count(line),
    }),
    ReadingForm::new("tooth thickness {reading} at depth {size}", |line| Measurand::Thickness { depth: size(line) }),
    ReadingForm::new("centre|center distance {reading} with [a] mate of {count} teeth", |line| {
        Measurand::CentreDistance { mate: count(line) }
    }),
    ReadingForm::new("face width {reading}", |_| Measurand::FaceWidth),
    ReadingForm::new("helix angle {angle}", |_| Measurand::HelixAngle),
    ReadingForm::new("rolled print angle {angle}", |_| Measurand::PrintAngle),
    ReadingForm::new("meshes with {pitch}", |line| Measurand::Meshes(line.pitch().cloned())),
    ReadingForm::new("does not mesh with {pitch}", |line| Measurand::DoesNotMesh(line.pitch().cloned())),
];

/// What a rim of these flanks shows; `pitch` is what the flanks do not say by themselves.
pub fn predict(means: &Measurand, flanks: &Flanks, pitch: &PitchCircle) -> Option<f64> {
    let eccentric = pitch.eccentric;
    Some(match means {
        Measurand::OutsideDiameter => 2.0 * flanks.tip_radius,
        Measurand::OverTheTips => flanks.over_the_tips(),
        Measurand::TipRadius => flanks.tip_radius + eccentric,
        Measurand::RootDiameter => 2.0 * flanks.root_radius,
        Measurand::RootRadius => flanks.root_radius + eccentric,
        Measurand::WholeDepth => flanks.tip_radius - flanks.root_radius,
        Measurand::Span { teeth } => flanks.span(*teeth),
        Measurand::OverPins { pin } => flanks.over_pins(pin.mm()),
        Measurand::CentreToPin { pin } => flanks.centre_to_outside_of_pin(pin.mm()) + eccentric,
        Measurand::ChordAcross { pitches } => flanks.chord_across(*pitches),
        Measurand::Thickness { depth } => flanks.thickness_at_depth(depth.mm()),
        Measurand::CentreDistance { mate } => {
            0.5 * pitch.module / pitch.helix.cos() * (flanks.teeth + f64::from(*mate)) + pitch.mate_slack
        }
        Measurand::PrintAngle => pitch.pressure_angle,
        Measurand::HelixAngle => flanks.helix_at_tips(),
        Measurand::Teeth(_)
        | Measurand::TeethPresent(_)
        | Measurand::TeethBroken(_)
        | Measurand::FaceWidth
        | Measurand::Meshes(_)
        | Measurand::DoesNotMesh(_) => return None,
    })
}

/// Names and set-up that some readings depend on beside the flanks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PitchCircle {
    /// Of the normal section, as is the angle.
    pub module: f64,
    pub pressure_angle: f64,
    /// On the pitch cylinder; zero for spur teeth.
    pub helix: f64,
    /// How far the bore that radii are taken from stands off the teeth's own centre, towards the reading.
    pub eccentric: f64,
    /// By how much the centres stand further apart than the pitch circles touch.
    pub mate_slack: f64,
}

/// How far two base pitches may differ and still seem to mesh when two wheels are rolled by hand; common practice has
/// no figure, half a per cent binds noticeably within a few teeth.
const SEEMS_TO_MESH: f64 = 0.005;

/// The probability that a rim of this base pitch seems to mesh with a known wheel or cutter.
pub fn chance_to_mesh(base_pitch: f64, known: &Pitch, presumed_angle: f64) -> f64 {
    let angle = known.pressure_angle.map_or(presumed_angle, |written| written.angle.radians());
    let other = PI * known.module().mm() * angle.cos();
    let z = (base_pitch / other).ln() / SEEMS_TO_MESH;
    // one trial in fifty is misjudged
    0.01 + 0.98 * (-0.5 * z * z).exp()
}
