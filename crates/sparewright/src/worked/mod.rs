//! A job worked out for a page: all that is shown of it, in plain values that outlive the job itself.
//!
//! It is the same computation as the command line's and the pack's, told for a reader who may act on every line.

mod lines;
mod picture;
mod pieces;
mod written;

use jiff::civil::Date;
use making::Plan;
use making::shop::Shop;
use pack::Sheet;
use part::Kind;
use quantity::{Problem, Unit};
use serde_json::Value;

use crate::checked::checked;
use crate::job::edit::Place;
use crate::job::{self, Pictures};
use crate::planned::planned;
use crate::report::in_100;
use crate::shape::PartShape;
use crate::sheets::{self, Work};
use crate::solve::{Found, Memory, Outcome, Solved, SolvedFeature, solve_again};

pub use lines::{Doubt, ReadLine};
pub use pieces::{Lead, Piece, PieceLine, ToMeasure, Verdict, judged};
pub use written::{Entry, Field};

/// Everything a page shows of a job.
#[derive(Debug)]
pub struct Worked {
    pub title: String,
    /// "1 piece and 3 spares, grey cast iron"
    pub subtitle: String,
    pub unit: Unit,
    /// Features, then mates, as they are written.
    pub entries: Vec<Entry>,
    /// What is wrong and stands at no reading.
    pub problems: Vec<Said>,
    /// Why no such part can be made.
    pub faults: Vec<&'static str>,
    /// The part to scale as SVG, and what is said below it.
    pub drawing: Option<String>,
    pub caption: Vec<String>,
    /// What is measured on every piece, and the pieces, made or only planned.
    pub to_measure: Vec<ToMeasure>,
    pub pieces: Vec<Piece>,
    /// What is to be made: none where nothing is known that could be.
    pub made: Option<Made>,
    pub result: Value,
    /// Fields of the job itself, as they are written.
    pub head: Vec<Field>,
    /// What it is found by in the records.
    pub facts: record::Facts,
    /// For when it is worked out again.
    pub memory: Memory,
}

/// The later half of a job, from its design on.
#[derive(Debug)]
pub struct Made {
    pub plan: Plan,
    pub design: Sheet,
    pub making: Sheet,
    pub checking: Sheet,
    pub price: Sheet,
    pub stop: Option<String>,
    /// Does the pack print? Nothing may be wrong with the job for that.
    pub printable: bool,
}

/// Something wrong, with the line of the text where it stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Said {
    pub line: usize,
    pub message: String,
    pub help: Option<String>,
}

/// What is known of a feature.
#[derive(Debug)]
pub enum Told {
    Found(Findings),
    Given {
        sentence: String,
        remarks: String,
    },
    Nothing(String),
    /// The entry itself could not be read.
    Unread,
}

#[derive(Debug)]
pub struct Findings {
    /// Most probable first.
    pub told: Vec<Finding>,
    pub remarks: Vec<String>,
    pub next: Option<Next>,
    pub safe: bool,
    /// In 100, where it is worth telling beside a standard that leads.
    pub no_standard: Option<String>,
}

#[derive(Debug)]
pub struct Finding {
    pub in_100: String,
    pub sentence: String,
    pub beside: String,
}

#[derive(Debug)]
pub struct Next {
    pub line: String,
    pub gain: String,
    pub why: String,
}

/// Rivals told on a page; the rest only matter to the JSON.
const MOST_TOLD: usize = 4;

/// Works a job's text out; `before` is what it was when it was worked out last. There is something to show of any text.
pub fn worked(text: &str, shop: &Shop, pictures: &dyn Pictures, today: Date, before: &Memory) -> Worked {
    let kinds = features::kinds();
    let (job, mut problems) = job::read_with(text, kinds, &shop.instruments, pictures);
    let written = written::Written::of(text);
    // a job that was just begun is no mistake: the page asks for its first feature
    let begun = written.is_without_features();
    problems.retain(|problem| !(begun && problem.message == job::NO_FEATURE));
    let Some(job) = job else {
        let entries = written.entries(None, shop, &problems);
        let placed = written.elsewhere(text, &problems);
        return Worked {
            title: job::UNTITLED.into(),
            subtitle: String::new(),
            unit: Unit::Inch,
            entries,
            problems: placed,
            faults: Vec::new(),
            drawing: None,
            caption: Vec::new(),
            to_measure: Vec::new(),
            pieces: Vec::new(),
            made: None,
            result: Value::Null,
            head: written.head(),
            facts: crate::records::facts_of_broken(text),
            memory: before.clone(),
        };
    };
    let solved = solve_again(&job, shop, before);
    problems.extend(solved.objections());
    let shape = PartShape::of(&solved);
    let faults = shape.as_ref().map(PartShape::faults).unwrap_or_default();
    let makeable = faults.is_empty() && solved.features.iter().any(|feature| feature.design().is_some());
    let made = makeable.then(|| made(&solved, shape.as_ref(), shop, today, problems.is_empty()));
    let (to_measure, pieces) = pieces::of(&solved);
    let (drawing, caption) = picture::of(&solved, shape.as_ref());
    Worked {
        title: job.title.clone(),
        subtitle: sheets::subtitle(&solved),
        unit: job.unit,
        entries: written.entries(Some(&solved), shop, &problems),
        problems: written.elsewhere(text, &problems),
        faults,
        drawing,
        caption,
        to_measure,
        pieces,
        result: crate::result::result(&solved, made.as_ref().map(|made| &made.plan)),
        made,
        head: written.head(),
        facts: crate::records::facts_of(&solved, shop),
        memory: solved.memory,
    }
}

