//! Which thread a tapped hole has, from its core, its pitch, and the screw that belongs in it.

use part::{
    Candidate, Circumstances, Design, Dimension, Free, Heritage, Mistake, Observation, Prior, Proposal, Reading,
    Recovery,
};
use quantity::{Length, MM_PER_INCH};
use standards::{Thread, USUAL_PERCENT, UsualThread, usual_threads};

use super::Measurand;
use crate::nominal::slips_of_diameter;

/// Builds the feature's design from the thread and from the core as it is now.
type Build<'a> = Box<dyn Fn(Option<&'static Thread>, Length) -> Box<dyn Design> + Send + Sync + 'a>;

pub struct TappedRecovery<'a> {
    observations: Vec<Observation>,
    sees: Vec<Sees>,
    /// Of each observation, what may have been meant in its place.
    slips: Vec<Vec<Mistake>>,
    candidates: Vec<Candidate>,
    proposals: Vec<Proposal>,
    build: Build<'a>,
}

/// What an observation looks at.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Sees {
    Core,
    Pitch,
    Screw,
}

// Common practice, without source: what is known beforehand of tapped holes.

/// How far cores stray from three quarters of the thread, in per cent of it.
const PERCENT_SPREAD: f64 = 9.0;
/// A screw that came and went has opened the core by so much, in pitches and mm.
const WORN: (f64, f64) = (0.03, 0.01);
/// A screw is under its nominal size by this, times pitch to the two thirds: half the tolerance of ISO 965-1's 6g, nearly.
const SCREW_UNDER: f64 = 0.11;
/// A thread gauge, or a dozen crests by the rule, tells the pitch to this part of it.
const PITCH_TOLD: f64 = 0.008;
/// How many threads in old machines are none of the usual ones.
const NO_STANDARD: f64 = 0.05;

// The free values, in this order.
const CORE: usize = 0;
const OPENED: usize = 1;
const UNDER: usize = 2;
/// Only of the thread that is none of the usual: its outside less its core, and its pitch.
const OUTSIDE: usize = 3;
const PITCH: usize = 4;

impl<'a> TappedRecovery<'a> {
    pub fn new(
        readings: &[Reading<Option<Measurand>>],
        circumstances: &Circumstances,
        build: Build<'a>,
    ) -> Result<TappedRecovery<'a>, String> {
        let (observations, sees): (Vec<Observation>, Vec<Sees>) =
            readings.iter().enumerate().filter_map(|(index, reading)| observation(index, reading)).unzip();
        let slips = observations.iter().zip(&sees).map(|(observation, sees)| match sees {
            Sees::Core | Sees::Screw => {
                slips_of_diameter(&readings[observation.reading].line, Length::from_mm(observation.value))
            }
            Sees::Pitch => Vec::new(),
        });
        let slips = slips.collect();
        let first = |what: Sees| {
            let at = sees.iter().position(|sees| *sees == what)?;
            Some(observations[at].value)
        };
        let (core, pitch, screw) = (first(Sees::Core), first(Sees::Pitch), first(Sees::Screw));
        if core.is_none() && screw.is_none() {
            return Err("Neither the core of the thread nor its screw was measured yet.".into());
        }
        let share = |usual: &UsualThread| match circumstances.heritage {
            Heritage::Inch => usual.usual_inch + 0.03 * usual.usual_metric,
            Heritage::Metric => usual.usual_metric + 0.03 * usual.usual_inch,
            Heritage::Unknown => 0.5 * (usual.usual_inch + usual.usual_metric),
        };
        let total: f64 = usual_threads().iter().map(share).sum();
        let mut candidates: Vec<Candidate> = usual_threads()
            .iter()
            .enumerate()
            .map(|(family, usual)| Candidate {
                family,
                log_prior: (share(usual) / total * (1.0 - NO_STANDARD)).ln(),
                free: free_values(&usual.thread),
                standard: true,
            })
            .collect();
        candidates.push(unusual(candidates.len(), core, screw, pitch));
        let mut proposals = Vec::new();
        if pitch.is_none() {
            let about = core.or(screw).unwrap_or_default() / 6.0;
            proposals.push(Proposal { line: "pitch".into(), sigma: PITCH_TOLD * about, dimension: Dimension::Length });
        }
        Ok(TappedRecovery { observations, sees, slips, candidates, proposals, build })
    }

    fn thread(&self, candidate: usize) -> Option<&'static Thread> {
        usual_threads().get(candidate).map(|usual| &usual.thread)
    }

    fn core(&self, candidate: usize, free: &[f64]) -> f64 {
        let nominal = self.thread(candidate).map_or(0.0, |thread| thread.hole(USUAL_PERCENT).mm());
        nominal + free[CORE] + free[OPENED]
    }

    fn pitch(&self, candidate: usize, free: &[f64]) -> f64 {
        self.thread(candidate).map_or_else(|| free[PITCH], |thread| thread.pitch.mm())
    }

    fn screw(&self, candidate: usize, free: &[f64]) -> f64 {
        let major = self.thread(candidate).map_or_else(|| free[CORE] + free[OUTSIDE], |thread| thread.major.mm());
        major - free[UNDER]
    }
}

