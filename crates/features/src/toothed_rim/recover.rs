//! From readings to designs: the candidates a rim can be, what is unknown about each, and what it would show.

use std::f64::consts::{PI, TAU};

use geometry::toothing;
use part::{
    Candidate, Circumstances, Design, Dimension, Free, Mistake, Observation, Prior, Proposal, Recovery, Shared,
    SharedValue,
};
use quantity::{Angle, Length, MM_PER_INCH, Measured, Unit};
use standards::{GearSize, Rack};

mod form;
mod mistakes;
mod priors;
mod proposals;
mod search;

use form::Form;
pub use form::STEEPEST;
use priors::{
    CLEARANCE_SPREAD, ECCENTRIC, FREE_THICKNESS, HELIX, LEAST_LOSS, MATE_SLACK, PARALLEL, ROOT_SPREAD, SHIFT_SPREAD,
    THINNING, TIP_LOSS, UNEVEN, UNEVEN_OF_LENGTH, UNEVEN_OF_MODULE, UNEVEN_WHERE_WORN, USUAL_CLEARANCE, WORN_TIMES,
};
use proposals::can_be_taken;

use super::ToothedRim;
use super::design::{Name, RimDesign, RimFit};
use super::geometry::Flanks;
use super::readings::{Measurand, PitchCircle, predict};

/// A rim with its readings, ready to be weighed.
pub struct RimRecovery<'a> {
    rim: &'a ToothedRim,
    observations: Vec<Observation>,
    candidates: Vec<Candidate>,
    choices: Vec<Choice>,
    families: usize,
    /// Of a standard design as it is, of a shifted one, of the rival.
    unknowns: [Vec<Unknown>; 3],
    proposals: Vec<(Proposal, Measurand)>,
    unit: Unit,
    pins: Vec<Length>,
    cutters: Vec<(Length, Angle)>,
    /// What the radii read are multiplied with in the search for tooth counts.
    radii_times: f64,
    /// Helix angle as read, with its standard uncertainty; none of spur teeth.
    helix: Option<Measured<Angle>>,
    /// Infinite where it was not read.
    face: f64,
}

/// What a candidate of the engine is here.
#[derive(Clone, Copy, Debug)]
struct Choice {
    teeth: u32,
    /// None for the rival that has no standard.
    name: Option<(&'static GearSize, &'static Rack)>,
    /// For the rival, its angle, and what the fit of all else begins with.
    form: Form,
    shifted: bool,
    /// Wheels that run together have one module and one pressure angle.
    shared: Shared,
}

/// A value that is not known beforehand. Which of them a candidate has depends on it and on what was read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Unknown {
    Thinning,
    TipLoss,
    Root,
    Eccentric,
    MateSlack,
    Shift,
    LnBasePitch,
    Addendum,
    Helix,
}

/// The unknowns of a candidate with a value each; what it does not have is zero.
#[derive(Clone, Copy, Debug)]
struct Values {
    thinning: f64,
    tip_loss: f64,
    root: f64,
    eccentric: f64,
    mate_slack: f64,
    shift: f64,
    ln_base_pitch: f64,
    addendum: f64,
    helix: f64,
    /// Not one of them: as read.
    face: f64,
}

impl Values {
    fn set(&mut self, unknown: Unknown, value: f64) {
        match unknown {
            Unknown::Thinning => self.thinning = value,
            Unknown::TipLoss => self.tip_loss = value,
            Unknown::Root => self.root = value,
            Unknown::Eccentric => self.eccentric = value,
            Unknown::MateSlack => self.mate_slack = value,
            Unknown::Shift => self.shift = value,
            Unknown::LnBasePitch => self.ln_base_pitch = value,
            Unknown::Addendum => self.addendum = value,
            Unknown::Helix => self.helix = value,
        }
    }

