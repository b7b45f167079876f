//! From readings to designs: the candidates a rim can be, what is unknown about each, and what it would show.

use std::f64::consts::PI;

use geometry::toothing;
use part::{
    Candidate, Circumstances, Design, Dimension, Free, Heritage, Mistake, Observation, Prior, Proposal, Recovery,
};
use quantity::{Angle, Length, MM_PER_INCH, Unit};
use standards::{GearSize, Series, SizeSystem, gear_sizes};
use standards::{Rack, racks};

use super::ToothedRim;
use super::design::{Name, RimDesign, RimFit};
use super::geometry::Flanks;
use super::readings::{Measurand, PitchCircle, chance_to_mesh, predict};

/// A rim with its readings, ready to be weighed.
pub struct RimRecovery<'a> {
    rim: &'a ToothedRim,
    observations: Vec<Observation>,
    candidates: Vec<Candidate>,
    choices: Vec<Choice>,
    /// Of a standard design as it is, of a shifted one, of the rival.
    unknowns: [Vec<Unknown>; 3],
    proposals: Vec<(Proposal, Measurand)>,
    unit: Unit,
    pins: Vec<Length>,
}

/// What a candidate of the engine is here.
#[derive(Clone, Copy, Debug)]
struct Choice {
    teeth: u32,
    /// None for the rival that has no standard.
    name: Option<(&'static GearSize, &'static Rack)>,
    shifted: bool,
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
    LnModule,
    PressureAngle,
    Addendum,
}

/// The unknowns of a candidate with a value each; what it does not have is zero.
#[derive(Clone, Copy, Debug, Default)]
struct Values {
    thinning: f64,
    tip_loss: f64,
    root: f64,
    eccentric: f64,
    mate_slack: f64,
    shift: f64,
    ln_module: f64,
    pressure_angle: f64,
    addendum: f64,
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
            Unknown::LnModule => self.ln_module = value,
            Unknown::PressureAngle => self.pressure_angle = value,
            Unknown::Addendum => self.addendum = value,
        }
    }
}

// What is known beforehand about old rims. None of these has a published figure; they are common practice, set wide
// enough that no sound reading is called impossible. Multiples of the module unless said otherwise.

/// Thickness lost to backlash allowance and wear: usually a few hundredths, seldom more than a tenth.
const THINNING: f64 = 0.045;
/// Radius lost at worn or filed tips.
const TIP_LOSS: f64 = 0.02;
/// Depth of the root differs from the rack's by the cutter's clearance and by how deep it was fed.
const ROOT_SPREAD: f64 = 0.06;
/// Bore to pitch circle, in mm: a worn bore and an honest maker.
const ECCENTRIC: f64 = 0.03;
/// Centres are set a little apart, and bearings wear apart.
const MATE_SLACK: f64 = 0.06;
/// Profile shift where a wheel is shifted at all, and how many wheels are.
const SHIFT_SPREAD: f64 = 0.35;
const SHIFTED: f64 = 0.08;
/// How many rims in a repair shop belong to no standard series.
const NO_STANDARD: f64 = 0.02;
/// Clearance at the root of a rim that has no standard, in modules.
const USUAL_CLEARANCE: f64 = 0.2;
/// Tooth counts that are searched where they were not counted.
const TEETH: std::ops::RangeInclusive<u32> = 8..=400;

