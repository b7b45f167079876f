//! Which candidates there are: every standard size and rack, every tooth count that the readings allow, shifted or not; and
//! the rivals of no standard.

use std::f64::consts::PI;

use part::{Candidate, Heritage, Observation, Shared};
use quantity::{Angle, Length, Measured, Pitch};
use standards::Rack;

use super::form::{Form, STEEPEST};
use super::priors::{self, NO_STANDARD, SHIFT_SPREAD, SHIFTED, TEETH};
use super::{Choice, RimRecovery, Unknown, Values};
use crate::toothed_rim::readings::{Measurand, chance_to_mesh, predict};

/// A reading from which the pitch radius follows, but for shift and wear: so many mm less so many addenda and modules and
/// more so many dedenda.
#[derive(Clone, Copy, Debug)]
struct Source {
    radius: f64,
    addenda: f64,
    dedenda: f64,
    modules: f64,
}

impl Source {
    fn teeth(&self, form: &Form, helix: Option<Measured<Angle>>) -> std::ops::RangeInclusive<u32> {
        let radius =
            self.radius - self.addenda * form.addendum + self.dedenda * form.dedendum - self.modules * form.module;
        // z = 2 r cos β/m
        let at = |helix: f64| 2.0 * radius * helix.cos() / form.module;
        let (most, least) = helix.map_or((at(0.0), at(0.0)), |helix| (at(least_of(helix)), at(most_of(helix))));
        between(least - REACH_OF_TEETH, most + REACH_OF_TEETH)
    }
}

/// A tooth count that readings allow is at most this far from what one of them says, for shift and wear.
const REACH_OF_TEETH: f64 = 2.6;
/// A reading further off than this, in modules, is wild: wear and makers do not explain it.
const WILD: f64 = 0.5;
/// A shift beyond three spreads is not looked at.
const LARGEST_SHIFT: f64 = 3.0 * SHIFT_SPREAD;
/// The quick look takes in so many readings; the weighing takes in all.
const LOOKED_AT: usize = 24;