    fn pitch_circle(&self, module: f64, pressure_angle: f64) -> PitchCircle {
        let Values { helix, eccentric, mate_slack, .. } = *self;
        PitchCircle { module, pressure_angle, helix, eccentric, mate_slack }
    }
}

impl<'a> RimRecovery<'a> {
    pub fn new(rim: &'a ToothedRim, circumstances: &Circumstances) -> Result<RimRecovery<'a>, String> {
        let helix = rim.helix();
        let observations: Vec<Observation> = rim
            .readings
            .iter()
            .enumerate()
            .filter_map(|(index, reading)| {
                let means = reading.means.as_ref()?;
                if matches!(means, Measurand::FaceWidth) || (helix.is_none() && matches!(means, Measurand::HelixAngle))
                {
                    return None;
                }
                let (value, sigma, dimension) = match (reading.length, reading.angle) {
                    (Some(length), _) => (length.value.mm(), length.sigma.mm(), Dimension::Length),
                    (None, Some(angle)) => (angle.value.radians(), angle.sigma.radians(), Dimension::Angle),
                    (None, None) => return None,
                };
                let sigma = match dimension {
                    Dimension::Length => sigma.hypot(unevenness(means, value, reading.line.worn)),
                    Dimension::Angle => sigma,
                };
                Some(Observation { reading: index, value, sigma, dimension })
            })
            .collect();
        let measured =
            |observation: &Observation| !matches!(rim.readings[observation.reading].means, Some(Measurand::HelixAngle));
        if !observations.iter().any(measured) {
            return Err(
                "Nothing was measured on the teeth yet: give at least the tip diameter and a span or a size over pins."
                    .into(),
            );
        }
        let mut recovery = RimRecovery {
            rim,
            observations,
            candidates: Vec::new(),
            choices: Vec::new(),
            families: 0,
            unknowns: Default::default(),
            proposals: Vec::new(),
            unit: circumstances.unit,
            pins: circumstances.pins.clone(),
            cutters: circumstances.cutters.clone(),
            radii_times: 1.0,
            helix,
            face: rim.face_width().map_or(f64::INFINITY, |face| face.value.mm()),
        };
        recovery.unknowns = [(true, false), (true, true), (false, false)]
            .map(|(standard, shifted)| recovery.find_unknowns(standard, shifted));
        // where nothing at all comes near, the radii may have been written in the other unit
        for unit in [1.0, MM_PER_INCH, 1.0 / MM_PER_INCH] {
            recovery.radii_times = unit;
            recovery.add_standard_candidates(circumstances.heritage);
            recovery.add_rivals();
            if !recovery.candidates.is_empty() {
                break;
            }
        }
        if recovery.candidates.is_empty() {
            return Err("No rim of any size comes near these readings; check the units and the decimal points.".into());
        }
        recovery.propose(circumstances);
        Ok(recovery)
    }

    fn free_values(&self, choice: Choice, shift: f64) -> Vec<Free> {
        let helix = self.helix.map_or(0.0, |helix| helix.value.radians());
        let free = |&unknown: &Unknown| free_value(unknown, choice, shift, helix, self.is_called_worn(unknown));
        self.unknowns(choice).iter().map(free).collect()
    }

    /// Is any reading that this has a say in marked as worn?
    fn is_called_worn(&self, unknown: Unknown) -> bool {
        let touched = |means: &Measurand| match unknown {
            Unknown::Thinning => matches!(
                means,
                Measurand::Span { .. }
                    | Measurand::OverPins { .. }
                    | Measurand::CentreToPin { .. }
                    | Measurand::Thickness { .. }
            ),
            Unknown::TipLoss => {
                matches!(means, Measurand::OutsideDiameter | Measurand::OverTheTips | Measurand::TipRadius)
            }
            _ => false,
        };
        self.rim.readings.iter().any(|reading| reading.line.worn && reading.means.as_ref().is_some_and(touched))
    }

    fn unknowns(&self, choice: Choice) -> &[Unknown] {
        match (choice.name, choice.shifted) {
            (Some(_), false) => &self.unknowns[0],
            (Some(_), true) => &self.unknowns[1],
            (None, _) => &self.unknowns[2],
        }
    }

    fn find_unknowns(&self, standard: bool, shifted: bool) -> Vec<Unknown> {
        let read =
            |pick: fn(&Measurand) -> bool| self.observations.iter().any(|observation| pick(self.means(observation)));
        let mut out = Vec::new();
        out.push(Unknown::Thinning);
        if standard {
            // the rival's tips are free as they are
            out.push(Unknown::TipLoss);
        }
        if shifted {
            out.push(Unknown::Shift);
        }
        if !standard {
            out.extend([Unknown::LnBasePitch, Unknown::Addendum]);
        }
        if read(|means| matches!(means, Measurand::RootDiameter | Measurand::RootRadius | Measurand::WholeDepth)) {
            out.push(Unknown::Root);
        }
        if read(|means| matches!(means, Measurand::TipRadius | Measurand::RootRadius | Measurand::CentreToPin { .. })) {
            out.push(Unknown::Eccentric);
        }
        if read(|means| matches!(means, Measurand::CentreDistance { .. })) {
            out.push(Unknown::MateSlack);
        }
        if self.helix.is_some() {
            out.push(Unknown::Helix);
        }
        out
    }

    fn values(&self, choice: Choice, free: &[f64]) -> Values {
        let mut values = self.usual_values();
        for (unknown, value) in self.unknowns(choice).iter().zip(free) {
            values.set(*unknown, *value);
        }
        values
    }

    /// Nothing worn, nothing shifted, leaning as read.
    fn usual_values(&self) -> Values {
        Values {
            thinning: 0.0,
            tip_loss: 0.0,
            root: 0.0,
            eccentric: 0.0,
            mate_slack: 0.0,
            shift: 0.0,
            ln_base_pitch: 0.0,
            addendum: 0.0,
            helix: self.helix.map_or(0.0, |helix| helix.value.radians()),
            face: self.face,
        }
    }

    fn tips_were_read(&self) -> bool {
        self.observations.iter().any(|observation| {
            matches!(
                self.means(observation),
                Measurand::OutsideDiameter
                    | Measurand::OverTheTips
                    | Measurand::TipRadius
                    | Measurand::ChordAcross { .. }
            )
        })
    }

    fn means(&self, observation: &Observation) -> &Measurand {
        self.rim.readings[observation.reading]
            .means
            .as_ref()
            .expect("an observation is made of a reading with a meaning")
    }

    /// The flanks of a candidate whose free values are these.
    fn flanks(&self, candidate: usize, free: &[f64]) -> (Flanks, PitchCircle) {
        let choice = self.choices[candidate];
        let values = self.values(choice, free);
        let teeth = f64::from(choice.teeth);
        let form = match choice.name {
            Some(_) => choice.form,
            None => {
                let module = values.ln_base_pitch.exp() / (PI * choice.form.cos);
                let addendum = values.addendum * module;
                Form { module, addendum, dedendum: addendum + USUAL_CLEARANCE * module, ..choice.form }
            }
        };
        let Form { module, pressure_angle, .. } = form;
        let flanks = form.flanks(teeth, &values);
        (flanks, values.pitch_circle(module, pressure_angle))
    }
}

impl Recovery for RimRecovery<'_> {
    fn observations(&self) -> &[Observation] {
        &self.observations
    }

