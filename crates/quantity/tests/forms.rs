//! Every way of writing that a bench notebook may use, and the number it must come to.

mod shared;

use quantity::{Length, Pitch, PitchSystem, Size, SizeForm, Slot, Unit, Value, read_angle, read_size};
use shared::{bench, read};

/// Conversions are by the exact inch, 25.4 mm (ISO 80000-3); drills by ASME B94.11M.
const SIZES: &[(&str, f64)] = &[
    ("2.301", 58.4454),
    ("2.301 in", 58.4454),
    ("2.301in", 58.4454),
    ("2.301 inches", 58.4454),
    ("2.301 in.", 58.4454),
    ("2.301\"", 58.4454),
    ("2.301″", 58.4454),
    ("2.301''", 58.4454),
    (".875", 22.225),
    ("58.45 mm", 58.45),
    ("58.45mm", 58.45),
    ("58.45 MM", 58.45),
    ("1 3/8", 34.925),
    ("1-3/8", 34.925),
    ("1-3/8 in", 34.925),
    ("1 3/8\"", 34.925),
    ("1⅜", 34.925),
    ("⅜", 9.525),
    ("14½ in", 368.3),
    ("13/64", 5.159375),
    ("2", 50.8),
    ("45 thou", 1.143),
    ("45thou", 1.143),
    ("4.5 thou", 0.1143),
    ("#40", 2.4892),
    ("# 40", 2.4892),
    ("no. 40", 2.4892),
    ("no.40", 2.4892),
    ("No 40", 2.4892),
    ("number 40", 2.4892),
    ("letter F", 6.5278),
    ("letter f", 6.5278),
];

#[test]
fn every_way_of_writing_a_size() {
    for (text, mm) in SIZES {
        let size = read_size(text, &bench(Unit::Inch)).expect(text);
        assert!((size.length.mm() - mm).abs() < 1e-9, "{text}: {}", size.length);
    }
}

#[test]
fn a_bare_decimal_is_in_the_unit_of_the_bench_and_a_fraction_always_of_an_inch() {
    let metric = bench(Unit::Millimetre);
    assert_eq!(read_size("2.5", &metric).expect("2.5").length, Length::from_mm(2.5));
    assert_eq!(read_size("13/64", &metric).expect("13/64").length, Length::from_inches(13.0 / 64.0));
    assert_eq!(read_size("2.5 in", &metric).expect("2.5 in").length, Length::from_inches(2.5));
}

/// A size, its half width, and whether the instrument and wear are heard behind them.
#[test]
fn what_may_stand_behind_a_size() {
    let plain = |text: &str| match read(text).expect(text).value() {
        Some(Value::Plain { size, half_width }) => (size.length.mm(), half_width.as_ref().map(|half| half.length.mm())),
        other => panic!("{text}: {other:?}"),
    };
    let near = |(a, b): (f64, Option<f64>), (x, y): (f64, f64)| {
        (a - x).abs() < 1e-9 && b.is_some_and(|b| (b - y).abs() < 1e-9)
    };
    for (text, expected) in [
        ("diameter 2.301 ± 0.002", (58.4454, 0.0508)),
        ("diameter 2.301 in ± .002 in", (58.4454, 0.0508)),
        ("diameter 2.301±.002", (58.4454, 0.0508)),
        ("diameter 2.301 +/- .002", (58.4454, 0.0508)),
        ("diameter 2.301 +-.002", (58.4454, 0.0508)),
        ("diameter 2.301 ± 2 thou", (58.4454, 0.0508)),
        // the unit of the size goes for its half width too, whatever the bench's own
        ("diameter 58.45 mm ± 0.02", (58.45, 0.02)),
        ("diameter 45 thou ± 1", (1.143, 0.0254)),
        ("diameter 1 3/8 ± 1/64", (34.925, 0.396875)),
    ] {
        assert!(near(plain(text), expected), "{text}: {:?}", plain(text));
    }
    for text in [
        "diameter 2.301, caliper, worn (rusty at the keyway)",
        "diameter 2.301 caliper worn (rusty at the keyway)",
        "Diameter 2.301, WORN, Caliper ( rusty at the keyway )",
    ] {
        let line = read(text).expect(text);
        assert_eq!(line.instrument.as_deref(), Some("caliper"), "{text}");
        assert!(line.worn, "{text}");
        assert_eq!(line.remark.as_deref(), Some("rusty at the keyway"), "{text}");
    }
    let mic = read("diameter 2.301, mic").expect("an alias");
    assert_eq!(mic.instrument.as_deref(), Some("micrometer"));
    let deep = read("whole depth 0.21, depth micrometer").expect("a name of two words");
    assert_eq!(deep.instrument.as_deref(), Some("depth micrometer"));
}

