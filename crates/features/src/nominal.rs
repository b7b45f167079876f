//! Which standard size explains a measured diameter: a fraction, a whole millimetre, a drill. Shared by the round kinds.

use part::{
    Candidate, Circumstances, Design, Dimension, Free, Heritage, Mistake, Observation, Prior, Proposal, Reading,
    Recovery, usual_slips,
};
use quantity::{Length, Line, MM_PER_INCH, print};
use standards::fits::Fit;
use standards::{DrillSeries, drills};

/// Whether metal is round the surface or inside it: wear opens the one and thins the other.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    Inside,
    Outside,
}

/// A diameter read, perhaps several times.
#[derive(Clone, Debug)]
pub struct Diameter {
    pub reading: usize,
    pub value: Length,
    pub sigma: Length,
    pub worn: bool,
    /// What may have been meant in its place.
    pub slips: Vec<Mistake>,
}

/// The diameters among readings.
pub fn diameters<M: PartialEq>(readings: &[Reading<Option<M>>], means: M) -> Vec<Diameter> {
    readings
        .iter()
        .enumerate()
        .filter(|(_, reading)| reading.means.as_ref() == Some(&means))
        .filter_map(|(index, reading)| {
            let length = reading.length?;
            Some(Diameter {
                reading: index,
                value: length.value,
                sigma: length.sigma,
                worn: reading.line.worn,
                slips: slips_of_diameter(&reading.line, length.value),
            })
        })
        .collect()
}

/// A round surface with its readings.
#[derive(Clone, Copy, Debug)]
pub struct Round<'a> {
    pub diameters: &'a [Diameter],
    pub side: Side,
    /// Whether drills count among the standard sizes.
    pub with_drills: bool,
    /// What it was made to, where that is told.
    pub fit: Option<&'a Fit>,
}

/// A size that a maker would have chosen.
#[derive(Clone, Debug, PartialEq)]
pub struct Nominal {
    pub size: Length,
    /// "7/8 in", "22 mm", "#40 drill"; none where it is no standard size.
    pub name: Option<String>,
}

/// Builds the feature's design from the nominal size and from the size as it is now.
type Build<'a> = Box<dyn Fn(&Nominal, Length) -> Box<dyn Design> + Send + Sync + 'a>;

pub struct NominalRecovery<'a> {
    observations: Vec<Observation>,
    diameters: Vec<Diameter>,
    side: Side,
    nominals: Vec<Nominal>,
    candidates: Vec<Candidate>,
    proposals: Vec<Proposal>,
    build: Build<'a>,
}

// Common practice, without source: what is known beforehand of old round surfaces.

/// Sizes within this reach of the reading are considered, and this part of it more.
const REACH: f64 = 1.0;
const REACH_RELATIVE: f64 = 0.015;
/// A fit opens a bore or thins a shaft by this much on average, in mm; a surface called worn by ten times as much.
const EASED_BY: f64 = 0.012;
const WORN_BY: f64 = 0.12;
/// How true old work was to its nominal size, in mm.
const MAKERS_ERROR: f64 = 0.008;
/// How many round surfaces were made to no standard size.
const NO_STANDARD: f64 = 0.06;

impl<'a> NominalRecovery<'a> {
    pub fn new(of: Round<'_>, circumstances: &Circumstances, build: Build<'a>) -> Result<NominalRecovery<'a>, String> {
        let Some(first) = of.diameters.first() else {
            return Err("The diameter was not measured yet.".into());
        };
        let any_worn = of.diameters.iter().any(|diameter| diameter.worn);
        let sized = near(first.value, first.sigma, of.with_drills, circumstances.heritage);
        let total: f64 = sized.iter().map(|(_, weight)| weight).sum();
        let mut candidates: Vec<Candidate> = sized
            .iter()
            .enumerate()
            .map(|(family, (nominal, weight))| Candidate {
                family,
                log_prior: (weight / total * (1.0 - NO_STANDARD)).ln(),
                free: free_values(as_made(nominal.size, of.side, of.fit), any_worn),
                standard: true,
            })
            .collect();
        let anywhere = Prior::Normal { mean: first.value.mm(), sigma: REACH + REACH_RELATIVE * first.value.mm() };
        candidates.push(Candidate {
            family: sized.len(),
            log_prior: NO_STANDARD.ln(),
            free: free_values(anywhere, any_worn),
            standard: false,
        });
        let mut nominals: Vec<Nominal> = sized.into_iter().map(|(nominal, _)| nominal).collect();
        nominals.push(Nominal { size: Length::ZERO, name: None });
        let observation = |d: &Diameter| Observation {
            reading: d.reading,
            value: d.value.mm(),
            sigma: d.sigma.mm(),
            dimension: Dimension::Length,
        };
        Ok(NominalRecovery {
            observations: of.diameters.iter().map(observation).collect(),
            diameters: of.diameters.to_vec(),
            side: of.side,
            nominals,
            candidates,
            proposals: proposals(of.diameters, circumstances),
            build,
        })
    }

    /// The size where it is not worn, with these free values.
    fn size(&self, candidate: usize, free: &[f64]) -> f64 {
        self.nominals[candidate].size.mm() + free[MADE] + self.sign() * free[EASED]
    }

    /// The size where it is worn.
    fn worn_size(&self, candidate: usize, free: &[f64]) -> f64 {
        self.size(candidate, free) + self.sign() * free.get(WEAR).copied().unwrap_or(0.0)
    }

    /// The size as it is today: where it is worn, if a reading there is fine enough to tell by how much.
    fn now(&self, candidate: usize, free: &[f64]) -> f64 {
        let tells = |diameter: &Diameter| diameter.worn && diameter.sigma.mm() < 0.5 * WORN_BY;
        if self.diameters.iter().any(tells) { self.worn_size(candidate, free) } else { self.size(candidate, free) }
    }

    /// Wear opens a bore and thins a shaft.
    fn sign(&self) -> f64 {
        match self.side {
            Side::Inside => 1.0,
            Side::Outside => -1.0,
        }
    }
}