    fn candidates(&self) -> &[Candidate] {
        &self.candidates
    }

    fn predict(&self, candidate: usize, free: &[f64], out: &mut [f64]) {
        let (flanks, pitch) = self.flanks(candidate, free);
        for (out, observation) in out.iter_mut().zip(&self.observations) {
            *out = predict(self.means(observation), &flanks, &pitch).unwrap_or(f64::NAN);
        }
    }

    fn design(&self, candidate: usize, free: &[f64]) -> Box<dyn Design> {
        let choice = self.choices[candidate];
        let (flanks, pitch) = self.flanks(candidate, free);
        let values = self.values(choice, free);
        let (name, rack) = match choice.name {
            Some((size, rack)) => {
                let module = size.module();
                let own = toothing::Rack {
                    pressure_angle: rack.pressure_angle,
                    addendum: rack.addendum_at(module) / module,
                    dedendum: rack.dedendum_at(module) / module,
                    tip_radius: rack.tip_radius,
                };
                (
                    Name::Standard {
                        system: size.system,
                        value: size.value,
                        rack: rack.name.clone(),
                        rack_id: rack.id.clone(),
                    },
                    own,
                )
            }
            None => {
                let own = toothing::Rack {
                    pressure_angle: Angle::from_radians(pitch.pressure_angle),
                    addendum: values.addendum,
                    dedendum: values.addendum + USUAL_CLEARANCE,
                    tip_radius: USUAL_CLEARANCE,
                };
                (Name::None, own)
            }
        };
        Box::new(RimDesign::new(RimFit {
            rim: self.rim,
            name,
            rack,
            teeth: choice.teeth,
            module: Length::from_mm(pitch.module),
            profile_shift: values.shift,
            helix: self.helix.map(|_| Angle::from_radians(values.helix)),
            found: flanks,
            thinning: Length::from_mm(values.thinning),
            // where nobody looked at the tips, nothing is known of their wear
            tip_loss: Length::from_mm(if self.tips_were_read() { values.tip_loss } else { 0.0 }),
            pins: self.pins.clone(),
            cutters: self.cutters.clone(),
        }))
    }

