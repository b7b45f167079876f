//! One invented rim, weighed as a user's would be, and what came of it.

use std::time::{Duration, Instant};

use findings::{Finding, Weighed, weigh};
use part::{Circumstances, Design, Entry, Feature, FieldValue, Heritage, Kind, Placed};
use quantity::{Line, Unit};
use serde_json::Value;

use crate::ask::Ask;
use crate::notebook::{Machinist, Page};
use crate::plain;
use crate::random::Random;
use crate::shop::{bench, circumstances, unstated};
use crate::world::{Made, Rim, invent};

/// What sort of case to invent.
#[derive(Clone, Copy, Debug)]
pub struct Sort {
    /// The part of the rims that belongs to no standard.
    pub of_no_standard: f64,
    /// Readings, from and to.
    pub readings: (usize, usize),
    /// How probably each reading is a slip, one in a case at most; 1: one there must be.
    pub slips: f64,
}

/// A case: the rim and its page, and the stream of numbers for what comes after.
#[derive(Debug)]
pub struct Case {
    pub rim: Rim,
    pub machinist: Machinist,
    pub page: Page,
    pub random: Random,
}

impl Case {
    pub fn invent(sort: Sort, seed: u64, number: u64) -> Case {
        let mut random = Random::new(seed, number);
        loop {
            let made = if random.chance(sort.of_no_standard) { Made::ToNone } else { Made::ToStandard };
            let rim = invent(made, &mut random);
            let inch = match rim.heritage {
                Heritage::Inch => true,
                Heritage::Metric => false,
                Heritage::Unknown => random.chance(0.5),
            };
            let machinist = Machinist::new(inch, &mut random);
            let (from, to) = sort.readings;
            let count = from + random.below(to - from + 1);
            let slips = random.chance(1.0 - (1.0 - sort.slips).powi(count as i32));
            let page = machinist.measure(&rim, count, slips, &mut random);
            // where there must be a slip, rims on which none would show are left out
            if (sort.slips < 1.0 || page.slip.is_some()) && page.taken.len() == count {
                return Case { rim, machinist, page, random };
            }
        }
    }
}

/// What the program said, held against what was so.
#[derive(Clone, Debug, Default)]
pub struct Outcome {
    pub readings: usize,
    pub whole: bool,
    pub counted: bool,
    /// The rim belongs to a standard.
    pub standard: bool,
    /// Probability of what leads, and whether it is so. No standard design counts as a leader.
    pub leader: f64,
    pub right: bool,
    /// Probability that was given to the truth.
    pub truth: f64,
    /// Every stated probability of at least a hundredth, and whether that was so.
    pub stated: Vec<(f64, bool)>,
    pub slip: Option<SlipOutcome>,
    /// Whether the plain way leads with what is so.
    pub plainly_right: bool,
    /// Readings called slips that were none.
    pub false_alarms: usize,
    /// Base pitch found, relative to the true one.
    pub base_pitch_error: f64,
    /// Its stated standard uncertainty, relative too.
    pub base_pitch_sigma: f64,
    pub took: Duration,
    /// For looking at by eye.
    pub story: String,
}

#[derive(Clone, Debug)]
pub struct SlipOutcome {
    pub named: bool,
    pub cause_named: bool,
    pub cause: &'static str,
}

fn kind() -> Option<&'static dyn Kind> {
    features::kinds().iter().copied().find(|kind| kind.name() == "toothed rim")
}

/// The page, read as a job's entry is.
pub fn feature(rim: &Rim, page: &Page) -> Option<Box<dyn Feature>> {
    read(&page.lines, rim.whole, page.unit)
}

/// A toothed rim from its lines; none if one of them cannot be read.
pub fn read<T: AsRef<str>>(written: &[T], whole: bool, unit: Unit) -> Option<Box<dyn Feature>> {
    let kind = kind()?;
    let bench = bench(unit);
    let forms = kind.forms();
    let mut lines = Vec::new();
    for line in written {
        lines.push(Placed { value: Line::read(line.as_ref(), &forms, &bench).ok()?, at: 0..0 });
    }
    let mut entry = Entry { name: "teeth".into(), kind: kind.name().into(), lines, ..Entry::default() };
    entry.fields.insert("whole", Placed { value: FieldValue::YesNo(whole), at: 0..0 });
    // what is doubtful in a page is told to a user, and the rest is weighed all the same
    kind.read(&entry, &bench, &mut Vec::new())
}

/// What a line that is only begun would measure.
fn proposed(page: &Page, line: &str) -> Option<Ask> {
    let line = Line::read(&format!("{line} 1.0"), &kind()?.forms(), &bench(page.unit)).ok()?;
    Ask::of(&line)
}

