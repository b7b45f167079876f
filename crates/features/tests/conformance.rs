//! What every kind must satisfy, over the list of kinds unasked, on the designs that its own cases lead to.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a case that cannot be read is a failed test")]

mod shared;

use std::collections::BTreeSet;

use features::kinds;
use geometry::outline::Outline;
use part::{
    Characteristic, Cut, Design, Dimension, Entry, Extent, Feature, Free, Gauging, Kind, MadeTo, Probe, Shape, Surface,
    Work,
};
use quantity::{Length, Line, Slot, Unit, Value, print, read_angle, read_size};
use shared::{Case, bench, cases, first_design, forms, instruments, pins, read};

/// A right case, with the design that its readings lead to.
struct Sample {
    case: Case,
    entry: Entry,
    feature: Box<dyn Feature>,
    design: Box<dyn Design>,
}

fn samples(kind: &'static dyn Kind) -> Vec<Sample> {
    let right = cases(kind).into_iter().filter(Case::is_sample);
    let samples: Vec<Sample> = right
        .map(|case| {
            let entry = case.written().entry;
            let (feature, problems) = read(kind, &entry, case.unit);
            assert_eq!(problems, [], "{}", case.name);
            let feature = feature.unwrap();
            let (_, design) = first_design(feature.as_ref(), &case.circumstances())
                .unwrap_or_else(|why| panic!("{}: {why}", case.name));
            Sample { case, entry, feature, design }
        })
        .collect();
    assert!(samples.len() >= 3, "{} has {} right cases", kind.name(), samples.len());
    samples
}

fn all_samples() -> impl Iterator<Item = Sample> {
    kinds().iter().flat_map(|kind| samples(*kind))
}

#[test]
fn written_then_read_is_identical() {
    let instruments = instruments();
    for case in shared::all_cases() {
        let entry = case.written().entry;
        let forms = forms(case.kind);
        for line in entry.lines.iter().map(|placed| &placed.value) {
            let strict = line.to_string();
            // strict lines say their units, so the unit of the bench does not matter
            for unit in [Unit::Inch, Unit::Millimetre] {
                let again = Line::read(&strict, &forms, &bench(unit, &instruments));
                assert_eq!(again.as_ref(), Ok(line), "{}: {} became {strict}", case.name, line.text);
            }
        }
        if let (Some(feature), _) = read(case.kind, &entry, case.unit) {
            let kept = feature.entry();
            assert_eq!((&kept.name, &kept.kind), (&entry.name, &entry.kind), "{}", case.name);
            assert_eq!(shared::fields(&kept), shared::fields(&entry), "{}", case.name);
            assert_eq!(kept.lines, entry.lines, "{}", case.name);
        }
    }
}

/// Every form a line can have stands in a case, and every field.
#[test]
fn every_form_and_field_is_used_in_a_case() {
    for kind in kinds() {
        let entries: Vec<Entry> = cases(*kind).iter().map(|case| case.written().entry).collect();
        let lines = || entries.iter().flat_map(|entry| &entry.lines);
        for form in kind.forms() {
            assert!(lines().any(|line| line.value.pattern == form), "{}: no case has `{}`", kind.name(), form.spoken());
        }
        for field in kind.fields() {
            let used = entries.iter().any(|entry| entry.fields.contains_key(field.name));
            assert!(used, "{}: no case has the field {}", kind.name(), field.name);
        }
    }
}

#[test]
fn help_explains_every_form_and_field() {
    for kind in kinds() {
        let help = kind.help();
        assert!(help.starts_with("# ") && help.len() > 200, "{}", kind.name());
        for form in kind.forms() {
            let words = leading_words(form.0);
            assert!(help.contains(&words), "{}: the help does not explain `{words}`", kind.name());
        }
        for field in kind.fields() {
            let named = format!("`{}", field.name);
            assert!(help.contains(&named), "{}: the help does not explain the field {}", kind.name(), field.name);
            assert!(!field.about.is_empty());
        }
    }
}

/// The first run of words of a form: `{count} teeth broken [off]` is known by `teeth broken`.
fn leading_words(form: &str) -> String {
    let slot = |item: &&str| item.starts_with('{');
    let items = form.split(' ').skip_while(slot).take_while(|item| !slot(item) && !item.starts_with('['));
    items.map(|item| item.split('|').next().unwrap_or(item)).collect::<Vec<_>>().join(" ")
}

