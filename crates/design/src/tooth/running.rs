//! The new teeth run with their mate as it was found: contact, clearance, backlash.

use geometry::mesh::{ContactPath, Mesh, Pair, PairError};
use geometry::toothing::{Helix, Toothing, ToothingSpec, feed_for_thinning};
use part::{Centres, Toothed};
use quantity::{Angle, Length, Measured};

use crate::joint::Span;

/// What the new teeth run with.
#[derive(Clone, Debug)]
pub enum Mate {
    /// Found out like the part itself, with the standard uncertainty of its tooth thickness.
    Found { toothed: Box<Toothed>, thickness_sigma: Length },
    /// Only its count is known: it is supposed of the same rack, not shifted and not worn.
    Supposed { teeth: u32 },
}

/// How the distance of the axes is known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum CentresKnown {
    Read(Measured<Length>),
    /// Reckoned: where unworn teeth of both run without backlash.
    Reckoned(Length),
}

/// A mesh, each figure over all that limits, wear and readings leave open.
#[derive(Clone, Debug)]
pub struct Running {
    pub mate_label: String,
    pub supposed: bool,
    /// Teeth of a mate that is a sector.
    pub mate_sector: Option<u32>,
    pub centres: CentresKnown,
    pub working_angle: Angle,
    /// Of the transverse section.
    pub contact_ratio: Span<f64>,
    /// What the slant of helical teeth adds to it; none of spur teeth, or where the face width is not known.
    pub overlap_ratio: Option<f64>,
    /// As an arc of the working pitch circles.
    pub backlash: Span<Length>,
    /// From the mate's tips to the new root, and from the new tips to the mate's root.
    pub clearance: [Length; 2],
    /// How far the mate's flank stays from the new fillet, and the new one from the mate's, in radius; negative where tips reach below
    /// the flank.
    pub flank_room: [Length; 2],
    /// Whether such tips strike a fillet, on the new teeth and on the mate's; on undercut ones they find nothing there.
    pub strikes: [bool; 2],
    /// What each tenth of a millimetre more between the axes adds.
    pub per_tenth: PerTenth,
    /// The least thinning that brings the backlash to its usual range, where it is outside.
    pub better_thinning: Option<Length>,
    /// How much deeper than the rack's depth that is.
    pub better_feed: Option<Length>,
    /// New and as found, in the middle of their limits.
    pub mesh: Mesh,
    pub path: Option<ContactPath>,
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PerTenth {
    pub backlash: Length,
    pub working_angle: Angle,
    pub contact_ratio: f64,
}

/// Backlash that such teeth usually run with, in modules, as an arc: of two wheels each thinned by 0.02 to 0.04 (common practice
/// for cut spur teeth, without source).
pub const USUAL_BACKLASH: Span<f64> = Span { least: 0.04, most: 0.08 };
/// With more than this, in modules, the teeth are worth cutting thicker; common practice.
const LOOSE: f64 = 0.16;
/// A supposed mate may be thinned by so much, in modules.
const SUPPOSED_THINNING: f64 = 0.04;
/// The step of centre distance that sensitivities are told for.
const TENTH: Length = Length::from_mm(0.1);

impl Running {
    pub fn new(made: &Toothed, mate: &Mate) -> Result<Running, PairError> {
        let known = Known::of(made, mate)?;
        let with_mate = made.centres.iter().find(|centres| centres.mate_teeth == known.full.teeth());
        // the one distance may have been read at either wheel
        let from_mate = || known.centres.iter().find(|centres| centres.mate_teeth == made.full.teeth());
        let centres = with_mate.or_else(from_mate);
        let centres = match centres {
            Some(read) => CentresKnown::Read(read.distance),
            None => CentresKnown::Reckoned(found_pair(made, &known.full)?.centre_distance()?),
        };
        let (distance, sigma) = match centres {
            CentresKnown::Read(read) => (read.value, read.sigma),
            CentresKnown::Reckoned(distance) => (distance, Length::ZERO),
        };
        let middle = Pair::new(middle(&made.cut), middle(&known.worn))?;
        let mesh = middle.at(distance)?;
        let spread = made.cut.iter().flat_map(|new| known.worn.iter().map(move |mate| (*new, *mate)));
        let ends: Vec<Mesh> =
            spread.map(|(new, mate)| Pair::new(new, mate)?.at(distance)).collect::<Result<_, PairError>>()?;
        let tan = mesh.working_pressure_angle().tan();
        // limits are added up; what readings leave open is taken together, nearly sure (k = 2)
        let unsure = Length::from_mm(2.0 * known.sigma.mm().hypot(2.0 * tan * sigma.mm()));
        let backlash = ends.iter().map(Mesh::circumferential_backlash);
        let backlash = Span::of_lengths(backlash).unwrap_or(Span { least: Length::ZERO, most: Length::ZERO });
        let backlash = Span { least: backlash.least - unsure, most: backlash.most + unsure };
        let better_thinning = better_thinning(made, backlash);
        let wider = middle.at(distance + TENTH);
        let wider = wider.as_ref().unwrap_or(&mesh);
        Ok(Running {
            mate_label: known.label.clone(),
            supposed: known.supposed,
            mate_sector: known.sector,
            centres,
            working_angle: mesh.working_pressure_angle(),
            contact_ratio: contact_ratio(made, &known, distance).unwrap_or(Span { least: 0.0, most: 0.0 }),
            overlap_ratio: made.full.lead().and_then(|_| made.full.overlap_ratio()),
            backlash,
            clearance: least_of(&ends, Mesh::bottom_clearances),
            flank_room: least_of(&ends, flank_room),
            strikes: [0, 1].map(|wheel| ends.iter().any(|mesh| strikes(mesh, wheel))),
            per_tenth: PerTenth {
                backlash: wider.circumferential_backlash() - mesh.circumferential_backlash(),
                working_angle: Angle::from_radians(
                    wider.working_pressure_angle().radians() - mesh.working_pressure_angle().radians(),
                ),
                contact_ratio: wider.contact_ratio() - mesh.contact_ratio(),
            },
            better_thinning,
            better_feed: better_thinning.map(|thin| feed_for_thinning(thin, made.full.pressure_angle())),
            mesh,
            path: mesh.contact_path(),
        })
    }