impl RimRecovery<'_> {
    pub(super) fn add_standard_candidates(&mut self, heritage: Heritage) {
        let sources = self.sources();
        let root_was_read = self.unknowns[0].contains(&Unknown::Root);
        // pins take a solve; most candidates are out before it comes to them
        let mut quickest_first: Vec<usize> = (0..self.observations.len().min(LOOKED_AT)).collect();
        quickest_first.sort_by_key(|index| takes_a_solve(self.means(&self.observations[*index])));
        for (size, fitting) in priors::standards(heritage) {
            let flanks = merged(&fitting, |a, b| same_flanks(a, b, size.module()));
            for &(rack, weight) in &flanks {
                // racks that differ in the root alone are one design, told apart only if the root was read
                let alike = fitting.iter().copied().filter(|(other, _)| same_flanks(rack, other, size.module()));
                let depths = match root_was_read {
                    true => merged(&alike.collect::<Vec<_>>(), |a, b| same_depth(a, b, size.module())),
                    false => vec![(rack, weight)],
                };
                let form = Form::of(size, rack);
                let log_prior = (1.0 - NO_STANDARD).ln();
                let of_angle = fitting.iter().filter(|(other, _)| other.pressure_angle == rack.pressure_angle);
                let shared = shared(&form, log_prior + of_angle.map(|(_, weight)| weight).sum::<f64>().ln());
                for (teeth, log_teeth) in self.tooth_counts(&form, &sources) {
                    let family = self.families;
                    self.families += 1;
                    let [as_it_is, with_shift] = self.near(&quickest_first, &form, teeth);
                    let ways = [(false, as_it_is, (1.0 - SHIFTED).ln()), (true, with_shift, SHIFTED.ln())];
                    for (shifted, shift, log_shifted) in ways {
                        let Some(shift) = shift else { continue };
                        for (rack, weight) in &depths {
                            let form = Form::of(size, rack);
                            let choice = Choice { teeth, name: Some((size, rack)), form, shifted, shared };
                            let log_prior = log_prior + weight.ln() + log_teeth + log_shifted;
                            self.add(choice, family, log_prior, shift);
                        }
                    }
                }
            }
        }
    }

    fn add(&mut self, choice: Choice, family: usize, log_prior: f64, shift: f64) {
        let log_prior = log_prior + self.log_chance_of_trials(choice);
        let free = self.free_values(choice, shift);
        self.candidates.push(Candidate { family, log_prior, free, standard: choice.name.is_some() });
        self.choices.push(choice);
    }

    /// A rim of no standard size, for each tooth count in question, and for each angle it may have been cut with.
    ///
    /// Flanks of one base circle are the same whatever their angle is called, so that no reading of flanks settles it: the
    /// angle is a choice with a prior, and what is fitted is the base pitch, which every reading of flanks settles.
    pub(super) fn add_rivals(&mut self) {
        let counts = self.rival_counts();
        let family = self.families;
        self.families += 1;
        for teeth in counts {
            let share = NO_STANDARD.ln() + if self.rim.teeth().is_some() { 0.0 } else { log_prior_of_count(teeth) };
            let angles = priors::free_angles(teeth);
            let total: f64 = angles.iter().map(|(_, weight)| weight).sum();
            for (angle, weight) in angles {
                let module = self.rough_module(teeth, angle.cos());
                let form = Form::new(module, angle, module, module);
                let shared = Shared { what: 0, log_prior: NO_STANDARD.ln() };
                let choice = Choice { teeth, name: None, form, shifted: false, shared };
                self.add(choice, family, share + (weight / total).ln(), 0.0);
            }
        }
    }

    /// The tooth counts a rim of no standard may have: as counted; else by the chords, and those that the spans allow.
    fn rival_counts(&self) -> Vec<u32> {
        if let Some(teeth) = self.rim.teeth() {
            return vec![teeth];
        }
        let by_chords = self.teeth_by_chords();
        let mut near_chords: Vec<u32> =
            by_chords.iter().flat_map(|teeth| between(teeth * 0.99 - 1.0, teeth * 1.01 + 1.0)).collect();
        near_chords.sort_unstable();
        near_chords.dedup();
        let Some(tip) = self.rough_tip_radius() else { return near_chords };
        let spans = self.spans();
        let helix = self.usual_values().helix;
        let spanned = |teeth: u32| spans.iter().filter(|span| is_spanned(**span, teeth, tip, helix)).count();
        let allowed = |teeth: &u32| spanned(*teeth) >= spans.len().max(2) - 1;
        match near_chords.iter().any(allowed) {
            true => near_chords,
            false if spans.is_empty() => near_chords,
            false => TEETH.filter(allowed).collect(),
        }
    }

    /// Teeth spanned, and the size read.
    fn spans(&self) -> Vec<(f64, f64)> {
        let span = |observation: &Observation| match self.means(observation) {
            Measurand::Span { teeth } => Some((f64::from(*teeth), observation.value)),
            _ => None,
        };
        self.observations.iter().filter_map(span).collect()
    }

    /// A quick look whether a candidate is worth fitting, as it is and shifted: at most two readings may be wildly off. The shift
    /// to begin with.
    fn near(&self, quickest_first: &[usize], form: &Form, teeth: u32) -> [Option<f64>; 2] {
        let wear = |part: f64| part * form.module + priors::LEAST_LOSS;
        let usual = self.usual_values();
        let values = Values { thinning: wear(priors::THINNING), tip_loss: wear(priors::TIP_LOSS), ..usual };
        let showing = |helix: f64| {
            let values = Values { helix, ..values };
            (form.flanks(f64::from(teeth), &values), values.pitch_circle(form.module, form.pressure_angle))
        };
        let (flanks, pitch) = showing(values.helix);
        // what leaning otherwise than read would show
        let leaning = self.helix.map(|helix| showing(most_of(helix)));
        let count = self.observations.len().min(LOOKED_AT);
        let allowed = if count >= 5 { 2 } else { 1 }.min(count - 1);
        let mut off = [(0.0, 0.0, 0.0); LOOKED_AT];
        let mut hopeless = 0;
        for index in quickest_first.iter().copied() {
            let observation = &self.observations[index];
            let means = self.means(observation);
            let predicted = predict(means, &flanks, &pitch).unwrap_or(f64::NAN);
            let (by_shift, mut reach) = by_shift(means, form, teeth);
            if let Some((flanks, pitch)) = &leaning {
                reach += (predict(means, flanks, pitch).unwrap_or(predicted) - predicted).abs() / form.module;
            }
            let look =
                (observation.value - predicted, by_shift * form.module, reach * form.module + 10.0 * observation.sigma);
            hopeless += usize::from(is_wild(&look, 0.0) && is_wild_at_any_shift(&look));
            if hopeless > allowed {
                return [None, None];
            }
            off[index] = look;
        }
        let off = &off[..count];
        let wild = |shift: f64| off.iter().filter(|look| is_wild(look, shift)).count();
        let as_it_is = (wild(0.0) <= allowed).then_some(0.0);
        // the shift that each reading asks for, if all else is as usual
        let asked = off.iter().filter(|(_, by_shift, _)| *by_shift > 0.0).map(|(off, by_shift, _)| off / by_shift);
        let asked: Vec<(usize, f64)> = asked
            .filter(|shift| shift.abs() <= LARGEST_SHIFT)
            .map(|shift| (wild(shift), shift))
            .filter(|(wild, _)| *wild <= allowed)
            .collect();
        let fewest = asked.iter().map(|(wild, _)| *wild).min();
        let with_shift = fewest.and_then(|fewest| {
            median(asked.iter().filter(|(wild, _)| *wild == fewest).map(|(_, shift)| *shift).collect())
        });
        [as_it_is, with_shift]
    }

    /// The counts worth trying, with the logarithm of their prior.
    fn tooth_counts(&self, form: &Form, sources: &[Source]) -> Vec<(u32, f64)> {
        if let Some(teeth) = self.rim.teeth() {
            return vec![(teeth, 0.0)];
        }
        let mut teeth: Vec<u32> = match sources {
            [] => self.teeth_by_spans(form),
            some => some.iter().flat_map(|source| source.teeth(form, self.helix)).collect(),
        };
        teeth.sort_unstable();
        teeth.dedup();
        teeth.into_iter().map(|teeth| (teeth, log_prior_of_count(teeth))).collect()
    }

    fn sources(&self) -> Vec<Source> {
        let source =
            |radius: f64, addenda: f64, dedenda: f64, modules: f64| Some(Source { radius, addenda, dedenda, modules });
        let of = |means: &Measurand, value: f64| match means {
            Measurand::OutsideDiameter | Measurand::OverTheTips => source(0.5 * value, 1.0, 0.0, 0.0),
            Measurand::TipRadius => source(value, 1.0, 0.0, 0.0),
            Measurand::RootDiameter => source(0.5 * value, 0.0, 1.0, 0.0),
            Measurand::RootRadius => source(value, 0.0, 1.0, 0.0),
            // the middle of a pin of the usual size lies a third of a module beyond the pitch circle
            Measurand::OverPins { pin } => source(0.5 * (value - pin.mm()), 0.0, 0.0, 0.3),
            Measurand::CentreToPin { pin } => source(value - 0.5 * pin.mm(), 0.0, 0.0, 0.3),
            Measurand::CentreDistance { mate } => source(value, 0.0, 0.0, 0.5 * f64::from(*mate)),
            Measurand::Span { .. }
            | Measurand::ChordAcross { .. }
            | Measurand::Thickness { .. }
            | Measurand::WholeDepth
            | Measurand::PrintAngle
            | Measurand::Teeth(_)
            | Measurand::TeethPresent(_)
            | Measurand::TeethBroken(_)
            | Measurand::FaceWidth
            | Measurand::HelixAngle
            | Measurand::Meshes(_)
            | Measurand::DoesNotMesh(_) => None,
        };
        let mut sources: Vec<Source> =
            self.observations.iter().filter_map(|o| of(self.means(o), o.value * self.radii_times)).collect();
        // what rests on one reading alone falls with it: it may have been a diameter
        if let [only] = sources[..] {
            sources.push(Source { radius: 0.5 * only.radius, ..only });
        }
        sources
    }

    /// The counts at which some span is what was read, give or take wear and shift; all, if there is no span.
    fn teeth_by_spans(&self, form: &Form) -> Vec<u32> {
        let mut teeth: Vec<u32> = Vec::new();
        let mut spans = 0;
        for observation in &self.observations {
            let Measurand::Span { teeth: spanned } = self.means(observation) else { continue };
            spans += 1;
            // W = m cos α (π (k − ½) + z inv α_t), solved for z
            let middle = observation.value / (form.module * form.cos) - PI * (f64::from(*spanned) - 0.5);
            let reach = WILD + 2.0 * LARGEST_SHIFT * form.sin;
            let [least, most] = self.helix.map_or([0.0; 2], |helix| [least_of(helix), most_of(helix)]);
            teeth
                .extend(between((middle - reach) / form.rolling(most).inv, (middle + reach) / form.rolling(least).inv));
        }
        if spans == 0 { TEETH.collect() } else { teeth }
    }

    fn rough_tip_radius(&self) -> Option<f64> {
        let radius = |observation: &Observation| match self.means(observation) {
            Measurand::TipRadius => Some(observation.value * self.radii_times),
            Measurand::OutsideDiameter | Measurand::OverTheTips => Some(0.5 * observation.value * self.radii_times),
            _ => None,
        };
        median(self.observations.iter().filter_map(radius).collect())
    }

    /// From each chord across known pitches, with the tip radius: sin(nπ/z) = c/2r.
    fn teeth_by_chords(&self) -> Vec<f64> {
        let Some(tip) = self.rough_tip_radius() else {
            return Vec::new();
        };
        let teeth = |observation: &Observation| match self.means(observation) {
            Measurand::ChordAcross { pitches } => {
                Some(f64::from(*pitches) * PI / (0.5 * observation.value / tip).asin())
            }
            _ => None,
        };
        let likely = |teeth: &f64| *teeth >= f64::from(*TEETH.start()) && *teeth <= f64::from(*TEETH.end());
        self.observations.iter().filter_map(teeth).filter(likely).collect()
    }

    /// A module to begin the rival's fit with: from two spans, else from the tips, else the middle of all modules.
    fn rough_module(&self, teeth: u32, cosine: f64) -> f64 {
        let spans = self.spans();
        let slopes =
            spans.iter().flat_map(|a| spans.iter().filter(|b| b.0 > a.0).map(move |b| (b.1 - a.1) / (b.0 - a.0)));
        let from_spans = median(slopes.collect());
        match (from_spans, self.rough_tip_radius(), self.rim.teeth()) {
            (Some(base_pitch), ..) if base_pitch > 0.1 => base_pitch / (PI * cosine),
            (_, Some(tip), _) => 2.0 * tip / (f64::from(teeth) / self.usual_values().helix.cos() + 1.9),
            _ => median(spans.iter().map(|(k, span)| span / (PI * (k - 0.5) * cosine)).collect()).unwrap_or(2.5),
        }
    }

    /// Wheels and cutters that were tried in, and what the trial said.
    fn log_chance_of_trials(&self, choice: Choice) -> f64 {
        let base_pitch = PI * choice.form.module * choice.form.cos;
        let chance = |known: &Pitch| match choice.name {
            Some(_) => chance_to_mesh(base_pitch, known, choice.form.pressure_angle),
            // a rim of any size meshes with a given one by luck alone
            None => 0.05,
        };
        let trial = |means: &Option<Measurand>| match means {
            Some(Measurand::Meshes(Some(known))) => chance(known).ln(),
            Some(Measurand::DoesNotMesh(Some(known))) => (1.0 - chance(known)).ln(),
            _ => 0.0,
        };
        self.rim.readings.iter().map(|reading| trial(&reading.means)).sum()
    }
}