#[test]
fn brackets() {
    for (text, goes, not) in [
        ("diameter goes 0.8750, not 0.8760", 22.225, 22.2504),
        ("diameter goes 0.8750 not 0.8760", 22.225, 22.2504),
        ("diameter goes 0.8750 but not 0.8760, pin gauge", 22.225, 22.2504),
        ("diameter goes 0.8750, no go 0.8760", 22.225, 22.2504),
        ("diameter goes 0.8750 in, not 0.8760 in", 22.225, 22.2504),
        ("diameter goes #41, not #40", 2.4384, 2.4892),
        ("diameter goes no. 41, not no. 40", 2.4384, 2.4892),
        // a unit said once is meant for both
        ("diameter goes 22.22 mm, not 22.25", 22.22, 22.25),
        ("diameter goes 22.22, not 22.25 mm", 22.22, 22.25),
        ("diameter goes 98, not 99 thou", 2.4892, 2.5146),
        // a ring gauge on a shaft: the larger goes
        ("diameter goes 0.8760, not 0.8750", 22.2504, 22.225),
    ] {
        match read(text).expect(text).value() {
            Some(Value::Between { goes: a, not: b }) => {
                assert!((a.length.mm() - goes).abs() < 1e-9, "{text}: goes {}", a.length);
                assert!((b.length.mm() - not).abs() < 1e-9, "{text}: not {}", b.length);
            }
            other => panic!("{text}: {other:?}"),
        }
    }
}

/// The forms every build takes, each with the pattern it must be taken for.
#[test]
fn every_form_of_line() {
    for (text, pattern) in [
        ("27 teeth", "{count} teeth"),
        ("11 teeth present", "{count} teeth present"),
        ("outside diameter 4.6", "outside diameter {reading}"),
        ("over the tips 4.59, caliper", "over the tips {reading}"),
        ("tip radius 2.300, caliper", "tip radius {reading}"),
        ("root diameter 4.169", "root diameter {reading}"),
        ("root radius 2.084", "root radius {reading}"),
        ("whole depth 0.2157", "whole depth {reading}"),
        ("span over 4 teeth 1.0843, micrometer", "span over {count} teeth {reading}"),
        ("over 0.1728 pins 2.317", "over {size} pins|pin|wires {reading}"),
        ("over 4.5 mm pins 58.2 mm", "over {size} pins|pin|wires {reading}"),
        ("over #40 pins 2.317", "over {size} pins|pin|wires {reading}"),
        ("over 3/16 wires 2 5/16", "over {size} pins|pin|wires {reading}"),
        ("centre to outside of 0.1728 pin 2.317, caliper", "centre|center to outside of {size} pin {reading}"),
        ("center to outside of 0.1728 pin 2.317", "centre|center to outside of {size} pin {reading}"),
        ("chord across 10 pitches at tips 3.012, caliper", "chord across {count} pitches at tips {reading}"),
        ("tooth thickness 0.157 at depth 0.1, caliper", "tooth thickness {reading} at depth {size}"),
        ("tooth thickness 4 mm at depth 2.5 mm", "tooth thickness {reading} at depth {size}"),
        (
            "centre distance 3.2 with a mate of 20 teeth",
            "centre|center distance {reading} with a mate of {count} teeth",
        ),
        ("face width 3/4", "face width {reading}"),
        ("helix angle 22 1/2", "helix angle {angle}"),
        ("rolled print angle 14.5°, protractor", "rolled print angle {angle}"),
        ("meshes with 10 dp 14.5", "meshes with {pitch}"),
        ("does not mesh with module 2.5", "does not mesh with {pitch}"),
        ("diameter 13/64", "diameter {reading}"),
        ("length 2.5", "length {reading}"),
        ("mate diameter 0.875", "mate diameter {reading}"),
        ("from bore centre 1 1/16", "from bore [centre|center] {reading}"),
        ("from bore 1 1/16", "from bore [centre|center] {reading}"),
        ("between centres 2.5", "between [hole] centres|centers {reading}"),
        ("at 45 degrees", "at {angle}"),
        ("thickness 0.5", "thickness {reading}"),
        ("note the hub was brazed, worn (see the picture)", "note {text}"),
    ] {
        assert_eq!(read(text).expect(text).pattern.0, pattern, "{text}");
    }
    // the whole rest of a note is its text
    let note = read("note the hub was brazed, worn (see the picture)").expect("a note");
    assert_eq!(note.slots, [Slot::Text("the hub was brazed, worn (see the picture)".into())]);
    assert!(!note.worn);
}

