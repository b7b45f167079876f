//! From a job's readings to its findings: the one computation that the terminal, the pack and the JSON all show.

use std::sync::Arc;

use findings::{Finding, Weighed, weigh_with_mates};
use making::shop::Shop;
use part::{Beyond, Characteristic, Circumstances, Design, Dimension, Gauging, Recovery, common};
use quantity::{Angle, Instrument, Length, Measured, Problem, Unit, print};

use crate::designed::{Designed, designed as designed_of};
use crate::job::{Job, JobFeature};
use crate::shop::bench;

/// A job with what was found out about each of its features.
#[derive(Debug)]
pub struct Solved<'a> {
    pub job: &'a Job,
    pub features: Vec<SolvedFeature<'a>>,
    /// One for each of the job's mates.
    pub mates: Vec<SolvedFeature<'a>>,
    /// Of the part as a whole, where it was read.
    pub thickness: Option<Measured<Length>>,
    /// What follows from the leading designs taken together.
    pub designed: Designed,
    /// What the shop has to measure with.
    pub instruments: Vec<Instrument>,
    pub pins: Vec<Length>,
    pub memory: Memory,
}

#[derive(Debug)]
pub struct SolvedFeature<'a> {
    pub of: &'a JobFeature,
    pub outcome: Arc<Outcome>,
}

/// What was found out of each feature, to be taken over for as long as nothing it rests on changes: a note on a bore leaves the
/// teeth what they are.
#[derive(Clone, Debug, Default)]
pub struct Memory(Arc<Vec<Remembered>>);

#[derive(Debug)]
struct Remembered {
    /// All that it was found out from, written out.
    from: String,
    /// Of the feature, then of what runs with it.
    outcomes: Vec<Arc<Outcome>>,
}

impl Memory {
    fn outcomes(&self, from: &str) -> Option<Vec<Arc<Outcome>>> {
        self.0.iter().find(|remembered| remembered.from == from).map(|remembered| remembered.outcomes.clone())
    }
}

#[derive(Debug)]
pub enum Outcome {
    Found(Box<Found>),
    /// Given in the job, not found out.
    Given(Box<dyn Design>),
    /// Nothing can be said, and why.
    Nothing(String),
}

#[derive(Debug)]
pub struct Found {
    pub weighed: Weighed,
    /// One for each finding.
    pub designs: Vec<Box<dyn Design>>,
    /// For each finding, what else the same part may be called.
    pub also: Vec<Vec<Box<dyn Design>>>,
    pub next: Vec<Next>,
}

/// What to measure next, and why.
#[derive(Clone, Debug)]
pub struct Next {
    pub line: String,
    pub gain_bits: f64,
    pub why: String,
}

/// A finding this probable, with no reading in doubt, is safe to cut metal on.
const SAFE: f64 = 0.98;

pub fn solve<'a>(job: &'a Job, shop: &Shop) -> Solved<'a> {
    solve_again(job, shop, &Memory::default())
}

/// The same for a job that was solved before and may have changed since.
pub fn solve_again<'a>(job: &'a Job, shop: &Shop, before: &Memory) -> Solved<'a> {
    let thickness = thickness(job, shop);
    let circumstances = circumstances(job, shop, thickness.or_else(|| length_of_bush(job, shop)));
    let of_all = format!("{circumstances:?}");
    let mut features = Vec::with_capacity(job.features.len());
    let mut mates = Vec::new();
    let mut memory = Vec::with_capacity(job.features.len());
    for (index, of) in job.features.iter().enumerate() {
        let running: Vec<&JobFeature> =
            job.mates.iter().filter(|mate| mate.of == index).map(|mate| &mate.feature).collect();
        // a shaft for a bore, a bore for a shaft
        let offers = |mate: &&JobFeature| mate.feature.offers().filter(|_| mate.kind.name() != of.kind.name());
        let circumstances = Circumstances { mate: running.iter().find_map(offers), ..circumstances.clone() };
        let said: Vec<String> = std::iter::once(&of).chain(&running).map(|of| of.entry.says()).collect();
        let from = format!("{} {:?} {of_all}", said.join("\n"), circumstances.mate);
        let outcomes = before.outcomes(&from).unwrap_or_else(|| outcomes(of, &running, &circumstances));
        let mut each = outcomes.iter().map(Arc::clone);
        features.extend(each.next().map(|outcome| SolvedFeature { of, outcome }));
        mates.extend(running.into_iter().zip(each).map(|(of, outcome)| SolvedFeature { of, outcome }));
        memory.push(Remembered { from, outcomes });
    }
    let Circumstances { instruments, pins, .. } = circumstances;
    let (designed, memory) = (Designed::default(), Memory(Arc::new(memory)));
    let mut solved = Solved { job, features, mates, thickness, designed, instruments, pins, memory };
    solved.designed = designed_of(&solved);
    solved
}

fn circumstances(job: &Job, shop: &Shop, thickness: Option<Measured<Length>>) -> Circumstances {
    Circumstances {
        heritage: job.heritage,
        unit: job.unit,
        thickness,
        mate: None,
        pins: shop.drawers.pins.clone(),
        cutters: shop
            .drawers
            .gear_cutters
            .iter()
            .map(|set| (set.module, Angle::from_degrees(set.pressure_angle_degrees)))
            .collect(),
        instruments: shop.instruments.clone(),
    }
}

