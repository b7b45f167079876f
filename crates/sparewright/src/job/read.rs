//! The job file, read with all its problems at once.

use making::price::{Elsewhere, Outside};
use making::shop::MachineKind;
use part::{Heritage, Kind};
use quantity::{Bench, Instrument, Money, Problem, Unit, nearest, quoted};
use standards::Material;

use super::feature::Circle;
use super::load;
use super::pictures::{Bed, NoPictures, Pictures};
use super::{HERITAGES, Job, JobFeature, Make, Mate, UNITS, UNTITLED, piece};
use crate::shop::{MOST_MONEY, bench};
use crate::written::{self, Section, Text, Value, or_note};

/// Reads a job. Whatever is wrong is among the problems, in the order it stands in the file, each with its place; what
/// is right is used all the same. There is no job where neither a title nor a feature could be read.
///
/// Pictures are refused; see [`read_with`].
pub fn read(file: &str, kinds: &[&'static dyn Kind], instruments: &[Instrument]) -> (Option<Job>, Vec<Problem>) {
    read_with(file, kinds, instruments, &NoPictures)
}

/// As [`read`], with someone to measure the pictures it names.
pub fn read_with(
    file: &str,
    kinds: &[&'static dyn Kind],
    instruments: &[Instrument],
    pictures: &dyn Pictures,
) -> (Option<Job>, Vec<Problem>) {
    written::read(file, "a job", |root, problems| job(root, kinds, instruments, pictures, problems))
}

/// More of one part is a series, and made another way.
pub(super) const MOST_PIECES: u32 = 1_000;

/// A drawing with more could not be read, and the file is a list of something else.
const MOST_FEATURES: usize = 200;

/// Said of a job that has none; a page of a job that has just been begun asks for one instead.
pub(crate) const NO_FEATURE: &str = "There is no feature in this job.";

fn job(
    mut root: Section<'_>,
    kinds: &[&'static dyn Kind],
    instruments: &[Instrument],
    pictures: &dyn Pictures,
    problems: &mut Vec<Problem>,
) -> Option<Job> {
    let title = root.text("title", problems);
    let unit = root.get("units").map(|value| value.text().and_then(|text| text.one_of(UNITS)));
    let unit_said = unit.is_some();
    let unit = unit.and_then(|unit| or_note(unit, problems));
    let heritage = root.text("heritage", problems).and_then(|text| or_note(text.one_of(HERITAGES), problems));
    let material = root.text("material", problems).and_then(|text| or_note(self::material(&text), problems));
    let make =
        root.section("make", "the table `make`", problems).map(|section| make(section, problems)).unwrap_or_default();
    let load = root.section("load", "the table `load`", problems).and_then(|section| load::load(section, problems));
    let broke = root.text("broke", problems).and_then(|text| or_note(load::sign(&text), problems));
    let outside = root.sections("outside", "outside work", problems);
    let outside = outside.into_iter().filter_map(|section| outside_work(section, problems)).collect();
    let scan = root.section("scan", "the table `scan`", problems);
    let none_written = root.get("feature").is_none();
    let sections = root.sections("feature", "a feature", problems);
    let mates = root.sections("mate", "a mate", problems);
    let pieces = root.sections("piece", "a piece", problems);
    root.finish(problems);
    if let Some(first_too_many) = sections.get(MOST_FEATURES) {
        let message =
            format!("A part has up to {MOST_FEATURES} features here; this is one more, and what follows is not read.");
        problems.push(Problem::new(first_too_many.at.clone(), message, "expected the end of the job"));
    }

    let bench = bench(unit.unwrap_or(Unit::Inch), instruments);
    let bed = scan.map(|section| bed(section, &bench, problems)).unwrap_or_default();
    let mut circle = Circle::new(kinds, &bench, pictures, &bed);
    let features: Vec<_> =
        sections.into_iter().take(MOST_FEATURES).filter_map(|section| circle.feature(section, problems)).collect();
    let mates: Vec<Mate> = mates
        .into_iter()
        .take(MOST_FEATURES)
        .filter_map(|mut section| {
            let of = section
                .need_text("of", problems)
                .filter(|name| !circle.is_unread(name.value))
                .map(|name| feature_called(&name, &features, "expected the name of the feature it runs with"));
            let material = section.text("material", problems).and_then(|text| or_note(self::material(&text), problems));
            let feature = circle.feature(section, problems)?;
            let of = of.and_then(|of| or_note(of, problems))?;
            Some(Mate { of, feature, material })
        })
        .collect();
    let pieces = piece::pieces(pieces, &features, &mut circle, problems);
    if !unit_said && let Some(at) = circle.first_bare() {
        problems.push(
            Problem::new(
                at,
                "A number without a unit, in a job that does not say its unit.",
                "expected units = \"in\" or units = \"mm\" at the head of the job",
            )
            .help("or write the unit behind the number: 2.301 in, 58.45 mm"),
        );
    }
    if none_written {
        problems.push(Problem::new(
            title.as_ref().map_or(0..0, Text::at),
            NO_FEATURE,
            "expected [[feature]] with a kind and readings",
        ));
    }
    // what bare numbers would come to in a unit that nobody said is not worth knowing
    let is_unreadable = unit.is_none() && circle.first_bare().is_some();
    let (features, mates, pieces) = if is_unreadable { Default::default() } else { (features, mates, pieces) };
    if title.is_none() && features.is_empty() {
        return None;
    }
    Some(Job {
        title: title.map_or_else(|| UNTITLED.to_string(), |title| title.value.trim().to_string()),
        unit: bench.unit,
        heritage: heritage.unwrap_or(Heritage::Unknown),
        material,
        make: Make { material: make.material.or(material), ..make },
        load,
        broke,
        outside,
        bed,
        features,
        mates,
        pieces,
    })
}

/// The feature that is meant, by its name; `expected` is what such a name stands for.
pub(super) fn feature_called(name: &Text<'_>, features: &[JobFeature], expected: &str) -> Result<usize, Problem> {
    let typed = name.value.trim();
    features.iter().position(|feature| feature.name.eq_ignore_ascii_case(typed)).ok_or_else(|| {
        let names = || features.iter().map(|feature| feature.name.as_str());
        let message = format!("There is no feature called {} in this job.", quoted(typed));
        let problem = Problem::new(name.at(), message, expected);
        match nearest(typed, names()) {
            Some(meant) => problem.help(format!("did you mean `{meant}`?")),
            None if features.is_empty() => problem,
            None => problem.help(format!("features here: {}", names().collect::<Vec<_>>().join(", "))),
        }
    })
}

/// Scanners go from 50 to 4800 to the inch.
const LEAST_DPI: f64 = 50.0;
const MOST_DPI: f64 = 9_600.0;

fn bed(mut section: Section<'_>, bench: &Bench<'_>, problems: &mut Vec<Problem>) -> Bed {
    let bed = Bed {
        dpi: section.number("dpi", LEAST_DPI, MOST_DPI, problems),
        gauge: section.size("gauge", bench, problems),
    };
    section.finish(problems);
    bed
}

fn make(mut section: Section<'_>, problems: &mut Vec<Problem>) -> Make {
    let usual = Make::default();
    let make = Make {
        material: section.text("material", problems).and_then(|text| or_note(self::material(&text), problems)),
        pieces: section.count("pieces", 0, MOST_PIECES, problems).unwrap_or(usual.pieces),
        spares: section.count("spares", 0, MOST_PIECES, problems).unwrap_or(usual.spares),
        notes: section.text("notes", problems).map(|text| text.value.trim().to_string()),
        serves: section.text("serves", problems).map(|text| text.value.trim().to_string()),
        quoted_elsewhere: section.get("quoted_elsewhere").and_then(|value| elsewhere(&value, problems)),
    };
    if make.pieces + make.spares == 0 {
        problems.push(Problem::new(
            section.at.clone(),
            "No piece and no spare: there is nothing to make.",
            "expected pieces = 1 or more, or spares",
        ));
    }
    section.finish(problems);
    make
}

/// `quoted_elsewhere = 240` for one, or `{ price = 610, pieces = 4 }`.
fn elsewhere(value: &Value<'_>, problems: &mut Vec<Problem>) -> Option<Elsewhere> {
    let least = Money::from_cents(1);
    if !value.is_table() {
        let price = or_note(value.money(least, MOST_MONEY), problems)?;
        return Some(Elsewhere { price, pieces: 1 });
    }
    let mut section = or_note(value.section("a price from elsewhere"), problems)?;
    section.need("price", problems);
    let price = section.money("price", least, MOST_MONEY, problems);
    let pieces = section.count("pieces", 1, MOST_PIECES, problems).unwrap_or(1);
    section.finish(problems);
    Some(Elsewhere { price: price?, pieces })
}

/// `what = "teeth milled", price = 80, each = true, instead_of = "mill"`
fn outside_work(mut section: Section<'_>, problems: &mut Vec<Problem>) -> Option<Outside> {
    let what = section.need_text("what", problems).map(|text| text.value.trim().to_string());
    section.need("price", problems);
    let price = section.money("price", Money::ZERO, MOST_MONEY, problems);
    let each = section.get("each").and_then(|value| or_note(value.yes(), problems)).unwrap_or(false);
    let kinds = MachineKind::ALL.map(|kind| (kind.name(), kind));
    let instead_of = section.text("instead_of", problems).and_then(|text| or_note(text.one_of(kinds), problems));
    section.finish(problems);
    Some(Outside { what: what?, price: price?, each, instead_of })
}

/// The material of this name or one of its aliases.
pub(crate) fn material(text: &Text<'_>) -> Result<&'static Material, Problem> {
    let typed = text.value.trim();
    standards::material(typed).ok_or_else(|| {
        let problem = Problem::new(
            text.at(),
            format!("{} is not in the table of materials.", quoted(typed)),
            "expected a material",
        );
        match nearest(typed, standards::material_names()) {
            Some(meant) => problem.help(format!("did you mean `{meant}`?")),
            None => {
                let names: Vec<&str> = standards::materials().iter().map(|material| material.name.as_str()).collect();
                problem.help(format!("known here: {}", names.join(", ")))
            }
        }
    })
}
