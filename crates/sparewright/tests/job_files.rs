//! Job files: what they come to, what is wrong with bad ones at which characters, and that a printed job reads the same.

use features::kinds;
use part::{FieldValue, Heritage};
use proptest::prelude::*;
use quantity::{Problem, Unit, Value};
use sparewright::job::{self, Job};
use sparewright::problems::{Dress, render};
use sparewright::shop::built_in_instruments;

fn read(file: &str) -> (Option<Job>, Vec<Problem>) {
    job::read(file, kinds(), &built_in_instruments())
}

/// A sector as it is kept in a bench notebook, whole and right.
const SECTOR: &str = r#"
title    = "Feed sector for the apple mill"
units    = "in"              # unit of a bare number
heritage = "inch"
material = "cast iron"       # of the original
make     = { material = "grey cast iron", pieces = 1, spares = 3 }

[[feature]]
name = "teeth"
kind = "toothed rim"
whole = false
readings = [
  "11 teeth present",
  "tip radius 2.300, caliper",
  "chord across 10 pitches at tips 3.012, caliper",
  "span over 4 teeth 1.0843, micrometer",
  'span over 5 teeth 1.3885", mic (dirty)',
  "centre to outside of 0.1728 pin 2.317, caliper",
]

[[feature]]
name = "bore"
kind = "bore"
readings = ["diameter goes 0.8750, not 0.8760"]
fit = "press bush"

[[feature]]
name = "pin holes"
kind = "holes"
match_made = true
count = 2
readings = ["diameter goes 0.098, not 0.099", "from bore centre 1 1/16"]

[[mate]]
of = "Teeth"
name = "pinion"
kind = "toothed rim"
readings = ["12 teeth", "span over 2 teeth 0.4627"]

[[piece]]
number = 2
made = "2031-02-15"

[[piece]]
number = 1
made = 2031-02-14
done = ["Pin Holes"]
went = "fitted"
to = "the museum's mill"
remark = "a little tight at first"
[piece.readings]
teeth = ["span over 4 teeth 1.0838, micrometer", "tip diameter 4.5985, micrometer", "runout 0.0015, clock"]
"pin holes" = ["diameter goes 0.098, not 0.102"]
"#;

#[test]
fn money_in_a_job() {
    use making::price::Elsewhere;
    use quantity::Money;
    let with = |make: &str| {
        let file = SECTOR.replace("spares = 3 }", &format!("spares = 3, {make} }}"));
        let file =
            file.replacen("[[feature]]", "[[outside]]\nwhat = \"hardened\"\nprice = 12.5\neach = true\n[[feature]]", 1);
        let (job, problems) = read(&file);
        assert_eq!(problems, [], "{make}");
        job.expect("a job")
    };
    let one = with("quoted_elsewhere = 240.5");
    assert_eq!(one.make.quoted_elsewhere, Some(Elsewhere { price: Money::from_cents(24050), pieces: 1 }));
    let outside = &one.outside[0];
    assert_eq!((outside.what.as_str(), outside.price, outside.each), ("hardened", Money::from_cents(1250), true));
    let four = with("quoted_elsewhere = { price = 610, pieces = 4 }, serves = \"lifting\"");
    assert_eq!(four.make.quoted_elsewhere, Some(Elsewhere { price: Money::from_cents(61000), pieces: 4 }));
    assert_eq!(four.make.serves.as_deref(), Some("lifting"));
}