/// Module and pressure angle as one number: in hundred-thousandths of a millimetre and thousandths of a degree.
fn shared(form: &Form, log_prior: f64) -> Shared {
    let module = (form.module * 1e5).round() as u64;
    let angle = (form.pressure_angle.to_degrees() * 1e3).round() as u64;
    Shared { what: module * 100_000 + angle, log_prior }
}

/// How far a reading is off, how much it grows with one module of shift, and how far it may stray; in mm.
type Look = (f64, f64, f64);

fn is_wild((off, by_shift, reach): &Look, shift: f64) -> bool {
    let left = (off - shift * by_shift).abs();
    left.is_nan() || left > reach + 0.3 * (shift * by_shift).abs()
}

fn is_wild_at_any_shift((off, by_shift, reach): &Look) -> bool {
    off.is_nan() || off.abs() > reach + 1.3 * LARGEST_SHIFT * by_shift
}

fn takes_a_solve(means: &Measurand) -> bool {
    matches!(means, Measurand::OverPins { .. } | Measurand::CentreToPin { .. } | Measurand::Thickness { .. })
}

/// Modules that a reading grows by with one module of profile shift, about; and how far, in modules, wear and makers let it
/// stray.
fn by_shift(means: &Measurand, form: &Form, teeth: u32) -> (f64, f64) {
    match means {
        Measurand::OutsideDiameter | Measurand::OverTheTips | Measurand::RootDiameter => (2.0, 1.6 * WILD),
        Measurand::TipRadius | Measurand::RootRadius => (1.0, WILD),
        Measurand::OverPins { .. } => (1.7, 1.6 * WILD),
        Measurand::CentreToPin { .. } => (0.85, WILD),
        Measurand::Span { .. } => (2.0 * form.sin, WILD),
        Measurand::ChordAcross { pitches } => (2.0 * (f64::from(*pitches) * PI / f64::from(teeth)).sin(), 1.6 * WILD),
        // an angle is compared in radians, and the module has no say in it
        Measurand::PrintAngle | Measurand::HelixAngle => (0.0, 0.2 / form.module),
        Measurand::WholeDepth | Measurand::Thickness { .. } | Measurand::CentreDistance { .. } => (0.0, WILD),
        Measurand::Teeth(_)
        | Measurand::TeethPresent(_)
        | Measurand::TeethBroken(_)
        | Measurand::FaceWidth
        | Measurand::Meshes(_)
        | Measurand::DoesNotMesh(_) => (0.0, f64::INFINITY),
    }
}

