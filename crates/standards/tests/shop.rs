//! Keys, plates, materials, instruments, gauges and feeds.

use quantity::Length;
use standards::cutting::{MillingCutter, Pass, drill_feed, reamer_feed, reaming_allowance, tooth_feed, turning_feed};
use standards::indexing::{change_gear_set, head_ratios, plate_set, plate_sets};
use standards::{
    GaugeClass, KeySystem, USUAL_LENGTH, gauge_tolerance, instrument, instruments, key_for_bore, keys, material,
    material_names, materials,
};

fn mm(mm: f64) -> Length {
    Length::from_mm(mm)
}

#[test]
fn keys_are_those_of_the_tables() {
    // DIN 6885-1, read in two public tables: bore, b × h, t1, t2
    for (bore, b, h, t1, t2) in
        [(8.0, 2.0, 2.0, 1.2, 1.0), (12.0, 4.0, 4.0, 2.5, 1.8), (25.0, 8.0, 7.0, 4.0, 3.3), (40.0, 12.0, 8.0, 5.0, 3.3)]
    {
        let key = key_for_bore(mm(bore), KeySystem::Metric).unwrap();
        assert_eq!((key.width, key.height, key.shaft_depth, key.hub_depth), (mm(b), mm(h), mm(t1), mm(t2)), "{bore}");
    }
    // ANSI B17.1, from memory: 7/8 in still takes 3/16, 1 in takes 1/4
    for (bore, width) in [(0.5, 0.125), (0.875, 0.1875), (1.0, 0.25), (1.5, 0.375)] {
        let key = key_for_bore(Length::from_inches(bore), KeySystem::Inch).unwrap();
        assert!((key.width.inches() - width).abs() < 1e-9, "{bore}");
    }
    assert_eq!(key_for_bore(mm(5.0), KeySystem::Metric), None);
    assert_eq!(key_for_bore(mm(231.0), KeySystem::Metric), None);
    assert_eq!(key_for_bore(mm(f64::NAN), KeySystem::Inch), None);
}

#[test]
fn keyways_leave_a_little_room_above_the_key_and_ranges_tile() {
    for system in [KeySystem::Metric, KeySystem::Inch] {
        let of_system: Vec<_> = keys().iter().filter(|key| key.system == system).collect();
        for pair in of_system.windows(2) {
            assert_eq!(pair[0].upto, pair[1].over);
            assert!(pair[0].width < pair[1].width && pair[0].height <= pair[1].height);
        }
        for key in of_system {
            let room = key.shaft_depth + key.hub_depth - key.height;
            assert!(room > mm(0.1) && room < mm(0.45), "{:?}", key);
        }
    }
}

#[test]
fn three_plates_divide_all_that_treatises_say_they_do() {
    // all numbers to 50, and the even ones to 100 but 96, by 40 turns (old treatises on the dividing head; from memory)
    let circles = plate_set("three-plate").unwrap().circles();
    let divides = |n: u32| circles.iter().any(|holes| (40 * holes).is_multiple_of(n));
    assert!((2..=50).all(divides));
    assert!((52..=100).step_by(2).all(|n| divides(n) == (n != 96)));
}

#[test]
fn heads_are_complete() {
    assert_eq!(plate_set("three-plate").unwrap().circles().len(), 18);
    assert_eq!(plate_set("double-sided").unwrap().circles().len(), 22);
    assert_eq!(plate_set("three-plate").unwrap().plates.len(), 3);
    assert!(head_ratios().iter().any(|head| head.ratio == 40) && head_ratios().iter().any(|head| head.ratio == 90));
    // Practical Treatise, p. 55: twelve wheels, two of 24
    let gears = change_gear_set("universal-head").unwrap();
    assert_eq!(gears.teeth.len(), 12);
    assert_eq!(gears.teeth.iter().filter(|teeth| **teeth == 24).count(), 2);
    for set in plate_sets() {
        assert!(set.plates.iter().all(|plate| plate.windows(2).all(|pair| pair[0] < pair[1])), "{}", set.id);
    }
}