#[test]
fn gear_sizes() {
    use PitchSystem::{CircularPitch, DiametralPitch, Module};
    for (text, system, value, angle) in [
        ("10 dp", DiametralPitch, 10.0, None),
        ("10dp", DiametralPitch, 10.0, None),
        ("DP 10", DiametralPitch, 10.0, None),
        ("10 diametral pitch", DiametralPitch, 10.0, None),
        ("10 dp 14.5", DiametralPitch, 10.0, Some(14.5)),
        ("10 dp 14 1/2 degrees", DiametralPitch, 10.0, Some(14.5)),
        ("10 dp 14½°", DiametralPitch, 10.0, Some(14.5)),
        ("2 1/2 dp 20", DiametralPitch, 2.5, Some(20.0)),
        ("1-1/4 dp", DiametralPitch, 1.25, None),
        ("module 2.5", Module, 2.5, None),
        ("module 2.5 mm 20", Module, 2.5, Some(20.0)),
        ("m 2.5 20", Module, 2.5, Some(20.0)),
        ("M2.5", Module, 2.5, None),
        ("m2.5 20°", Module, 2.5, Some(20.0)),
        ("2.5 mod", Module, 2.5, None),
        ("2.5 module 20", Module, 2.5, Some(20.0)),
        ("1/4 cp", CircularPitch, 0.25, None),
        ("1/4 in cp 14.5", CircularPitch, 0.25, Some(14.5)),
        ("1/4\" circular pitch", CircularPitch, 0.25, None),
    ] {
        let line = read(&format!("meshes with {text}")).expect(text);
        let Some(Pitch { system: s, value: v, pressure_angle }) = line.pitch() else {
            panic!("{text}: {line:?}");
        };
        assert_eq!((*s, *v), (system, value), "{text}");
        let degrees = pressure_angle.map(|angle| angle.angle.degrees());
        assert!(
            match (degrees, angle) {
                (Some(a), Some(b)) => (a - b).abs() < 1e-12,
                (None, None) => true,
                (Some(_), None) | (None, Some(_)) => false,
            },
            "{text}: {degrees:?}"
        );
    }
}

/// m = 25.4 / P: the modules that ISO 54:1996 and the inch trade tables print side by side; p = pi m, ISO 21771:2007 4.1.
#[test]
fn gear_sizes_in_millimetres() {
    for (text, module) in [("10 dp", 2.54), ("8 dp", 3.175), ("12 dp", 2.1167), ("module 2.5", 2.5), ("1/4 cp", 2.0213)]
    {
        let line = read(&format!("meshes with {text}")).expect(text);
        let found = line.pitch().expect(text).module().mm();
        assert!((found - module).abs() <= 0.000_05, "{text}: {found}");
    }
}

#[test]
fn angles() {
    for (text, degrees) in [
        ("14.5", 14.5),
        ("14.5°", 14.5),
        ("14½°", 14.5),
        ("14 1/2 degrees", 14.5),
        ("22 1/4", 22.25),
        ("20 deg", 20.0),
        ("0", 0.0),
        ("-15", -15.0),
        ("360", 360.0),
    ] {
        let angle = read_angle(text).expect(text);
        assert!((angle.angle.degrees() - degrees).abs() < 1e-12, "{text}");
    }
}

#[test]
fn how_a_size_was_written_is_kept() {
    let form = |text: &str| read_size(text, &bench(Unit::Inch)).map(|size: Size| size.form);
    assert_eq!(form("2.310"), Ok(SizeForm::Decimal { unit: Unit::Inch, places: 3 }));
    assert_eq!(form("2.3 mm"), Ok(SizeForm::Decimal { unit: Unit::Millimetre, places: 1 }));
    assert_eq!(form("1-3/8"), Ok(SizeForm::Fraction { whole: 1, numerator: 3, denominator: 8 }));
    assert_eq!(form("45 thou"), Ok(SizeForm::Thou { places: 0 }));
    assert_eq!(form("no. 40"), Ok(SizeForm::Drill { label: "#40".into() }));
}