impl<'a> RimRecovery<'a> {
    pub fn new(rim: &'a ToothedRim, circumstances: &Circumstances) -> Result<RimRecovery<'a>, String> {
        let observations: Vec<Observation> = rim
            .readings
            .iter()
            .enumerate()
            .filter_map(|(index, reading)| {
                let means = reading.means.as_ref()?;
                if matches!(means, Measurand::FaceWidth | Measurand::HelixAngle) {
                    return None;
                }
                let (value, sigma, dimension) = match (reading.length, reading.angle) {
                    (Some(length), _) => (length.value.mm(), length.sigma.mm(), Dimension::Length),
                    (None, Some(angle)) => (angle.value.radians(), angle.sigma.radians(), Dimension::Angle),
                    (None, None) => return None,
                };
                Some(Observation { reading: index, value, sigma, dimension })
            })
            .collect();
        if observations.is_empty() {
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
            unknowns: Default::default(),
            proposals: Vec::new(),
            unit: circumstances.unit,
            pins: circumstances.pins.clone(),
        };
        recovery.unknowns = [(true, false), (true, true), (false, true)]
            .map(|(standard, shifted)| recovery.find_unknowns(standard, shifted));
        recovery.add_standard_candidates(circumstances.heritage);
        recovery.add_rivals();
        if recovery.candidates.is_empty() {
            return Err("No rim of any size comes near these readings; check the units and the decimal points.".into());
        }
        recovery.propose(circumstances);
        Ok(recovery)
    }

    fn add_standard_candidates(&mut self, heritage: Heritage) {
        let rack_total: f64 = racks().iter().map(|rack| rack_weight(rack, heritage)).sum();
        for size in gear_sizes() {
            let fitting: Vec<&'static Rack> = racks()
                .iter()
                .filter(|rack| rack_weight(rack, heritage) > 0.0 && rack.used_at(size.module()))
                .collect();
            for rack in distinct(&fitting, size.module()) {
                // racks that differ in the root fillet alone look alike to every reading: they are one design
                let weight: f64 = fitting
                    .iter()
                    .filter(|other| alike(other, rack, size.module()))
                    .map(|rack| rack_weight(rack, heritage))
                    .sum();
                let log_prior =
                    size_weight(size, heritage).ln() + (weight / rack_total).ln() + (1.0 - NO_STANDARD).ln();
                for (teeth, log_teeth) in self.tooth_counts(size.module().mm(), rack.addendum_at(size.module()).mm()) {
                    self.add(Choice { teeth, name: Some((size, rack)), shifted: false }, log_prior + log_teeth);
                }
            }
        }
    }

    /// A design unshifted and shifted: one family.
    fn add(&mut self, choice: Choice, log_prior: f64) {
        let family = self.candidates.len();
        let log_prior = log_prior + self.log_chance_of_trials(choice);
        for shifted in [false, true] {
            let choice = Choice { shifted, ..choice };
            let log_prior = log_prior + if shifted { SHIFTED } else { 1.0 - SHIFTED }.ln();
            let candidate = Candidate { family, log_prior, free: self.free_values(choice), standard: true };
            self.choices.push(choice);
            self.candidates.push(candidate);
            if !self.is_near(self.candidates.len() - 1) {
                self.choices.pop();
                self.candidates.pop();
            }
        }
    }

    /// A quick look whether the candidate is worth fitting: at most two readings may be wildly off.
    fn is_near(&self, candidate: usize) -> bool {
        let choice = self.choices[candidate];
        let Some((size, _)) = choice.name else {
            return true;
        };
        let start: Vec<f64> = self.candidates[candidate].free.iter().map(|free| free.start).collect();
        let mut predicted = vec![f64::NAN; self.observations.len()];
        self.predict(candidate, &start, &mut predicted);
        let reach = size.module().mm() * if choice.shifted { 3.0 * SHIFT_SPREAD * 2.0 } else { 0.7 };
        let wild = self
            .observations
            .iter()
            .zip(&predicted)
            .filter(|(observation, predicted)| {
                let off = (observation.value - *predicted).abs();
                off.is_nan() || off >= 10.0 * observation.sigma + reach
            })
            .count();
        wild <= if self.observations.len() >= 5 { 2 } else { 1 }.min(self.observations.len() - 1)
    }

    fn free_values(&self, choice: Choice) -> Vec<Free> {
        let module = choice.name.map_or(2.5, |(size, _)| size.module().mm());
        self.unknowns(choice).iter().map(|&unknown| self.free_value(unknown, module, choice.teeth)).collect()
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
        if standard {
            // the rival's thickness and tips are free as they are
            out.extend([Unknown::Thinning, Unknown::TipLoss]);
        }
        if shifted {
            out.push(Unknown::Shift);
        }
        if !standard {
            out.extend([Unknown::LnModule, Unknown::PressureAngle, Unknown::Addendum]);
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
        out
    }

    fn free_value(&self, unknown: Unknown, module: f64, teeth: u32) -> Free {
        let normal = |mean, sigma| Prior::Normal { mean, sigma };
        match unknown {
            Unknown::Thinning => Free::new("thinning", Prior::OneSided { scale: THINNING * module + 0.01 }),
            Unknown::TipLoss => Free::new("tip loss", Prior::OneSided { scale: TIP_LOSS * module + 0.01 }),
            Unknown::Root => Free::new("root", normal(0.0, ROOT_SPREAD * module + 0.02)),
            Unknown::Eccentric => Free::new("eccentricity", normal(0.0, ECCENTRIC)),
            Unknown::MateSlack => Free::new("slack of centres", normal(0.02 * module, MATE_SLACK * module + 0.05)),
            Unknown::Shift => Free::new("profile shift", normal(0.0, SHIFT_SPREAD)),
            Unknown::LnModule => Free::new("ln module", normal(0.9, 1.0)).starting_at(self.rough_module(teeth).ln()),
            Unknown::PressureAngle => Free::new("pressure angle", normal(18f64.to_radians(), 4f64.to_radians())),
            Unknown::Addendum => Free::new("addendum", normal(0.95, 0.15)),
        }
    }

    fn values(&self, choice: Choice, free: &[f64]) -> Values {
        let mut values = Values::default();
        for (unknown, value) in self.unknowns(choice).iter().zip(free) {
            values.set(*unknown, *value);
        }
        values
    }

    /// The counts worth trying, with the logarithm of their prior.
    fn tooth_counts(&self, module: f64, addendum: f64) -> Vec<(u32, f64)> {
        if let Some(teeth) = self.rim.teeth() {
            return vec![(teeth, 0.0)];
        }
        let spread = (f64::from(*TEETH.end()) / f64::from(*TEETH.start())).ln();
        let log_prior = |teeth: u32| (1.0 / (f64::from(teeth) * spread)).ln();
        match self.rough_tip_radius() {
            Some(tip) => {
                // a shifted or worn rim is at most a tooth or two away from what its tips say
                let middle = 2.0 * (tip - addendum) / module;
                let (low, high) = ((middle - 2.5).ceil().max(f64::from(*TEETH.start())), (middle + 2.5).floor());
                if high < low || high > f64::from(*TEETH.end()) {
                    Vec::new()
                } else {
                    (low as u32..=high as u32).map(|teeth| (teeth, log_prior(teeth))).collect()
                }
            }
            None => TEETH.map(|teeth| (teeth, log_prior(teeth))).collect(),
        }
    }

    fn rough_tip_radius(&self) -> Option<f64> {
        self.observations.iter().find_map(|observation| match self.means(observation) {
            Measurand::TipRadius => Some(observation.value),
            Measurand::OutsideDiameter | Measurand::OverTheTips => Some(0.5 * observation.value),
            _ => None,
        })
    }

    /// A module to begin the rival's fit with: from two spans, else from the tips, else the middle of all modules.
    fn rough_module(&self, teeth: u32) -> f64 {
        let spans: Vec<(f64, f64)> = self
            .observations
            .iter()
            .filter_map(|observation| match self.means(observation) {
                Measurand::Span { teeth } => Some((f64::from(*teeth), observation.value)),
                _ => None,
            })
            .collect();
        let from_spans = spans
            .iter()
            .flat_map(|a| spans.iter().filter(|b| b.0 > a.0).map(move |b| (b.1 - a.1) / (b.0 - a.0)))
            .next();
        match (from_spans, self.rough_tip_radius()) {
            (Some(base_pitch), _) if base_pitch > 0.1 => base_pitch / (PI * 18f64.to_radians().cos()),
            (_, Some(tip)) => 2.0 * tip / (f64::from(teeth) + 1.9),
            _ => match spans.first() {
                Some((k, span)) => span / (PI * (k - 0.5) * 0.94),
                None => 2.5,
            },
        }
    }

    /// A rim of no standard size, for each tooth count in question.
    fn add_rivals(&mut self) {
        let counts: Vec<u32> = match self.rim.teeth() {
            Some(teeth) => vec![teeth],
            None => {
                let Some(tip) = self.rough_tip_radius() else {
                    return;
                };
                let middle = 2.0 * tip / self.rough_module(20) - 1.9;
                let reach = (middle * 0.06).max(2.0);
                ((middle - reach).max(8.0) as u32..=(middle + reach).min(400.0) as u32).collect()
            }
        };
        let family = self.candidates.len();
        let share = (NO_STANDARD / counts.len().max(1) as f64).ln();
        for teeth in counts {
            let choice = Choice { teeth, name: None, shifted: true };
            let log_prior = share;
            self.candidates.push(Candidate { family, log_prior, free: self.free_values(choice), standard: false });
            self.choices.push(choice);
        }
    }

    /// Wheels and cutters that were tried in, and what the trial said.
    fn log_chance_of_trials(&self, choice: Choice) -> f64 {
        let Some((size, rack)) = choice.name else {
            return 0.0;
        };
        let angle = rack.pressure_angle.radians();
        let base_pitch = PI * size.module().mm() * angle.cos();
        let trial = |means: &Option<Measurand>| match means {
            Some(Measurand::Meshes(Some(known))) => chance_to_mesh(base_pitch, known, angle).ln(),
            Some(Measurand::DoesNotMesh(Some(known))) => (1.0 - chance_to_mesh(base_pitch, known, angle)).ln(),
            _ => 0.0,
        };
        self.rim.readings.iter().map(|reading| trial(&reading.means)).sum()
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
        let (module, pressure_angle, addendum, dedendum) = match choice.name {
            Some((size, rack)) => {
                let module = size.module();
                (
                    module.mm(),
                    rack.pressure_angle.radians(),
                    rack.addendum_at(module).mm(),
                    rack.dedendum_at(module).mm(),
                )
            }
            None => {
                let module = values.ln_module.exp();
                (module, values.pressure_angle, values.addendum * module, (values.addendum + USUAL_CLEARANCE) * module)
            }
        };
        let middle = 0.5 * module * teeth + values.shift * module;
        let (tip, root) = (middle + addendum - values.tip_loss, middle - dedendum + values.root);
        let flanks = Flanks::new(teeth, module, pressure_angle, values.shift, values.thinning, tip, root);
        (flanks, PitchCircle { module, pressure_angle, eccentric: values.eccentric, mate_slack: values.mate_slack })
    }

    /// What this shop could measure next on what is left of the rim.
    fn propose(&mut self, circumstances: &Circumstances) {
        let unit = self.unit;
        let mut add = |line: String, sigma: Option<Length>, means: Measurand| {
            let known = self.observations.iter().any(|o| self.rim.readings[o.reading].means.as_ref() == Some(&means));
            if let (Some(sigma), false) = (sigma, known) {
                self.proposals.push((Proposal { line, sigma: sigma.mm(), dimension: Dimension::Length }, means));
            }
        };
        let micrometer = circumstances.uncertainty("micrometer").or(circumstances.uncertainty("caliper"));
        let caliper = circumstances.uncertainty("caliper");
        let present = self.rim.teeth_present().unwrap_or(self.rim.teeth().unwrap_or(12));
        for teeth in 2..=present.min(12) {
            add(format!("span over {teeth} teeth"), micrometer, Measurand::Span { teeth });
        }
        for pin in &circumstances.pins {
            let size = quantity::print::figures(*pin, unit, 3);
            if self.rim.whole {
                add(format!("over {size} pins"), micrometer, Measurand::OverPins { pin: *pin });
            } else {
                add(format!("centre to outside of {size} pin"), caliper, Measurand::CentreToPin { pin: *pin });
            }
        }
        if self.rim.whole {
            add("over the tips".into(), caliper, Measurand::OverTheTips);
            add("root diameter".into(), caliper, Measurand::RootDiameter);
        } else {
            add("tip radius".into(), caliper, Measurand::TipRadius);
            add("root radius".into(), caliper, Measurand::RootRadius);
            add(
                format!("chord across {} pitches at tips", present.saturating_sub(1).max(1)),
                caliper,
                Measurand::ChordAcross { pitches: present.saturating_sub(1).max(1) },
            );
        }
        add("whole depth".into(), caliper, Measurand::WholeDepth);
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
            found: flanks,
            thinning: Length::from_mm(values.thinning),
            tip_loss: Length::from_mm(values.tip_loss),
            pins: self.pins.clone(),
        }))
    }

    fn usual_slips(&self, candidate: usize, observation: usize) -> Vec<Mistake> {
        let observation = &self.observations[observation];
        if observation.dimension == Dimension::Angle {
            return Vec::new();
        }
        let value = observation.value;
        let inch =
            self.rim.readings[observation.reading].line.value().and_then(|value| value.unit()) == Some(Unit::Inch);
        let mut out = Vec::new();
        let mut add = |meant: f64, name: &str| out.push(Mistake { meant, name: name.to_string() });
        let turn = if inch { 0.025 * MM_PER_INCH } else { 0.5 };
        for sign in [-1.0, 1.0] {
            add(value + sign * turn, "one turn of the thimble");
            add(
                value + sign * if inch { 0.1 * MM_PER_INCH } else { 1.0 },
                if inch { "a tenth of an inch" } else { "one millimetre" },
            );
        }
        let start: Vec<f64> = self.candidates[candidate].free.iter().map(|free| free.start).collect();
        let (flanks, _) = self.flanks(candidate, &start);
        match self.means(observation) {
            Measurand::Span { .. } => {
                add(value - flanks.base_pitch(), "one tooth too many in the span");
                add(value + flanks.base_pitch(), "one tooth too few in the span");
            }
            Measurand::ChordAcross { pitches } => {
                let step = flanks.chord_across(*pitches) - flanks.chord_across(pitches.saturating_sub(1));
                add(value - step, "one pitch too many in the chord");
                add(value + step, "one pitch too few in the chord");
            }
            Measurand::OutsideDiameter if flanks.teeth % 2.0 == 1.0 => {
                add(
                    value + 2.0 * flanks.tip_radius - flanks.over_the_tips(),
                    "an odd tooth count measured as if it were even",
                );
            }
            Measurand::TipRadius | Measurand::RootRadius | Measurand::CentreToPin { .. } => {
                add(value / 2.0, "a diameter written for a radius")
            }
            Measurand::OutsideDiameter | Measurand::RootDiameter | Measurand::OverTheTips => {
                add(value * 2.0, "a radius written for a diameter")
            }
            _ => {}
        }
        if inch {
            add(value / MM_PER_INCH, "millimetres written as inches");
        } else {
            add(value * MM_PER_INCH, "inches written as millimetres");
        }
        out
    }

    fn derived(&self) -> &'static [&'static str] {
        &["base_pitch_mm", "base_thickness_mm", "tip_diameter_mm", "root_diameter_mm"]
    }

    fn derive(&self, candidate: usize, free: &[f64], out: &mut [f64]) {
        let (flanks, _) = self.flanks(candidate, free);
        out.copy_from_slice(&[
            flanks.base_pitch(),
            flanks.base_thickness(),
            2.0 * flanks.tip_radius,
            2.0 * flanks.root_radius,
        ]);
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

/// Does the span touch flanks, does the pin touch them and stand above the tips?
fn can_be_taken(means: &Measurand, flanks: &Flanks) -> bool {
    match means {
        Measurand::Span { teeth } => {
            let contact = flanks.base_radius.hypot(0.5 * flanks.span(*teeth));
            contact < flanks.tip_radius
                && contact > flanks.root_radius + 0.25 * (flanks.tip_radius - flanks.root_radius)
        }
        Measurand::OverPins { pin } | Measurand::CentreToPin { pin } => {
            let centre = flanks.pin_centre(pin.mm());
            let contact = flanks
                .base_radius
                .hypot((centre * centre - flanks.base_radius.powi(2)).max(0.0).sqrt() - 0.5 * pin.mm());
            contact < flanks.tip_radius
                && centre + 0.5 * pin.mm() > flanks.tip_radius
                && centre - 0.5 * pin.mm() > flanks.root_radius
        }
        _ => true,
    }
}

/// How usual a size is: the system by heritage, then the series, shared among the sizes of the series.
fn size_weight(size: &GearSize, heritage: Heritage) -> f64 {
    // common practice, without source: shops and countries kept to their own system, with few exceptions
    let system = match (heritage, size.system) {
        (Heritage::Inch, SizeSystem::DiametralPitch) => 0.86,
        (Heritage::Inch, SizeSystem::CircularPitch) => 0.10,
        (Heritage::Inch, SizeSystem::Module) => 0.04,
        (Heritage::Metric, SizeSystem::Module) => 0.95,
        (Heritage::Metric, SizeSystem::DiametralPitch) => 0.04,
        (Heritage::Metric, SizeSystem::CircularPitch) => 0.01,
        (Heritage::Unknown, SizeSystem::DiametralPitch | SizeSystem::Module) => 0.46,
        (Heritage::Unknown, SizeSystem::CircularPitch) => 0.08,
    };
    let weight = |series: Series| match series {
        Series::First => 1.0,
        Series::Second => 0.35,
        Series::Uncommon => 0.08,
    };
    let total: f64 =
        gear_sizes().iter().filter(|other| other.system == size.system).map(|other| weight(other.series)).sum();
    system * weight(size.series) / total
}

fn rack_weight(rack: &Rack, heritage: Heritage) -> f64 {
    match heritage {
        Heritage::Inch => rack.usual_inch,
        Heritage::Metric => rack.usual_metric,
        Heritage::Unknown => 0.5 * (rack.usual_inch + rack.usual_metric),
    }
}

/// Racks that give the same flanks, tips and (to a twentieth of the module) roots.
fn alike(a: &Rack, b: &Rack, module: Length) -> bool {
    let near = |a: Length, b: Length| (a - b).abs() <= module * 0.001;
    a.pressure_angle == b.pressure_angle
        && near(a.addendum_at(module), b.addendum_at(module))
        && near(a.dedendum_at(module), b.dedendum_at(module))
}

/// One rack, the most usual first, of each set that is alike.
fn distinct(racks: &[&'static Rack], module: Length) -> Vec<&'static Rack> {
    let mut out: Vec<&'static Rack> = Vec::new();
    for rack in racks {
        if !out.iter().any(|other| alike(other, rack, module)) {
            out.push(rack);
        }
    }
    out
}