#[test]
fn materials_are_found_by_the_names_people_use_and_no_name_stands_twice() {
    for (said, is) in [
        ("cast iron", "grey cast iron"),
        ("Gray Cast Iron", "grey cast iron"),
        ("steel", "mild steel"),
        ("aluminum", "aluminium"),
        ("SAE 660", "bronze"),
        ("POM", "acetal"),
        (" tool steel ", "tool steel"),
    ] {
        assert_eq!(material(said).unwrap().name, is);
    }
    for name in ["ductile iron", "malleable iron", "brass", "bronze"] {
        assert_eq!(material(name).unwrap().name, name);
    }
    assert_eq!(material("unobtainium"), None);
    let mut names: Vec<String> = material_names().map(str::to_lowercase).collect();
    let all = names.len();
    names.sort();
    names.dedup();
    assert_eq!(names.len(), all);
}

#[test]
fn materials_are_what_textbooks_say_within_their_disagreement() {
    // other tables than those transcribed: density g/cm³ and E GPa of any engineering handbook, from memory; 10 in 100
    for (name, density, modulus) in [
        ("grey cast iron", 7.2, 105.0),
        ("mild steel", 7.85, 207.0),
        ("brass", 8.5, 103.0),
        ("bronze", 8.8, 103.0),
        ("aluminium", 2.7, 70.0),
        ("copper", 8.96, 117.0),
        ("stainless steel", 8.0, 193.0),
        ("acetal", 1.41, 2.9),
    ] {
        let material = material(name).unwrap();
        assert!((material.density_kg_m3 / (1000.0 * density) - 1.0).abs() < 0.1, "{name}");
        assert!((material.youngs_modulus_gpa / modulus - 1.0).abs() < 0.1, "{name}");
    }
    for material in materials() {
        let Some(yield_mpa) = material.yield_mpa else {
            continue;
        };
        assert!(yield_mpa <= material.uts_mpa, "{}", material.name);
    }
    for iron in ["grey cast iron", "ductile iron", "malleable iron"] {
        let iron = material(iron).unwrap();
        assert!(iron.dry && iron.caution.as_ref().is_some_and(|caution| caution.contains("dust")), "{}", iron.name);
    }
}

#[test]
fn reaming_and_gear_cutting_are_slower_than_drilling_and_milling() {
    for material in materials() {
        let speeds = material.speeds;
        for (lo, hi) in [speeds.turning, speeds.milling, speeds.drilling, speeds.reaming, speeds.gear_cutting] {
            assert!(lo > 0.0 && lo <= hi, "{}", material.name);
        }
        // a technical-college table: reamers 1/2 to 2/3 of drills; kept to half a metre per minute
        assert!((speeds.reaming.0 - speeds.drilling.0 / 2.0).abs() <= 0.25, "{}", material.name);
        assert!((speeds.reaming.1 - speeds.drilling.1 * 2.0 / 3.0).abs() <= 0.25, "{}", material.name);
        assert!(speeds.gear_cutting.1 < speeds.milling.1, "{}", material.name);
    }
}

#[test]
fn every_material_has_its_feeds() {
    for material in materials() {
        for diameter in [0.5, 6.0, 40.0] {
            assert!(drill_feed(material, mm(diameter)).is_some_and(|feed| feed > Length::ZERO), "{}", material.name);
        }
        let rough = turning_feed(material, Pass::Rough).unwrap();
        let finish = turning_feed(material, Pass::Finish).unwrap();
        assert!(finish.lo < rough.lo && finish.hi <= rough.hi, "{}", material.name);
        for cutter in [MillingCutter::Side, MillingCutter::End, MillingCutter::Form] {
            let feed = tooth_feed(material, cutter).unwrap();
            assert!(feed.lo < feed.hi, "{}", material.name);
        }
    }
}

#[test]
fn drill_feeds_run_through_the_printed_points() {
    let steel = material("mild steel").unwrap();
    let feed = |d| drill_feed(steel, mm(d)).unwrap().mm();
    // public tutorial tables: 6, 12, 18, 25 mm
    for (d, printed) in [(6.0, 0.20), (12.0, 0.25), (18.0, 0.41), (25.0, 0.51)] {
        assert!((feed(d) - printed).abs() < 0.005, "{d}");
    }
    assert!((feed(9.0) - 0.225).abs() < 1e-9);
    assert!((feed(3.0) - 0.1).abs() < 1e-9);
    assert!((feed(60.0) - 0.51).abs() < 1e-9);
    for nothing in [0.0, -1.0, f64::NAN] {
        assert_eq!(drill_feed(steel, mm(nothing)), None);
    }
    let reamer = reamer_feed(steel, mm(12.0)).unwrap();
    assert!((reamer.lo.mm() - 0.5).abs() < 1e-9 && (reamer.hi.mm() - 0.75).abs() < 1e-9);
}