/// ln of the prior of a tooth count that was not counted: as many rims have 10 to 20 teeth as 20 to 40.
fn log_prior_of_count(teeth: u32) -> f64 {
    let spread = (f64::from(*TEETH.end()) / f64::from(*TEETH.start())).ln();
    -(f64::from(teeth) * spread).ln()
}

/// Could a span be this on a rim of so many teeth and these tips, cut at one angle or another?
fn is_spanned((spanned, span): (f64, f64), teeth: u32, tip: f64, helix: f64) -> bool {
    let module = 2.0 * tip / (f64::from(teeth) / helix.cos() + 1.9);
    // W = m cos α (π (k − ½) + z inv α_t), ISO 21771
    let at = |degrees: f64| {
        let form = Form::new(module, degrees.to_radians(), module, module);
        module * form.cos * (PI * (spanned - 0.5) + f64::from(teeth) * form.rolling(helix).inv)
    };
    let all = [12.0, 15.0, 18.0, 21.0, 24.0, 27.0].map(at);
    let (low, high) = all.iter().fold((f64::INFINITY, 0.0_f64), |(low, high), span| (low.min(*span), high.max(*span)));
    (low - WILD * module..=high + WILD * module).contains(&span)
}

/// A protractor laid on leaning teeth is seldom off by more than three times its uncertainty.
fn least_of(helix: Measured<Angle>) -> f64 {
    (helix.value.radians() - 3.0 * helix.sigma.radians()).max(0.0)
}