// The free values, in this order; the last only where a reading is called worn.
const MADE: usize = 0;
const EASED: usize = 1;
const WEAR: usize = 2;

fn free_values(made: Prior, any_worn: bool) -> Vec<Free> {
    let mut out = vec![Free::new("as it was made", made), Free::new("eased", Prior::OneSided { scale: EASED_BY })];
    if any_worn {
        out.push(Free::new("worn", Prior::OneSided { scale: WORN_BY }));
    }
    out
}

/// What the maker made of a nominal size: within the limits of the fit's class where the fit is known.
fn as_made(nominal: Length, side: Side, fit: Option<&Fit>) -> Prior {
    let limits = fit.and_then(|fit| match side {
        Side::Inside => fit.hole(nominal),
        Side::Outside => fit.shaft(nominal),
    });
    match limits {
        Some(limits) => {
            let middle = 0.5 * (limits.lower + limits.upper).mm();
            let spread = (limits.tolerance().mm() / 12f64.sqrt()).max(MAKERS_ERROR);
            // an old maker may have left the clearance to the mate: half way to the bare size is nothing unusual
            Prior::Normal { mean: middle, sigma: spread.hypot(0.5 * middle) }
        }
        None => Prior::Normal { mean: 0.0, sigma: MAKERS_ERROR },
    }
}

/// A finer instrument, where the shop has one that was not used.
fn proposals(diameters: &[Diameter], circumstances: &Circumstances) -> Vec<Proposal> {
    let finest = ["micrometer", "pin gauge"]
        .iter()
        .filter_map(|name| circumstances.uncertainty(name))
        .map(Length::mm)
        .fold(f64::INFINITY, f64::min);
    let coarse = diameters.iter().all(|diameter| diameter.sigma.mm() > 2.0 * finest);
    if !coarse {
        return Vec::new();
    }
    vec![Proposal { line: "diameter".into(), sigma: finest, dimension: Dimension::Length }]
}

impl Recovery for NominalRecovery<'_> {
    fn observations(&self) -> &[Observation] {
        &self.observations
    }

    fn candidates(&self) -> &[Candidate] {
        &self.candidates
    }

    fn predict(&self, candidate: usize, free: &[f64], out: &mut [f64]) {
        for (out, diameter) in out.iter_mut().zip(&self.diameters) {
            *out = if diameter.worn { self.worn_size(candidate, free) } else { self.size(candidate, free) };
        }
    }

    fn design(&self, candidate: usize, free: &[f64]) -> Box<dyn Design> {
        let now = Length::from_mm(self.now(candidate, free));
        let nominal = &self.nominals[candidate];
        match nominal.name {
            Some(_) => (self.build)(nominal, now),
            None => (self.build)(&Nominal { size: Length::from_mm(self.size(candidate, free)), name: None }, now),
        }
    }

    fn usual_slips(&self, _candidate: usize, observation: usize) -> Vec<Mistake> {
        self.diameters[observation].slips.clone()
    }

    fn derived(&self) -> &'static [&'static str] {
        &["diameter_mm"]
    }

    fn derive(&self, candidate: usize, free: &[f64], out: &mut [f64]) {
        out[0] = self.now(candidate, free);
    }

    fn proposals(&self) -> Vec<&Proposal> {
        self.proposals.iter().collect()
    }

    fn predict_proposal(&self, candidate: usize, free: &[f64], _proposal: usize) -> f64 {
        self.size(candidate, free)
    }
}