#[test]
fn a_job_is_read_whole() {
    let (job, problems) = read(SECTOR);
    assert_eq!(problems, []);
    let job = job.expect("a job");
    assert_eq!(job.title, "Feed sector for the apple mill");
    assert_eq!((job.unit, job.heritage), (Unit::Inch, Heritage::Inch));
    // by its alias, and as it is called in the table
    assert_eq!(job.material.expect("a material").name, "grey cast iron");
    assert_eq!((job.make.pieces, job.make.spares), (1, 3));
    let names: Vec<_> = job.features.iter().map(|feature| (feature.name.as_str(), feature.kind.name())).collect();
    assert_eq!(names, [("teeth", "toothed rim"), ("bore", "bore"), ("pin holes", "holes")]);
    let teeth = &job.features[0].entry;
    assert_eq!(teeth.yes("whole"), Some(false));
    assert_eq!(teeth.lines.len(), 6);
    assert_eq!(teeth.lines[4].value.instrument.as_deref(), Some("micrometer"));
    assert_eq!(&SECTOR[teeth.lines[1].at.clone()], "tip radius 2.300, caliper");
    assert_eq!(job.features[2].entry.count("count"), Some(2));
    assert_eq!((job.mates[0].of, job.mates[0].feature.name.as_str()), (0, "pinion"));
    assert!(matches!(job.features[1].entry.lines[0].value.value(), Some(Value::Between { .. })));
    let [second, first] = job.pieces.as_slice() else { panic!("{:?}", job.pieces) };
    assert_eq!((second.number, second.made.map(|day| day.spoken())), (2, Some("15 February 2031".into())));
    assert!(second.readings.is_empty() && second.went.is_none());
    assert_eq!(
        (first.made.map(|day| day.to_string()).as_deref(), first.went),
        (Some("2031-02-14"), Some(job::Went::Fitted))
    );
    assert_eq!((first.done.as_slice(), first.to.as_deref()), ([2].as_slice(), Some("the museum's mill")));
    let of: Vec<_> = first.readings.iter().map(|of| (of.feature, of.lines.len())).collect();
    assert_eq!(of, [(0, 3), (2, 1)]);
    assert_eq!(first.readings[0].lines[2].value.instrument.as_deref(), Some("indicator"));
    assert_eq!(&SECTOR[first.readings[0].lines[0].at.clone()], "span over 4 teeth 1.0838, micrometer");
}

#[test]
fn what_is_not_said_is_taken_as_usual() {
    let (job, problems) = read(
        "[[feature]]\nkind = \"bore\"\nreadings = [\"diameter 22.23 mm\"]\n[[feature]]\nkind = \"bore\"\nreadings = [\"diameter 7/8\"]",
    );
    assert_eq!(problems, []);
    let job = job.expect("a job");
    assert_eq!((job.title.as_str(), job.heritage), (job::UNTITLED, Heritage::Unknown));
    assert_eq!((job.make.pieces, job.make.spares, job.make.material), (1, 0, None));
    let names: Vec<_> = job.features.iter().map(|feature| feature.name.as_str()).collect();
    assert_eq!(names, ["bore", "bore 2"]);
}

/// A line with a mistake is left out, the others stand, and each says which of the written ones it is.
#[test]
fn what_is_right_is_used_beside_what_is_wrong() {
    let file = SECTOR
        .replace("\"tip radius 2.300, caliper\"", "\"tip radios 2.300, kaliper\"")
        .replace("fit = \"press bush\"", "fit = \"press bush\"\nrust = true");
    let (job, problems) = read(&file);
    let marked: Vec<&str> = problems.iter().map(|problem| &file[problem.at.clone()]).collect();
    assert_eq!(marked, ["radios", "kaliper", "rust"]);
    let job = job.expect("a job");
    assert_eq!(job.features[0].written, [0, 2, 3, 4, 5]);
    assert_eq!(job.features.len(), 3);
}