fn made(solved: &Solved<'_>, shape: Option<&PartShape>, shop: &Shop, today: Date, sound: bool) -> Made {
    let plan = planned(solved, shape, shop);
    let checked = checked(solved);
    let date = today.strftime("%-d %B %Y").to_string();
    let work = Work { solved, shape, plan: &plan, checked: &checked, shop, date };
    let mut design = sheets::drawing::sheet(&work);
    design.blocks.extend(sheets::design::sheet(&work).map(|sheet| sheet.blocks).unwrap_or_default());
    Made {
        design,
        making: sheets::operations::sheet(&work),
        checking: sheets::checking::sheet(&work),
        price: sheets::price::sheet(&work),
        stop: plan.stop.clone(),
        printable: sound,
        plan,
    }
}

fn told(feature: &SolvedFeature<'_>, unit: Unit) -> Told {
    match &*feature.outcome {
        Outcome::Given(design) => {
            Told::Given { sentence: design.sentence(unit), remarks: design.remarks(unit).join(" ") }
        }
        Outcome::Nothing(why) => Told::Nothing(why.clone()),
        Outcome::Found(found) => Told::Found(findings(feature, found, unit)),
    }
}

fn findings(feature: &SolvedFeature<'_>, found: &Found, unit: Unit) -> Findings {
    let pairs = found.weighed.findings.iter().zip(&found.designs).take(MOST_TOLD).enumerate();
    let told = pairs.map(|(index, (finding, design))| Finding {
        in_100: in_100(finding.probability),
        sentence: design.sentence(unit),
        beside: match index {
            0 => design.remarks(unit).join(" "),
            _ => sheets::findings::against(feature, finding, unit),
        },
    });
    let leads = found.weighed.findings.first().is_some_and(|first| first.standard);
    let others = found.other_names(unit);
    let names = (!others.is_empty()).then(|| format!("The same part by other names: {}.", others.join("; ")));
    Findings {
        told: told.collect(),
        remarks: names.into_iter().chain(found.cut_too(unit)).chain(found.known_anyway(unit)).collect(),
        next: found.next.first().map(|next| Next {
            line: next.line.clone(),
            gain: format!("{:.1} bit", next.gain_bits),
            why: next.why.clone(),
        }),
        safe: found.is_safe(),
        no_standard: (leads && found.weighed.no_standard >= 0.005).then(|| in_100(found.weighed.no_standard)),
    }
}

impl Worked {
    pub fn entry(&self, at: Place) -> Option<&Entry> {
        self.entries.iter().find(|entry| entry.at == at)
    }

    /// Nothing at all is wrong with it.
    pub fn is_sound(&self) -> bool {
        self.problems.is_empty()
            && self.faults.is_empty()
            && self.entries.iter().flat_map(|entry| &entry.lines).all(|line| line.problems.is_empty())
    }
}

/// The kind of this name.
pub(crate) fn kind(name: &str) -> Option<&'static dyn Kind> {
    features::kinds().iter().copied().find(|kind| kind.name().eq_ignore_ascii_case(name.trim()))
}

/// The line of a place in a text, from 1.
fn line_of(text: &str, problem: &Problem) -> usize {
    text.bytes().take(problem.at.start).filter(|byte| *byte == b'\n').count() + 1
}

/// The feature of a job that stands at this place in its text.
fn at_place<'a, 'j>(
    solved: &'a Solved<'j>,
    place: &std::ops::Range<usize>,
    mate: bool,
) -> Option<&'a SolvedFeature<'j>> {
    let all = if mate { &solved.mates } else { &solved.features };
    all.iter().find(|feature| place.contains(&feature.of.entry.at.start))
}