#[test]
fn outlines_close_and_do_not_cross_themselves() {
    for sample in all_samples() {
        for shape in sample.design.shapes() {
            let (outline, closed): (&Outline, bool) = match &shape {
                Shape::Boundary(outline) | Shape::Hole(outline) => (outline, true),
                Shape::Piece(outline) => (outline, false),
            };
            let name = &sample.case.name;
            assert!(outline.is_chain(), "{name}: the outline is broken");
            assert!(!outline.crosses_itself(), "{name}: the outline crosses itself");
            assert_eq!(outline.is_closed(), closed, "{name}");
            assert!(outline.clone().close().area().abs() > 1e-3, "{name}: the outline encloses nothing");
        }
        assert!(!sample.design.drawn(sample.case.unit).shapes.is_empty() || sample.design.shapes().is_empty());
    }
}

/// Readings of what is not in the outline. All others must have a virtual instrument.
const OFF_THE_OUTLINE: &[(&str, &str)] = &[
    ("{count} teeth", "a count"),
    ("{count} teeth|tooth present", "a count"),
    ("{count} teeth|tooth broken [off]", "a count"),
    ("centre|center distance {reading} with [a] mate of {count} teeth", "the mate is another part"),
    ("face width {reading}", "across the plane of the outline"),
    ("length {reading}", "across the plane of the outline"),
    ("thickness {reading}", "across the plane of the outline"),
    ("helix angle {angle}", "across the plane of the outline"),
    ("meshes with {pitch}", "a trial"),
    ("does not mesh with {pitch}", "a trial"),
    ("pitch {reading}", "a thread is drawn by convention"),
    ("{count} threads per inch", "a count"),
    ("screw diameter {reading}", "the screw is another part"),
    ("mate diameter {reading}", "the mate is another part"),
    ("mate inside diameter {reading}", "the mate is another part"),
    ("mate outside diameter {reading}", "the mate is another part"),
    ("boss diameter {reading}", "metal beyond the feature"),
    ("seat length {reading}", "across the plane of the outline"),
    ("bush inside diameter {reading}", "the bush is another part"),
    ("note {text}", "not measured"),
];

/// Drawn curves keep this close to true ones, as the toothed rim has it (its `DRAWN`).
const DRAWN: f64 = 0.002;
/// Beyond what a drawing's chords explain. Where arcs and lines are exact, this is all.
const EXACT: f64 = 1e-4;

/// What the drawn outline is made to, in the names of the free values. A rim is drawn as it is to be made, its teeth thinned
/// for backlash by 0.02 of the module; whatever else could be said of an original, the drawing is the design itself.
fn as_drawn(name: &str, design: &dyn Design) -> f64 {
    match name {
        "thinning" => 0.02 * number(design, "module_mm"),
        "profile shift" => number(design, "profile_shift"),
        "helix" => number(design, "helix_deg").to_radians(),
        "tip loss" | "root" | "eccentricity" | "slack of centres" => 0.0,
        "as it was made" | "eased" | "worn" | "as it was drilled" | "opened" | "screw under size" => 0.0,
        other => panic!("what is `{other}` in a drawing?"),
    }
}

fn number(design: &dyn Design, field: &str) -> f64 {
    design.record()[field].as_f64().unwrap()
}

/// What it was made to, unworn: as drawn, but within the limits of its fit.
fn as_new(free: &Free, design: &dyn Design) -> f64 {
    match free.name {
        "as it was made" => free.start,
        name => as_drawn(name, design),
    }
}

/// Predictions, for the readings that have one, with these free values of the candidate that stands for the design.
fn predicted(sample: &Sample, value: impl Fn(&Free, &dyn Design) -> f64) -> Vec<Option<(f64, Dimension)>> {
    let mut out = vec![None; sample.entry.lines.len()];
    let circumstances = sample.case.circumstances();
    let Ok(recovery) = sample.feature.recover(&circumstances) else { return out };
    let first = findings::weigh(recovery.as_ref()).unwrap().findings[0].clone();
    let design = recovery.design(first.candidate, &first.free);
    let free = recovery.candidates()[first.candidate].free.iter();
    let free: Vec<f64> = free.map(|free| value(free, design.as_ref())).collect();
    let observations = recovery.observations();
    let mut values = vec![f64::NAN; observations.len()];
    recovery.predict(first.candidate, &free, &mut values);
    for (observation, value) in observations.iter().zip(values) {
        out[observation.reading] = Some((value, observation.dimension));
    }
    out
}