pub fn run(case: &Case) -> Option<Outcome> {
    let outcome = weighed(&case.rim, &case.page, |weighed, designs, took| judge(case, weighed, designs, took))?;
    Some(Outcome { plainly_right: plainly_right(case).unwrap_or(false), ..outcome })
}

fn plainly_right(case: &Case) -> Option<bool> {
    let feature = feature(&case.rim, &case.page)?;
    let recovery = feature.recover(&circumstances(&case.rim, case.page.unit)).ok()?;
    let (candidate, free) = plain::leader(recovery.as_ref())?;
    Some(is_it(&case.rim, recovery.design(candidate, &free).as_ref()))
}

/// Weighs a page and hands the result on.
pub fn weighed<T>(rim: &Rim, page: &Page, then: impl FnOnce(&Weighed, &[Box<dyn Design>], Duration) -> T) -> Option<T> {
    let feature = feature(rim, page)?;
    let circumstances = circumstances(rim, page.unit);
    let start = Instant::now();
    let recovery = feature.recover(&circumstances).ok()?;
    let weighed = weigh(recovery.as_ref())?;
    let took = start.elapsed();
    let design = |finding: &Finding| recovery.design(finding.candidate, &finding.free);
    let designs: Vec<Box<dyn Design>> = weighed.findings.iter().map(design).collect();
    Some(then(&weighed, &designs, took))
}

/// Weighs and throws away, for timing: from readings that are understood to probabilities.
pub fn solve(feature: &dyn Feature, circumstances: &part::Circumstances) -> Option<Weighed> {
    weigh(feature.recover(circumstances).ok()?.as_ref())
}

/// The probability given to what the rim truly is.
pub fn truth(rim: &Rim, weighed: &Weighed, designs: &[Box<dyn Design>]) -> f64 {
    if rim.standard.is_none() {
        return weighed.no_standard;
    }
    let so = weighed.findings.iter().zip(designs).filter(|(_, design)| is_it(rim, design.as_ref()));
    so.map(|(finding, _)| finding.probability).sum()
}

/// Same teeth, same size by name, same angle, same height of tooth.
fn is_it(rim: &Rim, design: &dyn Design) -> bool {
    let Some((size, rack)) = rim.standard else { return false };
    let record = design.record();
    let number = |value: &Value| value.as_f64().unwrap_or(f64::NAN);
    let named = record.get("size").is_some_and(|said| {
        said.get("system").and_then(Value::as_str) == Some(size.system.name())
            && said.get("value").is_some_and(|value| (number(value) - size.value).abs() < 1e-6)
    });
    let teeth = record.get("teeth").and_then(Value::as_u64) == Some(u64::from(rim.worn.teeth()));
    let degrees = record.get("pressure_angle_deg").map_or(f64::NAN, number);
    let addendum = record
        .get("rack")
        .and_then(Value::as_str)
        .and_then(standards::rack)
        .map_or(f64::NAN, |found| found.addendum_at(size.module()).mm());
    named
        && teeth
        && (degrees - rack.pressure_angle.degrees()).abs() < 1e-6
        && (addendum - rack.addendum_at(size.module()).mm()).abs() < 0.002 * size.module().mm()
}

fn judge(case: &Case, weighed: &Weighed, designs: &[Box<dyn Design>], took: Duration) -> Outcome {
    let rim = &case.rim;
    let leads = weighed.findings.first().map_or(0.0, |finding| finding.probability);
    let none_leads = weighed.findings.first().is_none_or(|first| !first.standard);
    let (leader, right) = if none_leads {
        (weighed.no_standard, rim.standard.is_none())
    } else {
        (leads, designs.first().is_some_and(|design| is_it(rim, design.as_ref())))
    };
    let mut stated: Vec<(f64, bool)> = weighed
        .findings
        .iter()
        .zip(designs)
        .filter(|(finding, _)| finding.standard)
        .map(|(finding, design)| (finding.probability, is_it(rim, design.as_ref())))
        .collect();
    stated.push((weighed.no_standard, rim.standard.is_none()));
    stated.retain(|(probability, _)| *probability >= 0.01);
    let slip = case.page.slip.as_ref().map(|slip| {
        let found = weighed.slips.iter().find(|found| found.reading == slip.line);
        SlipOutcome {
            named: found.is_some(),
            cause_named: found.is_some_and(|found| found.guess == slip.cause),
            cause: slip.cause,
        }
    });
    let wrong = case.page.slip.as_ref().map(|slip| slip.line);
    let base_pitch = rim.worn.base_pitch().mm();
    let known = weighed.known.iter().find(|known| known.name == "base_pitch_mm");
    Outcome {
        readings: case.page.taken.len(),
        whole: rim.whole,
        counted: rim.counted,
        standard: rim.standard.is_some(),
        leader,
        right,
        plainly_right: false,
        truth: truth(rim, weighed, designs),
        stated,
        slip,
        false_alarms: weighed.slips.iter().filter(|slip| Some(slip.reading) != wrong).count(),
        base_pitch_sigma: known.map_or(f64::NAN, |known| known.sigma / base_pitch),
        base_pitch_error: known.map_or(f64::NAN, |known| known.value / base_pitch - 1.0),
        took,
        story: story(case, weighed, designs),
    }
}

