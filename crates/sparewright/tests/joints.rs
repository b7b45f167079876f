//! A job's joints, told, drawn, planned and written down from one reckoning.

#![allow(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use making::shop::Shop;
use serde_json::Value;
use sparewright::job::{self, Job};
use sparewright::packed::packed;
use sparewright::{report, result, shop, solve};

const BUSH: &str = include_str!("../../../demo/apple-mill-bush.toml");

fn opened(text: &str) -> (Job, Shop) {
    let shop = shop::built_in();
    let (job, problems) = job::read(text, features::kinds(), &shop.instruments);
    assert_eq!(problems, []);
    (job.unwrap(), shop)
}

fn joints(text: &str) -> Vec<Value> {
    let (job, shop) = opened(text);
    let result = result::result(&solve::solve(&job, &shop), None);
    result["design"]["joints"].as_array().unwrap().clone()
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap()
}

/// The frame's bore lies between pins of 0.8764 and 0.8767 in, half a thou beyond H7 of 7/8 in, which ends at 0.8758 in
/// (22.225 H7 is +21 µm, ISO 286-2, from memory): the bush is made to it, unless the job says otherwise.
#[test]
fn a_worn_mate_is_followed_unless_the_job_says_otherwise() {
    let of_outside = |text: &str| joints(text).into_iter().find(|joint| joint["feature"] == "outside").unwrap();
    let left_open = of_outside(BUSH);
    assert_eq!(left_open["made_to"], "mate");
    assert_eq!(left_open["ways"].as_array().unwrap().len(), 2, "both are offered");
    let nominal = of_outside(&BUSH.replacen("fit           =", "made_to = \"nominal\"\nfit           =", 1));
    assert_eq!(nominal["made_to"], "nominal");
    assert_eq!(nominal["ways"][0], left_open["ways"][1]);
    assert_eq!(nominal["ways"][1], left_open["ways"][0]);
    // p6 is 13 µm wide, and the bracket's ends are felt with pins: u² = (0.0003 in)²/12 and a little more (GUM 4.3.7)
    let clearance = &left_open["ways"][0]["clearance_mm"];
    let width = number(&clearance["most"]) - number(&clearance["least"]);
    let bracket = 2.0 * 2.0 * 0.0003 * 25.4 / 12f64.sqrt();
    assert!(width > 0.013 + bracket && width < 0.013 + 1.5 * bracket, "{width}");
    assert!(number(&clearance["most"]) < 0.0 && number(&nominal["ways"][0]["clearance_mm"]["most"]) > 0.0);
}

/// What the sheet tells to check and the plan to turn is what the joint was reckoned with.
#[test]
fn drawing_checks_and_plan_have_the_joints_limits() {
    let (job, shop) = opened(BUSH);
    let packed = packed(&job, &shop, &jiff::civil::Date::new(2031, 3, 3).unwrap()).unwrap();
    let joint = &packed.result["design"]["joints"][0];
    let shaft = &joint["ways"][0]["shaft"];
    let finding = &packed.result["features"][0]["findings"][0];
    assert_eq!((&finding["smallest_mm"], &finding["largest_mm"]), (&shaft["smallest_mm"], &shaft["largest_mm"]));
    let solved = solve::solve(&job, &shop);
    let checked = solved.features[0].design().unwrap().characteristics(job.unit);
    assert_eq!(checked[0].lower.map(|lower| lower.mm()), shaft["smallest_mm"].as_f64());
    let told = report::report(&solved);
    let inches = |value: &Value| format!("{:.4}", number(value) / 25.4);
    let limits = format!("{} to {} in", inches(&shaft["smallest_mm"]), inches(&shaft["largest_mm"]));
    assert!(told.contains(&limits), "{limits}: {told}");
}

/// The bush's own bore is the shaft's bore that closes, and the frame's boss bounds the hub.
#[test]
fn the_part_fills_in_what_it_knows_of_itself() {
    let joints = joints(BUSH);
    let (outside, inside) = (&joints[0], &joints[1]);
    let bored = number(&inside["ways"][0]["basic_mm"]);
    assert!((number(&outside["shaft"]["bore_mm"]) - bored).abs() < 0.02, "{outside:#}");
    assert!((number(&outside["hub"]["outside_mm"]) - 1.625 * 25.4).abs() < 1e-9);
    assert_eq!(outside["shaft"]["material"], "bronze");
    assert_eq!(inside["ways"][0]["grip"], Value::Null, "what runs does not grip");
    let closes = &outside["ways"][0]["grip"]["bore_closes_mm"];
    assert!(number(&closes["most"]) > number(&closes["least"]));
}