    fn usual_slips(&self, candidate: usize, observation: usize) -> Vec<Mistake> {
        self.mistakes(candidate, observation)
    }

    fn otherwise(&self, _candidate: usize, observation: usize, off_by: f64) -> Option<&'static str> {
        self.may_lean(observation, off_by)
            .then_some("if the teeth lean, write `helix angle A`: then such tips are no slip")
    }

    fn derived(&self) -> &'static [&'static str] {
        match self.helix {
            Some(_) => &DERIVED,
            None => &DERIVED[..4],
        }
    }

    fn derive(&self, candidate: usize, free: &[f64], out: &mut [f64]) {
        let (flanks, pitch) = self.flanks(candidate, free);
        let all = [
            flanks.base_pitch(),
            flanks.base_thickness(),
            2.0 * flanks.tip_radius,
            2.0 * flanks.root_radius,
            pitch.helix.to_degrees(),
        ];
        out.copy_from_slice(&all[..out.len()]);
    }

    fn same_part(&self, one: (usize, &[f64]), other: (usize, &[f64])) -> bool {
        let new = |(candidate, free): (usize, &[f64])| {
            let choice = self.choices[candidate];
            let Values { shift, helix, .. } = self.values(choice, free);
            choice.form.flanks(f64::from(choice.teeth), &Values { shift, helix, ..self.usual_values() })
        };
        let named = |(candidate, _): (usize, &[f64])| self.choices[candidate].name.is_some();
        named(one) && named(other) && new(one).is_same(&new(other))
    }

    fn shared(&self, candidate: usize) -> Option<Shared> {
        Some(self.choices[candidate].shared)
    }

    fn shared_value(&self, candidate: usize, free: &[f64]) -> Option<SharedValue> {
        let choice = self.choices[candidate];
        let values = self.values(choice, free);
        let ln_normal = |value: f64, (mean, sigma): (f64, f64)| {
            let off: f64 = (value - mean) / sigma;
            -0.5 * off * off - (sigma * TAU.sqrt()).ln()
        };
        match (choice.name, self.helix) {
            (None, _) => {
                // p(b) = p(ln b) / b
                let log_prior = ln_normal(values.ln_base_pitch, LN_BASE_PITCH) - values.ln_base_pitch;
                Some(SharedValue { derived: BASE_PITCH, log_prior, sure: 1.0 })
            }
            (Some(_), Some(_)) => {
                // told in degrees
                let log_prior = ln_normal(values.helix, HELIX) + 1.0_f64.to_radians().ln();
                Some(SharedValue { derived: HELIX_ANGLE, log_prior, sure: PARALLEL })
            }
            (Some(_), None) => None,
        }
    }

    fn proposals(&self) -> Vec<&Proposal> {
        self.proposals.iter().map(|(proposal, _)| proposal).collect()
    }

    fn predict_proposal(&self, candidate: usize, free: &[f64], proposal: usize) -> f64 {
        let (flanks, pitch) = self.flanks(candidate, free);
        let means = &self.proposals[proposal].1;
        if !can_be_taken(means, &flanks) {
            return f64::NAN;
        }
        predict(means, &flanks, &pitch).unwrap_or(f64::NAN)
    }
}

