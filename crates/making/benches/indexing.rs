//! How long the search for a dividing set-up takes, for every count from 2 to 1000 on a head with everything, and which
//! methods are found. Prints a table: `cargo bench -p making`.

use std::collections::BTreeMap;
use std::time::{Duration, Instant};

use making::indexing::{Division, index};
use making::shop::{ChangeGears, DividingHead, IndexPlate};
use standards::indexing::{change_gear_set, plate_set};

fn main() {
    println!(
        "{:<14} {:>6} {:>12} {:>12}  counts by method (those only nearly in brackets)",
        "plates", "gears", "mean", "longest"
    );
    for (plates, gears) in [
        ("three-plate", None),
        ("three-plate", Some("universal-head")),
        ("double-sided", None),
        ("double-sided", Some("universal-head")),
        ("double-sided", Some("lathe-set")),
    ] {
        let head = head(plates, gears);
        let mut longest = (Duration::ZERO, 0);
        let mut all = Duration::ZERO;
        let mut methods: BTreeMap<&str, (u32, u32)> = BTreeMap::new();
        for divisions in 2..=1000 {
            let from = Instant::now();
            let sheet = index(&Division::new(divisions, divisions), &head, None);
            let took = from.elapsed();
            all += took;
            longest = longest.max((took, divisions));
            if let Ok(sheet) = sheet {
                let counted = methods.entry(sheet.method.name()).or_default();
                match sheet.error {
                    None => counted.0 += 1,
                    Some(_) => counted.1 += 1,
                }
            }
        }
        let counts: Vec<String> =
            methods.iter().map(|(name, (exact, nearly))| format!("{name} {exact} ({nearly})")).collect();
        println!(
            "{plates:<14} {:>6} {:>9.3} ms {:>9.3} ms  {}; longest {}",
            gears.and_then(change_gear_set).map_or(0, |set| set.teeth.len()),
            all.as_secs_f64() * 1000.0 / 999.0,
            longest.0.as_secs_f64() * 1000.0,
            counts.join(", "),
            longest.1
        );
    }
}

fn head(plates: &str, gears: Option<&str>) -> DividingHead {
    let plates = plate_set(plates).map(|set| set.plates.clone()).unwrap_or_default();
    DividingHead {
        name: "head".into(),
        ratio: 40,
        plates: plates.into_iter().map(|circles| IndexPlate { name: "plate".into(), circles }).collect(),
        direct_holes: vec![24],
        stop_pin: true,
        change_gears: gears.and_then(change_gear_set).map(|set| ChangeGears {
            teeth: set.teeth.clone(),
            module: None,
            centres: None,
        }),
        ..DividingHead::default()
    }
}