/// Each prediction equals what the virtual instrument measures on the drawn outline; and what is not predicted but taken as
/// read stands in the outline as it was read.
#[test]
fn predictions_are_what_instruments_measure() {
    let mut wrong = Vec::new();
    let mut compared = BTreeSet::new();
    for sample in all_samples() {
        let (name, design) = (&sample.case.name, &sample.design);
        let shapes = design.shapes();
        if shapes.is_empty() {
            // holes that only the mating part can place
            continue;
        }
        if design.seats().iter().any(|seat| seat.ways.first().is_some_and(|way| way.to == MadeTo::Mate)) {
            // drawn as it is to be made, to the mate, and not as it was when it was read
            continue;
        }
        for (placed, predicted) in
            sample.entry.lines.iter().zip(predicted(&sample, |free, design| as_drawn(free.name, design)))
        {
            let line = &placed.value;
            let off = OFF_THE_OUTLINE.iter().any(|(form, _)| *form == line.pattern.0);
            let Some(probe) = design.probe(line) else {
                // what is laid square to leaning teeth lies across the plane of the outline
                let off = off || !design.is_straight();
                assert!(off, "{name}: nothing measures `{line}`");
                continue;
            };
            assert!(!off, "{name}: `{line}` has an instrument after all");
            let expected = predicted.map_or_else(|| as_read(line), |(value, _)| value);
            match probe.measure(&shapes) {
                Some(measured) if (measured - expected).abs() <= allowed(probe) => {
                    compared.insert((sample.case.kind.name(), line.pattern.0));
                }
                Some(measured) => wrong.push(format!("{name}: `{line}` shows {measured:.5}, predicted {expected:.5}")),
                // the drawing is as large as the part: a reading that cannot be taken on it could not be taken at all
                None => wrong.push(format!("{name}: `{line}` cannot be taken")),
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    for kind in kinds() {
        for form in kind.forms() {
            let off = OFF_THE_OUTLINE.iter().any(|(off, _)| *off == form.0);
            assert!(off || compared.contains(&(kind.name(), form.0)), "{}: {}", kind.name(), form.spoken());
        }
    }
}

fn allowed(probe: Probe) -> f64 {
    EXACT + probe.lever() * DRAWN
}

fn as_read(line: &Line) -> f64 {
    match line.value() {
        Some(Value::Plain { size, .. }) => size.length.mm(),
        Some(Value::Between { goes, not }) => (goes.length + not.length).mm() / 2.0,
        Some(Value::Turned { angle, .. }) => angle.angle.radians(),
        None => f64::NAN,
    }
}

/// What the joint is reckoned from is what is drawn, cut and checked: of the way taken, each half that is made stands in a
/// characteristic with the same limits, and whatever was read stands as it was read.
#[test]
fn seats_have_the_limits_that_are_checked() {
    let mut seats = 0;
    for sample in all_samples() {
        let name = &sample.case.name;
        let checked = sample.design.characteristics(Unit::Millimetre);
        for seat in sample.design.seats() {
            seats += 1;
            let way = seat.ways.first().unwrap();
            for (member, extent) in [(&seat.hole, way.hole), (&seat.shaft, way.shaft)] {
                match extent {
                    Extent::Within { smallest, largest } if member.surface != Surface::Used => {
                        let same = checked.iter().any(|c| (c.lower, c.upper) == (Some(smallest), Some(largest)));
                        assert!(same, "{name}: {smallest} to {largest} is not checked");
                    }
                    Extent::Within { smallest, largest } => assert!(smallest < largest, "{name}"),
                    Extent::Read(read) => {
                        let lines = || sample.entry.lines.iter();
                        let as_typed = lines().any(|line| (as_read(&line.value) - read.value.mm()).abs() < 1e-9);
                        assert!(as_typed && read.sigma > Length::ZERO, "{name}: {}", read.value);
                    }
                }
            }
            assert!(way.clearance().least < way.clearance().most, "{name}");
            let to: BTreeSet<&str> = seat.ways.iter().map(|way| way.to.name()).collect();
            assert_eq!(to.len(), seat.ways.len(), "{name}: two ways to one thing");
        }
    }
    assert!(seats >= 10, "{seats}");
}

/// Measured on the design itself, without wear and finely, the design is found again, first and alone.
#[test]
fn designs_are_recovered_from_their_own_readings() {
    let mut wrong = Vec::new();
    for sample in all_samples() {
        let circumstances = sample.case.circumstances();
        if sample.feature.given(&circumstances).is_some() {
            continue;
        }
        let mut entry = sample.entry.clone();
        for (placed, predicted) in entry.lines.iter_mut().zip(predicted(&sample, as_new)) {
            // a count stays what it was counted
            let reading = placed.value.slots.iter_mut().find(|slot| matches!(slot, Slot::Value(_)));
            if let (Some((value, dimension)), Some(reading)) = (predicted, reading) {
                *reading = Slot::Value(finely(value, dimension));
                placed.value.worn = false;
            }
        }
        let (feature, _) = read(sample.case.kind, &entry, sample.case.unit);
        let feature = feature.unwrap();
        let recovery = feature.recover(&circumstances).unwrap();
        let weighed = findings::weigh(recovery.as_ref()).unwrap();
        let named = |finding: &findings::Finding| identity(recovery.design(finding.candidate, &finding.free).as_ref());
        let (expected, found) = (identity(sample.design.as_ref()), named(&weighed.findings[0]));
        let same = weighed.findings.iter().filter(|finding| named(finding) == expected);
        let probability: f64 = same.map(|finding| finding.probability).sum();
        let again = recovery.design(weighed.findings[0].candidate, &weighed.findings[0].free);
        if let (Some(was), Some(is)) = (shift(sample.design.as_ref()), shift(again.as_ref()))
            && (was - is).abs() > SHIFT_KNOWN
        {
            wrong.push(format!("{}: profile shift {was} came back as {is}", sample.case.name));
        }
        if expected != found || probability <= 0.9 {
            wrong.push(format!("{}: {expected} came back as {found}, {probability:.3}", sample.case.name));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Shift, thinning and worn tips can stand for one another; to this part of a module a shift is told.
const SHIFT_KNOWN: f64 = 0.05;

fn shift(design: &dyn Design) -> Option<f64> {
    design.record().get("profile_shift")?.as_f64()
}

/// What a design is: its names and counts. Teeth that differ in nothing but how deep their roots were cut are the same
/// here, since old makers' roots tell little; stub teeth are others.
fn identity(design: &dyn Design) -> String {
    let record = design.record();
    let fields = ["teeth", "size", "pressure_angle_deg", "name", "thread", "count"];
    let mut out: Vec<String> =
        fields.iter().filter_map(|field| Some(format!("{field} {}", record.get(*field)?))).collect();
    if let Some(rack) = record.get("rack").and_then(serde_json::Value::as_str) {
        out.push((if rack.contains("stub") { "stub" } else { "full" }).into());
    }
    out.join(", ")
}

/// A reading good to two micrometres, or to a twentieth of a degree.
fn finely(value: f64, dimension: Dimension) -> Value {
    let instruments = instruments();
    let bench = bench(Unit::Millimetre, &instruments);
    match dimension {
        Dimension::Length => Value::Plain {
            size: read_size(&format!("{value:.4} mm"), &bench).unwrap(),
            half_width: Some(read_size("0.004 mm", &bench).unwrap()),
        },
        Dimension::Angle => Value::Turned {
            angle: read_angle(&format!("{:.3}", value.to_degrees())).unwrap(),
            half_width: Some(read_angle("0.1").unwrap()),
        },
    }
}

/// Characteristics that are not in the outline, and why.
const CHARACTERISTICS_OFF_THE_OUTLINE: &[(&str, &str)] = &[
    ("bush outside diameter", "the bush is another part"),
    ("mate inside diameter {reading}", "the mate is another part"),
    ("mate outside diameter {reading}", "the mate is another part"),
    ("boss diameter {reading}", "metal beyond the feature"),
    ("seat length {reading}", "across the plane of the outline"),
    ("bush inside diameter", "the bush is another part"),
    ("length", "across the plane of the outline"),
    ("runout", "the outline is drawn true"),
    ("outline", "all of it, on the template"),
];

/// Each thing measured on the new part stands, in the drawing of the new part, at the size it is stated for. A rim's teeth
/// are drawn as thick as their upper limit allows, which is where span and pins have their nominal size.
#[test]
fn characteristics_hold_on_the_drawn_outline() {
    let mut wrong = Vec::new();
    for sample in all_samples() {
        let shapes = sample.design.shapes();
        if shapes.is_empty() {
            // holes that only the mating part can place
            continue;
        }
        for characteristic in sample.design.characteristics(sample.case.unit) {
            if CHARACTERISTICS_OFF_THE_OUTLINE.iter().any(|(name, _)| *name == characteristic.name) {
                continue;
            }
            let probe = probe_of(&sample, &characteristic);
            if probe.is_none() && !sample.design.is_straight() {
                // laid square to leaning teeth, across the plane of the outline
                continue;
            }
            let Some(probe) = probe else {
                wrong.push(format!("{}: nothing measures `{}`", sample.case.name, characteristic.name));
                continue;
            };
            let nominal = characteristic.nominal.mm();
            let measured = probe.measure(&shapes).unwrap_or(f64::NAN);
            if (measured - nominal).abs() > allowed(probe) || measured.is_nan() {
                let name = &characteristic.name;
                wrong.push(format!("{}: {name} is {nominal:.5}, drawn {measured:.5}", sample.case.name));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// What is measured on the new part is said in the words of a reading, with the feature's name before it here and there.
fn probe_of(sample: &Sample, characteristic: &Characteristic) -> Option<Probe> {
    let name = match characteristic.name.as_str() {
        "tip diameter" => "outside diameter",
        "bore diameter" | "hole diameter" | "thread core" => "diameter",
        "hole from bore centre" => "from bore centre",
        other => other,
    };
    let instruments = instruments();
    let text = format!("{name} {}", print::length(characteristic.nominal, sample.case.unit, 3));
    let line = Line::read(&text, &forms(sample.case.kind), &bench(sample.case.unit, &instruments)).ok()?;
    sample.design.probe(&line)
}

#[test]
fn characteristics_cite_a_source_and_an_instrument_a_shop_can_own() {
    let owned = instruments();
    let pins = pins();
    let mut checked = 0;
    for sample in all_samples() {
        let characteristics = sample.design.characteristics(sample.case.unit);
        assert!(!characteristics.is_empty(), "{}: nothing is measured on the new part", sample.case.name);
        for characteristic in characteristics {
            let says = format!("{}: {}", sample.case.name, characteristic.name);
            assert!(!characteristic.source.trim().is_empty(), "{says}: no source");
            let (lower, upper) = (characteristic.lower, characteristic.upper);
            assert!(lower.is_some() || upper.is_some(), "{says}: no limit");
            // limits of a press fit, or of teeth fed deeper for backlash, lie beside the nominal size, but near it
            for limit in lower.into_iter().chain(upper) {
                let off = (limit - characteristic.nominal).abs();
                let near = Length::from_mm(0.5).max(characteristic.nominal * 0.04);
                assert!(off <= near, "{says}: a limit {} mm off", off.mm());
            }
            if let (Some(lower), Some(upper)) = (lower, upper) {
                assert!(upper - lower > Length::from_micrometres(1.0), "{says}: no room between the limits");
            }
            let needs = match characteristic.gauging {
                Gauging::Caliper => Some("caliper"),
                Gauging::Micrometer => Some("micrometer"),
                Gauging::DepthMicrometer => Some("depth micrometer"),
                Gauging::PlainGauges => Some("pin gauge"),
                Gauging::Rule => Some("rule"),
                Gauging::Indicator => Some("indicator"),
                Gauging::OverPins { pin } => {
                    assert!(pins.contains(&pin), "{says}: a pin of {} mm is not owned", pin.mm());
                    Some("micrometer")
                }
                // printed with the pack, and brought with the job
                Gauging::Template | Gauging::Mate => None,
            };
            let found = needs.is_none_or(|name| owned.iter().any(|instrument| instrument.name == name));
            assert!(found, "{says}: {needs:?} is not known");
            checked += 1;
        }
    }
    assert!(checked > 40, "{checked}");
}

/// Each thing that is measured on a new part can be written down: a line in the words of its name, or of its name without the
/// first word, is read as just that characteristic.
#[test]
fn characteristics_can_be_read_on_a_new_piece() {
    let instruments = instruments();
    let mut wrong = Vec::new();
    for sample in all_samples() {
        let unit = sample.case.unit;
        let mut forms = forms(sample.case.kind);
        forms.extend(sample.case.kind.piece_forms());
        for characteristic in sample.design.characteristics(unit) {
            if matches!(characteristic.gauging, Gauging::Template) {
                continue;
            }
            let name = characteristic.name.as_str();
            let shown = print::length(characteristic.nominal.max(Length::from_mm(0.01)), unit, 3);
            let read = |words: &str| {
                let line = Line::read(&format!("{words} {shown}"), &forms, &bench(unit, &instruments)).ok()?;
                sample.design.characteristic_read(&line, unit)
            };
            let words = [Some(name), name.split_once(' ').map(|(_, rest)| rest)];
            if words.into_iter().flatten().find_map(read).is_none_or(|found| found.name != characteristic.name) {
                wrong.push(format!("{}: {name}", sample.case.name));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn cuts_can_be_made() {
    for sample in all_samples() {
        let cuts = sample.design.cuts();
        assert!(!cuts.is_empty(), "{}: nothing is cut", sample.case.name);
        for cut in cuts {
            assert_eq!(cut.feature, sample.entry.name, "{}", sample.case.name);
            let fault = lengths(&cut).into_iter().find(|(_, length)| !(length.mm() > 0.0 && length.mm().is_finite()));
            assert_eq!(fault, None, "{}", sample.case.name);
            let crossed = limits(&cut).into_iter().find(|limits| limits.lower >= limits.upper);
            assert_eq!(crossed, None, "{}", sample.case.name);
        }
    }
}

/// The lengths of a cut that must be there, and those that may be.
fn lengths(cut: &Cut) -> Vec<(&'static str, Length)> {
    let named = |name, length: Option<Length>| length.map(|length| (name, length));
    let mut out = match &cut.work {
        Work::Turn { diameter, .. } => vec![("diameter", *diameter)],
        Work::Teeth(teeth) => vec![
            ("module", teeth.module),
            ("blank", teeth.blank_diameter),
            ("root", teeth.root_diameter),
            ("depth", teeth.depth),
            ("blank above root", teeth.blank_diameter - teeth.root_diameter),
        ],
        Work::Hole(hole) => vec![("diameter", hole.diameter)],
        Work::Bush(bush) => {
            vec![("outside", bush.outside), ("inside", bush.inside), ("wall", bush.outside - bush.inside)]
        }
        Work::Keyway(keyway) => vec![("bore", keyway.bore), ("width", keyway.width), ("depth", keyway.depth)],
        Work::Profile { length } => vec![("length", *length)],
    };
    out.extend(match &cut.work {
        Work::Teeth(teeth) => named("face width", teeth.face_width),
        Work::Hole(hole) => named("depth", hole.depth),
        Work::Bush(bush) => named("length", bush.length),
        Work::Turn { length, .. } => named("length", *length),
        Work::Keyway(_) | Work::Profile { .. } => None,
    });
    out
}

fn limits(cut: &Cut) -> Vec<standards::fits::Limits> {
    match &cut.work {
        Work::Turn { limits, .. } => vec![*limits],
        Work::Teeth(teeth) => vec![teeth.blank_limits],
        Work::Hole(hole) => vec![hole.limits],
        Work::Bush(bush) => vec![bush.outside_limits, bush.inside_limits],
        Work::Keyway(keyway) => vec![keyway.width_limits, keyway.depth_limits],
        Work::Profile { .. } => Vec::new(),
    }
}

/// What a reader sees: sentences that can stand alone, a data block without empty lines, in either unit.
#[test]
fn sentences_are_whole() {
    for sample in all_samples() {
        for unit in [Unit::Inch, Unit::Millimetre] {
            let name = &sample.case.name;
            let sentence = sample.design.sentence(unit);
            assert!(!sentence.is_empty() && !sentence.ends_with('.'), "{name}: {sentence}");
            for remark in sample.design.remarks(unit) {
                assert!(remark.ends_with('.') && !remark.contains("  "), "{name}: {remark}");
            }
            for line in sample.design.data(unit) {
                assert!(!line.name.trim().is_empty() && !line.value.trim().is_empty(), "{name}: {line:?}");
            }
            assert!(!sentence.contains("NaN") && !sentence.contains("inf"), "{name}: {sentence}");
        }
    }
}
