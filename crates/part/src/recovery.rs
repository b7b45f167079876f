//! What the findings engine sees of a feature: discrete candidates with priors, continuous free values with priors,
//! observations, and predictions of the one from the other. It knows of no tooth and no bore.

use crate::design::Design;

pub trait Recovery {
    /// The readings that carry a number to be explained, each with its index among the feature's readings.
    fn observations(&self) -> &[Observation];

    /// The discrete choices. Those of one family are one design under different suppositions (shifted or not, say);
    /// their probabilities are added.
    fn candidates(&self) -> &[Candidate];

    /// What each observation would show on this candidate with these free values, in the observation's own measure,
    /// into `out`. NaN where such a thing could not be measured at all.
    fn predict(&self, candidate: usize, free: &[f64], out: &mut [f64]);

    /// The design of a candidate, its free values fitted.
    fn design(&self, candidate: usize, free: &[f64]) -> Box<dyn Design>;

    /// The usual ways in which this observation can be wrong, if the feature was this candidate.
    fn usual_slips(&self, candidate: usize, observation: usize) -> Vec<Mistake>;

    /// What a reading that is off by so much, and by no usual slip, may mean beside being wrong: what to do, in a few words.
    fn otherwise(&self, _candidate: usize, _observation: usize, _off_by: f64) -> Option<&'static str> {
        None
    }

    /// Quantities worth stating whatever the design is, named as the machine-readable result names them.
    fn derived(&self) -> &'static [&'static str];

    /// Those quantities for one candidate, into `out`, in the unit that each name ends in: mm, or deg.
    fn derive(&self, candidate: usize, free: &[f64], out: &mut [f64]);

    /// Would these two, each with its fitted values, be made to one shape, within what readings can tell? Then they are one
    /// design under two names.
    fn same_part(&self, _one: (usize, &[f64]), _other: (usize, &[f64])) -> bool {
        false
    }

    /// What a candidate must have in common with the part it runs with; none where nothing need agree.
    fn shared(&self, _candidate: usize) -> Option<Shared> {
        None
    }

    /// What such a candidate shares beyond that, as a value; none where there is nothing continuous to share.
    fn shared_value(&self, _candidate: usize, _free: &[f64]) -> Option<SharedValue> {
        None
    }

    /// Readings that could be taken next.
    fn proposals(&self) -> Vec<&Proposal>;

    /// What a proposal would show; NaN where it could not be taken.
    fn predict_proposal(&self, candidate: usize, free: &[f64], proposal: usize) -> f64;
}

/// What two mates have in common: of each, only candidates with the same stand together.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shared {
    pub what: u64,
    /// ln of the prior of just that, which both candidates' priors hold and a pair must count once.
    pub log_prior: f64,
}

/// A derived quantity that two mates have in common.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SharedValue {
    /// Its index in [`Recovery::derived`].
    pub derived: usize,
    /// ln of the prior density of just that value, which both candidates' priors hold and a pair must count once.
    pub log_prior: f64,
    /// The probability that it is shared at all.
    pub sure: f64,
}

/// A usual mistake in taking a reading.
#[derive(Clone, Debug, PartialEq)]
pub struct Mistake {
    /// What would have been read without the mistake.
    pub meant: f64,
    /// "one turn of the thimble"
    pub name: String,
}

/// A reading that could be taken.
#[derive(Clone, Debug, PartialEq)]
pub struct Proposal {
    /// As it would begin in the job file: "over 0.1728 pins".
    pub line: String,
    pub sigma: f64,
    pub dimension: Dimension,
}

/// A number that was read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Observation {
    /// Index in the feature's readings.
    pub reading: usize,
    /// Millimetres or radians.
    pub value: f64,
    /// Standard uncertainty.
    pub sigma: f64,
    pub dimension: Dimension,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Dimension {
    Length,
    Angle,
}

/// A discrete choice.
#[derive(Clone, Debug)]
pub struct Candidate {
    /// Candidates of one family are told as one finding.
    pub family: usize,
    /// Natural logarithm of its prior weight; weights need not sum to one.
    pub log_prior: f64,
    pub free: Vec<Free>,
    /// False for the rival that no standard series contains.
    pub standard: bool,
}

/// A continuous value that is not known beforehand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Free {
    pub name: &'static str,
    pub prior: Prior,
    /// Where the fit begins; the prior's own middle where nothing better is known.
    pub start: f64,
}

impl Free {
    pub fn new(name: &'static str, prior: Prior) -> Free {
        Free { name, prior, start: prior.start() }
    }

    #[must_use]
    pub fn starting_at(mut self, start: f64) -> Free {
        self.start = start;
        self
    }
}

/// What is known of a free value beforehand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Prior {
    Normal {
        mean: f64,
        sigma: f64,
    },
    /// From zero upward, exponentially rarer: wear takes away and never adds.
    OneSided {
        scale: f64,
    },
}

impl Prior {
    /// Where a search for the free value begins.
    pub fn start(self) -> f64 {
        match self {
            Prior::Normal { mean, .. } => mean,
            Prior::OneSided { scale } => scale,
        }
    }

    /// How far it may be expected to stray.
    pub fn spread(self) -> f64 {
        match self {
            Prior::Normal { sigma, .. } => sigma,
            Prior::OneSided { scale } => scale,
        }
    }
}