    /// Tips strike a fillet or the bottom of the space.
    pub fn interferes(&self) -> bool {
        self.strikes.contains(&true) || self.clearance.iter().any(|room| *room < Length::ZERO)
    }

    /// The teeth may have no backlash at all, within what limits and readings leave open.
    pub fn may_bind(&self) -> bool {
        self.backlash.least < Length::ZERO
    }
}

/// The original's teeth as they were made, with the mate's.
fn found_pair(made: &Toothed, mate: &Toothing) -> Result<Pair, PairError> {
    let original = ToothingSpec { profile_shift: made.shift_found, tip_diameter: None, ..*made.full.spec() };
    // teeth of the recovered shift were generated before: the same count, rack and module
    Pair::new(Toothing::new(original).unwrap_or(made.full), *mate)
}

/// What is known of a mate.
struct Known {
    label: String,
    supposed: bool,
    sector: Option<u32>,
    full: Toothing,
    /// At the thick and at the thin end of what it may be.
    worn: [Toothing; 2],
    sigma: Length,
    centres: Vec<Centres>,
}

impl Known {
    fn of(made: &Toothed, mate: &Mate) -> Result<Known, PairError> {
        match mate {
            Mate::Found { toothed, thickness_sigma } => Ok(Known {
                label: toothed.label.clone(),
                supposed: false,
                sector: (!toothed.whole).then_some(toothed.teeth_cut),
                full: leaning_alike(&toothed.full, &made.full),
                worn: [leaning_alike(&toothed.found, &made.full); 2],
                sigma: *thickness_sigma,
                centres: toothed.centres.clone(),
            }),
            Mate::Supposed { teeth } => {
                let module = made.full.module();
                let spec = ToothingSpec {
                    teeth: *teeth,
                    profile_shift: 0.0,
                    thinning: Length::ZERO,
                    tip_diameter: None,
                    ..*made.full.spec()
                };
                let full = Toothing::new(spec).map_err(|why| PairError::NoSuchMate { teeth: *teeth, why })?;
                let thin = full.fed_deeper(module * SUPPOSED_THINNING).unwrap_or(full);
                Ok(Known {
                    label: format!("{teeth} teeth of the same rack, supposed unshifted and unworn"),
                    supposed: true,
                    sector: None,
                    full,
                    worn: [full, thin],
                    sigma: Length::ZERO,
                    centres: Vec::new(),
                })
            }
        }
    }
}

/// A mate on parallel axes leans as the part does: where both were read nearly so, its teeth are taken at the part's helix angle, their
/// heights as they are.
fn leaning_alike(mate: &Toothing, part: &Toothing) -> Toothing {
    let apart = mate.helix_angle().radians() - part.helix_angle().radians();
    let spec = *mate.spec();
    let (Some(own), Some(helix)) = (spec.helix, part.spec().helix) else { return *mate };
    if apart.abs() > READ_ALIKE.radians() {
        return *mate;
    }
    let slant = own.angle.cos() / helix.angle.cos();
    let tips = mate.pitch_diameter() * slant + (mate.tip_diameter() - mate.pitch_diameter());
    let helix = Some(Helix { angle: helix.angle, face: own.face });
    Toothing::new(ToothingSpec { helix, tip_diameter: Some(tips), ..spec }).unwrap_or(*mate)
}

/// Two wheels whose helix angles were read further apart than this do not run on parallel axes; what two protractor readings may differ
/// by, common practice.
const READ_ALIKE: Angle = Angle::from_degrees(2.0);

/// Between two toothings that differ in thickness alone.
fn middle(ends: &[Toothing; 2]) -> Toothing {
    let half = (ends[0].normal_thickness() - ends[1].normal_thickness()) / 2.0;
    ends[0].fed_deeper(half).unwrap_or(ends[0])
}

/// Over the limits of the new tips, rounded or not.
fn contact_ratio(made: &Toothed, known: &Known, distance: Length) -> Option<Span<f64>> {
    let ratios = made.cut.iter().flat_map(|new| {
        [Length::ZERO, made.tip_tolerance].into_iter().filter_map(|short| {
            let new = with_usable_tips(new, short, made.tip_rounding)?;
            Some(Pair::new(new, known.worn[1]).ok()?.at(distance).ok()?.contact_ratio())
        })
    });
    Span::over(ratios)
}

/// Teeth whose tips end where their flanks do.
///
/// A corner rounded by ρ takes ρ (1 − sin α_a) off the flank in radius, α_a the pressure angle at the tips: the flank taken as
/// straight over it. Geometry.
fn with_usable_tips(teeth: &Toothing, short: Length, rounding: Length) -> Option<Toothing> {
    let tip = teeth.tip_diameter() / 2.0 - short;
    let at_tip = (teeth.base_diameter() / (2.0 * tip)).min(1.0).acos();
    let usable = tip - rounding * (1.0 - at_tip.sin());
    Toothing::new(ToothingSpec { tip_diameter: Some(2.0 * usable), ..*teeth.spec() }).ok()
}

fn flank_room(mesh: &Mesh) -> [Length; 2] {
    let [first, second] = mesh.toothings().map(Toothing::form_radius);
    let [on_first, on_second] = mesh.active_from();
    [on_first - first, on_second - second]
}

/// Tips reach below the flank, and nothing was cut away there beforehand: an undercut clears whatever the rack's own tips clear.
fn strikes(mesh: &Mesh, wheel: usize) -> bool {
    flank_room(mesh)[wheel] < Length::ZERO && !mesh.toothings()[wheel].is_undercut()
}

fn least_of(meshes: &[Mesh], of: impl Fn(&Mesh) -> [Length; 2]) -> [Length; 2] {
    let far = Length::from_mm(f64::INFINITY);
    meshes.iter().map(of).fold([far; 2], |least, found| [least[0].min(found[0]), least[1].min(found[1])])
}

/// Teeth that bind are cut thinner, loose ones thicker, up to full.
fn better_thinning(made: &Toothed, backlash: Span<Length>) -> Option<Length> {
    let module = made.full.module();
    // thinning and module are counted square to helical teeth
    let slant = made.full.helix_angle().cos();
    let backlash = Span { least: backlash.least * slant, most: backlash.most * slant };
    let now = made.full.normal_thickness() - made.cut[0].normal_thickness();
    let outside = backlash.least < Length::ZERO || backlash.least > module * LOOSE;
    let better = (now + module * USUAL_BACKLASH.least - backlash.least).max(Length::ZERO);
    (outside && (better - now).abs() > module * 0.002).then_some(better)
}