/// Base pitches in mm that teeth may have, by their logarithm: hardly anything is presumed.
const LN_BASE_PITCH: (f64, f64) = (2.0, 1.0);
/// Their places among the derived quantities.
const BASE_PITCH: usize = 0;
const HELIX_ANGLE: usize = 4;
const DERIVED: [&str; 5] = ["base_pitch_mm", "base_thickness_mm", "tip_diameter_mm", "root_diameter_mm", "helix_deg"];

fn free_value(unknown: Unknown, choice: Choice, shift: f64, helix: f64, worn: bool) -> Free {
    let module = choice.form.module;
    let standard = choice.name.is_some();
    let normal = |mean, sigma| Prior::Normal { mean, sigma };
    let lost = |scale: f64| Prior::OneSided { scale: if worn { WORN_TIMES * scale } else { scale } };
    match unknown {
        Unknown::Thinning if !standard => Free::new("thinning", normal(THINNING * module, FREE_THICKNESS * module)),
        Unknown::Thinning => Free::new("thinning", lost(THINNING * module + LEAST_LOSS)),
        Unknown::TipLoss => Free::new("tip loss", lost(TIP_LOSS * module + LEAST_LOSS)),
        Unknown::Root => {
            let spread = if standard { ROOT_SPREAD } else { CLEARANCE_SPREAD };
            Free::new("root", normal(0.0, spread * module + 0.02))
        }
        Unknown::Eccentric => Free::new("eccentricity", normal(0.0, ECCENTRIC)),
        Unknown::MateSlack => Free::new("slack of centres", normal(0.02 * module, MATE_SLACK * module + 0.05)),
        Unknown::Shift => Free::new("profile shift", normal(0.0, SHIFT_SPREAD)).starting_at(shift),
        Unknown::LnBasePitch => Free::new("ln base pitch", normal(LN_BASE_PITCH.0, LN_BASE_PITCH.1))
            .starting_at((PI * module * choice.form.cos).ln()),
        Unknown::Addendum => Free::new("addendum", normal(0.95, 0.15)),
        Unknown::Helix => Free::new("helix", normal(HELIX.0, HELIX.1)).starting_at(helix),
    }
}

/// What places on an old rim differ by, in mm, for a reading of this size; of the flanks by the size of the teeth, as far
/// as the reading tells it, and by how worn they are called.
fn unevenness(means: &Measurand, value: f64, worn: bool) -> f64 {
    let module = match means {
        Measurand::Span { teeth } => value / (PI * (f64::from(*teeth) - 0.4)),
        Measurand::OverPins { pin } | Measurand::CentreToPin { pin } => pin.mm() / 1.75,
        Measurand::Thickness { .. } => value / 1.5,
        _ => 2.0,
    };
    let of_module = if worn { UNEVEN_WHERE_WORN } else { UNEVEN_OF_MODULE };
    (UNEVEN + of_module * module).hypot(UNEVEN_OF_LENGTH * value)
}