fn story(case: &Case, weighed: &Weighed, designs: &[Box<dyn Design>]) -> String {
    let mut out = String::new();
    let rim = &case.rim;
    let made = match rim.standard {
        Some((size, rack)) => format!("{}, {}", size.label(), rack.name),
        None => format!("no standard, base pitch {:.4}", rim.worn.base_pitch().mm()),
    };
    let spec = rim.worn.spec();
    out += &format!(
        "{} teeth, {made}, {:?}; module {:.3}, shift {:.2}, thinned {:.3} m\n",
        rim.worn.teeth(),
        rim.heritage,
        spec.module.mm(),
        spec.profile_shift,
        spec.thinning / spec.module
    );
    for (index, line) in case.page.lines.iter().enumerate() {
        let slip = case.page.slip.as_ref().filter(|slip| slip.line == index).map_or("", |slip| slip.cause);
        out += &format!("    {line}    {slip}\n");
    }
    for (finding, design) in weighed.findings.iter().zip(designs).take(4) {
        out += &format!("  {:.4} {} {:.3?}\n", finding.probability, design.sentence(case.page.unit), finding.free);
        let off = |residual: &findings::Residual| (residual.observed - residual.predicted) / residual.sigma;
        out += &format!("         off by {:.1?} sigma\n", finding.residuals.iter().map(off).collect::<Vec<f64>>());
    }
    out += &format!("  {:.4} no standard\n", weighed.no_standard);
    for slip in &weighed.slips {
        out += &format!("  slip in {}: {} {:.3}\n", slip.reading, slip.guess, slip.probability);
    }
    out
}

/// The mean probability of the truth before and after one more reading: the one proposed first, and one at random.
#[derive(Clone, Copy, Debug, Default)]
pub struct NextOutcome {
    pub before: f64,
    pub proposed: f64,
    pub random: f64,
}

pub fn next(case: &mut Case) -> Option<NextOutcome> {
    let rim = case.rim.clone();
    let (before, proposals) = weighed(&rim, &case.page, |weighed, designs, _| {
        let lines: Vec<String> = weighed.next.iter().map(|next| next.line.clone()).collect();
        (truth(&rim, weighed, designs), lines)
    })?;
    let feature = feature(&rim, &case.page)?;
    let circumstances = circumstances(&rim, case.page.unit);
    let recovery = feature.recover(&circumstances).ok()?;
    let mut all: Vec<String> = recovery.proposals().iter().map(|proposal| proposal.line.clone()).collect();
    case.random.shuffle(&mut all);
    // a reading that turns out not to fit on the rim is passed over, whoever proposed it
    let mut after = |lines: &[String]| {
        lines.iter().find_map(|line| {
            let ask = proposed(&case.page, line)?;
            let line = case.machinist.add(&rim, ask, &mut case.random)?;
            let mut page = case.page.clone();
            page.lines.push(line);
            weighed(&rim, &page, |weighed, designs, _| truth(&rim, weighed, designs))
        })
    };
    Some(NextOutcome { before, proposed: after(&proposals)?, random: after(&all)? })
}

/// What is told of written lines, by the name of each design.
pub fn told(written: &[&str], whole: bool, heritage: Heritage) -> Option<Told> {
    let unit = Unit::Millimetre;
    let feature = read(written, whole, unit)?;
    let circumstances = Circumstances { heritage, ..unstated(unit) };
    let recovery = feature.recover(&circumstances).ok()?;
    let weighed = weigh(recovery.as_ref())?;
    let name = |finding: &Finding| {
        let design = recovery.design(finding.candidate, &finding.free);
        (design.sentence(unit), finding.probability)
    };
    let standards = weighed.findings.iter().filter(|finding| finding.standard).map(name).collect();
    Some(Told { standards, no_standard: weighed.no_standard, slips: weighed.slips })
}

#[derive(Debug)]
pub struct Told {
    /// Each standard design, as a sentence, with its probability.
    pub standards: Vec<(String, f64)>,
    pub no_standard: f64,
    pub slips: Vec<findings::Slip>,
}

impl Told {
    /// The probability of all designs whose sentence has these words in it.
    pub fn of(&self, words: &str) -> f64 {
        self.standards.iter().filter(|(name, _)| name.contains(words)).map(|(_, probability)| probability).sum()
    }
}