fn most_of(helix: Measured<Angle>) -> f64 {
    (helix.value.radians() + 3.0 * helix.sigma.radians()).min(STEEPEST)
}

/// The middle one, so that one slip does not mislead; of an even number, the lower of the two.
fn median(mut values: Vec<f64>) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    values.get(values.len().saturating_sub(1) / 2).copied()
}

fn between(low: f64, high: f64) -> std::ops::RangeInclusive<u32> {
    let (low, high) = (low.ceil().max(f64::from(*TEETH.start())), high.floor().min(f64::from(*TEETH.end())));
    low as u32..=high.max(0.0) as u32
}

/// Racks that give the same flanks and tips.
fn same_flanks(a: &Rack, b: &Rack, module: Length) -> bool {
    a.pressure_angle == b.pressure_angle && (a.addendum_at(module) - b.addendum_at(module)).abs() <= module * 0.001
}

fn same_depth(a: &Rack, b: &Rack, module: Length) -> bool {
    (a.dedendum_at(module) - b.dedendum_at(module)).abs() <= module * 0.001
}

/// One rack, the most usual, of each set that is the same, with the weight of the set.
fn merged(racks: &[(&'static Rack, f64)], same: impl Fn(&Rack, &Rack) -> bool) -> Vec<(&'static Rack, f64)> {
    let mut sorted = racks.to_vec();
    sorted.sort_by(|a, b| b.1.total_cmp(&a.1));
    let mut out: Vec<(&'static Rack, f64)> = Vec::new();
    for (rack, weight) in sorted {
        match out.iter_mut().find(|(other, _)| same(other, rack)) {
            Some((_, sum)) => *sum += weight,
            None => out.push((rack, weight)),
        }
    }
    out
}