/// The part's thickness: a line `thickness V` of any feature, else a face width.
fn thickness(job: &Job, shop: &Shop) -> Option<Measured<Length>> {
    let read = |wanted| job.features.iter().find_map(|feature| read_of(feature, wanted, job, shop));
    read(common::THICKNESS).or_else(|| read(quantity::Form("face width {reading}")))
}

/// The length of a bush, one outside cylinder with one bore through it: what was read on the bore is as good as on the outside.
fn length_of_bush(job: &Job, shop: &Shop) -> Option<Measured<Length>> {
    let only = |name: &str| {
        let mut of_kind = job.features.iter().filter(|feature| feature.kind.name() == name);
        of_kind.next().filter(|_| of_kind.next().is_none())
    };
    only("shaft")?;
    read_of(only("bore")?, quantity::Form("length {reading}"), job, shop)
}

fn read_of(feature: &JobFeature, wanted: quantity::Form, job: &Job, shop: &Shop) -> Option<Measured<Length>> {
    let bench = bench(job.unit, &shop.instruments);
    feature.entry.lines.iter().find_map(|placed| {
        let line = &placed.value;
        line.value().filter(|_| line.pattern == wanted)?.length(&bench, line.instrument.as_deref())
    })
}

/// A feature and what runs with it, found out together.
fn outcomes(of: &JobFeature, mates: &[&JobFeature], circumstances: &Circumstances) -> Vec<Arc<Outcome>> {
    let recovery = match recovery(of, circumstances) {
        Ok(recovery) => recovery,
        Err(outcome) => {
            let of_mates = mates.iter().flat_map(|mate| outcomes(mate, &[], circumstances));
            return std::iter::once(Arc::new(outcome)).chain(of_mates).collect();
        }
    };
    let of_mates: Vec<_> = mates.iter().map(|mate| self::recovery(mate, circumstances)).collect();
    let told: Vec<&dyn Recovery> = of_mates.iter().flatten().map(AsRef::as_ref).collect();
    let (weighed, weighed_mates) = weigh_with_mates(recovery.as_ref(), &told);
    let mut weighed_mates = weighed_mates.into_iter();
    let of_mates = of_mates.into_iter().map(|mate| match mate {
        Ok(mate) => found(mate.as_ref(), weighed_mates.next().flatten(), circumstances.unit),
        Err(outcome) => outcome,
    });
    let first = found(recovery.as_ref(), weighed, circumstances.unit);
    std::iter::once(first).chain(of_mates).map(Arc::new).collect()
}

/// What the readings of a feature are weighed by, or why nothing is weighed.
fn recovery<'a>(of: &'a JobFeature, circumstances: &Circumstances) -> Result<Box<dyn Recovery + 'a>, Outcome> {
    match of.feature.given(circumstances) {
        Some(design) => Err(Outcome::Given(design)),
        None => of.feature.recover(circumstances).map_err(Outcome::Nothing),
    }
}

fn found(recovery: &dyn Recovery, weighed: Option<Weighed>, unit: Unit) -> Outcome {
    let Some(weighed) = weighed else {
        return Outcome::Nothing("No design comes near these readings; check the units and the decimal points.".into());
    };
    let design = |finding: &Finding| recovery.design(finding.candidate, &finding.free);
    let designs: Vec<Box<dyn Design>> = weighed.findings.iter().map(design).collect();
    let alias = |alias: &findings::Alias| recovery.design(alias.candidate, &alias.free);
    let also = weighed.findings.iter().map(|finding| finding.also.iter().map(alias).collect()).collect();
    let next = next(&weighed, &designs, unit);
    Outcome::Found(Box::new(Found { weighed, designs, also, next }))
}

/// The proposals in words, most telling first.
fn next(weighed: &Weighed, designs: &[Box<dyn Design>], unit: Unit) -> Vec<Next> {
    let name = |candidate: usize| {
        let index = weighed.findings.iter().position(|finding| finding.candidate == candidate)?;
        Some(designs[index].sentence(unit))
    };
    let value = |value: f64, dimension: Dimension| match dimension {
        Dimension::Length => print::length(Length::from_mm(value), unit, 3),
        Dimension::Angle => print::angle(Angle::from_radians(value)),
    };
    weighed
        .next
        .iter()
        .map(|proposal| {
            let why = match proposal.leading.as_slice() {
                [(first, a), (second, b), ..] => {
                    let (a, b) = (value(*a, proposal.dimension), value(*b, proposal.dimension));
                    match (name(*first), name(*second)) {
                        (Some(first), Some(second)) => {
                            format!("tells {first} from {second}: they predict {a} and {b}")
                        }
                        _ => format!("tells the two leading designs apart: they predict {a} and {b}"),
                    }
                }
                _ => "narrows what is left open".into(),
            };
            Next { line: proposal.line.clone(), gain_bits: proposal.gain_bits, why }
        })
        .collect()
}