/// The step that presses the bush says the push and what is left to ream as the joint has them.
#[test]
fn the_press_step_has_the_joints_figures() {
    let text = "title = \"Arm\"\nunits = \"mm\"\nmaterial = \"grey cast iron\"\n[[feature]]\nname = \"edge\"\nkind = \"outline\"\nclosed = true\npath = [\"start -25 -25\", \"line to 25 -25\", \"line to 25 25\", \"line to -25 25\"]\n[[feature]]\nname = \"bore\"\nkind = \"bore\"\nfit = \"H7/r6\"\nreadings = [\"diameter 22.01, micrometer\", \"bush inside diameter 16.0, pin gauge\", \"thickness 20.0\"]\n";
    let (job, shop) = opened(text);
    let packed = packed(&job, &shop, &jiff::civil::Date::new(2031, 3, 3).unwrap()).unwrap();
    let joint = &packed.result["design"]["joints"][0];
    // the square is 50 across: the ring of metal that is surely there
    assert_eq!(joint["hub"]["outside_mm"], 50.0);
    let steps = packed.result["plan"]["operations"].as_array().unwrap().iter();
    let said: Vec<&str> =
        steps.flat_map(|step| step["instructions"].as_array().unwrap()).filter_map(Value::as_str).collect();
    let grip = &joint["ways"][0]["grip"];
    let push = quantity::print::force(number(&grip["push_n"]["most"]), quantity::Unit::Millimetre);
    assert!(said.iter().any(|line| line.contains(&format!("Up to {push} is needed"))), "{said:#?}");
    let closes = format!("{:.3} mm", number(&grip["bore_closes_mm"]["most"]));
    assert!(said.iter().any(|line| line.contains(&format!("closes by up to {closes}"))), "{closes}: {said:#?}");
}

/// A shrink fit in a thin iron ring bursts it: σt = E δ/d (1 + (d/D)²)/2 for a solid shaft of the same stiffness is far past
/// what grey iron stands, and the sheet says not to press it.
#[test]
fn thin_iron_is_not_to_be_pressed() {
    let text = "title = \"Ring\"\nunits = \"mm\"\nmaterial = \"grey cast iron\"\n[[feature]]\nname = \"rim\"\nkind = \"outline\"\nclosed = true\npath = [\"start -14 -14\", \"line to 14 -14\", \"line to 14 14\", \"line to -14 14\"]\n[[feature]]\nname = \"bore\"\nkind = \"bore\"\nfit = \"FN5\"\nmate_material = \"mild steel\"\nreadings = [\"diameter 20.0, micrometer\", \"thickness 20.0\"]\n";
    let (job, shop) = opened(text);
    let solved = solve::solve(&job, &shop);
    let hub = solved.designed.joints[0].taken().grip.as_ref().unwrap().hub;
    assert_eq!(hub.criterion, design::joint::Criterion::BreaksInTension);
    assert!(hub.used() > 0.5, "{}", hub.used());
    let told = report::report(&solved);
    assert!(told.contains("old casting") || told.contains("Do not press this"), "{told}");
}

/// A caliper reads to ±0.0012 in and better (k = 2, its own 30 µm and more, DIN 862): p6 of 7/8 in is 0.0005 in wide.
#[test]
fn a_mate_read_too_coarsely_is_said_to_be() {
    let coarse = BUSH.replace("mate diameter goes 0.8764, not 0.8767", "mate diameter 0.8766, caliper");
    for (text, said) in [(BUSH, false), (coarse.as_str(), true)] {
        let (job, shop) = opened(text);
        let told = report::report(&solve::solve(&job, &shop));
        assert_eq!(told.contains("measure it more finely"), said, "{told}");
    }
}

/// A shaft told as what runs in a bore is measured as any `mate diameter` is; another bore, or a shaft far too thin, is not.
#[test]
fn a_shaft_told_as_mate_is_fitted_to() {
    let job = |fit: &str, line: &str, mate: &str| {
        format!(
            "title = \"Lever\"\nunits = \"mm\"\nheritage = \"metric\"\n[[feature]]\nname = \"bore\"\nkind = \"bore\"\nfit = \"{fit}\"\nreadings = [\"diameter 20.08, micrometer\", \"length 30\"{line}]\n{mate}"
        )
    };
    let mate = |kind: &str, size: &str| {
        format!(
            "[[mate]]\nof = \"bore\"\nname = \"pin\"\nkind = \"{kind}\"\nreadings = [\"diameter {size}, micrometer\"]\n"
        )
    };
    let limits = |text: &str| joints(text)[0].to_string();
    let plain = limits(&job("running", "", ""));
    let read_here = limits(&job("running", ", \"mate diameter 19.90, micrometer\"", ""));
    assert_ne!(plain, read_here);
    assert_eq!(limits(&job("running", "", &mate("shaft", "19.90"))), read_here);
    assert_eq!(limits(&job("running", "", &mate("bore", "19.90"))), plain);
    assert_eq!(limits(&job("running", "", &mate("shaft", "12.00"))), plain);
    let bushed = limits(&job("press bush", "", ""));
    assert_eq!(limits(&job("press bush", "", &mate("shaft", "19.90"))), bushed);
}
