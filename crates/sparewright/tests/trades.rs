//! The files for other trades by their verbs: refused with the reason, exit code 2 and nothing written; the same from a verb
//! and in the pack.

#![allow(clippy::unwrap_used, clippy::panic)]

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use serde_json::Value;

fn folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("verbs").join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    folder
}

fn run(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_sparewright")).args(arguments).output().unwrap()
}

fn demo(name: &str) -> String {
    format!("{}/../../demo/{name}.toml", env!("CARGO_MANIFEST_DIR"))
}

/// A plate 60 mm wide with a bore, and what a case adds or changes.
fn job(path: &str, bore: &str, rest: &str) -> String {
    format!(
        "title = \"Cover for the mill\"\nunits = \"mm\"\nheritage = \"metric\"\n\n[[feature]]\nname = \"edge\"\nkind = \"outline\"\n\
         closed = true\npath = [{path}]\n\n[[feature]]\nname = \"bore\"\nkind = \"bore\"\nreadings = [{bore}]\n\n{rest}"
    )
}

const SQUARE: &str = r#""start 30 -30", "line to 30 30", "line to -30 30", "line to -30 -30", "line to 30 -30""#;
const CROSSED: &str = r#""start 30 -30", "line to -30 30", "line to 30 30", "line to -30 -30", "line to 30 -30""#;
const BORE: &str = r#""diameter goes 20.00 mm, not 20.02 mm", "thickness 8, caliper""#;
/// Module 2, 20°, 20°, 30 teeth: tips m z/cos β + 2 m and W = m cos α (π (k − ½) + z inv α_t), thinned a little (ISO 21771).
const HELICAL: &str = r#"title = "Wheel"
units = "mm"
heritage = "metric"
[[feature]]
name = "rim"
kind = "toothed rim"
readings = ["30 teeth", "face width 18, caliper", "outside diameter 67.80, caliper", "helix angle 21, protractor", "span over 3 teeth 15.75, micrometer", "span over 4 teeth 21.66, micrometer"]
"#;
const PINS: &str = "[[feature]]\nname = \"pins\"\nkind = \"holes\"\nreadings = [\"diameter goes 5.00 mm, not 5.02 mm\", \"from bore centre 30\", \"at 0 degrees\"]\n";

fn wheel(more: &str) -> String {
    format!("{HELICAL}{more}")
}