fn observation(index: usize, reading: &Reading<Option<Measurand>>) -> Option<(Observation, Sees)> {
    let sees = match reading.means? {
        Measurand::Diameter => Sees::Core,
        Measurand::Pitch | Measurand::ThreadsPerInch => Sees::Pitch,
        Measurand::Screw => Sees::Screw,
        Measurand::FromBoreCentre | Measurand::BetweenCentres | Measurand::At => return None,
    };
    let (value, sigma) = match (reading.length, reading.line.count()) {
        (Some(length), _) if sees == Sees::Pitch => {
            // a pitch gauge beside the thread tells it better than a caliper across one crest does
            (length.value.mm(), PITCH_TOLD * length.value.mm())
        }
        (Some(length), _) => (length.value.mm(), length.sigma.mm()),
        (None, Some(count)) if count > 0 => {
            let pitch = MM_PER_INCH / f64::from(count);
            (pitch, PITCH_TOLD * pitch)
        }
        (None, _) => return None,
    };
    Some((Observation { reading: index, value, sigma, dimension: Dimension::Length }, sees))
}

fn free_values(thread: &Thread) -> Vec<Free> {
    let pitch = thread.pitch.mm();
    let per_percent = 2.0 * thread.form.depth() * pitch / 100.0;
    vec![
        Free::new("as it was drilled", Prior::Normal { mean: 0.0, sigma: PERCENT_SPREAD * per_percent }),
        Free::new("opened", Prior::OneSided { scale: WORN.0 * pitch + WORN.1 }),
        Free::new("screw under size", Prior::OneSided { scale: SCREW_UNDER * pitch.powf(2.0 / 3.0) }),
    ]
}

/// The thread that is none of the usual: anything that a thread can be about what was measured.
fn unusual(family: usize, core: Option<f64>, screw: Option<f64>, pitch: Option<f64>) -> Candidate {
    let about = core.or(screw.map(|screw| 0.85 * screw)).unwrap_or_default();
    let middle = pitch.unwrap_or(about / 6.0);
    let free = vec![
        Free::new("core", Prior::Normal { mean: about, sigma: 0.15 * about }).starting_at(about),
        Free::new("opened", Prior::OneSided { scale: WORN.0 * middle + WORN.1 }),
        Free::new("screw under size", Prior::OneSided { scale: SCREW_UNDER * middle.powf(2.0 / 3.0) }),
        Free::new("outside over core", Prior::Normal { mean: about / 6.0, sigma: about / 12.0 }),
        Free::new("pitch", Prior::Normal { mean: about / 6.0, sigma: about / 12.0 }).starting_at(middle),
    ];
    Candidate { family, log_prior: NO_STANDARD.ln(), free, standard: false }
}

impl Recovery for TappedRecovery<'_> {
    fn observations(&self) -> &[Observation] {
        &self.observations
    }

    fn candidates(&self) -> &[Candidate] {
        &self.candidates
    }

    fn predict(&self, candidate: usize, free: &[f64], out: &mut [f64]) {
        for (out, sees) in out.iter_mut().zip(&self.sees) {
            *out = match sees {
                Sees::Core => self.core(candidate, free),
                Sees::Pitch => self.pitch(candidate, free),
                Sees::Screw => self.screw(candidate, free),
            };
        }
    }

    fn design(&self, candidate: usize, free: &[f64]) -> Box<dyn Design> {
        (self.build)(self.thread(candidate), Length::from_mm(self.core(candidate, free)))
    }

    fn usual_slips(&self, _candidate: usize, observation: usize) -> Vec<Mistake> {
        self.slips[observation].clone()
    }

    fn derived(&self) -> &'static [&'static str] {
        &["core_diameter_mm"]
    }

    fn derive(&self, candidate: usize, free: &[f64], out: &mut [f64]) {
        out[0] = self.core(candidate, free);
    }

    fn proposals(&self) -> Vec<&Proposal> {
        self.proposals.iter().collect()
    }

    fn predict_proposal(&self, candidate: usize, free: &[f64], _proposal: usize) -> f64 {
        self.pitch(candidate, free)
    }
}