/// A thickness that meets nothing is held to this, each way (common practice).
const THICKNESS_TOLERANCE: Length = Length::from_mm(0.1);

impl<'a> Solved<'a> {
    /// What runs with this part, each with the name of the feature it runs with.
    pub fn mates(&self) -> impl Iterator<Item = (&'a str, &SolvedFeature<'a>)> {
        let job = self.job;
        self.mates.iter().filter_map(move |mate| {
            let of = job.mates.iter().find(|one| std::ptr::eq(&one.feature, mate.of))?.of;
            Some((job.features.get(of)?.name.as_str(), mate))
        })
    }
}

impl Solved<'_> {
    /// The part's thickness as it is made and checked; a turned part has a length of its own instead.
    pub fn thickness_made(&self) -> Option<Characteristic> {
        let nominal = self.thickness?.value;
        Some(Characteristic {
            name: "thickness".into(),
            nominal,
            lower: Some(nominal - THICKNESS_TOLERANCE),
            upper: Some(nominal + THICKNESS_TOLERANCE),
            gauging: Gauging::Caliper,
            metal_left: Some(Beyond::Upper),
            source: "common practice for a faced thickness".into(),
            how: "At three places.".into(),
        })
    }

    /// Readings that the leading findings cannot have given, each at its place in the job file.
    pub fn objections(&self) -> Vec<Problem> {
        let of = |feature: &SolvedFeature<'_>| -> Vec<Problem> {
            let objections = feature.design().map(|design| design.objections()).unwrap_or_default();
            objections
                .into_iter()
                .filter_map(|(line, why)| {
                    Some(
                        Problem::new(
                            feature.of.entry.lines.get(line)?.at.clone(),
                            why,
                            "expected a reading that can be taken",
                        )
                        .help("measure it again, or strike the line out"),
                    )
                })
                .collect()
        };
        self.features.iter().flat_map(of).collect()
    }
}

impl SolvedFeature<'_> {
    /// The design to make: the most probable finding, or the one that was given.
    pub fn design(&self) -> Option<&dyn Design> {
        match &*self.outcome {
            Outcome::Found(found) => found.designs.first().map(Box::as_ref),
            Outcome::Given(design) => Some(design.as_ref()),
            Outcome::Nothing(_) => None,
        }
    }

    /// Is all of it located from the mating part?
    pub fn is_match_made(&self) -> bool {
        let cuts = self.design().map(|design| design.cuts()).unwrap_or_default();
        !cuts.is_empty() && cuts.iter().all(|cut| cut.match_made)
    }

    /// The reading of an observation as it is numbered in the file.
    pub fn written(&self, line: usize) -> usize {
        self.of.written.get(line).copied().unwrap_or(line)
    }
}

/// Below this, no more is said of there being no standard design than its probability.
const WORTH_TELLING: f64 = 0.05;

impl Found {
    /// Other names of the leading finding, as sentences.
    pub fn other_names(&self, unit: Unit) -> Vec<String> {
        self.also.first().into_iter().flatten().map(|design| design.sentence(unit)).collect()
    }

    /// The cutters of other names that would cut the leading design, as a sentence.
    pub fn cut_too(&self, unit: Unit) -> Option<String> {
        let fits = self.designs.first()?.cut_too();
        let told = fits.iter().map(|fit| {
            let owned = if fit.owned { ", owned" } else { "" };
            let shift = format!("{:+.2}", fit.profile_shift).replace('-', "−");
            format!("{}, shifted {shift} ({} off{owned})", fit.label, print::length(fit.error, unit, 3))
        });
        let told: Vec<String> = told.collect();
        (!told.is_empty()).then(|| format!("Cutters of other names for nearly the same flanks: {}.", told.join("; ")))
    }

    /// What is known whatever the design is, in words with expanded uncertainties (k = 2); told where there may be no standard.
    pub fn known_anyway(&self, unit: Unit) -> Option<String> {
        let no_standard = self.weighed.no_standard >= WORTH_TELLING;
        // an angle belongs to no standard size
        let told = self.weighed.known.iter().filter(|known| no_standard || known.name.ends_with("_deg")).map(|known| {
            let (value, spread) = (known.value, 2.0 * known.sigma);
            if let Some(name) = known.name.strip_suffix("_deg") {
                return format!("{name} {value:.2}° ± {spread:.2}°");
            }
            let name = known.name.trim_end_matches("_mm").replace('_', " ");
            let size = |mm: f64| print::figures(Length::from_mm(mm), unit, 3);
            format!("{name} {} ± {} {}", size(value), size(spread), unit.sign())
        });
        let told: Vec<String> = told.collect();
        (!told.is_empty()).then(|| format!("Known whatever it is called (k = 2): {}.", told.join("; ")))
    }

    /// Is the leading finding safe to cut metal on?
    pub fn is_safe(&self) -> bool {
        // teeth that lean nobody knows which way cannot be cut
        let is_told = self.designs.first().is_some_and(|design| design.twist().is_some());
        is_told
            && self.weighed.slips.is_empty()
            && self.weighed.findings.first().is_some_and(|first| first.standard && first.probability >= SAFE)
    }
}