#[test]
fn reamers_are_left_more_as_they_grow() {
    let left = |d| reaming_allowance(mm(d)).unwrap();
    for pair in [2.0, 5.0, 10.0, 16.0, 25.0, 40.0].windows(2) {
        assert!(left(pair[0]).lo < left(pair[1]).lo && left(pair[0]).hi < left(pair[1]).hi);
    }
    assert_eq!(reaming_allowance(mm(60.0)), None);
}

#[test]
fn instruments_are_worth_what_their_parts_make() {
    // worked by hand: caliper √((30² + 30² + 5²)/3) = 24.664 µm; protractor √((15² + 15²)/3)' = 12.247'
    let u = |name| instrument(name).unwrap().length_uncertainty(USUAL_LENGTH).unwrap().micrometres();
    assert!((u("caliper") - 24.664).abs() < 0.0005);
    let protractor = instrument("protractor").unwrap();
    assert!((protractor.angle_uncertainty().unwrap().degrees() * 60.0 - 12.247).abs() < 0.0005);
    assert_eq!(protractor.length_uncertainty(USUAL_LENGTH), None);
    assert!(
        u("micrometer") < u("depth micrometer") && u("depth micrometer") < u("caliper") && u("caliper") < u("rule")
    );
    // DIN 863: 4 µm + A/50; a longer micrometer is worth less
    let micrometer = instrument("Micrometer").unwrap();
    assert!(micrometer.length_uncertainty(mm(150.0)) > micrometer.length_uncertainty(mm(25.0)));
    // what stays of a caliper is its error limit and half a step: √(30² + 5²) of √(30² + 30² + 5²)
    let stays = instrument("caliper").unwrap().steady_share(USUAL_LENGTH).unwrap();
    assert!((stays - (925.0f64 / 1825.0).sqrt()).abs() < 1e-12);
    assert!(
        instruments().iter().all(|one| one.steady_share(USUAL_LENGTH).is_none_or(|share| (0.0..=1.0).contains(&share)))
    );
    assert!(u("micrometer") < u("telescopic gauge") && u("telescopic gauge") < u("caliper"));
    for name in [
        "rule",
        "caliper",
        "micrometer",
        "pin gauge",
        "depth micrometer",
        "telescopic gauge",
        "indicator",
        "scan",
        "protractor",
    ] {
        assert_eq!(instrument(name).unwrap().name, name);
    }
    assert_eq!(instrument("calliper").unwrap().name, "caliper");
    assert_eq!(instrument("laser"), None);
    let mut names: Vec<&String> =
        instruments().iter().flat_map(|i| std::iter::once(&i.name).chain(&i.aliases)).collect();
    let all = names.len();
    names.sort();
    names.dedup();
    assert_eq!(names.len(), all);
}

#[test]
fn gauge_classes_are_those_of_the_standard() {
    // the standard's metric column, mm, to half its last digit
    for (class, inches, printed_mm) in [
        (GaugeClass::XXX, 0.5, 0.00025),
        (GaugeClass::XX, 0.5, 0.00051),
        (GaugeClass::X, 0.825, 0.00102),
        (GaugeClass::Y, 1.0, 0.00229),
        (GaugeClass::Z, 2.0, 0.00406),
        (GaugeClass::ZZ, 0.1, 0.00508),
        (GaugeClass::ZZ, 12.0, 0.02032),
    ] {
        let tolerance = gauge_tolerance(class, Length::from_inches(inches)).unwrap();
        assert!((tolerance.mm() - printed_mm).abs() <= 0.000_005, "{class:?} {inches}");
    }
    assert_eq!(gauge_tolerance(GaugeClass::Z, Length::from_inches(13.0)), None);
}

/// Active sulphur stains copper and its alloys (common practice, and the makers of cutting oils warn of it), whatever steel they are as
/// tough to cut as.
#[test]
fn no_copper_alloy_is_cut_in_sulphur() {
    let mut looked_at = 0;
    for metal in materials().iter().filter(|metal| metal.group == standards::Group::CopperAlloy) {
        let fluid = standards::cutting::fluid(metal).unwrap_or("dry");
        assert!(!fluid.contains("with sulphur"), "{}: {fluid}", metal.name);
        looked_at += 1;
    }
    assert!(looked_at >= 4, "{looked_at}");
    let stainless = standards::material("stainless steel").expect("in the table");
    assert!(standards::cutting::fluid(stainless).is_some_and(|fluid| fluid.contains("with sulphur")));
}