#[test]
fn what_cannot_be_made_is_refused_with_the_reason_and_nothing_is_written() {
    for (name, text, why) in [
        ("crossed", job(CROSSED, BORE, ""), "crosses"),
        ("through", job(SQUARE, BORE, PINS), "breaks through the edge"),
        ("wide", job(SQUARE, r#""diameter 61, caliper", "thickness 8, caliper""#, ""), "breaks through the edge"),
        ("unknown", job(SQUARE, r#""diameter goes 20.00 mm, not 20.02 mm""#, ""), "thickness is not known"),
        ("helical", wheel(""), "lean is not said"),
        ("none", job(SQUARE, r#""diameter goes 20.00 mm, not 20.02 mm", "thickness 0, caliper""#, ""), "thickness"),
    ] {
        let folder = folder(name);
        let file = folder.join("job.toml");
        std::fs::write(&file, text).unwrap();
        let into = folder.join("out");
        for verb in ["solid", "check-piece"] {
            let out = run(&[verb, file.to_str().unwrap(), "--into", into.to_str().unwrap()]);
            let said = String::from_utf8_lossy(&out.stderr);
            assert_eq!(out.status.code(), Some(2), "{name}, {verb}: {said}");
            assert!(said.contains(why), "{name}, {verb}: {said}");
            assert!(out.stdout.is_empty() && !into.exists(), "{name}, {verb}");
        }
    }
}

/// Helical teeth wind up on the solid and on the check piece; a cut straight through is refused, and so is a chamfer on their tips.
#[test]
fn a_helical_wheel_is_written_wound() {
    let folder = folder("wound");
    let file = folder.join("job.toml");
    std::fs::write(&file, wheel("hand = \"left\"\n")).unwrap();
    let made = |verb: &str, more: &[&str]| {
        let into = folder.join("out");
        let out = run(&[&[verb, file.to_str().unwrap(), "--into", into.to_str().unwrap(), "--json"], more].concat());
        let said = String::from_utf8_lossy(&out.stderr).into_owned();
        (out.status.code(), said, serde_json::from_slice::<Value>(&out.stdout).unwrap_or_default())
    };
    let (code, said, solid) = made("solid", &[]);
    assert_eq!(code, Some(0), "{said}");
    let written = std::fs::read_to_string(folder.join("out/job.stp")).unwrap();
    // four flanks and fillets and more to a tooth
    assert!(written.matches("B_SPLINE_SURFACE_WITH_KNOTS").count() >= 30 * 4);
    let (code, said, piece) = made("check-piece", &[]);
    assert_eq!(code, Some(0), "{said}");
    let (solid, piece) = (&solid["solid"], &piece["check_piece"]);
    assert_eq!(solid["face_area_mm2"], piece["face_area_mm2"], "{solid} {piece}");
    let (volume, true_volume) = (piece["volume_without_label_mm3"].as_f64(), solid["volume_mm3"].as_f64());
    assert_eq!(volume, true_volume);
    for (verb, more) in [("profile", [].as_slice()), ("solid", &["--outside-chamfer", "0.5"])] {
        let (code, said, _) = made(verb, more);
        assert!(code == Some(2) && said.contains("helical"), "{verb}: {said}");
    }
}

/// A plate's thickness is no matter to whoever cuts its edge.
#[test]
fn a_profile_needs_no_thickness() {
    let folder = folder("thin");
    let file = folder.join("job.toml");
    std::fs::write(&file, job(SQUARE, r#""diameter goes 20.00 mm, not 20.02 mm""#, "")).unwrap();
    let out = run(&["profile", file.to_str().unwrap(), "--into", folder.to_str().unwrap(), "--kerf", "0.4", "--json"]);
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    let result: Value = serde_json::from_slice(&out.stdout).unwrap();
    // a square of 60 with its corners rounded at 0.2, and a bore of 20 less the cut
    let length = 240.0 + std::f64::consts::TAU * 0.2 + std::f64::consts::PI * 19.6;
    assert!((result["cut_length_mm"].as_f64().unwrap() - length).abs() < 1e-6, "{result}");
    let svg = std::fs::read_to_string(folder.join("job-profile.svg")).unwrap();
    assert!(svg.contains("A9.8 9.8"), "{svg}");
}

#[test]
fn what_is_typed_wrong_is_refused() {
    let (sector, shaft) = (demo("apple-mill-sector"), demo("apple-mill-shaft"));
    for (verb, job, flags, why) in [
        ("solid", &sector, vec!["--tolerance", "0"], "greater than zero"),
        ("solid", &sector, vec!["--tolerance", "5 mm"], "between"),
        ("solid", &sector, vec!["--bore-chamfer", "6 mm"], "smaller"),
        ("solid", &sector, vec!["--outside-chamfer", "5.5 mm"], "smaller"),
        ("solid", &sector, vec!["--bore-chamfer=-1 mm"], "Write a size"),
        ("check-piece", &sector, vec!["--chord", "5 in"], "between"),
        ("check-piece", &sector, vec!["--allowance", "2 in"], "leaves no part"),
        ("check-piece", &sector, vec!["--allowance", "a bit"], "Write a size"),
        ("profile", &sector, vec!["--kerf", "2 in"], "wider"),
        ("profile", &sector, vec!["--plate", "3 x 0.5"], "no room"),
        ("profile", &sector, vec!["--plate", "3"], "300x200"),
        ("profile", &sector, vec!["--kerf", "20 mm", "--side", "part"], "too wide"),
        ("cutter", &shaft, vec![], "no teeth"),
        ("cutter", &sector, vec!["--times", "0"], "--times"),
    ] {
        let into = folder("typed").join("out");
        let mut arguments = vec![verb, job.as_str(), "--into", into.to_str().unwrap()];
        arguments.extend(&flags);
        let out = run(&arguments);
        let said = String::from_utf8_lossy(&out.stderr);
        assert_eq!(out.status.code(), Some(2), "{verb} {flags:?}: {said}");
        assert!(said.contains(why), "{verb} {flags:?}: {said}");
        assert!(!into.exists(), "{verb} {flags:?}");
    }
}

#[test]
fn a_verb_and_the_pack_give_the_same() {
    let (job, folder) = (demo("ropewalk-gear"), folder("same"));
    let into = folder.to_str().unwrap();
    let json = |arguments: &[&str]| -> Value {
        let out = run(&[arguments, &["--into", into, "--json"]].concat());
        assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
        serde_json::from_slice(&out.stdout).unwrap()
    };
    let packed = json(&["pack", &job]);
    let bytes = |suffix: &str| std::fs::read(folder.join(format!("ropewalk-gear{suffix}"))).unwrap();
    let in_pack = [".stp", ".3mf", "-profile.svg", "-cutter.svg"].map(bytes);
    for (verb, name) in
        [("solid", "solid"), ("check-piece", "check_piece"), ("profile", "profile"), ("cutter", "cutter")]
    {
        let mut own = json(&[verb, &job]);
        own.as_object_mut().unwrap().remove("files");
        assert_eq!(own, packed["trades"][name], "{verb}");
    }
    assert_eq!([".stp", ".3mf", "-profile.svg", "-cutter.svg"].map(bytes), in_pack);
    let solid = String::from_utf8(in_pack[0].clone()).unwrap();
    assert!(solid.starts_with("ISO-10303-21;\n") && solid.ends_with("END-ISO-10303-21;\n"));
    assert!(solid.contains("AUTOMOTIVE_DESIGN") && solid.contains("27-tooth") && solid.contains("in 100"));
    assert!(solid.contains("PRODUCT('Traverse gear for the ropewalk'"));
}