/// Problems inside strings, across every way of quoting.
#[test]
fn places_inside_strings() {
    for (line, marked) in [
        (r#""diameter 2,301""#, "2,301"),
        (r#""diameter 2.301\" , kaliper""#, "kaliper"),
        (r#""diameter 1\u00bd\", kaliper (\"old\")""#, "kaliper"),
        (r#""diameter \u00be\u00bd""#, r"\u00be\u00bd"),
        (r#"'diameter 2.301", kaliper'"#, "kaliper"),
        ("\"\"\"\n  diameter 2.301, kaliper\"\"\"", "kaliper"),
        ("\"\"\"diameter \\\n     2.301, kaliper\"\"\"", "kaliper"),
        ("'''diameter 2.301, kaliper'''", "kaliper"),
        ("12", "12"),
        ("\"diameter größer\"", "größer"),
    ] {
        let file = format!("units = \"in\"\n[[feature]]\nkind = \"bore\"\nreadings = [\"length 1\", {line}]\n");
        let (_, problems) = read(&file);
        assert_eq!(problems.len(), 1, "{file}: {problems:?}");
        assert_eq!(&file[problems[0].at.clone()], marked, "{file}");
    }
}

const BAD_FILES: &[(&str, &str)] = &[
    ("nothing at all", ""),
    ("a title alone", "title = \"Sector\""),
    (
        "prices from elsewhere and work sent out",
        r#"title = "Sector"
units = "in"
make = { quoted_elsewhere = "240", serves = "" }

[[outside]]
what = "teeth milled"
price = 80.123
instead_of = "mil"

[[outside]]
price = -1
each = "yes"
who = "the mill in town"

[[feature]]
kind = "bore"
readings = ["diameter 1.0"]
"#,
    ),
    (
        "a table from elsewhere",
        r#"title = "Sector"
units = "in"
make = { quoted_elsewhere = { pieces = 0, weeks = 3 } }

[[feature]]
kind = "bore"
readings = ["diameter 1.0"]
"#,
    ),
    (
        "words and types",
        r#"title = 12
units = "inch"
heritage = "imperial"
material = "grey cast irn"
unit = "mm"
make = { pieces = "2", spares = -1, colour = "green" }

[[feature]]
kind = "bore"
name = ""
readings = "diameter 0.875"

[[feature]]
kind = "gear"
readings = ["27 teeth"]

[[feature]]
name = "no kind"

[[feature]]
name = "teeth"
kind = "toothed rim"
whole = "no"
teeth = 27
readings = ["27 teeth", "spam over 4 teeth 1.08", "outside diameter 2,3", 5]

[[feature]]
name = "Teeth"
kind = "holes"
count = 2.5
match_made = 1
readings = ["diameter goes 0.099"]
"#,
    ),
    (
        "no unit",
        "title = \"Sector\"\n[[feature]]\nkind = \"bore\"\nreadings = [\"length 1/2\", \"diameter 22.23 mm\", \"diameter 0.875\"]",
    ),
    (
        "broken grammar, with what is right beside it",
        "title = Sector\nunits = \"in\n[[feature]]\nkind = \"bore\"\nreadings = [\n  \"diameter 0.875, kaliper\"\n  \"length 1\",\n]\nfit = \"press bush\"\nfit = \"running\"\n",
    ),
    (
        "one table for a feature, and nothing to make",
        "units = \"mm\"\nmake = { pieces = 0 }\n[feature]\nkind = \"bore\"\nreadings = [\"diameter 2.5 in\"]",
    ),
    (
        "unknown material",
        "units = \"mm\"\nmaterial = \"unobtainium\"\n[[feature]]\nkind = \"bore\"\nreadings = [\"diameter 22\"]",
    ),
    ("the wrong shape", "feature = \"bore\"\nmake = 3\nunits = [\"mm\"]\n"),
    (
        "pieces",
        r#"units = "in"
[[feature]]
name = "bore"
kind = "bore"
readings = ["diameter 0.875"]

[[feature]]
name = "pin holes"
kind = "holes"
match_made = true
readings = ["diameter 0.098"]

[[piece]]
made = 2031-02-31
went = "sold"
done = ["bore", "pin hole", 3]

[[piece]]
number = 1
made = "in spring"
to = "the mill"
[piece.readings]
boar = ["diameter 0.8752"]
bore = ["diametr 0.8752", "diameter 0.8752, kaliper", "runout 0.001"]
"pin holes" = "diameter 0.098"

[[piece]]
number = 1
colour = "red"

[[piece]]
number = 0
readings = ["diameter 0.8752"]
"#,
    ),
    (
        "a mate of nothing",
        "units = \"mm\"\n[[feature]]\nname = \"teeth\"\nkind = \"toothed rim\"\nreadings = [\"27 teeth\"]\n[[mate]]\nof = \"teath\"\nkind = \"toothed rim\"\nreadings = [\"17 teeth\"]\n[[mate]]\nkind = \"toothed rim\"\nreadings = []\n",
    ),
];

#[test]
fn bad_files() {
    let mut out = String::new();
    for (what, file) in BAD_FILES {
        let (job, problems) = read(file);
        let features = job.map_or("no job".to_string(), |job| format!("a job with {} features", job.features.len()));
        out += &format!("== {what}: {features}\n\n{}\n", render("job.toml", file, &problems, Dress::Plain));
    }
    insta::assert_snapshot!(out);
}

fn all_features(job: &Job) -> impl Iterator<Item = &job::JobFeature> {
    job.features.iter().chain(job.mates.iter().map(|mate| &mate.feature))
}

fn same(a: &Job, b: &Job) -> bool {
    let whole = a.title == b.title
        && a.unit == b.unit
        && a.heritage == b.heritage
        && a.material == b.material
        && a.make == b.make
        && a.outside == b.outside
        && a.pieces.len() == b.pieces.len()
        && a.pieces.iter().zip(&b.pieces).all(|(a, b)| same_piece(a, b));
    whole
        && a.features.len() == b.features.len()
        && a.mates.iter().map(|mate| mate.of).eq(b.mates.iter().map(|mate| mate.of))
        && all_features(a).zip(all_features(b)).all(|(a, b)| {
            let fields = |job: &job::JobFeature| {
                job.entry.fields.iter().map(|(name, field)| (*name, field_of(&field.value))).collect::<Vec<_>>()
            };
            let lines =
                |job: &job::JobFeature| job.entry.lines.iter().map(|line| line.value.clone()).collect::<Vec<_>>();
            a.name == b.name && a.kind.name() == b.kind.name() && fields(a) == fields(b) && lines(a) == lines(b)
        })
}

fn same_piece(a: &job::Piece, b: &job::Piece) -> bool {
    let lines = |piece: &job::Piece| {
        let of =
            |of: &job::PieceReadings| (of.feature, of.lines.iter().map(|line| line.value.clone()).collect::<Vec<_>>());
        piece.readings.iter().map(of).collect::<Vec<_>>()
    };
    (a.number, a.made, &a.done, a.went, &a.to, &a.remark) == (b.number, b.made, &b.done, b.went, &b.to, &b.remark)
        && lines(a) == lines(b)
}

/// A field without the places of its lines.
fn field_of(value: &FieldValue) -> String {
    match value {
        FieldValue::Lines(lines) => lines.iter().map(|line| line.value.as_str()).collect::<Vec<_>>().join("\n"),
        other => format!("{other:?}"),
    }
}

#[test]
fn a_printed_job_reads_the_same() {
    let job = read(SECTOR).0.expect("a job");
    let printed = job::print(&job);
    let (again, problems) = read(&printed);
    assert_eq!(problems, [], "{printed}");
    let again = again.expect("a job");
    assert!(same(&job, &again), "{printed}");
    assert_eq!(job::print(&again), printed);
}

/// A sector with all that is known of its load, in front of its features.
fn loaded(head: &str) -> String {
    SECTOR.replacen("[[feature]]", &format!("{head}\n[[feature]]"), 1)
}

#[test]
fn a_load_in_the_units_of_the_bench() {
    // 550 foot-pounds a second are a horsepower; 33 000 a minute at one turn a minute turn with 33 000/2π foot-pounds
    let foot_pound = 1.355_817_948;
    for (head, torque, speed) in [
        ("[load]\ntorque = \"12 N m\"", 12.0, None),
        ("[load]\ntorque = \"12Nm\"\nspeed = 60", 12.0, Some(60.0)),
        ("[load]\ntorque = \"9 lbf·ft\"\nspeed = \"30 rpm\"", 9.0 * foot_pound, Some(30.0)),
        ("[load]\ntorque = \"108 in-lb\"", 9.0 * foot_pound, None),
        ("[load]\ntorque = \"2.5 kgf m\"", 2.5 * 9.80665, None),
        ("[load]\npower = \"1 hp\"\nspeed = 1", 33_000.0 / std::f64::consts::TAU * foot_pound, Some(1.0)),
        ("[load]\npower = \"500 W\"\nspeed = 1800.0", 2.6526, Some(1800.0)),
    ] {
        let (job, problems) = read(&loaded(head));
        assert_eq!(problems, [], "{head}");
        let job = job.expect("a job");
        let load = job.load.unwrap_or_else(|| panic!("{head}"));
        assert!((load.torque_nm / torque - 1.0).abs() < 2e-5, "{head}: {}", load.torque_nm);
        assert_eq!(load.speed_rpm, speed, "{head}");
        let again = read(&job::print(&job)).0.expect("a job");
        assert_eq!(again.load, job.load, "{head}");
    }
}

#[test]
fn a_load_that_cannot_be_read_is_pointed_at() {
    for (head, marked, message) in [
        ("[load]\ntorque = 12", "12", "has no unit"),
        ("[load]\ntorque = \"12 bar\"", "\"12 bar\"", "a unit that is not known here"),
        ("[load]\ntorque = \"much\"", "\"much\"", "does not begin with a number"),
        ("[load]\ntorque = \"0 N m\"", "\"0 N m\"", "out of range"),
        ("[load]\ntorque = \"1 N m\"\nspeed = \"60 mph\"", "\"60 mph\"", "a unit that is not known here"),
        ("[load]\nspeed = 60", "[load]", "The load is not told"),
        ("[load]\npower = \"1 kW\"", "[load]", "The load is not told"),
        ("[load]\ntorque = \"1 N m\"\npower = \"1 kW\"\nspeed = 60", "[load]", "Both torque and power"),
        ("[load]\ntork = \"1 N m\"\ntorque = \"1 N m\"", "tork", "has no `tork`"),
        ("[load]\ntorque = [1]", "[1]", "does not fit"),
        ("broke = \"fatique\"", "fatique", "no way of breaking"),
    ] {
        let file = if head.starts_with("broke") { format!("{head}\n{SECTOR}") } else { loaded(head) };
        let (job, problems) = read(&file);
        let [problem] = problems.as_slice() else { panic!("{head}: {problems:?}") };
        assert!(problem.message.contains(message), "{head}: {}", problem.message);
        assert_eq!(&file[problem.at.clone()], marked, "{head}");
        assert!(job.is_some_and(|job| job.broke.is_none()), "{head}");
    }
}

#[test]
fn how_it_broke_and_what_the_mate_is_made_of() {
    let file =
        format!("broke = \"Overload\"\n{}", SECTOR.replace("of = \"Teeth\"", "of = \"Teeth\"\nmaterial = \"steel\""));
    let (job, problems) = read(&file);
    assert_eq!(problems, []);
    let told = |job: &Job| {
        (job.broke.map(|sign| sign.id.clone()), job.mates[0].material.map(|material| material.name.clone()))
    };
    let job = job.expect("a job");
    assert_eq!(told(&job), (Some("overload".into()), Some("mild steel".into())));
    let again = read(&job::print(&job)).0.expect("a job");
    assert_eq!(told(&again), told(&job));
}

fn sentence() -> impl Strategy<Value = String> {
    prop_oneof![3 => "[A-Za-z0-9 \"'\\\\½é.,#\t\n-]{0,30}", 1 => any::<String>()]
}

fn toml_string(text: &str) -> String {
    let escaped: String = text.chars().map(|c| format!("\\U{:08X}", u32::from(c))).collect();
    format!("\"{escaped}\"")
}

prop_compose! {
    fn any_job()(
        title in sentence(), notes in sentence(), names in proptest::collection::vec(sentence(), 1..5), remark in sentence(),
        metric in any::<bool>(), heritage in 0..3usize, material in 0..standards::materials().len(), made_of in proptest::option::of(0..standards::materials().len()),
        pieces in 1u32..20, spares in 0u32..20, size in 2000u32..9000, matched in any::<bool>(), count in 1u32..8,
        (made, went, numbers) in (proptest::option::of(1u32..29), proptest::option::of(0..3usize), proptest::collection::btree_set(1u32..1000, 0..4)),
        (there, cents, outside) in (proptest::option::of(0u32..2), 1u32..10_000_000, 0usize..3),
    ) -> String {
        let (units, heritage) = (["in", "mm"][usize::from(metric)], ["inch", "metric", "unknown"][heritage]);
        let known = standards::materials();
        let mut file = format!("title = {}\nunits = \"{units}\"\nheritage = \"{heritage}\"\nmaterial = \"{}\"\n", toml_string(&title), known[material].name);
        file += &format!("[make]\npieces = {pieces}\nspares = {spares}\nnotes = {}\n", toml_string(&notes));
        if let Some(made_of) = made_of {
            file += &format!("material = \"{}\"\n", known[made_of].name);
        }
        let money = format!("{}.{:02}", cents / 100, cents % 100);
        match there {
            Some(0) => file += &format!("quoted_elsewhere = {money}\nserves = {}\n", toml_string(&remark)),
            Some(_) => file += &format!("quoted_elsewhere = {{ price = {money}, pieces = {pieces} }}\n"),
            None => {}
        }
        for index in 0..outside {
            let what = toml_string(&format!("{index} {notes}"));
            file += &format!("[[outside]]\nwhat = {what}\nprice = {money}\neach = {matched}\ninstead_of = \"mill\"\n");
        }
        for (index, name) in names.iter().enumerate() {
            let line = toml_string(&format!("diameter 0.{size}, caliper, worn ({remark})"));
            let note = toml_string(&format!("note {remark}"));
            file += &format!("[[feature]]\nname = {}\n", toml_string(&format!("{index} {name}")));
            file += &match index % 2 {
                0 => format!("kind = \"bore\"\nreadings = [{line}, \"thickness 1/2\"]\n"),
                _ => format!("kind = \"holes\"\ncount = {count}\nmatch_made = {matched}\nreadings = [{note}, {line}, \"from bore centre 2.{size}\"]\n"),
            };
        }
        for number in numbers {
            file += &format!("[[piece]]\nnumber = {number}\nremark = {}\n", toml_string(&notes));
            file += &made.map_or_else(String::new, |day| format!("made = 2031-02-{day:02}\n"));
            file += &went.map_or_else(String::new, |went| {
                format!("went = \"{}\"\nto = {}\n", job::Went::ALL[went].word(), toml_string(&remark))
            });
            let holes = names.iter().enumerate().find(|(index, _)| index % 2 == 1 && matched);
            file += &holes.map_or_else(String::new, |(index, name)| {
                format!("done = [{}]\n", toml_string(&format!("{index} {name}")))
            });
            let bore = toml_string(&format!("0 {}", names[0]));
            let line = toml_string(&format!("diameter 0.{size} ({remark})"));
            file += &format!("[piece.readings]\n{bore} = [{line}]\n");
        }
        file
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_job_printed_reads_the_same(file in any_job()) {
        // an empty title or note is a problem, and left out; the rest must still come through
        let Some(job) = read(&file).0 else { return Ok(()) };
        let printed = job::print(&job);
        let (again, problems) = read(&printed);
        prop_assert!(problems.is_empty(), "{}\n{:?}", printed, problems);
        let again = again.expect("a job");
        prop_assert!(same(&job, &again), "{}", printed);
        prop_assert_eq!(job::print(&again), printed);
    }
}