/// The usual mistakes in a diameter.
pub fn slips_of_diameter(line: &Line, read: Length) -> Vec<Mistake> {
    let mut out = usual_slips(line, read);
    out.push(Mistake { meant: 2.0 * read.mm(), name: "a radius written for a diameter".into() });
    out.push(Mistake { meant: read.mm() / 2.0, name: "a diameter doubled".into() });
    out
}

/// The standard size that a measured running bore was most likely made to: it has only grown. The reading itself where
/// none is near.
pub fn opened_from(value: Length, inch: bool) -> Length {
    let heritage = if inch { Heritage::Inch } else { Heritage::Metric };
    let grown = |nominal: &Nominal| (value - nominal.size).mm();
    near(value, Length::ZERO, false, heritage)
        .into_iter()
        .filter(|(nominal, _)| (-MAKERS_ERROR * 3.0..=WORN_BY * 2.0).contains(&grown(nominal)))
        .max_by(|a, b| {
            let weight = |(nominal, weight): &(Nominal, f64)| weight.ln() - grown(nominal).max(0.0) / WORN_BY;
            weight(a).total_cmp(&weight(b))
        })
        .map_or(value, |(nominal, _)| nominal.size)
}

/// Standard sizes near a reading, each with a weight: how likely a maker of this heritage was to choose it.
fn near(value: Length, sigma: Length, with_drills: bool, heritage: Heritage) -> Vec<(Nominal, f64)> {
    let reach = REACH.min(0.25 * value.mm()) + REACH_RELATIVE * value.mm() + 4.0 * sigma.mm();
    let (inch, metric) = match heritage {
        Heritage::Inch => (0.97, 0.03),
        Heritage::Metric => (0.03, 0.97),
        Heritage::Unknown => (0.5, 0.5),
    };
    let mut out: Vec<(Nominal, f64)> = Vec::new();
    let mut add = |size: Length, name: String, weight: f64| {
        if (size - value).abs().mm() > reach || size <= Length::ZERO {
            return;
        }
        // one size under two names is one size; the name that comes first is the one a shop would use
        match out.iter_mut().find(|(known, _)| (known.size - size).abs().mm() < 1e-4) {
            Some((_, known)) => *known += weight,
            None => out.push((Nominal { size, name: Some(name) }, weight)),
        }
    };
    // weights by how coarse the step is, common practice: designers take the roundest size that will do
    let steps = [(1, 1.0), (2, 1.0), (4, 0.9), (8, 0.7), (16, 0.4), (32, 0.15), (64, 0.05)];
    let range =
        |step: f64| ((value.mm() - reach) / step).floor().max(1.0) as i64..=((value.mm() + reach) / step).ceil() as i64;
    for count in range(MM_PER_INCH / 64.0) {
        let size = Length::from_inches(count as f64 / 64.0);
        let weight =
            steps.iter().find(|(denominator, _)| (count * denominator) % 64 == 0).map_or(0.05, |(_, weight)| *weight);
        add(size, format!("{} in", print::fraction(size, 64)), inch * weight);
    }
    for tenths in range(0.1) {
        let weight = match (tenths % 10, tenths % 50, tenths % 5) {
            (_, 0, _) => 1.0,
            (0, _, _) => 0.7,
            (_, _, 0) => 0.2,
            _ => 0.02,
        };
        let size = Length::from_mm(tenths as f64 / 10.0);
        add(size, format!("{} mm", print::number(size.mm())), metric * weight);
    }
    if with_drills {
        for drill in drills() {
            let weight = match drill.series {
                DrillSeries::Number | DrillSeries::Letter => 0.25 * inch,
                DrillSeries::Fraction => 0.2 * inch,
                DrillSeries::Metric => 0.1 * metric,
            };
            add(drill.diameter, format!("{} drill", drill.label()), weight);
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Fractions by definition; that a bore only grows is common practice.
    #[test]
    fn a_worn_running_bore_was_made_to_the_size_below() {
        let inches = |size: f64| Length::from_inches(size);
        for (read, made) in [(0.625, 0.625), (0.6264, 0.625), (0.7520, 0.75), (0.3775, 0.375)] {
            assert!((opened_from(inches(read), true) - inches(made)).abs().mm() < 1e-6, "{read}");
        }
        for (read, made) in [(16.06, 16.0), (20.11, 20.0), (12.0, 12.0)] {
            assert!((opened_from(Length::from_mm(read), false).mm() - made).abs() < 1e-6, "{read}");
        }
    }
}
